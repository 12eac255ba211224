"""Strips wound wrongly by a little, against hand figures; when a style becomes another one.

Recomputed, no source: unfolded strips and cells of 0.01 mm.
"""

from __future__ import annotations

import math

import pytest

from linescope.taping import FAMILIES, Holds, lay
from linescope.taping.slips import Slip, SlipKind, find_slips
from tests.taping.test_winding import PAIR, STOCK, flat


def slips(key: str, holds: Holds | None = None) -> list[Slip]:
    return list(find_slips(lay(FAMILIES[key], PAIR, STOCK, holds)))


def of(found: list[Slip], kind: SlipKind) -> list[Slip]:
    return [slip for slip in found if slip.kind is kind]


def test_a_short_end_of_35_or_55_mm_slides_and_moves_the_end_by_10_mm() -> None:
    """4.7 and 24.7 mm left; a strip of 302 mm then ends 2.9 and 2.1 mm from an edge: not clear of it."""
    right, *_ = found = slips("main-held slider")
    short, long = of(found, SlipKind.FIRST)
    assert (1e3 * short.amount, 1e3 * long.amount) == pytest.approx((35.0, 55.0))
    assert (1e3 * short.left, 1e3 * right.left, 1e3 * long.left) == pytest.approx((4.7, 14.7, 24.7), abs=0.2)
    assert (short.becomes, right.becomes, long.becomes) == ("slides", "slides", "slides")
    assert right.finish.is_underneath and not short.finish.is_underneath and not long.finish.is_underneath
    assert 1e3 * short.finish.to_edge == pytest.approx(2.5, abs=0.5)


def test_a_short_end_of_30_mm_makes_a_fixed_wrap() -> None:
    (least,) = of(slips("main-held slider"), SlipKind.LEAST)
    assert 1e3 * least.amount == pytest.approx(30.3, abs=0.3)
    assert least.becomes == "glued" and least.left == pytest.approx(0.0, abs=3e-4)


def test_5_mm_lengthways_leave_10_and_5_mm_sideways_open_glue() -> None:
    found = slips("backup-held slider")
    (along,), (aside,) = of(found, SlipKind.ALONG), of(found, SlipKind.ASIDE)
    assert 1e3 * along.left == pytest.approx(9.7, abs=0.2) and along.becomes == "slides"
    assert aside.glue == (0.005, 0.005) and 1e3 * aside.glue_length == pytest.approx(30.0, abs=0.2)
    assert aside.becomes == "glued"


@pytest.mark.parametrize(("angle", "near", "far"), [(1.0, 1.0, 2.5), (2.0, 1.9, 5.1)])
def test_a_strip_off_square_comes_down_beside_its_short_end(angle: float, near: float, far: float) -> None:
    """(2 w + 2 t + 2 d) tan f, unfolded: at the edge and at a tail of 45 mm."""
    skewed = of(slips("main-held slider"), SlipKind.SKEW)
    (slip,) = [each for each in skewed if each.amount == pytest.approx(math.radians(angle))]
    assert (1e3 * slip.glue[0], 1e3 * slip.glue[1]) == pytest.approx((near, far), abs=0.06)
    assert slip.becomes == "glued"


def test_a_cross_piece_off_centre_by_5_mm_leaves_glue_at_the_edge() -> None:
    """3.5 to 4 mm each side: a millimetre short."""
    (slip,) = of(slips("cloth-patch slider", Holds.MAIN), SlipKind.ALONG)
    assert 1e3 * slip.left == pytest.approx(-1.3, abs=0.4) and slip.becomes == "glued"


def test_a_tab_off_by_5_mm_leaves_6_and_a_half() -> None:
    """11.5 mm past the line; what lies between the lines, 8.3 mm, is the lesser when nothing is wrong."""
    found = slips("tucked-tab slider", Holds.MAIN)
    assert 1e3 * found[0].left == pytest.approx(8.3, abs=0.1)
    (along,) = of(found, SlipKind.ALONG)
    assert 1e3 * along.left == pytest.approx(6.5, abs=0.2)


def test_nothing_slides_in_a_fixed_wrap_but_its_end_moves() -> None:
    found = slips("fixed wrap")
    assert {slip.becomes for slip in found} == {"nothing slides"}
    first = of(found, SlipKind.FIRST)
    assert [1e3 * slip.finish.to_edge for slip in first] == pytest.approx([2.5, 2.5], abs=0.2)


@pytest.mark.parametrize("section", [flat(20.0, 2.0, 25.0, 2.4), flat(38.0, 2.4), flat(25.0, 1.6)])
def test_lines_of_other_sizes_have_slips_too(section) -> None:
    for key, family in FAMILIES.items():
        for holds in family.can_hold:
            found = find_slips(lay(FAMILIES[key], section, STOCK, holds))
            assert found[0].kind is SlipKind.RIGHT and found[0].becomes in ("slides", "less", "nothing slides")

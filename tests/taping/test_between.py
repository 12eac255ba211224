"""What lies between the lines: how each family is made, told face by face (common practice, no source)."""

from __future__ import annotations

import pytest

from linescope.taping import TIE, Against, Between, Holds, Section, TapeStock, find_between

SECTION = Section(main_width=0.025, main_thickness=0.0024, backup_width=0.025, backup_thickness=0.0024)
STOCK = TapeStock(width=0.038, thickness=0.00013)


def between(key: str, holds: Holds) -> Between:
    return find_between(key, SECTION, STOCK, holds)


@pytest.mark.parametrize(("key", "holds"), [("main-held slider", Holds.MAIN), ("backup-held slider", Holds.BACKUP)])
def test_a_strip_that_encloses_its_line_keeps_the_other_off_it(key: str, holds: Holds) -> None:
    """One layer over the whole face: the sliding line touches strip on every side and the held line nowhere."""
    found = between(key, holds)
    assert (found.layers, found.covered, found.encloses, found.lines_touch) == (1, 1.0, True, False)
    assert found.gap == pytest.approx(0.00013)
    assert found.sliding is not None and found.held is not None
    assert [dict(f) for f in (found.sliding.inner, found.sliding.edges, found.sliding.outer)] == [
        {Against.BACKING: 1.0}
    ] * 3
    assert not found.sliding.sticks and found.held.sticks and found.held.line_on_line == 0.0


@pytest.mark.parametrize("holds", [Holds.MAIN, Holds.BACKUP])
def test_a_tucked_tab_leaves_two_thirds_of_the_face_line_on_line(holds: Holds) -> None:
    found = between("tucked-tab slider", holds)
    assert found.layers == 2 and not found.encloses and found.lines_touch
    assert found.sliding is not None and found.held is not None
    assert found.sliding.line_on_line == pytest.approx(2 / 3) == found.held.line_on_line
    assert not found.sliding.sticks and found.held.sticks


@pytest.mark.parametrize("holds", [Holds.MAIN, Holds.BACKUP])
def test_a_cross_piece_leaves_line_on_line(holds: Holds) -> None:
    found = between("cloth-patch slider", holds)
    assert (found.layers, found.gap, found.covered, found.encloses) == (0, 0.0, 0.0, False)
    assert found.sliding is not None and found.sliding.line_on_line == 1.0 and not found.sliding.sticks


def test_a_fixed_wrap_and_a_tie_hold_line_on_line() -> None:
    wrap, tie = between("fixed wrap", Holds.BOTH), between(TIE, Holds.BOTH)
    for found in (wrap, tie):
        assert found.sliding is None and found.main.line_on_line == 1.0 and found.lines_touch
    assert wrap.main.sticks and not tie.main.sticks


def test_shares_of_a_face_are_of_the_whole_face() -> None:
    for key, holds in (
        ("fixed wrap", Holds.BOTH), ("main-held slider", Holds.MAIN), ("tucked-tab slider", Holds.BACKUP),
        ("cloth-patch slider", Holds.MAIN),
    ):
        found = between(key, holds)
        for line in ("main", "backup"):
            covering = found.of(line)  # type: ignore[arg-type]
            for face in (covering.inner, covering.edges, covering.outer):
                assert sum(face.values()) == pytest.approx(1.0)

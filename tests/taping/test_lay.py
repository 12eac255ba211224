"""Strips laid round a section.

The lengths of practice below are common practice, no source.  They come out of the geometry for two 25 mm
webbings 2.8 mm thick, wound with a tape 48 mm wide and 0.15 mm thick, in four wraps, 4 mm margin; each
tolerance says how closely.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linescope.errors import InputError
from linescope.taping import FAMILIES, Holds, LaidTape, Section, TapeStock, lay, lay_length, lay_whole_wraps

OUTSIDE = {"area": "tape lengths", "source": "Trade: strips for two 25 mm webbings", "known": "common practice"}
SECTION = Section(main_width=0.025, main_thickness=0.0028, backup_width=0.025, backup_thickness=0.0028)
STOCK = TapeStock(width=0.048, thickness=0.00015, wraps=4.0, margin=0.004)
KINDS = [(key, holds) for key, family in FAMILIES.items() for holds in family.can_hold]
INCH = 0.0254


def whole(key: str, holds: Holds | None = None) -> LaidTape:
    return lay_whole_wraps(FAMILIES[key], SECTION, STOCK, holds)


# Common practice, no source: all of this block.


def test_practice_one_full_wrap_takes_about_62_mm(agrees) -> None:
    once = lay_whole_wraps(FAMILIES["fixed wrap"], SECTION, replace(STOCK, wraps=1.0))
    agrees("one full wrap", once.cut_length, 0.062, abs=0.001, unit="m")


def test_practice_four_wraps_fixed_take_about_254_mm_with_a_lead_of_about_20(agrees) -> None:
    tape = whole("fixed wrap")
    agrees("cut lengths of strips: fixed, sliders, tucked tab, patch", tape.cut_length, 10 * INCH, abs=0.004, unit="m")
    agrees("lead of a fixed wrap, dry part of a slider", tape.wrapping.lead, 0.020, abs=0.003, unit="m")
    assert tape.finish.is_underneath


def test_practice_the_lead_reaches_the_middle_of_the_far_side() -> None:
    """From the top edge of the near side round to where the strip begins: the middle of the underside."""
    begin, _ = whole("fixed wrap").path()
    assert begin[0] == pytest.approx([0.0, -0.0028], abs=1e-4)
    edge = SECTION.outline.walk(0.0, whole("fixed wrap").wrapping.lead - 1e-9)
    assert SECTION.outline.points(np.array([edge]))[0] == pytest.approx([0.0125, 0.0028], abs=1e-6)


@pytest.mark.parametrize("key", ["main-held slider", "backup-held slider"])
def test_practice_sliders_take_about_75_mm_more_with_about_45_dry(agrees, key: str) -> None:
    tape = whole(key)
    assert tape.cut_length - whole("fixed wrap").cut_length == pytest.approx(3 * INCH, abs=0.008)
    agrees("cut lengths of strips: fixed, sliders, tucked tab, patch", tape.cut_length, 13 * INCH, abs=0.006, unit="m")
    dry = sum(part.end - part.start for part in tape.segments if part.kind == "dry")
    agrees("lead of a fixed wrap, dry part of a slider", dry, 1.75 * INCH, abs=0.002, unit="m")


def test_practice_330_mm_finish_on_top_and_318_on_the_side() -> None:
    family = FAMILIES["backup-held slider"]
    assert lay_length(family, SECTION, STOCK, 13 * INCH).finish.face == "top"
    assert lay_length(family, SECTION, STOCK, 12.5 * INCH).finish.face == "side"


@pytest.mark.parametrize("holds", [Holds.MAIN, Holds.BACKUP])
def test_practice_a_tucked_tab_needs_about_50_mm_more_305_in_all(agrees, holds: Holds) -> None:
    tape = whole("tucked-tab slider", holds)
    agrees("cut lengths of strips: fixed, sliders, tucked tab, patch", tape.cut_length, 12 * INCH, abs=0.004, unit="m")
    assert tape.cut_length - whole("fixed wrap").cut_length == pytest.approx(2 * INCH, abs=0.005)


@pytest.mark.parametrize("holds", [Holds.MAIN, Holds.BACKUP])
def test_practice_a_cloth_patch_tape_is_254_mm_with_a_cross_piece_25_mm_from_its_end(agrees, holds: Holds) -> None:
    tape = whole("cloth-patch slider", holds)
    agrees("cut lengths of strips: fixed, sliders, tucked tab, patch", tape.cut_length, 10 * INCH, abs=0.004, unit="m")
    assert 0.050 <= tape.patch_length <= 0.064
    assert tape.wrapping.patches == 1
    assert next(s.start for s in tape.segments if s.kind == "dry") == pytest.approx(0.025, abs=0.001)


# Arithmetic and independent measuring.


def test_wraps_grow_with_the_tape() -> None:
    """n P + pi tt n^2, summed by hand: trade formula, exact for a convex section."""
    for wraps in (1, 2, 3, 4):
        hand = wraps * 0.0612 + math.pi * 0.00015 * wraps**2
        tape = lay_whole_wraps(FAMILIES["fixed wrap"], SECTION, replace(STOCK, wraps=float(wraps)))
        assert tape.cut_length == pytest.approx(hand, rel=1e-9)


ROPE = Section(
    main_width=0.025, main_thickness=0.0028, backup_width=0.009, backup_thickness=0.009, backup_is_rope=True
)
NARROW = Section(main_width=0.025, main_thickness=0.0028, backup_width=0.018, backup_thickness=0.002)
WIDE = Section(main_width=0.020, main_thickness=0.002, backup_width=0.028, backup_thickness=0.003)


@pytest.mark.parametrize(("key", "holds"), KINDS)
@pytest.mark.parametrize("section", [SECTION, ROPE, NARROW, WIDE], ids=["equal", "rope", "narrow", "wide"])
def test_the_drawn_path_is_as_long_as_the_strip_that_makes_it(
    key: str, holds: Holds, section: Section
) -> None:
    """The polyline of the drawing, measured by summing its pieces; steps between layers are 0.15 mm each."""
    tape = lay(FAMILIES[key], section, STOCK, holds)
    points, _ = tape.path(step=2e-5)
    if tape.wrapping.tucked:
        sliding = "main" if holds is Holds.BACKUP else "backup"
        points = points[len(section.seam(sliding, left=True)) :]
    steps = np.hypot(*np.diff(points, axis=0).T)
    steps = steps[steps < 1.0e-4]  # Without the steps from layer to layer.
    assert float(steps.sum()) + tape.wrapping.tucked == pytest.approx(tape.path_length, abs=2e-4)


@pytest.mark.parametrize(("key", "holds"), KINDS)
@pytest.mark.parametrize("section", [SECTION, ROPE, NARROW, WIDE], ids=["equal", "rope", "narrow", "wide"])
def test_strips_are_cut_to_end_underneath(key: str, holds: Holds, section: Section) -> None:
    tape = lay(FAMILIES[key], section, STOCK, holds)
    end = tape.path()[0][-1]
    assert tape.finish.face == "underside"
    if section is not ROPE:
        assert abs(end[0]) <= 0.5 * section.backup_width - 0.004
    assert end[1] < -0.9 * section.backup_thickness


@pytest.mark.parametrize(("key", "holds"), KINDS)
@pytest.mark.parametrize("section", [SECTION, ROPE, NARROW, WIDE], ids=["equal", "rope", "narrow", "wide"])
def test_the_parts_of_a_strip_follow_one_another(key: str, holds: Holds, section: Section) -> None:
    tape = lay(FAMILIES[key], section, STOCK, holds)
    edges = [tape.segments[0].start, *(s.end for s in tape.segments)]
    assert edges[0] == 0.0
    assert edges[-1] == pytest.approx(tape.cut_length)
    assert [s.start for s in tape.segments] == pytest.approx(edges[:-1])
    assert np.all(np.diff(edges) > 0.0)


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(KINDS),
    st.floats(0.01, 0.05),
    st.floats(0.001, 0.006),
    st.floats(0.01, 0.05),
    st.floats(0.001, 0.006),
    st.floats(0.012, 0.05),
)
def test_the_dry_zone_covers_the_sliding_line(
    kind: tuple[str, Holds], a: float, b: float, c: float, d: float, tape_width: float
) -> None:
    """On the first turn no sticky point of the drawn path touches the sliding line's rectangle."""
    section = Section(main_width=a, main_thickness=b, backup_width=c, backup_thickness=d)
    stock = replace(STOCK, width=tape_width)
    tape = lay_whole_wraps(FAMILIES[kind[0]], section, stock, kind[1])
    if tape.coverage is None:
        assert kind[1] is Holds.BOTH
        return
    points, dry = tape.path(step=2e-4)
    u = tape.wrapping.start + np.linspace(0.0, 1.0, 4000) * section.outline.round
    low, high = tape.wrapping.dry  # type: ignore[misc]
    sticky = section.outline.points(u[(u < low - 1e-6) | (u > high + 1e-6)])
    if tape.wrapping.tucked:  # Where the tab comes out, the next turn lies on the tab itself.
        tab = section.outline.points(np.array([tape.wrapping.start]))
        sticky = sticky[np.hypot(*(sticky - tab).T) > 0.001]
    half, bottom, top = (a / 2, 0.0, b) if kind[1] is Holds.BACKUP else (c / 2, -d, 0.0)
    gap = np.hypot(
        np.maximum(np.abs(sticky[:, 0]) - half, 0.0),
        np.maximum(np.maximum(bottom - sticky[:, 1], sticky[:, 1] - top), 0.0),
    )
    assert dry.any() and len(points) == len(dry)
    assert tape.coverage.covers
    assert gap.min() > 1e-8


def test_a_dry_zone_can_miss_and_then_says_by_how_much() -> None:
    """20 mm of cloth over 30.6 mm of line leave more than 10 mm open."""
    tape = whole("cloth-patch slider", Holds.MAIN)
    short = replace(tape.wrapping, dry=(tape.wrapping.dry[0], tape.wrapping.dry[0] + 0.020), patches=1)
    family = replace(tape.family, recipe=lambda *_: short)
    cover = lay_whole_wraps(family, SECTION, STOCK, Holds.MAIN).coverage
    assert cover is not None and not cover.covers
    assert cover.after < -0.010


def test_adding_and_cutting_both_end_in_the_middle_of_the_underside() -> None:
    tape = whole("backup-held slider")
    for change in (tape.finish.add, -tape.finish.cut):
        changed = lay_length(tape.family, SECTION, STOCK, tape.cut_length + change)
        assert changed.path()[0][-1][0] == pytest.approx(0.0, abs=1e-6)
        assert changed.finish.is_underneath


def test_a_thicker_tape_takes_longer_strips() -> None:
    thick = lay_whole_wraps(FAMILIES["fixed wrap"], SECTION, replace(STOCK, thickness=0.0003))
    assert thick.cut_length - whole("fixed wrap").cut_length == pytest.approx(math.pi * 0.00015 * 16)


def test_what_cannot_be_made_is_refused_by_name() -> None:
    with pytest.raises(InputError, match="allowed: 'main'"):
        lay(FAMILIES["main-held slider"], SECTION, STOCK, Holds.BACKUP)
    with pytest.raises(InputError, match="longer than a roll"):
        lay(FAMILIES["fixed wrap"], SECTION, replace(STOCK, roll=0.2))
    with pytest.raises(InputError, match="too short"):
        lay_length(FAMILIES["main-held slider"], SECTION, STOCK, 0.08)
    with pytest.raises(InputError, match=r"wraps.*dry zone"):
        lay(FAMILIES["cloth-patch slider"], SECTION, replace(STOCK, wraps=1.0))
    with pytest.raises(InputError, match="wraps"):
        TapeStock(wraps=0.5)
    with pytest.raises(InputError, match="finish"):
        TapeStock(finish="above")  # type: ignore[arg-type]


@pytest.mark.parametrize("key", FAMILIES)
def test_notes_say_what_slides_costs_and_goes_wrong(key: str) -> None:
    family = FAMILIES[key]
    assert family.key == key
    for part in (family.steps, family.slides, family.costs, family.goes_wrong):
        assert part and all(line.endswith(".") and "safe" not in line.lower() for line in part)


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(KINDS),
    st.floats(2.5, 6.0),
    st.floats(0.01, 0.05),
    st.floats(0.001, 0.006),
    st.floats(0.006, 0.05),
    st.booleans(),
)
def test_any_tape_can_be_cut_to_end_underneath(
    kind: tuple[str, Holds], wraps: float, width: float, thickness: float, backup: float, rope: bool
) -> None:
    section = Section(
        main_width=width,
        main_thickness=thickness,
        backup_width=backup,
        backup_thickness=backup if rope else thickness,
        backup_is_rope=rope,
    )
    tape = lay(FAMILIES[kind[0]], section, replace(STOCK, wraps=wraps), kind[1])
    assert tape.finish.face == "underside"
    assert tape.wrapping.turns >= 1.0 - 1e-3

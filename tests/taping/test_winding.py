"""The way of the strip: against closed forms, shapely's buffers, hulls of what lies there, and what is practised.

Lengths of practice are common practice, no source.  They come out for two webbings of 25 by 2.4 mm and thin tape of
0.13 mm, wound four turns; practice is told in half inches, so half an inch is what it can be held to.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from shapely import LineString, Point, Polygon, box
from shapely.ops import substring, unary_union

from linescope.errors import InputError
from linescope.taping import (
    FAMILIES,
    Beginning,
    Enclosing,
    Holds,
    LaidTape,
    Lead,
    Patch,
    Section,
    Tab,
    TapeStock,
    Winding,
    lay,
    lay_length,
    lay_whole_wraps,
    wind,
)
from linescope.taping.section import Body, lines_of

OUTSIDE = {"area": "tape lengths", "source": "Trade: strips for two 25 mm webbings", "known": "common practice"}
INCH = 0.0254
HALF_INCH = 0.0127
THIN, CLOTH = 0.00013, 0.00025
STOCK = TapeStock()


def flat(main: float, thick: float, backup: float | None = None, thin: float | None = None) -> Section:
    """Two webbings, in millimetres; the backup like the main when left out."""
    return Section(
        main_width=main / 1e3, main_thickness=thick / 1e3, backup_width=(backup or main) / 1e3,
        backup_thickness=(thin or thick) / 1e3,
    )


def rope(main: float, thick: float, diameter: float) -> Section:
    return replace(flat(main, thick, diameter, diameter), backup_is_rope=True)


PAIR = flat(25.0, 2.4)
SHORT = Enclosing(short=0.045)
KINDS = [(key, holds) for key, family in FAMILIES.items() for holds in family.can_hold]
SLIDERS = [("main-held slider", Holds.MAIN), ("backup-held slider", Holds.BACKUP)]


def whole(key: str, holds: Holds | None = None, stock: TapeStock = STOCK, section: Section = PAIR) -> LaidTape:
    return lay_whole_wraps(FAMILIES[key], section, stock, holds)


def ends(winding: Winding, turns: float) -> float:
    return float(winding.used(winding.stop(turns)))


# Common practice, no source: all of this block.  What is held to less than half an inch says why.


def test_practice_one_turn_takes_about_62_mm(agrees) -> None:
    """The mean of four turns; measured with a tape measure, to a millimetre or two."""
    agrees("one full wrap", whole("fixed wrap").cut_length / 4.0, 0.062, abs=0.001, unit="m")


def test_practice_four_turns_fixed_are_cut_10_in_and_lead_about_20_mm(agrees) -> None:
    tape = whole("fixed wrap")
    agrees(
        "cut lengths of strips: fixed, sliders, tucked tab, patch", tape.cut_length, 10 * INCH, abs=HALF_INCH, unit="m"
    )
    agrees("lead of a fixed wrap, dry part of a slider", tape.first, 0.020, abs=0.003, unit="m")


def test_practice_and_geometry_of_a_fixed_wrap_cannot_agree_with_thin_tape() -> None:
    """Four turns take 10 in only with tape of 0.30 mm; thin tape makes 245 mm, and 10 in are 9 mm of overlap."""
    assert 1e3 * whole("fixed wrap").cut_length == pytest.approx(244.9, abs=0.1)
    thick = replace(STOCK, thickness=0.00030)
    assert 1e3 * whole("fixed wrap", stock=thick).cut_length == pytest.approx(254.0, abs=0.6)
    assert lay_length(FAMILIES["fixed wrap"], PAIR, STOCK, 0.254).finish.rest == pytest.approx(0.0034, abs=0.0003)


@pytest.mark.parametrize(("key", "holds"), SLIDERS)
def test_practice_sliders_take_3_in_more_with_45_mm_dry_on_both_faces(agrees, key: str, holds: Holds) -> None:
    tape = whole(key)
    agrees(
        "slider's strip less that of a fixed wrap", tape.cut_length - whole("fixed wrap").cut_length, 3 * INCH,
        abs=0.003, unit="m",
    )
    agrees(
        "cut lengths of strips: fixed, sliders, tucked tab, patch", tape.cut_length, 13 * INCH, abs=HALF_INCH, unit="m"
    )
    agrees("lead of a fixed wrap, dry part of a slider", tape.first, 1.75 * INCH, abs=0.001, unit="m")


@pytest.mark.parametrize(("key", "holds"), SLIDERS)
@pytest.mark.parametrize("thickness", [0.00013, 0.00015])
def test_practice_where_strips_of_318_330_and_343_mm_end(key: str, holds: Holds, thickness: float) -> None:
    """On the held line's side, on its outer face, near that face's other edge: with tape of 0.13 to 0.15 mm."""
    stock, family = replace(STOCK, thickness=thickness), FAMILIES[key]
    outer = "top" if holds is Holds.MAIN else "underside"
    side, face, far = (lay_length(family, PAIR, stock, inches * INCH).finish for inches in (12.5, 13.0, 13.5))
    assert (side.face, face.face, far.face) == ("side", outer, outer)
    assert face.past > 0.005 and face.rest > 0.005
    assert 0.003 < far.rest < 0.007


@pytest.mark.parametrize("holds", [Holds.MAIN, Holds.BACKUP])
def test_practice_a_tucked_tab_is_folded_2_in_and_takes_12(agrees, holds: Holds) -> None:
    tape = whole("tucked-tab slider", holds)
    agrees(
        "cut lengths of strips: fixed, sliders, tucked tab, patch", tape.cut_length, 12 * INCH, abs=HALF_INCH, unit="m"
    )
    assert tape.first == pytest.approx(2 * INCH, abs=0.001)


@pytest.mark.parametrize("holds", [Holds.MAIN, Holds.BACKUP])
def test_practice_a_cloth_patch_is_10_in_with_a_cross_piece_1_in_from_its_end(agrees, holds: Holds) -> None:
    """38 mm cloth of 0.25 mm; one piece serves."""
    tape = whole("cloth-patch slider", holds)
    agrees(
        "cut lengths of strips: fixed, sliders, tucked tab, patch", tape.cut_length, 10 * INCH, abs=HALF_INCH, unit="m"
    )
    assert 0.050 <= tape.piece_length <= 0.064 and tape.pieces == 1
    assert tape.first == pytest.approx(INCH, abs=0.001)


# Closed forms.


@pytest.mark.parametrize("thickness", [0.00013, 0.00018, 0.00025])
@pytest.mark.parametrize(("width", "thick"), [(25.0, 2.4), (25.0, 1.6), (38.0, 2.4), (25.0, 4.5)])
@pytest.mark.parametrize("holds", [Holds.MAIN, Holds.BACKUP])
def test_an_enclosing_strip_has_its_closed_form(thickness: float, width: float, thick: float, holds: Holds) -> None:
    """L = s + w + t + n P + tt (pi n^2 + 7.6 n) to 0.1 mm, and equation (3) of the module exactly; trade formula."""
    section, short = flat(width, thick), width / 1e3 + 0.030
    winding = wind(section, thickness, holds, Enclosing(short=short))
    around, outside = 2.0 * width / 1e3 + 4.0 * thick / 1e3, short + width / 1e3 + thick / 1e3
    for n in (1, 2, 3, 4, 5):
        length = ends(winding, n)
        rendered = outside + n * around + thickness * (math.pi * n**2 + 7.6 * n)
        assert length == pytest.approx(rendered, abs=1e-4)
        exact = outside + n * around + thickness * (math.pi * (n**2 + 1.75 * n + 0.125) + 2.0 * n)
        assert length == pytest.approx(exact, abs=1e-9)


@pytest.mark.parametrize("section", [PAIR, flat(25.0, 2.4, 20.0, 2.0), rope(25.0, 2.4, 10.0)])
def test_turns_of_nothing_but_strip_grow_with_its_thickness(section: Section) -> None:
    """n P + pi tt n^2, exact for a convex section: trade formula."""
    winding = wind(section, THIN, Holds.BOTH, Lead(length=0.02))
    for n in (1, 2, 3, 4):
        assert ends(winding, n) == pytest.approx(n * section.perimeter + math.pi * THIN * n**2, rel=1e-9)


def test_where_a_slider_crosses_the_edges() -> None:
    """A paper strip laid round the corners by hand arithmetic, to 0.1 mm; strip used at the middles of the corners.

    Recomputed, no source: cells of 0.01 mm along the outline with layers counted in each.
    """
    winding = wind(PAIR, THIN, Holds.MAIN, SHORT)
    printed = {
        ("backup", -1): (102.8, 164.2, 226.4, 289.4, 353.3), ("backup", 1): (128.1, 189.7, 252.1, 315.3),
        ("main", 1): (133.4, 195.2, 257.9, 321.3, 385.5), ("main", -1): (158.9, 220.9, 283.7, 347.3),
    }
    for corner in winding.section.outline.corners:
        at = winding.section.outline.points(np.array([corner.middle]))[0]
        expected = printed[corner.body, 1 if at[0] > 0.0 else -1]
        passed = winding.passing(corner.middle, winding.start) + np.arange(len(expected)) * winding.turn
        assert 1e3 * winding.used(passed) == pytest.approx(expected, abs=0.1)
    seam = winding.start + np.arange(5) * winding.turn
    assert 1e3 * winding.used(seam) == pytest.approx((100.1, 161.4, 223.5, 286.4, 350.2), abs=0.1)
    assert 1e3 * (winding.before - 0.045) == pytest.approx(55.1, abs=0.05)


# Against shapely.


def polygons(section: Section) -> dict[Body, Polygon]:
    """The two lines as they lie with what is between them."""
    main, backup = section.levels("main"), section.levels("backup")
    half, under = section.main_width / 2, section.backup_width / 2
    below = (
        Point(0.0, sum(backup) / 2).buffer(under, quad_segs=512)
        if section.backup_is_rope else box(-under, backup[1], under, backup[0])
    )
    return {"main": box(-half, main[0], half, main[1]), "backup": below}


@pytest.mark.parametrize(("thick", "thickness"), [(2.4, 0.00013), (2.0, 0.00025)])
def test_whole_turns_match_shapelys_buffers(thick: float, thickness: float) -> None:
    """To 0.02 mm over four turns: the hull raised layer by layer; a dry tail's end lies under one corner of each."""
    section = flat(25.0, thick)
    fixed = wind(section, thickness, Holds.BOTH, Lead(length=0.02))
    hull = unary_union(list(polygons(section).values())).convex_hull
    laid = sum(hull.buffer((k + 0.5) * thickness, quad_segs=512).exterior.length for k in range(4))
    assert ends(fixed, 4) == pytest.approx(laid, abs=2e-5)
    for holds in (Holds.MAIN, Holds.BACKUP):
        slider = wind(section, thickness, holds, SHORT)
        hull = unary_union(list(polygons(slider.section).values())).convex_hull
        laid = sum(hull.buffer((k + 1.5) * thickness, quad_segs=512).exterior.length for k in range(4))
        laid += 4 * thickness * math.pi / 2
        assert float(slider.used(slider.start + 4 * slider.turn)) - slider.before == pytest.approx(laid, abs=2e-5)


def by_hulls(winding: Winding, turns: int) -> float:
    """Strip of so many turns from where it comes out, each laid round the convex hull of the solids lying there.

    No layers are counted.  A turn round a hull K takes its perimeter and pi tt, for its middle layer lies tt/2 outside,
    and leaves K raised by tt.
    """
    section, tape = winding.section, winding.thickness
    held, sliding = lines_of(winding.holds)
    lines = polygons(section)
    if isinstance(winding.beginning, Enclosing):
        lines[held] = lines[held].buffer(tape, quad_segs=256)
    body = unary_union(list(lines.values())).convex_hull
    if winding.dry is not None:
        # Where the held line is the wider, the dry tail comes out below its edge: it is outermost from the sliding
        # line's edge on.
        first = winding.section.contact(sliding)[0]
        low, high = winding.dry
        low = max(low, first + math.floor((high - first) / winding.turn) * winding.turn)
        along = body.buffer(0.5 * tape, quad_segs=256).exterior
        outline = winding.section.outline
        begin, end = (
            along.project(Point(outline.points(np.array([np.nextafter(u, u + side)]), 0.5 * tape)[0]))
            for u, side in ((low, 1.0), (high, -1.0))
        )
        ring = LineString([*along.coords, *along.coords[1:]])
        pieces = [
            substring(ring, a, b if b > a else b + along.length) for a, b in ((begin, end), (end, begin))
        ]
        past = Point(outline.points(np.array([0.5 * (low + high)]), 0.5 * tape)[0])
        dry = min(pieces, key=lambda piece: piece.distance(past))
        body = unary_union([body, dry.buffer(0.5 * tape, cap_style="flat")]).convex_hull
    found = 0.0
    for _ in range(turns):
        found += body.exterior.length + math.pi * tape
        body = body.buffer(tape, quad_segs=256)
    return found


WAYS: list[tuple[Beginning, Section]] = [
    (SHORT, PAIR), (SHORT, flat(25.0, 2.4, 20.0, 2.0)), (SHORT, flat(20.0, 2.0, 25.0, 2.4)),
    (Enclosing(short=0.055), rope(25.0, 2.4, 10.0)), (Tab(fold=0.050, tuck=0.008), PAIR),
    (Tab(fold=0.052, tuck=0.006), flat(25.0, 2.4, 20.0, 2.0)),
]


@pytest.mark.parametrize(("beginning", "section"), WAYS)
@pytest.mark.parametrize("holds", [Holds.MAIN, Holds.BACKUP])
@pytest.mark.parametrize("thickness", [THIN, CLOTH])
def test_a_second_way_without_counting_layers_agrees(
    beginning: Beginning, section: Section, holds: Holds, thickness: float
) -> None:
    """The convex hull of what lies there, turn for turn: 0.2 mm in four turns."""
    winding = wind(section, thickness, holds, beginning)
    for turns in (1, 2, 3, 4):
        ours = float(winding.used(winding.start + turns * winding.turn)) - winding.before
        assert ours == pytest.approx(by_hulls(winding, turns), abs=2e-4)


def test_a_cross_piece_without_wings_agrees_with_hulls_too() -> None:
    """Turn for turn within 0.2 mm; its wings are taken off again, one layer under each corner of the zone per turn."""
    winding = wind(PAIR, CLOTH, Holds.MAIN, Patch(lead=0.020, zone=0.034, pieces=1, piece=0.056))
    low, high = winding.dry or (0.0, 0.0)
    turned = sum(c.sweep for c in winding.section.outline.corners if low < winding.passing(c.middle, low) < high)
    ours = float(winding.used(winding.start + 4 * winding.turn)) - winding.before - 3 * CLOTH * turned
    assert ours == pytest.approx(by_hulls(winding, 4), abs=2e-4)


# Symmetry and monotony.


@pytest.mark.parametrize(
    "beginning", [SHORT, Tab(fold=0.05, tuck=0.008), Patch(lead=0.025, zone=0.038, pieces=1, piece=0.056)]
)
def test_turned_over_the_winding_is_the_same(beginning: Beginning) -> None:
    """Held line on top or underneath: the same picture turned by half a turn, so the same lengths."""
    one, other = flat(25.0, 2.4, 20.0, 1.8), flat(20.0, 1.8, 25.0, 2.4)
    above, below = wind(one, THIN, Holds.MAIN, beginning), wind(other, THIN, Holds.BACKUP, beginning)
    for turns in (1.0, 2.3, 4.0):
        assert ends(above, turns) == pytest.approx(ends(below, turns), abs=1e-9)


@pytest.mark.parametrize(("key", "holds"), KINDS)
def test_where_a_strip_ends_inverts_how_long_it_is(key: str, holds: Holds) -> None:
    tape = whole(key, holds)
    for length in np.linspace(tape.winding.before + 0.001, 0.5, 23):
        assert float(tape.winding.used(tape.winding.reached(float(length)))) == pytest.approx(length, abs=1e-9)


@pytest.mark.parametrize(("key", "holds"), KINDS)
@pytest.mark.parametrize(
    "section", [PAIR, rope(25.0, 2.4, 9.0), flat(25.0, 2.4, 18.0, 2.0), flat(20.0, 2.0, 28.0, 3.0)]
)
def test_the_drawn_path_is_as_long_as_the_strip(key: str, holds: Holds, section: Section) -> None:
    """The polylines of the drawing, measured by summing their pieces without the steps from layer to layer.

    The drawing leaves out the turnings of half a layer where the strip comes out from between the lines: 0.6 mm in all.
    """
    tape = lay(FAMILIES[key], section, STOCK, holds)
    drawn = 0.0
    for run in tape.path(step=2e-5):
        if run.kind != "piece":
            steps = np.hypot(*np.diff(run.points, axis=0).T)
            drawn += float(steps[steps < 1.0e-4].sum())
    assert drawn == pytest.approx(tape.cut_length, abs=6e-4)


def test_the_sliding_line_meets_nothing_sticky() -> None:
    """On the first turn no sticky point of the drawn path touches the sliding line's rectangle."""
    sections = (PAIR, flat(25.0, 2.4, 18.0, 2.0), flat(20.0, 2.0, 28.0, 3.0))
    for (key, holds), section in itertools.product(KINDS, sections):
        tape = whole(key, holds, section=section)
        if tape.coverage is None:
            continue
        assert tape.coverage.covers
        _, sliding = lines_of(holds)
        line = polygons(tape.winding.section)[sliding].buffer(1e-7)
        wound = next(run for run in tape.path() if run.kind == "wound")
        # A strip that touches has its middle half a thickness off; what comes down over the seam passes the sliding
        # line's corner with dry strip in between.
        assert min(line.distance(Point(p)) for p in wound.points) > 0.9 * tape.tape.thickness


@pytest.mark.parametrize(
    ("beginning", "problem"),
    [(Enclosing(short=0.0005), "short end"), (Enclosing(short=0.2), "short end"), (Tab(fold=0.005, tuck=0.008), "tab"),
     (Patch(lead=0.02, zone=0.09, pieces=2, piece=0.06), "cross piece")],
)
def test_what_does_not_go_with_the_lines_is_refused_by_name(beginning: Beginning, problem: str) -> None:
    with pytest.raises(InputError, match=problem):
        wind(flat(25.0, 2.4, 30.0, 2.4), THIN, Holds.MAIN, beginning)

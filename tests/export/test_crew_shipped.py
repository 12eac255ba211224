"""Crew pictures of every shipped scene, in its own letters and in the usual ones: what is written holds on the page.

Ten points on A4, lying, is the smallest text (asked for by who ordered the pictures); the rest is geometry.
"""

from __future__ import annotations

import dataclasses
import datetime
import functools
import itertools
import math
import re
from collections.abc import Iterator

import numpy as np
import pytest

from linescope.clearance import ranked
from linescope.events.fall import leash_fall_sweep
from linescope.export import crew as files
from linescope.export import driver, layout, pen
from linescope.notes import Spot, Verbatim
from linescope.stage import brief_of
from linescope.stage.crew import fitted
from linescope.stage.ground import site
from linescope.stage.ink import Area, Bitmap, Disc, Drawing, Line, Text, Window
from linescope.stage.labels import Box
from linescope.stage.page import Brief
from linescope.stage.theme import ROLES, theme_named
from linescope.study import Study
from linescope.topics.clearance import leading
from linescope.viewer import letters
from tests.long import rest_is_long
from tests.texts.collect import NAMES, scene_of, swept

POINT = 2000 / 297 * 25.4 / 72  # Pixels of a point on A4 lying down.
LOOKS = (("light", "metric"), ("dark", "feet"), ("grey", "metric"), ("light", "feet"))
FACES = ("own", "usual")
TWO = ("heron_gap", "larkspur_ledge")
ALWAYS = rest_is_long(NAMES, *TWO)
CASES = rest_is_long(
    [(name, face) for name in NAMES for face in FACES], *((name, face) for name in TWO for face in FACES)
)
BODY_EDGE = 0.7  # Width of the edge that facets of people are drawn with [px].


@pytest.fixture(autouse=True, scope="module")
def _driver() -> None:
    driver.probe()


@functools.cache
def study(name: str) -> Study:
    """In few places: it is looked at what is written, not at the numbers."""
    leave = {"bands", "crossing_value", "wear", "compare", "touch_states", "crossing_low", "crossing_high"}
    return Study(scene_of(name), places=8, positions=8, leave=leave, given=swept(name))


@functools.cache
def brief(name: str) -> Brief:
    theme, system = LOOKS[NAMES.index(name) % len(LOOKS)]
    found = study(name)
    ground = site(found.ground, found.rig) if found.ground else None
    return brief_of(found.taped, ground=ground, study=found, theme=theme_named(theme), system=system,
                    date=datetime.date(2026, 5, 1))  # type: ignore[arg-type]  # fmt: skip


@functools.cache
def drawn(name: str, face: str) -> tuple[Drawing, ...]:
    """The four pictures, set in one face; the study is computed once for both."""
    with pytest.MonkeyPatch.context() as patch:
        if face == "usual":
            patch.setattr(letters, "built", lambda: None)
        return files.laid_out(brief(name), sheets=False)[0]


@pytest.fixture(params=CASES, ids="-".join)
def pictures(request: pytest.FixtureRequest) -> Iterator[tuple[Drawing, ...]]:
    name, face = request.param
    if face == "own":
        request.getfixturevalue("built")
    found = drawn(name, face)
    with pytest.MonkeyPatch.context() as patch:
        if face == "usual":
            patch.setattr(letters, "built", lambda: None)
        yield found


def tight(box: Box) -> Box:
    """Without the room above and below its letters."""
    return dataclasses.replace(box, top=box.top + 5.0, bottom=box.bottom - 5.0)


def bounds(points: tuple[tuple[float, float], ...]) -> Box:
    x, y = zip(*points, strict=True)
    return Box(left=min(x), top=min(y), right=max(x), bottom=max(y))


def test_letters_are_the_ones_asked_for(pictures: tuple[Drawing, ...], request: pytest.FixtureRequest) -> None:
    face = request.node.callspec.params["pictures"][1]
    assert (pen.face("12.5 m") == pen.usual()) == (face == "usual")
    if face == "own":  # Figures of one width: columns of them stand under each other.
        assert len({pen.text_size(figure, 240.0)[0] for figure in "0123456789"}) == 1
        assert pen.face("≤ 8.7 m") == pen.face("m") and pen.face("дом") == pen.usual()


def test_no_text_is_under_ten_points_and_all_of_it_is_on_the_page(pictures: tuple[Drawing, ...]) -> None:
    for drawing in pictures:
        page = Box(left=0.0, top=0.0, right=drawing.size[0], bottom=drawing.size[1])
        for text, box in layout.boxes(drawing.ink):
            assert text.size >= 10 * POINT - 0.3, (drawing.name, text.text)
            assert tight(box).within(page), (drawing.name, text.text)
            assert not text.text.endswith(layout.MORE) or text.text.startswith("A model's plan"), text.text


def test_texts_stand_on_no_other_text_no_body_and_no_figure(pictures: tuple[Drawing, ...]) -> None:
    for drawing in pictures:
        found = [(text, tight(box)) for text, box in layout.boxes(drawing.ink)]
        for (one, a), (other, b) in itertools.combinations(found, 2):
            assert not a.overlaps(b), (drawing.name, one.text, other.text)
        for item in drawing.ink:
            if isinstance(item, Area) and item.width == BODY_EDGE:
                body = bounds(item.points)
                assert not [text.text for text, box in found if box.overlaps(body)], drawing.name
            if isinstance(item, Disc) and item.radius > 4.0:
                (x, y), r = item.at, 0.7 * item.radius
                disc = Box(left=x - r, top=y - r, right=x + r, bottom=y + r)
                on = [text.text for text, box in found if box.overlaps(disc) and math.dist(box.centre, (x, y)) > 4.0]
                assert not on, (drawing.name, on)


def test_every_place_that_is_told_is_inside_its_picture(pictures: tuple[Drawing, ...]) -> None:
    for drawing in pictures:
        for item in drawing.ink:
            if isinstance(item, Disc):
                assert item.radius < item.at[0] < drawing.size[0] - item.radius, drawing.name
                assert item.radius < item.at[1] < drawing.size[1] - item.radius, drawing.name


@pytest.mark.parametrize("name", ALWAYS)
def test_every_place_that_falls_short_is_marked_and_so_is_a_main_on_the_ground(name: str) -> None:
    place, here = drawn(name, "usual")[:2]
    theme, found = brief(name).theme, study(name).clearance
    short = [each for each in ranked.places(found or None) if not each.is_met]
    sizes = {10.0, 6.5}
    for role, reached in (("alarm", True), ("ground_near", False)):
        marks = [d for d in place.ink if isinstance(d, Disc) and d.radius in sizes and d.colour == theme.colours[role]]
        expected = [each for each in short if (each.distance <= 0.0) == reached]
        span = study(name).rig.span  # Where the letter of an anchor stands there is no room for a mark.
        beside = sum(min(each.station, span - each.station) < 0.02 * span for each in expected)
        assert len(marks) >= len(expected) - beside, (role, len(marks), len(expected))
        assert bool(marks) == bool(expected)
    # One rule for title, list and strip: with feet or the main on the ground a fall is not to be made.
    for zone in (*found.strikes, *found.drags) if found else ():
        system = LOOKS[NAMES.index(name) % len(LOOKS)][1]
        middle, unit = 0.5 * sum(zone.from_a), 1.0 if system == "metric" else 0.3048
        told = [float(number) * unit for number in re.findall(r"[\d.]+", here.title.split(" from A")[0])]
        assert any(low - 1e-9 <= middle <= high + 1e-9 for low, high in zip(told[::2], told[1::2], strict=True))
    apart = found and [zone for zone in found.drags if not zone.is_within(found.strikes)]
    assert ("feet or the main" in here.title) == bool(apart)


@pytest.mark.parametrize("name", ALWAYS)
def test_every_place_that_falls_short_is_told_with_its_cause(name: str) -> None:
    """On the first picture in a few words at least; what is reached, on the last one in a sentence."""
    place, _, _, stop = drawn(name, "own")
    words, told = brief(name).measures, ranked.places(study(name).clearance or None)
    for each in (*leading.named(told), *leading.unnamed(told)):
        for drawing in (place, stop) if each.distance <= 0.0 else (place,):
            text = " ".join(text.text for text, _ in layout.boxes(drawing.ink))
            at = words.value(Spot(each.worst.station))
            assert re.search(re.escape(at) + r"(, [^:]*| and [^:]*)?: \w", text), (drawing.name, at)


def test_what_is_reached_under_the_level_of_a_lake_is_told_as_water() -> None:
    """Heights of the scene's own mesh, and the level written in its file: -61.8 m."""
    name = next(name for name in NAMES if scene_of(name).rig.ground.water is not None)
    place = drawn(name, "usual")[0]
    told = [each for each in ranked.places(study(name).clearance or None) if each.distance <= 0.0]
    assert {bool(each.worst.nearest[2] < -61.8) for each in told} == {True, False}
    assert "ground or water" in place.title
    texts = [text.text for text, _ in layout.boxes(place.ink)]
    words = brief(name).measures
    for each in leading.named(tuple(told)):
        (text,) = [text for text in texts if text.startswith(f"{words.value(Spot(each.worst.station))}: ")]
        assert ("the water" in text) == bool(each.worst.nearest[2] < -61.8), text


def test_no_ground_is_stroked_along_an_edge_where_it_is_cut(pictures: tuple[Drawing, ...]) -> None:
    """Bitmaps end in paper; an outline of the ground meets a window's edge, it does not run along it."""
    outlines = {role.light for role in (ROLES["ground_edge"],)} | {ROLES["ground_edge"].dark, ROLES["ground_edge"].grey}
    for drawing in pictures:
        paper = np.array([int(drawing.paper[k : k + 2], 16) for k in (1, 3, 5)])
        for item in drawing.ink:
            if isinstance(item, Bitmap):
                rim = (item.pixels[:1], item.pixels[-1:], item.pixels[:, :1], item.pixels[:, -1:])
                assert all(np.abs(edge.astype(int) - paper).max() <= 24 for edge in rim), drawing.name
            if isinstance(item, Window):
                left, top, right, bottom = item.frame
                for line in item.ink:
                    if isinstance(line, Line) and line.colour in outlines:
                        for a, b in itertools.pairwise(line.points):
                            along = any(abs(a[k] - edge) < 3.0 and abs(b[k] - edge) < 3.0 and math.dist(a, b) > 12.0
                                        for k, edge in ((0, left), (0, right), (1, top), (1, bottom)))  # fmt: skip
                            assert not along, drawing.name


@pytest.mark.parametrize("name", ALWAYS)
def test_zones_have_a_pattern_beside_their_colour(name: str, built: object) -> None:
    """Without any colour left, what reaches the ground and what comes too near differ by their strokes."""
    theme = fitted(brief(name)).theme
    drawing = next(each for each in drawn(name, "own") if each.name == "nobody-falls-here")
    colours = {theme.colours[role]: role for role in ("zone_hit", "zone_near")}
    strokes = [item.points for item in drawing.ink if isinstance(item, Line) and item.width == 2.0]
    for item in drawing.ink:
        if isinstance(item, Area) and item.colour in colours:
            box = bounds(item.points)
            wide = box.right - box.left
            room = Box(left=box.left - 0.1, top=box.top - 0.1, right=box.right + 0.1, bottom=box.bottom + 0.1)
            inside = [ends for ends in strokes if bounds(ends).within(room) and abs(ends[0][0] - ends[1][0]) > 1.0]
            rising, falling = (
                sum((a[0] - b[0]) * (a[1] - b[1]) * way > 0.0 for a, b in inside) for way in (-1.0, 1.0)
            )
            assert rising >= (wide - 20.0) / 26.0, colours[item.colour]
            if colours[item.colour] == "zone_hit":  # Crossed; what comes too near is hatched one way.
                assert falling >= (wide - 20.0) / 26.0
            else:
                assert falling == 0


@pytest.mark.parametrize("name", ALWAYS)
def test_what_reaches_the_ground_is_barbed_as_well_as_red(name: str, built: object) -> None:
    """The worst fall's curve is red where it reaches the ground; a grey print shows short strokes across it there."""
    theme = fitted(brief(name)).theme
    drawing = next(each for each in drawn(name, "own") if each.name == "nobody-falls-here")
    red = [item for item in drawing.ink if isinstance(item, Line) and item.colour == theme.colours["alarm"]]
    curves = [item for item in red if item.width == 7.0 and not item.dash]
    barbs = np.array([np.mean(item.points, axis=0) for item in red if item.width == 3.0])
    assert curves or "leash fall" not in drawing.title
    for curve in curves:
        points = np.array(curve.points)
        if np.hypot(*np.diff(points, axis=0).T).sum() > 30.0:
            near = np.hypot(barbs[:, None, 0] - points[:, 0], barbs[:, None, 1] - points[:, 1]).min(axis=1)
            assert (near < 40.0).any()


@pytest.mark.parametrize("name", ALWAYS)
def test_each_curve_of_a_fall_is_one_thing_to_the_eye(name: str, built: object) -> None:
    """A reader who had not seen the program took a curve of two colours, one of them the backup's, for two: what is
    dashed is of one colour from end to end, no two curves have one dash, and no line of the rig has their colour."""
    theme = fitted(brief(name)).theme
    drawing = next(each for each in drawn(name, "own") if each.name == "nobody-falls-here")
    dashed: dict[float, set[str]] = {}
    for item in drawing.ink:
        if isinstance(item, Line) and item.dash and len(item.points) > 2:
            dashed.setdefault(item.dash, set()).add(item.colour)
    assert len(dashed) >= 2 and all(len(colours) == 1 for colours in dashed.values())
    rig = {theme.colours[role] for role in ("main", "backup", "leash")}
    assert not rig & {colour for colours in dashed.values() for colour in colours}


@pytest.mark.parametrize("name", ALWAYS)
def test_one_limit_of_wind_is_told_and_the_dial_is_red_from_there(name: str) -> None:
    """Clubs usually stop at 8 to 12 m/s in gusts (from memory, no source); more than the plan reckons with is no
    less a limit.  A reader took the amber between two limits for leave to go on."""
    wind, words = study(name).wind, brief(name).measures
    page = drawn(name, "own")[3]
    texts = [text.text for text, _ in layout.boxes(page.ink)]
    (told,) = [text for text in texts if text.startswith("Nobody out above")]
    own = wind.wind.speed * wind.wind.gust_factor if wind else math.inf
    assert ("gusts of this plan" in told) == (own < 8.0)
    assert any(text.startswith("Usual limits") for text in texts) == (own >= 8.0)
    assert own >= 8.0 or words.of(own, "speed", "down").removeprefix("≥ ") in told
    theme = fitted(brief(name)).theme
    (red,) = [item for item in page.ink if isinstance(item, Area) and item.colour == theme.colours["zone_hit"]]
    points = np.array(red.points)
    right, left = points[:, 0].max(), points[0]  # It ends at 20 m/s, on the dial's right; the dial is half a circle.
    bottom = points[:, 1].max()
    radius = 0.5 * ((right - left[0]) ** 2 + (bottom - left[1]) ** 2) / (right - left[0])
    share = math.acos(1.0 - (right - left[0]) / radius) / math.pi
    assert 20.0 * (1.0 - share) == pytest.approx(own if own < 8.0 else 12.0, abs=0.05)


@pytest.mark.parametrize("name", ALWAYS)
def test_who_is_asked_to_stand_in_a_no_fall_zone_is_told_so(name: str, built: object) -> None:
    """By the fall's own lowest feet, or the main's lowest line, against the ground straight below: no zone is asked."""
    stop = {item.text for item in drawn(name, "own")[3].ink if isinstance(item, Text)}
    found = study(name)
    for state in found.meter.states:
        if state.rig.walker is None:
            continue
        words = brief(name).measures
        at = words.say("tension-walker", at=Spot(state.rig.walker.at))
        fall = leash_fall_sweep(found.rig, np.array([state.rig.walker.at]), planned=found.planned)
        reached = bool(np.any(found.above_ground(fall.low.foot) <= 0.0))
        assert (at in stop) != (words.say("tension-stop-zone", at=Verbatim(at)) in stop)
        assert not reached or at not in stop


@pytest.mark.parametrize("name", ALWAYS)
def test_nothing_changes_when_nothing_changed(name: str, built: object) -> None:
    again = files.laid_out(brief(name), sheets=False)[0]
    for one, other in zip(drawn(name, "own"), again, strict=True):
        assert len(one.ink) == len(other.ink)
        for a, b in zip(one.ink, other.ink, strict=True):
            if isinstance(a, Bitmap):
                assert isinstance(b, Bitmap) and np.array_equal(a.pixels, b.pixels)
            elif not isinstance(a, Window):
                assert a == b

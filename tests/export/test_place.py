"""The place: one sentence, few labels that stand on nothing, every red place inside its picture."""

from __future__ import annotations

import dataclasses
import functools

import numpy as np
import pytest

from linescope.clearance.finding import AnchorZone
from linescope.clearance.ranked import event_of, places
from linescope.clearance.why import CauseKind, Why
from linescope.export import driver, picture
from linescope.stage import build
from linescope.stage.items import Stage
from linescope.stage.labels import Box
from linescope.topics.clearance.leading import RED, named
from tests.export import gathered
from tests.stage import rigs

SIZE = (2000, 1414)
POINT = 2000 / 297 * 25.4 / 72  # Pixels of a point on A4 lying down.


@pytest.fixture(autouse=True, scope="module")
def _driver() -> None:
    driver.probe()


@functools.cache
def staged(name: str, theme: str = "light", system: str = "metric") -> Stage:
    solution = rigs.solved(name)
    study = rigs.changed(rigs.study(name), clearance=gathered.clearance()) if name == "incline" else rigs.study(name)
    return build(
        solution, view="overview", ground=rigs.gorge(solution.rig), study=study, theme=theme, system=system, size=SIZE
    )


@functools.cache
def drawn(name: str, theme: str = "light") -> picture.Composition:
    return picture.compose(staged(name, theme), SIZE)


NAMES = ("trap", "heron", "incline", "long")


@pytest.mark.parametrize("name", NAMES)
def test_few_labels_and_three_red_ones(name: str) -> None:
    panel = staged(name).panel("rig")
    assert len(panel.labels) <= 12
    assert sum(label.colour == "alarm" for label in panel.labels) <= RED


@pytest.mark.parametrize("name", NAMES)
def test_no_text_is_under_ten_points_on_a4(name: str) -> None:
    assert min(word.size for word in drawn(name).words) >= 10 * POINT - 0.5


@pytest.mark.parametrize("name", NAMES)
def test_no_label_stands_on_another_or_on_a_body_or_is_left_out(name: str) -> None:
    picture_of, stage = drawn(name), staged(name)
    assert not picture_of.left_out
    panel = stage.panel("rig")
    left, top, right, bottom = (share * side for share, side in zip(panel.frame, (*SIZE, *SIZE), strict=True))
    frame = Box(left=left, top=top, right=right, bottom=bottom)
    texts = {label.text for label in panel.labels}
    words = [word for word in picture_of.words if word.text in texts]
    assert len(words) >= len(texts)
    for k, word in enumerate(words):
        assert word.box.within(frame), word.text
        assert not any(word.box.overlaps(other.box) for other in words[k + 1 :]), word.text
    size = (right - left, bottom - top)
    for surface in panel.surfaces:
        if surface.name != "walker":
            continue
        page = panel.camera.project(surface.points, size)[:, :2] + (left, top)
        low, high = page.min(axis=0), page.max(axis=0)
        body = Box(left=low[0], top=low[1], right=high[0], bottom=high[1])
        assert not any(word.box.overlaps(body) for word in words)
    for mark in panel.symbols:
        for x, y, _ in panel.camera.project(mark.points, size):
            reach = 0.4 * mark.size
            spot = Box(left=left + x - reach, top=top + y - reach, right=left + x + reach, bottom=top + y + reach)
            assert not any(word.box.overlaps(spot) for word in words if len(word.text) > 1), mark.name


@pytest.mark.parametrize("name", NAMES)
def test_every_red_place_lies_inside_the_picture(name: str) -> None:
    panel = staged(name).panel("rig")
    left, top, right, bottom = (share * side for share, side in zip(panel.frame, (*SIZE, *SIZE), strict=True))
    size = (right - left, bottom - top)
    points = [label.at for label in panel.labels if label.colour == "alarm"]
    points += [mark.points[0] for mark in panel.symbols if mark.name.startswith("place")]
    for x, y, depth in panel.camera.project(np.array(points).reshape(-1, 3), size):
        assert 0 < x < size[0] and 0 < y < size[1] and depth > 0


def test_the_title_is_red_only_where_something_is_reached() -> None:
    for name in NAMES:
        stage, clearance = staged(name), rigs.study(name).clearance or None
        if name == "incline":
            clearance = gathered.clearance()
        short = clearance.short if clearance is not None else ()
        tight = bool((rigs.solved(name).bays.excess < 0.0).any())
        reached = any(cause.distance <= 0.0 for cause in short)
        assert (stage.message == "alarm") == (reached or (tight and not short)), stage.title
        assert "safe" not in " ".join([stage.title, stage.question, stage.footer]).lower()
        assert not stage.alarms and not stage.boxes


def test_what_is_short_at_the_border_of_an_anchor_zone_is_told() -> None:
    found = gathered.clearance()
    cause = dataclasses.replace(
        found.findings[0].worst, distance=-0.02, station=4.3, family="gone", why=Why(kind=CauseKind.GONE_FLOOR)
    )
    bare = dataclasses.replace(
        found, findings=found.findings[1:], zones=(AnchorZone(anchor="A", length=4.3, asked=5.0, border=(cause,)),)
    )
    assert event_of(places(found)[0]) == "fall"
    (told, kept) = places(bare)
    assert (told.causes, told.zone, event_of(told), kept.is_met) == ((cause,), "A", "gone", True)
    solution = rigs.solved("incline")
    stage = build(solution, view="overview", study=rigs.changed(rigs.study("incline"), clearance=bare))
    assert (stage.title, stage.message) == (
        "If the main goes, feet can reach the ground, worst at 4.3 m from A", "alarm"
    )


def test_what_falls_short_without_any_fall_is_marked_too() -> None:
    found = gathered.clearance()
    model = found.findings[0].worst
    at = (4.0, 9.0, 14.0, 19.0, 24.0)
    feet = [
        dataclasses.replace(model, kind="body", family="fall", why=Why(kind=CauseKind.FALL), distance=-5.0 + k / 10,
                            station=station)
        for k, station in enumerate(at)
    ]  # fmt: skip
    loop = dataclasses.replace(
        model, kind="loop", family="rig", why=Why(kind=CauseKind.RIG), distance=-0.1, station=19.2
    )
    many = [dataclasses.replace(found.findings[0], causes=(cause,)) for cause in feet]
    many[3] = dataclasses.replace(many[3], causes=(feet[3], loop))
    told = places(dataclasses.replace(found, findings=tuple(many), zones=()))
    assert [(place.rank, place.kind, place.station) for place in named(told)] == [
        (1, "body", 4.0), (2, "body", 9.0), (4, "loop", 19.2),
    ]
    # Without it the three worst; and with nothing but it, it alone.
    assert [place.rank for place in named(tuple(place for place in told if place.rank != 4))] == [1, 2, 3]
    assert [place.kind for place in named((dataclasses.replace(told[3], causes=(loop,)),))] == ["loop"]
    solution = rigs.solved("incline")
    clearance = dataclasses.replace(found, findings=tuple(many), zones=())
    stage = build(solution, view="overview", study=rigs.changed(rigs.study("incline"), clearance=clearance))
    assert stage.title == (
        "Leash falls can reach the ground, worst at 4 m and 9 m from A (and 3 more); without any fall, a loop, "
        "at 19.2 m"
    )
    marked = [label.text for label in stage.panel("rig").labels if label.colour == "alarm"]
    assert [text.split(":")[0] for text in marked] == ["4 m", "9 m", "19.2 m"]


def test_without_ground_nothing_is_said_of_it() -> None:
    solution = rigs.solved("heron")
    stage = build(solution, view="overview", size=SIZE)
    assert stage.title == "No ground is known: nothing is said of what lies below"
    assert not any(wire.name in ("plumb", "track", "contour") for wire in stage.panel("rig").wires)


def test_heights_in_feet_are_in_feet() -> None:
    stage = staged("heron", system="feet")
    text = " ".join([stage.title, stage.question, *(label.text for label in stage.panel("rig").labels),
                     *(entry.text for entry in stage.key)])  # fmt: skip
    assert " ft" in text
    assert " m " not in f"{text} "

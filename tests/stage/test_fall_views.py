"""Numbers in the pictures of leash falls and of the loss of the main: what is drawn is what was found."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from linescope.clearance import RunReach
from linescope.stage import feet, person
from linescope.stage.ground import site
from linescope.terrain import Terrain
from linescope.topics.falls import picture as falls
from linescope.topics.falls import picture_zones as fall_zones
from linescope.topics.main_gone import picture as main_gone
from linescope.words import Words
from tests.stage import rigs
from tests.stage.drawn import brief_for, picture, texts, wire

HANDS = (-0.06, 0.12)
"""How much taller than from foot to head a body that hangs is drawn: its hands hold the leash above its head.  [m]"""


@pytest.mark.parametrize("name", ["heron", "incline"])
def test_bodies_hang_at_true_size_below_the_ring(name: str) -> None:
    rig = rigs.solved(name).rig
    (body, ring), (leash,) = person.hanging(
        rig.walker, np.array([3.0, 4.0, 5.0]), np.array([1.0, 0.0, 0.0]), rig.backup
    )
    man = rig.walker
    assert 5.0 - body.points[:, 2].min() == pytest.approx(man.leash + man.hang, abs=0.05)
    assert HANDS[0] <= np.ptp(body.points[:, 2]) - (man.hang + man.height - man.tie_in_height) <= HANDS[1]
    assert ring.points[:, 2].max() == pytest.approx(5.0, abs=0.02)
    assert leash.points[0, 2] - leash.points[1, 2] == pytest.approx(man.leash, abs=0.1)


def test_the_swept_bodies_are_those_of_the_falls() -> None:
    sweep = rigs.study("heron").fall_sweep
    panel = picture("heron", "no-fall").panel("swept")
    np.testing.assert_array_equal(wire(panel, "foot lowest"), rigs.study("heron").lower(sweep).low.foot)
    np.testing.assert_array_equal(wire(panel, "foot hanging"), sweep.hang.foot)
    lowest = min(s.points[:, 2].min() for s in panel.surfaces if s.name == "lowest")
    assert lowest == pytest.approx(sweep.low.foot[:, 2].min(), abs=0.05)
    man = sweep.rig.walker
    below = sweep.ring_standing[:, 2] - sweep.hang.foot[:, 2]
    given = man.mass * 9.80665 * (man.leash / man.leash_modulus + 1.0 / man.body_stiffness)
    np.testing.assert_allclose(below, man.leash + man.hang + given, rtol=1e-12)


def test_long_lines_show_falls_from_near_true_to_scale() -> None:
    sweep = rigs.study("long").fall_places
    stage = picture("long", "no-fall")
    near = [panel for panel in stage.panels if panel.name.startswith("fall ")]
    assert len(near) == 3 and len({panel.camera.half_height for panel in near}) == 1
    man = sweep.rig.walker
    for panel in near:
        (drop,) = panel.dimensions
        assert drop.start[2] - drop.end[2] == pytest.approx(drop.value, rel=1e-9)
        size = (panel.frame[2] - panel.frame[0]) * 2000, (panel.frame[3] - panel.frame[1]) * 1414
        for body in (s for s in panel.surfaces if s.name in ("hang", "lowest")):
            tall = man.hang + man.height - man.tie_in_height
            assert HANDS[0] <= np.ptp(body.points[:, 2]) - tall <= HANDS[1]
            page = panel.camera.project(body.points, size)
            assert np.ptp(page[:, 1]) > person.SEEN_HANGING  # Large enough to be seen.
            assert np.all((page[:, 1] > 30.0) & (page[:, 1] < size[1]))
    assert not [s for s in stage.panel("swept").surfaces if s.name in ("hang", "lowest")]
    lowest = sweep.ring_standing[sweep.lowest, 2] - sweep.low.foot[sweep.lowest, 2]
    assert any(panel.dimensions[0].value == pytest.approx(lowest, rel=1e-9) for panel in near)


def test_a_ring_that_runs_has_a_strip_and_a_name_of_its_own() -> None:
    stage = picture("heron", "no-fall")
    strip, swept = stage.panel("strip"), stage.panel("swept")
    assert {"the ring stays in its bay", "the ring runs along the main: where feet get"} <= set(texts(strip))
    assert any("feet if the ring runs (≤)" in text for text in texts(swept))
    runs = wire(swept, "foot, ring runs")
    page = swept.camera.project(runs, (2000.0, (swept.frame[3] - swept.frame[1]) * 1414))
    assert page[:, 1].max() < (swept.frame[3] - swept.frame[1]) * 1414  # None of it is below the picture.
    brief = dataclasses.replace(brief_for("heron"), solution=rigs.study("heron").taped)
    at, gaps = feet.over_ground(brief, runs)
    for zone in fall_zones.zones_running(brief, runs):
        inside = (at > zone.start) & (at < zone.end)
        if zone.kind == "zone_hit":
            assert np.all(gaps[inside] <= 0.5)  # The survey error.
        if zone.kind == "zone_kept":
            assert np.all(gaps[inside] >= 4.5)  # 3 asked for, 0.5 error, 1 margin.


def test_zones_follow_from_distances() -> None:
    """Of two that meet, the worse one reaches to the first place of the better one; none is left of one place alone."""
    brief = dataclasses.replace(brief_for("heron"), solution=rigs.study("heron").taped)
    bare = dataclasses.replace(brief, study=rigs.changed(brief.study, leave={"clearance"}))
    at = np.array([2.0, 6.0, 10.0, 14.0, 18.0])
    zones = fall_zones.zones_of(bare, at, np.array([0.4, 4.4, 4.6, np.nan, -1.0]))  # 0.5 error, 4.5 needed
    assert [(zone.kind, zone.start, zone.end) for zone in zones] == [
        ("zone_hit", 0.0, 6.0), ("zone_near", 6.0, 10.0), ("paper", 10.0, 14.0), ("zone_hit", 14.0, 48.0),
    ]  # fmt: skip


def test_ground_that_is_not_known_is_never_a_zone_that_is_kept() -> None:
    """Over a hole the nearest known ground is far away, which says nothing of what is in the hole."""
    brief = dataclasses.replace(brief_for("heron"), solution=rigs.study("heron").taped)
    clearance = dataclasses.replace(
        brief.study.clearance, no_fall_zones=(), runs=(), unknown=np.array([[9.0, 15.0]])
    )
    holed = dataclasses.replace(brief, study=rigs.changed(brief.study, clearance=clearance))
    zones = fall_zones.zones_of(holed, np.array([2.0, 6.0, 10.0, 14.0, 18.0]), np.array([9.0, 9.0, 9.0, 4.4, 9.0]))
    assert [(zone.kind, zone.start, zone.end) for zone in zones] == [
        ("zone_kept", 0.0, 6.0), ("paper", 6.0, 10.0), ("zone_near", 10.0, 18.0), ("zone_kept", 18.0, 48.0),
    ]  # fmt: skip


def test_the_strip_is_as_long_as_the_elevation_above_it() -> None:
    stage = picture("heron", "no-fall")
    swept, strip = stage.panel("swept"), stage.panel("strip")
    size = (2000.0, (swept.frame[3] - swept.frame[1]) * 1414)
    ends = swept.camera.project(np.array([[0.0, 0, 0], [48.0, 0, 0]]), size)[:, 0]
    xs = np.concatenate([surface.points[:, 0] for surface in strip.surfaces])
    assert (xs.min(), xs.max()) == pytest.approx(tuple(ends), abs=0.01)


def test_what_a_running_ring_reaches_is_said_and_marked() -> None:
    """As bounds, with the falls it comes from; on its strip nothing of it is called kept."""
    given = rigs.study("heron")
    reach = RunReach(
        from_a=(18.0, 26.0), from_b=(22.0, 30.0), worst=-5.0, worst_at=20.0, distance=-0.5, falls=((0.0, 30.0),),
        strikes=((2.0, 9.0),),
    )
    brief = dataclasses.replace(brief_for("heron"), solution=given.taped)
    runs = feet.lower_edge(given.running.floor_foot)
    for listed, kinds in (((), {fall_zones.KEPT}), ((reach,), {fall_zones.NEAR})):
        study = rigs.changed(given, clearance=dataclasses.replace(given.clearance, runs=listed))
        zones = fall_zones.zones_running(dataclasses.replace(brief, study=study), runs)
        assert {zone.kind for zone in zones if zone.start < 24.0 < zone.end} == kinds
        (box,) = [box for box in picture("heron", "no-fall", study=study).boxes if box.name == "zones"]
        said = box.lines[-1]
        assert "(≤, no friction)" in said
        stretch = "18 to 26 m from A (in falls from 0 to 30 m, to the ground from 2 to 9 m)"
        assert (stretch in said) == bool(listed)


def test_nothing_is_called_kept_where_the_ground_is_not_known() -> None:
    study = rigs.changed(rigs.study("heron"), leave={"ground", "index", "fall_gaps", "clearance"})
    stage = picture("heron", "no-fall", ground=None, study=study)
    assert {surface.name for surface in stage.panel("strip").surfaces} == {"paper"}
    (box,) = [box for box in stage.boxes if box.name == "zones"]
    assert any(line.startswith("Unknown") for line in box.lines)


def test_loss_of_the_main_is_drawn_where_it_was_found() -> None:
    gone = rigs.study("incline").main_gone
    stage = picture("incline", "main-gone")
    assert gone.tied
    assert [panel.name for panel in stage.panels] == ["nothing holds", "ties hold"]
    for release in (gone.nothing_holds, gone.ties_hold):
        panel = stage.panel(release.name)
        for name, ring in (("line rest", release.rest.ring[0]), ("line lowest", release.lowest.ring[0])):
            line = wire(panel, name)
            assert np.linalg.norm(line - ring, axis=1).min() < 1e-6
            assert line[:, 2].min() == pytest.approx(ring[2], abs=0.2)  # The line hangs through beside a resting ring.
        np.testing.assert_array_equal(wire(panel, "floor"), release.floor.most_foot[0])
        assert any(Words().length(float(release.rest.depth[0])) in text for text in texts(panel))
        for left in (dimension for dimension in panel.dimensions if dimension.name == "left"):
            np.testing.assert_array_equal(left.start, release.most.foot[0])  # What is left, not what may be left.
            assert left.start[2] - left.end[2] == pytest.approx(left.value)
    assert any(panel.dimensions for panel in stage.panels)
    assert stage.panels[0].camera.half_height == stage.panels[1].camera.half_height
    assert len(picture("heron", "main-gone").panels) == 1


def test_it_is_said_where_feet_reach_the_ground_and_never_too_short() -> None:
    """A level edge over a V-shaped gorge of known slopes: 10 m down at the middle of 48 m, the edge 5 m down."""
    brief = brief_for("heron")
    a, b = brief.solution.rig.main_a, brief.solution.rig.main_b
    across = np.array([0.0, 30.0, 0.0])
    middle, deep = (a + b) / 2, np.array([0.0, 0.0, 10.0])
    rows = [a - across, a + across, middle - across - deep, middle + across - deep, b - across, b + across]
    faces = np.array([[0, 1, 2], [1, 3, 2], [2, 3, 4], [3, 5, 4]])
    terrain = Terrain(vertices=np.array(rows), faces=faces, source="made")
    brief = dataclasses.replace(brief, ground=site(terrain, brief.solution.rig))
    edge = a + np.linspace(0.001, 0.999, 400)[:, None] * (b - a) - np.array([0.0, 0.0, 5.0])
    reached = feet.reached_stretches(brief, edge)
    assert reached is not None
    assert np.array(reached) == pytest.approx(np.array([[0.0, 12.0], [36.0, 48.0]]), abs=0.2)
    assert reached[0][1] >= 12.0
    assert reached[1][0] <= 36.0
    said = main_gone._reach(brief, edge)
    assert said.kind is main_gone.PictureNote.REACH and said.leads
    (_, one), (two, _) = said.values["stretches"].ends
    assert one >= 12.0 and two <= 36.0
    above = main_gone._reach(brief, (a + b) / 2 + np.linspace(-1, 1, 20)[:, None] * (b - a) / 48)
    assert above.kind is main_gone.PictureNote.CLEAR


def test_the_lower_edge_is_under_every_floor() -> None:
    release = rigs.study("incline").main_gone_sweep.ties_hold
    edge = feet.lower_edge(release.floor.foot)
    for floor in release.floor.foot:
        z = np.interp(floor[:, 0], edge[:, 0], edge[:, 2])
        assert np.all(z <= floor[:, 2] + 0.15)
    assert edge[:, 2].min() == pytest.approx(release.floor.foot[:, :, 2].min(), abs=0.1)


def test_borders_in_the_strip_are_widened_as_in_the_words():
    """By hand: of two zones that meet the worse one grows, and each to its end of the line."""
    zones = tuple(
        fall_zones.Zone(kind=kind, start=start, end=end)
        for kind, start, end in (
            (fall_zones.HIT, 0.0, 4.96), (fall_zones.NEAR, 4.96, 20.04), (fall_zones.KEPT, 20.04, 79.93),
            (fall_zones.HIT, 79.93, 100.02),
        )
    )
    assert falls._borders(zones) == [(0.0, "down"), (4.96, "up"), (20.04, "up"), (79.93, "down"), (100.02, "up")]
    words = Words()
    assert [words.place(at, bound) for at, bound in falls._borders(zones)[1:4]] == ["5 m", "20.1 m", "79.9 m"]

"""Numbers in the scene: what is drawn is what was solved.  A sag that is 10 % wrong fails here."""

from __future__ import annotations

import dataclasses
import math
import subprocess
import sys
from types import SimpleNamespace

import numpy as np
import pytest

from linescope.errors import InputError
from linescope.stage import VIEWS, build, dimensions, ground, person
from linescope.stage.items import Stage
from linescope.statics import Solution
from linescope.topics.state import picture_elevation as elevation
from tests.stage import rigs

NAMES = sorted(rigs.MAKERS)


def wire(stage: Stage, panel: str, name: str) -> np.ndarray:
    (found,) = [wire for wire in stage.panel(panel).wires if wire.name == name]
    return found.points


def drawn_sag(stage: Stage, panel: str) -> float:
    """Largest vertical distance of the drawn main below the drawn chord.  [m]"""
    main, chord = wire(stage, panel, "main"), wire(stage, panel, "chord")
    run = (chord[1] - chord[0])[:2]
    share = (main - chord[0])[:, :2] @ run / (run @ run)
    return float(np.max(chord[0, 2] + share * (chord[1, 2] - chord[0, 2]) - main[:, 2]))


def sagged(solution: Solution, factor: float) -> Solution:
    """The same solution with its main hanging too deep: what a drawing bug would show."""
    chord = solution.rig.main_a, solution.rig.main_b
    points = solution.main.nodes.copy()
    run = (chord[1] - chord[0])[:2]
    share = (points - chord[0])[:, :2] @ run / (run @ run)
    straight = chord[0][2] + share * (chord[1] - chord[0])[2]
    points[:, 2] = straight - factor * (straight - points[:, 2])
    return dataclasses.replace(solution, main=dataclasses.replace(solution.main, nodes=points))


def check_sag(stage: Stage, panel: str, solution: Solution) -> None:
    """Against statics by hand: a taut line under a point load and its own weight dips M / H below its chord.

    M is the bending moment of a beam of the same span, H the horizontal tension (general cable theorem; Irvine
    1981, chapter 2).  H comes from the anchor tension; slopes stay under 10 degrees, so 3 % is allowed.
    """
    rig = solution.rig
    span = float(np.linalg.norm((rig.main_b - rig.main_a)[:2]))
    weight = 9.80665 * (rig.main.mass + rig.backup.mass) * 1.04
    start = solution.main.nodes[1] - solution.main.nodes[0]
    h = solution.tension_a * math.hypot(start[0], start[1]) / float(np.linalg.norm(start))
    h += float(solution.backup.segments.tension_start[0]) if (solution.bays.excess < 0).any() else 0.0
    at = rig.walker.at / rig.span * span
    moment = 9.80665 * rig.walker.mass * at * (span - at) / span + weight * at * (span - at) / 2
    assert drawn_sag(stage, panel) == pytest.approx(moment / h, rel=0.03)


@pytest.mark.parametrize("name", ["heron", "trap", "long"])
@pytest.mark.parametrize(("view", "panel"), [("overview", "rig"), ("elevation", "profile")])
def test_the_drawn_sag_obeys_the_general_cable_theorem(name: str, view: str, panel: str) -> None:
    solution = rigs.solved(name)
    check_sag(build(solution, view=view), panel, solution)


@pytest.mark.parametrize("factor", [0.9, 1.1])
@pytest.mark.parametrize(("view", "panel"), [("overview", "rig"), ("elevation", "profile")])
def test_a_sag_ten_per_cent_wrong_fails_the_check(factor: float, view: str, panel: str) -> None:
    solution = rigs.solved("heron")
    with pytest.raises(AssertionError):
        check_sag(build(sagged(solution, factor), view=view), panel, solution)


@pytest.mark.parametrize("name", NAMES)
def test_the_rows_draw_every_loop_as_deep_as_solved(name: str) -> None:
    solution = rigs.solved(name)
    panel = build(solution, view="elevation").panel("rows")
    loops = {wire.name: wire.points for wire in panel.wires if wire.name.startswith("loop ")}
    assert len(loops) == len(solution.bays.loop_depth)
    for bay, depth in enumerate(solution.bays.loop_depth):
        points = loops[f"loop {bay + 1}"]
        line = np.interp(points[:, 0], points[[0, -1], 0], points[[0, -1], 2])
        drawn = float(np.max(line - points[:, 2])) / panel.stretch
        assert drawn == pytest.approx(depth, rel=2e-3, abs=1e-4), bay
        assert np.ptp(points[:, 0]) == pytest.approx(solution.bays.length[bay], rel=1e-9)


def test_loop_depth_follows_excess() -> None:
    # Shallow parabola: depth = bay * sqrt(3 e / 8); within 4 % at 6 % excess (the next term is e / 10 or so).
    solution = rigs.solved("heron")
    panel = build(solution, view="elevation").panel("rows")
    (points,) = [wire.points for wire in panel.wires if wire.name == "loop 8"]
    drawn = points[:, 2].max() - points[:, 2].min()
    expected = solution.bays.length[7] * math.sqrt(3 * solution.bays.excess[7] / 8)
    assert drawn / panel.stretch == pytest.approx(expected, rel=0.04)


@pytest.mark.parametrize("name", ["heron", "incline", "long", "short"])
def test_depth_dimensions_are_as_long_as_they_say(name: str) -> None:
    solution = rigs.solved(name)
    drawn = [d for d in build(solution, view="closeup").panel("bays").dimensions if d.name.startswith("loop depth")]
    assert drawn
    for dimension in drawn:
        bay = int(dimension.name.split()[-1]) - 1
        length = float(np.linalg.norm(dimension.end - dimension.start))
        assert dimension.value == solution.bays.loop_depth[bay]
        assert length == pytest.approx(dimension.value, rel=2e-3)
        assert float(dimension.text.split()[0]) / 100 == pytest.approx(dimension.value, rel=0.05)


@pytest.mark.parametrize("name", NAMES)
def test_ribbons_run_from_anchor_to_anchor_at_true_width(name: str) -> None:
    rig = rigs.solved(name).rig
    for surface in build(rigs.solved(name), view="overview").panel("rig").surfaces:
        if surface.name not in ("main", "backup"):
            continue
        kind = rig.main if surface.name == "main" else rig.backup
        corners = surface.points.reshape(-1, 4, 3)
        np.testing.assert_allclose(np.linalg.norm(corners[:, 1] - corners[:, 0], axis=1), kind.width, rtol=1e-9)
        ends = (rig.main_a, rig.main_b) if surface.name == "main" else (rig.backup_a, rig.backup_b)
        np.testing.assert_allclose(corners[[0, -1]].mean(axis=1), ends, atol=kind.thickness)


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(("view", "panel"), [("elevation", "profile"), ("closeup", "bays")])
def test_every_tape_has_its_symbol_at_its_place(name: str, view: str, panel: str) -> None:
    solution = rigs.solved(name)
    marks = build(solution, view=view).panel(panel).symbols
    for family in {tape.family for tape in solution.layout.tapes}:
        (group,) = [mark for mark in marks if mark.name == family]
        chosen = [tape.family == family for tape in solution.layout.tapes]
        np.testing.assert_array_equal(group.points, solution.tape_points[chosen])


def test_the_walker_has_his_height_and_his_leash_its_length() -> None:
    solution = rigs.solved("incline")
    surfaces, (leash,) = person.walker(solution)
    body = next(surface for surface in surfaces if surface.name == "walker")
    feet, man = solution.walker_point, solution.rig.walker
    assert body.points[:, 2].min() - feet[2] == pytest.approx(0.0, abs=0.02)
    hair = body.points[body.triangles[body.colour == body.colours.index("hair")]]
    assert hair[..., 2].max() - feet[2] == pytest.approx(man.height, abs=0.02)  # His arms are raised above it.
    assert np.linalg.norm(np.diff(leash.points, axis=0), axis=1).sum() == pytest.approx(man.leash, rel=1e-3)
    ring = next(surface for surface in surfaces if surface.name == "ring")
    main = solution.main.sample(200).points
    gap = np.linalg.norm(main[:, None] - ring.points.mean(axis=0), axis=2).min()
    assert gap < np.ptp(ring.points[:, 2]) / 2  # the main passes through the ring


def test_nobody_on_the_line_draws_nobody() -> None:
    assert person.walker(rigs.solved("short")) == ((), ())
    assert person.sign(rigs.solved("short"), 1.0) == ((), ())


def test_a_walker_too_small_to_be_seen_has_a_sign_over_his_feet_that_says_it_is_not_to_scale() -> None:
    solution = rigs.solved("long")
    stage = build(solution, view="elevation")
    panel = stage.panel("profile")
    (sign,) = [mark for mark in panel.symbols if mark.symbol == "walker"]
    page = panel.camera.project(np.array([solution.walker_point, sign.points[0]]), (2000.0, 360.0))
    assert page[0, 0] == pytest.approx(page[1, 0], abs=0.5)
    assert page[1, 1] < page[0, 1]
    (legend,) = [box.legend for box in stage.boxes if box.legend]
    assert any("not to scale" in entry.text for entry in legend if entry.symbol == "walker")
    near = build(rigs.solved("heron"), view="elevation")
    assert not [mark for mark in near.panel("profile").symbols if mark.symbol == "walker"]


@pytest.mark.parametrize("name", ["heron", "trap", "incline", "long"])
def test_the_walker_is_whole_in_the_close_up_or_not_in_it(name: str) -> None:
    stage = build(rigs.solved(name), view="closeup")
    panel = stage.panel("bays")
    size = 2000.0, (panel.frame[3] - panel.frame[1]) * 1414
    (body,) = [surface for surface in panel.surfaces if surface.name == "walker"]
    page = panel.camera.project(body.points, size)[:, :2]
    inside = np.all((page > 0.0) & (page < np.array(size)), axis=1)
    assert inside.all() or not inside.any()


def test_a_deepest_loop_under_the_walker_is_shown_with_him() -> None:
    solution = rigs.solved("heron")
    bay = dimensions.walker_bay(solution)
    depth = np.where(np.arange(len(solution.bays.loop_depth)) == bay, 2.0, 1.0) * solution.bays.loop_depth
    deeper = dataclasses.replace(solution, bays=dataclasses.replace(solution.bays, loop_depth=depth))
    panel = build(deeper, view="closeup").panel("bays")
    assert f"loop depth {bay + 1}" in {dimension.name for dimension in panel.dimensions}
    size = 2000.0, (panel.frame[3] - panel.frame[1]) * 1414
    (body,) = [surface for surface in panel.surfaces if surface.name == "walker"]
    page = panel.camera.project(body.points, size)[:, :2]
    assert np.all((page > 0.0) & (page < np.array(size)))


def test_rows_break_at_tapes_and_cover_the_line_once() -> None:
    for name in NAMES:
        stations = np.concatenate([[0.0], np.cumsum(rigs.solved(name).bays.length)])
        rows = elevation.row_breaks(stations)
        assert [bay for first, last in rows for bay in range(first, last)] == list(range(len(stations) - 1))


def test_exaggeration_is_stated_where_it_is_used_and_only_there() -> None:
    for name in NAMES:
        panel = build(rigs.solved(name), view="elevation").panel("rows")
        assert ("times too large" in panel.caption) == (panel.stretch != 1.0)
        assert ("True to scale" in panel.caption) == (panel.stretch == 1.0)
    assert elevation.choose_stretch(40.0, 100.0) == 1.0
    assert elevation.choose_stretch(5.0, 100.0) == 8.0
    assert elevation.choose_stretch(5.0, 12.0) == 2.0


def test_telling_bays_hold_the_extremes() -> None:
    solution = rigs.solved("incline")
    depth = solution.bays.loop_depth
    chosen = dimensions.telling_bays(solution, 8)
    assert len(chosen) == 8
    assert {int(depth.argmax()), int(depth.argmin()), dimensions.walker_bay(solution)} <= set(chosen)


def test_height_of_a_tilted_plane_and_of_an_overhang() -> None:
    corners = np.array([[0.0, 0, 0], [10, 0, 10], [0, 10, 0], [10, 10, 10]])
    plane = SimpleNamespace(vertices=corners, faces=np.array([[0, 1, 2], [1, 3, 2]]))
    points = np.array([[2.0, 3, 50], [7.5, 1, 50], [11, 1, 50], [2, 3, 1.0]])
    np.testing.assert_allclose(ground.height_below(plane, points), [2.0, 7.5, np.nan, np.nan])
    roof = corners + np.array([0, 0, 20])
    both = SimpleNamespace(
        vertices=np.concatenate([corners, roof]), faces=np.concatenate([plane.faces, plane.faces + 4])
    )
    np.testing.assert_allclose(ground.height_below(both, points[[0, 0]] - [[0, 0, 0], [0, 0, 40]]), [22.0, 2.0])


def test_plumb_lines_reach_the_ground() -> None:
    solution = rigs.solved("heron")
    gorge = rigs.gorge(solution.rig)
    plumbs = [w.points for w in build(solution, view="overview", ground=gorge).panel("rig").wires if w.name == "plumb"]
    assert len(plumbs) == 3
    for top, bottom in plumbs:
        near = np.linalg.norm(gorge.vertices[:, :2] - bottom[:2], axis=1).argsort()[:6]
        assert gorge.vertices[near, 2].min() - 1.0 < bottom[2] < gorge.vertices[near, 2].max() + 1.0
        np.testing.assert_allclose(top[:2], bottom[:2])


def test_unknown_views_are_refused_with_the_list() -> None:
    with pytest.raises(InputError, match="overview, elevation, "):
        build(rigs.solved("heron"), view="birdseye")


def test_a_stage_is_made_without_any_drawing_library() -> None:
    script = (
        "import sys\nfrom tests.stage import rigs\nfrom linescope.stage import VIEWS, build\n"
        "for view in rigs.drawable('short'): build(rigs.solved('short'), view=view, study=rigs.study('short'))\n"
        "print([m for m in ('vtkmodules', 'pyvista', 'matplotlib', 'PIL', 'trimesh') if m in sys.modules])\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_views_are_in_the_order_of_the_brief() -> None:
    # Place, tension, loops, tapes, falls and failure, wind: the order of a briefing sheet (common practice, no source).
    own = ["overview", "elevation", "tension", "loops-from-a", "closeup", "tape-map", "no-fall", "main-gone"]
    assert [view for view in VIEWS if view in own] == own
    assert list(VIEWS).index("friction") > list(VIEWS).index("main-gone")

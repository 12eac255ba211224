"""The rig in space: its file read back by trimesh and VTK, readers that are not ours, and by the rules of glTF."""

from __future__ import annotations

import dataclasses
import gzip
import io
import json
import math
import re
import struct
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import trimesh
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from PIL import Image

from linescope.clearance import GroundIndex, NoFallZone
from linescope.clearance.ranked import places
from linescope.contact.ledger import Face
from linescope.errors import OutputError
from linescope.export.space import Space, space, unpacked, write_space
from linescope.export.space.container import Container, to_y_up
from linescope.export.space.findings import kept
from linescope.export.space.land import HALF, bytes_of
from linescope.export.space.layers import rub_classes, scale
from linescope.export.space.shapes import FAST, STEP, StateShapes, at_time
from linescope.export.space.states import States
from linescope.export.space.states import places as walker_places
from linescope.motion import leash_fall_in_time
from linescope.rig import Anchors
from linescope.stage import faces, moving, relief
from linescope.stage.ground import site
from linescope.stage.relief import LineFrame
from linescope.stage.ring import ring_of
from linescope.stage.theme import LIGHT
from linescope.statics import Solution, solve
from linescope.study import COURSE, Study
from linescope.terrain import Terrain
from linescope.terrain.model import Texture, together
from linescope.words import Words
from tests.export import gathered
from tests.stage import rigs

FAR = np.array([486_000.0, 5_412_000.0, 1_730.0])  # A place on a national grid: 32 bits alone keep half a metre there.


@pytest.fixture(scope="module")
def study() -> Study:
    return rigs.changed(rigs.study("heron"), wear=gathered.wear("heron"))


@pytest.fixture(scope="module")
def made(study: Study) -> Space:
    return space(study, Words("metric"), ground=site(study.ground, study.rig), detail="whole")


@pytest.fixture(scope="module")
def feet(study: Study) -> Space:
    """As a page holds it, in feet."""
    return space(study, Words("feet"), ground=site(study.ground, study.rig))


@pytest.fixture(scope="module")
def file(made: Space, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_space(tmp_path_factory.mktemp("space") / "rig.glb", made)[0]


def state(made: Space, key: str) -> dict[str, Any]:
    return dict(next(one for one in made.data["states"] if one["key"] == key))


def document(glb: bytes) -> dict[str, Any]:
    magic, version, length = struct.unpack_from("<4sII", glb)
    assert (magic, version, length) == (b"glTF", 2, len(glb))
    size, kind = struct.unpack_from("<I4s", glb, 12)
    assert kind == b"JSON"
    return dict(json.loads(glb[20 : 20 + size]))


def carried(made: Space, points: np.ndarray) -> np.ndarray:
    """Places of the JSON in the rig's frame, by the matrix of the file's root (glTF 2.0, 3.5.2: column by column)."""
    (root,) = [node for node in document(made.glb)["nodes"] if node["name"] == "linescope"]
    matrix = np.array(root["matrix"]).reshape(4, 4).T
    up = np.stack([points[..., 0], points[..., 2], -points[..., 1]], axis=-1)
    there = up @ matrix[:3, :3].T + matrix[:3, 3]
    return np.stack([there[..., 0], -there[..., 2], there[..., 1]], axis=-1)


def world(scene: trimesh.Scene, name: str) -> np.ndarray:
    """Points of a node in the rig's frame, by trimesh's own transforms: the first geometry of that name."""
    node = next(n for n in scene.graph.nodes_geometry if scene.graph[n][1] == name)
    transform, geometry = scene.graph[node]
    points = trimesh.transform_points(scene.geometry[geometry].vertices, transform)
    # glTF 2.0, section 3.4: y up, so that z of the rig is y and y of the rig is -z.
    return np.column_stack([points[:, 0], -points[:, 2], points[:, 1]])


# Arrays


@given(
    arrays(np.float64, st.tuples(st.integers(1, 4), st.integers(1, 5), st.integers(1, 3)),
           elements=st.one_of(st.floats(-60.0, 60.0), st.just(math.nan))),
    st.booleans(),
)
def test_packed_numbers_come_back_to_half_a_step(values: np.ndarray, rows: bool) -> None:
    container = Container(LIGHT, LineFrame.of(rigs.heron()))
    packed = container.packed(values, STEP, rows=rows)
    found = unpacked(container.bytes(), packed)
    np.testing.assert_array_equal(np.isnan(found), np.isnan(values))
    known = ~np.isnan(values)
    assert np.abs(found - values)[known].max(initial=0.0) <= 0.5 * STEP + 1e-9


def test_steps_too_long_for_16_bits_are_kept_too() -> None:
    container = Container(LIGHT, LineFrame.of(rigs.heron()))
    values = np.array([[[0.0], [400.0]], [[-400.0], [400.0]]])
    packed = container.packed(values, STEP)
    np.testing.assert_allclose(unpacked(container.bytes(), packed), values, atol=STEP)


# States


def nearest(points: np.ndarray, curve: np.ndarray) -> np.ndarray:
    """Distance of points from a polyline, by brute force."""
    a, b = curve[:-1], curve[1:]
    along = b - a
    share = np.clip(((points[:, None] - a) * along).sum(2) / (along**2).sum(1), 0.0, 1.0)
    return np.asarray(np.linalg.norm(points[:, None] - (a + share[..., None] * along), axis=2).min(axis=1))


def lies_on(made: Space, shape: dict[str, Any], k: int, solution: Solution) -> None:
    """Points of frame k lie on the solved catenaries, tapes and feet where they are."""
    half = 0.5 * STEP * math.sqrt(3.0) + 1e-6
    for line, curve in (("main", solution.main), ("backup", solution.backup)):
        points = carried(made, unpacked(made.glb, shape[line])[k])
        pieces = made.data["lines"][line]["pieces"]
        assert len(points) == made.data["bays"] * pieces + 1
        tapes = points[np.array(shape["tapes"][line])]
        assert np.abs(tapes - solution.tape_points).max() <= half
        away = nearest(points, curve.sample(200).points)
        ring = ring_of(solution)
        if line == "backup" and ring is not None and ring.gathers:  # The ring lifts the loop that it hangs in.
            away[ring.bay * pieces + 1 : (ring.bay + 1) * pieces] = 0.0
            assert np.linalg.norm(points - ring.through, axis=1).min() <= half
        assert away.max() <= half + 2e-4  # What a polyline of 200 pieces lies off its curve.
    feet = solution.walker_point
    if feet is not None:
        main = carried(made, unpacked(made.glb, shape["main"])[k])
        assert np.linalg.norm(main - feet, axis=1).min() <= half
        assert np.linalg.norm(carried(made, unpacked(made.glb, shape["feet"])[k, 0]) - feet) <= half


def test_places_are_those_of_the_solutions(made: Space, study: Study) -> None:
    walker = state(made, "walker")
    assert walker["count"] == len(walker["x"]) >= 40
    assert np.diff(walker["x"]).max() <= 6.5  # Fifteen falls on 100 m, halved and halved again.
    assert study.rig.walker is not None
    assert np.abs(np.array(walker["x"]) - study.rig.walker.at).min() < 1e-3
    for k in (0, 17, walker["count"] - 1):
        rig = study.rig.with_walker_at(float(walker_places(study)[k]))
        lies_on(made, walker["shape"], k, solve(rig, planned=replace(study.planned, rig=rig)))
    lies_on(made, state(made, "empty")["shape"], 0, study.standing)


def test_a_blend_of_neighbours_is_as_far_off_as_is_said(made: Space, study: Study) -> None:
    """No tape is farther off than that half way between two places, and it is not said much worse than it is."""
    walker, off = state(made, "walker"), []
    main = carried(made, unpacked(made.glb, walker["shape"]["main"]))[:, np.array(walker["shape"]["tapes"]["main"])]
    for k in range(0, walker["count"] - 1, 3):
        rig = study.rig.with_walker_at(0.5 * (walker["x"][k] + walker["x"][k + 1]))
        true = solve(rig, planned=replace(study.planned, rig=rig)).tape_points
        off.append(np.linalg.norm(0.5 * (main[k] + main[k + 1]) - true, axis=1).max())
    assert max(off) <= walker["between"] + STEP
    assert max(off) >= walker["between"] / 6.0


def test_figures_of_bays_are_those_of_the_solution(made: Space, study: Study) -> None:
    shape, bays = state(made, "empty")["shape"], study.standing.bays
    for line in ("main", "backup"):
        found = unpacked(made.glb, shape["tension"][line])[0]
        np.testing.assert_allclose(found, getattr(bays, f"{line}_tension"), atol=5.001)
    depth = unpacked(made.glb, shape["depth"])[0]
    tight = bays.excess < 0.0
    assert np.isnan(depth[tight]).all()
    np.testing.assert_allclose(depth[~tight], bays.loop_depth[~tight], atol=0.00251)
    told = shape["depthText"]
    texts = [told["of"][int(k)] for k in unpacked(made.glb, told["t"])[0]]
    words = Words("metric")
    assert texts == [
        words.say("frame-tight") if one else words.length(float(d))
        for one, d in zip(tight, bays.loop_depth, strict=True)
    ]


def test_heights_are_over_the_ground_that_the_study_knows(made: Space, study: Study) -> None:
    """The least of each bay, against a walk along its loop in small steps."""
    above = unpacked(made.glb, state(made, "empty")["shape"]["above"])[0]
    for bay in (0, 7, made.data["bays"] - 1):
        loop = study.standing.loop(bay, 400)
        assert above[bay] == pytest.approx(float(np.nanmin(study.above_ground(loop))), abs=0.12)


@pytest.mark.parametrize("key", ["fall", "gone", "gust"])
def test_frames_are_the_states_of_the_motion(made: Space, study: Study, key: str) -> None:
    film = state(made, key)
    assert film["kind"] == "film"
    motion = study.get(f"{key}_course").motion
    model = motion.mesh.model
    x = np.array(film["x"])
    assert x[0] == 0.0
    assert x[-1] == pytest.approx(motion.frame_time[-1], abs=1e-3)
    assert (np.diff(x) > 0.0).all()
    main, backup = (carried(made, unpacked(made.glb, film["shape"][line])) for line in ("main", "backup"))
    for k in (0, film["count"] // 2, film["count"] - 1):
        true = at_time(motion, float(x[k]))
        # Times are told to a millisecond, in which nothing here goes farther than a few centimetres.
        assert np.abs(main[k] - true[: model.main]).max() <= 0.03
        assert np.abs(backup[k] - true[model.main : model.slots]).max() <= 0.03
    exact = np.flatnonzero(np.abs(motion.frame_time - x[0]) < 1e-12)[0]
    assert np.abs(main[0] - motion.points[exact, : model.main]).max() <= 0.5 * FAST + 1e-6
    assert len(film["figures"]["values"]) == len(film["xText"]) == film["count"]


def test_a_main_that_parts_is_two_runs_from_that_frame_on(made: Space, study: Study) -> None:
    film, motion = state(made, "gone"), study.gone_course.motion
    parted = film["shape"]["parted"]
    assert parted["after"] == motion.mesh.model.cut
    x = np.array(film["x"])
    main = unpacked(made.glb, film["shape"]["main"])
    gap = np.linalg.norm(main[:, parted["after"] + 1] - main[:, parted["after"]], axis=1)
    assert gap[-1] > gap[0]
    for number, gone in enumerate(film["shape"]["tapes"]["gone"]):
        when = motion.tape_time[number]
        assert gone is None if np.isnan(when) else x[gone] >= when - 1e-3 > x[max(gone - 1, 0)] - 2e-3


def test_forces_over_time_keep_their_largest(made: Space, study: Study) -> None:
    trace, motion = state(made, "fall")["trace"], study.fall_course.motion
    series = {one["role"]: one for one in trace["series"]}
    assert series["leash"]["peak"]["value"] == pytest.approx(motion.leash.most, abs=0.06)
    assert unpacked(made.glb, series["leash"]["values"]).max() == pytest.approx(motion.leash.most, abs=5.1)
    assert trace["top"] >= series["leash"]["peak"]["value"]


def test_a_film_tells_where_feet_come_to_the_ground_and_goes_on(study: Study) -> None:
    air = leash_fall_in_time(study.planned, study.rig.walker.at, frame=COURSE).motion
    feet = np.array([moving.moment(air, float(time)).foot for time in air.frame_time])
    level = 0.5 * float(feet[0, 2] + feet[:, 2].min())
    far = 1e3 * np.array([[-1.0, -1.0], [1.0, -1.0], [1.0, 1.0], [-1.0, 1.0]])
    flat = Terrain(
        vertices=np.column_stack([far, np.full(4, level)]), faces=np.array([[0, 1, 2], [0, 2, 3]]), source="flat",
        kind="grid",
    )
    index = GroundIndex(flat)
    course = leash_fall_in_time(study.planned, study.rig.walker.at, ground=index, frame=COURSE)
    shallow = rigs.changed(study, leave={"clearance"}, index=index, fall_course=course)
    container = Container(LIGHT, LineFrame.of(study.rig))
    film = States(StateShapes(container, shallow, Words("metric")), shallow, films=True).fall()
    assert film is not None
    lands = film["trace"]["lands"]
    first = float(air.frame_time[np.flatnonzero(feet[:, 2] < level)[0]])  # By looking at every frame of a fall in air.
    between = float(np.diff(air.frame_time).max())
    assert first - between - 5e-3 <= lands["x"] <= first + 5e-3 < film["seconds"]
    foot = moving.moment(course.motion, lands["x"]).foot
    assert foot[2] == pytest.approx(level, abs=0.02)
    assert lands["p"] == pytest.approx(LineFrame.of(study.rig).local(foot[None])[0], abs=0.02)
    after = np.array([moving.moment(course.motion, float(time)).foot for time in film["x"] if time > lands["x"]])
    assert len(after) > 10 and after[:, 2].min() > level - 0.02


@pytest.mark.parametrize("within", [True, False])
def test_a_fall_that_drags_the_line_onto_the_ground_says_so(study: Study, within: bool) -> None:
    at = float(study.fall.figures.at[0])
    ends = (at - 2.0, at + 2.0) if within else (at + 1.0, at + 2.0)
    span = study.rig.span
    drag = NoFallZone(from_a=ends, from_b=(span - ends[1], span - ends[0]), worst=-0.1, worst_at=ends[0])
    dragged = rigs.changed(study, clearance=replace(study.clearance, drags=(drag,)))
    container, words = Container(LIGHT, LineFrame.of(study.rig)), Words("metric")
    found = States(StateShapes(container, dragged, words), dragged, films=False).fall()
    assert found is not None
    (said,) = found["verdict"]
    assert words.place(at) in said["text"]
    assert ("drags the main" in said["text"]) is within
    if within:
        assert said["grade"] == "reached"


def test_with_nobody_on_it_lines_are_compared_with_the_ground(made: Space, study: Study) -> None:
    terrain, needs, words = study.ground, study.rig.needs, Words("metric")
    assert needs is not None
    mesh = trimesh.Trimesh(terrain.vertices, terrain.faces, process=False)
    found = []
    for line, asked in ((study.standing.main, needs.line), (study.standing.backup, needs.loop)):
        points = line.sample(25).points
        at = study.rig.along_chord(points)
        fine = np.linspace(needs.anchor_zone, study.rig.span - needs.anchor_zone, 4000)
        points = np.array([np.interp(fine, at, points[:, axis]) for axis in range(3)]).T
        _, distance, _ = trimesh.proximity.closest_point(mesh, points)
        found.append((float(distance.min()), asked + needs.survey_error + needs.margin))
    (said,) = state(made, "empty")["verdict"]
    if all(distance >= asked for distance, asked in found):
        assert said["grade"] in ("kept", "unknown")
        least = min(distance for distance, _ in found)
    else:
        assert said["grade"] == "near"
        least = min(found, key=lambda each: each[0] - each[1])[0]
    told = {words.length(least - off, "down") for off in (0.0, 0.01, 0.02)}  # A lower bound, of curves between points.
    assert any(text in said["text"] for text in told), (said, told)


def test_nobody_and_no_ground_says_nothing_of_it(study: Study) -> None:
    words = Words("metric")
    bare = rigs.changed(study, leave={"clearance", "index"})
    assert kept(bare, words, study.standing, "as it is") == {"grade": "unknown", "text": "as it is"}


def test_what_is_not_computed_is_still_and_says_why(study: Study) -> None:
    left = rigs.changed(study, leave={"fall_course", "gone_course", "wear"})
    found = space(left, Words("metric"), films=False)
    assert state(found, "fall")["kind"] == state(found, "gone")["kind"] == "still"
    assert {"crossing"}.isdisjoint(one["key"] for one in found.data["states"])
    assert found.data["layers"]["rub"] is None
    assert found.data["ground"] is None
    assert found.data["why"]["rub"] == Words("metric").say("study-not-asked")
    lies_on(found, state(found, "empty")["shape"], 0, study.standing)


def test_nobody_on_it() -> None:
    alone = rigs.study("short")
    found = space(alone, Words("metric"), films=False)
    assert [one["key"] for one in found.data["states"]] == ["empty", "settled"]
    lies_on(found, state(found, "settled")["shape"], 0, alone.settled)
    assert np.ptp(alone.settled.bays.loop_length) > 0.05 + np.ptp(alone.standing.bays.loop_length)  # It has slid.
    assert found.data["walker"] is None
    assert found.data["curve"] is None
    assert found.data["first"] == "empty"
    assert "walker" in found.data["why"]

    def empty(data: Any) -> bool:
        if isinstance(data, dict):
            return any(empty(value) for value in data.values())
        return isinstance(data, list) and (data == [] or any(empty(value) for value in data))

    assert not empty(document(found.glb))  # glTF 2.0, JSON schema: lists have at least one item.


# Sentences, places, layers


def texts(data: Any) -> Iterator[str]:
    if isinstance(data, dict):
        for value in data.values():
            yield from texts(value)
    elif isinstance(data, list):
        for value in data:
            yield from texts(value)
    elif isinstance(data, str):
        yield data


def test_no_metric_figure_in_feet_and_the_same_states(made: Space, feet: Space) -> None:
    wrong = [text for text in texts(feet.data) if re.search(r"\d\s?(m|cm|mm|kN|N|kg|J|m/s)\b", text)]
    assert wrong == []
    few, all_ = ({one["name"] for one in document(each.glb)["meshes"]} for each in (feet, made))
    assert few < all_
    assert {"ground", "contours", "person standing"} <= few
    assert [one["key"] for one in feet.data["states"]] == [one["key"] for one in made.data["states"]]
    assert state(feet, "walker")["x"] == state(made, "walker")["x"]


def test_worst_places_are_those_of_the_verdict_with_body_and_gap(made: Space, study: Study) -> None:
    assert study.clearance
    findings = [place.worst for place in places(study.clearance)]
    assert findings and [one["rank"] for one in made.data["worst"]] == list(range(1, len(findings) + 1))
    for told, finding in zip(made.data["worst"], findings, strict=True):
        assert np.abs(carried(made, np.array(told["point"])) - finding.point).max() < 1e-3
        assert np.abs(carried(made, np.array(told["nearest"])) - finding.nearest).max() < 1e-3
        assert told["met"] == finding.is_met
        if finding.kind == "body":
            assert told["state"] == "fall"
            body = np.array([told["body"]["top"], told["body"]["foot"]])
            sweep = study.lower(study.fall_sweep)
            k = int(np.argmin(np.abs(sweep.at - finding.walker)))
            if abs(sweep.at[k] - finding.walker) < 1e-6:
                assert np.abs(carried(made, body) - [sweep.low.head[k], sweep.low.foot[k]]).max() < 1e-3
        words = Words("metric")
        assert words.place(finding.station) in told["text"]
        assert words.length(finding.needed, "up") in told["text"]


def test_what_is_in_rock_is_marked_on_the_ground_under_the_line(made: Space, study: Study) -> None:
    """Not on the side of the rock that is nearest to it, which may be metres away along the line."""
    assert study.clearance
    deep = [place.worst for place in places(study.clearance) if place.distance <= 0.0]
    assert deep
    for told, cause in zip(made.data["worst"], deep, strict=False):
        spot = carried(made, np.array(told["p"]))
        assert np.abs(spot[:2] - cause.point[:2]).max() < 1e-3
        assert study.index
        gap, _, _ = study.index.vertical_gap(spot[None] + [0.0, 0.0, 0.02])
        assert gap[0] == pytest.approx(0.02, abs=0.01)


def test_the_sentence_at_a_place_is_that_of_its_fall(made: Space, study: Study) -> None:
    walker, gaps, needs = state(made, "walker"), study.fall_gaps, study.rig.needs
    assert needs is not None
    asked = needs.body + needs.survey_error + needs.margin
    words = Words("metric")
    for at, told in zip(walker["x"], walker["verdict"], strict=True):
        beside = np.flatnonzero(np.abs(gaps.at - at) <= np.diff(gaps.at).max() - 1e-3)
        around = [k for k in beside if abs(gaps.at[k] - at) < 2e-3] or list(beside)
        k = min(around, key=lambda k: gaps.lowest[k])  # Of the falls on both sides the one that leaves less.
        gap = float(gaps.lowest[k])
        grade = "reached" if gap <= needs.survey_error else "near" if gap < asked else "kept"
        assert told["grade"] == grade
        assert words.place(float(gaps.at[k])) in told["text"]
        assert words.length(abs(gap), "down" if gap > 0.0 else "up") in told["text"]


def test_the_curve_is_what_falls_leave(made: Space, study: Study) -> None:
    series = {one["key"]: one for one in made.data["curve"]["series"]}
    found = unpacked(made.glb, series["left"]["values"])[:, 0]
    np.testing.assert_allclose(found, study.fall_gaps.lowest, atol=1e-3)
    np.testing.assert_allclose(series["left"]["x"], study.fall_sweep.at, atol=1e-3)
    needs = study.rig.needs
    assert needs is not None
    asked = needs.body + needs.survey_error + needs.margin
    assert [tick for tick, _ in series["left"]["ticks"]] == pytest.approx([0.0, asked, 2.0 * asked])
    height = unpacked(made.glb, series["height"]["values"])[:, 0]
    feet = [study.rig.with_walker_at(float(at)) for at in walker_places(study)[:3]]
    stood = [solve(rig, planned=replace(study.planned, rig=rig)).walker_point for rig in feet]
    np.testing.assert_allclose(height[:3], study.above_ground(np.array(stood)), atol=1e-3)
    depth = unpacked(made.glb, series["feet"]["values"])[:, 0]
    np.testing.assert_allclose(depth, study.rig.below_anchors(study.lower(study.fall_sweep).low.foot), atol=1e-3)


def test_rub_is_the_worst_of_what_a_point_stands_for(made: Space, study: Study) -> None:
    """Against every bin one by one: none is lost between two points."""
    wear = study.wear
    most = scale(wear)
    for face in Face:
        ledger = wear.day.value.faces[face]
        at = np.linspace(0.0, ledger.length, 60)
        found = rub_classes(ledger, at, most)
        edges = np.concatenate(([0.0], 0.5 * (at[1:] + at[:-1]), [ledger.length]))
        classes = faces.classes(ledger.per_metre, most)
        for k, (low, high) in enumerate(pairwise(edges)):
            inside = (ledger.edges[1:] > low + 1e-9) & (ledger.edges[:-1] < high - 1e-9)
            assert found[k] >= classes[inside].max()
    top = unpacked(made.glb, state(made, "walker")["rub"]["backup_under"])[0]
    assert top.max() == max(
        faces.classes(wear.day.value.faces[Face.BACKUP_UNDER].per_metre, most)
    )
    legend = made.data["layers"]["rub"]["legend"]
    assert [one["class"] for one in legend] == list(range(len(faces.ROLES)))
    assert int(top.max()) < len(legend)


def test_ribbons_are_painted_with_the_rub_of_their_faces(made: Space, study: Study, file: Path) -> None:
    seen = trimesh.load_scene(file).geometry["backup"]
    shades = faces.shaded(LIGHT)
    table = np.array([shades.rgb(role) for role in faces.ROLES]) / 255.0
    table = np.where(table <= 0.04045, table / 12.92, ((table + 0.055) / 1.055) ** 2.4)  # IEC 61966-2-1.
    assert len(seen.vertices) % 4 == 0
    doc = document(made.glb)
    (mesh,) = [one for one in doc["meshes"] if one["name"] == "backup"]
    stored = _read(made.glb, doc, mesh["primitives"][0]["attributes"]["COLOR_0"])
    colours = stored.reshape(-1, 4, 4)[..., :3] / 255.0
    # As drawn: with the walker where the scene puts him, whose foot moves points of the main only.
    for corner, name in ((0, "backup_top"), (1, "backup_top"), (2, "backup_under"), (3, "backup_under")):
        classes = unpacked(made.glb, state(made, "walker")["rub"][name])[0].astype(int)
        np.testing.assert_allclose(colours[:, corner], table[classes], atol=0.5 / 255 + 1e-9)


def test_touch_marks_every_stretch(study: Study) -> None:
    from linescope.contact import find_touches

    touching = rigs.changed(study, touch=find_touches(study.taped))
    touching.leave = touching.leave - {"touch"}
    found = space(touching, Words("metric"), films=False)
    layer = found.data["layers"]["touch"]
    assert len(layer["stretches"]) == len(touching.touch.touches)
    kinds = unpacked(found.glb, layer["backup"])
    pieces = found.data["lines"]["backup"]["pieces"]
    for touch in touching.touch.touches:
        if touch.tape is not None:
            assert kinds[touch.tape * pieces] > 0


# Ground


def test_bytes_of_the_ground_never_make_it_farther_than_it_is() -> None:
    distance = np.array([-2.0, -1e-6, 0.0, 1e-6, 0.1, 0.5, 3.0])
    found = bytes_of(distance)
    assert (found < HALF).tolist() == [True, True, True, False, False, False, False]
    inside = np.abs(distance) < 0.99
    assert ((found[inside].astype(float) - HALF) / 127.0 <= distance[inside] + 1e-9).all()
    assert (np.diff(found.astype(int)) >= 0).all()


def test_ground_has_its_light_and_what_comes_near(made: Space, study: Study) -> None:
    doc = document(made.glb)
    (mesh,) = [one for one in doc["meshes"] if one["name"] == "ground"]
    (primitive,) = mesh["primitives"]
    land = relief.lay(site(study.ground, study.rig), study.rig, LIGHT, most=60_000, fine=700.0)
    colours = _read(made.glb, doc, primitive["attributes"]["COLOR_0"]).reshape(-1, 4) / 255.0
    # glTF 2.0, section 3.7.2.1: vertex colours are linear; IEC 61966-2-1 says how to come back to sRGB.
    share = colours[:, :3]
    srgb = np.where(share <= 0.0031308, 12.92 * share, 1.055 * share ** (1 / 2.4) - 0.055)
    expected = np.clip(land.colours, 0.0, 255.0)
    linear = np.where(expected / 255 <= 0.04045, expected / 255 / 12.92, ((expected / 255 + 0.055) / 1.055) ** 2.4)
    np.testing.assert_allclose(share, linear, atol=0.51 / 255)
    assert srgb.mean() == pytest.approx(expected.mean() / 255, abs=0.01)


def _read(glb: bytes, doc: dict[str, Any], number: int) -> np.ndarray:
    accessor = doc["accessors"][number]
    kinds = {5121: "|u1", 5122: "<i2", 5123: "<u2", 5125: "<u4", 5126: "<f4"}
    wide = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4}[accessor["type"]]
    start = 28 + struct.unpack_from("<I", glb, 12)[0] + doc["bufferViews"][accessor["bufferView"]]["byteOffset"]
    return np.frombuffer(glb, kinds[accessor["componentType"]], wide * accessor["count"], start)


def pictured(vertices: np.ndarray, colours: list[tuple[int, int, int]]) -> Terrain:
    """Two triangles on four corners under a picture of as many stripes, left to right, as there are colours."""
    image = Image.new("RGB", (len(colours), 4))
    for column, colour in enumerate(colours):
        image.paste(colour, (column, 0, column + 1, 4))
    stream = io.BytesIO()
    image.save(stream, "PNG")
    lower, upper = [[0.05, 0.1], [0.95, 0.1], [0.95, 0.9]], [[0.05, 0.1], [0.95, 0.9], [0.05, 0.9]]
    corners = np.array([lower, upper], dtype=np.float32)
    return Terrain(
        vertices=vertices, faces=np.array([[0, 1, 2], [0, 2, 3]]), source="invented", kind="mesh",
        texture=Texture(image=stream.getvalue(), kind="image/png", corners=corners),
    )


def over(ground: Terrain) -> tuple[Space, dict[str, Any]]:
    """The rig over some ground, and what is said of the ground's node."""
    known = rigs.changed(
        rigs.study("heron"), leave={"clearance", "fall_course"}, ground=ground, index=GroundIndex(ground)
    )
    found = space(known, Words("metric"), ground=site(ground, known.rig), films=False)
    (mesh,) = [one for one in document(found.glb)["meshes"] if one["name"] == "ground"]
    return found, mesh["primitives"][0]


SQUARE = np.array([[-5.0, -20.0, -40.0], [55.0, -20.0, -40.0], [55.0, 20.0, -40.0], [-5.0, 20.0, -40.0]])


def test_a_scan_keeps_its_own_picture(tmp_path: Path) -> None:
    ground = pictured(SQUARE, [(200, 30, 20), (10, 160, 40)])
    found, primitive = over(ground)
    assert {"POSITION", "TEXCOORD_0"} <= set(primitive["attributes"])
    assert found.data["ground"]["textured"]
    path, _ = write_space(tmp_path / "a.glb", found)
    seen = trimesh.load_scene(path).geometry["ground"]
    colours = seen.visual.to_color().vertex_colors[:, :3]
    left = seen.vertices[:, 0] < 25.0
    assert np.abs(colours[left].astype(int) - [200, 30, 20]).max() <= 2
    assert np.abs(colours[~left].astype(int) - [10, 160, 40]).max() <= 2


def test_of_several_scans_those_without_a_picture_are_white() -> None:
    aside = SQUARE + np.array([0.0, 60.0, 0.0])
    plain = Terrain(vertices=aside, faces=np.array([[0, 1, 2], [0, 2, 3]]), source="other", kind="mesh")
    red = pictured(SQUARE, [(200, 30, 20)])
    found, primitive = over(together([red, plain]))
    doc = document(found.glb)
    assert not found.data["ground"]["textured"]
    points = _read(found.glb, doc, primitive["attributes"]["POSITION"]).reshape(-1, 3)
    colours = _read(found.glb, doc, primitive["attributes"]["COLOR_0"]).reshape(-1, 4)[:, :3] / 255.0
    there = -points[:, 2] < 30.0  # y of the rig is -z of the file.
    red_light = [((c / 255 + 0.055) / 1.055) ** 2.4 for c in (200, 30, 20)]
    assert np.abs(colours[there] - red_light).max() < 0.01
    assert (colours[~there] == 1.0).all()


# The file


def test_the_container_is_well_formed(made: Space) -> None:
    """glTF 2.0: alignment (3.6.2.4), views inside the buffer, accessors inside views, indices inside their points, min
    and max of positions (3.6.2.5), names of attributes (3.7.2.1), each node under one parent (3.5.2)."""
    doc = document(made.glb)
    sizes = {5121: 1, 5122: 2, 5123: 2, 5125: 4, 5126: 4}
    wide = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4}
    views, accessors = doc["bufferViews"], doc["accessors"]
    assert max(view["byteOffset"] + view["byteLength"] for view in views) <= doc["buffers"][0]["byteLength"]
    for accessor in accessors:
        view, size = views[accessor["bufferView"]], sizes[accessor["componentType"]]
        assert view["byteOffset"] % 4 == 0
        assert accessor["count"] > 0
        assert accessor["count"] * size * wide[accessor["type"]] <= view["byteLength"]
    for mesh in doc["meshes"]:
        for primitive in mesh["primitives"]:
            position = accessors[primitive["attributes"]["POSITION"]]
            assert len(position["min"]) == len(position["max"]) == 3
            index = _read(made.glb, doc, primitive["indices"])
            assert index.max() < position["count"]
            assert len(index) % (2 if primitive["mode"] == 1 else 3) == 0
            for name, number in primitive["attributes"].items():
                assert accessors[number]["count"] == position["count"]
                assert name in ("POSITION", "COLOR_0", "TEXCOORD_0") or name.startswith("_")
            assert primitive["material"] < len(doc["materials"])
    children = [child for node in doc["nodes"] for child in node.get("children", [])]
    assert len(set(children)) == len(children)
    assert doc["scenes"][0]["nodes"] == [len(doc["nodes"]) - 1]
    names = [node["name"] for node in doc["nodes"]]
    assert len(set(names)) == len(names)
    extras = doc["asset"]["extras"]
    assert "walker at 24 m" in extras["state"]
    assert "not permission" in extras["caution"]


def test_every_array_of_the_json_is_in_the_file(made: Space) -> None:
    def packed(data: Any) -> Iterator[dict[str, Any]]:
        if isinstance(data, dict):
            if "a" in data and "shape" in data:
                yield data
            else:
                for value in data.values():
                    yield from packed(value)
        elif isinstance(data, list):
            for value in data:
                yield from packed(value)

    found = list(packed(made.data))
    assert len(found) > 60
    for each in found:
        assert unpacked(made.glb, each).shape == tuple(each["shape"])
    json.loads(made.text)


def test_trimesh_reads_it(file: Path, study: Study) -> None:
    scene = trimesh.load_scene(file)
    kinds = {name: type(one).__name__ for name, one in scene.geometry.items()}
    assert {"main", "backup", "main line", "backup line", "chord", "leash", "ring", "ground", "anchor A"} <= set(kinds)
    assert {f"tape {tape.number}" for tape in study.planned.layout.tapes} <= set(kinds)
    assert kinds["main line"] == kinds["chord"] == "Path3D"
    assert kinds["main"] == kinds["ground"] == "Trimesh"
    np.testing.assert_allclose(world(scene, "chord"), [study.rig.main_a, study.rig.main_b], atol=2e-5)
    line = study.taped.main.sample(24).points
    np.testing.assert_allclose(world(scene, "main line"), line, atol=2e-5)
    # The ribbon is as wide as the webbing.
    ribbon = world(scene, "main").reshape(-1, 4, 3)
    np.testing.assert_allclose(np.linalg.norm(ribbon[:, 1] - ribbon[:, 0], axis=1), study.rig.main.width, atol=2e-5)
    np.testing.assert_allclose(np.linalg.norm(ribbon[:, 2] - ribbon[:, 1], axis=1), study.rig.main.thickness, atol=2e-5)


def test_vtk_reads_it(file: Path, study: Study) -> None:
    import pyvista as pv

    blocks = pv.read(file)
    found = [block for block in blocks.recursive_iterator(skip_none=True, skip_empty=True) if block.n_points]
    bounds = np.array([block.bounds for block in found])
    low, high = bounds[:, ::2].min(axis=0), bounds[:, 1::2].max(axis=0)
    ends = to_y_up(np.array([study.rig.main_a, study.rig.main_b]))
    assert (low <= ends.min(axis=0)).all()
    assert (high >= ends.max(axis=0)).all()
    assert len(found) > 30


def test_up_is_y_and_right_handed_stays_right_handed() -> None:
    assert to_y_up(np.array([[1.0, 2.0, 3.0]])).tolist() == [[1.0, 3.0, -2.0]]
    assert np.linalg.det(to_y_up(np.eye(3))) == pytest.approx(1.0)


def test_a_national_grid_loses_nothing(tmp_path: Path) -> None:
    rig = rigs.heron(walker=False)
    moved = replace(rig, anchors=Anchors(**{name: np.add(getattr(rig, name), FAR) for name in (
        "main_a", "main_b", "backup_a", "backup_b")}))  # fmt: skip
    study = Study(moved, leave={"bands", "touch", *Study.SLOW})
    path, _ = write_space(tmp_path / "a.glb", space(study, Words("metric"), detail="whole", films=False))
    np.testing.assert_allclose(
        world(trimesh.load_scene(path), "main line"), study.taped.main.sample(24).points, atol=2e-5
    )


def test_a_page_has_room_for_it(feet: Space) -> None:
    """In base 64 after zipping, beside a viewer of 0.3 MB."""
    size = (len(gzip.compress(feet.glb)) + len(gzip.compress(feet.text.encode()))) * 4 / 3
    assert size < 1.0e6


def test_hostile_names_stay_text_and_files_are_whole_or_not_at_all(tmp_path: Path) -> None:
    hostile = '</script>"\\ Größe \n\0'
    rig = dataclasses.replace(rigs.heron(walker=False), name=hostile)
    found = space(Study(rig, leave={"bands", "touch", *Study.SLOW}), Words("metric"), films=False)
    assert document(found.glb)["asset"]["extras"]["scene"] == hostile
    with pytest.raises(OutputError):
        write_space(tmp_path / "nowhere" / "a.glb", found)
    assert list(tmp_path.iterdir()) == []

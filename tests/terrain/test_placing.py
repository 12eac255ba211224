"""Profiles, the keys of a scene, and the checks that catch a wrong unit or axis."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from linescope.errors import TerrainError
from linescope.terrain import (
    GroundSpec,
    PlumbIndex,
    Terrain,
    checked_against_line,
    holes_below,
    load_ground,
    thin,
)
from linescope.terrain.notes import GroundNote
from linescope.terrain.placing import heights_of_anchors
from linescope.words import Words


def _profile(stations, heights, a=(0, 0, 0), b=(40, 0, 0), **keys):
    return load_ground(GroundSpec(stations=stations, heights=heights, **keys), np.array(a, float), np.array(b, float))


def test_profile_lies_along_the_line_from_anchor_a():
    """Anchors along (3, 4)/5 in plan: station 25 is (15, 20) from A; half width goes square to it."""
    a = np.array([100.0, 200.0, 50.0])
    terrain = _profile([-5, 25, 60], [45, 30, 44], a=a, b=a + np.array([30, 40, 2]), half_width=5.0)
    xy = a[:2] + np.array([[15.0, 20.0], [15.0 - 4.0, 20.0 + 3.0], [15.0 + 4.0, 20.0 - 3.0], [12.0, 16.0]])
    position, _, z, _ = PlumbIndex(terrain).over(xy * (1 - 1e-15))
    np.testing.assert_allclose([z[position == 0][0], z[position == 3][0]], [30.0, 45.0 - 15.0 * 25.0 / 30.0])
    assert any(note.kind is GroundNote.PROFILE for note in terrain.notes)
    assert terrain.is_height_field


def test_profile_with_an_upright_step():
    terrain = _profile([0, 10, 10, 40], [-1, -1, -9, -9])
    position, _, z, _ = PlumbIndex(terrain).over(np.array([[9.999, 0], [10.001, 0]]))
    np.testing.assert_allclose([z[position == 0].max(), z[position == 1].max()], [-1.0, -9.0])
    assert len(holes_below(terrain, np.array([[0.0, 0.0], [40.0, 0.0]]))) == 0


def test_profile_shorter_than_the_span_leaves_holes():
    terrain = _profile([10, 30], [-5, -5])
    np.testing.assert_allclose(holes_below(terrain, np.array([[0.0, 0.0], [40.0, 0.0]])), [[0, 10], [30, 40]])
    said = "No ground is known below the line at 0 to 10 m and 30 to 40 m from A in plan, 20 m of 40 m"
    assert any(note.startswith(said) for note in _told(terrain))


def test_profile_file_in_feet(tmp_path):
    (tmp_path / "p.csv").write_text("station,height\n0,-10\n131.2336,-10\n")
    spec = GroundSpec(path=tmp_path / "p.csv", kind="profile", factor=0.3048, shift=(0, 0, -1))
    terrain = load_ground(spec, np.zeros(3), np.array([40.0, 0, 0]))
    np.testing.assert_allclose(terrain.vertices[:, 2], -4.048)
    np.testing.assert_allclose(terrain.bounds[:, 0], [0, 40], atol=1e-4)


@pytest.mark.parametrize("text", [
    "0;-10\n40;-12\n", "station height\n0 -10\n40 -12\n", "height;note;station\n-10;by the tree;0\n-12;;40\n",
    '"Station","Height"\n0,-10\n40,-12\n', "0,-10,,\n40,-12,,\n", "# surveyed by eye\n0\t-10\n40\t-12\n",
])
def test_profile_file_layouts(tmp_path, text):
    (tmp_path / "p.csv").write_text(text)
    terrain = load_ground(GroundSpec(path=tmp_path / "p.csv", kind="profile"), np.zeros(3), np.array([40.0, 0, 0]))
    np.testing.assert_allclose(terrain.bounds[:, [0, 2]], [[0, -12], [40, -10]], atol=1e-12)


@pytest.mark.parametrize(
    ("stations", "heights", "match"),
    [
        ([0, 10], [-1, -2, -3], "differ in number"),
        ([5], [-5], "too few"),
        ([0, 20, 10], [-5, -5, -5], r"stations\[2\].*go back"),
        ([0, 20, 20, 30], [-5, -5, -5, -5], "given twice"),
        ([0, float("nan")], [-5, -5], "not finite"),
        ([0, "x"], [-5, -5], "not numbers"),
        ([10, 10], [-5, -7], "at one place"),
    ],
)
def test_broken_profile(stations, heights, match):
    with pytest.raises(TerrainError, match=match):
        _profile(stations, heights)


def test_profile_needs_a_plan_direction():
    with pytest.raises(TerrainError, match="above one another"):
        _profile([0, 10], [-5, -5], b=(0, 0, 30))


@pytest.mark.parametrize(
    ("keys", "match"),
    [
        ({}, "one of the two"),
        ({"path": "a.obj", "stations": [0, 1], "heights": [0, 1]}, "one of the two"),
        ({"stations": [0, 1]}, "stations and heights"),
        ({"stations": [0, 1], "heights": [0, 1], "kind": "mesh"}, "kind"),
        ({"path": "a.obj", "kind": "cheese"}, "kind"),
        ({"path": "a.obj", "up": "w"}, "up"),
        ({"path": "a.obj", "factor": 0.0}, "factor"),
        ({"path": "a.obj", "factor": float("nan")}, "factor"),
        ({"path": "a.obj", "turn": float("inf")}, "turn"),
        ({"path": "a.obj", "shift": (1, 2)}, "shift"),
        ({"path": "a.obj", "shift": (1, 2, float("nan"))}, "shift"),
        ({"path": "a.obj", "half_width": -1.0}, "half_width"),
        ({"path": "a.obj", "max_edge": 0.0}, "max_edge"),
        ({"path": "a.npy", "cell": (0.0, 1.0)}, "cell"),
    ],
)
def test_bad_key(keys, match):
    with pytest.raises(TerrainError, match=match):
        GroundSpec(**keys)


def _load_ridge(tmp_path, ridge, anchors, **keys):
    path = tmp_path / "ridge.ply"
    trimesh.Trimesh(*ridge, process=False).export(path)
    return load_ground(GroundSpec(path=path, **keys), *anchors)


@pytest.mark.parametrize(
    ("keys", "match"),
    [
        ({"shift": (0, 0, 400.0)}, r"lies 3\d\d|lies 3.9e\+02 m above the line|lies 4e\+02 m above"),
        ({"shift": (500_000.0, 0, 0)}, "no ground lies under the line"),
        ({"shift": (0, 0, -5000.0)}, "below a line"),
        ({"factor": 1e4}, "wide for a span"),
        ({"factor": 0.001}, "only"),
        ({"up": "y"}, "stands upright"),
    ],
)
def test_wrong_unit_or_axis_is_caught_and_can_be_accepted(tmp_path, ridge, anchors, keys, match):
    with pytest.raises(TerrainError, match=match) as caught:
        _load_ridge(tmp_path, ridge, anchors, **keys)
    assert "ridge.ply" in str(caught.value)
    terrain = _load_ridge(tmp_path, ridge, anchors, accept_odd=True, **keys)
    assert any("Accepted" in note for note in _told(terrain))


def test_ground_over_anchors_alone_is_not_odd(ridge, anchors):
    """A line that starts a little below the lip is common; only ground over most of the line is refused."""
    terrain = Terrain(
        vertices=[[0, -9, 0.5], [0, 9, 0.5], [3, -9, -9], [3, 9, -9], [50, -9, -9], [50, 9, -9]],
        faces=[[0, 2, 1], [1, 2, 3], [2, 4, 3], [3, 4, 5]],
        source="invented",
    )
    notes = _told(checked_against_line(terrain, *anchors))
    assert [note.split(":")[0] for note in notes] == ["Anchor B is 10 m above the ground there"]


@pytest.mark.parametrize(
    ("vertices", "faces", "match"),
    [
        (np.zeros((0, 3)), np.zeros((0, 3), int), "no usable vertices"),
        (np.zeros((4, 2)), [[0, 1, 2]], "no usable vertices"),
        (np.eye(3), np.zeros((0, 3), int), "no triangles"),
        (np.eye(3), [[0, 1, 3]], "not there"),
        (np.eye(3), [[0, 1, -1]], "not there"),
        (np.eye(3) * np.nan, [[0, 1, 2]], "not finite"),
        (np.eye(3) * 1e12, [[0, 1, 2]], "absurdly large"),
    ],
)
def test_terrain_checks_itself(vertices, faces, match):
    with pytest.raises(TerrainError, match=match):
        Terrain(vertices=vertices, faces=faces, source="invented")


def test_terrain_is_frozen(ridge):
    vertices, faces = ridge
    terrain = Terrain(vertices=vertices, faces=faces, source="invented")
    vertices[0] = 99.0
    assert not np.any(terrain.vertices[0] == 99.0)
    with pytest.raises(ValueError, match="read-only"):
        terrain.vertices[0, 0] = 1.0


def test_thinned_ground_is_small_close_and_says_so():
    x = np.linspace(0, 100, 201)
    gx, gy = np.meshgrid(x, x)
    z = 5.0 * np.sin(gx / 20.0) * np.cos(gy / 25.0)
    i = (np.arange(200)[:, None] * 201 + np.arange(200)).ravel()
    faces = np.concatenate([np.stack([i, i + 1, i + 201], 1), np.stack([i + 1, i + 202, i + 201], 1)])
    terrain = Terrain(vertices=np.stack([gx.ravel(), gy.ravel(), z.ravel()], 1), faces=faces, source="invented")
    small = thin(terrain, 5000)
    assert 1000 < len(small.faces) <= 5000
    assert any(note.kind is GroundNote.THINNED and note.values["total"] == 80000 for note in small.notes)
    # Slope at most 0.25 and cells of about 2.5 m: vertices lie within 0.2 m of the smooth surface.
    v = small.vertices
    assert np.abs(v[:, 2] - 5.0 * np.sin(v[:, 0] / 20.0) * np.cos(v[:, 1] / 25.0)).max() < 0.2
    assert thin(terrain, 80000) is terrain
    with pytest.raises(TerrainError, match="too few"):
        thin(terrain, 5)


# Cliffs on both sides, 20 m apart, 30 m deep; A stands 0.4 m above its edge and B 0.4 m above its own, 3 m higher.
GORGE = [-10, 0, 1, 2, 38, 39, 40, 50], [-0.4, -0.4, -2, -30, -30, -2, 2.6, 2.6]


def _loud(terrain):
    return [Words().note(note) for note in terrain.notes if note.leads]


def _told(terrain):
    return Words().notes(terrain.notes)


@pytest.mark.parametrize(
    ("a", "b", "said"),
    [
        ((0, 0, 0), (40, 0, 3), []),
        # A bolt on the edge that the survey puts 0.9 m into it, and a tree.
        ((0, 0, -1.3), (40, 0, 7.5), []),
        # 0.1 m out of the face of the cliff, 18 m below its edge: the ground passes its height right beside it.
        ((1.6, 0, -18), (40, 0, 3), []),
        ((0, 0, 0), (40, 0, -20), ["Anchor B is 23 m below"]),
        ((0, 0, 9), (40, 0, 3), ["Anchor A is 9.4 m above"]),
        ((0, 0, 3), (40, 0, 0), ["Anchor B is 2.6 m below", "Anchors exchanged?"]),
        ((0, 0, 3), (400, 0, 0), ["No ground is known below the line at 50 to 400 m from A in plan, 350 m of 400 m"]),
    ],
)
def test_anchors_are_compared_with_the_ground(a, b, said):
    a, b = np.array(a, float), np.array(b, float)
    # The profile counts from the scene's origin here, not from A.
    terrain = _profile(np.array(GORGE[0]) - a[0], GORGE[1], a=a, b=b)
    found = _loud(terrain)
    assert len(found) == len(said)
    for note, begin in zip(found, said, strict=True):
        assert note.startswith(begin)


def _gorge_mesh(path, factor=1.0, y_up=False):
    x, z = np.array(GORGE, dtype=float)
    rows = [np.column_stack([x, np.full(len(x), y), z]) for y in (-15.0, 15.0)]
    corners = np.concatenate(rows) * factor
    if y_up:
        corners = np.column_stack([corners[:, 0], corners[:, 2], -corners[:, 1]])
    i, n = np.arange(len(x) - 1), len(x)
    faces = np.concatenate([np.stack([i, i + 1, n + i + 1], 1), np.stack([i, n + i + 1, n + i], 1)])
    trimesh.Trimesh(corners, faces, process=False).export(path)
    return path


GORGE_ENDS = np.array([0.0, 0, 0]), np.array([40.0, 0, 3])


@pytest.mark.parametrize("keys", [{}, {"factor": 0.01}])
def test_forgotten_unit_and_axis_are_refused_with_those_that_fit(tmp_path, keys):
    """A y-up mesh in centimetres read as z up, and in metres."""
    path = _gorge_mesh(tmp_path / "gorge.obj", 100.0, y_up=True)
    with pytest.raises(TerrainError, match="ground") as caught:
        load_ground(GroundSpec(path=path, kind="mesh", **keys), *GORGE_ENDS)
    assert 'both anchors would stand on known ground with unit = "cm" and up = "y"' in str(caught.value)
    accepted = load_ground(GroundSpec(path=path, kind="mesh", accept_odd=True, **keys), *GORGE_ENDS)
    assert any(note.startswith("The ground looks misplaced") for note in _told(accepted))
    right = load_ground(GroundSpec(path=path, kind="mesh", factor=0.01, up="y"), *GORGE_ENDS)
    assert _loud(right) == []


def test_a_profile_in_feet_read_as_metres_says_so(tmp_path):
    rows = np.array(GORGE).T / 0.3048
    (tmp_path / "p.csv").write_text("\n".join(f"{s:.2f},{h:.2f}" for s, h in rows))
    terrain = load_ground(GroundSpec(path=tmp_path / "p.csv", kind="profile"), *GORGE_ENDS)
    assert any(note.kind is GroundNote.ANCHOR_ABOVE and note.values["anchor"] == "B" for note in terrain.notes)
    assert _loud(terrain)[-1] == 'Unit or axis? Both anchors would stand on known ground with unit = "ft".'


@pytest.mark.parametrize(
    ("stations", "height", "match"),
    [
        ([-5, 3], -0.4, "known below only 3.0 m of the 40 m line"),
        # Over most of the line, but 400 m down where it is known, and nothing at B.
        ([-5, 30], -400.0, "reaches no anchor"),
    ],
)
def test_ground_that_reaches_too_little_is_misplaced(stations, height, match):
    with pytest.raises(TerrainError, match=match):
        _profile(stations, [height, height])
    terrain = _profile(stations, [height, height], accept_odd=True)
    assert any(text.startswith("The ground looks misplaced: ") for text in _told(terrain))
    # A floor of which nothing but the depth is known is no error, whatever the depth.
    assert any(n.kind is GroundNote.ANCHOR_ABOVE for n in _profile([-5, 45], [-400.0, -400.0]).notes)


def test_an_anchor_inside_solid_rock_or_under_a_roof(tmp_path):
    """A closed block 30 m high with its top at z = 0, and a second one as a roof 4 m above it over the far anchor."""
    block = trimesh.creation.box(bounds=[[-10, -10, -30], [50, 10, 0]])
    roof = trimesh.creation.box(bounds=[[35, -10, 4], [50, 10, 6]])
    trimesh.util.concatenate([block, roof]).export(tmp_path / "rock.obj")
    spec = GroundSpec(path=tmp_path / "rock.obj", kind="mesh", accept_odd=True)
    found = [heights_of_anchors(PlumbIndex(load_ground(spec, a, b)), a, b) for a, b in (
        (np.array([0.0, 0, 1]), np.array([40.0, 0, 1.5])), (np.array([0.0, 0, -7]), np.array([40.0, 0, 5.2])),
    )]
    np.testing.assert_allclose(found, [[1.0, 1.5], [-7.0, -0.8]], atol=1e-12)

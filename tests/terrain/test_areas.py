"""Named areas: cut out of the ground exactly, kept distant where it is asked.

Source: areas and distances of polygons and planes in closed form; shoelace's formula for what a polygon covers.
"""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from linescope import load
from linescope.clearance import Verdict, find_clearance
from linescope.errors import SceneError, TerrainError
from linescope.rig import ClearanceNeeds
from linescope.terrain import Terrain, load_ground
from linescope.terrain.areas import area_of
from linescope.terrain.geo import Origin
from linescope.terrain.located import Located
from linescope.terrain.model import areas
from linescope.terrain.spec import NamedArea

SCENES = Path(__file__).parents[2] / "scenes"
A, B = np.array([0.0, 0.0, 0.0]), np.array([48.0, 0.0, 0.0])
STAR = [[10, 0], [14, 1], [15, 6], [17, 1.5], [22, 1], [18, -1], [19, -6], [15, -2], [10.5, -5], [13, -1]]


def slope(cells=37, rise=0.3, depth=20.0, wide=60.0):
    """z = rise x - depth, 2 * wide square about mid-span."""
    t = np.linspace(-wide, wide, cells + 1)
    x, y = (each.ravel() for each in np.meshgrid(t + 24.0, t))
    i = (np.arange(cells)[:, None] * (cells + 1) + np.arange(cells)).ravel()
    faces = np.concatenate([np.stack([i, i + 1, i + cells + 1], 1), np.stack([i + 1, i + cells + 2, i + cells + 1], 1)])
    return Terrain(vertices=np.stack([x, y, rise * x - depth], 1), faces=faces, source="slope", kind="grid")


def shoelace(corners):
    x, y = np.asarray(corners, float).T
    return 0.5 * abs(x @ np.roll(y, -1) - np.roll(x, -1) @ y)


@pytest.mark.parametrize("corners", [
    [[10, -3], [20, -3], [20, 4], [10, 4]], [[10, -3], [20, 4], [11, 2]], STAR, STAR[::-1],
    [[10, 0], [15, 0], [20, 0], [20, 5], [10, 5]],
])  # fmt: skip
@pytest.mark.parametrize("cells", [1, 37, 200])
def test_an_outline_is_cut_out_exactly(corners, cells):
    ground = slope(cells)
    piece = area_of(NamedArea(name="camp", kind="camp", corners=np.array(corners, float)), ground, A, B, None)
    flat = piece.vertices.copy()
    flat[:, 2] = 0.0
    assert areas(flat, piece.faces).sum() == pytest.approx(shoelace(corners), rel=1e-9)
    np.testing.assert_allclose(piece.vertices[:, 2], 0.3 * piece.vertices[:, 0] - 20.0, atol=1e-9)
    # Its border is the outline: as long as that in plan, and each corner on it.
    edges = np.array(corners, float) - np.roll(np.array(corners, float), 1, axis=0)
    border = np.linalg.norm((piece.rim[:, 1] - piece.rim[:, 0])[:, :2], axis=1).sum()
    assert border == pytest.approx(np.linalg.norm(edges, axis=1).sum(), rel=1e-6)
    assert piece.role == "area" and piece.name == "camp" and math.isnan(piece.asked)


def test_a_strip_by_stations_goes_to_all_sides():
    ground = slope()
    a, b = np.array([3.0, -4.0, 0.0]), np.array([45.0, 20.0, 5.0])
    piece = area_of(NamedArea(name="road", kind="road", stations=np.array([10.0, 14.0])), ground, a, b, None)
    along = (b - a)[:2] / np.linalg.norm((b - a)[:2])
    station = (piece.vertices[:, :2] - a[:2]) @ along
    assert station.min() == pytest.approx(10.0, abs=1e-9) and station.max() == pytest.approx(14.0, abs=1e-9)
    aside = (piece.vertices[:, :2] - a[:2]) @ np.array([-along[1], along[0]])
    assert aside.min() < -50.0 and aside.max() > 50.0
    at = (piece.rim.reshape(-1, 3)[:, :2] - a[:2]) @ along
    assert np.all((np.abs(at - 10.0) < 1e-6) | (np.abs(at - 14.0) < 1e-6))


def test_an_outline_by_latitude_and_longitude():
    """A tenth of a second of latitude is 3.09 m (a minute of the meridian is a nautical mile, 1852 m, within 0.5 %)."""
    origin = Origin(latitude=math.radians(46.5), longitude=math.radians(7.9), height=2000.0)
    where = Located(origin=origin, zero=np.array([24.0, 0.0, 0.0]))
    step = math.radians(1.0 / 3600.0) * 0.2
    corners = np.array([[0, 0], [0, 1], [1, 1], [1, 0]]) * step + [origin.latitude, origin.longitude]
    piece = area_of(NamedArea(name="camp", kind="camp", corners=corners, is_geographic=True), slope(), A, B, where)
    low, high = piece.bounds
    assert high[1] - low[1] == pytest.approx(0.2 * 1852.0 / 60.0, rel=5e-3)
    assert high[0] - low[0] == pytest.approx(0.2 * 1852.0 / 60.0 * math.cos(origin.latitude), rel=1e-2)
    assert low[0] == pytest.approx(24.0, abs=1e-4) and low[1] == pytest.approx(0.0, abs=1e-4)
    with pytest.raises(TerrainError, match="where on the Earth"):
        area_of(NamedArea(name="camp", kind="camp", corners=corners, is_geographic=True), slope(), A, B, None)


@pytest.mark.parametrize(("corners", "match"), [
    ([[10, 0], [20, 0], [30, 0]], "no area"),
    ([[0, 0], [10, 10], [10, 0], [0, 8]], "crosses itself"),
    ([[500, 0], [510, 0], [510, 9]], "no ground is known"),
])  # fmt: skip
def test_broken_outlines_are_told(corners, match):
    with pytest.raises(TerrainError, match=match) as caught:
        area_of(NamedArea(name="camp", kind="camp", corners=np.array(corners, float)), slope(), A, B, None)
    assert caught.value.key == "camp"


def scene(tmp_path, text, clearance=True):
    """Larkspur Ledge with areas."""
    own = (SCENES / "larkspur_ledge.toml").read_text(encoding="utf-8")
    if not clearance:
        own = own.split("[clearance]")[0]
    (tmp_path / "scene.toml").write_text(own + text, encoding="utf-8")
    return load(tmp_path / "scene.toml")


PATH = '\n[[areas]]\nname = "footpath"\nkind = "path"\n{where}\n{distance}\n'


def test_the_scene_reads_them(tmp_path):
    corners = 'corners = [["40 m", "-9 m"], ["46 m", "-9 m"], ["46 m", "9 m"], ["40 m", "9 m"]]'
    rig = scene(tmp_path, PATH.format(where=corners, distance='distance = "13 ft"')).rig
    (area,) = rig.ground.areas
    assert (area.name, area.kind, area.is_geographic) == ("footpath", "path", False)
    assert area.distance == pytest.approx(13 * 0.3048) and area.corners.shape == (4, 2)
    ground = load_ground(rig.ground, rig.main_a, rig.main_b)
    assert [piece.name for piece in ground.beside] == ["footpath"]


@pytest.mark.parametrize(("where", "distance", "key"), [
    ('stations = ["9 m", "9 m"]', "", "stations"), ('stations = ["9 m", "12 m"]\ncorners = []', "", "areas"),
    ("", "", "areas"), ('corners = [["1 m", "2 m"], ["3 m", "4 m"]]', "", "corners"),
    ('corners = [["1 m", "2 m", "3 m"], ["3 m", "4 m"], ["3 m", "4 m"]]', "", "corners"),
])  # fmt: skip
def test_broken_keys_are_told(tmp_path, where, distance, key):
    with pytest.raises(SceneError) as caught:
        scene(tmp_path, PATH.format(where=where, distance=distance))
    assert key in str(caught.value.key)


def test_a_distance_needs_something_to_be_compared_with(tmp_path):
    with pytest.raises(SceneError, match="nothing is compared"):
        scene(tmp_path, PATH.format(where='stations = ["9 m", "12 m"]', distance='distance = "4 m"'), clearance=False)


NEEDS = ClearanceNeeds(line=1.0, loop=0.5, body=1.0, survey_error=0.0, margin=0.25, anchor_zone=5.0)


@pytest.fixture(scope="module")
def rig():
    return replace(load(SCENES / "heron_gap.toml").rig, ground=None, wind=None, walker=None, needs=NEEDS)


def _with(ground, *named):
    return replace(ground, beside=tuple(area_of(each, ground, A, B, None) for each in named))


def test_a_distance_that_is_asked_for_is_kept_or_a_finding_names_the_area(rig):
    """A level floor 10 m down: the line is nearest to the path right above it (closed form: the sag there)."""
    floor = slope(rise=0.0, depth=10.0)
    corners = np.array([[20.0, -3.0], [28.0, -3.0], [28.0, 3.0], [20.0, 3.0]])
    for asked, kept in ((8.0, True), (9.5, False)):
        path = NamedArea(name="footpath", kind="path", corners=corners, distance=asked)
        found = find_clearance(rig, terrain=_with(floor, path))
        assert found.verdict is (Verdict.KEPT if kept else Verdict.SHORT) and found.exit_status == (0 if kept else 3)
        mine = [cause for cause in found.causes if cause.role == "area"]
        plain = [cause for cause in found.causes if cause.role == "ground" and cause.kind == "loop"]
        loop = min((cause for cause in mine if cause.kind == "loop"), key=lambda one: one.distance)
        assert loop.ground == "footpath" and loop.required == asked and loop.needed == asked + 0.25
        # Loops hang lowest over mid-span, and that is over the path.
        assert loop.distance == pytest.approx(min(cause.distance for cause in plain), abs=2e-3)
        if not kept:
            assert found.findings[0].worst.ground == "footpath"


def test_an_area_that_is_drawn_only_is_compared_with_nothing(rig):
    floor = slope(rise=0.0, depth=10.0)
    path = NamedArea(name="footpath", kind="path", stations=np.array([20.0, 28.0]))
    found = find_clearance(rig, terrain=_with(floor, path))
    assert not [cause for cause in found.causes if cause.role == "area"]


def test_two_areas_at_one_place_are_two_findings(rig):
    floor = slope(rise=0.0, depth=10.0)
    found = find_clearance(rig, terrain=_with(
        floor, NamedArea(name="footpath", kind="path", stations=np.array([20.0, 28.0]), distance=12.0),
        NamedArea(name="camp", kind="camp", stations=np.array([21.0, 27.0]), distance=11.0),
    ))
    assert {finding.worst.ground for finding in found.findings} >= {"footpath", "camp"}

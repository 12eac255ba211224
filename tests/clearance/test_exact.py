"""Point distances: brute force, surfaces of known distance, height above ground, inside or out."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from linescope.clearance import GroundIndex
from linescope.errors import TerrainError
from linescope.terrain import Terrain


@pytest.mark.parametrize("seed", range(12))
def test_random_meshes_against_brute_force(seed, brute):
    """Triangle soups of sizes from 1 mm to 1 km, some in a frame 500 km away; tolerance 1e-9 m."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(2, 700))
    size = 10.0 ** rng.uniform(-3, 3, size=count) if seed % 2 else np.full(count, 5.0)
    middle = rng.normal(size=(count, 1, 3)) * 100.0
    corners = middle + rng.normal(size=(count, 3, 3)) * size[:, None, None]
    offset = np.array([5e5, -3e5, 2e3]) if seed % 3 == 0 else np.zeros(3)
    faces = np.arange(3 * count).reshape(-1, 3)
    index = GroundIndex(Terrain(vertices=corners.reshape(-1, 3) + offset, faces=faces, source="random"))
    points = rng.normal(size=(300, 3)) * 10.0 ** rng.uniform(0, 3, size=(300, 1))
    points[:20] = corners.reshape(-1, 3)[rng.integers(0, 3 * count, 20)]  # on corners
    distance, nearest, face = index.distance(points + offset)
    tolerance = 1e-9
    np.testing.assert_allclose(distance, brute(points, corners.reshape(-1, 3), faces), rtol=0, atol=tolerance)
    np.testing.assert_allclose(np.linalg.norm(points + offset - nearest, axis=1), distance, rtol=0, atol=tolerance)
    own = [brute(nearest[i : i + 1] - offset, corners[face[i]], np.array([[0, 1, 2]]))[0] for i in range(0, 300, 15)]
    assert max(own) < tolerance, "the nearest point lies on the triangle named"


def test_few_huge_triangles_among_many_small_ones(sheet, brute):
    """Large triangles are cut up inside the index; nothing may be missed on them."""
    fine = sheet(lambda x, y: np.sin(x) * np.cos(y) - 5.0, np.linspace(0, 20, 60), np.linspace(0, 20, 60))
    huge = np.array([[-900, -900, -30], [900, -900, -35], [0, 1500, -25], [20, 10, -5], [800, 12, 300]], float)
    vertices = np.concatenate([fine.vertices, huge])
    extra = len(fine.vertices) + np.array([[0, 1, 2], [3, 4, 1]])
    faces = np.concatenate([fine.faces, extra])
    index = GroundIndex(Terrain(vertices=vertices, faces=faces, source="mixed"))
    points = np.random.default_rng(0).uniform([-300, -300, -20], [400, 400, 60], size=(200, 3))
    np.testing.assert_allclose(index.distance(points)[0], brute(points, vertices, faces), rtol=0, atol=1e-9)


def test_slivers_against_brute_force(brute):
    rng = np.random.default_rng(7)
    a = rng.normal(size=(200, 3)) * 20.0
    along = rng.normal(size=(200, 3)) * 10.0
    across = rng.normal(size=(200, 3)) * 10.0 ** rng.uniform(-6, -2, size=(200, 1))
    corners = np.stack([a, a + along, a + rng.uniform(0, 1, (200, 1)) * along + across], axis=1)
    faces = np.arange(600).reshape(-1, 3)
    index = GroundIndex(Terrain(vertices=corners.reshape(-1, 3), faces=faces, source="slivers"))
    points = rng.normal(size=(300, 3)) * 20.0
    np.testing.assert_allclose(
        index.distance(points)[0], brute(points, corners.reshape(-1, 3), faces), rtol=0, atol=1e-9
    )


def test_centre_of_a_sphere_where_all_triangles_tie(brute):
    ball = trimesh.creation.icosphere(subdivisions=4, radius=7.0)
    terrain = Terrain(vertices=ball.vertices, faces=ball.faces, source="ball")
    distance, _, _ = GroundIndex(terrain).distance(np.zeros((3, 3)), signed=True)
    np.testing.assert_allclose(-distance, brute(np.zeros((3, 3)), terrain.vertices, terrain.faces), atol=1e-9)


def test_torus_of_known_distance(torus):
    """| sqrt((r - R)² + z²) - a |, negative inside.

    The chord error is at most (R + a)(1 - cos(pi/n)) + a(1 - cos(pi/m)).
    """
    big, small, n, m = 12.0, 3.0, 1200, 400
    index = GroundIndex(torus(big, small, n, m))
    assert index.is_signed
    points = np.random.default_rng(2).uniform(-20, 20, size=(3000, 3)) * [1, 1, 0.4]
    r = np.hypot(points[:, 0], points[:, 1])
    true = np.hypot(r - big, points[:, 2]) - small
    chord = (big + small) * (1 - np.cos(np.pi / n)) + small * (1 - np.cos(np.pi / m))
    assert chord < 2e-4
    got = index.distance(points, signed=True)[0]
    clear = np.abs(true) > chord
    np.testing.assert_allclose(got[clear], true[clear], rtol=0, atol=chord)
    assert np.count_nonzero(true < -chord) > 100, "some points are inside"


def test_vertical_gap_over_torus_has_a_hole_and_an_underside(torus):
    index = GroundIndex(torus(12.0, 3.0, 900, 300))
    points = np.array([[12, 0.3, 8.0], [0.1, 0.2, 8.0], [12, 0.3, 0.5], [12, 0.3, -8.0]])
    gap, ground, face = index.vertical_gap(points)
    np.testing.assert_allclose(gap[[0, 2]], [5.0, -2.5], atol=2e-3)  # above the tube; inside, down from its top
    np.testing.assert_allclose(ground[[0, 2]], [3.0, 3.0], atol=2e-3)
    assert np.isnan(gap[1]), "through the hole there is nothing below"
    assert np.isnan(gap[3]), "below the ring there is nothing below"
    assert face[1] == face[3] == -1


def test_below_a_height_field_counts_negative(sheet):
    def height(x, y):
        return 0.1 * x - 12.0

    ground = sheet(height, np.linspace(-60, 60, 41), np.linspace(-30, 30, 21))
    index = GroundIndex(ground)
    points = np.random.default_rng(1).uniform([-50, -20, -18], [50, 20, -6], size=(500, 3))
    above = points[:, 2] - height(points[:, 0], 0)
    gap, _, _ = index.vertical_gap(points)
    np.testing.assert_allclose(gap, above, atol=1e-12)
    # The plane's borders are far enough away for the foot to lie inside.
    np.testing.assert_allclose(index.distance(points, signed=True)[0], above / np.sqrt(1.01), atol=1e-12)
    on_nodes = np.column_stack([ground.vertices[:, :2], ground.vertices[:, 2] - 1.0])
    inner = (np.abs(on_nodes[:, 0]) < 59) & (np.abs(on_nodes[:, 1]) < 29)
    assert index.inside(on_nodes[inner]).all(), "straight below corners shared by six triangles"


def test_an_open_mesh_of_one_sheet_is_known_to_have_an_inside(sheet):
    """A plane 5 m below: what lies 4 m under it is inside, and so it is for the same plane facing down."""
    flat = sheet(lambda x, y: -5.0, np.linspace(0, 9, 4), np.linspace(0, 9, 4), kind="mesh")
    over = Terrain(vertices=flat.vertices, faces=flat.faces[:, ::-1], source="facing down")
    for index in (GroundIndex(flat), GroundIndex(over)):
        assert index.is_one_sheet and index.is_signed
        np.testing.assert_allclose(index.distance(np.array([[4.0, 4.0, -9.0]]), signed=True)[0], -4.0)


def test_an_open_mesh_with_a_triangle_facing_the_other_way_is_mended(sheet):
    flat = sheet(lambda x, y: -5.0, np.linspace(0, 9, 4), np.linspace(0, 9, 4), kind="mesh")
    faces = flat.faces.copy()
    faces[3] = faces[3, ::-1]
    index = GroundIndex(Terrain(vertices=flat.vertices, faces=faces, source="mixed"))
    assert index.is_signed and not index.is_one_sheet and index.rock.solids.turned == 1
    assert index.inside(np.array([[4.0, 4.0, -9.0]])).all()
    np.testing.assert_allclose(index.distance(np.array([[4.0, 4.0, -9.0]]), signed=True)[0], -4.0)
    np.testing.assert_allclose(index.vertical_gap(np.array([[4.0, 4.0, -9.0]]))[0], -4.0)


def test_vertical_gap_under_an_overhang_takes_the_ground_below(overhang):
    gap, ground, _ = GroundIndex(overhang).vertical_gap(np.array([[0.5, 0.5, 0.0], [0.5, 0.5, 9.0]]))
    np.testing.assert_allclose(gap, [20.0, 6.0])
    np.testing.assert_allclose(ground, [-20.0, 3.0])


def test_real_terrain_against_trimesh():
    """matplotlib's jacksboro_fault_dem.npz against trimesh.proximity.closest_point, independent code."""
    from matplotlib import cbook

    from linescope.terrain import GroundSpec, load_ground

    path = cbook.get_sample_data("jacksboro_fault_dem.npz", asfileobj=False)
    a, b = np.array([-2000.0, 500.0, 1150.0]), np.array([2000.0, 500.0, 1150.0])
    terrain = load_ground(GroundSpec(path=path, degrees=True), a, b)
    t = np.linspace(0, 1, 40)[:, None]
    points = a + t * (b - a) - 300.0 * 4.0 * t * (1 - t) * [0, 0, 1]
    near = np.abs(terrain.vertices[:, :2] - points[:, None, :2].mean(axis=0)).max(axis=1) < 4000.0
    faces = terrain.faces[near[terrain.faces].all(axis=1)]
    mesh = trimesh.Trimesh(terrain.vertices, faces, process=False)
    distance = GroundIndex(terrain).distance(points)[0]
    assert distance.max() < 1500.0, "nothing outside the piece of ground given to trimesh can be nearer"
    np.testing.assert_allclose(distance, trimesh.proximity.closest_point(mesh, points)[1], rtol=0, atol=1e-9)


def test_no_points_and_bad_points(sheet):
    index = GroundIndex(sheet(lambda x, y: 0.0, np.arange(3.0), np.arange(3.0)))
    assert index.distance(np.zeros((0, 3)))[0].shape == (0,)
    assert index.vertical_gap(np.zeros((0, 3)))[0].shape == (0,)
    with pytest.raises(TerrainError, match="finite"):
        index.distance(np.array([[0.0, np.nan, 1.0]]))


@pytest.mark.parametrize("rough", [0.0, 0.3, 3.0])
def test_dense_line_points_against_brute_force(sheet, brute, rough):
    """Points every few centimetres share their searches in blocks; nothing may be missed by that."""
    rng = np.random.default_rng(11)
    ground = sheet(
        lambda x, y: -9.0 + rough * rng.normal(size=x.shape), np.linspace(-25, 25, 51), np.linspace(-9, 9, 19)
    )
    x = np.linspace(-24, 24, 1501)
    points = np.column_stack([x, 0.3 * np.sin(x), 0.01 * x**2 - 3.0])
    index = GroundIndex(ground)
    distance = index.distance(points)[0]
    some = np.arange(0, 1501, 6)
    np.testing.assert_allclose(distance[some], brute(points[some], ground.vertices, ground.faces), rtol=0, atol=1e-9)
    np.testing.assert_allclose(
        distance, [index.distance(p[None])[0][0] for p in points], rtol=0, atol=1e-12
    )  # one by one no block is formed

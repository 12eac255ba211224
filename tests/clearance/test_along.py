"""Curves against the ground: exact for chords, against brute force; and the sag between nodes."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from scipy.optimize import minimize

from linescope.clearance import Chords, GroundIndex, lowest, minima, minimum_along
from linescope.errors import TerrainError
from linescope.terrain import Terrain
from linescope.terrain.triangles import segments_to_triangles


def _segment_to_triangle(p, q, a, b, c):
    """The same distance as a convex problem in three unknowns, solved by scipy."""

    def squared(x):
        return np.sum((p + x[0] * (q - p) - a - x[1] * (b - a) - x[2] * (c - a)) ** 2)

    return min(
        np.sqrt(
            minimize(
                squared,
                start,
                method="SLSQP",
                bounds=[(0, 1)] * 3,
                constraints={"type": "ineq", "fun": lambda x: 1 - x[1] - x[2]},
                options={"ftol": 1e-16, "maxiter": 300},
            ).fun
        )
        for start in ([0.5, 0.3, 0.3], [0.0, 0.0, 1.0], [1.0, 1.0, 0.0])
    )


def test_segment_to_triangle_against_a_convex_solver():
    rng = np.random.default_rng(0)
    p, q, a, b, c = rng.normal(size=(5, 150, 3))
    got, s, nearest = segments_to_triangles(p, q, a, b, c)
    want = [_segment_to_triangle(p[i], q[i], a[i], b[i], c[i]) for i in range(150)]
    # The solver stops at about 1e-8 of the squared distance, so near zero it is the coarser of the two.
    np.testing.assert_allclose(got, want, rtol=0, atol=2e-5)
    np.testing.assert_allclose(np.linalg.norm(p + s[:, None] * (q - p) - nearest, axis=1), got, atol=1e-12)
    assert np.count_nonzero(got == 0.0) > 5, "some pierce"


@pytest.mark.parametrize("seed", range(8))
def test_polylines_against_every_pair(seed):
    """All chords against all triangles without any index; several curves in groups at once."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(3, 300))
    corners = rng.normal(size=(count, 1, 3)) * 30 + rng.normal(size=(count, 3, 3)) * 10.0 ** rng.uniform(
        -1, 1.5, (count, 1, 1)
    )
    terrain = Terrain(vertices=corners.reshape(-1, 3), faces=np.arange(3 * count).reshape(-1, 3), source="random")
    index = GroundIndex(terrain)
    curves = [
        np.cumsum(rng.normal(size=(int(rng.integers(1, 25)), 3)) * 5, axis=0) + rng.normal(size=3) * 60
        for _ in range(9)
    ]
    sag = [rng.uniform(0, 0.5, size=len(curve) - 1) for curve in curves]
    group = np.array([0, 0, 1, 1, 1, 2, 3, 4, 4])
    want = np.full(5, np.inf)
    for curve, s, g in zip(curves, sag, group, strict=True):
        nodes, s = (curve, s) if len(curve) > 1 else (np.repeat(curve, 2, axis=0), np.zeros(1))
        for i in range(len(nodes) - 1):
            p, q = (np.broadcast_to(nodes[k], (count, 3)) for k in (i, i + 1))
            d = segments_to_triangles(p, q, corners[:, 0], corners[:, 1], corners[:, 2])[0].min()
            want[g] = min(want[g], d - s[i])
    found = minima(index, Chords.of(curves, sag), group)
    np.testing.assert_allclose([near.distance for near in found], want, rtol=0, atol=1e-9)
    for near in found:
        np.testing.assert_allclose(np.linalg.norm(near.point - near.nearest), near.chord_distance, atol=1e-9)
        assert near.distance == near.chord_distance - near.sagitta


def test_minimum_inside_a_chord_not_at_a_node():
    """A spike 10 m below the middle of one long chord: both nodes are 50 m away."""
    spike = Terrain(vertices=[[-0.5, -1, -40], [0.5, -1, -40], [0, 0, -10]], faces=[[0, 1, 2]], source="spike")
    near = minimum_along(GroundIndex(spike), np.array([[-50.0, 0, 0], [50, 0, 0]]))
    np.testing.assert_allclose(near.distance, 10.0, atol=1e-12)
    np.testing.assert_allclose([near.fraction, near.segment], [0.5, 0])


def test_level_line_over_level_ground_where_all_places_tie(sheet):
    ground = sheet(lambda x, y: -15.0, np.linspace(-60, 60, 241), np.linspace(-20, 20, 81))
    line = np.column_stack([np.linspace(-50, 50, 21), np.zeros(21), np.zeros(21)])
    near = minimum_along(GroundIndex(ground), line, np.full(20, 0.25))
    np.testing.assert_allclose([near.distance, near.chord_distance, near.sagitta], [14.75, 15.0, 0.25], atol=1e-12)


def test_line_through_the_ground_is_negative_by_its_depth(sheet):
    """Plane z = 0: the parabola z = (x/10)² - 4 is 4 m deep at its middle; depth is found to within 1 mm."""
    ground = sheet(lambda x, y: 0.0, np.linspace(-60, 60, 61), np.linspace(-20, 20, 21))
    x = np.linspace(-50, 50, 201)
    near = minimum_along(GroundIndex(ground), np.column_stack([x, 0 * x, (x / 10) ** 2 - 4.0]))
    assert near.distance == pytest.approx(-4.0, abs=1e-3)
    assert abs(near.point[0]) < 0.5
    buried = minimum_along(GroundIndex(ground), np.array([[-9.0, 0, -2], [9, 0, -1]]))
    assert buried.distance == pytest.approx(-2.0, abs=1e-3)


def test_line_through_a_ball(torus):
    """Through the tube of a torus, 3 m in radius, 1 m off its middle line: deepest 2 m."""
    index = GroundIndex(torus(12.0, 3.0, 900, 300))
    near = minimum_along(index, np.array([[12.0, -10, 1], [12.0, 10, 1]]))
    # Along this straight line the middle circle curves away, so the deepest place is at y = 0.
    assert near.distance == pytest.approx(-2.0, abs=3e-3)


def test_vertical_gap_between_nodes(sheet):
    """A ridge 1 m high crossed by one long chord: the least height lies over the ridge, not at a node."""
    ground = sheet(lambda x, y: np.where(np.abs(x - 7.0) < 0.1, -9.0, -10.0), np.arange(-20.0, 21), np.array([-5.0, 5]))
    chords = Chords.of([np.array([[-15.0, 0, 0], [15, 0, 3.0]])])
    (drop,) = lowest(GroundIndex(ground), chords, np.zeros(1, dtype=int))
    # Height over x: 10 + 0.1 (x + 15) away from the ridge, 9 + 2.2 at it; at the left end 10.
    np.testing.assert_allclose([drop.gap, drop.fraction, drop.z_ground], [10.0, 0.0, -10.0], atol=1e-12)
    chords = Chords.of([np.array([[-15.0, 0, 0], [15, 0, 0.3]])], [np.array([0.5])])
    (drop,) = lowest(GroundIndex(ground), chords, np.zeros(1, dtype=int))
    np.testing.assert_allclose([drop.gap, drop.fraction, drop.z_ground], [9.22 - 0.5, 22 / 30, -9.0], atol=1e-12)


def test_vertical_gap_passes_over_overhangs_and_knows_no_ground(overhang):
    index = GroundIndex(overhang)
    curves = [
        [[-5.0, 0, 0], [5, 0, 0]],
        [[-5.0, 0, 2], [5, 0, 4]],
        [[-5.0, 0, -25], [5, 0, -24]],
        [[30.0, 0, 0], [40, 0, 0]],
    ]
    gaps = [drop.gap for drop in lowest(index, Chords.of([np.array(c) for c in curves]), np.arange(4))]
    np.testing.assert_allclose(gaps[:3], [20.0, 0.0, -4.0], atol=1e-12)
    assert np.isnan(gaps[3])


def test_body_standing_upright(sheet):
    ground = sheet(lambda x, y: -10.0, np.linspace(-9, 9, 7), np.linspace(-9, 9, 7))
    chords = Chords.of([np.array([[0.3, 0.2, -1.0], [0.3, 0.2, -4.0]])])
    near, drop = (f(GroundIndex(ground), chords, np.zeros(1, dtype=int))[0] for f in (minima, lowest))
    np.testing.assert_allclose([near.distance, drop.gap, drop.fraction], [6.0, 6.0, 1.0], atol=1e-12)


@pytest.mark.parametrize(
    ("points", "sag"),
    [
        (np.zeros((0, 3)), np.zeros(0)),
        (np.zeros((2, 2)), np.zeros(1)),
        (np.full((2, 3), np.nan), np.zeros(1)),
        (np.zeros((2, 3)), np.zeros(2)),
        (np.zeros((2, 3)), -np.ones(1)),
        (np.zeros((2, 3)), np.full(1, np.nan)),
    ],
)
def test_bad_curves(points, sag):
    with pytest.raises(TerrainError, match="allowed"):
        Chords.of([points], [sag])
    with pytest.raises(TerrainError, match="no curve"):
        Chords.of([])


@pytest.mark.parametrize("lift", [0.0, -6.0, -30.0])
def test_vertical_gap_of_many_groups_against_dense_sampling(sheet, lift):
    """Sampling every 5 mm can only be too high, by at most the slope times half a step; lifts reach below ground."""
    rng = np.random.default_rng(5)
    heights = rng.normal(scale=1.5, size=(41, 101))
    ground = sheet(lambda x, y: heights - 8.0, np.linspace(-50, 50, 101), np.linspace(-20, 20, 41))
    curves = [
        np.column_stack([np.linspace(-45, 45, 12), rng.uniform(-15, 15, 12), rng.uniform(-3, 6, 12) + lift])
        for _ in range(12)
    ]
    index, group = GroundIndex(ground), np.arange(12) % 5
    drops = lowest(index, Chords.of(curves), group)
    for g, drop in enumerate(drops):
        own = [curve for curve, k in zip(curves, group, strict=True) if k == g]
        dense = np.concatenate([a + np.linspace(0, 1, 4000)[:, None] * (b - a) for c in own for a, b in pairwise(c)])
        least = index.vertical_gap(dense)[0].min()
        assert -1e-9 <= least - drop.gap < 0.05
        assert drop.curve in np.flatnonzero(group == g)


def test_ground_of_single_points_is_measured_in_pieces_of_finite_length() -> None:
    """Triangles that are points have no size.  Against the distance of points from a segment, by hand."""
    rng = np.random.default_rng(5)
    spots = rng.uniform([-40.0, -3.0, -9.0], [40.0, 3.0, -6.0], (400, 3))
    vertices = np.repeat(spots, 3, axis=0)
    cloud = Terrain(vertices=vertices, faces=np.arange(len(vertices)).reshape(-1, 3), source="points")
    a, b = np.array([-50.0, 0.0, 0.0]), np.array([50.0, 0.0, -1.0])
    share = np.clip((spots - a) @ (b - a) / ((b - a) @ (b - a)), 0.0, 1.0)
    wanted = np.linalg.norm(spots - (a + share[:, None] * (b - a)), axis=1).min()
    index = GroundIndex(cloud)
    assert minimum_along(index, np.array([a, b])).distance == pytest.approx(wanted, abs=1e-12)


def test_triangles_a_hair_wide_make_no_cells_a_hair_wide() -> None:
    """As in a dense cloud where points nearly coincide: the gap over them is found (closed form), in few cells."""
    t = np.linspace(-600.0, 600.0, 41)
    x, y = (each.ravel() for each in np.meshgrid(t, t))
    i = (np.arange(40)[:, None] * 41 + np.arange(40)).ravel()
    faces = np.concatenate([np.stack([i, i + 1, i + 41], 1), np.stack([i + 1, i + 42, i + 41], 1)])
    level = np.stack([x, y, np.full(len(x), -20.0)], 1)
    hair = np.array([[3.0, -1e-5, -5.0], [3.0 + 2e-5, -1e-5, -5.0], [3.0, 2e-5, -5.0]])
    ground = Terrain(vertices=np.vstack([level, hair]), faces=np.vstack([faces, len(level) + np.arange(3)]), source="x")
    index = GroundIndex(ground)
    hits = index.plumb.crossings(np.array([[-500.0, 0.0]]), np.array([[500.0, 0.0]]))
    assert hits.z_start.max() == pytest.approx(-5.0) and np.sum(hits.z_start > -6.0) == 1
    sizes = [level.cell for level in index.plumb._levels]
    assert min(sizes) > 1.0 and len(hits.segment) < 200


def test_points_alone_make_no_cells_of_no_width() -> None:
    """Leaves of a cloud are points: nothing is straight below a line, which is told in few cells."""
    points = np.random.default_rng(0).uniform(0.0, 140.0, (500, 3))
    faces = np.repeat(np.arange(500)[:, None], 3, axis=1)
    index = GroundIndex(Terrain(vertices=points, faces=faces, source="leaves"))
    assert min(level.cell for level in index.plumb._levels) > 1.0
    hits = index.plumb.crossings(np.array([[-500.0, 0.0]]), np.array([[500.0, 150.0]]))
    assert len(hits.segment) == 0

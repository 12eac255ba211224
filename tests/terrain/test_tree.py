"""The tree of triangles, against every triangle by itself, and against scipy's kd-tree where triangles are points."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial import cKDTree

from linescope.terrain.tree import LEAF, Tree


def _places(rng: np.random.Generator, count: int) -> np.ndarray:
    return rng.uniform([-30.0, -30.0, -20.0], [30.0, 30.0, 40.0], (count, 3))


@pytest.mark.parametrize("count", [1, LEAF, LEAF + 1, 9, 63, 65, 513, 5_000])
@pytest.mark.parametrize("height", [0.1, 30.0, 3000.0])
def test_triangles_that_are_points_against_a_kd_tree(count: int, height: float) -> None:
    """A steep invented hillside, a thin sheet of points, where boxes matter most."""
    plan = np.random.default_rng(count).uniform(-20.0, 20.0, (count, 2))
    points = np.column_stack([plan, 8.0 * np.sin(0.2 * plan[:, 0]) + 2.0 * plan[:, 1]])
    tree = Tree.of(points, np.repeat(np.arange(count)[:, None], 3, axis=1))
    places = _places(np.random.default_rng(1), 60) + np.array([0.0, 0.0, height])
    wanted, which = cKDTree(points).query(places)
    distance, nearest, face = tree.distance(places)
    assert np.allclose(distance, wanted, rtol=1e-12, atol=1e-12)
    assert np.allclose(nearest, points[which], atol=1e-9)
    assert (face == which).all()


def test_boxes_hold_what_is_theirs_and_no_triangle_is_lost() -> None:
    rng = np.random.default_rng(4)
    vertices = rng.normal(size=(300, 3)) * 10.0
    tree = Tree.of(vertices, rng.integers(0, 300, (777, 3)))
    assert sorted(tree.face) == list(range(777))
    leaves = len(tree.starts) - 1
    assert (np.diff(tree.starts) <= LEAF).all() and (np.diff(tree.starts) > 0).all()
    for leaf in range(leaves):
        own = tree.corners[tree.starts[leaf] : tree.starts[leaf + 1]].reshape(-1, 3)
        box = leaves - 1 + leaf
        while True:
            assert (own >= tree.boxes[box, :3]).all() and (own <= tree.boxes[box, 3:]).all()
            if box == 0:
                break
            box = (box - 1) // 2


def test_touched_are_all_whose_own_boxes_meet_and_few_more() -> None:
    rng = np.random.default_rng(5)
    corners = rng.uniform(-50.0, 50.0, (400, 1, 3)) + rng.normal(size=(400, 3, 3))
    tree = Tree.of(corners.reshape(-1, 3), np.arange(1200).reshape(-1, 3))
    low = rng.uniform(-50.0, 45.0, (6, 3))
    high = low + rng.uniform(0.0, 20.0, (6, 3))
    meets = (
        (corners.min(axis=1)[:, None] <= high).all(axis=2) & (corners.max(axis=1)[:, None] >= low).all(axis=2)
    ).any(axis=1)
    found = tree.touched(low, high)
    assert set(np.flatnonzero(meets)) <= set(found.tolist())
    assert len(found) < 0.6 * len(corners)

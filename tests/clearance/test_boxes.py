"""Points within a distance and nearest points, against scipy's kd-tree (an implementation of its own)."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial import cKDTree

from linescope.clearance.boxes import Boxes


def _sheet(count: int) -> np.ndarray:
    """A steep invented hillside: a thin sheet of points, where boxes matter most."""
    plan = np.random.default_rng(count).uniform(-20.0, 20.0, (count, 2))
    return np.column_stack([plan, 8.0 * np.sin(0.2 * plan[:, 0]) + 2.0 * plan[:, 1]])


@pytest.mark.parametrize("count", [1, 7, 8, 9, 63, 65, 513, 20_000])
@pytest.mark.parametrize("height", [0.1, 30.0, 3000.0])
def test_points_within_a_distance(count: int, height: float) -> None:
    points = _sheet(count)
    boxes, tree = Boxes(points, np.argsort(points[:, 0], kind="stable")), cKDTree(points)
    places = _sheet(40) + np.array([0.0, 0.0, height])
    nearest, _ = tree.query(places)
    assert np.allclose(boxes.nearest(places), nearest, rtol=1e-12, atol=0.0)
    some, squared = boxes.some_near(places)
    assert np.allclose(np.sqrt(squared), np.linalg.norm(points[some] - places, axis=1), rtol=1e-12, atol=0.0)
    reach = nearest * 1.02 + 0.5
    wanted = tree.query_ball_point(places, reach, return_sorted=True)
    found: list[list[int]] = [[] for _ in places]
    for position, point, gap in boxes.within(places, reach**2):
        assert np.allclose(gap, ((points[point] - places[position]) ** 2).sum(axis=1), rtol=1e-12, atol=0.0)
        assert (np.diff(position) >= 0).all()
        for owner in np.unique(position):
            assert not found[owner], "the pairs of one place come together"
            found[owner] = sorted(point[position == owner].tolist())
    assert found == [list(some) for some in wanted]

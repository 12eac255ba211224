"""Whether a mesh is one sheet of ground, and how high it is at most in every square of the plan."""

from __future__ import annotations

import numpy as np
import pytest

from linescope.terrain import PlumbIndex, Terrain
from linescope.terrain.overhang import Ceiling, is_one_sheet


def _strip(x, z):
    """A profile 4 m wide with the given corners, in order."""
    n = len(x)
    vertices = np.concatenate([np.column_stack([x, np.full(n, y), z]) for y in (-2.0, 2.0)])
    i = np.arange(n - 1)
    faces = np.concatenate([np.stack([i, i + 1, n + i], 1), np.stack([i + 1, n + i + 1, n + i], 1)])
    return Terrain(vertices=vertices, faces=faces, source="a strip")


@pytest.mark.parametrize(
    ("x", "z", "sheet"),
    [
        ([0.0, 1, 2, 3], [0.0, -1, 5, 0], True),
        ([0.0, 1, 1, 3], [0.0, 0, -9, -9], True),  # an upright step
        ([0.0, 2, 1, 3], [0.0, 0, -5, -5], False),  # an overhang, its lower side facing down
    ],
)
def test_overhangs_are_seen(x, z, sheet):
    assert is_one_sheet(PlumbIndex(_strip(x, z))) is sheet


def test_two_sheets_over_one_another_are_not_one():
    low, high = _strip([0.0, 1, 2], [0.0, 0, 0]), _strip([0.0, 1, 2], [3.0, 3, 3])
    both = Terrain(
        vertices=np.concatenate([low.vertices, high.vertices]),
        faces=np.concatenate([low.faces, high.faces + len(low.vertices)]),
        source="two floors",
    )
    assert not is_one_sheet(PlumbIndex(both))


def test_nothing_stands_above_the_ceiling():
    """Random triangles of all sizes; the highest at each place by brute force from `PlumbIndex.over`."""
    rng = np.random.default_rng(4)
    size = rng.choice([0.1, 3.0, 40.0], (300, 1, 1))
    corners = rng.uniform(-50, 50, (300, 1, 3)) + size * rng.normal(0, 1, (300, 3, 3))
    terrain = Terrain(vertices=corners.reshape(-1, 3), faces=np.arange(900).reshape(-1, 3), source="random")
    points = rng.uniform(-80, 80, (4000, 3))
    position, _, z, _ = PlumbIndex(terrain).over(points[:, :2])
    covered = np.zeros(len(points), dtype=bool)
    covered[position[z > points[position, 2]]] = True
    may = Ceiling(terrain).may_cover(points)
    assert may[covered].all()
    assert 0 < covered.sum() < may.sum() < len(points)

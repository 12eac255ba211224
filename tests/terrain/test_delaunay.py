"""Neighbours in plan: Delaunay's own condition, and the triangles of a peer.

Peer: scipy.spatial.Delaunay (Qhull).  What no circle decides, points on one circle, is checked by areas.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.spatial import ConvexHull, Delaunay

from linescope.compiled import COMPILED
from linescope.terrain.delaunay import BITS, joined_in_plan

pytestmark = pytest.mark.skipif(not COMPILED, reason="numba is not installed")
SIDE = 2**BITS


def _set(faces):
    return {tuple(sorted(face)) for face in faces.tolist()}


def _twice_areas(places, faces):
    a, b, c = (places[faces[:, k]] for k in range(3))
    return (b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]


@pytest.mark.parametrize("count", [3, 4, 17, 400, 20_000])
@pytest.mark.parametrize("seed", range(3))
def test_triangles_are_those_of_qhull(count, seed):
    """All but a few along the border, which are flat as a line: a hundredth as high as they are long, or less."""
    places = np.unique(np.random.default_rng(seed).integers(0, SIDE, (count, 2)), axis=0)
    ours, theirs = _set(joined_in_plan(places)), _set(Delaunay(places).simplices)
    assert ours <= theirs
    missing = np.array(sorted(theirs - ours)).reshape(-1, 3)
    for face in missing:
        corners = places[face].astype(float)
        edges = np.linalg.norm(corners - np.roll(corners, 1, axis=0), axis=1)
        assert len(missing) < 50
        height = abs(_twice_areas(places, face[None])[0]) / edges.max()
        assert height < 0.01 * edges.max()


@pytest.mark.parametrize("shape", ["grid", "grid, turned", "rows far apart", "one circle", "one row and a point"])
def test_points_that_no_circle_decides(shape):
    """Every edge is Delaunay's within rounding, no triangle is turned over, and together they are the convex hull."""
    x, y = (each.ravel() for each in np.meshgrid(np.arange(90), np.arange(70)))
    if shape == "grid":
        places = np.stack([x, y], 1) * 1000
    elif shape == "grid, turned":
        places = np.stack([3 * x - 4 * y, 4 * x + 3 * y], 1) * 1000 + 300_000
    elif shape == "rows far apart":
        places = np.stack([x, 600 * y], 1) * 90
    elif shape == "one circle":  # Pythagorean: all of them exactly on it.
        at = [(a, b) for a in range(-325, 326) for b in range(-325, 326) if a * a + b * b == 325**2]
        places = (np.array(at) + 325) * 1000
    else:
        places = np.concatenate([np.stack([np.arange(500), np.full(500, 7)], 1) * 100, [[20_000, 90_000]]])
    faces = joined_in_plan(places)
    double = _twice_areas(places, faces)
    assert double.min() > 0
    assert double.sum() / 2 == pytest.approx(ConvexHull(places).volume, rel=1e-12)
    assert len(np.unique(faces)) == len(places)
    a, b, c = (places[faces[:, k]].astype(float) for k in range(3))
    # Centre and radius of each circle: no point lies within.
    d = 2.0 * ((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0])
    b2, c2 = ((b - a) ** 2).sum(1), ((c - a) ** 2).sum(1)
    centre = a + np.stack([
        ((c - a)[:, 1] * b2 - (b - a)[:, 1] * c2) / d, ((b - a)[:, 0] * c2 - (c - a)[:, 0] * b2) / d,
    ], 1)
    radius = np.linalg.norm(centre - a, axis=1)
    for number in range(0, len(faces), max(1, len(faces) // 200)):
        gap = np.linalg.norm(places - centre[number], axis=1) - radius[number]
        assert gap.min() > -1e-6 * radius[number]


def test_points_along_a_line_make_no_triangle():
    places = np.stack([np.arange(50) * 100, np.arange(50) * 300], 1)
    assert len(joined_in_plan(places)) == 0

"""Points far beside the line: what stays, and what it does to a distance (checked point by point)."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.spatial import cKDTree

from linescope.terrain.geo import Corridor, Crs, Frame, Origin
from linescope.terrain.sieve import REACH, Sieve

A, B = np.array([3.0, -2.0, 10.0]), np.array([103.0, -2.0, 12.0])
CORRIDOR = Corridor(a=A, b=B, radius=70.0)


def _points(count, seed=0):
    """At random about a line of 100 m, over a slope with leaves."""
    rng = np.random.default_rng(seed)
    xy = rng.uniform([-60, -70], [170, 70], (count, 2))
    return np.column_stack([xy, 0.5 * xy[:, 1] + rng.uniform(-1.0, 0.0, count)])


def _sieved(points, flat, parts=7):
    sieve = Sieve(CORRIDOR, flat=flat)
    for part in np.array_split(points, parts):
        sieve.add(part, CORRIDOR.away(part))
    return sieve, sieve.points()


@pytest.mark.parametrize("flat", [True, False])
def test_all_points_under_the_line_stay_and_the_highest_of_each_cell(flat):
    points = _points(300_000)
    sieve, kept = _sieved(points, flat)
    away = CORRIDOR.away(points)
    assert sieve.near == pytest.approx(10.0 + REACH)
    near = points[away <= sieve.near]
    kept_near = kept[CORRIDOR.away(kept) <= sieve.near]
    assert len(near) == len(kept_near)
    np.testing.assert_array_equal(near[np.lexsort(near.T)], kept_near[np.lexsort(kept_near.T)])
    assert len(kept) + sieve.left_out == len(points) and sieve.left_out > 50_000
    # Whoever went has one beside it, within the diagonal of a cell, and as a column none lower than itself.
    far = points[away > sieve.near]
    cell = sieve.cells(far)
    assert np.all(cell <= 0.01 * CORRIDOR.away(far) + 1e-12)
    if flat:
        for point, width in zip(far[::500], cell[::500], strict=True):
            others = kept[np.abs(kept[:, :2] - point[:2]).max(axis=1) <= width + 1e-9]
            assert (others[:, 2] >= point[2]).any()
    else:
        gap, _ = cKDTree(kept).query(far)
        assert np.all(gap <= math.sqrt(3.0) * cell + 1e-9)


def test_in_how_many_parts_it_is_given_makes_no_difference():
    points = _points(60_000, 1)
    _, one = _sieved(points, True, 1)
    _, many = _sieved(points, True, 23)
    np.testing.assert_array_equal(one[np.lexsort(one.T)], many[np.lexsort(many.T)])


def test_what_is_kept_does_not_grow_with_the_cloud():
    """Far beside the line there are only so many cells."""
    rng = np.random.default_rng(2)
    sieve, counts = Sieve(CORRIDOR, flat=True), []
    for _ in range(12):
        xy = rng.uniform([0, 30], [100, 70], (200_000, 2))
        points = np.column_stack([xy, np.zeros(len(xy))])
        sieve.add(points, CORRIDOR.away(points))
        counts.append(len(sieve.points()))
    assert counts[-1] < 1.02 * counts[-4] and sieve.left_out + counts[-1] == 12 * 200_000


@pytest.mark.parametrize("crs", ["EPSG:32616", "EPSG:4326", "EPSG:2274"])
def test_quick_places_are_those_of_proj(crs):
    """Polynomials against every point by pyproj and the ellipsoid, over 2 km: within a tenth of a millimetre."""
    system = Crs(crs)
    origin = Origin(latitude=math.radians(36.5), longitude=math.radians(-84.3), height=700.0)
    frame = Frame(crs=system, origin=origin)
    wide = Corridor(a=np.zeros(3), b=np.array([900.0, 400.0, 30.0]), radius=400.0)
    bounds = wide.bounds(frame)
    rng = np.random.default_rng(4)
    points = np.column_stack([rng.uniform(bounds[0], bounds[1], (5000, 2)), rng.uniform(200.0, 1900.0, 5000)])
    quick = frame.quick(bounds)
    assert quick != frame.local
    np.testing.assert_allclose(quick(points), frame.local(points), atol=1e-4)

"""Splines and roots of our own beside those of SciPy, which they stand in for."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.interpolate import CubicSpline
from scipy.optimize import elementwise

from linescope.events.roots import roots
from linescope.events.spline import spline

RNG = np.random.default_rng(4)
ROUNDING = 1e-13  # Both sum the same terms in the same order, or nearly.


@pytest.mark.parametrize("points", [4, 5, 61])
def test_the_spline_is_scipys(points):
    x, y = np.sort(RNG.uniform(0.0, 10.0, points)), RNG.normal(size=points)
    ours, theirs, at = spline(x, y), CubicSpline(x, y), RNG.uniform(-0.5, 10.5, 200)
    for derivative in range(3):
        found, known = ours(at, derivative), theirs(at, derivative)
        assert found == pytest.approx(known, abs=ROUNDING * np.abs(known).max())
    known = theirs.antiderivative()(at)
    assert ours.integral(at) == pytest.approx(known, abs=ROUNDING * np.abs(known).max())


@pytest.mark.parametrize("share", [0.11, 0.29, 0.51, 0.73, 0.94])
def test_it_takes_a_value_where_scipys_does(share):
    x = np.linspace(0.0, 10.0, 81)
    y = np.cumsum(RNG.normal(size=81))
    ours, theirs = spline(x, y).integral, CubicSpline(x, y).antiderivative()
    value = float(theirs(10.0 * share))
    found, known = ours.where(value), theirs.solve(value, extrapolate=False)
    assert found == pytest.approx(np.sort(known), abs=1e-9)
    assert np.abs(found - 10.0 * share).min() < 1e-9


def test_a_value_that_is_taken_right_at_a_point_is_not_lost():
    x = np.arange(9.0)
    assert spline(x, (x - 4.0) * (x + 1.0)).where(0.0)[-1] == pytest.approx(4.0, abs=1e-12)
    assert spline(x, x).where(9.0).size == 0


def test_roots_are_scipys_step_by_step():
    c = RNG.uniform(2.0, 900.0, 20)
    calls: list[int] = []

    def over(x, which):
        calls.append(len(which))
        return c[which] - x**3

    low, high = np.zeros(20), np.full(20, 10.0)
    known = elementwise.find_root(
        lambda x, number: c[number.astype(int)] - x**3, (low, high), args=(np.arange(20.0),),
        tolerances={"xatol": 1e-3},
    )
    assert (roots(over, low, high, c, 1e-3) == known.x).all()
    assert sum(calls) == known.nfev.sum() - 20  # The values at the low end are given.
    assert max(calls) == 20 and calls[-1] < 20

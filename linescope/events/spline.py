"""A smooth line through points, its integral, and where that takes a value.

The spline is that of `scipy.interpolate.CubicSpline` with its usual ends (the third derivative is the same on both
sides of the second and of the last but one point), which takes longer to load than a line takes to be computed.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import comb, factorial

import numpy as np
from numpy.typing import NDArray

from linescope.statics.lapack import dgtsv

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False, kw_only=True)
class Pieces:
    """Polynomials end to end.

    Attributes
    ----------
    x : (n + 1,) array
        Where they begin, and where the last one ends; growing.  [SI]
    c : (k, n) array
        Coefficients of each in the way from its begin, the highest power first.  [SI]
    """

    x: Floats
    c: Floats

    def __call__(self, at: Floats | float, derivative: int = 0) -> Floats:
        """Values, or derivatives; the first and the last polynomial go on beyond the ends."""
        at = np.asarray(at, dtype=float)
        own = np.clip(np.searchsorted(self.x, at, side="right") - 1, 0, self.c.shape[1] - 1)
        way, power, found = at - self.x[own], np.ones(at.shape), np.zeros(at.shape)
        for k, each in enumerate(self.c[::-1]):
            if k >= derivative:
                found = found + each[own] * power * (factorial(k) // factorial(k - derivative))
                power = power * way
        return found

    @cached_property
    def integral(self) -> Pieces:
        """From the first point on."""
        own = self.c / np.arange(len(self.c), 0, -1)[:, None]
        way, grown = np.diff(self.x), np.zeros(self.c.shape[1])
        for each in own:
            grown = (grown + each) * way
        upto = np.concatenate(([0.0], np.cumsum(grown)[:-1]))
        return Pieces(x=self.x, c=np.concatenate((own, upto[None])))

    def where(self, value: float) -> Floats:
        """Places between the ends at which they take a value, growing.

        Parameters
        ----------
        value : float
            [SI]
        """
        way, top = np.diff(self.x), len(self.c) - 1
        c = self.c.copy()
        c[-1] -= value
        # A polynomial lies between the least and the largest of its Bernstein coefficients.
        scaled = c[::-1] * way ** np.arange(top + 1)[:, None]
        to_bernstein = np.array([[comb(j, k) / comb(top, k) for k in range(top + 1)] for j in range(top + 1)])
        bounds = to_bernstein @ scaled
        room = 1e-14 * np.abs(scaled).max(axis=0)
        found = []
        for i in np.flatnonzero((bounds.min(axis=0) <= room) & (bounds.max(axis=0) >= -room)).tolist():
            for root in np.roots(c[:, i]).tolist():
                if abs(root.imag) <= 1e-12 * abs(root) and -1e-12 <= root.real / way[i] <= 1.0 + 1e-12:
                    found.append(float(self.x[i] + root.real))
        return np.array(sorted(found))


def spline(x: Floats, y: Floats) -> Pieces:
    """The spline through points.

    Parameters
    ----------
    x : (n,) array
        Four or more, growing.  [SI]
    y : (n,) array
        [SI]
    """
    dx = np.diff(x)
    slope = np.diff(y) / dx
    middle, right = np.empty(len(x)), np.empty(len(x))
    middle[1:-1], right[1:-1] = 2.0 * (dx[:-1] + dx[1:]), 3.0 * (dx[1:] * slope[:-1] + dx[:-1] * slope[1:])
    first, last = x[2] - x[0], x[-1] - x[-3]
    middle[0], middle[-1] = dx[1], dx[-2]
    right[0] = ((dx[0] + 2.0 * first) * dx[1] * slope[0] + dx[0] ** 2 * slope[1]) / first
    right[-1] = (dx[-1] ** 2 * slope[-2] + (2.0 * last + dx[-1]) * dx[-2] * slope[-1]) / last
    s = dgtsv(np.append(dx[1:], last), middle, np.append(first, dx[:-1]), right)[3]
    t = (s[:-1] + s[1:] - 2.0 * slope) / dx
    return Pieces(x=x, c=np.stack((t / dx, (slope - s[:-1]) / dx - t, s[:-1], y[:-1])))

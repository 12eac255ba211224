"""Where many functions of one number are zero, all looked for together.

References
----------
.. [1] T. R. Chandrupatla, "A new hybrid quadratic/bisection algorithm for finding the zero of a nonlinear function
   without using derivatives", Advances in Engineering Software 28 (1997), 145-149; step by step as
   `scipy.optimize.elementwise.find_root`, which takes longer to load than most lines take to be solved.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

STEPS = 200


def roots(of: Callable[[Floats, Ints], Floats], low: Floats, high: Floats, at_low: Floats, within: float) -> Floats:
    """(n,) places between `low` and `high` at which functions change their sign.

    Parameters
    ----------
    of : callable
        Values of some of the functions, by their numbers (m,), each at a place of its own (m,).
    low, high : (n,) array
        [SI]
    at_low : (n,) array
        Values at `low`; those at `high` have the other sign.  [SI]
    within : float
        How near to the root a place has to be.  [SI]
    """
    found, which = np.empty(len(low)), np.arange(len(low))
    x1, x2, f1, f2 = low, high, at_low, of(high, which)
    x3, f3, first = x1, f1, True
    for _ in range(STEPS):
        nearer = np.abs(f1) < np.abs(f2)
        best, width = np.where(nearer, x1, x2), np.abs(x2 - x1)
        found[which] = best
        room = np.abs(best) * 4.0 * np.finfo(float).eps + within
        on = (np.where(nearer, f1, f2) != 0.0) & ~(width < room)
        if not on.any():
            break
        which, x1, x2, x3, f1, f2, f3, width, room = (each[on] for each in (which, x1, x2, x3, f1, f2, f3, width, room))
        t = np.full(len(which), 0.5)
        if not first:
            xi, alpha = (x1 - x2) / (x3 - x2), (x3 - x1) / (x2 - x1)
            with np.errstate(divide="ignore", invalid="ignore"):
                phi = (f1 - f2) / (f3 - f2)
                curved = f1 / (f1 - f2) * f3 / (f3 - f2) - alpha * f1 / (f3 - f1) * f2 / (f2 - f3)
            t = np.where((1.0 - np.sqrt(1.0 - xi) < phi) & (phi < np.sqrt(xi)), curved, t)
            t = np.clip(t, 0.5 * room / width, 1.0 - 0.5 * room / width)
        x, first = x1 + t * (x2 - x1), False
        f = of(x, which)
        same = np.sign(f) == np.sign(f1)
        x3, f3 = np.where(same, x1, x2), np.where(same, f1, f2)
        x2, f2 = np.where(same, x2, x1), np.where(same, f2, f1)
        x1, f1 = x, f
    return found

"""Stretches of the line from which a fall does not keep what is needed."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.finding import NoFallZone

Floats = NDArray[np.float64]


def no_fall_zones(walker: Floats, remainder: Floats, line_length: float) -> tuple[NoFallZone, ...]:
    """Stretches of walker positions from which a fall does not keep what is needed.

    Parameters
    ----------
    walker : (n,) float
        Positions tried, from anchor A, in any order; doubles count with their smallest remainder. [m]
    remainder : (n,) float
        Distance less what is needed. [m]
    line_length : float
        Place of anchor B. [m]

    Returns
    -------
    tuple of NoFallZone
        From anchor A on; each reaches to the next position that meets the requirement, or to the anchor.
    """
    place, owner = np.unique(walker, return_inverse=True)
    least = np.full(len(place), np.inf)
    np.minimum.at(least, owner, remainder)
    bad = np.concatenate([[False], least < 0.0, [False]])
    starts = np.flatnonzero(bad[1:] & ~bad[:-1])
    ends = np.flatnonzero(bad[:-1] & ~bad[1:]) - 1
    zones = []
    for first, last in zip(starts.tolist(), ends.tolist(), strict=True):
        low = float(place[first - 1]) if first > 0 else 0.0
        high = float(place[last + 1]) if last + 1 < len(place) else line_length
        worst = first + int(np.argmin(least[first : last + 1]))
        zones.append(
            NoFallZone(
                from_a=(low, high),
                from_b=(line_length - high, line_length - low),
                worst=float(least[worst]),
                worst_at=float(place[worst]),
            )
        )
    return tuple(zones)

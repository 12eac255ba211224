"""Stretches of the line from which a fall does not keep what is needed."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.finding import NoFallZone

Floats = NDArray[np.float64]


def no_fall_zones(
    walker: Floats, remainder: Floats, line_length: float, in_time: Floats | None = None
) -> tuple[NoFallZone, ...]:
    """Stretches of walker positions from which a fall does not keep what is needed.

    Parameters
    ----------
    walker : (n,) float
        Positions tried, from anchor A, in any order; doubles count with their smallest remainder. [m]
    remainder : (n,) float
        Distance less what is needed. [m]
    line_length : float
        Place of anchor B. [m]
    in_time : (n,) float, optional
        Of that, what falls in time leave; inf where they come no lower than the energy balance. [m]

    Returns
    -------
    tuple of NoFallZone
        From anchor A on; each reaches to the next position that meets the requirement, or to the anchor.
    """
    place, owner = np.unique(walker, return_inverse=True)
    least = np.full(len(place), np.inf)
    np.minimum.at(least, owner, remainder)
    decided = np.zeros(len(place), dtype=bool)
    if in_time is not None:
        np.logical_or.at(decided, owner, (in_time <= remainder) & np.isfinite(in_time))
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
                in_time=_stretches(place, decided & (least < 0.0), first, last, (low, high)),
            )
        )
    return tuple(zones)


def _stretches(
    place: Floats, decided: NDArray[np.bool_], first: int, last: int, ends: tuple[float, float]
) -> tuple[tuple[float, float], ...]:
    """Where within a zone, from `first` to `last`, falls in time decide; to its ends, or half-way to the next place."""
    inside = np.concatenate([[False], decided[first : last + 1], [False]])
    starts, stops = np.flatnonzero(inside[1:] & ~inside[:-1]), np.flatnonzero(inside[:-1] & ~inside[1:]) - 1
    found = []
    for start, stop in zip((starts + first).tolist(), (stops + first).tolist(), strict=True):
        low = ends[0] if start == first else 0.5 * float(place[start - 1] + place[start])
        high = ends[1] if stop == last else 0.5 * float(place[stop] + place[stop + 1])
        found.append((low, high))
    return tuple(found)

"""How far a body stays from the ground at the lowest point of a leash fall, at every place of a sweep."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from linescope.clearance import Chords, GroundIndex, minima
from linescope.events.fall import LeashFallSweep, leash_fall_sweep
from linescope.shown import Outlined
from linescope.statics import Plan
from linescope.statics.solution import freeze

Floats = NDArray[np.float64]

CLOSE = 0.01  # How near to a border it is found [m].


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class FallGaps(Outlined):
    """Distances in space.  Arrays are (n,), one entry a place of the sweep.

    Attributes
    ----------
    at : array
        Distance from A along the straight line to B.  [m]
    hang : array
        Smallest distance of the body to the ground in the quiet hang; negative inside it.  [m]
    lowest : array
        The same at the lowest point of the fall, as the sweep has it.  [m]
    """

    at: Floats
    hang: Floats
    lowest: Floats


def fall_gaps(sweep: LeashFallSweep, index: GroundIndex) -> FallGaps:
    """Distance from the hanging body to the ground, for every fall of a sweep.

    Parameters
    ----------
    sweep : LeashFallSweep
    index : GroundIndex
        Of the whole ground, not of a thinned one.

    Notes
    -----
    The body is the upright line from the top of the head to the lowest foot, without width.
    """

    def distances(top: Floats, foot: Floats) -> Floats:
        bodies = [np.array([a, b]) for a, b in zip(top, foot, strict=True)]
        return np.array([near.distance for near in minima(index, Chords.of(bodies), np.arange(len(bodies)))])

    gaps = FallGaps(
        at=sweep.at.copy(),
        hang=distances(sweep.hang.head, sweep.hang.foot),
        lowest=distances(sweep.low.head, sweep.low.foot),
    )
    freeze(gaps)
    return gaps


@dataclass(frozen=True, eq=False, kw_only=True)
class FallBorders:
    """Where what a fall leaves passes a distance, found itself and not between places of a sweep.

    Attributes
    ----------
    level : (n,) array
        The distance that is passed.  [m]
    at : (n,) array
        Where, from A along the straight line to B.  [m]
    rising : (n,) bool array
        Whether more than that is left behind it, towards B.
    """

    level: Floats
    at: Floats
    rising: NDArray[np.bool_]


def fall_borders(
    planned: Plan, index: GroundIndex, gaps: FallGaps, levels: tuple[float, ...],
    lower: Callable[[LeashFallSweep], LeashFallSweep] = lambda falls: falls,
) -> FallBorders:
    """Borders between places where a fall leaves less than a distance and places where it leaves more.

    Parameters
    ----------
    planned : Plan
        Of a rig with a walker.
    index : GroundIndex
    gaps : FallGaps
        Of the same rig, in rising places.
    levels : tuple of float
        [m]
    lower : callable
        What was made of the sweep's falls before their gaps were taken.
    """
    known: dict[float, float] = dict(zip(gaps.at.tolist(), gaps.lowest.tolist(), strict=True))

    def left(at: float) -> float:
        if at not in known:
            sweep = lower(leash_fall_sweep(planned.rig, [at], planned=planned))
            known[at] = float(fall_gaps(sweep, index).lowest[0])
        return known[at]

    found = []
    for level in levels:
        over = gaps.lowest - level
        for k in np.flatnonzero((over[1:] > 0.0) != (over[:-1] > 0.0)):
            ends = float(gaps.at[k]), float(gaps.at[k + 1])
            if np.isfinite(over[k : k + 2]).all():
                found.append((level, float(brentq(lambda at, level=level: left(at) - level, *ends, xtol=CLOSE)),
                              bool(over[k + 1] > 0.0)))
    borders = FallBorders(
        level=np.array([level for level, _, _ in found]), at=np.array([at for _, at, _ in found]),
        rising=np.array([rising for _, _, rising in found], dtype=bool),
    )
    freeze(borders)
    return borders

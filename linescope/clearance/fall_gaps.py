"""How far a body stays from the ground at the lowest point of a leash fall, at every place of a sweep."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.clearance import Chords, GroundIndex, minima
from linescope.events.fall import LeashFallSweep
from linescope.shown import Outlined
from linescope.statics.solution import freeze

Floats = NDArray[np.float64]


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

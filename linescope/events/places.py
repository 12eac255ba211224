"""The places at which falls are told: stated in metres, so that no figure depends on how many places were tried."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from linescope.rig import Rig

Floats = NDArray[np.float64]

FROM_ANCHORS = (0.5, 1.0, 2.0, 5.0)  # [m]
SHARES = (0.25, 0.5, 0.75)
APART = 0.05  # Places nearer to each other than this are one [m].
STEEP = 2.0  # Ground that falls away by this much over a metre is a ledge.
BESIDE = 0.5  # So far out from the edge he falls beside it [m].
MOST_LEDGES = 4


def stated_places(rig: Rig, ledges: Iterable[float] = ()) -> Floats:
    """0.5, 1, 2 and 5 m from each anchor, the quarters, the middle, beside ledges, and where the walker is.

    Parameters
    ----------
    rig : Rig
    ledges : iterable of float
        Places beside ledges, from A along the straight line.  [m]

    Returns
    -------
    (n,) array
        From A along the straight line, rising.  [m]
    """
    span = rig.span
    near = [away for away in FROM_ANCHORS if away < 0.5 * span]
    first = [rig.walker.at] if rig.walker is not None else []
    wanted = [*first, *(share * span for share in SHARES), *near, *(span - away for away in near), *ledges]
    kept: list[float] = []
    for place in wanted:
        if 0.0 < place < span and all(abs(place - other) > APART for other in kept):
            kept.append(float(place))
    return np.array(sorted(kept))


def ledges_of(at: Floats, heights: Floats) -> tuple[float, ...]:
    """Places beside the edges from which the ground under a line falls away.

    Parameters
    ----------
    at : (n,) array
        From A along the straight line, in even steps of less than half a metre.  [m]
    heights : (n,) array
        Of the ground there; nan where none is known.  [m]

    Returns
    -------
    tuple of float
        Half a metre out from each edge, from A; of many the highest ledges.  [m]
    """
    metre = max(round(1.0 / float(at[1] - at[0])), 1)
    fall = np.full(len(at), np.nan)
    fall[:-metre] = heights[metre:] - heights[:-metre]
    found: list[tuple[float, float]] = []
    for sign in (-1.0, 1.0):
        steep = np.concatenate(([False], np.nan_to_num(sign * fall) >= STEEP, [False]))
        starts, stops = np.flatnonzero(steep[1:] & ~steep[:-1]), np.flatnonzero(steep[:-1] & ~steep[1:])
        for start, stop in zip(starts.tolist(), stops.tolist(), strict=True):
            last = min(stop - 1 + metre, len(at) - 1)
            drop = abs(float(heights[last] - heights[start]))
            # Down towards B: the edge is where it begins; up towards B: where it ends.
            edge = float(at[start]) + 1.0 + BESIDE if sign < 0.0 else float(at[last]) - 1.0 - BESIDE
            found.append((drop, edge))
    highest = sorted(found, reverse=True)[:MOST_LEDGES]
    return tuple(sorted(round(place, 1) for _, place in highest))

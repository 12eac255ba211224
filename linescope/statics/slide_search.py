"""The search of `minimise` for one pair in compiled loops."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.compiled import COMPILED
from linescope.statics.minimise import Minimum, Settings, minimise
from linescope.statics.pair import Evaluation, Pair
from linescope.statics.quick import (
    AFTER,
    BACKUP,
    BEFORE,
    H,
    V,
    segments_of,
    tables_of,
)
from linescope.statics.slide_loops import slipping

Floats = NDArray[np.float64]

SETTINGS = Settings()


def minimise_compiled(
    pair: Pair, start: Floats | Evaluation, *, hold: Floats, rest: Floats | None = None,
    forces: tuple[Floats, Floats] | None = None, settings: Settings = SETTINGS,
) -> Minimum:
    """`minimise` in compiled loops, the same step by step; what they do not settle goes to `minimise` itself.

    Parameters
    ----------
    pair : Pair
    start : (n, 4) array, or Evaluation
        Positions and slides, or this pair evaluated there.  [m]
    hold : (n,) array
        What each tape resists, in the energy sense; inf pins the slide.  [N]
    rest : (n,) array, optional
        Slides from which slip counts; default those of `start`.  [m]
    forces : pair of (k,) arrays, optional
        H and V of the segments to start from.  [N]
    settings : Settings

    Raises
    ------
    NoEquilibrium, SegmentNotSolved
    """
    known = start.forces if isinstance(start, Evaluation) else forces
    if not COMPILED or known is None:
        return minimise(pair, start, hold=hold, rest=rest, forces=forces, settings=settings)
    joins, points, anchors, curves, pieces = tables_of(pair)
    nodes = np.array(start.unknowns if isinstance(start, Evaluation) else start)
    rest = nodes[:, 3].copy() if rest is None else rest
    pieces[:, H], pieces[:, V] = known
    left, steps = slipping(
        joins, points, anchors, curves, nodes, pieces, hold, rest, settings.tolerance * pair.weight,
        settings.accepted * pair.weight, np.zeros(pair.n),
    )
    if not np.isfinite(left):
        return minimise(pair, start, hold=hold, rest=rest, forces=forces, settings=settings)
    _, up = pair._ups
    ends = np.concatenate([nodes[:, :3], anchors])
    before, after = (np.where(joins[:, k] < 0, 0, joins[:, k]) for k in (BEFORE, AFTER))
    first = np.where(joins[:, BEFORE] < 0, pair.n + 2 * joins[:, BACKUP], before)
    last = ends[np.where(joins[:, AFTER] < 0, pair.n + 2 * joins[:, BACKUP] + 1, after)]
    state = Evaluation(
        pair=pair, unknowns=nodes, segments=segments_of(pieces, last - ends[first], up), last=last,
        height_end=np.einsum("ij,ij->i", last, up),
    )
    moving = pair.free_slides & ((nodes[:, 3] != rest) | (hold == 0.0))
    return Minimum(state=state, residual=float(left), steps=int(steps), resting=~moving)

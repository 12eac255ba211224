"""Compiled loops for pairs whose lines slide: from as taped to settled, under holds that are lowered as in `settle`."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.compiled import compiled
from linescope.statics.quick import LENGTH, LOAD, SLIDES, derive_by_length, evaluate, gradient
from linescope.statics.settle import LAST_HOLD, LOWERING
from linescope.statics.slide_loops import slipping

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@compiled
def lowered(
    joins: Ints, points: Floats, anchors: Floats, curves: Floats, nodes: Floats, pieces: Floats, weight: float,
    want: float, accept: float, rough: float
) -> tuple[float, int]:
    """One pair from as taped to settled, in place; see `settle.settle`.  Force left [N] and how many holds it took."""
    n = len(nodes)
    if not evaluate(joins, anchors, curves, nodes, pieces):
        return np.inf, 0
    derive_by_length(pieces)
    # No slips are taken for likely: where a line snaps, such a guess decides in which of its states it comes to rest.
    slope, hold, rest, likely = np.empty(4 * n), np.empty(n), np.empty(n), np.zeros(n)
    gradient(joins, points, pieces, slope)
    drive = loop = 0.0
    for i in range(n):
        drive = max(drive, abs(slope[4 * i + 3]))
    for k in range(len(pieces)):
        if joins[k, 2] == 1:
            loop = max(loop, pieces[k, LENGTH] * pieces[k, LOAD])
    level, left, levels = LOWERING * drive, 0.0, 0
    while True:
        last = not level > LAST_HOLD * loop
        for i in range(n):
            hold[i], rest[i] = 0.0 if last else level, nodes[i, 3]
        left, _ = slipping(
            joins, points, anchors, curves, nodes, pieces, hold, rest, want if last else rough,
            max(accept, 0.0 if last else rough), likely
        )
        levels += 1
        if last or not left < np.inf:
            return left, levels
        level *= LOWERING


@compiled
def lowered_all(
    first: Ints, edges: Ints, joins: Ints, points: Floats, anchors: Floats, curves: Floats, nodes: Floats,
    pieces: Floats, weight: Floats, want: float, accept: float, rough: float, found: Floats
) -> None:
    """`lowered` of every pair that is found as taped; force left and holds taken of each into `found` (R, 2)."""
    for r in range(len(weight)):
        n0, n1, k0, k1 = first[r], first[r + 1], edges[r], edges[r + 1]
        sliding = False
        for i in range(n0, n1):
            sliding = sliding or points[i, SLIDES] > 0.0
        if sliding and found[r, 0] < np.inf:
            left, levels = lowered(
                joins[k0:k1], points[n0:n1], anchors[4 * r : 4 * r + 4], curves[r], nodes[n0:n1], pieces[k0:k1],
                weight[r], want * weight[r], accept * weight[r], rough * weight[r],
            )
            found[r, 0], found[r, 1] = left, levels

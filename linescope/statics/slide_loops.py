"""Compiled loops for pairs whose lines slide: the search of `minimise`.

The pieces are those of `quick`; steps and their order are those of `minimise` and `steps`, so the same one of several
equilibria is found.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.compiled import compiled
from linescope.statics.minimise import LEAST_DAMPING, SHORT_STEPS, STANDSTILL, TIMID
from linescope.statics.quick import (
    AFTER,
    BEFORE,
    SLIDES,
    SORTING,
    attempt,
    derive,
    derive_by_length,
    energy_of,
    evaluate,
    gradient,
    left_over,
    longest,
    reaches,
    solve_pinned,
    sorted_move,
    tangent,
    times,
)
from linescope.statics.steps import LARGEST_SHIFT, LEAST_SHIFT, SHIFT_GROWTH

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

SLIP_STEPS = 300  # Newton steps of one pair under one hold.


@compiled
def definite(
    band: Floats, reach: Ints, pinned: Flags, right: Floats, shift: float, damping: float, work: Floats, move: Floats
) -> float:
    """A step with slides shifted until the tangent is positive definite, into `move` (4n,), and that shift [N/m]; -1
    where no shift does it.  See `steps._definite_step`."""
    move[:] = right
    if solve_pinned(band, reach, pinned, damping, move, work):
        return damping
    size = max(shift / SHIFT_GROWTH**2, LEAST_SHIFT)
    while size < LARGEST_SHIFT:
        move[:] = right
        if solve_pinned(band, reach, pinned, size, move, work):
            wider = right.copy()
            if solve_pinned(band, reach, pinned, SHIFT_GROWTH * size, wider, work):
                move[:] = wider
            return size
        size *= SHIFT_GROWTH
    return -1.0


@compiled
def careful_move(
    points: Floats, band: Floats, reach: Ints, slope: Floats, hold: Floats, slip: Floats, shift: float, damping: float,
    work: Floats, move: Floats, sense: Floats
) -> tuple[float, float]:
    """A descent step where the sorted one is not to be had, into `move` (4n,); see `steps.careful_step`.

    Returns its first-order change [J], not negative where there is none, and the shift [N/m].  `sense` (n,) is left
    as the side of its rest that each slide may not leave.
    """
    n = len(slip)
    fall, right, again = slope.copy(), np.empty(4 * n), np.empty(4 * n)
    forced, other = np.zeros(4 * n), np.zeros(4 * n)
    resting = np.empty(n, dtype=np.bool_)
    for i in range(n):
        drive = -slope[4 * i + 3]
        moving = points[i, SLIDES] > 0.0 and (slip[i] != 0.0 or abs(drive) > hold[i])
        way = slip[i] if slip[i] != 0.0 else drive
        sense[i] = 0.0 if not moving else 1.0 if way > 0.0 else -1.0
        fall[4 * i + 3] = hold[i] * sense[i] - drive if moving else 0.0
        resting[i] = not moving
    for r in range(4 * n):
        right[r] = -fall[r]
    shift = definite(band, reach, resting, right, shift, damping, work, move)
    if shift < 0.0:
        return 1.0, 0.0
    for _ in range(SORTING):
        wrong = False
        for i in range(n):
            if hold[i] > 0.0 and not resting[i] and (slip[i] + move[4 * i + 3]) * sense[i] < 0.0:
                resting[i], wrong = True, True
                forced[4 * i + 3] = -slip[i]
        if not wrong:
            break
        times(band, reach, forced, other)
        for r in range(4 * n):
            right[r] = -fall[r] - other[r]
        for i in range(n):
            if resting[i]:
                right[4 * i + 3] = forced[4 * i + 3]
        shift = definite(band, reach, resting, right, shift, damping, work, again)
        if shift < 0.0:
            return 1.0, 0.0
        total = 0.0
        for r in range(4 * n):
            total += again[r] * fall[r]
        if total >= 0.0:
            break
        move[:] = again
    total = 0.0
    for r in range(4 * n):
        total += fall[r] * move[r]
    for i in range(n):
        if not hold[i] > 0.0:
            sense[i] = 0.0
    return min(total, 0.0), shift


@compiled
def rubbed(hold: Floats, nodes: Floats, rest: Floats) -> float:
    """Work of friction since rest.  [J]"""
    total = 0.0
    for i in range(len(hold)):
        if hold[i] < np.inf:
            total += hold[i] * abs(nodes[i, 3] - rest[i])
    return total


@compiled
def slipping(
    joins: Ints, points: Floats, anchors: Floats, curves: Floats, nodes: Floats, pieces: Floats, hold: Floats,
    rest: Floats, want: float, accept: float, likely: Floats
) -> tuple[float, int]:
    """The minimum of energy + hold x |slip since rest|, in place; see `minimise.minimise`, step by step the same.

    Parameters
    ----------
    joins : (k, 3) int array
        Ends and line of each piece; see `quick.tables_of`.
    points : (n, 4) array
        Pull on each node, and whether it slides.  [N, -]
    anchors : (4, 3) array
        Of the main at A and B, then of the backup.  [m]
    curves : (2, m, CURVE) array
        Stretch of main and backup; see `quick.curves_of`.  [SI]
    nodes : (n, 4) array
        Where to begin; left where the search ended.  [m]
    pieces : (k, COLUMNS) array
        With forces to begin at; left solved.  [SI]
    hold : (n,) array
        In the energy sense; inf pins the slide.  [N]
    rest : (n,) array
        Slides from which slip counts.  [m]
    want, accept : float
        Wanted force out of balance, and what is still accepted where rounding stops further progress.  [N]
    likely : (n,) array
        Sign of the slips that are likely, 0 where none is: a guess that costs nothing but time where there is one
        state to find, and may lead to another one where there are several.  [-]

    Returns
    -------
    float
        The largest force left; inf where this search does not settle it.  [N]
    int
        Newton steps taken.
    """
    if not evaluate(joins, anchors, curves, nodes, pieces):
        return np.inf, 0
    return slipping_on(joins, points, anchors, curves, nodes, pieces, hold, rest, want, accept, likely)


@compiled
def slipping_on(
    joins: Ints, points: Floats, anchors: Floats, curves: Floats, nodes: Floats, pieces: Floats, hold: Floats,
    rest: Floats, want: float, accept: float, likely: Floats
) -> tuple[float, int]:
    """`slipping` from pieces that are solved for the nodes already."""
    n, kk = len(nodes), len(pieces)
    width, free = 4, 0
    for k in range(kk):
        if joins[k, BEFORE] >= 0 and joins[k, AFTER] >= 0:
            width = max(width, 4 * (joins[k, AFTER] - joins[k, BEFORE]) + 4)
    for i in range(n):
        if points[i, SLIDES] > 0.0 and hold[i] < np.inf:
            free += 1
    band, work, reach = np.empty((4 * n, width)), np.empty((4 * n, width)), reaches(joins, n, 4)
    slope, slope_tried = np.empty(4 * n), np.empty(4 * n)
    move, now, slip, nothing, sense = np.empty(4 * n), np.empty(kk), np.empty(n), np.zeros(n), np.zeros(n)
    tried, tried_pieces = nodes.copy(), pieces.copy()
    further, further_pieces = nodes.copy(), pieces.copy()
    derive_by_length(pieces)
    gradient(joins, points, pieces, slope)
    residual = left_over(points, slope, hold, rest, nodes)
    best, idle, short, shift, damping, lowest, level = np.inf, 0, 0, 0.0, 0.0, np.inf, 0
    for count in range(SLIP_STEPS):
        if residual < 0.5 * best:
            best, idle = residual, 0
        else:
            idle += 1
        here = fuzz = 0.0
        known = False
        if idle > 0:
            here, fuzz = energy_of(points, nodes, pieces)
            here, known = here + rubbed(hold, nodes, rest), True
            if here < lowest - 10.0 * fuzz:
                lowest, level = here, 0
            else:
                level += 1
        if residual <= want or (residual <= accept and idle >= 3):
            return residual, count
        if min(idle, level) >= STANDSTILL:
            break
        derive(pieces)
        tangent(joins, pieces, band)
        for i in range(n):
            slip[i], sense[i] = nodes[i, 3] - rest[i], 0.0
        fall = 1.0
        if damping == 0.0:
            fall = sorted_move(points, band, reach, slope, hold, slip, likely if count == 0 else nothing, work, move)
            if fall < 0.0:
                shift = 0.0
        if not fall < 0.0:
            fall, shift = careful_move(points, band, reach, slope, hold, slip, shift, damping, work, move, sense)
            if fall > 0.0:
                break
        share = longest(joins, nodes, pieces, move, now) if free > 0 else 1.0
        farthest, left, change, found = share, 0.0, 0.0, False
        for halved in range(40):
            if attempt(joins, anchors, curves, nodes, pieces, move, share, rest, sense, free, tried, tried_pieces, now):
                derive_by_length(tried_pieces)
                gradient(joins, points, tried_pieces, slope_tried)
                left = left_over(points, slope_tried, hold, rest, tried)
                if halved == 0 and share == 1.0 and shift == 0.0 and left < (0.1 if free > 0 else 0.5) * residual:
                    found = True
                    break
                if not known:
                    here, fuzz = energy_of(points, nodes, pieces)
                    here, known = here + rubbed(hold, nodes, rest), True
                change = energy_of(points, tried, tried_pieces)[0] + rubbed(hold, tried, rest) - here
                unsure = fuzz + 1e-14 * abs(here)
                if change <= 1e-4 * share * fall or (
                    change <= unsure and (-fall * share <= unsure or left <= residual)
                ):
                    found = True
                    break
            share *= 0.5
        if not found:
            break
        while shift > 0.0 and 1.0 <= share < 1000.0 and farthest >= 1.0:
            # A shifted step is timid.
            share *= 2.0
            if not attempt(
                joins, anchors, curves, nodes, pieces, move, share, rest, sense, free, further, further_pieces, now
            ):
                break
            more = energy_of(points, further, further_pieces)[0] + rubbed(hold, further, rest) - here
            if more >= change:
                break
            change = more
            tried[:], tried_pieces[:] = further, further_pieces
            derive_by_length(tried_pieces)
            gradient(joins, points, tried_pieces, slope_tried)
            left = left_over(points, slope_tried, hold, rest, tried)
        nodes[:], pieces[:] = tried, tried_pieces
        slope[:] = slope_tried
        residual = left
        short = short + 1 if free > 0 and share < 0.1 else 0
        if short >= SHORT_STEPS:
            damping = max(4.0 * damping, LEAST_DAMPING)
        elif share > 0.9:
            damping = 0.25 * damping if damping > LEAST_DAMPING else 0.0
        elif idle % TIMID == TIMID - 1:
            damping = 0.0
    return residual if residual <= accept else np.inf, count

"""Compiled loops for pairs as taped: Newton steps on the places of one pair after the other.

The pieces are those of `quick`; a main whose standing tension is asked for has its length as one unknown more, see
equation (1) of `together`.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from linescope.compiled import compiled
from linescope.statics.quick import (
    AFTER,
    AFTER_AT,
    AX,
    BEFORE,
    BEFORE_AT,
    COLUMNS,
    H_LENGTH,
    KXX,
    KXZ,
    KZZ,
    LENGTH,
    LOAD,
    SIDE,
    UX,
    V_LENGTH,
    H,
    V,
    X,
    Z,
    derive,
    evaluate,
    factored,
    gradient,
    law,
    reaches,
    substituted,
)

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

STEPS = 30  # Newton steps of one pair.
SHORTEST = 0.05
"""Shares of a Newton step are halved down to this one, where it does not leave less out of balance. [-]"""
TENSION_TOLERANCE = 1e-11  # Of the asked standing tension.


@compiled
def begin(pieces: Floats, k: int, curves: Floats, line: int) -> None:
    """Forces near a piece's own, from its run, rise, length and load; see `catenary._starting_forces`."""
    x, z, length, q = pieces[k, X], pieces[k, Z], pieces[k, LENGTH], pieces[k, LOAD]
    chord, load = math.sqrt(x * x + z * z), q * length
    unloaded, soft, _ = law(0.0, curves, line)
    tension = 0.0
    for refined in range(2):
        if refined == 1:
            strain, _, _ = law(tension, curves, line)
            soft = max(strain - unloaded, 1e-300) / tension
        pull, bend = (chord / length - 1.0 - unloaded) / soft, (load * x / chord) ** 2 / (24.0 * soft)
        tension = max(pull, 0.0) + bend ** (1.0 / 3.0) + 1e-3 * load
        for _ in range(8):
            change = (tension * tension * (tension - pull) - bend) / (tension * (3.0 * tension - 2.0 * pull))
            tension -= change
            if abs(change) < 1e-3 * tension:
                break
    h, v = tension * x / chord, tension * z / chord - 0.5 * load
    slack = length * length - z * z
    if slack > (1.0 + 1e-12) * x * x:
        ratio = math.sqrt(slack) / x
        u = math.log(2.0 * ratio) + math.log(max(math.log(2.0 * ratio), 1.0)) if ratio > 3.0 else math.sqrt(
            max(6.0 * (ratio - 1.0), 1e-16)
        )
        for _ in range(6):
            before = u
            u = max(u - (math.sinh(u) - ratio * u) / max(math.cosh(u) - ratio, 1e-12), 0.5 * u)
            if abs(u - before) < 1e-3 * u:
                break
        loose = 0.5 * q * x / u
        up = 0.5 * (q * z / math.tanh(u) - load)
        strain, _, _ = law(math.sqrt(loose * loose + (up + 0.5 * load) ** 2), curves, line)
        if strain < 0.2 * math.sqrt(ratio - 1.0) * (ratio - 1.0) + 0.3 * (ratio - 1.0):
            h, v = loose, up
    pieces[k, H], pieces[k, V] = h, v


@compiled
def place(joins: Ints, anchors: Floats, nodes: Floats, pieces: Floats) -> bool:
    """Run, rise and directions of every piece between given nodes; False where one stands on end."""
    for k in range(len(joins)):
        i, j, line = joins[k, BEFORE], joins[k, AFTER], joins[k, 2]
        rise = run = 0.0
        for axis in range(3):
            first = nodes[i, axis] if i >= 0 else anchors[2 * line, axis]
            last = nodes[j, axis] if j >= 0 else anchors[2 * line + 1, axis]
            pieces[k, AX + axis] = last - first
            rise += (last - first) * pieces[k, UX + axis]
        for axis in range(3):
            run += (pieces[k, AX + axis] - rise * pieces[k, UX + axis]) ** 2
        pieces[k, X], pieces[k, Z] = math.sqrt(run), rise
        if pieces[k, X] < 1e-7 * pieces[k, LENGTH]:
            return False
    return True


@compiled
def unbalanced(slope: Floats, n: int) -> tuple[float, float]:
    """Largest force on the nodes [N], and the sum of all squares [N²]."""
    worst = total = 0.0
    for i in range(n):
        for axis in range(3):
            force = slope[4 * i + axis]
            worst = max(worst, abs(force))
            total += force * force
    return worst, total


@compiled
def shift(joins: Ints, pieces: Floats, old: Floats, move: Floats, share: float) -> None:
    """Forces after a share of a move (3n,), to first order from those of `old`, into `pieces`; lengths as they are."""
    for k in range(len(joins)):
        i, j = joins[k, BEFORE], joins[k, AFTER]
        across = rise = 0.0
        for axis in range(3):
            change = 0.0
            if j >= 0:
                change += move[3 * j + axis]
            if i >= 0:
                change -= move[3 * i + axis]
            across += share * change * old[k, AX + axis]
            rise += share * change * old[k, UX + axis]
        longer = pieces[k, LENGTH] - old[k, LENGTH]
        h = old[k, H] + old[k, KXX] * across + old[k, KXZ] * rise + longer * old[k, H_LENGTH]
        pieces[k, H] = max(h, 0.2 * old[k, H])
        pieces[k, V] = old[k, V] + old[k, KXZ] * across + old[k, KZZ] * rise + longer * old[k, V_LENGTH]


@compiled
def held_tangent(joins: Ints, pieces: Floats, out: Floats) -> None:
    """Second derivative of the energy by the places alone, as lower bands `out[column, row - column]` (3n, width)."""
    for j in range(len(out)):
        for d in range(out.shape[1]):
            out[j, d] = 0.0
    for k in range(len(pieces)):
        i, j = joins[k, BEFORE], joins[k, AFTER]
        ax, ay, az = pieces[k, AX], pieces[k, AX + 1], pieces[k, AX + 2]
        ux, uy, uz = pieces[k, UX], pieces[k, UX + 1], pieces[k, UX + 2]
        side, mixed = pieces[k, SIDE], pieces[k, KXZ]
        along, rise = pieces[k, KXX] - side, pieces[k, KZZ] - side
        xx = along * ax * ax + 2.0 * mixed * ax * ux + rise * ux * ux + side
        yy = along * ay * ay + 2.0 * mixed * ay * uy + rise * uy * uy + side
        zz = along * az * az + 2.0 * mixed * az * uz + rise * uz * uz + side
        xy = along * ax * ay + mixed * (ax * uy + ux * ay) + rise * ux * uy
        xz = along * ax * az + mixed * (ax * uz + ux * az) + rise * ux * uz
        yz = along * ay * az + mixed * (ay * uz + uy * az) + rise * uy * uz
        for end in range(2):
            node = i if end == 0 else j
            if node >= 0:
                out[3 * node, 0] += xx
                out[3 * node, 1] += xy
                out[3 * node, 2] += xz
                out[3 * node + 1, 0] += yy
                out[3 * node + 1, 1] += yz
                out[3 * node + 2, 0] += zz
        if i >= 0 and j >= 0:
            far = 3 * (j - i)
            out[3 * i, far] -= xx
            out[3 * i, far + 1] -= xy
            out[3 * i, far + 2] -= xz
            out[3 * i + 1, far - 1] -= xy
            out[3 * i + 1, far] -= yy
            out[3 * i + 1, far + 1] -= yz
            out[3 * i + 2, far - 2] -= xz
            out[3 * i + 2, far - 1] -= yz
            out[3 * i + 2, far] -= zz


@compiled
def stretched(
    joins: Ints, pieces: Floats, by: Floats, at: int, end: int, target: float, most: float, move: Floats, other: Floats
) -> float:
    """Change of the main's length, and its share of the move added to `move`; see equation (1) of `together`.

    `move` and `other` (3n,) are the solutions for the balance and for the column of the length; `end` is 1 where the
    tension is read at the second end of piece `at`.
    """
    k = at
    i, j = joins[k, BEFORE], joins[k, AFTER]
    v = pieces[k, V] + (pieces[k, LOAD] * pieces[k, LENGTH] if end == 1 else 0.0)
    tension = math.sqrt(pieces[k, H] ** 2 + v * v)
    rows = np.zeros(2)
    for which in range(2):
        vector = move if which == 0 else other
        across = rise = 0.0
        for axis in range(3):
            change = 0.0
            if j >= 0:
                change += vector[3 * j + axis]
            if i >= 0:
                change -= vector[3 * i + axis]
            across += change * pieces[k, AX + axis]
            rise += change * pieces[k, UX + axis]
        dh = pieces[k, KXX] * across + pieces[k, KXZ] * rise
        dv = pieces[k, KXZ] * across + pieces[k, KZZ] * rise
        rows[which] = (pieces[k, H] * dh + v * dv) / tension
    v_length = pieces[k, V_LENGTH] + (pieces[k, LOAD] if end == 1 else 0.0)
    own = (pieces[k, H] * pieces[k, H_LENGTH] + v * v_length) / tension * by[k]
    longer = (target - tension - rows[0]) / (rows[1] + own)
    longer = max(min(longer, most), -most)
    for r in range(len(move)):
        move[r] += longer * other[r]
    return float(longer)


@compiled
def column(joins: Ints, pieces: Floats, by: Floats, out: Floats) -> None:
    """How the balance changes with the length of the main, with its sign turned, into `out` (3n,)."""
    for r in range(len(out)):
        out[r] = 0.0
    for k in range(len(joins)):
        if by[k] != 0.0:
            i, j = joins[k, BEFORE], joins[k, AFTER]
            for axis in range(3):
                first = pieces[k, H_LENGTH] * pieces[k, AX + axis] + pieces[k, V_LENGTH] * pieces[k, UX + axis]
                if i >= 0:
                    out[3 * i + axis] += by[k] * first
                if j >= 0:
                    out[3 * j + axis] -= by[k] * (first + pieces[k, LOAD] * pieces[k, UX + axis])


@compiled
def still(
    joins: Ints, points: Floats, anchors: Floats, curves: Floats, nodes: Floats, pieces: Floats, want: float,
    accept: float, target: float, end: int, by: Floats, most: float
) -> tuple[float, float, int]:
    """One pair as taped, in place: Newton steps, halved where they leave more out of balance.

    A piece begins at the forces that it has, or where it has none at those of `begin`.  Returns the force left [N] (inf
    where it is not settled), how much longer the main has become [m], and the steps.
    """
    n, kk = len(nodes), len(pieces)
    width = 3
    for k in range(kk):
        if joins[k, BEFORE] >= 0 and joins[k, AFTER] >= 0:
            width = max(width, 3 * (joins[k, AFTER] - joins[k, BEFORE]) + 3)
    band, slope, move, other = np.empty((3 * n, width)), np.empty(4 * n), np.zeros(3 * n), np.zeros(3 * n)
    reach = reaches(joins, n, 3)
    from_, old = nodes.copy(), pieces.copy()
    for k in range(kk):
        pieces[k, LENGTH] = pieces[k, AFTER_AT] - pieces[k, BEFORE_AT]
    grown = grown_from = longer = 0.0
    best, share = np.inf, 1.0
    at = n if end == 1 else 0
    for count in range(STEPS + 1):
        if count == 0:
            if not place(joins, anchors, nodes, pieces):
                return np.inf, 0.0, count
            for k in range(kk):
                if pieces[k, H] == 0.0:
                    begin(pieces, k, curves, joins[k, 2])
        if not evaluate(joins, anchors, curves, nodes, pieces):
            return np.inf, 0.0, count
        gradient(joins, points, pieces, slope)
        worst, size = unbalanced(slope, n)
        error = 0.0
        if target > 0.0:
            v = pieces[at, V] + (pieces[at, LOAD] * pieces[at, LENGTH] if end == 1 else 0.0)
            error = math.sqrt(pieces[at, H] ** 2 + v * v) - target
            size += error * error
        if worst <= want and abs(error) <= TENSION_TOLERANCE * target:
            return worst, grown, count
        if not size < (1.0 - 0.1 * share) * best:
            if worst <= accept and abs(error) <= 10.0 * TENSION_TOLERANCE * target:
                return worst, grown, count  # Rounding stops it.
            share *= 0.5
            if share < SHORTEST:
                return np.inf, 0.0, count
        else:
            best, share = size, 1.0
            derive(pieces)
            held_tangent(joins, pieces, band)
            if not factored(band, reach):
                return np.inf, 0.0, count
            for i in range(n):
                for axis in range(3):
                    move[3 * i + axis] = -slope[4 * i + axis]
            substituted(band, reach, move)
            if target > 0.0:
                column(joins, pieces, by, other)
                substituted(band, reach, other)
                longer = stretched(joins, pieces, by, at, end, target, most, move, other)
            grown_from = grown
            for i in range(n):
                for axis in range(4):
                    from_[i, axis] = nodes[i, axis]
            for k in range(kk):
                for c in range(COLUMNS):
                    old[k, c] = pieces[k, c]
        for i in range(n):
            for axis in range(3):
                nodes[i, axis] = from_[i, axis] + share * move[3 * i + axis]
        if target > 0.0:
            before, grown = grown, grown_from + share * longer
            for k in range(kk):
                pieces[k, AFTER_AT] += by[k] * (grown - before)
                pieces[k, LENGTH] = pieces[k, AFTER_AT] - pieces[k, BEFORE_AT]
                if not pieces[k, LENGTH] > 0.0:
                    return np.inf, 0.0, count
        shift(joins, pieces, old, move, share)
    return np.inf, 0.0, STEPS


@compiled
def still_all(
    first: Ints, edges: Ints, joins: Ints, points: Floats, anchors: Floats, curves: Floats, nodes: Floats,
    pieces: Floats, want: Floats, accept: Floats, target: Floats, end: Ints, by: Floats, most: Floats, found: Floats
) -> None:
    """`still` of every pair; force left, change of length and steps of each into `found` (R, 3)."""
    for r in range(len(want)):
        n0, n1, k0, k1 = first[r], first[r + 1], edges[r], edges[r + 1]
        left, longer, steps = still(
            joins[k0:k1], points[n0:n1], anchors[4 * r : 4 * r + 4], curves[r], nodes[n0:n1], pieces[k0:k1], want[r],
            accept[r], target[r], end[r], by[k0:k1], most[r],
        )
        found[r, 0], found[r, 1], found[r, 2] = left, longer, steps

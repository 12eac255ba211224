"""Compiled loops for rings on a released chain: guesses, and Newton steps on one ring after the other.

Equations (1) to (7) are those of `released`.  A chain is a table: unstretched lengths and weights per metre of its
parts from the first end, and their stretch curves as `quick.law` takes them.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from linescope.compiled import compiled
from linescope.statics.quick import flexibility, law

Floats = NDArray[np.float64]

MAX_STEPS = 60
SHARES = 30  # How often a step is halved, at most.
STALLED = 1e-8  # Share of a step below which no more comes of it.
TOLERANCE = 1e-11  # Of length and of load.
HALVINGS = 16  # Of the tension that is guessed for a weightless chain.

# The unknowns of a ring.
H1, V1, H2, V2, ALONG, Z, X, UNKNOWNS = range(8)
# What a side of the chain has at given forces: the ring seen from the end, derivatives of that by the forces, the
# vertical tension component, tension, stretch ratio and weight per metre at the ring.
RUN, RISE, XH, XV, ZV, V, TENSION, RATIO, LOAD, SIDE = range(10)


@compiled
def stretched(lengths: Floats, curves: Floats, tension: float) -> float:
    """Length of all parts under one tension.  [m]"""
    total = 0.0
    for k in range(len(lengths)):
        total += lengths[k] * (1.0 + law(tension, curves, k)[0])
    return total


@compiled
def light_place(
    lengths: Floats, curves: Floats, x: float, tension: float, ends: Floats, run: float
) -> tuple[float, ...]:
    """A ring held at x on a chain without weight under a tension: force that it takes [N], -inf where the chain is too
    short; height and the two legs [m]."""
    za, zb = ends[0], ends[1]
    total = stretched(lengths, curves, tension)
    # Ellipse: |r - A| = (t^2 + c0 + c1 z) / 2t, where |r - A|^2 - |r - B|^2 = c0 + c1 z.
    c0 = x**2 - (run - x) ** 2 + za**2 - zb**2
    c1 = 2.0 * (zb - za)
    p, k = (total**2 + c0) / (2.0 * total), c1 / (2.0 * total)
    a, b, c = 1.0 - k * k, -2.0 * (za + p * k), x**2 + za**2 - p**2
    inside = b * b - 4.0 * a * c
    z = (-b - math.sqrt(max(inside, 0.0))) / (2.0 * a)
    d1, d2 = math.hypot(x, z - za), math.hypot(run - x, z - zb)
    if inside > 0.0 and total > math.hypot(run, zb - za):
        return tension * ((za - z) / d1 + (zb - z) / d2), z, d1, d2
    return -math.inf, z, d1, d2


@compiled
def light_ring(
    lengths: Floats, curves: Floats, x: float, force: float, ends: Floats, run: float
) -> tuple[float, ...]:
    """A ring held at x on a chain without weight: height [m], tension [N] and the two legs [m], by bisection."""
    low, high = 1e-3 * force, force
    for _ in range(60):
        if not light_place(lengths, curves, x, high, ends, run)[0] < force:
            break
        high = 2.0 * high
    for _ in range(HALVINGS):
        middle = 0.5 * (low + high)
        if light_place(lengths, curves, x, middle, ends, run)[0] < force:
            low = middle
        else:
            high = middle
    _, z, d1, d2 = light_place(lengths, curves, x, high, ends, run)
    return z, high, d1, d2


@compiled
def light_heights(lengths: Floats, curves: Floats, x: Floats, force: float, ends: Floats, run: float) -> Floats:
    """(n,) heights of rings held at x (n,) on a chain without weight.  [m]"""
    out = np.empty(len(x))
    for i in range(len(x)):
        out[i] = light_ring(lengths, curves, x[i], force, ends, run)[0]
    return out


@compiled
def guesses(
    lengths: Floats, loads: Floats, curves: Floats, x: Floats, force: Floats, ends: Floats, run: float
) -> Floats:
    """(n, UNKNOWNS) unknowns to begin from, of rings at x (n,) under forces (n,)."""
    out = np.empty((len(x), UNKNOWNS))
    weight = 0.0
    for k in range(len(lengths)):
        weight += lengths[k] * loads[k]
    for i in range(len(x)):
        z, tension, d1, d2 = light_ring(lengths, curves, x[i], force[i], ends, run)
        leg = stretched(lengths, curves, tension) * d1 / (d1 + d2)
        along = left = 0.0
        for k in range(len(lengths)):
            ratio = 1.0 + law(tension, curves, k)[0]
            before = min(max(leg, 0.0), lengths[k] * ratio) / ratio
            leg -= lengths[k] * ratio
            along += before
            left += before * loads[k]
        right = weight - left
        out[i, H1], out[i, V1] = tension * x[i] / d1, tension * (z - ends[0]) / d1 - 0.5 * left
        out[i, H2], out[i, V2] = tension * (run - x[i]) / d2, tension * (z - ends[1]) / d2 - 0.5 * right
        out[i, ALONG], out[i, Z], out[i, X] = along, z, x[i]
    return out


@compiled
def side(
    lengths: Floats, loads: Floats, curves: Floats, y: Floats, from_end: bool, height: float, out: Floats
) -> float:
    """The chain from one end, at a height [m], to the ring at the unknowns y (UNKNOWNS,), into `out` (SIDE,); its
    elastic energy and that of its weight.  [J]"""
    h, v = (y[H2], y[V2]) if from_end else (y[H1], y[V1])
    count, left = len(lengths), y[ALONG]
    if from_end:
        left = -y[ALONG]
        for k in range(count):
            left += lengths[k]
    for column in range(SIDE):
        out[column] = 0.0
    energy = 0.0
    for number in range(count):
        k = count - 1 - number if from_end else number
        length, q = min(max(left, 0.0), lengths[k]), loads[k]
        left -= lengths[k]
        mean_v = v + 0.5 * q * length
        middle = math.sqrt(h * h + mean_v * mean_v)
        strain, c, area = law(middle, curves, k)
        a = 1.0 + strain - c * middle
        offset = middle + area - a * middle - 0.5 * c * middle**2
        x, z, xh, xv, zv = flexibility(h, v, length, q, a, c)
        out[RUN] += x
        out[RISE] += z
        out[XH] += xh
        out[XV] += xv
        out[ZV] += zv
        v_end = v + q * length
        mean_t = 0.5 * (math.sqrt(h * h + v * v) + math.sqrt(h * h + v_end * v_end))
        asinhs = (x / h - c * length) / a
        pulled = 0.5 * length * (mean_v**2 / mean_t + mean_t) + 0.5 * h * h * asinhs
        squares = length * (h * h + mean_v**2 + (q * length) ** 2 / 12.0)
        complementary = offset * length + a * pulled + 0.5 * c * squares
        energy += h * x + v * z - complementary + q * length * (height + out[RISE])
        v = v_end
        if length > 0.0:
            out[RATIO], out[LOAD] = a + c * math.sqrt(h * h + v * v), q
    out[V], out[TENSION] = v, math.sqrt(h * h + v * v)
    return energy


@compiled
def left_over(
    y: Floats, near: Floats, far: Floats, ends: Floats, run: float, force: float, held: bool, out: Floats
) -> None:
    """Equations (1) to (7) of one ring, right side taken to the left, into `out` (UNKNOWNS,)."""
    out[0], out[1] = near[RUN] - y[X], ends[0] + near[RISE] - y[Z]
    out[2], out[3] = run - far[RUN] - y[X], ends[1] + far[RISE] - y[Z]
    out[4], out[5] = near[TENSION] - far[TENSION], -near[V] - far[V] - force
    out[6] = 0.0 if held else y[H2] - y[H1]


@compiled
def slopes(y: Floats, near: Floats, far: Floats, held: bool, j: Floats) -> None:
    """Derivatives of (1) to (7), a row each, by the unknowns, into `j` (UNKNOWNS, UNKNOWNS)."""
    for row in range(UNKNOWNS):
        for column in range(UNKNOWNS):
            j[row, column] = 0.0
    h1, h2 = y[H1], y[H2]
    j[0, H1], j[0, V1], j[0, ALONG], j[0, X] = near[XH], near[XV], near[RATIO] * h1 / near[TENSION], -1.0
    j[1, H1], j[1, V1], j[1, ALONG], j[1, Z] = near[XV], near[ZV], near[RATIO] * near[V] / near[TENSION], -1.0
    j[2, H2], j[2, V2], j[2, ALONG], j[2, X] = -far[XH], -far[XV], far[RATIO] * h2 / far[TENSION], -1.0
    j[3, H2], j[3, V2], j[3, ALONG], j[3, Z] = far[XV], far[ZV], -far[RATIO] * far[V] / far[TENSION], -1.0
    j[4, H1], j[4, V1] = h1 / near[TENSION], near[V] / near[TENSION]
    j[4, H2], j[4, V2] = -h2 / far[TENSION], -far[V] / far[TENSION]
    j[4, ALONG] = near[LOAD] * near[V] / near[TENSION] + far[LOAD] * far[V] / far[TENSION]
    j[5, V1], j[5, V2], j[5, ALONG] = -1.0, -1.0, far[LOAD] - near[LOAD]
    if held:
        j[6, X] = 1.0
    else:
        j[6, H1], j[6, H2] = -1.0, 1.0


@compiled
def solved(matrix: Floats, vector: Floats) -> bool:
    """Elimination with row pivots, in place: the solution in `vector`; False where there is none."""
    n = len(vector)
    for k in range(n):
        pivot = k
        for i in range(k + 1, n):
            if abs(matrix[i, k]) > abs(matrix[pivot, k]):
                pivot = i
        if not abs(matrix[pivot, k]) > 0.0:
            return False
        if pivot != k:
            for column in range(k, n):
                matrix[k, column], matrix[pivot, column] = matrix[pivot, column], matrix[k, column]
            vector[k], vector[pivot] = vector[pivot], vector[k]
        for i in range(k + 1, n):
            share = matrix[i, k] / matrix[k, k]
            for column in range(k + 1, n):
                matrix[i, column] -= share * matrix[k, column]
            vector[i] -= share * vector[k]
    for k in range(n - 1, -1, -1):
        for column in range(k + 1, n):
            vector[k] -= matrix[k, column] * vector[column]
        vector[k] /= matrix[k, k]
    return True


@compiled
def worst(out: Floats, size: float, load: float) -> float:
    """The largest share of length or load that is left over; inf where it is not known."""
    found = 0.0
    for row in range(UNKNOWNS):
        share = abs(out[row]) / (size if row < 4 else load)
        if not share < math.inf:
            return math.inf
        found = max(found, share)
    return found


@compiled
def balanced(
    lengths: Floats, loads: Floats, curves: Floats, ends: Floats, run: float, y: Floats, force: Floats, held: bool
) -> tuple[Floats, Floats, Floats]:
    """Newton steps for rings under forces (n,) from the unknowns y (n, UNKNOWNS), in place.

    Returns
    -------
    left_over : (n,) array
        Of length or load.  [-]
    energy : (n,) array
        [J]
    tension : (n,) array
        At the ring.  [N]
    """
    n = len(y)
    missed, energy, tension = np.empty(n), np.empty(n), np.empty(n)
    near, far, rest, step = np.empty(SIDE), np.empty(SIDE), np.empty(UNKNOWNS), np.empty(UNKNOWNS)
    new_rest, tried, matrix = np.empty(UNKNOWNS), np.empty(UNKNOWNS), np.empty((UNKNOWNS, UNKNOWNS))
    size = weight = 0.0
    for k in range(len(lengths)):
        size += lengths[k]
        weight += lengths[k] * loads[k]
    for i in range(n):
        ring, load = y[i], force[i] + weight
        stored = side(lengths, loads, curves, ring, False, ends[0], near)
        stored += side(lengths, loads, curves, ring, True, ends[1], far)
        left_over(ring, near, far, ends, run, force[i], held, rest)
        norm = worst(rest, size, load)
        for _ in range(MAX_STEPS):
            if norm <= TOLERANCE:
                break
            slopes(ring, near, far, held, matrix)
            for row in range(UNKNOWNS):
                step[row] = -rest[row]
            if not solved(matrix, step):
                norm = math.inf
                break
            share = 1.0
            for column in (H1, H2):
                share = min(share, 0.8 * ring[column] / max(-step[column], 1e-300))
            room = size - ring[ALONG] if step[ALONG] > 0.0 else ring[ALONG]
            share = min(share, 0.8 * room / max(abs(step[ALONG]), 1e-300))
            new = math.inf
            for _ in range(SHARES):
                for column in range(UNKNOWNS):
                    tried[column] = ring[column] + share * step[column]
                stored = side(lengths, loads, curves, tried, False, ends[0], near)
                stored += side(lengths, loads, curves, tried, True, ends[1], far)
                left_over(tried, near, far, ends, run, force[i], held, new_rest)
                new = worst(new_rest, size, load)
                if not (new > (1.0 - 0.1 * share) * norm and new > TOLERANCE):
                    break
                share *= 0.5
            for column in range(UNKNOWNS):
                ring[column], rest[column] = tried[column], new_rest[column]
            norm = new
            if share < STALLED:
                break
        missed[i], energy[i], tension[i] = norm, stored, near[TENSION]
    return missed, energy, tension

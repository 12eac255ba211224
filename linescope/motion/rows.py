"""What every slot takes part in: lengths, tensions, air, weight.

Loops that are `apart` take rows one by one, so that the compiler knows that they do not overlap, and go over four slots
at a time without a branch; that takes half the time.  Operations on one slot are in the order of
`linescope.motion.vectors`.
"""

from __future__ import annotations

import math

import numpy as np

from linescope.compiled import apart, compiled, lean
from linescope.motion.arrays import (
    AIR,
    ALIVE,
    BRANCHES,
    DAMPED_RATE,
    EXTRA,
    FORCE,
    INVERSE,
    LENGTH,
    LOST_AIR,
    LOST_BRANCH,
    LOST_VISCOUS,
    MASS,
    OTHER,
    PULL,
    RATE,
    RATE_BEFORE,
    RHO,
    RUNNING,
    SCRATCH,
    STIFF,
    STRAIN,
    TAPE,
    TAUT,
    TENSION,
    VISCOUS,
    Floats,
    Ints,
    Model,
    Q,
    S,
    State,
    U,
    V,
    X,
)
from linescope.motion.contacts import law
from linescope.rig.atmosphere import STANDARD_GRAVITY as G


@compiled
def relaxing(dt: float, m: Model) -> Floats:
    """(3, 3) of each branch: stiffness over EA, share of the way to the strain that it goes in a step, and of what it
    stored in the difference that it loses by that.  [-]"""
    found = np.empty((3, BRANCHES))
    for j in range(BRANCHES):
        to = 1.0 - math.exp(-dt / m.branches[1, j])
        found[0, j], found[1, j], found[2, j] = m.branches[0, j], to, 1.0 - (1.0 - to) ** 2
    return found


@apart
def _directions(
    n: int, x: Floats, y: Floats, z: Floats, vx: Floats, vy: Floats, vz: Floats, ux: Floats, uy: Floats, uz: Floats,
    length: Floats, rates: Floats, damped: Floats,
) -> None:
    """Lengths and directions of all pieces, and how fast they stretch."""
    for i in range(n):
        a, b, c = x[i + 1] - x[i], y[i + 1] - y[i], z[i + 1] - z[i]
        size = math.sqrt(a * a + b * b + c * c) + 1e-300
        per = 1.0 / size
        a, b, c = a * per, b * per, c * per
        rate = (vx[i + 1] - vx[i]) * a + (vy[i + 1] - vy[i]) * b + (vz[i + 1] - vz[i]) * c
        length[i], ux[i], uy[i], uz[i], rates[i], damped[i] = size, a, b, c, rate, rate


@lean
def _rates_at_contacts(m: Model, s: State) -> None:
    """At a contact the line runs through.

    To the mesh's viscosity both pieces are one, and it acts where both are taut: then it only takes energy, and none
    from a line that just runs.
    """
    slots, owner = s.of_slots, s.owner
    rates, damped, tension = slots[RATE], slots[DAMPED_RATE], slots[TENSION]
    for k in range(len(m.kind)):
        if s.on[k] == 1 and m.kind[k] != TAPE:
            i = s.slave[k]
            taut = tension[i - 1] > 0.0 and tension[i] > 0.0  # A step ago.
            alone = owner[i - 1] != RUNNING and owner[i + 1] != RUNNING
            rate = 0.5 * (rates[i - 1] + rates[i]) if taut and alone else 0.0
            damped[i - 1] = rate
            damped[i] = rate


@apart
def _strains(
    n: int, slope: float, s0: float, s1: float, s2: float, length: Floats, at: Floats, q0: Floats, q1: Floats,
    q2: Floats, strain: Floats, taut: Floats, pull: Floats,
) -> None:
    """Strain of the material of a line's pieces, where it is taut: 1.0, and tension by a curve that is straight."""
    for i in range(n):
        e, least = length[i] / (at[i + 1] - at[i]) - 1.0, s0 * q0[i] + s1 * q1[i] + s2 * q2[i]
        taut[i] = 1.0 if e > least else 0.0
        e = e if e > least else least
        strain[i], pull[i] = e, slope * e


@apart
def _tensions(
    n: int, dt: float, b: Floats, e: Floats, at: Floats, alive: Floats, taut: Floats, pull: Floats, q0: Floats,
    q1: Floats, q2: Floats, stiff: Floats, lost: Floats, rates: Floats, damped: Floats, before: Floats,
    viscosity: Floats, lost_viscous: Floats, other: Floats, tension: Floats,
) -> None:
    """Branches follow, lose and pull; then the mesh's viscosity."""
    share0, share1, share2, to0, to1, to2 = b[0, 0], b[0, 1], b[0, 2], b[1, 0], b[1, 1], b[1, 2]
    keep0, keep1, keep2 = b[2, 0], b[2, 1], b[2, 2]
    for i in range(n):
        strain, stiffness, p0, p1, p2 = e[i], stiff[i], q0[i], q1[i], q2[i]
        d0, d1, d2 = strain - p0, strain - p1, strain - p2
        p0, p1, p2 = p0 + d0 * to0, p1 + d1 * to1, p2 + d2 * to2
        q0[i], q1[i], q2[i] = p0, p1, p2
        own = pull[i] + stiffness * (share0 * (strain - p0) + share1 * (strain - p1) + share2 * (strain - p2))
        lost[i] += (
            0.5 * stiffness * (at[i + 1] - at[i]) * alive[i]
            * (share0 * d0 * d0 * keep0 + share1 * d1 * d1 * keep1 + share2 * d2 * d2 * keep2)
        )  # fmt: skip
        # What is no potential's does its work at the mean of the rates before and after.
        rate = rates[i]
        lost_viscous[i] += other[i] * 0.5 * (before[i] + rate) * dt
        total = (own + viscosity[i] * damped[i]) * taut[i]
        total = total * alive[i] if total > 0.0 else 0.0
        tension[i], other[i], before[i] = total, (total - own * alive[i]) * taut[i], rate


@lean
def pieces(dt: float, b: Floats, m: Model, s: State) -> None:
    """Directions, lengths and tensions of all pieces; `b` is by `relaxing`."""
    n, o, g = m.slots - 1, s.of_slots, m.of_slots
    _directions(
        n, o[X], o[X + 1], o[X + 2], o[V], o[V + 1], o[V + 2], o[U], o[U + 1], o[U + 2], o[LENGTH], o[RATE],
        o[DAMPED_RATE],
    )  # fmt: skip
    _rates_at_contacts(m, s)
    for line in range(2):
        first, stop = (0, m.main) if line == 0 else (m.main, n)
        slack = m.slack_strain[line]
        _strains(
            stop - first, m.tables[1, line, 0], slack[0], slack[1], slack[2], o[LENGTH][first:], o[S][first:],
            o[Q][first:], o[Q + 1][first:], o[Q + 2][first:], o[STRAIN][first:], o[TAUT][first:], o[PULL][first:],
        )  # fmt: skip
    if m.tables.shape[2] > 1:
        pull, strain = o[PULL], o[STRAIN]
        for i in range(n):
            pull[i] = law(m.tables, m.per_strain[m.line[i]], m.line[i], strain[i])[0]
    _tensions(
        n, dt, b, o[STRAIN], o[S], o[ALIVE], o[TAUT], o[PULL], o[Q], o[Q + 1], o[Q + 2], g[STIFF], o[LOST_BRANCH],
        o[RATE], o[DAMPED_RATE], o[RATE_BEFORE], g[VISCOUS], o[LOST_VISCOUS], o[OTHER], o[TENSION],
    )  # fmt: skip


@apart
def _air(
    n: int, dt: float, wind: Floats, vx: Floats, vy: Floats, vz: Floats, ux: Floats, uy: Floats, uz: Floats, at: Floats,
    air: Floats, rho: Floats, tension: Floats, lost: Floats, fx: Floats, fy: Floats, fz: Floats, bx: Floats,
    by: Floats, bz: Floats,
) -> None:
    """Forces of each piece on the slot before it, and on the one behind it."""
    wx, wy, wz = wind[0], wind[1], wind[2]
    for i in range(n):
        mx, my, mz = 0.5 * (vx[i] + vx[i + 1]), 0.5 * (vy[i] + vy[i + 1]), 0.5 * (vz[i] + vz[i + 1])
        p, q, r = ux[i], uy[i], uz[i]
        along = (mx - wx) * p + (my - wy) * q + (mz - wz) * r
        a, b, d = mx - wx - along * p, my - wy - along * q, mz - wz - along * r
        # c / (1 + c dt / mass), both of half a piece: no step turns its speed round.
        c, mass = air[i] * math.sqrt(a * a + b * b + d * d), rho[i]
        c = -0.5 * (at[i + 1] - at[i]) * c * mass / (mass + c * dt)
        a, b, d = a * c, b * c, d * c
        lost[i] -= 2.0 * (a * mx + b * my + d * mz) * dt
        p, q, r = tension[i] * p, tension[i] * q, tension[i] * r
        fx[i], fy[i], fz[i] = p + a, q + b, r + d
        bx[i], by[i], bz[i] = a - p, b - q, d - r


@apart
def _on_slots(
    n: int, mass: Floats, extra: Floats, fx: Floats, fy: Floats, fz: Floats, bx: Floats, by: Floats, bz: Floats
) -> None:
    for i in range(1, n):
        fx[i] += bx[i - 1]
        fy[i] += by[i - 1]
        fz[i] = fz[i] + bz[i - 1] - (mass[i] + extra[i]) * G


@lean
def pulls(dt: float, wind: Floats, m: Model, s: State) -> None:
    """Forces of pieces, air and weight on every slot."""
    n, o, g = m.slots - 1, s.of_slots, m.of_slots
    fx, fy, fz, bx, by, bz = o[FORCE], o[FORCE + 1], o[FORCE + 2], o[SCRATCH], o[SCRATCH + 1], o[SCRATCH + 2]
    _air(
        n, dt, wind, o[V], o[V + 1], o[V + 2], o[U], o[U + 1], o[U + 2], o[S], g[AIR], g[RHO], o[TENSION], o[LOST_AIR],
        fx, fy, fz, bx, by, bz,
    )  # fmt: skip
    for i in range(n, n + 3):
        fx[i], fy[i], fz[i] = 0.0, 0.0, 0.0
    _on_slots(n + 1, o[MASS], g[EXTRA], fx, fy, fz, bx, by, bz)
    for i in (0, n + 1, n + 2):
        fz[i] -= (o[MASS, i] + g[EXTRA, i]) * G


@apart
def _kicked(
    n: int, dt: float, inverse: Floats, vx: Floats, vy: Floats, vz: Floats, fx: Floats, fy: Floats, fz: Floats
) -> None:
    for i in range(n):
        by = dt * inverse[i]
        vx[i] += by * fx[i]
        vy[i] += by * fy[i]
        vz[i] += by * fz[i]


@lean
def kick(dt: float, m: Model, s: State) -> None:
    """Forces change speeds."""
    o = s.of_slots
    _kicked(m.slots + 2, dt, o[INVERSE], o[V], o[V + 1], o[V + 2], o[FORCE], o[FORCE + 1], o[FORCE + 2])


@apart
def _drifted(n: int, dt: float, x: Floats, y: Floats, z: Floats, vx: Floats, vy: Floats, vz: Floats) -> None:
    for i in range(n):
        x[i] += dt * vx[i]
        y[i] += dt * vy[i]
        z[i] += dt * vz[i]


@lean
def _with_masters(first: int, m: Model, s: State) -> None:
    o = s.of_slots
    for k in range(len(m.kind)):
        if s.on[k] == 1:
            i, j = s.slave[k], m.master[k]
            o[first, i], o[first + 1, i], o[first + 2, i] = o[first, j], o[first + 1, j], o[first + 2, j]


@lean
def drift(dt: float, m: Model, s: State) -> None:
    """Speeds change places; slaves go where their masters go."""
    o = s.of_slots
    _with_masters(V, m, s)
    _drifted(m.slots + 2, dt, o[X], o[X + 1], o[X + 2], o[V], o[V + 1], o[V + 2])
    _with_masters(X, m, s)


@apart
def keep(n: int, tension: Floats, total: Floats, most: Floats) -> None:
    """Tensions are added up, and the largest of each piece kept."""
    for i in range(n):
        total[i] += tension[i]
        most[i] = tension[i] if tension[i] > most[i] else most[i]


@lean
def largest(first: int, stop: int, bits: Ints) -> int:
    """Place of the largest of numbers that are not negative: they are in the order of their bits, which the compiler
    compares four at a time."""
    most = bits[first]
    for i in range(first, stop):
        most = max(most, bits[i])
    for i in range(first, stop):
        if bits[i] == most:
            return i
    return first

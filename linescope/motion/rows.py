"""What every slot takes part in: lengths, tensions, air, weight.

A loop goes over all slots and keeps what it needs of one in its own variables, so that rows are read once.  Where that
would make it choose a branch for a slot (`by_own_curve`), it stands alone.  Operations on one slot are in the order of
`linescope.motion.vectors`.
"""

from __future__ import annotations

import math

from linescope.compiled import compiled
from linescope.motion.arrays import (
    AIR,
    ALIVE,
    DAMPED_RATE,
    EXTRA,
    FORCE,
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
def directions(m: Model, s: State) -> None:
    """Lengths and directions of all pieces, and how fast they stretch."""
    n, slots = m.slots - 1, s.of_slots
    x, y, z, vx, vy, vz = slots[X], slots[X + 1], slots[X + 2], slots[V], slots[V + 1], slots[V + 2]
    ux, uy, uz, length, rates = slots[U], slots[U + 1], slots[U + 2], slots[LENGTH], slots[RATE]
    for i in range(n):
        a, b, c = x[i + 1] - x[i], y[i + 1] - y[i], z[i + 1] - z[i]
        size = math.sqrt(a * a + b * b + c * c) + 1e-300
        per = 1.0 / size
        a, b, c = a * per, b * per, c * per
        length[i], ux[i], uy[i], uz[i] = size, a, b, c
        rates[i] = (vx[i + 1] - vx[i]) * a + (vy[i + 1] - vy[i]) * b + (vz[i + 1] - vz[i]) * c


@compiled
def rates_at_contacts(m: Model, s: State) -> None:
    """At a contact the line runs through.

    To the mesh's viscosity both pieces are one, and it acts where both are taut: then it only takes energy, and none
    from a line that just runs.
    """
    n, slots, owner = m.slots - 1, s.of_slots, s.owner
    rates, damped, tension = slots[RATE], slots[DAMPED_RATE], slots[TENSION]
    for i in range(n):
        damped[i] = rates[i]
    for k in range(len(m.kind)):
        if s.on[k] == 1 and m.kind[k] != TAPE:
            i = s.slave[k]
            taut = tension[i - 1] > 0.0 and tension[i] > 0.0  # A step ago.
            alone = owner[i - 1] != RUNNING and owner[i + 1] != RUNNING
            rate = 0.5 * (rates[i - 1] + rates[i]) if taut and alone else 0.0
            damped[i - 1] = rate
            damped[i] = rate


@compiled
def by_own_curve(line: int, m: Model, s: State) -> None:
    """Strain of the material of one line's pieces, where it is taut: 1.0, and tension by the webbing's own curve."""
    slots, slack = s.of_slots, m.slack_strain[line]
    first, stop = (0, m.main) if line == 0 else (m.main, m.slots - 1)
    # Views of one line: counted from 0 on, the compiler knows that no index counts from an end.
    n, length, at = stop - first, slots[LENGTH][first:], slots[S][first:]
    strain, taut = slots[STRAIN][first:], slots[TAUT][first:]
    q0, q1, q2, pull = slots[Q][first:], slots[Q + 1][first:], slots[Q + 2][first:], slots[PULL][first:]
    s0, s1, s2 = slack[0], slack[1], slack[2]
    for i in range(n):
        e, least = length[i] / (at[i + 1] - at[i]) - 1.0, s0 * q0[i] + s1 * q1[i] + s2 * q2[i]
        strain[i] = e if e > least else least
    for i in range(n):
        taut[i] = 1.0 if strain[i] > s0 * q0[i] + s1 * q1[i] + s2 * q2[i] else 0.0
    if m.tables.shape[2] == 1:
        stiff = m.tables[1, line, 0]
        for i in range(n):
            pull[i] = stiff * strain[i]
    else:
        per_strain = m.per_strain[line]
        for i in range(n):
            pull[i] = law(m.tables, per_strain, line, strain[i])[0]


@compiled
def relax(dt: float, m: Model, s: State) -> None:
    """Branches follow, lose, and pull."""
    n, slots, stiff = m.slots - 1, s.of_slots, m.of_slots[STIFF]
    e, at, alive, pull, lost = slots[STRAIN], slots[S], slots[ALIVE], slots[PULL], slots[LOST_BRANCH]
    q0, q1, q2 = slots[Q], slots[Q + 1], slots[Q + 2]
    share0, share1, share2 = m.branches[0, 0], m.branches[0, 1], m.branches[0, 2]
    to0, to1 = 1.0 - math.exp(-dt / m.branches[1, 0]), 1.0 - math.exp(-dt / m.branches[1, 1])
    to2 = 1.0 - math.exp(-dt / m.branches[1, 2])
    keep0, keep1, keep2 = 1.0 - (1.0 - to0) ** 2, 1.0 - (1.0 - to1) ** 2, 1.0 - (1.0 - to2) ** 2
    for i in range(n):
        strain, stiffness, p0, p1, p2 = e[i], stiff[i], q0[i], q1[i], q2[i]
        d0, d1, d2 = strain - p0, strain - p1, strain - p2
        p0, p1, p2 = p0 + d0 * to0, p1 + d1 * to1, p2 + d2 * to2
        q0[i], q1[i], q2[i] = p0, p1, p2
        pull[i] += stiffness * (share0 * (strain - p0) + share1 * (strain - p1) + share2 * (strain - p2))
        lost[i] += (
            0.5 * stiffness * (at[i + 1] - at[i]) * alive[i]
            * (share0 * d0 * d0 * keep0 + share1 * d1 * d1 * keep1 + share2 * d2 * d2 * keep2)
        )  # fmt: skip


@compiled
def pieces(dt: float, m: Model, s: State, damped: bool) -> None:
    """Directions, lengths and tensions of all pieces."""
    n, slots = m.slots - 1, s.of_slots
    directions(m, s)
    rates_at_contacts(m, s)
    by_own_curve(0, m, s)
    by_own_curve(1, m, s)
    if damped:
        relax(dt, m, s)
    alive, other, before, viscosity = slots[ALIVE], slots[OTHER], slots[RATE_BEFORE], m.of_slots[VISCOUS]
    rates, damped_rates, lost = slots[RATE], slots[DAMPED_RATE], slots[LOST_VISCOUS]
    pull, taut, tension = slots[PULL], slots[TAUT], slots[TENSION]
    # What is no potential's does its work at the mean of the rates before and after.
    for i in range(n):
        rate, own = rates[i], pull[i]
        lost[i] += other[i] * 0.5 * (before[i] + rate) * dt
        total = (own + viscosity[i] * damped_rates[i]) * taut[i]
        total = total * alive[i] if total > 0.0 else 0.0
        tension[i] = total
        other[i] = (total - own * alive[i]) * taut[i]
        before[i] = rate


@compiled
def pulls(dt: float, wind: Floats, m: Model, s: State) -> None:
    """Forces of pieces, air and weight on every slot."""
    n, slots = m.slots - 1, s.of_slots
    fx, fy, fz = slots[FORCE], slots[FORCE + 1], slots[FORCE + 2]
    vx, vy, vz = slots[V], slots[V + 1], slots[V + 2]
    ux, uy, uz, tension, at, lost = slots[U], slots[U + 1], slots[U + 2], slots[TENSION], slots[S], slots[LOST_AIR]
    ax, ay, az = slots[SCRATCH], slots[SCRATCH + 1], slots[SCRATCH + 2]
    mass, extra, air, rho = slots[MASS], m.of_slots[EXTRA], m.of_slots[AIR], m.of_slots[RHO]
    wx, wy, wz = wind[0], wind[1], wind[2]
    for i in range(n):
        mx, my, mz = 0.5 * (vx[i] + vx[i + 1]), 0.5 * (vy[i] + vy[i + 1]), 0.5 * (vz[i] + vz[i + 1])
        p, q, r = ux[i], uy[i], uz[i]
        by = (mx - wx) * p + (my - wy) * q + (mz - wz) * r
        a, b, d = mx - wx - by * p, my - wy - by * q, mz - wz - by * r
        rest = at[i + 1] - at[i]
        drag = 0.5 * air[i] * rest * math.sqrt(a * a + b * b + d * d)
        drag = -drag / (1.0 + drag * dt / (0.5 * rho[i] * rest))
        a, b, d = a * drag, b * drag, d * drag
        lost[i] -= 2.0 * (a * mx + b * my + d * mz) * dt
        ax[i], ay[i], az[i] = a, b, d
    for i in range(1, n):
        fx[i] = tension[i] * ux[i] + ax[i] + (ax[i - 1] - tension[i - 1] * ux[i - 1])
        fy[i] = tension[i] * uy[i] + ay[i] + (ay[i - 1] - tension[i - 1] * uy[i - 1])
        fz[i] = tension[i] * uz[i] + az[i] + (az[i - 1] - tension[i - 1] * uz[i - 1])
    for row, u, a in ((fx, ux, ax), (fy, uy, ay), (fz, uz, az)):
        row[0] = tension[0] * u[0] + a[0]
        row[n] = a[n - 1] - tension[n - 1] * u[n - 1]
        row[n + 1] = 0.0
        row[n + 2] = 0.0
    for i in range(n + 3):
        fz[i] += -mass[i] * G - extra[i] * G

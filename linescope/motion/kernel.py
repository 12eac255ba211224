"""One step after the other, as compiled loops.

    m dv/dt = forces at x_n        v_{n+1/2} = v_{n-1/2} + dt F_n / m        x_{n+1} = x_n + dt v_{n+1/2}

(leapfrog: second order, no loss of its own).  `linescope.motion.vectors` does the same with NumPy, operation for
operation.

Tension of a piece of unstretched length l between ends L apart:

    T = max(0, T_static(e) + EA sum_j d_j (e - q_j) + nu sqrt(EA rho) dL/dt)        dq_j/dt = (e - q_j) / tau_j

with e the strain of its material: L / l - 1, but never less than the strain e_0 at which the first two terms balance.
A line that goes slack folds; it is not pressed together, and comes back to its length in its own time.  The branches
(standard linear solids) make loss nearly independent of rate; nu spreads what a chain of masses cannot carry, and is
part of the method.

Contacts that run have a module of their own, `linescope.motion.sliding`.

Rejected by measurement: the same steps in NumPy take 25 times as long, so that many places at once run these loops in
threads.  Tried in a prototype: position-based dynamics take 50 times the work for the same force; implicit steps are
too long to see tapes go 1.7 ms apart.
"""

from __future__ import annotations

import math

import numpy as np

from linescope.compiled import compiled, lean
from linescope.motion.arrays import (
    ALIVE,
    BACKUP_A,
    BACKUP_B,
    BODY_AIR,
    BODY_HEIGHT,
    BY_BODY_AIR,
    BY_LEASH,
    BY_LEGS,
    CHANNELS,
    CUT_TIME,
    DRIVE,
    EXTRA,
    FORCE,
    INVERSE,
    LEASH,
    LEASH_STIFF,
    LEASH_VISCOUS,
    LEAST,
    LEAVING,
    LONG,
    LOSSES,
    LOST_AIR,
    LOST_BRANCH,
    LOST_VISCOUS,
    MAIN_A,
    MAIN_B,
    MASS,
    MEAN_MOST,
    MEAN_TIME,
    MOST,
    MOST_BACKUP,
    MOST_MAIN,
    NOW_MOST,
    ON_LEASH,
    ON_LINE,
    RAW_MOST,
    RAW_TIME,
    RING,
    RING_HEIGHT,
    STANDING,
    STRENGTH,
    SUM,
    TAPE_FORCE,
    TAPE_LAG,
    TAPE_MOST,
    TENSION,
    TIE_IN,
    TOTAL,
    Floats,
    Ints,
    Log,
    Model,
    State,
    V,
    X,
)
from linescope.motion.contacts import energies, fail, keep_in_order, part, parted
from linescope.motion.ground import touch, touch_space
from linescope.motion.rows import drift, keep, kick, largest, pieces, pulls, relaxing
from linescope.motion.sliding import slide, work_space
from linescope.rig.atmosphere import STANDARD_GRAVITY as G

STRAIGHT = 0.05  # Way over which legs become straight [m].


@lean
def air_at(m: Model, time: float, out: Floats) -> None:
    """Velocity of the air, straight between the times given."""
    wind = m.wind
    k, last = 0, wind.shape[1] - 1
    while k < last - 1 and time > wind[0, k + 1]:
        k += 1
    share = 0.0
    if last > 0:
        share = (time - wind[0, k]) / (wind[0, k + 1] - wind[0, k])
        share = min(max(share, 0.0), 1.0)
    for c in range(3):
        out[c] = wind[1 + c, k] + share * (wind[1 + c, min(k + 1, last)] - wind[1 + c, k])


@lean
def body(dt: float, time: float, wind: Floats, m: Model, s: State, seen: Floats) -> None:
    """Leash, legs, the drive of a bounce and the air on the body; `seen` has the forces on leash and line."""
    slots, numbers = s.of_slots, m.numbers
    ring, man = m.slots, m.slots + 1
    v, force, inverse = slots[V : V + 3], slots[FORCE : FORCE + 3], slots[INVERSE]
    seen[ON_LINE] = force[2, ring] + m.of_slots[EXTRA, ring] * G
    seen[ON_LEASH] = 0.0
    damping = 0.0
    ux, uy, uz = 0.0, 0.0, 0.0
    if numbers[LEASH_STIFF] > 0.0:
        a, b = slots[X, man] - slots[X, ring], slots[X + 1, man] - slots[X + 1, ring]
        c = slots[X + 2, man] - slots[X + 2, ring]
        size = math.sqrt(a * a + b * b + c * c) + 1e-300
        if size > numbers[LEASH]:
            ux, uy, uz = a / size, b / size, c / size
            rate = (v[0, man] - v[0, ring]) * ux + (v[1, man] - v[1, ring]) * uy + (v[2, man] - v[2, ring]) * uz
            spring = numbers[LEASH_STIFF] * (size - numbers[LEASH])
            pull = spring + numbers[LEASH_VISCOUS] * rate
            pull = pull if pull > 0.0 else 0.0
            damping = pull - spring
            seen[ON_LEASH] = pull
            force[0, ring] += pull * ux
            force[1, ring] += pull * uy
            force[2, ring] += pull * uz
            force[0, man] -= pull * ux
            force[1, man] -= pull * uy
            force[2, man] -= pull * uz
    legs = 0.0
    if numbers[STANDING] > 0.0 and time < numbers[LEAVING]:
        # He cannot push a line that drops away: legs are straight as he stands.
        apart = slots[X + 2, man] - slots[X + 2, ring] - numbers[TIE_IN]
        legs = numbers[STANDING] * (1.0 - time / numbers[LEAVING]) * min(max(1.0 - apart / STRAIGHT, 0.0), 1.0)
        force[2, ring] -= legs
        force[2, man] += legs
    drive = 0.0
    if numbers[DRIVE] != 0.0:
        drive = numbers[DRIVE] * v[2, ring] / inverse[ring]
        force[2, ring] += drive
    if numbers[BODY_AIR] > 0.0:
        who = man if numbers[LEASH_STIFF] > 0.0 else ring
        rx, ry, rz = v[0, who] - wind[0], v[1, who] - wind[1], v[2, who] - wind[2]
        c = numbers[BODY_AIR] * math.sqrt(rx * rx + ry * ry + rz * rz)
        ax, ay, az = -c * rx, -c * ry, -c * rz
        force[0, who] += ax
        force[1, who] += ay
        force[2, who] += az
        s.lost[BY_BODY_AIR] -= (ax * v[0, who] + ay * v[1, who] + az * v[2, who]) * dt
    # Work at the mean of the speeds before and after this step.
    rx, ry, rz = v[0, ring], v[1, ring], v[2, ring]
    bx, by, bz = v[0, man], v[1, man], v[2, man]
    h0, h1 = 0.5 * dt * inverse[ring], 0.5 * dt * inverse[man]
    rx, ry, rz = rx + h0 * force[0, ring], ry + h0 * force[1, ring], rz + h0 * force[2, ring]
    bx, by, bz = bx + h1 * force[0, man], by + h1 * force[1, man], bz + h1 * force[2, man]
    if damping != 0.0:
        s.lost[BY_LEASH] += damping * ((bx - rx) * ux + (by - ry) * uy + (bz - rz) * uz) * dt
    if legs > 0.0:
        s.lost[BY_LEGS] -= legs * (bz - rz) * dt
    if drive != 0.0:
        s.lost[BY_LEGS] -= drive * rz * dt


@lean
def gather(m: Model, s: State) -> None:
    """Forces on slaves act on their masters."""
    force = s.of_slots[FORCE : FORCE + 3]
    for k in range(len(m.kind)):
        if s.on[k] == 1:
            i, j = s.slave[k], m.master[k]
            force[0, j] += force[0, i]
            force[1, j] += force[1, i]
            force[2, j] += force[2, i]


@lean
def tapes(dt: float, m: Model, s: State) -> bool:
    """Force that each tape carries between the lines, averaged; whether one is above its strength."""
    part_new = min(1.0, dt / m.numbers[TAPE_LAG])
    force, mass, inverse, of_links = s.of_slots[FORCE : FORCE + 3], s.of_slots[MASS], s.of_slots[INVERSE], s.of_links
    gone = False
    for k in range(len(m.kind)):
        if s.on[k] == 0 or m.kind[k] == RING:
            continue
        i, j = s.slave[k], m.master[k]
        size = 0.0
        for c in range(3):
            f = mass[i] * force[c, j] * inverse[j] - force[c, i]
            of_links[TAPE_FORCE + c, k] += (f - of_links[TAPE_FORCE + c, k]) * part_new
            size += of_links[TAPE_FORCE + c, k] ** 2
        size = math.sqrt(size)
        if size > of_links[TAPE_MOST, k]:
            of_links[TAPE_MOST, k] = size
        if size > m.of_links[STRENGTH, k]:
            gone = True
    return gone


@lean
def record(
    index: int, dt: float, per_short: int, per_frame: int, m: Model, s: State, bits: Ints, seen: Floats, short: Floats,
    log: Log,
) -> None:
    """What is kept of every step, of every interval and of every frame; `bits` is the tension, bit by bit."""
    tension, along, n, time = s.of_slots[TENSION], log.along, m.slots - 1, index * dt
    seen[MAIN_A], seen[MAIN_B] = tension[0], tension[m.main - 2]
    seen[BACKUP_A], seen[BACKUP_B] = tension[m.main], tension[n - 1]
    seen[RING_HEIGHT], seen[BODY_HEIGHT] = s.of_slots[X + 2, m.slots], s.of_slots[X + 2, m.slots + 1]
    keep(n, tension, along[SUM], along[NOW_MOST])
    seen[MOST_MAIN], seen[MOST_BACKUP] = tension[largest(0, m.main - 1, bits)], tension[largest(m.main, n, bits)]
    for c in range(CHANNELS):
        value = seen[c]
        short[TOTAL, c] += value
        short[MOST, c] = value if value > short[MOST, c] else short[MOST, c]
        short[LEAST, c] = value if value < short[LEAST, c] else short[LEAST, c]
    if (index + 1) % per_short > 0 and index % per_frame > 0:
        return
    if (index + 1) % per_short == 0:
        b, most, when, now = index // per_short, along[RAW_MOST], along[RAW_TIME], along[NOW_MOST]
        for c in range(CHANNELS):
            log.channels[TOTAL, c, b] = short[TOTAL, c] / per_short
            log.channels[MOST, c, b], log.channels[LEAST, c, b] = short[MOST, c], short[LEAST, c]
            short[TOTAL, c], short[MOST, c], short[LEAST, c] = 0.0, -math.inf, math.inf
        for i in range(n):
            if now[i] > most[i]:
                most[i], when[i] = now[i], time
            now[i] = 0.0
    if (index + 1) % (LONG * per_short) == 0:
        for i in range(n):
            mean = along[SUM, i] / (LONG * per_short)
            along[SUM, i] = 0.0
            if mean > along[MEAN_MOST, i]:
                along[MEAN_MOST, i] = mean
                along[MEAN_TIME, i] = time
    if index % per_frame == 0:
        f = log.done[0]
        log.done[0] += 1
        log.time[f] = time
        for i in range(m.slots + 2):
            for c in range(3):
                log.frames[f, c, i] = s.of_slots[X + c, i]
                log.frames[f, 3 + c, i] = s.of_slots[V + c, i]
            log.frames[f, 6, i] = tension[i]
        energies(m, s, 0.5 * dt, log.account[f])
        for c in range(LOSSES):
            log.account[f, 4 + c] = s.lost[c]
        log.account[f, 4 + LOSSES] = s.of_slots[LOST_VISCOUS].sum()
        log.account[f, 5 + LOSSES] = s.of_slots[LOST_BRANCH].sum()
        log.account[f, 6 + LOSSES] = s.of_slots[LOST_AIR].sum()


@compiled
def fail_all(time: float, m: Model, s: State) -> None:
    """All tapes that are above their strength go at once."""
    force = s.of_links[TAPE_FORCE : TAPE_FORCE + 3]
    for k in range(len(m.kind)):
        if s.on[k] == 1 and m.kind[k] != RING:
            size = math.sqrt(force[0, k] ** 2 + force[1, k] ** 2 + force[2, k] ** 2)
            if size > m.of_links[STRENGTH, k]:
                fail(m, s, k, time)


@compiled
def advance(
    first: int, stop: int, dt: float, per_short: int, per_frame: int, m: Model, s: State, log: Log
) -> None:
    """Steps number `first` up to `stop`, whole short intervals."""
    wind, seen, short = np.zeros(3), np.zeros(CHANNELS), np.zeros((3, CHANNELS))
    short[MOST], short[LEAST] = -np.inf, np.inf
    bits = s.of_slots[TENSION].view(np.int64)
    links, of_pieces, of_contacts = work_space(m)
    lead, listed, wait, far = touch_space(m)
    branches = relaxing(dt, m)
    for index in range(first, stop):
        time = index * dt
        if m.cut >= 0 and time >= m.numbers[CUT_TIME] and s.of_slots[ALIVE, m.cut] == 1.0:
            before, rubbed = part(m, s)
            near = slide(links, of_pieces, of_contacts, m, s)
            parted(m, s, before, rubbed)
            if near:
                keep_in_order(m, s)
        air_at(m, time, wind)
        pieces(dt, branches, m, s)
        pulls(dt, wind, m, s)
        gather(m, s)
        body(dt, time, wind, m, s, seen)
        gone = tapes(dt, m, s)
        record(index, dt, per_short, per_frame, m, s, bits, seen, short, log)
        kick(dt, m, s)
        if len(lead) > 0:
            touch(index, dt, lead, listed, wait, far, m, s)
        drift(dt, m, s)
        if slide(links, of_pieces, of_contacts, m, s):
            keep_in_order(m, s)
        if gone:
            fail_all(time, m, s)

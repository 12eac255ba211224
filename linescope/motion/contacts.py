"""What happens now and then in a run: contacts hand over from slot to slot, tapes fail, a line runs out of its ring.

A contact that runs (ring, tape that slides) is a slave slot of the line it runs on, with a material coordinate S that
is free.  It carries no mass of that line: each neighbour takes half.  When S comes nearer to the next slot than 0.35
of their distance, the contact moves into that slot and the one it leaves becomes a place of the line again, on the
straight piece behind the contact.  (Handing over half way would let it flip to and fro, and pump energy.)

All energy that this changes is booked.
"""

from __future__ import annotations

import math

import numpy as np

from linescope.compiled import compiled, lean
from linescope.motion.arrays import (
    ALIVE,
    BRANCHES,
    BY_BREAKING,
    BY_FRICTION,
    BY_REMESHING,
    EXTRA,
    FORCE,
    FREE,
    HELD,
    HOME,
    INVERSE,
    JUMP,
    LEASH,
    LEASH_STIFF,
    MASS,
    MASS0,
    OTHER,
    RUNNING,
    STIFF,
    TAPE,
    TAPE_TIME,
    Floats,
    Ints,
    Model,
    Q,
    S,
    State,
    V,
    X,
)
from linescope.rig.atmosphere import STANDARD_GRAVITY as G

# How far a contact keeps from what it cannot pass: about half of ring and tape together, since where a ring stops is no
# matter of the mesh; at most a share of the distance of two homes.
STOPS, NEAREST = 0.05, 0.3  # [m], [-]
HAND_OVER = 0.35  # The same where it moves into the next slot.


@lean
def kept(gap: float) -> float:
    """How far a contact keeps from what it cannot pass, `gap` metres being between their homes.  [m]"""
    return STOPS if NEAREST * gap > STOPS else NEAREST * gap


@lean
def law(tables: Floats, per_strain: float, line: int, e: float) -> tuple[float, float, float]:
    """Tension, tangent stiffness [N] and work per unstretched metre [N] of a webbing's own curve at a strain >= 0."""
    if tables.shape[2] == 1:  # Straight: the same without a division.
        t, k = tables[0, line, 0], tables[1, line, 0]
        return t + k * e, k, tables[2, line, 0] + e * (t + 0.5 * k * e)
    cell = min(int(e * per_strain), tables.shape[2] - 1)
    rest = e - cell / per_strain
    t, k = tables[0, line, cell], tables[1, line, cell]
    return t + k * rest, k, tables[2, line, cell] + rest * (t + 0.5 * k * rest)


@lean
def slack_strain(shares: Floats, line: int, q0: float, q1: float, q2: float) -> float:
    """Strain of a line without tension that has not come back yet: its own curve pushes, its branches pull."""
    return float(shares[line, 0] * q0 + shares[line, 1] * q1 + shares[line, 2] * q2)


@lean
def _leaving(m: Model, s: State, i: int) -> float:
    """Derivative of one piece's energy by its unstretched length, as it lies.  [N]"""
    slots, line, stiff = s.of_slots, m.line[i], m.of_slots[STIFF, i]
    q0, q1, q2, size = slots[Q, i], slots[Q + 1, i], slots[Q + 2, i], 0.0
    for c in range(3):
        size += (slots[X + c, i + 1] - slots[X + c, i]) ** 2
    e, slack = math.sqrt(size) / (slots[S, i + 1] - slots[S, i]) - 1.0, slack_strain(m.slack_strain, line, q0, q1, q2)
    taut = e > slack
    e = e if taut else slack
    pull, _, work = law(m.tables, m.per_strain[line], line, e)
    for j in range(3):
        d = e - slots[Q + j, i]
        pull += stiff * m.branches[0, j] * d
        work += 0.5 * stiff * m.branches[0, j] * d * d
    pull = pull if pull > 0.0 and taut else 0.0
    return float((work - (1.0 + e) * pull) * slots[ALIVE, i])


@lean
def jump_at(m: Model, s: State, i: int) -> float:
    """What a metre of line that passes the contact in a slot gives up, as all lies.  [N]"""
    return _leaving(m, s, i) - _leaving(m, s, i - 1)


@lean
def energies(m: Model, s: State, half: float, into: Floats) -> None:
    """Kinetic energy, weight, elastic energy and that of the branches, with velocities taken on by `half` a step."""
    slots, share, stiff = s.of_slots, m.branches[0], m.of_slots[STIFF]
    inverse, at, alive = slots[INVERSE], slots[S], slots[ALIVE]
    kinetic, weight, elastic, branches = 0.0, 0.0, 0.0, 0.0
    for i in range(m.slots + 2):
        if inverse[i] > 0.0:
            mass, speed2 = 1.0 / inverse[i], 0.0
            for c in range(3):
                speed = slots[V + c, i] + half * slots[FORCE + c, i] * inverse[i]
                speed2 += speed * speed
            kinetic += 0.5 * mass * speed2
            weight += mass * G * slots[X + 2, i]
    for i in range(m.slots - 1):
        if alive[i] > 0.0:
            a, b = slots[X, i + 1] - slots[X, i], slots[X + 1, i + 1] - slots[X + 1, i]
            c = slots[X + 2, i + 1] - slots[X + 2, i]
            rest = at[i + 1] - at[i]
            e = math.sqrt(a * a + b * b + c * c) / rest - 1.0
            slack = slack_strain(m.slack_strain, m.line[i], slots[Q, i], slots[Q + 1, i], slots[Q + 2, i])
            e = e if e > slack else slack
            inner = 0.0
            for j in range(BRANCHES):
                d = e - slots[Q + j, i]
                inner += share[j] * d * d
            elastic += law(m.tables, m.per_strain[m.line[i]], m.line[i], e)[2] * rest
            branches += 0.5 * stiff[i] * inner * rest
    ring, man, numbers = m.slots, m.slots + 1, m.numbers
    if numbers[LEASH_STIFF] > 0.0:
        a, b = slots[X, man] - slots[X, ring], slots[X + 1, man] - slots[X + 1, ring]
        c = slots[X + 2, man] - slots[X + 2, ring]
        longer = math.sqrt(a * a + b * b + c * c) - numbers[LEASH]
        elastic += 0.5 * numbers[LEASH_STIFF] * longer * longer if longer > 0.0 else 0.0
    into[0], into[1], into[2], into[3] = kinetic, weight, elastic, branches


@compiled
def total_energy(m: Model, s: State) -> float:
    """All of it.  [J]"""
    parts = np.zeros(4)
    energies(m, s, 0.0, parts)
    return float(parts[0] + parts[1] + parts[2] + parts[3])


@compiled
def share_masses(of_slots: Floats, kind: Ints, master: Ints, s: State) -> None:
    """Masses after a change of links: of each slot, and of all that moves with it."""
    mass, inverse, mass0 = s.of_slots[MASS], s.of_slots[INVERSE], of_slots[MASS0]
    n = len(mass)
    for i in range(n):
        mass[i] = mass0[i]
    for k in range(len(kind)):
        if s.on[k] == 1 and kind[k] != TAPE:
            i = s.slave[k]
            left = s.owner[i - 1] != RUNNING
            right = s.owner[i + 1] != RUNNING
            if left or right:
                part_of = 0.5 if left and right else 1.0
                if left:
                    mass[i - 1] += part_of * mass0[i]
                if right:
                    mass[i + 1] += part_of * mass0[i]
                mass[i] = 0.0
    for i in range(n):
        inverse[i] = mass[i] + of_slots[EXTRA, i]
    for k in range(len(kind)):
        if s.on[k] == 1:
            inverse[master[k]] += mass[s.slave[k]]
    for i in range(n):
        inverse[i] = 1.0 / inverse[i] if of_slots[HELD, i] == 0.0 and inverse[i] > 0.0 else 0.0
    for k in range(len(kind)):
        if s.on[k] == 1:
            inverse[s.slave[k]] = 0.0


@lean
def on_tail(share: float, gap: float, rest: float) -> float:
    """Where on the way from beyond a gap [m] to a contact the end of the `rest` metres of line that hang from it lies.

    At a share of the way, but no farther from the contact than they reach: over a gap nothing is stretched.
    """
    return 1.0 - rest / gap if (1.0 - share) * gap > rest else share


@compiled
def _let_go(m: Model, s: State, k: int) -> None:
    """A contact is off its line; its slot becomes a place of the line again, on the straight piece beside it."""
    slots, home = s.of_slots, m.of_slots[HOME]
    i = s.slave[k]
    s.on[k] = 0
    s.owner[i] = FREE
    beside = i - 1 if home[i] <= slots[S, i] else i + 1
    way = (home[i] - slots[S, beside]) / (slots[S, i] - slots[S, beside])
    if slots[ALIVE, min(i, beside)] == 0.0:
        size = 0.0
        for j in range(3):
            size += (slots[X + j, i] - slots[X + j, beside]) ** 2
        way = on_tail(way, math.sqrt(size), abs(slots[S, i] - home[i]))
    for j in range(3):
        slots[X + j, i] = slots[X + j, beside] + way * (slots[X + j, i] - slots[X + j, beside])
        slots[V + j, i] = 0.5 * (slots[V + j, i - 1] + slots[V + j, i + 1])  # They had half of its mass each.
    slots[S, i] = home[i]
    for p in (i - 1, i):
        slots[OTHER, p] = 0.0
    share_masses(m.of_slots, m.kind, m.master, s)


@compiled
def run_off(m: Model, s: State, k: int) -> None:
    """A contact comes to a broken end."""
    before = total_energy(m, s)
    _let_go(m, s, k)
    s.lost[BY_REMESHING] += before - total_energy(m, s)


@compiled
def fail(m: Model, s: State, k: int, time: float) -> None:
    """A tape goes."""
    before = total_energy(m, s)
    s.of_links[TAPE_TIME, k] = time
    s.owner[m.master[k]] = FREE
    if m.kind[k] == TAPE:
        s.on[k] = 0
        s.owner[s.slave[k]] = FREE
        share_masses(m.of_slots, m.kind, m.master, s)
    else:
        _let_go(m, s, k)
    s.lost[BY_BREAKING] += before - total_energy(m, s)


@compiled
def part(m: Model, s: State) -> tuple[float, float]:
    """The main parts: a piece has no tension any more.

    Contacts beside the gap are to run at once as far as they must, which is too long a way for the account of one step:
    `parted` books what that took.  Energy before and what friction had taken till then.  [J]
    """
    before = total_energy(m, s)
    s.of_slots[ALIVE, m.cut] = 0.0
    s.of_slots[OTHER, m.cut] = 0.0
    return before, s.lost[BY_FRICTION]


@compiled
def parted(m: Model, s: State, before: float, rubbed: float) -> None:
    """What the piece that parted had stored is gone, and with it what ran out of the pieces beside it."""
    s.lost[BY_BREAKING] += before - total_energy(m, s)
    s.lost[BY_FRICTION] = rubbed


@compiled
def _hand_over(m: Model, s: State, k: int, side: int) -> None:
    """A contact moves from slot i into the next one, j.

    The line runs round the contact: its speed along itself is kept, across it is that of the straight piece.
    """
    slots, home, mass0 = s.of_slots, m.of_slots[HOME], m.of_slots[MASS0]
    at, inverse = slots[S], slots[INVERSE]
    i, n = s.slave[k], m.master[k]
    j, beyond, b = i + side, i + 2 * side, i - side
    rear, front, after = i - 1, i, j
    if side == -1:
        rear, front, after = i, i - 1, j - 1
    before = total_energy(m, s)
    back = (home[i] - at[b]) / (at[i] - at[b])
    half = 0.5 * mass0[i]
    m1, m2 = half + 0.5 * mass0[j], 0.5 * mass0[j]
    la, lb = 0.0, 0.0
    for c in range(3):
        la += (slots[X + c, n] - slots[X + c, b]) ** 2
        lb += (slots[X + c, j] - slots[X + c, n]) ** 2
    la, lb = math.sqrt(la) + 1e-300, math.sqrt(lb) + 1e-300
    whole = slots[ALIVE, rear] > 0.0
    if not whole:
        back = on_tail(back, la, abs(at[i] - home[i]))
    along, ahead, now, with_it = 0.0, 0.0, 0.0, 0.0
    for c in range(3):
        da, db = (slots[X + c, n] - slots[X + c, b]) / la, (slots[X + c, j] - slots[X + c, n]) / lb
        along += slots[V + c, b] * da
        ahead += slots[V + c, j] * db
        now += (slots[V + c, b] + back * (slots[V + c, n] - slots[V + c, b])) * da
        with_it += slots[V + c, n] * db
    speed = (half * along + m1 * ahead) / (half + m1)
    old_inverse = inverse[beyond]
    mean_speed = (half * slots[V : V + 3, b] + m1 * slots[V : V + 3, j]) / (half + m1)
    # What the branches of both pieces ahead have come to is averaged by length; behind nothing changes.
    l1, l2 = abs(at[j] - at[i]), abs(at[beyond] - at[j])
    for c in range(BRANCHES):
        mean = (slots[Q + c, front] * l1 + slots[Q + c, after] * l2) / (l1 + l2)
        slots[Q + c, front] = slots[Q + c, rear] if whole else 0.0
        slots[Q + c, after] = mean
    for c in range(3):
        swallowed = slots[V + c, j]
        da = (slots[X + c, n] - slots[X + c, b]) / la
        slots[X + c, i] = slots[X + c, b] + back * (slots[X + c, n] - slots[X + c, b])
        slots[V + c, i] = slots[V + c, b] + back * (slots[V + c, n] - slots[V + c, b]) + (speed - now) * da
        if not whole:  # A broken end hangs behind: it moves as the contact does, and as line runs through that.
            slots[V + c, i] = slots[V + c, n] + (ahead - with_it) * da
        slots[X + c, j] = slots[X + c, n]
        slots[V + c, j] = slots[V + c, n]
        if old_inverse > 0.0:  # Half of what was swallowed goes on with the slot beyond.
            slots[V + c, beyond] += m2 / (1.0 / old_inverse + m2) * (swallowed - slots[V + c, beyond])
    at[j] = at[i]
    at[i] = home[i]
    s.owner[i] = FREE
    s.owner[j] = RUNNING
    s.slave[k] = j
    for p in (rear, front, after):
        slots[OTHER, p] = 0.0
    share_masses(m.of_slots, m.kind, m.master, s)
    after_all = total_energy(m, s)
    if after_all > before:  # On a slack line "along" means little: the mean of what meets takes energy only.
        for c in range(3):
            slots[V + c, i] = mean_speed[c]
        after_all = total_energy(m, s)
    s.lost[BY_REMESHING] += before - after_all
    s.of_links[JUMP, k] = jump_at(m, s, j)


@compiled
def keep_in_order(m: Model, s: State) -> None:
    """After contacts have run: they stop at what they cannot pass, move on to the next slot, or run off an end."""
    at, alive, home = s.of_slots[S], s.of_slots[ALIVE], m.of_slots[HOME]
    for k in range(len(m.kind)):
        if s.on[k] == 0 or m.kind[k] == TAPE:
            continue
        for side in (1, -1):
            i = s.slave[k]
            j = i + side
            gap = abs(home[j] - home[i])
            if side * (at[j] - at[i]) >= HAND_OVER * gap:
                continue
            ahead = i if side == 1 else i - 1
            if alive[ahead] == 0.0:  # The line ends right behind the contact.
                run_off(m, s, k)
                break
            if s.owner[j] != FREE:
                limit = at[j] - side * kept(gap)
                if side * (at[i] - limit) > 0.0:
                    before = total_energy(m, s)
                    at[i] = limit
                    s.lost[BY_REMESHING] += before - total_energy(m, s)
                    s.of_links[JUMP, k] = jump_at(m, s, i)
                continue
            if alive[j if side == 1 else j - 1] == 0.0:  # The broken end is the next slot.
                run_off(m, s, k)
                break
            _hand_over(m, s, k, side)
            break

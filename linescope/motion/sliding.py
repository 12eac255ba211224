"""Contacts that run, in one step of time: each slides until the difference of tension is within its friction.

    |T_a - T_b| <= min(T_a, T_b) (exp(f phi) - 1) + drag

with T_a and T_b on either side, both a function of where the contact is on the line, and phi the angle by which the
line turns.  Newton steps take all contacts on together, row by row as in `linescope.motion.rows`: one after the other
each would wait for its own divisions, which takes twice as long.
"""

from __future__ import annotations

import math

import numpy as np

from linescope.compiled import compiled
from linescope.motion.arrays import (
    ALIVE,
    BY_FRICTION,
    DRAG,
    FREE,
    FRICTION,
    HOME,
    JUMP,
    RUNNING,
    SLID,
    STIFF,
    TAPE,
    Floats,
    Ints,
    Model,
    Q,
    S,
    State,
    X,
)
from linescope.motion.contacts import HAND_OVER, jump_at, kept, law, slack_strain

TRIES = 6  # Newton steps for the slide of a contact in one step of time.
CLOSE, NEARLY = 1e-9, 1e-6  # How near to the friction a slide ends [-], [N]: rounding of places allows no less.
SURELY = 0.99  # Of a friction's lower bound: what rounding does not touch.
MOST_SLIDE = 0.2  # Of the two pieces beside a contact.

# Rows of two pieces a contact, those before all contacts first: unstretched and stretched length [m], strain without
# tension, strain of the material [-], slope of its own curve, EA, 1 while it holds, strain of its three branches,
# tension [N], stiffness by way [N/m], energy of a metre [N].
REST, SIZE, SLACK, STRAIN, SLOPE, EA, LIVES, Q0, Q1, Q2, PULL, SOFT, WORK = range(13)
# Rows of contacts: place, where it was, its neighbours, how far it may go, a metre kept from them before and after [m];
# friction's factor on the lesser tension [-], drag, friction [N], way of a Newton step [m].
HERE, OLD, LEFT, RIGHT, LOW, HIGH, KEPT_LEFT, KEPT_RIGHT, GRIP, HELD_BY, FRICTIONS, STEP = range(12)


@compiled
def work_space(m: Model) -> tuple[Ints, Floats, Floats]:
    """Room for `slide`: links that run, rows of their pieces, rows of their own."""
    n = len(m.kind)
    return np.zeros(n, dtype=np.int64), np.zeros((WORK + 1, 2 * n)), np.zeros((STEP + 1, n))


@compiled
def _gather(links: Ints, of_pieces: Floats, of_contacts: Floats, m: Model, s: State) -> int:
    """What contacts see before they slide; how many there are."""
    slots, home, owner, count = s.of_slots, m.of_slots[HOME], s.owner, 0
    x, y, z, at = slots[X], slots[X + 1], slots[X + 2], slots[S]
    for k in range(len(m.kind)):
        if s.on[k] == 1 and m.kind[k] != TAPE:
            links[count] = k
            count += 1
    for c in range(count):
        i = s.slave[links[c]]
        here, left, right = at[i], at[i - 1], at[i + 1]
        before, after = home[i] - home[i - 1], home[i + 1] - home[i]
        # Up to the neighbour it cannot pass, half-way if that moves too, and never to the slot that one still occupies.
        low, high = left, right
        if owner[i - 1] != FREE:
            low += kept(before)
        if owner[i - 1] == RUNNING:
            low = max(here + 0.5 * (low - here), home[i - 1] + HAND_OVER * before)
        if owner[i + 1] != FREE:
            high -= kept(after)
        if owner[i + 1] == RUNNING:
            high = min(here + 0.5 * (high - here), home[i + 1] - HAND_OVER * after)
        of_contacts[HERE, c], of_contacts[OLD, c], of_contacts[LEFT, c], of_contacts[RIGHT, c] = here, here, left, right
        of_contacts[LOW, c], of_contacts[HIGH, c] = min(low, here), max(high, here)
        of_contacts[KEPT_LEFT, c], of_contacts[KEPT_RIGHT, c] = HAND_OVER * before, HAND_OVER * after
        of_contacts[HELD_BY, c] = m.of_links[DRAG, links[c]]
    for side in range(2):
        for c in range(count):
            i, j = s.slave[links[c]] - 1 + side, c + side * count
            line, a, b, d = m.line[i], x[i + 1] - x[i], y[i + 1] - y[i], z[i + 1] - z[i]
            q0, q1, q2 = slots[Q, i], slots[Q + 1, i], slots[Q + 2, i]
            of_pieces[SIZE, j] = math.sqrt(a * a + b * b + d * d)
            of_pieces[SLACK, j] = slack_strain(m.slack_strain, line, q0, q1, q2)
            of_pieces[Q0, j], of_pieces[Q1, j], of_pieces[Q2, j] = q0, q1, q2
            of_pieces[EA, j], of_pieces[LIVES, j] = m.of_slots[STIFF, i], slots[ALIVE, i]
            of_pieces[SLOPE, j] = m.tables[1, line, 0]
    return count


@compiled
def _tensions(count: int, links: Ints, of_pieces: Floats, of_contacts: Floats, m: Model, s: State) -> None:
    """Tension beside every contact where it is now, without the mesh's viscosity."""
    here, left, right = of_contacts[HERE], of_contacts[LEFT], of_contacts[RIGHT]
    rest, after, size, strain = of_pieces[REST], of_pieces[REST][count:], of_pieces[SIZE], of_pieces[STRAIN]
    slack, slope, pull = of_pieces[SLACK], of_pieces[SLOPE], of_pieces[PULL]
    q0, q1, q2, stiff, lives = of_pieces[Q0], of_pieces[Q1], of_pieces[Q2], of_pieces[EA], of_pieces[LIVES]
    share0, share1, share2 = m.branches[0, 0], m.branches[0, 1], m.branches[0, 2]
    for c in range(count):
        rest[c] = here[c] - left[c]
    for c in range(count):
        after[c] = right[c] - here[c]
    for j in range(2 * count):
        e = size[j] / rest[j] - 1.0
        strain[j] = e if e > slack[j] else slack[j]
    if m.tables.shape[2] == 1:
        for j in range(2 * count):
            pull[j] = slope[j] * strain[j]
    else:
        for j in range(2 * count):
            line = m.line[s.slave[links[j if j < count else j - count]]]
            pull[j], slope[j], _ = law(m.tables, m.per_strain[line], line, strain[j])
    for j in range(2 * count):
        e = strain[j]
        pull[j] += stiff[j] * (share0 * (e - q0[j]) + share1 * (e - q1[j]) + share2 * (e - q2[j]))
    for j in range(2 * count):
        pull[j] = pull[j] * lives[j] if pull[j] > 0.0 and strain[j] > slack[j] else 0.0


@compiled
def _frictions(count: int, links: Ints, of_pieces: Floats, of_contacts: Floats, m: Model, s: State) -> None:
    """Factor on the lesser tension, of every contact that may slide."""
    pull, size = of_pieces[PULL], of_pieces[SIZE]
    x, y, z = s.of_slots[X], s.of_slots[X + 1], s.of_slots[X + 2]
    for c in range(count):
        ta, tb, drag, friction = pull[c], pull[c + count], of_contacts[HELD_BY, c], m.of_links[FRICTION, links[c]]
        jump, least = abs(ta - tb), min(ta, tb)
        of_contacts[GRIP, c] = 0.0
        if jump > drag:
            i = s.slave[links[c]]
            ax, ay, az = x[i] - x[i - 1], y[i] - y[i - 1], z[i] - z[i - 1]
            bx, by, bz = x[i + 1] - x[i], y[i + 1] - y[i], z[i + 1] - z[i]
            cosine = (ax * bx + ay * by + az * bz) / (size[c] * size[c + count] + 1e-300)
            # exp(f a) - 1 > f a > f sqrt(2 - 2 cos a): those that rest by that need no exponential.
            bend = 2.0 - 2.0 * cosine
            surely = SURELY * friction * math.sqrt(bend) if bend > CLOSE else 0.0
            if jump < least * surely + drag:
                of_contacts[GRIP, c] = surely
            else:
                of_contacts[GRIP, c] = math.exp(friction * math.acos(min(max(cosine, -1.0), 1.0))) - 1.0


@compiled
def _newton(count: int, of_pieces: Floats, of_contacts: Floats, m: Model) -> int:
    """One step of every contact that is not within its friction; how many there are."""
    here, step, low, high = of_contacts[HERE], of_contacts[STEP], of_contacts[LOW], of_contacts[HIGH]
    grip, drag, hold = of_contacts[GRIP], of_contacts[HELD_BY], of_contacts[FRICTIONS]
    rest, strain, slope = of_pieces[REST], of_pieces[STRAIN], of_pieces[SLOPE]
    stiff, pull, soft = of_pieces[EA], of_pieces[PULL], of_pieces[SOFT]
    after, other, softer = rest[count:], pull[count:], soft[count:]
    shares, open_ = m.branches[0, 0] + m.branches[0, 1] + m.branches[0, 2], 0
    for c in range(count):
        hold[c] = (pull[c] if pull[c] < other[c] else other[c]) * grip[c] + drag[c]
    for c in range(count):
        open_ += 1 if abs(pull[c] - other[c]) > hold[c] * (1.0 + CLOSE) + NEARLY else 0
    if open_ == 0:
        return 0
    for j in range(2 * count):
        by = (slope[j] + stiff[j] * shares) * (1.0 + strain[j]) / rest[j]
        soft[j] = by if pull[j] > 0.0 else 0.0
    for c in range(count):
        jump, limit = pull[c] - other[c], MOST_SLIDE * (rest[c] + after[c])
        way = (jump - hold[c] if jump > 0.0 else jump + hold[c]) / (soft[c] + softer[c])
        way = way if way > -limit else -limit
        way = way if way < limit else limit
        step[c] = way if abs(jump) > hold[c] * (1.0 + CLOSE) + NEARLY else 0.0
    for c in range(count):
        to = here[c] + step[c]
        to = to if to > low[c] else low[c]
        here[c] = to if to < high[c] else high[c]
    return open_


@compiled
def _energies(count: int, links: Ints, of_pieces: Floats, m: Model, s: State) -> None:
    """What a metre that leaves a piece takes along: the derivative of its energy by its length, w - (1 + e) T."""
    strain, slope, pull, work = of_pieces[STRAIN], of_pieces[SLOPE], of_pieces[PULL], of_pieces[WORK]
    q0, q1, q2, stiff, lives = of_pieces[Q0], of_pieces[Q1], of_pieces[Q2], of_pieces[EA], of_pieces[LIVES]
    share0, share1, share2 = m.branches[0, 0], m.branches[0, 1], m.branches[0, 2]
    if m.tables.shape[2] == 1:
        for j in range(2 * count):
            work[j] = 0.5 * slope[j] * strain[j] * strain[j]
    else:
        for j in range(2 * count):
            line = m.line[s.slave[links[j if j < count else j - count]]]
            work[j] = law(m.tables, m.per_strain[line], line, strain[j])[2]
    for j in range(2 * count):
        d0, d1, d2 = strain[j] - q0[j], strain[j] - q1[j], strain[j] - q2[j]
        work[j] += 0.5 * stiff[j] * (share0 * d0 * d0 + share1 * d1 * d1 + share2 * d2 * d2)
    for j in range(2 * count):
        work[j] = work[j] * lives[j] - (1.0 + strain[j]) * pull[j]


@compiled
def _out_of_order(at: Floats, alive: Floats, home: Floats, owner: Ints, i: int, side: int) -> bool:
    """Whether `keep_in_order` has something to do on one side of a contact: many rest at what they cannot pass."""
    j, ahead = i + side, i if side == 1 else i - 1
    gap = side * (home[j] - home[i])
    if side * (at[j] - at[i]) >= HAND_OVER * gap:
        return False
    stops = owner[j] == FREE or alive[ahead] == 0.0 or side * (at[i] - (at[j] - side * kept(gap))) > 0.0
    return bool(stops)


@compiled
def slide(links: Ints, of_pieces: Floats, of_contacts: Floats, m: Model, s: State) -> bool:
    """Contacts run until the difference of tension is within their friction; whether one comes near a neighbour.

    Each finds its way with its neighbours where they were, so that the order does not matter.
    """
    count = _gather(links, of_pieces, of_contacts, m, s)
    if count == 0:
        return False
    at, alive, home, owner = s.of_slots[S], s.of_slots[ALIVE], m.of_slots[HOME], s.owner
    here, old, left, right = of_contacts[HERE], of_contacts[OLD], of_contacts[LEFT], of_contacts[RIGHT]
    kept_left, kept_right = of_contacts[KEPT_LEFT], of_contacts[KEPT_RIGHT]
    for number in range(TRIES + 1):
        _tensions(count, links, of_pieces, of_contacts, m, s)
        if number == 0:
            _frictions(count, links, of_pieces, of_contacts, m, s)
        if number == TRIES or _newton(count, of_pieces, of_contacts, m) == 0:
            break
    _energies(count, links, of_pieces, m, s)
    near_by, shared = 0, False
    for c in range(count):
        i = s.slave[links[c]]
        if owner[i - 1] == RUNNING or owner[i + 1] == RUNNING:
            shared = True
            # Two contacts that both draw on the piece between them take half each.
            here[c] = old[c] + 0.5 * (here[c] - old[c])
        at[i] = here[c]
    # What it costs is the jump of energy times the way; as forces act at the ends of a step, so does the jump.
    work = of_pieces[WORK]
    for c in range(count):
        k = links[c]
        i, way, passing = s.slave[k], here[c] - old[c], work[c + count] - work[c]
        if shared and (owner[i - 1] == RUNNING or owner[i + 1] == RUNNING):  # The other one may have moved as well.
            passing = jump_at(m, s, i)
        s.of_links[SLID, k] += abs(way)
        s.lost[BY_FRICTION] += 0.5 * (s.of_links[JUMP, k] + passing) * way
        s.of_links[JUMP, k] = passing
    for c in range(count):
        near_by += 1 if here[c] - left[c] < kept_left[c] or right[c] - here[c] < kept_right[c] else 0
    if near_by == 0 and not shared:
        return False
    near = False
    for c in range(count):
        i = s.slave[links[c]]
        # Only beside one that moved as well is a neighbour elsewhere than it was.
        beside = owner[i - 1] == RUNNING or owner[i + 1] == RUNNING
        if beside or here[c] - left[c] < kept_left[c] or right[c] - here[c] < kept_right[c]:
            near |= _out_of_order(at, alive, home, owner, i, 1) or _out_of_order(at, alive, home, owner, i, -1)
    return near

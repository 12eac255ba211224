"""Contacts that run, in one step of time: each slides until the difference of tension is within its friction.

    |T_a - T_b| <= min(T_a, T_b) (exp(f phi) - 1) + drag

with T_a and T_b on either side, both a function of where the contact is on the line, and phi the angle by which the
line turns.  Newton steps take all contacts on together, row by row as in `linescope.motion.rows`: one after the other
each would wait for its own divisions.
"""

from __future__ import annotations

import math

import numpy as np

from linescope.compiled import apart, compiled, lean
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
MOST_SLIDE = 0.2  # Of the two pieces beside a contact.

# Rows of two pieces a contact, those before all contacts first: unstretched and stretched length [m], strain without
# tension, strain of the material [-], slope of its own curve, EA, 1 while it holds, strain of its three branches,
# tension [N], stiffness by way [N/m], energy of a metre [N].
REST, SIZE, SLACK, STRAIN, SLOPE, EA, LIVES, Q0, Q1, Q2, PULL, SOFT, WORK = range(13)
# Rows of contacts: place, its neighbours, how far it may go, how near to a neighbour is near, before and after [m];
# cosine of the turn, friction's factor on the lesser tension [-], drag [N]; ways to it and on to the next [m].
HERE, LEFT, RIGHT, LOW, HIGH, NEAR_LEFT, NEAR_RIGHT, COSINE, GRIP, HELD_BY, WAY_TO, WAY_ON = (*range(11), 13)
GENTLE = 0.01  # Of the square of an angle and of friction's exponent: series of few terms miss less than 1e-11.


@compiled
def work_space(m: Model) -> tuple[Ints, Floats, Floats]:
    """Room for `slide`: links that run, rows of their pieces, rows of their own."""
    n = len(m.kind)
    return np.zeros(n, dtype=np.int64), np.zeros((WORK + 1, 2 * n)), np.zeros((WAY_ON + 3, n))


@apart
def _turns(
    count: int, ax: Floats, ay: Floats, az: Floats, bx: Floats, by: Floats, bz: Floats, before: Floats, after: Floats,
    cosine: Floats,
) -> None:
    for n in range(count):
        a, b, c, p, q, r = ax[n], ay[n], az[n], bx[n], by[n], bz[n]
        la, lb = math.sqrt(a * a + b * b + c * c), math.sqrt(p * p + q * q + r * r)
        before[n], after[n] = la, lb
        cosine[n] = (a * p + b * q + c * r) / (la * lb + 1e-300)


@lean
def _gather(links: Ints, p: Floats, c: Floats, m: Model, s: State) -> int:
    """What contacts see before they slide; how many there are."""
    o, home, owner, count = s.of_slots, m.of_slots[HOME], s.owner, 0
    for k in range(len(m.kind)):
        if s.on[k] == 1 and m.kind[k] != TAPE:
            links[count] = k
            count += 1
    for n in range(count):
        i = s.slave[links[n]]
        here, left, right = o[S, i], o[S, i - 1], o[S, i + 1]
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
        c[HERE, n], c[LEFT, n], c[RIGHT, n], c[LOW, n], c[HIGH, n] = here, left, right, min(low, here), max(high, here)
        c[NEAR_LEFT, n], c[NEAR_RIGHT, n] = HAND_OVER * before, HAND_OVER * after
        c[HELD_BY, n] = m.of_links[DRAG, links[n]]
        x, y, z = o[X, i], o[X + 1, i], o[X + 2, i]
        c[WAY_TO, n], c[WAY_TO + 1, n], c[WAY_TO + 2, n] = x - o[X, i - 1], y - o[X + 1, i - 1], z - o[X + 2, i - 1]
        c[WAY_ON, n], c[WAY_ON + 1, n], c[WAY_ON + 2, n] = o[X, i + 1] - x, o[X + 1, i + 1] - y, o[X + 2, i + 1] - z
    _turns(
        count, c[WAY_TO], c[WAY_TO + 1], c[WAY_TO + 2], c[WAY_ON], c[WAY_ON + 1], c[WAY_ON + 2], p[SIZE],
        p[SIZE][count:], c[COSINE],
    )  # fmt: skip
    for side in range(2):
        for n in range(count):
            i, j = s.slave[links[n]] - 1 + side, n + side * count
            line, q0, q1, q2 = m.line[i], o[Q, i], o[Q + 1, i], o[Q + 2, i]
            p[SLACK, j] = slack_strain(m.slack_strain, line, q0, q1, q2)
            p[Q0, j], p[Q1, j], p[Q2, j], p[SLOPE, j] = q0, q1, q2, m.tables[1, line, 0]
            p[EA, j], p[LIVES, j] = m.of_slots[STIFF, i], o[ALIVE, i]
    return count


@apart
def _lengths(count: int, here: Floats, left: Floats, right: Floats, before: Floats, after: Floats) -> None:
    for n in range(count):
        before[n], after[n] = here[n] - left[n], right[n] - here[n]


@apart
def _strains(
    count: int, rest: Floats, size: Floats, slack: Floats, slope: Floats, strain: Floats, pull: Floats
) -> None:
    for j in range(count):
        e = size[j] / rest[j] - 1.0
        e = e if e > slack[j] else slack[j]
        strain[j], pull[j] = e, slope[j] * e


@apart
def _branches(
    count: int, share0: float, share1: float, share2: float, strain: Floats, slack: Floats, q0: Floats, q1: Floats,
    q2: Floats, stiff: Floats, lives: Floats, pull: Floats,
) -> None:
    for j in range(count):
        e = strain[j]
        own = pull[j] + stiff[j] * (share0 * (e - q0[j]) + share1 * (e - q1[j]) + share2 * (e - q2[j]))
        own = own * lives[j] if own > 0.0 else 0.0
        pull[j] = own if e > slack[j] else 0.0


@lean
def _tensions(count: int, links: Ints, p: Floats, c: Floats, m: Model, s: State) -> None:
    """Tension beside every contact where it is now, without the mesh's viscosity."""
    _lengths(count, c[HERE], c[LEFT], c[RIGHT], p[REST], p[REST][count:])
    _strains(2 * count, p[REST], p[SIZE], p[SLACK], p[SLOPE], p[STRAIN], p[PULL])
    if m.tables.shape[2] > 1:
        for j in range(2 * count):
            line = m.line[s.slave[links[j if j < count else j - count]]]
            p[PULL, j], p[SLOPE, j], _ = law(m.tables, m.per_strain[line], line, p[STRAIN, j])
    share = m.branches[0]
    _branches(
        2 * count, share[0], share[1], share[2], p[STRAIN], p[SLACK], p[Q0], p[Q1], p[Q2], p[EA], p[LIVES], p[PULL]
    )


@lean
def grip(friction: float, cosine: float) -> float:
    """exp(friction x angle) - 1, friction's factor on the lesser tension of a line that turns by an angle."""
    bend = 2.0 - 2.0 * cosine
    if 0.0 < bend < GENTLE and friction < 1.0:
        angle = math.sqrt(bend) * (1.0 + bend * (1.0 / 24.0 + bend * (3.0 / 640.0 + bend * (5.0 / 7168.0))))
        x = friction * angle
        if x < GENTLE:
            return x * (1.0 + 0.5 * x * (1.0 + x / 3.0 * (1.0 + 0.25 * x * (1.0 + 0.2 * x))))
    return math.exp(friction * math.acos(min(max(cosine, -1.0), 1.0))) - 1.0


@lean
def _frictions(count: int, links: Ints, p: Floats, c: Floats, m: Model) -> None:
    """Factor on the lesser tension, of every contact that may slide."""
    for n in range(count):
        jump = abs(p[PULL, n] - p[PULL, n + count])
        c[GRIP, n] = grip(m.of_links[FRICTION, links[n]], c[COSINE, n]) if jump > c[HELD_BY, n] else 0.0


@apart
def _slopes(
    count: int, shares: float, slope: Floats, stiff: Floats, strain: Floats, rest: Floats, pull: Floats, soft: Floats
) -> None:
    for j in range(count):
        by = (slope[j] + stiff[j] * shares) * (1.0 + strain[j]) / rest[j]
        soft[j] = by if pull[j] > 0.0 else 0.0


@apart
def _steps(
    count: int, ta: Floats, tb: Floats, grip: Floats, drag: Floats, before: Floats, after: Floats, soft: Floats,
    softer: Floats, low: Floats, high: Floats, here: Floats,
) -> int:  # fmt: skip
    moved = 0
    for n in range(count):
        hold, jump = (ta[n] if ta[n] < tb[n] else tb[n]) * grip[n] + drag[n], ta[n] - tb[n]
        size, limit = abs(jump), MOST_SLIDE * (before[n] + after[n])
        over = size - hold if size > hold * (1.0 + CLOSE) + NEARLY else 0.0
        way = (over if jump > 0.0 else -over) / (soft[n] + softer[n] + 1e-300)
        way = way if way > -limit else -limit
        to = here[n] + (way if way < limit else limit)
        to = to if to > low[n] else low[n]
        to = to if to < high[n] else high[n]
        moved += 1 if to != here[n] else 0
        here[n] = to
    return moved


@lean
def _newton(count: int, p: Floats, c: Floats, m: Model) -> int:
    """One step of every contact that is not within its friction; how many moved."""
    shares = m.branches[0, 0] + m.branches[0, 1] + m.branches[0, 2]
    _slopes(2 * count, shares, p[SLOPE], p[EA], p[STRAIN], p[REST], p[PULL], p[SOFT])
    return _steps(
        count, p[PULL], p[PULL][count:], c[GRIP], c[HELD_BY], p[REST], p[REST][count:], p[SOFT], p[SOFT][count:],
        c[LOW], c[HIGH], c[HERE],
    )  # fmt: skip


@apart
def _works(
    count: int, share0: float, share1: float, share2: float, strain: Floats, slope: Floats, q0: Floats, q1: Floats,
    q2: Floats, stiff: Floats, lives: Floats, pull: Floats, work: Floats,
) -> None:
    for j in range(count):
        e = strain[j]
        d0, d1, d2 = e - q0[j], e - q1[j], e - q2[j]
        more = 0.5 * stiff[j] * (share0 * d0 * d0 + share1 * d1 * d1 + share2 * d2 * d2)
        work[j] = (0.5 * slope[j] * e * e + more) * lives[j] - (1.0 + e) * pull[j]


@lean
def _energies(count: int, links: Ints, p: Floats, m: Model, s: State) -> None:
    """What a metre that leaves a piece takes along: the derivative of its energy by its length, w - (1 + e) T."""
    share = m.branches[0]
    _works(
        2 * count, share[0], share[1], share[2], p[STRAIN], p[SLOPE], p[Q0], p[Q1], p[Q2], p[EA], p[LIVES], p[PULL],
        p[WORK],
    )  # fmt: skip
    if m.tables.shape[2] > 1:
        for j in range(2 * count):
            line, e = m.line[s.slave[links[j if j < count else j - count]]], p[STRAIN, j]
            work = law(m.tables, m.per_strain[line], line, e)[2]
            p[WORK, j] += (work - 0.5 * p[SLOPE, j] * e * e) * p[LIVES, j]


@lean
def _out_of_order(at: Floats, alive: Floats, home: Floats, owner: Ints, i: int, side: int) -> bool:
    """Whether `keep_in_order` has something to do on one side of a contact: many rest at what they cannot pass."""
    j, ahead = i + side, i if side == 1 else i - 1
    gap = side * (home[j] - home[i])
    if side * (at[j] - at[i]) >= HAND_OVER * gap:
        return False
    stops = owner[j] == FREE or alive[ahead] == 0.0 or side * (at[i] - (at[j] - side * kept(gap))) > 0.0
    return bool(stops)


@lean
def slide(links: Ints, p: Floats, c: Floats, m: Model, s: State) -> bool:
    """Contacts run until the difference of tension is within their friction; whether one comes near a neighbour.

    Each finds its way with its neighbours where they were, so that the order does not matter.
    """
    count = _gather(links, p, c, m, s)
    if count == 0:
        return False
    at, alive, home, owner = s.of_slots[S], s.of_slots[ALIVE], m.of_slots[HOME], s.owner
    for number in range(TRIES + 1):
        _tensions(count, links, p, c, m, s)
        if number == 0:
            _frictions(count, links, p, c, m)
        if number == TRIES or _newton(count, p, c, m) == 0:
            break
    _energies(count, links, p, m, s)
    shared = False
    for n in range(count):
        i = s.slave[links[n]]
        if owner[i - 1] == RUNNING or owner[i + 1] == RUNNING:
            # Two contacts that both draw on the piece between them take half each.
            c[HERE, n], shared = at[i] + 0.5 * (c[HERE, n] - at[i]), True
        c[HERE, n], at[i] = c[HERE, n] - at[i], c[HERE, n]
    # What it costs is the jump of energy times the way; as forces act at the ends of a step, so does the jump.
    near_by = 0
    for n in range(count):
        k = links[n]
        i, way, passing = s.slave[k], c[HERE, n], p[WORK, n + count] - p[WORK, n]
        if shared and (owner[i - 1] == RUNNING or owner[i + 1] == RUNNING):  # The other one may have moved as well.
            passing = jump_at(m, s, i)
        s.of_links[SLID, k] += abs(way)
        s.lost[BY_FRICTION] += 0.5 * (s.of_links[JUMP, k] + passing) * way
        s.of_links[JUMP, k] = passing
        near_by += 1 if at[i] - c[LEFT, n] < c[NEAR_LEFT, n] or c[RIGHT, n] - at[i] < c[NEAR_RIGHT, n] else 0
    if near_by == 0 and not shared:
        return False
    for n in range(count):
        i = s.slave[links[n]]
        if _out_of_order(at, alive, home, owner, i, 1) or _out_of_order(at, alive, home, owner, i, -1):
            return True
    return False

"""The same steps as `linescope.motion.kernel`, with NumPy: what runs where nothing compiles.

Operation for operation the same, so that both agree to rounding until that has grown.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.compiled import plain
from linescope.motion import kernel
from linescope.motion.arrays import (
    AIR,
    ALIVE,
    BACKUP_A,
    BACKUP_B,
    BODY_HEIGHT,
    BRANCHES,
    BY_FRICTION,
    CHANNELS,
    CUT_TIME,
    DAMPED_RATE,
    DRAG,
    EXTRA,
    FORCE,
    FREE,
    FRICTION,
    HOME,
    INVERSE,
    JUMP,
    LEAST,
    LENGTH,
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
    OTHER,
    RATE,
    RATE_BEFORE,
    RAW_MOST,
    RAW_TIME,
    RHO,
    RING,
    RING_HEIGHT,
    RUNNING,
    SLID,
    STIFF,
    STRENGTH,
    SUM,
    TAPE,
    TAPE_FORCE,
    TAPE_LAG,
    TAPE_MOST,
    TENSION,
    TOTAL,
    VISCOUS,
    Floats,
    Ints,
    Log,
    Model,
    Q,
    S,
    State,
    U,
)
from linescope.motion.contacts import HAND_OVER, NEAREST, STOPS, energies, keep_in_order, part, parted
from linescope.motion.ground import touch, touch_space
from linescope.motion.kernel import fail_all
from linescope.motion.rows import relaxing
from linescope.motion.sliding import CLOSE, MOST_SLIDE, NEARLY, TRIES
from linescope.motion.sliding import grip as contact_grip
from linescope.rig.atmosphere import STANDARD_GRAVITY as G

air_at, body, grip_of = plain(kernel.air_at), plain(kernel.body), plain(contact_grip)


def _law(m: Model, line: Ints, e: Floats) -> tuple[Floats, Floats, Floats]:
    per = m.per_strain[line]
    cell = np.minimum((e * per).astype(np.int64), m.tables.shape[2] - 1)
    rest = e - cell / per
    pull, stiff = m.tables[0, line, cell], m.tables[1, line, cell]
    return pull + stiff * rest, stiff, m.tables[2, line, cell] + rest * (pull + 0.5 * stiff * rest)


def _slack(m: Model, line: Ints, q: Floats) -> Floats:
    share = m.slack_strain
    return np.asarray(share[line, 0] * q[0] + share[line, 1] * q[1] + share[line, 2] * q[2])


def pieces(dt: float, b: Floats, m: Model, s: State) -> None:
    """Directions, lengths and tensions of all pieces; `b` is by `relaxing`."""
    n, o = m.slots - 1, s.of_slots
    way = s.x[:, 1 : n + 1] - s.x[:, :n]
    size = np.sqrt(way[0] * way[0] + way[1] * way[1] + way[2] * way[2]) + 1e-300
    u = way * (1.0 / size)
    o[LENGTH, :n], o[U : U + 3, :n] = size, u
    gain = s.v[:, 1 : n + 1] - s.v[:, :n]
    rate = o[RATE]
    rate[:n] = gain[0] * u[0] + gain[1] * u[1] + gain[2] * u[2]
    rest = o[S][1 : n + 1] - o[S][:n]
    strain = size / rest - 1.0
    least = _slack(m, m.line[:n], o[Q : Q + 3, :n])
    taut = strain > least
    e = np.where(taut, strain, least)
    damped_rate = o[DAMPED_RATE]
    damped_rate[:n] = rate[:n]
    at = s.slave[(s.on == 1) & (m.kind != TAPE)]
    both = (o[TENSION, at - 1] > 0.0) & (o[TENSION, at] > 0.0)  # A step ago.
    alone = (s.owner[at - 1] != RUNNING) & (s.owner[at + 1] != RUNNING)
    damped_rate[at - 1] = damped_rate[at] = np.where(both & alone, 0.5 * (rate[at - 1] + rate[at]), 0.0)
    if m.tables.shape[2] == 1:
        pull = m.tables[1, m.line[:n], 0] * e
    else:
        pull = _law(m, m.line[:n], e)[0]
    stiff, alive = m.of_slots[STIFF, :n], o[ALIVE, :n]
    d = [e - o[Q + j, :n] for j in range(BRANCHES)]
    for j in range(BRANCHES):
        o[Q + j, :n] += d[j] * b[1, j]
    share, lost = b[0], b[2]
    taken = share[0] * d[0] * d[0] * lost[0] + share[1] * d[1] * d[1] * lost[1] + share[2] * d[2] * d[2] * lost[2]
    o[LOST_BRANCH, :n] += 0.5 * stiff * rest * alive * taken
    follow = [share[j] * (e - o[Q + j, :n]) for j in range(BRANCHES)]
    pull = pull + stiff * (follow[0] + follow[1] + follow[2])
    total = pull + m.of_slots[VISCOUS, :n] * damped_rate[:n]
    total = np.where((total > 0.0) & taut, total * alive, 0.0)
    o[LOST_VISCOUS, :n] += o[OTHER, :n] * 0.5 * (o[RATE_BEFORE, :n] + rate[:n]) * dt
    o[OTHER, :n] = np.where(taut, total - pull * alive, 0.0)
    o[RATE_BEFORE, :n] = rate[:n]
    o[TENSION, :n] = total


def pulls(dt: float, wind: Floats, m: Model, s: State) -> None:
    """Forces of pieces, air and weight on every slot."""
    n, o = m.slots - 1, s.of_slots
    force = o[FORCE : FORCE + 3]
    force[:] = 0.0
    u, mean = o[U : U + 3, :n], 0.5 * (s.v[:, :n] + s.v[:, 1 : n + 1])
    r = mean - wind[:, None]
    along = r[0] * u[0] + r[1] * u[1] + r[2] * u[2]
    r = r - along * u
    rest = o[S][1 : n + 1] - o[S][:n]
    c, mass = m.of_slots[AIR, :n] * np.sqrt(r[0] * r[0] + r[1] * r[1] + r[2] * r[2]), m.of_slots[RHO, :n]
    air = -0.5 * rest * c * mass / (mass + c * dt) * r
    o[LOST_AIR, :n] -= 2.0 * (air[0] * mean[0] + air[1] * mean[1] + air[2] * mean[2]) * dt
    pull = o[TENSION, :n] * u
    before = np.zeros((3, n))
    before[:, 1:] = air[:, :-1] - pull[:, :-1]
    force[:, :n] += pull + air + before
    force[:, n] += air[:, -1] - pull[:, -1]
    force[2] -= (o[MASS] + m.of_slots[EXTRA]) * G


def gather(m: Model, s: State) -> None:
    """Forces on slaves act on their masters."""
    on = s.on == 1
    force = s.of_slots[FORCE : FORCE + 3]
    np.add.at(force.T, m.master[on], force[:, s.slave[on]].T)


def tapes(dt: float, m: Model, s: State) -> bool:
    """Force that each tape carries between the lines, averaged; whether one is above its strength."""
    o, force = s.of_slots, s.of_slots[FORCE : FORCE + 3]
    mine = np.flatnonzero((s.on == 1) & (m.kind != RING))
    i, j = s.slave[mine], m.master[mine]
    carried = o[MASS, i] * force[:, j] * o[INVERSE, j] - force[:, i]
    kept = s.of_links[TAPE_FORCE : TAPE_FORCE + 3, mine]
    kept = kept + (carried - kept) * min(1.0, dt / m.numbers[TAPE_LAG])
    s.of_links[TAPE_FORCE : TAPE_FORCE + 3, mine] = kept
    size = np.sqrt(kept[0] * kept[0] + kept[1] * kept[1] + kept[2] * kept[2])
    s.of_links[TAPE_MOST, mine] = np.maximum(s.of_links[TAPE_MOST, mine], size)
    return bool(np.any(size > m.of_links[STRENGTH, mine]))


def kick(dt: float, m: Model, s: State) -> None:
    """Forces change speeds."""
    s.v[:] += dt * s.of_slots[INVERSE] * s.of_slots[FORCE : FORCE + 3]


def drift(dt: float, m: Model, s: State) -> None:
    """Speeds change places; slaves go where their masters go."""
    on = s.on == 1
    slaves, masters = s.slave[on], m.master[on]
    s.v[:, slaves] = s.v[:, masters]
    s.x[:] += dt * s.v
    s.x[:, slaves] = s.x[:, masters]


def _beside(m: Model, s: State, i: Ints, strain: Floats, rest: Floats) -> tuple[Floats, Floats, Floats]:
    q, share = s.of_slots[Q : Q + 3][:, i], m.branches[0]
    least = _slack(m, m.line[i], q)
    taut = strain > least
    e = np.where(taut, strain, least)
    pull, slope, work = _law(m, m.line[i], e)
    inner, stored, total = np.zeros_like(e), np.zeros_like(e), 0.0
    for j in range(BRANCHES):
        inner = inner + share[j] * (e - q[j])
        stored = stored + share[j] * (e - q[j]) * (e - q[j])
        total += share[j]
    stiff, alive = m.of_slots[STIFF, i], s.of_slots[ALIVE, i]
    pull = pull + stiff * inner
    pull = np.where((pull > 0.0) & taut, pull, 0.0)
    energy = work + 0.5 * stiff * stored - (1.0 + e) * pull
    return pull * alive, (slope + stiff * total) * (1.0 + e) / rest, energy * alive


def _kept(gap: Floats) -> Floats:
    return np.minimum(NEAREST * gap, STOPS)


def _out_of_order(m: Model, s: State, i: Ints, side: int) -> NDArray[np.bool_]:
    at, home, j = s.of_slots[S], m.of_slots[HOME], i + side
    gap = side * (home[j] - home[i])
    beyond = side * (at[i] - (at[j] - side * _kept(gap))) > 0.0
    stops = (s.owner[j] == FREE) | (s.of_slots[ALIVE, i if side == 1 else i - 1] == 0.0) | beyond
    return np.asarray((side * (at[j] - at[i]) < HAND_OVER * gap) & stops)


def slide(m: Model, s: State) -> bool:
    """Contacts run until the difference of tension is within their friction; whether one comes near a neighbour."""
    mine = np.flatnonzero((s.on == 1) & (m.kind != TAPE))
    if not len(mine):
        return False
    i = s.slave[mine]
    a, b = s.x[:, i] - s.x[:, i - 1], s.x[:, i + 1] - s.x[:, i]
    la = np.sqrt(a[0] * a[0] + a[1] * a[1] + a[2] * a[2])
    lb = np.sqrt(b[0] * b[0] + b[1] * b[1] + b[2] * b[2])
    cosine = (a[0] * b[0] + a[1] * b[1] + a[2] * b[2]) / (la * lb + 1e-300)
    # By the same function as there: NumPy has its own, whose last digit may differ, and contacts make much of it.
    grip = np.array([grip_of(*each) for each in zip(m.of_links[FRICTION, mine], cosine, strict=True)])
    at, home, before, after = s.of_slots[S], m.of_slots[HOME], s.owner[i - 1], s.owner[i + 1]
    old, left, right = at[i], at[i - 1], at[i + 1]
    gap, next_gap = home[i] - home[i - 1], home[i + 1] - home[i]
    low = np.where(before == FREE, left, left + _kept(gap))
    low = np.where(before == RUNNING, np.maximum(old + 0.5 * (low - old), home[i - 1] + HAND_OVER * gap), low)
    high = np.where(after == FREE, right, right - _kept(next_gap))
    high = np.where(
        after == RUNNING, np.minimum(old + 0.5 * (high - old), home[i + 1] - HAND_OVER * next_gap), high
    )
    low, high = np.minimum(low, old), np.maximum(high, old)
    here, passing = old.copy(), np.zeros(len(i))
    open_ = np.ones(len(i), dtype=bool)
    shared = (before == RUNNING) | (after == RUNNING)
    for number in range(TRIES + 2):
        last = number == TRIES + 1
        if last:  # Two contacts that both draw on the piece between them take half each.
            open_ = shared & (here != old)
            here = np.where(open_, old + 0.5 * (here - old), here)
        ra, rb = here - left, right - here
        ta, ka, wa = _beside(m, s, i - 1, la / ra - 1.0, ra)
        tb, kb, wb = _beside(m, s, i, lb / rb - 1.0, rb)
        passing = np.where(open_, wb - wa, passing)
        if last:
            break
        hold = np.where(ta < tb, ta, tb) * grip + m.of_links[DRAG, mine]
        jump = ta - tb
        open_ &= ~(np.abs(jump) <= hold * (1.0 + CLOSE) + NEARLY)
        if number == TRIES or not open_.any():
            continue
        over = np.where(jump > 0.0, jump - hold, jump + hold)
        soft = np.where(ta > 0.0, ka, 0.0) + np.where(tb > 0.0, kb, 0.0)
        limit = MOST_SLIDE * (ra + rb)
        step = np.clip(over / np.where(open_, soft, 1.0), -limit, limit)
        here = np.where(open_, np.minimum(np.maximum(here + step, low), high), here)
    at[i] = here
    way = here - old
    size, rest = np.sqrt(np.sum(np.diff(s.x[:, : m.slots], axis=1) ** 2, axis=0)), np.diff(at[: m.slots])
    for place in np.flatnonzero(shared):  # The other one may have moved as well.
        both = i[place] - np.array([1, 0])
        leaving = _beside(m, s, both, size[both] / rest[both] - 1.0, rest[both])[2]
        passing[place] = leaving[1] - leaving[0]
    s.of_links[SLID, mine] += np.abs(way)
    for amount in 0.5 * (s.of_links[JUMP, mine] + passing) * way:
        s.lost[BY_FRICTION] += amount
    s.of_links[JUMP, mine] = passing
    return bool(np.any(_out_of_order(m, s, i, 1) | _out_of_order(m, s, i, -1)))


def record(
    index: int, dt: float, per_short: int, per_frame: int, m: Model, s: State, seen: Floats, short: Floats, log: Log
) -> None:
    """What is kept of every step, and of every frame."""
    n, time, along = m.slots - 1, index * dt, log.along
    pull = s.of_slots[TENSION, :n]
    seen[MAIN_A], seen[MAIN_B], seen[BACKUP_A], seen[BACKUP_B] = pull[0], pull[m.main - 2], pull[m.main], pull[-1]
    seen[RING_HEIGHT], seen[BODY_HEIGHT] = s.x[2, m.slots], s.x[2, m.slots + 1]
    seen[MOST_MAIN], seen[MOST_BACKUP] = pull[: m.main - 1].max(), pull[m.main :].max()
    along[SUM, :n] += pull
    along[NOW_MOST, :n] = np.maximum(along[NOW_MOST, :n], pull)
    short[TOTAL] += seen
    short[MOST], short[LEAST] = np.maximum(short[MOST], seen), np.minimum(short[LEAST], seen)
    if (index + 1) % per_short == 0:
        short[TOTAL] /= per_short
        log.channels[:, :, index // per_short] = short
        short[TOTAL], short[MOST], short[LEAST] = 0.0, -np.inf, np.inf
        more = along[NOW_MOST, :n] > along[RAW_MOST, :n]
        along[RAW_MOST, :n][more] = along[NOW_MOST, :n][more]
        along[RAW_TIME, :n][more] = time
        along[NOW_MOST, :n] = 0.0
    if (index + 1) % (LONG * per_short) == 0:
        mean = along[SUM, :n] / (LONG * per_short)
        along[SUM, :n] = 0.0
        more = mean > along[MEAN_MOST, :n]
        along[MEAN_MOST, :n][more] = mean[more]
        along[MEAN_TIME, :n][more] = time
    if index % per_frame == 0:
        f = int(log.done[0])
        log.done[0] += 1
        log.time[f], log.frames[f, :3], log.frames[f, 3:6] = time, s.x, s.v
        log.frames[f, 6] = s.of_slots[TENSION]
        energies(m, s, 0.5 * dt, log.account[f])
        log.account[f, 4 : 4 + LOSSES] = s.lost
        log.account[f, 4 + LOSSES :] = s.of_slots[[LOST_VISCOUS, LOST_BRANCH, LOST_AIR]].sum(axis=1)


def advance(
    first: int, stop: int, dt: float, per_short: int, per_frame: int, m: Model, s: State, log: Log
) -> None:
    """Steps number `first` up to `stop`."""
    wind, seen, short = np.zeros(3), np.zeros(CHANNELS), np.zeros((3, CHANNELS))
    short[MOST], short[LEAST] = -np.inf, np.inf
    lead, listed, wait, far = touch_space(m)
    branches = relaxing(dt, m)
    for index in range(first, stop):
        time = index * dt
        if m.cut >= 0 and time >= m.numbers[CUT_TIME] and s.of_slots[ALIVE, m.cut] == 1.0:
            before, rubbed = part(m, s)
            near = slide(m, s)
            parted(m, s, before, rubbed)
            if near:
                keep_in_order(m, s)
        air_at(m, time, wind)
        pieces(dt, branches, m, s)
        pulls(dt, wind, m, s)
        gather(m, s)
        body(dt, time, wind, m, s, seen)
        gone = tapes(dt, m, s)
        record(index, dt, per_short, per_frame, m, s, seen, short, log)
        kick(dt, m, s)
        if len(lead) > 0:
            touch(index, dt, lead, listed, wait, far, m, s)
        drift(dt, m, s)
        if slide(m, s):
            keep_in_order(m, s)
        if gone:
            fail_all(time, m, s)

"""Ground that lines and feet come to in a run: they stop there without rebound, and friction brakes what slides.

What may touch are *spots*: every slot, places between slots, and the lowest foot.  A spot within reach of the ground
has a plane: through the nearest place of the ground, square to the way from there.  A step may take no spot through
its plane: the speed towards it is cut down to what is left, after the forces have acted and before places move.  So
nothing goes in and has to be pushed out again, and the work of the ground's push is known.

What is farther from the ground than it can come in a few steps is looked at again only when it may be near.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from linescope.compiled import compiled, lean
from linescope.motion.arrays import (
    ALIVE,
    BY_LANDING,
    FORCE,
    GROUND_FRICTION,
    HANG,
    HELD,
    INVERSE,
    LEASH,
    SCRATCH,
    TIE_IN,
    TIE_START,
    Floats,
    GroundArrays,
    Ints,
    Model,
    State,
    V,
    X,
)
from linescope.terrain.tree import DEEP, Tree, near

BETWEEN = 3  # Spots in a piece, its first slot among them.
THICK = 0.01  # Nearer than this a spot does not come: about half of a webbing's width [m].
AFRESH = 0.005  # Way after which a plane is found anew [m].
LOOK_EVERY = 8  # Steps between looks at what is not near.
FASTEST = 100.0  # Nothing moves faster [m/s].
BEYOND = 2.0  # Farther from the ground than this its distance does not matter [m].
OUT = 0.05  # Speed at which a spot that is too near comes off [m/s].
BACK = -0.5  # Cosine of the turn of a normal, below which a spot is on the other side of the surface.

# Rows of `State.touching`: where the ground was looked for, the nearest place, the way out of it [-]; how far it was;
# 1 near, 0 far, -1 in the ground from the start and free in it; triangle; when it first touched [s].
SPOT, PLACE, OUTWARD, DISTANCE, NEAR, FACE, SINCE = 0, 3, 6, 9, 10, 11, 12
TOUCH_ROWS = 13


class Touchable(Protocol):
    """Ground made ready: `linescope.clearance.GroundIndex` is one."""

    @property
    def tree(self) -> Tree:
        """Its triangles about `centre`."""

    @property
    def centre(self) -> Floats:
        """(3,) [m]"""

    def inside(self, points: Floats) -> NDArray[np.bool_]:
        """Whether each of (n, 3) points [m] is in the ground."""


def nowhere() -> tuple[GroundArrays, Floats]:
    """No ground, and nothing that touches it."""
    none = np.zeros(0, dtype=np.int64)
    return GroundArrays(
        boxes=np.zeros((0, 6)), starts=none, corners=np.zeros((0, 9)), centre=np.zeros(3), slot=none,
        share=np.zeros(0),
    ), np.zeros((TOUCH_ROWS, 0))


def made_of(rock: Touchable, model: Model, state: State) -> tuple[GroundArrays, Floats]:
    """Ground for a run, and what may touch it as the run begins.

    What lies in the ground or on it from the start, as lines do where they come down to their anchors, is left alone.

    Parameters
    ----------
    rock : Touchable
    model : Model
    state : State
    """
    n = model.slots
    pieces = np.repeat(np.arange(n - 1), BETWEEN)
    share = np.tile(np.arange(BETWEEN) / BETWEEN, n - 1)
    ours = (pieces != model.main - 1) | (share == 0.0)  # Between the ends of both lines there is nothing.
    slot = np.concatenate((pieces[ours], [n - 1, n + 1]))
    share = np.concatenate((share[ours], [0.0, 0.0]))
    x, after = state.x, np.minimum(slot + 1, n + 1)
    places = ((1.0 - share) * x[:, slot] + share * x[:, after]).T
    places[-1, 2] -= model.numbers[TIE_IN]
    ground = GroundArrays(
        boxes=rock.tree.boxes, starts=rock.tree.starts, corners=rock.tree.corners, centre=rock.centre, slot=slot,
        share=share,
    )
    touching = np.zeros((TOUCH_ROWS, len(slot)))
    distance, touching[PLACE : PLACE + 3], _ = (each.T for each in rock.tree.distance(places - rock.centre))
    touching[PLACE : PLACE + 3] += rock.centre[:, None]
    touching[SPOT : SPOT + 3], touching[DISTANCE] = places.T, np.minimum(distance, BEYOND)
    touching[OUTWARD : OUTWARD + 3] = (places.T - touching[PLACE : PLACE + 3]) / np.maximum(distance, 1e-12)
    left_alone = rock.inside(places) | (distance <= THICK)
    left_alone[-1] |= model.of_slots[HELD, n + 1] == 1.0
    touching[NEAR] = np.where(left_alone, -1.0, 0.0)
    touching[SINCE] = np.nan
    return ground, touching


@dataclass(frozen=True, eq=False, kw_only=True)
class Touched:
    """What came to the ground in a run.

    Attributes
    ----------
    feet : float
        When the lowest foot did; nan: it did not.  [s]
    feet_free : bool
        Whether it was in the ground from the start, so that nothing stopped it.
    time : (k,) array
        When places of the lines first did.  [s]
    slot, share : (k,) arrays
        Where they are on the lines: in the piece after a slot, which share of it.  [-]
    """

    feet: float
    feet_free: bool
    time: Floats
    slot: Ints
    share: Floats


def touched(model: Model, final: State) -> Touched:
    """What came to the ground in a run.

    Parameters
    ----------
    model : Model
    final : State
        As the run ended.
    """
    since = final.touching[SINCE]
    lines = np.flatnonzero(np.isfinite(since[:-1]))
    return Touched(
        feet=float(since[-1]) if len(since) else math.nan,
        feet_free=bool(len(since) and final.touching[NEAR, -1] < 0.0),
        time=since[lines].copy(), slot=model.ground.slot[lines], share=model.ground.share[lines],
    )


# Functions below take few arrays: handing over a whole model costs more than what they do.


@lean
def _legs(numbers: Floats, height: float) -> float:
    """How far the lowest foot is below the tie-in point: legs come down as he falls, from standing to hanging."""
    fallen = (numbers[TIE_START] - height) / (numbers[LEASH] + numbers[TIE_IN])
    fallen = min(max(fallen, 0.0), 1.0)
    return float(numbers[TIE_IN] + fallen * (numbers[HANG] - numbers[TIE_IN]))


@compiled
def _find(
    k: int, x: float, y: float, z: float, guard: float, boxes: Floats, starts: Ints, corners: Floats, centre: Floats,
    t: Floats, wait: Ints, far: Floats,
) -> None:
    """The ground nearest to a spot at a place."""
    was_near = t[NEAR, k] == 1.0
    t[SPOT, k], t[SPOT + 1, k], t[SPOT + 2, k] = x, y, z
    x, y, z = x - centre[0], y - centre[1], z - centre[2]
    d, face, px, py, pz = near(boxes, starts, corners, x, y, z, BEYOND * BEYOND, int(t[FACE, k]), wait, far)
    if face < 0:
        t[DISTANCE, k], t[NEAR, k] = BEYOND, 0.0
        return
    d = math.sqrt(d)
    size = d if d > 1e-12 else 1e-12
    nx, ny, nz = (x - px) / size, (y - py) / size, (z - pz) / size
    if was_near and d < THICK and nx * t[OUTWARD, k] + ny * t[OUTWARD + 1, k] + nz * t[OUTWARD + 2, k] < BACK:
        nx, ny, nz, d = -nx, -ny, -nz, -d
    t[PLACE, k], t[PLACE + 1, k], t[PLACE + 2, k] = px + centre[0], py + centre[1], pz + centre[2]
    t[OUTWARD, k], t[OUTWARD + 1, k], t[OUTWARD + 2, k] = nx, ny, nz
    t[DISTANCE, k], t[FACE, k] = d, face
    t[NEAR, k] = 1.0 if d - THICK < guard else 0.0


@compiled
def _look(
    guard: float, legs: float, slots: Floats, slot: Ints, share: Floats, boxes: Floats, starts: Ints, corners: Floats,
    centre: Floats, t: Floats, listed: Ints, wait: Ints, far: Floats,
) -> int:
    """Lists what is near; how many there are."""
    count, last = 0, len(slot) - 1
    for k in range(last + 1):
        if t[NEAR, k] < 0.0:
            continue
        if t[NEAR, k] == 0.0:
            i, w = slot[k], share[k]
            j = i + 1 if w > 0.0 else i
            x = (1.0 - w) * slots[X, i] + w * slots[X, j]
            y = (1.0 - w) * slots[X + 1, i] + w * slots[X + 1, j]
            z = (1.0 - w) * slots[X + 2, i] + w * slots[X + 2, j]
            z = z - legs if k == last else z
            a, b, c, free = x - t[SPOT, k], y - t[SPOT + 1, k], z - t[SPOT + 2, k], t[DISTANCE, k] - THICK - guard
            if free <= 0.0 or a * a + b * b + c * c > free * free:
                _find(k, x, y, z, guard, boxes, starts, corners, centre, t, wait, far)
        if t[NEAR, k] == 1.0:
            listed[count] = k
            count += 1
    return count


@compiled
def _stop(
    time: float, dt: float, friction: float, legs: float, count: int, slots: Floats, slot: Ints, share: Floats,
    boxes: Floats, starts: Ints, corners: Floats, centre: Floats, t: Floats, listed: Ints, lead: Ints, wait: Ints,
    far: Floats,
) -> None:
    """What is near goes no farther than onto the ground."""
    inverse, alive, last = slots[INVERSE], slots[ALIVE], len(slot) - 1
    guard = LOOK_EVERY * dt * FASTEST
    for number in range(count):
        k = listed[number]
        i, w = slot[k], share[k]
        if w > 0.0 and alive[i] == 0.0:
            continue
        j = i + 1 if w > 0.0 else i
        x = (1.0 - w) * slots[X, i] + w * slots[X, j]
        y = (1.0 - w) * slots[X + 1, i] + w * slots[X + 1, j]
        z = (1.0 - w) * slots[X + 2, i] + w * slots[X + 2, j]
        z = z - legs if k == last else z
        ax, ay, az = x - t[SPOT, k], y - t[SPOT + 1, k], z - t[SPOT + 2, k]
        moved, free = ax * ax + ay * ay + az * az, t[DISTANCE, k] - THICK - dt * FASTEST
        if free > 0.0 and moved < free * free:
            continue
        if moved > AFRESH * AFRESH:
            _find(k, x, y, z, guard, boxes, starts, corners, centre, t, wait, far)
            if t[NEAR, k] != 1.0:
                continue
        a, b = lead[i], lead[j]
        ia, ib = (1.0 - w) * inverse[a], w * inverse[b]
        soft = (1.0 - w) * ia + w * ib if a != b else inverse[a]
        if soft == 0.0:
            continue
        nx, ny, nz = t[OUTWARD, k], t[OUTWARD + 1, k], t[OUTWARD + 2, k]
        gap = (x - t[PLACE, k]) * nx + (y - t[PLACE + 1, k]) * ny + (z - t[PLACE + 2, k]) * nz - THICK
        vx = (1.0 - w) * slots[V, a] + w * slots[V, b]
        vy = (1.0 - w) * slots[V + 1, a] + w * slots[V + 1, b]
        vz = (1.0 - w) * slots[V + 2, a] + w * slots[V + 2, b]
        speed, least = vx * nx + vy * ny + vz * nz, min(-gap / dt, OUT)
        if speed >= least:
            continue
        if math.isnan(t[SINCE, k]):
            t[SINCE, k] = time
        push = least - speed
        vx, vy, vz = vx - speed * nx, vy - speed * ny, vz - speed * nz
        along = math.sqrt(vx * vx + vy * vy + vz * vz)
        slow = min(friction * push / along, 1.0) if along > 0.0 else 0.0
        vx, vy, vz = push * nx - slow * vx, push * ny - slow * vy, push * nz - slow * vz
        ia, ib = ia / soft, ib / soft
        if a == b:
            ia, ib = 1.0, 0.0
        slots[V, a] += ia * vx
        slots[V + 1, a] += ia * vy
        slots[V + 2, a] += ia * vz
        slots[V, b] += ib * vx
        slots[V + 1, b] += ib * vy
        slots[V + 2, b] += ib * vz


@compiled
def touch_space(m: Model) -> tuple[Ints, Ints, Ints, Floats]:
    """Room for `touch`: who leads each slot, and how many spots are near; which; what waits in a search."""
    c = len(m.ground.slot)
    n = m.slots + 3 if c > 0 else 0
    return np.zeros(n, dtype=np.int64), np.zeros(c, dtype=np.int64), np.zeros(DEEP, dtype=np.int64), np.zeros(DEEP)


@compiled
def touch(index: int, dt: float, lead: Ints, listed: Ints, wait: Ints, far: Floats, m: Model, s: State) -> None:
    """Speeds towards the ground are cut down to what brings a spot onto it in this step, and no farther."""
    g, t, slots, n = m.ground, s.touching, s.of_slots, m.slots + 2
    legs = _legs(m.numbers, slots[X + 2, n - 1])
    if index % LOOK_EVERY == 0:
        lead[n] = _look(
            LOOK_EVERY * dt * FASTEST, legs, slots, g.slot, g.share, g.boxes, g.starts, g.corners, g.centre, t, listed,
            wait, far,
        )
    if lead[n] == 0:
        return
    for i in range(n):
        lead[i] = i
    for k in range(len(m.kind)):
        if s.on[k] == 1:
            lead[s.slave[k]] = m.master[k]
    inverse, taken = slots[INVERSE], 0.0
    for c in range(3):
        v, before = slots[V + c], slots[SCRATCH + c]
        for i in range(n):
            before[i] = v[i]
    _stop(
        index * dt, dt, m.numbers[GROUND_FRICTION], legs, lead[n], slots, g.slot, g.share, g.boxes, g.starts, g.corners,
        g.centre, t, listed, lead, wait, far,
    )
    for c in range(3):
        v, before, force = slots[V + c], slots[SCRATCH + c], slots[FORCE + c]
        for i in range(n):
            change = v[i] - before[i]
            if change != 0.0:  # At the mean of the speeds before and after the step.
                taken += change / inverse[i] * (before[i] + 0.5 * (change - dt * inverse[i] * force[i]))
    s.lost[BY_LANDING] -= taken

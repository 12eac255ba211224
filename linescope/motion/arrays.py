"""The pair in motion as plain arrays: what stays the same during a run, and what changes.

Both lines lie in one row of *slots*, the main's first, from anchor A to anchor B; the ring and the body stand behind
them.  Slot i and slot i + 1 are the ends of piece i.  A slot has a home: its material coordinate on its line.

What holds slots together is a *link*: one slot, the slave, goes where the other, the master, goes.

- TAPE: a tape that holds both lines; its master is a slot of the main, its slave one of the backup.
- SLIDER: a tape through which one line runs.  Its slave is a slot of that line whose material coordinate is free.
- RING: the same for the leash ring, which runs on a line.

The types are named tuples of few arrays, since that is what both the compiled loops and NumPy take as they are; what
belongs to slots lies in the rows of one array.  The compiled loops take rows by number; the names below them are the
same rows for everybody else.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

BRANCHES = 3
TAPE, SLIDER, RING = 0, 1, 2
FREE, ANCHORED, RUNNING = 0, 1, 2  # Of a slot: nobody's, an anchor or a fixed tape, a contact that runs.

# Rows of `Model.of_slots`: home [m]; lumped mass of the line [kg]; of tapes, joints, ring and body [kg]; 1.0 where
# nothing moves; mass per metre of the piece [kg/m]; EA that branches and viscosity refer to [N]; nu sqrt(EA rho)
# [kg/s]; half of air density x C x width [kg/m^2].
HOME, MASS0, EXTRA, HELD, RHO, STIFF, VISCOUS, AIR = range(8)

# Rows of `State.of_slots`: place [m], speed in the middle of the step before [m/s], force [N], direction of the piece,
# strain that the branches have come to; material coordinate [m]; 1.0 for a whole piece; own mass [kg]; 1 / mass of
# what moves together, 0 where nothing moves by itself [1/kg]; of the piece: length [m], rate of stretching and the
# same as the mesh's viscosity sees it [m/s], tension and the part of it that is no potential's [N], rate before
# [m/s]; what was lost [J]; of the step alone: strain of the material, 1.0 where it is taut, tension without the mesh's
# viscosity [N], and room for the air's force [N].
X, V, FORCE, U, Q = 0, 3, 6, 9, 12
(
    S, ALIVE, MASS, INVERSE, LENGTH, RATE, DAMPED_RATE, TENSION, OTHER, RATE_BEFORE, LOST_VISCOUS, LOST_BRANCH,
    LOST_AIR, STRAIN, TAUT, PULL, SCRATCH,
) = range(15, 32)  # fmt: skip
STATE_ROWS = 34

# Rows of `Model.of_links`: friction [-], drag [N], strength [N].
FRICTION, DRAG, STRENGTH = range(3)
# Rows of `State.of_links`: averaged force on the slave [N], its largest size [N], when it failed [s], way slid [m],
# jump of the energy per unstretched metre that passes the contact, before and after a step [N].
TAPE_FORCE, TAPE_MOST, TAPE_TIME, SLID, JUMP, PASSING = 0, 3, 4, 5, 6, 7
LINK_ROWS = 8

# `Model.numbers`: length of the leash [m]; stiffness of leash and body in series, 0 without leash [N/m]; its damping
# [N s/m]; half of air density x drag area of the body [kg/m]; weight on the line that fades when he leaves [N], for
# how long [s], and height of the tie-in point over his feet [m]; force in phase with his speed over mass and speed
# [1/s]; when the main parts [s]; friction on the ground [-]; lowest foot below the body's point as he hangs, and height
# of that point at the start [m]; time over which a tape's force is averaged [s].
(
    LEASH, LEASH_STIFF, LEASH_VISCOUS, BODY_AIR, STANDING, LEAVING, TIE_IN, DRIVE, CUT_TIME, GROUND_FRICTION, HANG,
    TIE_START, TAPE_LAG,
) = range(13)  # fmt: skip
NUMBERS = 13

# What is lost, or given, in a run: index into `State.lost`.
BY_FRICTION, BY_REMESHING, BY_BREAKING, BY_LANDING, BY_LEASH, BY_BODY_AIR, BY_LEGS = range(7)
LOSSES = 7

# What is recorded all the time: index into `Log.channels`.
(ON_LEASH, MAIN_A, MAIN_B, BACKUP_A, BACKUP_B, MOST_MAIN, MOST_BACKUP, RING_HEIGHT, BODY_HEIGHT, ON_LINE) = range(10)
CHANNELS = 10
LONG = 10  # Short intervals in a long one.
TOTAL, MOST, LEAST = range(3)
# Rows of `Log.along`: sum in the long interval, largest mean and its time, largest at any step and the end of its short
# interval, largest in the short interval that runs.
SUM, MEAN_MOST, MEAN_TIME, RAW_MOST, RAW_TIME, NOW_MOST = range(6)


class GroundArrays(NamedTuple):
    """What stops lines and feet; c spots of them may touch it.  None: c = 0."""

    boxes: Floats  # These three are a `linescope.terrain.tree.Tree`'s.
    starts: Ints
    corners: Floats
    centre: Floats  # (3,) its origin [m]
    slot: Ints  # (c,) slot at or after which a spot lies; of the body its lowest foot
    share: Floats  # (c,) of the piece before it [-]


class Model(NamedTuple):
    """What does not change during a run.  n slots and two more: ring and body; L links."""

    main: int  # Number of slots of the main.
    slots: int  # Of both lines.
    cut: int  # Piece of the main that parts; -1: none.
    of_slots: Floats  # (8, n + 2)
    line: Ints  # (n + 2,) 0 main, 1 backup
    tables: Floats  # (3, 2, cells) tension at the start of each step of strain, slope, integral [N]
    per_strain: Floats  # (2,) steps per strain [-]
    branches: Floats  # (2, 3) stiffness of each branch over EA [-] and its time constant [s]
    slack_strain: Floats  # (2, 3) strain of a line without tension, over that which each branch has come to [-]
    kind: Ints  # (L,) TAPE, SLIDER or RING
    master: Ints  # (L,) slot
    of_links: Floats  # (3, L)
    numbers: Floats  # (NUMBERS,)
    wind: Floats  # (4, w) time [s] and velocity of the air [m/s]
    ground: GroundArrays

    def given(self, numbers: dict[int, float], **fields: Any) -> Model:
        """The same with other numbers and fields."""
        changed = self.numbers.copy()
        for index, value in numbers.items():
            changed[index] = value
        return self._replace(numbers=changed, **fields)


class State(NamedTuple):
    """What changes."""

    of_slots: Floats  # (STATE_ROWS, n + 2)
    of_links: Floats  # (LINK_ROWS, L)
    owner: Ints  # (n + 2,) FREE, ANCHORED or RUNNING
    slave: Ints  # (L,) slot
    on: Ints  # (L,) 1 while the link holds
    lost: Floats  # (LOSSES,) [J]
    touching: Floats  # (TOUCH_ROWS, c) of the ground's spots: see `linescope.motion.ground`

    @property
    def x(self) -> Floats:
        """(3, n + 2) places.  [m]"""
        return self.of_slots[X : X + 3]

    @property
    def v(self) -> Floats:
        """(3, n + 2) speeds.  [m/s]"""
        return self.of_slots[V : V + 3]

    def copy(self) -> State:
        """Another one of the same."""
        return State(
            of_slots=self.of_slots.copy(), of_links=self.of_links.copy(), owner=self.owner.copy(),
            slave=self.slave.copy(), on=self.on.copy(), lost=self.lost.copy(), touching=self.touching.copy(),
        )


class Log(NamedTuple):
    """What is kept of a run; b short intervals, f frames."""

    channels: Floats  # (3, CHANNELS, b) mean, largest, smallest
    along: Floats  # (6, n + 2) see `SUM`
    time: Floats  # (f,) [s]
    frames: Floats  # (f, 7, n + 2) places [m], speeds [m/s], tension [N]
    account: Floats  # (f, 4 + LOSSES + 3) kinetic, weight, elastic, branches; what was lost [J]
    done: Ints  # (1,) frames kept

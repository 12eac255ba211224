"""A leash fall, the loss of the main and the recoil of the line, each in time."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from linescope.errors import InputError
from linescope.motion.arrays import CUT_TIME, LEAVING, STANDING, State, V, X
from linescope.motion.ground import Touchable, made_of
from linescope.motion.inputs import RING_MASS, RunInputs
from linescope.motion.mesh import PER_BAY, Mesh, grid, mesh, stood
from linescope.motion.outcome import Outcome, outcome
from linescope.motion.run import FRAME, Motion, Way, run
from linescope.rig import Rig, Walker
from linescope.statics import Plan
from linescope.statics.assemble import G
from linescope.statics.solution import freeze

Floats = NDArray[np.float64]
Progress = Callable[[float], None]
PartsAt = Literal["anchor A", "anchor B", "beside him, to A", "beside him, to B"] | float

SHORTEST, LONGEST = 3.0, 8.0  # Of what is computed of a fall [s].
AFTER_A_BREAK = 6.0  # [s]
SINKS = 1.1  # Of gravity: what takes speed from him while he is below his ring, his weight and the air.


@dataclass(frozen=True, eq=False, kw_only=True)
class InTime:
    """Something that happened at a place.

    Attributes
    ----------
    what : {"leash fall", "main gone", "recoil"}
    rig : Rig
    at : float
        Distance from A along the straight line to B.  [m]
    choice : RunInputs
    parts_at : float
        Where the main parts, from A along it, unstretched; nan where it does not.  [m]
    outcome : Outcome
    motion : Motion
    """

    what: Literal["leash fall", "main gone", "recoil"]
    rig: Rig
    at: float
    choice: RunInputs
    parts_at: float
    outcome: Outcome
    motion: Motion


def walker_of(rig: Rig) -> Walker:
    """The rig's walker.

    Raises
    ------
    InputError
        When it has none.
    """
    if rig.walker is None:
        raise InputError("a fall needs a walker", key="walker", allowed="a walker with mass and leash")
    return rig.walker


def standing_mesh(
    planned: Plan, at: float, choice: RunInputs, *, per_bay: int = PER_BAY, leash: bool = True, feet: bool = False,
    air_share: float = 1.0,
) -> Mesh:  # fmt: skip
    """The rig with its walker standing at a place, ready to move.

    Parameters
    ----------
    planned : Plan
        Of a rig with a walker.
    at : float
        Distance from A along the straight line to B.  [m]
    choice : RunInputs
    per_bay : int
        Pieces in a bay of middling length.
    leash : bool
        Whether he hangs on a leash once he has left the line.
    feet : bool
        Whether he stays on the line.
    air_share : float
        Share of the width of strips that air pushes on.  [-]

    Raises
    ------
    InputError
        When the rig has no walker or the place lies outside the line.
    NoEquilibrium, SegmentNotSolved
    """
    rig = planned.rig
    walker = walker_of(rig)
    if not 0.0 < at < rig.span:
        raise InputError(
            "the place of a fall lies outside the line", key="at", found=f"{at:g} m",
            allowed=f"between 0 and {rig.span:.2f} m",
        )
    layout = planned.layout
    cut = grid(layout.tape_main, layout.tape_backup, (layout.main_length, layout.backup_length), per_bay)
    _, place = cut.ring(planned.walker_coordinate(at))
    solution = stood(planned, place, rig.with_walker_at(at))
    return mesh(
        solution, choice, cut=cut, ring=place, body=walker.mass - RING_MASS if leash and not feet else 0.0,
        feet_on=walker.mass if feet else 0.0, width_seen=air_share,
    )


def _long_enough(prepared: Mesh, at: float) -> float:
    """Free fall, down and most of the way up again, on a string pulled sideways.  [s]"""
    solution, rig = prepared.solution, prepared.solution.rig
    walker = walker_of(rig)
    pull = 0.5 * (solution.tension_a + solution.tension_b)
    stiff = pull * (1.0 / at + 1.0 / (rig.span - at))
    falling = math.sqrt(2.0 * (walker.leash + walker.tie_in_height) / G)
    return float(np.clip(falling + 0.8 * 2.0 * math.pi * math.sqrt(walker.mass / stiff), SHORTEST, LONGEST))


def on_ground(prepared: Mesh, ground: Touchable | None) -> Mesh:
    """The same over ground."""
    if ground is None:
        return prepared
    rock, touching = made_of(ground, prepared.model, prepared.state)
    return replace(prepared.given({}, ground=rock), state=prepared.state._replace(touching=touching))


def _happened(
    what: Literal["leash fall", "main gone", "recoil"], prepared: Mesh, at: float, choice: RunInputs, motion: Motion,
    parts_at: float = math.nan,
) -> InTime:  # fmt: skip
    result = InTime(
        what=what, rig=prepared.solution.rig, at=at, choice=choice, parts_at=parts_at, outcome=outcome(motion),
        motion=motion,
    )
    freeze(result)
    return result


def leash_fall_in_time(
    planned: Plan,
    at: float,
    *,
    choice: RunInputs | None = None,
    seconds: float | None = None,
    per_bay: int = PER_BAY,
    ground: Touchable | None = None,
    frame: float = FRAME,
    way: Way | None = None,
    to_lowest: bool = False,
    progress: Progress | None = None,
) -> InTime:
    """A walker who stands on the line leaves it and falls into his leash.

    Parameters
    ----------
    planned : Plan
        Of a rig with a walker.
    at : float
        Distance from A along the straight line to B.  [m]
    choice : RunInputs, optional
    seconds : float, optional
        Default: till he has come most of the way up again.  [s]
    per_bay : int
        Pieces in a bay of middling length.
    ground : Touchable, optional
        That lines and feet may come to, as `linescope.clearance.GroundIndex` has it; default none.
    frame : float
        Between two frames.  [s]
    way : {"compiled", "numpy"}, optional
    to_lowest : bool
        Whether it ends as soon as feet cannot come lower again in these seconds: what is told of them stays the same.
    progress : callable, optional
        Told the share done, 0 to 1; may raise to stop.

    Raises
    ------
    InputError, MotionNotClosed, NoEquilibrium, SegmentNotSolved
    """
    choice = RunInputs() if choice is None else choice
    prepared = standing_mesh(planned, at, choice, per_bay=per_bay)
    prepared = on_ground(_leaves(prepared, choice), ground)
    seconds = _long_enough(prepared, at) if seconds is None else seconds
    until = _Risen(prepared.model.slots, seconds) if to_lowest else None
    motion = run(prepared, seconds, frame=frame, way=way, progress=progress, until=until)
    return _happened("leash fall", prepared, at, choice, motion)


@dataclass
class _Risen:
    """Asked whether a body cannot come lower again than it was: it rises so fast that even thrown freely it does not
    till the end.  A leash pulls it up only, as long as it is below its ring."""

    ring: int  # Slot; the body's is the next one.
    seconds: float
    lowest: float = math.inf
    time: float = math.inf  # Of the last question: with a shorter step a run begins anew.

    def __call__(self, state: State, time: float) -> bool:
        heights, speed = state.of_slots[X + 2], float(state.of_slots[V + 2, self.ring + 1])
        height, left = float(heights[self.ring + 1]), self.seconds - time
        self.lowest = min(height, self.lowest) if time > self.time else height
        self.time = time
        # A parabola is lowest where it begins or ends.
        ends = height + speed * left - 0.5 * SINKS * G * left * left
        return height < heights[self.ring] and height > self.lowest and ends > self.lowest


def _leaves(prepared: Mesh, choice: RunInputs) -> Mesh:
    weight = walker_of(prepared.solution.rig).mass * G
    if choice.leaving <= 0.0:
        return prepared
    return prepared.given({STANDING: weight, LEAVING: choice.leaving})


def piece_that_parts(prepared: Mesh, planned: Plan, parts_at: PartsAt) -> int:
    """Piece of the main, counted from A.

    Parameters
    ----------
    prepared : Mesh
    planned : Plan
    parts_at : {"anchor A", "anchor B", "beside him, to A", "beside him, to B"} or float
        A number is a distance from A along the straight line to B.  [m]

    Raises
    ------
    InputError
        When there is no such place.
    """
    main, rig = prepared.grid.main, planned.rig
    if parts_at == "anchor A":
        return 0
    if parts_at == "anchor B":
        return len(main) - 2
    ring = int(prepared.state.slave[np.flatnonzero(prepared.model.master == prepared.model.slots)[0]])
    if parts_at == "beside him, to A":
        return ring - 1
    if parts_at == "beside him, to B":
        return ring
    if isinstance(parts_at, str) or not 0.0 < parts_at < rig.span:
        raise InputError(
            "the main cannot part there", key="parts_at", found=parts_at,
            allowed=f"'anchor A', 'anchor B', 'beside him, to A', 'beside him, to B' or 0 to {rig.span:.2f} m",
        )
    place = planned.walker_coordinate(parts_at)
    return int(np.clip(np.searchsorted(main, place, side="right") - 1, 0, len(main) - 2))


def main_gone_in_time(
    planned: Plan,
    at: float,
    *,
    parts_at: PartsAt = "anchor A",
    choice: RunInputs | None = None,
    seconds: float | None = None,
    per_bay: int = PER_BAY,
    ground: Touchable | None = None,
    frame: float = FRAME,
    way: Way | None = None,
    progress: Progress | None = None,
) -> InTime:
    """The main parts while a walker stands on it; he falls into his leash, whose ring runs on what is left.

    Parameters
    ----------
    planned : Plan
        Of a rig with a walker.
    at : float
        Distance from A along the straight line to B.  [m]
    parts_at : {"anchor A", "anchor B", "beside him, to A", "beside him, to B"} or float
        A number is a distance from A along the straight line to B.  [m]
    choice, seconds, per_bay, ground, frame, way, progress
        See `leash_fall_in_time`.

    Raises
    ------
    InputError, MotionNotClosed, NoEquilibrium, SegmentNotSolved
    """
    choice = RunInputs() if choice is None else choice
    prepared = on_ground(_leaves(standing_mesh(planned, at, choice, per_bay=per_bay), choice), ground)
    piece = piece_that_parts(prepared, planned, parts_at)
    prepared = prepared.given({CUT_TIME: 0.0}, cut=piece)
    seconds = AFTER_A_BREAK if seconds is None else seconds
    motion = run(prepared, seconds, frame=frame, way=way, progress=progress)
    place = 0.5 * float(prepared.grid.main[piece] + prepared.grid.main[piece + 1])
    return _happened("main gone", prepared, at, choice, motion, place)


def recoil(
    planned: Plan,
    at: float,
    *,
    choice: RunInputs | None = None,
    seconds: float = 2.0,
    per_bay: int = PER_BAY,
    frame: float = FRAME,
    way: Way | None = None,
    progress: Progress | None = None,
) -> InTime:
    """The line after its load is off: how far it flies up, and what its loops do.

    Parameters
    ----------
    planned : Plan
        Of a rig with a walker.
    at : float
        Where he stood: distance from A along the straight line to B.  [m]
    choice, seconds, per_bay, frame, way, progress
        See `leash_fall_in_time`.

    Raises
    ------
    InputError, MotionNotClosed, NoEquilibrium, SegmentNotSolved
    """
    choice = RunInputs() if choice is None else choice
    prepared = standing_mesh(planned, at, choice, per_bay=per_bay, leash=False)
    motion = run(prepared, seconds, frame=frame, way=way, progress=progress)
    return _happened("recoil", prepared, at, choice, motion)

"""A run: from a mesh to histories, peaks, frames, and an account of energy that closes or is an error."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from linescope.compiled import COMPILED
from linescope.errors import MotionNotClosed
from linescope.motion import kernel, vectors
from linescope.motion.arrays import (
    CHANNELS,
    LEAST,
    LONG,
    LOSSES,
    MEAN_MOST,
    MEAN_TIME,
    MOST,
    NOW_MOST,
    RAW_MOST,
    RAW_TIME,
    SLID,
    TAPE_MOST,
    TAPE_TIME,
    TOTAL,
    Log,
    State,
)
from linescope.motion.contacts import share_masses
from linescope.motion.mesh import Mesh
from linescope.shown import Outlined
from linescope.statics.solution import freeze

Floats = NDArray[np.float64]
Way = Literal["compiled", "numpy"]

SHORT = 1e-3  # Histories are kept in means of a millisecond [s].
FRAME = 0.02  # [s]
TELL = 0.1  # Between words to whoever waits [s].
CLOSES = 0.01  # Of the energy turned over.
HALVINGS = 3  # Of the step, before an account that does not close is an error.


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class TimeSeries(Outlined):
    """One figure over time.  Arrays are (n,).

    Attributes
    ----------
    time : array
        Middle of each millisecond.  [s]
    mean : array
        Means over 10 ms around it.  [N or m]
    raw_most, raw_least : array
        Of all steps in the millisecond.  [N or m]
    """

    time: Floats
    mean: Floats
    raw_most: Floats
    raw_least: Floats

    @property
    def most(self) -> float:
        """Largest mean over 10 ms.  [N or m]"""
        return float(np.max(self.mean))

    @property
    def most_at(self) -> float:
        """When.  [s]"""
        return float(self.time[int(np.argmax(self.mean))])

    @property
    def least(self) -> float:
        """Smallest mean over 10 ms.  [N or m]"""
        return float(np.min(self.mean))

    @property
    def raw(self) -> float:
        """Largest at any step: a figure of the mesh as much as of the rig.  [N or m]"""
        return float(np.max(self.raw_most))

    @property
    def lowest(self) -> float:
        """Smallest at any step.  [N or m]"""
        return float(np.min(self.raw_least))

    @property
    def lowest_at(self) -> float:
        """When.  [s]"""
        return float(self.time[int(np.argmin(self.raw_least))])


@dataclass(frozen=True, eq=False, kw_only=True)
class Account:
    """Where the energy went, over time.  Arrays are (n,).

    Attributes
    ----------
    time : array
        [s]
    kinetic, weight, elastic, branches : array
        What there is; `weight` and `elastic` with their values at the start taken off.  [J]
    friction, remeshed, broken, landed, leash, body_air, legs, viscous, relaxed, air : array
        What was lost till then: to friction of contacts; where contacts were handed over, and masses that meet there
        come to one speed; in what parted; on the ground; in the leash; to the air on the body; in the legs (negative:
        given); to the mesh's viscosity; in the branches; to the air on the lines (negative: given by wind).  Of a main
        that flies through its tapes handing over takes most of what contacts take; finer pieces shift some of it from
        friction, and do not make it less (tests/EVIDENCE.md).  [J]
    turned_over : float
        What `error` is a share of: the largest that any store held or any loss took.  [J]
    error : float
        Largest difference at any time.  [-]
    """

    time: Floats
    kinetic: Floats
    weight: Floats
    elastic: Floats
    branches: Floats
    friction: Floats
    remeshed: Floats
    broken: Floats
    landed: Floats
    leash: Floats
    body_air: Floats
    legs: Floats
    viscous: Floats
    relaxed: Floats
    air: Floats
    turned_over: float
    error: float


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Motion(Outlined):
    """A run that is over.

    Attributes
    ----------
    mesh : Mesh
    way : {"compiled", "numpy"}
    step : float
        [s]
    leash, main_a, main_b, backup_a, backup_b, most_main, most_backup, ring, body, line : TimeSeries
        Force of the leash; tension at the anchors; largest tension anywhere; height of ring and body; vertical force
        of the lines on ring or feet.  [N, m]
    mean_most, mean_time : (n,) array
        Along both lines, the main's pieces first: largest mean over 10 ms [N] and when [s]; nan where there is none.
    raw_most, raw_time : (n,) array
        Largest at any step [N], and when, to the millisecond [s].
    tape_most, tape_time : (t,) array
        Largest force of each tape averaged over 1 ms [N], and when it went, nan where it held [s].
    slid : (t,) array
        Way that each tape slid.  [m]
    frame_time : (f,) array
        [s]
    points : (f, n, 3) array
        Of all slots, then ring and body.  [m]
    speeds : (f, n, 3) array
        [m/s]
    tensions : (f, n) array
        [N]
    account : Account
    final : State
        As it ended.
    """

    mesh: Mesh
    way: Way
    step: float
    leash: TimeSeries
    main_a: TimeSeries
    main_b: TimeSeries
    backup_a: TimeSeries
    backup_b: TimeSeries
    most_main: TimeSeries
    most_backup: TimeSeries
    ring: TimeSeries
    body: TimeSeries
    line: TimeSeries
    mean_most: Floats
    mean_time: Floats
    raw_most: Floats
    raw_time: Floats
    tape_most: Floats
    tape_time: Floats
    slid: Floats
    frame_time: Floats
    points: Floats
    speeds: Floats
    tensions: Floats
    account: Account
    final: State


NAMES = (
    "leash", "main_a", "main_b", "backup_a", "backup_b", "most_main", "most_backup", "ring", "body", "line",
)  # fmt: skip


def _smooth(values: Floats) -> Floats:
    """Means over `LONG` neighbours, fewer at the ends."""
    sums = np.concatenate(([0.0], np.cumsum(values)))
    centre = np.arange(len(values))
    low, high = np.maximum(centre - LONG // 2, 0), np.minimum(centre + LONG - LONG // 2, len(values))
    return np.asarray((sums[high] - sums[low]) / (high - low))


def _account(log: Log, frames: int) -> Account:
    stores, lost = log.account[:frames, :4], log.account[:frames, 4:]
    weight, elastic = stores[:, 1] - stores[0, 1], stores[:, 2] - stores[0, 2]
    total = stores[:, 0] + weight + elastic + (stores[:, 3] - stores[0, 3]) + lost.sum(axis=1)
    parts = np.column_stack((stores[:, 0], weight, elastic, lost))
    turned = float(np.max(np.abs(parts), initial=0.0))
    error = float(np.max(np.abs(total - total[0]))) / turned if turned > 0.0 else 0.0
    result = Account(
        time=log.time[:frames].copy(), kinetic=stores[:, 0].copy(), weight=weight, elastic=elastic,
        branches=stores[:, 3].copy(), friction=lost[:, 0].copy(), remeshed=lost[:, 1].copy(),
        broken=lost[:, 2].copy(), landed=lost[:, 3].copy(), leash=lost[:, 4].copy(), body_air=lost[:, 5].copy(),
        legs=lost[:, 6].copy(), viscous=lost[:, 7].copy(), relaxed=lost[:, 8].copy(), air=lost[:, 9].copy(),
        turned_over=turned, error=error,
    )
    freeze(result)
    return result


def run(
    mesh: Mesh,
    seconds: float,
    *,
    frame: float = FRAME,
    way: Way | None = None,
    step: float | None = None,
    start: State | None = None,
    progress: Callable[[float], None] | None = None,
    until: Callable[[State, float], bool] | None = None,
    check: bool = True,
) -> Motion:
    """Let a mesh move; where the account of energy does not close, once more with half the step, and again.

    Parameters
    ----------
    mesh : Mesh
    seconds : float
        [s]
    frame : float
        Between two frames.  [s]
    way : {"compiled", "numpy"}, optional
        Default: compiled where numba is installed.
    step : float, optional
        Longest step; default the mesh's own.  [s]
    start : State, optional
        Instead of the mesh's.
    progress : callable, optional
        Told the share done, 0 to 1; may raise to stop the run.
    until : callable, optional
        Asked ten times a second whether to end, with the state and its time [s].
    check : bool
        Whether an account that does not close makes the step shorter, and in the end an error.

    Raises
    ------
    MotionNotClosed
        When energy appears or vanishes, more than `CLOSES` of what was turned over, or something is no number.
    """
    way = ("compiled" if COMPILED else "numpy") if way is None else way
    longest = mesh.step if step is None else step
    for halvings in range(HALVINGS + 1):
        motion = _once(mesh, seconds, longest / 2**halvings, frame, way, start, progress, until)
        if not check or motion.account.error <= CLOSES:
            return motion
    raise MotionNotClosed(
        f"the account of energy is {100.0 * motion.account.error:.2g} % out after {seconds:.2g} s of motion.",
        advice="another number of pieces a bay, or a milder case.",
    )


def _once(
    mesh: Mesh, seconds: float, longest: float, frame: float, way: Way, start: State | None,
    progress: Callable[[float], None] | None, until: Callable[[State, float], bool] | None,
) -> Motion:  # fmt: skip
    advance = kernel.advance if way == "compiled" else vectors.advance
    per_short = max(1, int(np.ceil(SHORT / longest - 1e-9)))
    dt = SHORT / per_short
    shorts = max(LONG, int(np.ceil(seconds / SHORT - 1e-9)))
    per_frame = per_short * max(1, round(frame / SHORT))
    steps = shorts * per_short
    frames = steps // per_frame + 1
    n = mesh.model.slots + 2
    log = Log(
        channels=np.zeros((3, CHANNELS, shorts)), along=np.zeros((NOW_MOST + 1, n)),
        time=np.zeros(frames), frames=np.zeros((frames, 7, n)), account=np.zeros((frames, 4 + LOSSES + 3)),
        done=np.zeros(1, dtype=np.int64),
    )
    state = (mesh.state if start is None else start).copy()
    if start is not None:
        share_masses(mesh.model.of_slots, mesh.model.kind, mesh.model.master, state)
    chunk = max(1, round(TELL / SHORT)) * per_short
    done = 0
    while done < steps:
        stop = min(done + chunk, steps)
        with np.errstate(over="ignore", invalid="ignore", divide="ignore"):
            advance(done, stop, dt, per_short, per_frame, mesh.model, state, log)
        done = stop
        if not np.isfinite(state.x).all():
            raise MotionNotClosed(
                f"after {done * dt:.2g} s of motion a place is no number.",
                advice="shorter steps (more pieces a bay make them so), or a milder case.",
            )
        if progress is not None:
            progress(done / steps)
        if until is not None and until(state, done * dt):
            break
    shorts, frames = -(-done // per_short), int(log.done[0])
    account = _account(log, frames)
    time = np.asarray((np.arange(shorts) + 0.5) * SHORT, dtype=float)
    histories = {}
    for number, name in enumerate(NAMES):
        history = TimeSeries(
            time=time, mean=_smooth(log.channels[TOTAL, number, :shorts]),
            raw_most=log.channels[MOST, number, :shorts].copy(), raw_least=log.channels[LEAST, number, :shorts].copy(),
        )
        freeze(history)
        histories[name] = history
    tapes = mesh.tape_links
    places, speeds, tensions = log.frames[:frames, :3], log.frames[:frames, 3:6], log.frames[:frames, 6]
    motion = Motion(
        mesh=mesh, way=way, step=dt, **histories, mean_most=log.along[MEAN_MOST], mean_time=log.along[MEAN_TIME],
        raw_most=log.along[RAW_MOST], raw_time=log.along[RAW_TIME], tape_most=state.of_links[TAPE_MOST, tapes],
        tape_time=state.of_links[TAPE_TIME, tapes], slid=state.of_links[SLID, tapes], frame_time=log.time[:frames],
        points=np.ascontiguousarray(np.moveaxis(places, 1, 2)), speeds=np.ascontiguousarray(np.moveaxis(speeds, 1, 2)),
        tensions=tensions.copy(), account=account, final=state,
    )
    freeze(motion)
    return motion

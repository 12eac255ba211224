"""Bouncing with the feet on: natural period, tension against amplitude, and where it stops being a bounce.

He pushes in phase with his own speed, so that his amplitude grows by the same factor in every cycle.  One run goes
through all amplitudes, and ends when the feet leave the line.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.motion.arrays import DRIVE, FORCE, INVERSE, State, V
from linescope.motion.falls import Progress, on_ground, standing_mesh, walker_of
from linescope.motion.ground import Touchable
from linescope.motion.inputs import RunInputs
from linescope.motion.mesh import PER_BAY, Mesh
from linescope.motion.outcome import TIGHT
from linescope.motion.run import FRAME, SHORT, Motion, Way, run
from linescope.rig import Rig
from linescope.shown import Outlined
from linescope.statics import Plan
from linescope.statics.assemble import G
from linescope.statics.solution import freeze

Floats = NDArray[np.float64]

FIRST = 0.1  # Amplitude that it starts with [m].
GROWS = 0.35  # Work of his push: force over mass, speed and natural frequency; 3 times in a cycle, less the losses.
CYCLES = 5.5
AMPLITUDES = (0.25, 0.5, 1.0, 1.5, 2.0)  # At which tensions are told [m].


@dataclass(frozen=True, kw_only=True)
class BounceAt:
    """Bouncing at one amplitude.

    Attributes
    ----------
    amplitude : float
        Half of the way between two turning points of his feet.  [m]
    most, least : float
        Tension of the main at either anchor: largest and smallest of 10 ms means.  [N]
    factor : float
        Largest tension at either anchor over that of standing.  [-]
    """

    amplitude: float
    most: float
    least: float
    factor: float


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Bounce(Outlined):
    """Bouncing at one place.  Arrays are (n,): one entry a half cycle, from a turning point to the next.

    Attributes
    ----------
    rig : Rig
    at : float
        Distance from A along the straight line to B.  [m]
    choice : RunInputs
    period : float
        Of small bounces.  [s]
    standing : (2,) array
        Tension of the main at both anchors as he stands.  [N]
    amplitude : array
        Half of the way between two turning points of his feet.  [m]
    most, least : (n, 2) array
        Tension of the main at both anchors: largest and smallest of 10 ms means in that half cycle.  [N]
    tight_from : float
        Amplitude at which a loop first snaps tight; nan where none did, 0 where they are tight as he stands.  [m]
    leaves_from : float
        Amplitude at which his feet leave the line; nan where they did not.  [m]
    motion : Motion
    """

    rig: Rig
    at: float
    choice: RunInputs
    period: float
    standing: Floats
    amplitude: Floats
    most: Floats
    least: Floats
    tight_from: float
    leaves_from: float
    motion: Motion

    def at_amplitude(self, amplitude: float) -> BounceAt:
        """Tensions at an amplitude [m], between those of the half cycles; nan where that was not reached."""
        order = np.argsort(self.amplitude)

        def between(values: Floats) -> float:
            return float(np.interp(amplitude, self.amplitude[order], values[order], left=math.nan, right=math.nan))

        return BounceAt(
            amplitude=amplitude, most=between(self.most.max(axis=1)), least=between(self.least.min(axis=1)),
            factor=between(np.max(self.most / self.standing, axis=1)),
        )

    @property
    def stated(self) -> tuple[BounceAt, ...]:
        """At stated amplitudes, as far as they were reached, and at the largest."""
        largest = float(self.amplitude.max())
        return tuple(
            self.at_amplitude(each) for each in (*AMPLITUDES, largest)
            if float(self.amplitude.min()) <= each <= largest
        )


def turning_points(height: Floats) -> NDArray[np.int64]:
    """Where a curve turns, one index a turn."""
    rise = np.diff(height)
    rising = np.sign(rise)
    rising = rising[np.maximum.accumulate(np.where(rising != 0.0, np.arange(len(rising)), 0))]
    return np.flatnonzero(rising[1:] * rising[:-1] < 0.0) + 1


def _frequency(prepared: Mesh, at: float) -> float:
    """About that of his mass on the line pulled sideways.  [1/s]"""
    solution, rig = prepared.solution, prepared.solution.rig
    pull = 0.5 * (solution.tension_a + solution.tension_b)
    return math.sqrt(pull * (1.0 / at + 1.0 / (rig.span - at)) / walker_of(rig).mass)


def bounce(
    planned: Plan,
    at: float,
    *,
    choice: RunInputs | None = None,
    per_bay: int = PER_BAY,
    ground: Touchable | None = None,
    frame: float = FRAME,
    way: Way | None = None,
    progress: Progress | None = None,
) -> Bounce:
    """A walker who bounces harder and harder at one place.

    Parameters
    ----------
    planned : Plan
        Of a rig with a walker.
    at : float
        Distance from A along the straight line to B.  [m]
    choice, per_bay, ground, frame, way, progress
        See `leash_fall_in_time`.

    Raises
    ------
    InputError, MotionNotClosed, NoEquilibrium, SegmentNotSolved
    """
    choice = RunInputs() if choice is None else choice
    prepared = on_ground(standing_mesh(planned, at, choice, per_bay=per_bay, feet=True), ground)
    omega = _frequency(prepared, at)
    ring = prepared.model.slots
    start = prepared.state.copy()
    start.of_slots[V + 2, ring] = -FIRST * omega
    for k in np.flatnonzero(prepared.model.master == ring):
        start.of_slots[V + 2, start.slave[k]] = -FIRST * omega
    driven = prepared.given({DRIVE: GROWS * omega})

    def off(state: State, _: float) -> bool:
        """Whether he goes down faster than a body that nothing holds."""
        return bool(state.of_slots[FORCE + 2, ring] * state.of_slots[INVERSE, ring] <= -G)

    motion = run(
        driven, CYCLES * 2.0 * math.pi / omega, frame=frame, way=way, start=start, progress=progress, until=off
    )
    return _told(planned.rig, at, choice, motion)


def _told(rig: Rig, at: float, choice: RunInputs, motion: Motion) -> Bounce:
    height, line = motion.ring.mean, motion.line
    off = np.flatnonzero(line.mean <= 0.0)
    stop = int(off[0]) + 1 if len(off) else len(height)
    turns = np.concatenate(([0], turning_points(height[:stop])))
    if len(off):
        turns = np.append(turns, stop - 1)
    turns = turns[1:] if len(turns) > 2 else turns  # The first half cycle starts with a push.
    parts = [slice(int(a), int(b) + 1) for a, b in itertools.pairwise(turns)]
    amplitude = np.array([0.5 * float(np.ptp(height[part])) for part in parts])
    ends = (motion.main_a.mean, motion.main_b.mean)
    most = np.array([[float(end[part].max()) for end in ends] for part in parts])
    least = np.array([[float(end[part].min()) for end in ends] for part in parts])
    period = 2.0 * float(parts[0].stop - 1 - parts[0].start) * SHORT
    tight = np.flatnonzero(motion.most_backup.mean[:stop] > TIGHT)
    result = Bounce(
        rig=rig, at=at, choice=choice, period=period, standing=np.array([ends[0][0], ends[1][0]]),
        amplitude=amplitude, most=most, least=least, tight_from=_at(tight, turns, amplitude),
        leaves_from=float(amplitude[-1]) if len(off) else math.nan, motion=motion,
    )
    freeze(result)
    return result


def _at(when: NDArray[np.int64], turns: NDArray[np.int64], amplitude: Floats) -> float:
    """Amplitude of the half cycle in which something first happened; nan when it did not, 0 when it was so from the
    start.  [m]"""
    if not len(when):
        return math.nan
    if when[0] == 0:
        return 0.0
    cycle = int(np.searchsorted(turns, when[0], side="right")) - 1
    return float(amplitude[min(max(cycle, 0), len(amplitude) - 1)])

"""A gust with a rise time, on loops that move: air pushes with what it has more than the strip itself."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from linescope.errors import InputError
from linescope.motion.falls import Progress, on_ground, standing_mesh
from linescope.motion.ground import Touchable
from linescope.motion.inputs import RunInputs
from linescope.motion.mesh import PER_BAY, Mesh, mesh
from linescope.motion.run import FRAME, Motion, Way, run
from linescope.rig import Inputs, Rig, Wind
from linescope.shown import Outlined
from linescope.statics import Plan, solve
from linescope.statics.solution import freeze

Floats = NDArray[np.float64]

SECONDS = 4.0
EDGE_ON, BROADSIDE = 0.15, 1.0  # Exposures: C 0.1 to 0.3 against 1.2 to 2 on the flat face; from memory [-].
UP = np.array([0.0, 0.0, 1.0])


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Gust(Outlined):
    """A gust in time.  Arrays are (n,), one entry a bay from anchor A.

    Attributes
    ----------
    rig : Rig
    wind : Wind
    speed : float
        That the air comes to, from calm.  [m/s]
    rise : float
        Time over which it does.  [s]
    swing : array
        Largest angle of each loop's middle about its chord, from straight down.  [rad]
    swing_edge_on, swing_broadside : array
        The same with the exposures at which strips stand edge-on to the wind, and broadside; nan where these were not
        looked at.  [rad]
    above : array
        Largest height of the loop above the main straight below or above it; 0 where it is nowhere above.  [m]
    aside : float
        Farthest sideways travel of the main.  [m]
    tension : (4,) array
        Largest 10 ms means at anchor A and B of the main, A and B of the backup.  [N]
    motion : Motion
    """

    rig: Rig
    wind: Wind
    speed: float
    rise: float
    swing: Floats
    swing_edge_on: Floats
    swing_broadside: Floats
    above: Floats
    aside: float
    tension: Floats
    motion: Motion


def exposures_of(inputs: Inputs) -> tuple[float, float]:
    """The ends of the exposure's range as the scene has it, or else edge-on and broadside.  [-]"""
    known = inputs.bands.get("wind.exposure")
    return (EDGE_ON, BROADSIDE) if known is None else (known.low, known.high)


def swings(motion: Motion, towards: Floats) -> tuple[Floats, Floats]:
    """Angles of the loops about their chords, and heights above the main.

    Parameters
    ----------
    motion : Motion
    towards : (3,) array
        Horizontal unit vector across the line.  [-]

    Returns
    -------
    angle : (f, n) array
        Of the place of each loop farthest from its chord, from straight down, positive where the wind blows to.  [rad]
    height : (f, n) array
        Largest height of the loop above the main.  [m]
    """
    cut, main = motion.mesh.grid, motion.mesh.model.main
    ends = np.concatenate(([0], cut.tapes, [len(cut.backup) - 1]))
    frames, bays = len(motion.points), len(ends) - 1
    angle, height = np.zeros((frames, bays)), np.zeros((frames, bays))
    for bay in range(bays):
        first, last = int(ends[bay]), int(ends[bay + 1])
        loop, line = motion.points[:, main + first : main + last + 1], motion.points[:, first : last + 1]
        a, chord = loop[:, :1], loop[:, -1] - loop[:, 0]
        axis = chord / np.linalg.norm(chord, axis=1)[:, None]
        arm = loop - a
        arm = arm - np.einsum("fmi,fi->fm", arm, axis)[:, :, None] * axis[:, None]
        far = np.argmax(np.linalg.norm(arm, axis=2), axis=1)
        arm = arm[np.arange(frames), far]
        down = -UP + (axis @ UP)[:, None] * axis
        down /= np.linalg.norm(down, axis=1)[:, None]
        side = np.cross(axis, down)
        side *= np.sign(np.where(side @ towards == 0.0, 1.0, side @ towards))[:, None]
        angle[:, bay] = np.arctan2(np.einsum("fi,fi->f", arm, side), np.einsum("fi,fi->f", arm, down))
        height[:, bay] = np.max((loop - line)[:, 1:-1, 2], axis=1, initial=0.0)
    return angle, height


def gust(
    planned: Plan,
    wind: Wind | None = None,
    *,
    speed: float | None = None,
    rise: float = 1.0,
    at: float | None = None,
    choice: RunInputs | None = None,
    exposures: tuple[float, float] | None = None,
    seconds: float | None = None,
    per_bay: int = PER_BAY,
    ground: Touchable | None = None,
    frame: float = FRAME,
    way: Way | None = None,
    progress: Progress | None = None,
) -> Gust:
    """Calm, then wind that comes within a rise time and stays.

    Parameters
    ----------
    planned : Plan
    wind : Wind, optional
        Direction, drag coefficient, exposure and gust factor; default the rig's own.
    speed : float, optional
        That the air comes to; default the wind's gust.  [m/s]
    rise : float
        0: at once.  [s]
    at : float, optional
        Where a walker stands; default nobody does.  [m from A along the straight line to B]
    choice : RunInputs, optional
        Its `air` is not used: the wind brings its own coefficient and exposure.
    exposures : tuple of two floats, optional
        At which swings are looked for as well: edge-on and broadside.  [-]
    seconds : float, optional
        Default: rise time and four seconds.  [s]
    per_bay, ground, frame, way, progress
        See `leash_fall_in_time`.

    Raises
    ------
    InputError
        When there is no wind, or its rise time is negative.
    MotionNotClosed, NoEquilibrium, SegmentNotSolved
    """
    rig = planned.rig
    wind = rig.wind if wind is None else wind
    if wind is None:
        raise InputError("there is no wind in this scene", key="wind", allowed="a table [wind] with speed and from")
    if not (math.isfinite(rise) and rise >= 0.0):
        raise InputError("no such rise time", key="wind.rise", found=f"{rise:g} s", allowed="0 s or more")
    choice = RunInputs() if choice is None else choice
    speed = wind.speed * wind.gust_factor if speed is None else speed
    share = wind.drag_coefficient * wind.exposure / choice.air
    prepared: Mesh
    if at is None:
        empty = rig.without_walker()
        prepared = mesh(solve(empty, planned=planned), choice, per_bay=per_bay, width_seen=share)
    else:
        prepared = standing_mesh(planned, at, choice, per_bay=per_bay, feet=True, air_share=share)
    way_to = np.array([*wind.towards, 0.0]) / math.hypot(*wind.towards)
    times = np.array([0.0, max(rise, 1e-6)])
    air = np.stack([times, *(speed * way_to[axis] * np.array([0.0, 1.0]) for axis in range(3))])
    prepared = on_ground(prepared.given({}, wind=air), ground)
    seconds = rise + SECONDS if seconds is None else seconds
    motion = run(prepared, seconds, frame=frame, way=way, progress=progress)
    angle, height = swings(motion, way_to)
    start = motion.points[0, : prepared.model.main]
    aside = (motion.points[:, : prepared.model.main] - start) @ way_to
    lines = (motion.main_a, motion.main_b, motion.backup_a, motion.backup_b)
    ends = [np.full_like(angle[0], np.nan)] * 2 if exposures is None else [
        gust(
            planned, replace(wind, exposure=exposure), speed=speed, rise=rise, at=at, choice=choice, seconds=seconds,
            per_bay=per_bay, ground=ground, frame=frame, way=way,
        ).swing
        for exposure in exposures
    ]
    result = Gust(
        rig=rig, wind=wind, speed=speed, rise=rise, swing=np.max(angle, axis=0),
        swing_edge_on=ends[0], swing_broadside=ends[1], above=np.max(height, axis=0),
        aside=float(np.max(aside)), tension=np.array([end.most for end in lines]), motion=motion,
    )
    freeze(result)
    return result

"""From a measured loop to its length: what depths read off the built line say about its excess."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linescope.errors import InputError
from linescope.notes import Kind, Note, Severity, Spot
from linescope.statics import Solution
from linescope.statics.segments import solve_segments
from linescope.statics.solution import freeze

Floats = NDArray[np.float64]


class AsBuiltNote(Kind):
    """What is said of measured loops."""

    STRAIGHT = "loops-as-built-straight"


@dataclass(frozen=True, eq=False, kw_only=True)
class AsBuilt:
    """What measured loops say.  Arrays are (k,), one entry a station.

    Attributes
    ----------
    bay : (k,) int array
        Counted from 1 at A.
    measured_depth, planned_depth : array
        [m]
    loop_length, planned_loop_length : array
        Unstretched backup in the bay.  [m]
    excess : array
        In the state in which it was measured.  [-]
    excess_slack : array
        On slack main, if the bay is as long as planned.  [-]
    notes : tuple of Note
    """

    bay: NDArray[np.int64]
    measured_depth: Floats
    planned_depth: Floats
    loop_length: Floats
    planned_loop_length: Floats
    excess: Floats
    excess_slack: Floats
    notes: tuple[Note, ...]


def implied_loops(solution: Solution, stations: ArrayLike, depths: ArrayLike) -> AsBuilt:
    """Loop lengths and excess that measured loop depths imply.

    The bays are taken to be as long as in the solution.

    Parameters
    ----------
    solution : Solution
        The rig in the state in which it was measured (usually standing, without walker).
    stations : (k,) array
        Distances from anchor A along the straight line to B.  [m]
    depths : (k,) array
        Measured from the straight line between the loop's two tapes, plumb down.  [m]

    Returns
    -------
    AsBuilt

    Raises
    ------
    InputError
        For a station off the line, a depth below zero, or lists of different length.
    """
    rig = solution.rig
    at, depth = np.atleast_1d(np.asarray(stations, float)), np.atleast_1d(np.asarray(depths, float))
    if at.shape != depth.shape or at.ndim != 1:
        raise InputError(
            "every station needs one measured depth", key="stations", found=f"{at.size} and {depth.size}"
        )
    if not (np.all((at >= 0.0) & (at <= rig.span)) and np.all((depth >= 0.0) & np.isfinite(depth))):
        raise InputError(
            "stations lie on the line and depths are not negative",
            key="stations",
            found=f"{at.tolist()}, {depth.tolist()}",
            allowed=f"0 to {rig.span:.2f} m",
        )
    along = (rig.main_b - rig.main_a) / rig.span
    reach = (solution.tape_points - rig.main_a) @ along
    bay = np.searchsorted(reach, at)
    chord = np.diff(solution.backup.nodes, axis=0)[bay]
    load = solution.loads[1]
    q = float(np.linalg.norm(load))

    def depth_of(length: Floats) -> Floats:
        count = len(length)
        return solve_segments(
            chord, length, np.full(count, q), np.tile(-load / q, (count, 1)), rig.backup.now.at
        ).depth()[0]

    low = np.linalg.norm(chord, axis=1)
    tight = depth_of(low) >= depth
    high = low + 2.0 * depth + 0.01 * low
    while np.any(short := depth_of(high) < depth):
        high = np.where(short, high + depth + 0.1 * low, high)
    for _ in range(60):
        length = 0.5 * (low + high)
        deep = depth_of(length) > depth
        low, high = np.where(deep, low, length), np.where(deep, length, high)
    length = np.where(tight, np.linalg.norm(chord, axis=1), 0.5 * (low + high))
    bays = solution.bays
    ways = (bays.loop_length / (1.0 + bays.excess))[bay]  # What the backup has to bridge.
    detour = ways - bays.length[bay]
    notes = tuple(
        Note(kind=AsBuiltNote.STRAIGHT, severity=Severity.CHECK, values={"at": Spot(float(place))})
        for place in at[tight]
    )
    result = AsBuilt(
        bay=bay + 1,
        measured_depth=depth.copy(),
        planned_depth=bays.loop_depth[bay],
        loop_length=length,
        planned_loop_length=bays.loop_length[bay],
        excess=length / ways - 1.0,
        excess_slack=length / (bays.main_length[bay] + detour) - 1.0,
        notes=notes,
    )
    freeze(result)
    return result

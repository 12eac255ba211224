"""A solved state as a lesson shows it: flat, from anchor A along the line, with the material under every point."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.statics import Plan, Solution
from linescope.taping import Holds

Floats = NDArray[np.float64]

PER_MAIN, PER_LOOP = 2, 10
"""Pieces of the main between two nodes, and of a loop. [-]"""


@dataclass(frozen=True, eq=False, kw_only=True)
class Rub:
    """What is worn of four faces, in the order of `Face`.  t tapes.

    Attributes
    ----------
    peaks : (4, t) array
        Largest beside each tape, half-way to its neighbours.  [J/m]
    places : (4, t) array
        Where: unstretched metres of its line from anchor A.  [m]
    even : (4,) array
        On most of the face.  [J/m]
    strips : (t,) array
        On the strip of each tape.  [J]
    """

    peaks: Floats
    places: Floats
    even: Floats
    strips: Floats

    @property
    def most(self) -> Floats:
        """(4,) the largest of each face.  [J/m]"""
        return np.asarray(self.peaks.max(axis=1))


@dataclass(frozen=True, eq=False, kw_only=True)
class LessonShot:
    """One state of one row.  t tapes; the main has m points and the backup b.

    Attributes
    ----------
    main, backup : (m, 2) and (b, 2) array
        Along the line from anchor A on the level, and up from anchor A.  [m]
    main_at, backup_at : (m,) and (b,) array
        Unstretched metres from anchor A.  [m]
    tapes : (t, 2) array
        [m]
    tape_main, tape_backup : (t,) array
        Material coordinates of both lines at the tapes.  [m]
    feet : (2,) array or None
        [m]
    own : int
        The bay the walker stands in; -1 without one.
    depth : (t+1,) array
        Of the loops below the straight line between their tapes; in the walker's own bay below the bent main.  [m]
    pull : (t+1,) array
        Mean tension of the backup.  [N]
    slid : (t,) array
        Through each tape since taped, along the line that slides, positive towards B.  [m]
    ran : float
        Most through one tape since the first shot of its row, to and fro added.  [m]
    rub : Rub or None
        Where rub is shown.
    """

    main: Floats
    main_at: Floats
    backup: Floats
    backup_at: Floats
    tapes: Floats
    tape_main: Floats
    tape_backup: Floats
    feet: Floats | None
    own: int
    depth: Floats
    pull: Floats
    slid: Floats
    ran: float
    rub: Rub | None = None

    @property
    def deepest(self) -> int:
        """The bay with the deepest loop, the walker's own left out."""
        depth = self.depth.copy()
        if self.own >= 0 and len(depth) > 1:
            depth[self.own] = -np.inf
        return int(np.argmax(depth))


def flat(points: Floats, begin: Floats, end: Floats) -> Floats:
    """Points (n, 3) as seen square to the line: along its level direction from A, and up from A.  [m]"""
    level = (end - begin) * np.array([1.0, 1.0, 0.0])
    level = level / np.linalg.norm(level)
    away = points - begin
    return np.column_stack((away @ level, away[:, 2]))


def ranges_of(depths: list[tuple[int, Floats]]) -> Floats:
    """(n, 2) least and most of each loop [m]; of each state the bay the walker stands in (-1: none) and all depths."""
    found = np.array([np.where(np.arange(len(depth)) == own, np.nan, depth) for own, depth in depths])
    return np.column_stack((np.nanmin(found, axis=0), np.nanmax(found, axis=0)))


def shot(state: Solution, ran: float = 0.0) -> LessonShot:
    """A state as it is shown."""
    rig = state.rig

    def seen(points: Floats) -> Floats:
        return flat(np.atleast_2d(points), rig.main_a, rig.main_b)

    main, backup = state.main.sample(PER_MAIN), state.backup.sample(PER_LOOP)
    depth, own, feet = state.bays.loop_depth.copy(), -1, None
    if state.walker_point is not None:
        feet = seen(state.walker_point)[0]
        own = int(np.searchsorted(seen(state.tape_points)[:, 0], feet[0])) if len(state.tape_points) else 0
        depth[own] = state.bays.loop_drop[own]
    return LessonShot(
        main=seen(main.points),
        main_at=main.coordinate,
        backup=seen(backup.points),
        backup_at=backup.coordinate,
        tapes=seen(state.tape_points) if len(state.tape_points) else np.empty((0, 2)),
        tape_main=state.tape_main,
        tape_backup=state.tape_backup,
        feet=feet,
        own=own,
        depth=depth,
        pull=state.bays.backup_tension,
        slid=state.tape_slip,
        ran=ran,
    )


@dataclass(frozen=True, eq=False, kw_only=True)
class LessonRow:
    """One row of a lesson: the same line in one style, or of one webbing, state after state.

    Attributes
    ----------
    name : str
        What its tapes hold ("both", "main", "backup"), or the name of a webbing.
    holds : Holds or None
        None where it is not the style that differs.
    planned : Plan
    shots : tuple of LessonShot
        The first is as taped.
    ranges : (n, 2) array
        Least and most depth of each loop over all states, those left out included, in which nobody stands in its bay.
        [m]
    """

    name: str
    holds: Holds | None
    planned: Plan
    shots: tuple[LessonShot, ...]
    ranges: Floats

    @property
    def widest_bay(self) -> int:
        """The bay whose loop gets deepest."""
        return int(np.argmax(self.ranges[:, 1]))

    @property
    def widest(self) -> tuple[float, float]:
        """Least and most depth of that loop.  [m]"""
        low, high = self.ranges[self.widest_bay]
        return float(low), float(high)


@dataclass(frozen=True, eq=False, kw_only=True)
class Take:
    """A lesson at one setting of its knob.

    Attributes
    ----------
    value : float
        Of the knob.  [SI]
    own : bool
        Whether it is how the rig is planned.
    tracks : tuple of LessonRow
        All with the same number of shots.
    whole : bool
        Whether it has all states; a position between two stops of the knob has the one that says most.
    """

    value: float
    own: bool
    tracks: tuple[LessonRow, ...]
    whole: bool = True

"""A rig that keeps what has slid: the walker put anywhere, the hold changed, every state solved from the last.

The steps are those of `linescope.events.crossing`, which walks a given way; here nothing is known beforehand.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
from numpy.typing import NDArray

from linescope.events.crossing import STEP_SETTINGS, _loop_depths, _readable, _stations, _Walk
from linescope.events.friction import HoldLevel
from linescope.rig import Rig
from linescope.statics import Plan, Solution
from linescope.statics.assemble import DOWN, G
from linescope.statics.minimise import Minimum
from linescope.statics.pair import FIXED
from linescope.statics.plan import plan
from linescope.statics.search import search

Floats = NDArray[np.float64]

SHAKEN = 0.2
"""Hold that is left while a line is shaken, over its own; a guess: practice says that sliders creep. [-]"""
LIGHT = 20.0
"""A joint that hangs on the main is lighter, a walker heavier. [N]"""


class Stepper:
    """A rig at rest, state after state.

    It begins as taped with nobody on it, where no tape has slipped yet; the first `put` lets slip what does not hold.

    Parameters
    ----------
    rig : Rig
        With a walker, if one is to be put on it.
    level : {"low", "value", "high"}
        Which end of the bands of drag and friction.
    planned : Plan, optional
        Of the same rig.

    Raises
    ------
    NoEquilibrium

    Examples
    --------
    >>> import linescope
    >>> from linescope.events.stepper import Stepper
    >>> stepper = Stepper(linescope.load("scenes/lessons/ten_grams.toml").rig)
    >>> stepper.change(drag=0.0)
    >>> round(float(stepper.put(None).bays.loop_depth.max()), 1)
    4.5
    """

    def __init__(self, rig: Rig, level: HoldLevel = "value", planned: Plan | None = None) -> None:
        self.planned = plan(rig) if planned is None else planned
        self.rig, self.layout = rig, self.planned.layout
        self._walk = _Walk(rig, self.layout, level, STEP_SETTINGS)
        self._pull = (0.0 if rig.walker is None else rig.walker.mass) * G * DOWN
        self._own = self._walk.drag.copy(), self._walk.friction.copy()
        self.taped: Floats = self._walk.slide.copy()
        """(t,) material coordinate of the sliding line at each tape, as taped.  [m]"""
        empty, _ = self._walk.pair_with(None, self._pull)
        standing = self.planned.standing.state
        self._now: Minimum = search(empty, standing.unknowns, forces=standing.forces)

    @property
    def slide(self) -> Floats:
        """(t,) the same now.  [m]"""
        return self._walk.slide.copy()

    @property
    def depths(self) -> Floats:
        """(t+1,) of the loops now, below the straight line between their tapes.  [m]"""
        return _loop_depths(self._now, self._now.state.pair.n + 1)

    @property
    def own_bay(self) -> int:
        """The bay the walker stands in; -1 without one."""
        pair = self._now.state.pair
        others = [node for node in np.flatnonzero(~pair.is_tape) if np.linalg.norm(pair.pull[node]) > LIGHT]
        return int(pair.is_tape[: others[0]].sum()) if others else -1

    @property
    def state(self) -> Solution:
        """The state it is in."""
        return _readable(self.rig, self.layout, self._now, self.taped)

    def change(self, *, drag: float | None = None, friction: float | None = None) -> None:
        """Let all sliders hold otherwise from now on; nothing moves before the next `put`.

        Parameters
        ----------
        drag : float, optional
            [N]
        friction : float, optional
            [-]
        """
        walk = self._walk
        slides = walk.empty.slide[walk.tapes] != FIXED
        if drag is not None:
            walk.drag = np.where(slides, drag, np.inf)
        if friction is not None:
            walk.friction = np.where(slides, friction, 0.0)

    def ease(self, times: float) -> None:
        """Let every slider hold so many times what the rig says; nothing moves before the next `put`."""
        self._walk.drag, self._walk.friction = (values * times for values in self._own)

    def shake(self) -> Solution:
        """Nobody on the line, and `SHAKEN` of the hold that the rig says."""
        self.ease(SHAKEN)
        return self.put(None)

    def put(self, at: float | None) -> Solution:
        """Put the walker at a material coordinate of the main [m], or take him off; the state that follows.

        Raises
        ------
        NoEquilibrium
        """
        self.move(at)
        return self.state

    def move(self, at: float | None) -> None:
        """`put` for steps that nobody looks at."""
        pair, _ = self._walk.pair_with(at, self._pull)
        self._now, _, _ = self._walk.advance(pair, self._now)

    def stations(self, per_bay: int) -> Floats:
        """(n,) places on the main that a walk from A to B takes, so many in each bay.  [m]"""
        return _stations(self.layout, per_bay)

    def walk(self, places: Iterable[float | None]) -> Iterator[Solution]:
        """The states of a walk, as they are solved; the hold may be changed on the way.

        Parameters
        ----------
        places : iterable of float or None
            Material coordinates of the main; None: nobody on the line.  [m]

        Yields
        ------
        Solution

        Raises
        ------
        NoEquilibrium
        """
        for at in places:
            yield self.put(at)

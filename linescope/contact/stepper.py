"""A rig that keeps what has slid: the walker put anywhere, the hold changed, every state solved from the last.

The steps are those of a `Pacer`, which walks a given way; here nothing is known beforehand.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np
from numpy.typing import NDArray

from linescope.contact.pacing import Pacer
from linescope.events.crossing import STEP_SETTINGS, _readable, _stations
from linescope.events.friction import HoldLevel
from linescope.rig import Rig
from linescope.statics import Plan, Solution
from linescope.statics.plan import plan

Floats = NDArray[np.float64]

SHAKEN = 0.2
"""Hold that is left while a line is shaken, over its own; a guess: practice says that sliders creep. [-]"""


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
    >>> from linescope.contact.stepper import Stepper
    >>> stepper = Stepper(linescope.load("scenes/lessons/ten_grams.toml").rig)
    >>> stepper.change(drag=0.0)
    >>> round(float(stepper.put(None).bays.loop_depth.max()), 1)
    4.5
    """

    def __init__(self, rig: Rig, level: HoldLevel = "value", planned: Plan | None = None) -> None:
        self.planned = plan(rig) if planned is None else planned
        self.rig, self.layout = rig, self.planned.layout
        self._pacer = Pacer(rig, level, self.planned, STEP_SETTINGS, hung=False)
        self._own = self._pacer.drag, self._pacer.friction
        self.taped: Floats = self._pacer.taped
        """(t,) material coordinate of the sliding line at each tape, as taped.  [m]"""

    @property
    def slide(self) -> Floats:
        """(t,) the same now.  [m]"""
        return self._pacer.slide.copy()

    @property
    def depths(self) -> Floats:
        """(t+1,) of the loops now, below the straight line between their tapes.  [m]"""
        return self._pacer.depths

    @property
    def own_bay(self) -> int:
        """The bay the walker stands in; -1 without one."""
        return self._pacer.own_bay

    @property
    def state(self) -> Solution:
        """The state it is in."""
        return _readable(self.rig, self.layout, self._pacer.state, self.taped)

    def change(self, *, drag: float | None = None, friction: float | None = None) -> None:
        """Let all sliders hold otherwise from now on; nothing moves before the next `put`.

        Parameters
        ----------
        drag : float, optional
            [N]
        friction : float, optional
            [-]
        """
        slides = np.isfinite(self._own[0])
        if drag is not None:
            self._pacer.drag = np.where(slides, drag, np.inf)
        if friction is not None:
            self._pacer.friction = np.where(slides, friction, 0.0)

    def ease(self, times: float) -> None:
        """Let every slider hold so many times what the rig says; nothing moves before the next `put`."""
        self._pacer.drag, self._pacer.friction = (values * times for values in self._own)

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
        self._pacer.put(at)

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

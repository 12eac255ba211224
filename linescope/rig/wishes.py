"""What is wished of a rig, and within which limits it may be changed to have it.  SI."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

Of = Literal["bays", "walker", "falls", "gone", "line", "rig", "clearance"]


@dataclass(frozen=True, kw_only=True)
class Wished:
    """A figure that can be wished for.

    Attributes
    ----------
    dimension : str
        A key of `linescope.units.DIMENSIONS`.
    of : {"bays", "walker", "falls", "gone", "line", "rig", "clearance"}
        What it is told of: every bay, places of the walker, of falls, of a loss of the main, all of both lines, the
        rig as one, or measurands of its clearance.
    notice : float
        A difference that somebody would notice: what one wish is weighed against another by.  [SI]
    bound : {"", "up", "down"}
        What cannot be passed: "up" rounds up.
    ground : bool
        Whether it is measured to the ground.
    """

    dimension: str
    of: Of
    notice: float
    bound: Literal["", "up", "down"] = ""
    ground: bool = False


_FEET = Wished(dimension="length", of="gone", notice=0.5, bound="down", ground=True)
WISHED: dict[str, Wished] = {
    "excess standing": Wished(dimension="ratio", of="bays", notice=0.01),
    "excess with the walker": Wished(dimension="ratio", of="walker", notice=0.01),
    "excess in a leash fall": Wished(dimension="ratio", of="falls", notice=0.01),
    "loops standing": Wished(dimension="length", of="bays", notice=0.05),
    "loops under the walker": Wished(dimension="length", of="walker", notice=0.05),
    "loops with the walker": Wished(dimension="length", of="walker", notice=0.05),
    "loops settled": Wished(dimension="length", of="bays", notice=0.05),
    "line over ground": Wished(dimension="length", of="line", notice=0.2, bound="down", ground=True),
    "loops over ground": Wished(dimension="length", of="line", notice=0.1, bound="down", ground=True),
    "feet over ground in a leash fall": Wished(
        dimension="length", of="falls", notice=0.5, bound="down", ground=True
    ),
    "feet over ground if the main goes": _FEET,
    "feet over ground if the main goes, ties hold": _FEET,
    "ring if the main goes": Wished(dimension="length", of="gone", notice=0.5, bound="up"),
    "ring if the main goes, ties hold": Wished(dimension="length", of="gone", notice=0.5, bound="up"),
    "force in a leash fall": Wished(dimension="force", of="falls", notice=200.0),
    "backup if the main goes": Wished(dimension="force", of="gone", notice=200.0),
    "tension standing": Wished(dimension="force", of="rig", notice=100.0),
    "tension with the walker": Wished(dimension="force", of="walker", notice=100.0),
    "sag with the walker": Wished(dimension="length", of="walker", notice=0.2),
    "backup length": Wished(dimension="length", of="rig", notice=0.5),
    "tapes": Wished(dimension="number", of="rig", notice=2.0),
    "taping time": Wished(dimension="time", of="rig", notice=600.0),
}
"""Figures that can be wished for, by the name that scenes use."""
ELSEWHERE = "clearance elsewhere"
"""What the clearance compares and no figure above is of: by how much it is more than asked for."""
_OWN = {ELSEWHERE: Wished(dimension="length", of="clearance", notice=0.2, bound="down", ground=True)}
"""Figures that no scene wishes for."""
LOOPS_WALKED = ("loops under the walker", "loops with the walker")
"""Those of loops as taped with the walker."""


@dataclass(frozen=True, kw_only=True)
class Wish:
    """One wish: a figure, and what it shall be at least, at most, or between.

    Attributes
    ----------
    figure : str
        A key of `WISHED`.
    at_least, at_most : float
        -inf and inf where nothing is asked.  [SI]
    start, end : float
        Which part of the line it is wished for, from A along the straight line.  [m]
    zone : int or None
        The tape zone, counted from 1, where it is wished for one.
    origin : {"scene", "clearance", "itself"}
        Who wishes it: the scene, its required clearances, or every line.
    """

    figure: str
    at_least: float = -math.inf
    at_most: float = math.inf
    start: float = 0.0
    end: float = math.inf
    zone: int | None = None
    origin: Literal["scene", "clearance", "itself"] = "scene"

    @property
    def wished(self) -> Wished:
        """What is known of its figure."""
        return WISHED.get(self.figure) or _OWN[self.figure]


@dataclass(frozen=True, kw_only=True)
class Limits:
    """How far a rig may be changed.  A missing low or high is chosen from the rig.

    Attributes
    ----------
    pull, excess, bay, leash : (2,) tuple of float
        Low and high of standing tension [N], excess [-], bays [m] and leash [m]; nan where none is given.
    raise_a, raise_b, aside : float
        By how much an anchor may be raised, and both be moved to either side, at most.  [m]
    ties : int
        Most places where main and backup are tied; -1 where none is given.
    backup, taping : float
        Longest backup [m], and time for taping [s]; inf where none is given.
    style, webbing : str
        A tape style and a webbing that may be taken instead; "" for none.
    """

    pull: tuple[float, float] = (math.nan, math.nan)
    excess: tuple[float, float] = (math.nan, math.nan)
    bay: tuple[float, float] = (math.nan, math.nan)
    leash: tuple[float, float] = (math.nan, math.nan)
    raise_a: float = 3.0
    raise_b: float = 3.0
    aside: float = 0.0
    ties: int = -1
    backup: float = math.inf
    taping: float = math.inf
    style: str = ""
    webbing: str = ""

"""What is asked of the clearance and what was found: plain frozen records, no computing of distances."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

NARROWEST_HOLE = 1.0
"""Holes in the ground below the line narrower than this are listed and do not count (assumed). [m]"""

KINDS = ("line", "loop", "leash", "body")


@dataclass(frozen=True, eq=False, kw_only=True)
class Finding:
    """The worst place of one kind and cause over the whole sweep.

    Parameters
    ----------
    rank : int
        1 is the smallest remainder over what is needed.
    kind : {'line', 'loop', 'leash', 'body'}
    cause : str
        What put it there, in words of the trade, such as "walker, wind from the left".
    distance : float
        Smallest 3-D distance, a lower bound (sagitta taken off); negative below ground. [m]
    vertical : float
        Smallest vertical distance over the same curves, nan where no ground is known below. [m]
    required, needed : float
        Required distance of the kind, and with survey error and margin added. [m]
    station : float
        Place on the line, from anchor A. [m]
    walker : float or None
        Where the walker is then. [m]
    point, nearest : (3,) float
        The place in space and the nearest point of the ground. [m]
    vertical_station : float
        Place of the smallest vertical distance, from anchor A; nan for none. [m]
    vertical_walker : float or None
        Where the walker is then. [m]
    vertical_point, vertical_ground : (3,) float or None
        The place in space of the smallest vertical distance and the ground straight below it; None for none. [m]
    also : tuple of (str, float)
        Other causes and their smallest distance at the same place, nearest first. [m]
    """

    rank: int
    kind: str
    cause: str
    distance: float
    vertical: float
    required: float
    needed: float
    station: float
    walker: float | None
    point: Floats
    nearest: Floats
    vertical_station: float
    vertical_walker: float | None
    vertical_point: Floats | None = None
    vertical_ground: Floats | None = None
    also: tuple[tuple[str, float], ...] = ()

    @property
    def remainder(self) -> float:
        """Distance less what is needed; negative where the requirement is not met. [m]"""
        return self.distance - self.needed

    @property
    def is_met(self) -> bool:
        """Whether the requirement is met by these figures (bounds and assumptions as stated)."""
        return self.remainder >= 0.0


@dataclass(frozen=True, eq=False, kw_only=True)
class NoFallZone:
    """A stretch of the line where a leash fall does not keep what the body needs.

    Parameters
    ----------
    from_a : (2,) float
        Start and end, from anchor A. [m]
    from_b : (2,) float
        Nearer and farther end, from anchor B. [m]
    worst : float
        Smallest remainder within (negative). [m]
    worst_at : float
        Walker's position there, from anchor A. [m]

    Notes
    -----
    A zone reaches to the next position tried that meets the requirement, so it errs to the wide side by up
    to one step of the sweep.
    """

    from_a: tuple[float, float]
    from_b: tuple[float, float]
    worst: float
    worst_at: float


@dataclass(frozen=True, eq=False, kw_only=True)
class RunReach:
    """A stretch of the line over which feet can get too near if the ring runs after a leash fall (bound, no friction).

    Parameters
    ----------
    from_a : (2,) float
        Start and end of where the body is then, from anchor A. [m]
    from_b : (2,) float
        Nearer and farther end, from anchor B. [m]
    worst : float
        Smallest remainder within (negative). [m]
    worst_at : float
        Place of the feet there, from anchor A. [m]
    distance : float
        Smallest distance there; negative below ground. [m]
    falls : tuple of (float, float)
        From where falls get too near there: stretches of walker positions, from anchor A, wide by up to one step. [m]
    strikes : tuple of (float, float)
        From where they reach the ground itself. [m]
    """

    from_a: tuple[float, float]
    from_b: tuple[float, float]
    worst: float
    worst_at: float
    distance: float
    falls: tuple[tuple[float, float], ...]
    strikes: tuple[tuple[float, float], ...]


@dataclass(frozen=True, eq=False, kw_only=True)
class Envelope:
    """All places that lines and bodies can take, as rings in upright planes across the line.

    Parameters
    ----------
    station : (n,) float
        Planes, by distance from anchor A along the straight line. [m]
    lines : (n, 8, 3) float
        Outermost points of main and loops in eight directions: down, then turning towards the left seen from A;
        nan where nothing passes. [m]
    bodies : (n, 8, 3) float or None
        The same of the walker, standing, hanging and at the lowest bounds of leash fall and loss of the main. [m]
    """

    station: Floats
    lines: Floats
    bodies: Floats | None = None


@dataclass(frozen=True, eq=False, kw_only=True)
class Clearance:
    """Every finding of a sweep, worst first.

    Parameters
    ----------
    findings : tuple of Finding
        Ranked by remainder, smallest first.
    no_fall_zones : tuple of NoFallZone
        In order from anchor A: for falls with a ring that stays where it is on the main.
    holes : (m, 2) float
        Stretches of the line, in plan from anchor A, without known ground below. [m]
    survey_error, margin : float
        Added to every required distance. [m]
    source : str
        The ground.
    notes : tuple of str
        What was assumed, dropped or not known.
    anchor_zone : float
        So near to an anchor nothing is compared: there lines come down to the rock. [m]
    at_anchors : tuple of Finding
        The worst places within the anchor zones, measured but not compared, smallest remainder first.
    by_edge : tuple of Finding
        What is outside the anchor zones and nearer than needed to rock beside it that lies within an anchor zone, such
        as the cliff the anchor stands on: listed apart and not compared, as long as survey error and margin are kept.
    strikes : tuple of NoFallZone
        Where the lowest bound of a leash fall touches the ground itself, before anything is added; `worst` is the
        distance there.
    runs : tuple of RunReach or None
        Where feet get too near with a ring that runs, outside the anchor zones; None where that was not looked at.
    walkers : (k,) float
        Walker positions tried, from anchor A; empty where that is not known. [m]
    envelope : Envelope or None
    unknown : (m, 2) float
        Stretches along the straight line, from anchor A, outside the anchor zones and no narrower than
        `NARROWEST_HOLE`, below which no ground is known: no distance is shown to be kept there. [m]
    span : float
        Straight distance from anchor to anchor; nan where that was not told. [m]
    is_asked : bool
        Whether the scene asks for distances at all.
    """

    findings: tuple[Finding, ...]
    no_fall_zones: tuple[NoFallZone, ...]
    holes: Floats
    survey_error: float
    margin: float
    source: str
    notes: tuple[str, ...]
    anchor_zone: float = 0.0
    at_anchors: tuple[Finding, ...] = ()
    by_edge: tuple[Finding, ...] = ()
    strikes: tuple[NoFallZone, ...] = ()
    runs: tuple[RunReach, ...] | None = None
    walkers: Floats = field(default_factory=lambda: np.zeros(0))
    envelope: Envelope | None = None
    unknown: Floats = field(default_factory=lambda: np.zeros((0, 2)))
    span: float = math.nan
    is_asked: bool = True

    @property
    def is_met(self) -> bool:
        """Whether every requirement is met by these figures (outside the anchor zones).

        What is asked for is met only where the ground is known.
        """
        return all(finding.is_met for finding in self.findings) and not (self.is_asked and len(self.unknown))

    def is_known_at(self, station: float) -> bool:
        """Whether ground is known below a place outside the anchor zones.

        Parameters
        ----------
        station : float
            From anchor A along the straight line. [m]
        """
        return not any(low <= station <= high for low, high in self.unknown.tolist())

    @property
    def exit_status(self) -> int:
        """0 if every requirement is met, 3 if one is not, or is not known to be."""
        return 0 if self.is_met else 3

"""What is asked of the clearance and what was found: plain frozen records, no computing of distances."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.why import Why
from linescope.notes import Note
from linescope.rig import ClearanceNeeds, Rig
from linescope.shown import Outlined

Floats = NDArray[np.float64]

NARROWEST_HOLE = 1.0
"""Holes in the ground below the line narrower than this are listed and do not count (assumed). [m]"""

KINDS = ("line", "loop", "leash", "body")


ZONE_SHARE = 0.125
"""An anchor zone is at most this share of the span, whatever is asked for: the rest is compared (our own rule). [-]"""
ANCHOR_ZONE = ClearanceNeeds.anchor_zone
"""Where a rig asks for no distances: as its default.  [m]"""
TOUCHES = 1e-3
"""So deep in rock a line is in it; less is rounding, such as at an anchor that stands on the ground itself. [m]"""


APART, APART_SHARE = 4.0, 0.05
"""Places nearer together than this on the ground [m], or than this share of the span, are one."""


def apart(span: float) -> float:
    """How far apart places have to be to be two; nan with the span.  [m]"""
    return max(APART_SHARE * span, APART)


def anchor_zone(rig: Rig) -> float:
    """So near to an anchor no distance is compared, for lines come down to the rock there.  [m]"""
    asked = ANCHOR_ZONE if rig.needs is None else rig.needs.anchor_zone
    return min(asked, ZONE_SHARE * rig.span)


class Verdict(StrEnum):
    """What a clearance comes to."""

    KEPT = "kept"
    SHORT = "short"
    UNKNOWN = "unknown"  # Not compared, or no ground known: nothing is shown to be kept.
    NOT_ASKED = "not asked"  # No distance is asked for, and nothing touches the ground.


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Cause(Outlined):
    """The nearest approach of one kind for one cause over the whole sweep.

    Parameters
    ----------
    kind : {'line', 'loop', 'leash', 'body'}
    why : Why
        What put it there.
    family : str
        What it is an instance of: "rig" for lines at rest in any weather, "standing", "hanging", or an event.
    distance : float
        Smallest 3-D distance, a lower bound (sagitta taken off); in rock minus the depth below the surface of the piece
        it is in. [m]
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
    inside : float
        Length inside rock at that moment; of a line, over its whole length.  nan for lower envelopes, which are
        bounds and no physical body. [m]
    ground : str
        Name of what it comes near to; empty for the only ground.
    role : {'ground', 'vegetation', 'water', 'area'}
    also : tuple of (Why, float)
        Other causes and their smallest distance at the same place, nearest first. [m]
    """

    kind: str
    why: Why
    family: str
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
    inside: float = 0.0
    ground: str = ""
    role: str = "ground"
    also: tuple[tuple[Why, float], ...] = ()

    @property
    def remainder(self) -> float:
        """Distance less what is needed; negative where the requirement is not met. [m]"""
        return self.distance - self.needed

    @property
    def is_met(self) -> bool:
        """Whether the requirement is met by these figures, bounds and assumptions as stated; never where it touches."""
        return self.remainder >= 0.0 and self.distance > 0.0

    @property
    def is_at_rest(self) -> bool:
        """Whether it is so without any fall or loss: lines as they lie, or somebody who stands."""
        return self.family in ("rig", "standing")

    @property
    def is_in_rock(self) -> bool:
        """Whether it is in rock by more than rounding."""
        return self.distance < -TOUCHES


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Finding(Outlined):
    """One place of the ground that something comes near to: once, whatever brings it there.

    Parameters
    ----------
    rank : int
        1 is the worst.
    causes : tuple of Cause
        Worst first; the first is told, the others are folded under it.
    zone : str
        Anchor right outside whose zone it lies, or in whose zone it is in rock at rest; empty elsewhere.
    margin : float
        That is part of what each cause needs.  [m]
    """

    rank: int
    causes: tuple[Cause, ...]
    zone: str = ""
    margin: float = 0.0

    @property
    def worst(self) -> Cause:
        """The cause that is told."""
        return self.causes[0]

    @property
    def is_met(self) -> bool:
        """Whether every requirement is met here."""
        return all(cause.is_met for cause in self.causes)

    @property
    def kind(self) -> str:
        """Of the worst cause."""
        return self.worst.kind

    @property
    def why(self) -> Why:
        """What puts the worst there."""
        return self.worst.why

    @property
    def distance(self) -> float:
        """Of the worst cause. [m]"""
        return self.worst.distance

    @property
    def vertical(self) -> float:
        """Of the worst cause, straight down. [m]"""
        return self.worst.vertical

    @property
    def required(self) -> float:
        """Of the worst cause. [m]"""
        return self.worst.required

    @property
    def needed(self) -> float:
        """Of the worst cause, with survey error and margin. [m]"""
        return self.worst.needed

    @property
    def remainder(self) -> float:
        """Of the worst cause. [m]"""
        return self.worst.remainder

    @property
    def station(self) -> float:
        """Of the worst cause, from anchor A. [m]"""
        return self.worst.station

    @property
    def walker(self) -> float | None:
        """Where the walker is then. [m]"""
        return self.worst.walker

    @property
    def point(self) -> Floats:
        """(3,) place of the worst cause in space. [m]"""
        return self.worst.point

    @property
    def nearest(self) -> Floats:
        """(3,) nearest point of the ground. [m]"""
        return self.worst.nearest


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class AnchorZone(Outlined):
    """What is near one anchor, where lines come down to the rock: told in one row, whatever its causes.

    Parameters
    ----------
    anchor : {'A', 'B'}
    length : float
        Along the line. [m]
    asked : float
        Length asked for; more than `length` where that is more than `ZONE_SHARE` of the span. [m]
    within : tuple of Cause
        Nearest of each kind and family within: not compared, except that no line at rest may be in rock.
    border : tuple of Cause
        Nearest of what is nearest right at its border, because the line comes down there: compared.
    beside : tuple of Cause
        Approaches outside the zone whose nearest ground is rock inside it (such as the cliff face under the anchor)
        rather than ground below: listed but not compared, provided survey error and margin are kept.
    """

    anchor: str
    length: float
    asked: float
    within: tuple[Cause, ...] = ()
    border: tuple[Cause, ...] = ()
    beside: tuple[Cause, ...] = ()

    @property
    def in_rock(self) -> tuple[Cause, ...]:
        """What is in rock within the zone at rest, deepest first."""
        return tuple(cause for cause in self.within if cause.is_at_rest and cause.is_in_rock)

    @property
    def short(self) -> tuple[Cause, ...]:
        """What falls short at its border."""
        return tuple(cause for cause in self.border if not cause.is_met)

    @property
    def is_met(self) -> bool:
        """Whether nothing here is in rock at rest, nor short at the border."""
        return not self.in_rock and not self.short


@dataclass(frozen=True, eq=False, kw_only=True)
class NoFallZone:
    """A stretch of the line from where a leash fall is not clear: the body comes nearer than it needs, or the
    main is dragged onto the ground.

    Parameters
    ----------
    from_a : (2,) float
        Start and end, from anchor A. [m]
    from_b : (2,) float
        Nearer and farther end, from anchor B. [m]
    worst : float
        Smallest remainder within (negative), of the body or of a dragged main less the survey error. [m]
    worst_at : float
        Walker's position there, from anchor A. [m]
    in_time : tuple of (float, float)
        Stretches of it, from anchor A, where the fall in time comes nearer than the bound of the energy balance and so
        decides. [m]
    meets : (2,) float or None
        Where along the line the dragged main then lies on the ground, from anchor A, of all these falls; None where
        that is not told. [m]

    Notes
    -----
    A zone reaches to the next position tried that meets the requirement, so it errs to the wide side by up
    to one step of the sweep.
    """

    from_a: tuple[float, float]
    from_b: tuple[float, float]
    worst: float
    worst_at: float
    in_time: tuple[tuple[float, float], ...] = ()
    meets: tuple[float, float] | None = None

    def is_within(self, zones: Sequence[NoFallZone]) -> bool:
        """Whether one of others holds all of it.

        Parameters
        ----------
        zones : sequence of NoFallZone
        """
        start, end = self.from_a
        return any(zone.from_a[0] <= start and end <= zone.from_a[1] for zone in zones)


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
        From where they reach the ground, within the survey error. [m]
    """

    from_a: tuple[float, float]
    from_b: tuple[float, float]
    worst: float
    worst_at: float
    distance: float
    falls: tuple[tuple[float, float], ...]
    strikes: tuple[tuple[float, float], ...]


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Envelope(Outlined):
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


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Clearance(Outlined):
    """All that a sweep found.

    Parameters
    ----------
    findings : tuple of Finding
        By remainder, smallest first, without what is at the borders of anchor zones: `ranked.places` has all that is
        told, in the order in which it is told.
    no_fall_zones : tuple of NoFallZone
        In order from anchor A: for falls with a ring that stays where it is on the main.
    holes : (m, 2) float
        Stretches of the line, in plan from anchor A, without known ground below. [m]
    survey_error, margin : float
        Added to every required distance. [m]
    source : str
        The ground.
    notes : tuple of Note
        What was assumed, dropped or not known.
    zones : tuple of AnchorZone
        Of A and of B.
    compared : tuple of str
        Kinds of which something lies outside the anchor zones: what is not among them was not compared.
    expected : tuple of str
        Kinds that this rig has.
    strikes : tuple of NoFallZone
        Where the lowest bound of a leash fall reaches the ground, within the survey error; `worst` is the distance
        there less that error.
    drags : tuple of NoFallZone
        Where a leash fall takes the main down to the ground, within the survey error, outside the anchor zones; `worst`
        is its distance there less that error.
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
    notes: tuple[Note, ...]
    zones: tuple[AnchorZone, ...] = ()
    compared: tuple[str, ...] = ()
    expected: tuple[str, ...] = ()
    strikes: tuple[NoFallZone, ...] = ()
    drags: tuple[NoFallZone, ...] = ()
    runs: tuple[RunReach, ...] | None = None
    walkers: Floats = field(default_factory=lambda: np.zeros(0))
    envelope: Envelope | None = None
    unknown: Floats = field(default_factory=lambda: np.zeros((0, 2)))
    span: float = math.nan
    is_asked: bool = True

    @property
    def verdict(self) -> Verdict:
        """Kept only where everything was compared, against known ground, and nothing is short or in rock."""
        if self.short:
            return Verdict.SHORT
        if not self.is_asked:
            return Verdict.NOT_ASKED
        return Verdict.UNKNOWN if self.leaves_unknown else Verdict.KEPT

    @property
    def leaves_unknown(self) -> bool:
        """Whether ground is not known somewhere below, or something that this rig has was not compared."""
        return bool(len(self.unknown) or not self.compared or set(self.expected) - set(self.compared))

    @property
    def is_met(self) -> bool:
        """Whether nothing is short, in rock or unknown."""
        return self.verdict in (Verdict.KEPT, Verdict.NOT_ASKED)

    @property
    def reached_from(self) -> tuple[NoFallZone, ...]:
        """From where a leash fall reaches the ground, by who falls or by the main that he drags down."""
        return (*self.strikes, *self.drags)

    @property
    def anchor_zone(self) -> float:
        """Length of the anchor zones. [m]"""
        return max((zone.length for zone in self.zones), default=0.0)

    @property
    def causes(self) -> tuple[Cause, ...]:
        """Of all findings."""
        return tuple(cause for finding in self.findings for cause in finding.causes)

    @property
    def outside(self) -> tuple[Cause, ...]:
        """Everything compared outside the anchor zones: of all findings, and right at the borders of the zones."""
        return (*self.causes, *(cause for zone in self.zones for cause in zone.border))

    @property
    def short(self) -> tuple[Cause, ...]:
        """Everything that is not met: of findings, at the borders of anchor zones, in rock at rest; least first."""
        found = [cause for cause in self.causes if not cause.is_met]
        found += [cause for zone in self.zones for cause in (*zone.in_rock, *zone.short)]
        return tuple(sorted(found, key=lambda cause: cause.remainder))

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

"""The parts of a rig: how its lines are given, its tape plan, who walks on it, what blows on it.  All frozen, all SI.

Distances "along the line" are measured from anchor A.  Which state of the main they refer to (slack on the ground,
or tensioned) is `Taping.measured_on`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace
from typing import Literal

from linescope.errors import InputError
from linescope.shown import Outlined
from linescope.taping import Holds, TapeStock

Known = Literal["measured", "sheet", "guess", "assumed", "stated", "tried"]
AnchorName = Literal["A", "B"]


@dataclass(frozen=True, kw_only=True)
class Band:
    """A value with the low and high it may have.

    Attributes
    ----------
    low, value, high : float
        In ascending order.  [of what it bands]

    Raises
    ------
    InputError
        When they are not in that order.
    """

    low: float
    value: float
    high: float

    def __post_init__(self) -> None:
        if not self.low <= self.value <= self.high:
            raise InputError(
                "a band needs low <= value <= high", found=f"{self.low:g}, {self.value:g}, {self.high:g}"
            )


@dataclass(frozen=True, kw_only=True)
class Hold:
    """What a tape resists before the sliding line slips: drag + friction x normal force between the lines.

    Attributes
    ----------
    drag : Band
        Glue bleed, tight wrap.  [N]
    friction : Band
        Coefficient of friction.  [-]
    """

    drag: Band
    friction: Band


@dataclass(frozen=True, kw_only=True)
class MainPlan:
    """How the main is given: by standing tension at one end (`tension`, `end`), or by unstretched `length`.

    Attributes
    ----------
    tension : float or None
        Standing tension of the empty rig at `end`.  [N]
    end : "A" or "B"
        Where that tension is read.
    length : float or None
        Unstretched length anchor to anchor.  [m]
    """

    tension: float | None = None
    end: AnchorName = "A"
    length: float | None = None

    def __post_init__(self) -> None:
        if (self.tension is None) == (self.length is None):
            raise InputError(
                "the main is given by standing tension or by length, one of them", key="main",
                allowed="'tension' (with 'end') or 'length'",
            )


@dataclass(frozen=True, kw_only=True)
class BackupPlan:
    """How the backup's length is given.

    Attributes
    ----------
    given_by : {"excess", "loop length", "loop depth", "total length"}
        What `value` is.
    value : float
        A ratio for excess, else a length.  [- or m]
    """

    given_by: Literal["excess", "loop length", "loop depth", "total length"]
    value: float


@dataclass(frozen=True, kw_only=True)
class Spacing:
    """Where the tapes of a zone sit.

    Attributes
    ----------
    kind : {"even", "irregular", "pattern", "listed"}
    every : float
        Even: the bay.  Irregular: the mean bay.  [m]
    spread : float
        Irregular: half-width of the uniform variation, as a share of the mean.  [-]
    seed : int
        Irregular: which one of the random plans, so that it is the same every time.
    values : tuple of float
        Pattern: bays repeated in order.  Listed: distances of the tapes from anchor A.  [m]
    """

    kind: Literal["even", "irregular", "pattern", "listed"]
    every: float = math.nan
    spread: float = 0.0
    seed: int = 0
    values: tuple[float, ...] = ()


@dataclass(frozen=True, kw_only=True)
class TapeZone:
    """A stretch of the line taped one way.

    Attributes
    ----------
    start, end : float
        Distance from anchor A.  `end` is inf for "to anchor B".  [m]
    family : str
        A key of `linescope.taping.FAMILIES`.
    holds : Holds
    spacing : Spacing
    excess : float or None
        Overrides the backup plan's excess inside this zone.  [-]
    hold : Hold or None
        Overrides the rig's hold inside this zone.
    number : int or None
        Of the zone for people, from 1, where this one was cut out of it; None: as it stands among the rig's zones.
    """

    start: float
    end: float
    family: str
    holds: Holds
    spacing: Spacing
    excess: float | None = None
    hold: Hold | None = None
    number: int | None = None


@dataclass(frozen=True, kw_only=True, repr=False)
class Taping(Outlined):
    """The tape plan.

    Attributes
    ----------
    zones : tuple of TapeZone
        From anchor A to anchor B, without gaps or overlaps.
    measured_on : {"slack", "tensioned"}
        The state of the main in which spacing and excess are stated.
    tension : float or None
        For "tensioned": the tension of the main when marking; None means the standing tension.  [N]
    stock : TapeStock
        The tape itself: width, thickness, wraps, pace.
    tape_mass : float
        Mass of one finished tape.  [kg]
    """

    zones: tuple[TapeZone, ...]
    measured_on: Literal["slack", "tensioned"]
    tension: float | None = None
    stock: TapeStock = field(default_factory=TapeStock)
    tape_mass: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Joint:
    """Two sections of the main (and of the backup) joined; where `tied`, main and backup are tied there too.

    Attributes
    ----------
    at : float
        Distance from anchor A, in the state spacings refer to.  [m]
    mass : float
        Of the connecting hardware or sewing.  [kg]
    tied : bool
    """

    at: float
    mass: float = 0.0
    tied: bool = False


@dataclass(frozen=True, kw_only=True)
class Walker:
    """A person on the main.

    Attributes
    ----------
    mass : float
        With harness, leash and ring.  [kg]
    at : float
        Where the walker stands: distance from anchor A along the straight line to B.  [m]
    leash : float
        Length from ring to harness.  [m]
    hang : float
        From the tie-in point down to the lowest foot when hanging.  [m]
    tie_in_height : float
        Height of the tie-in point above the feet when standing.  [m]
    height : float
        Standing height, for the picture and the body's upper end.  [m]
    leash_modulus : float
        Force over strain of the leash.  [N]
    body_stiffness : float
        Of body and harness together, at the tie-in point.  [N/m]

    Notes
    -----
    A rope of 24 kN gives 9.0 kN at a fall factor of 1.77 with 80 kg, as dynamic ropes do on the bench of EN 892 (from
    memory); leashes of rope and webbing are taken to lie between 15 and 40 kN.  20 to 40 kN/m for body and harness are
    from memory, without a source.
    """

    mass: float
    at: float
    leash: float = 1.6
    hang: float = 1.1
    tie_in_height: float = 1.0
    height: float = 1.75
    leash_modulus: float = 24e3
    body_stiffness: float = 30e3

    @property
    def compliance(self) -> float:
        """How far leash and body, one after the other, give for each newton between ring and body.  [m/N]"""
        return self.leash / self.leash_modulus + 1.0 / self.body_stiffness

    def stretched(self, by: float) -> Walker:
        """The same with a leash longer by what leash and body give; to be drawn.  [m]"""
        return replace(self, leash=self.leash + by)


@dataclass(frozen=True, kw_only=True)
class Wind:
    """Horizontal wind and what it finds to push on.

    Attributes
    ----------
    speed : float
        Steady speed.  [m/s]
    towards : (2,) tuple
        Horizontal unit vector the air moves along.  [-]
    gust_factor : float
        Gust speed over steady speed.  [-]
    drag_coefficient : float
        Of a flat strip broadside.  [-]
    exposure : float
        Share of the width that the wind sees on average, since a strip twists.  [-]
    air_density : float
        [kg/m^3]
    """

    speed: float
    towards: tuple[float, float]
    gust_factor: float = 1.5
    drag_coefficient: float = 2.0
    exposure: float = 0.7
    air_density: float = 1.225


@dataclass(frozen=True, kw_only=True)
class WrappedBay:
    """A loop that has wrapped the main and was left so.

    Attributes
    ----------
    bay : int
        Counted from 1 at anchor A.
    half_turns : int
        Round the main.
    at : float
        Where in the bay it lies, as a share from its end towards A.  [-]
    """

    bay: int
    half_turns: int = 1
    at: float = 0.5


@dataclass(frozen=True, kw_only=True)
class Use:
    """What a line is used for between two looks at it.

    Attributes
    ----------
    crossings : int
        Of the walker, there and back each.
    wind_hours, bounce_hours : float
        Of the scene's wind on the empty line, and of bouncing.  [h]
    falls : tuple of float
        Leash falls: distances from A along the straight line to B.  [m]
    wrapped : tuple of WrappedBay
        Loops left wrapped round the main.
    assumed : bool
        A day that nobody gave.
    """

    crossings: int = 10
    wind_hours: float = 5.0
    bounce_hours: float = 0.0
    falls: tuple[float, ...] = ()
    wrapped: tuple[WrappedBay, ...] = ()
    assumed: bool = False


LEASHES = {
    "rope": Band(low=15e3, value=24e3, high=40e3),
    "webbing": Band(low=50e3, value=100e3, high=200e3),
}
"""Force over strain of a leash by what it is made of.  Rope: 24 kN gives 9 kN at a fall factor of 1.77 with 80 kg, as
on the bench of EN 892; webbing from memory.  [N]"""
BREAKS = ("anchor A", "anchor B", "beside him, to A", "beside him, to B", "worst")
"""Where a main may part, besides at a stated place."""


IN_MOTION = (1.3, 2.2)
"""Least and most stiffness of webbing in motion over that of its first slow pull: from measured bounces and load cells,
a thin base.  [-]"""


RUNNING_RING_FRICTION = Band(low=0.05, value=0.1, high=0.2)
"""Friction of a metal ring that runs along webbing as it catches a fall.  From memory, no source.  [-]"""


@dataclass(frozen=True, kw_only=True)
class InMotion:
    """What motion in time depends on besides the rig.

    Attributes
    ----------
    stiffness_factor : float
        Stiffness of webbing in motion over that of its own slow curve.  [-]
    drag_coefficient : float
        Of a strip that flutters.  [-]
    tape_strength : float
        Force between the lines at which a tape goes.  [N]
    ring_friction : float
        Of a ring that runs.  [-]
    leaving : float
        How long the walker's weight takes to leave the line.  [s]
    breaks_at : str or float
        One of `BREAKS`, or from A along the straight line to B [m].
    """

    stiffness_factor: float = 1.6
    drag_coefficient: float = 1.2
    tape_strength: float = 600.0
    ring_friction: float = RUNNING_RING_FRICTION.value
    leaving: float = 0.1
    breaks_at: str | float = "anchor A"


@dataclass(frozen=True, kw_only=True)
class Weather:
    """Water or ice on the lines.

    Attributes
    ----------
    main_added, backup_added : float
        Extra mass per metre.  [kg/m]
    """

    main_added: float = 0.0
    backup_added: float = 0.0


@dataclass(frozen=True, kw_only=True)
class ClearanceNeeds:
    """Distances the user asks for, and what is taken off every measured one.

    Attributes
    ----------
    line, loop, body : float
        Required distance to the ground by kind.  [m]
    survey_error, margin : float
        [m]
    leash : float
        Required of the leash; left out, the body's.  [m]
    vegetation, water : float
        Required of vegetation, whatever comes near it (nan: as of the ground), and of a water level (nan: it is not
        compared).  [m]
    anchor_zone : float
        So near to an anchor nothing is compared, since lines come down to the rock there.  [m]
    """

    line: float
    loop: float
    body: float
    survey_error: float
    margin: float
    leash: float = math.nan
    vegetation: float = math.nan
    water: float = math.nan
    anchor_zone: float = 5.0

    def __post_init__(self) -> None:
        if math.isnan(self.leash):
            object.__setattr__(self, "leash", self.body)

    @property
    def added(self) -> float:
        """What is added to every required distance: survey error and margin.  [m]"""
        return self.survey_error + self.margin

    def needed(self, kind: str) -> float:
        """Distance to the ground needed of a kind, with what is added.  [m]

        Parameters
        ----------
        kind : {"line", "loop", "body", "leash"}
        """
        return float(getattr(self, kind)) + self.added

"""What a day rubs: five tracks filled from every cause, with a low and a high, and what to look at first.

Causes are booked each by its own module: slides at tapes, sway in wind, strain cycles under wraps, the ring, falls,
wrapped bays.  What is not known well has a low and a high; every cause is booked with its value, its low ends and its
high ends, and causes are added end to end.  Nothing here says how long webbing lasts.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import pairwise
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from linescope.contact.cycles import BOUNCE_RATE, FRETTING, STRIDE, Cycles, cycle_tracks, fretting_cycles, loaded_range
from linescope.contact.ledger import Book, Face, RubCause, Tracks, empty
from linescope.contact.pacing import EXACT
from linescope.contact.rings import fall_tracks, ring_tracks, ring_work
from linescope.contact.slides import MOST, STEPS, History, betweens, walk_history
from linescope.contact.sway import Sway, find_sway, sway_tracks
from linescope.contact.wrapped import find_wrap, wrap_tracks
from linescope.errors import InputError
from linescope.events.fall import leash_fall
from linescope.events.friction import HoldLevel
from linescope.notes import Bays, Kind, Note, Quantity, Severity
from linescope.rig import Band, Rig, RigSource, Use, Wind, checked_rig
from linescope.rig.layout import Layout
from linescope.rig.parts import RUNNING_RING_FRICTION
from linescope.shown import Outlined
from linescope.statics import Plan, Solution, plan, solve
from linescope.statics.minimise import Settings
from linescope.taping import FAMILIES, Between, Holds, Tab, lay
from linescope.ties import first_most, ranks

Floats = NDArray[np.float64]
Progress = Callable[[float, str], None]

LEVELS: tuple[HoldLevel, ...] = ("low", "value", "high")
ASSUMED_SPEED = 6.0  # Wind square to the line where a scene has none [m/s].
PLACES = (1, 5)  # Crossings after which it is told where tapes are.
FIRST, FIRST_STEPS = 2, 3  # Crossings walked for a first answer, and steps in each bay.


class Guess(StrEnum):
    """What has to be guessed."""

    HOLD = "hold"
    SPEED = "wind speed"
    TURBULENCE = "turbulence"
    PLAY = "play"
    PRESSING = "pressing"
    STEP = "step load"
    BOUNCE = "bounce load"
    RING_FRICTION = "ring friction"
    RING_RUNS = "running ring"
    RING_MASS = "ring mass"
    FALL_SHARE = "fall share"
    FALL_RUN = "fall run"


# All from memory, save the ring's friction (metal on rope, published).
TURBULENCE = Band(low=0.10, value=0.18, high=0.25)  # Standard deviation over mean [-].
PLAY = Band(low=math.radians(2.0), value=math.radians(5.0), high=math.radians(10.0))  # Half-width [rad].
PRESSING = Band(low=5.0, value=15.0, high=30.0)  # Of a fixed wrap on its lines [N].
STEP_LOAD = Band(low=0.1, value=0.2, high=0.4)  # Of a step, lightest to heaviest, over the walker's weight [-].
BOUNCE_LOAD = Band(low=0.6, value=1.0, high=1.6)  # The same of a bounce [-].
# A ring that is dragged along under its own weight; one that runs in a fall, pressed with kilonewtons, has the friction
# of `RUNNING_RING_FRICTION`, as everywhere in falls: metal on fibre rubs less the harder it is pressed (from memory).
DRAGGED_RING_FRICTION = Band(low=0.14, value=0.20, high=0.25)
RING_MASS = Band(low=0.2, value=0.3, high=0.5)  # [kg]
FALL_SHARE = Band(low=0.3, value=0.5, high=0.7)  # Mean force while the ring runs, over the greatest [-].
FALL_RUN = Band(low=0.3, value=1.0, high=3.0)  # [m]


class WearNote(Kind):
    """What is said of rub."""

    FIRST = "wear-first"
    RANKS = "wear-ranks"
    USE = "wear-use"
    DAY = "wear-day-assumed"
    WIND = "wear-wind-assumed"
    ROUGH = "wear-rough"
    REPEATED = "wear-repeated"
    NO_SLIP = "wear-no-slip"
    TAB = "wear-tab"
    PRESSED = "wear-lines-pressed"
    LEFT_OUT = "wear-left-out"
    TIES = "wear-ties"
    FACES = "wear-basis-faces"
    HISTORY = "wear-basis-history"
    SWAY = "wear-basis-sway"
    STRAIN = "wear-basis-strain"
    RING = "wear-basis-ring"
    FALL = "wear-basis-fall"
    WRAPPED = "wear-basis-wrapped"
    NOT_CLAIMED = "wear-basis-not-claimed"


@dataclass(frozen=True, eq=False, kw_only=True)
class Ends:
    """Tracks with the low and the high they may have, bin by bin.

    Attributes
    ----------
    low, value, high : Tracks
    """

    low: Tracks
    value: Tracks
    high: Tracks

    def plus(self, other: Ends) -> Ends:
        """Added end to end."""
        return Ends(
            low=self.low.plus(other.low), value=self.value.plus(other.value), high=self.high.plus(other.high)
        )

    def of(self, level: HoldLevel) -> Tracks:
        """One of the three."""
        found: Tracks = getattr(self, level)
        return found


@dataclass(frozen=True, kw_only=True)
class Effect:
    """What one guess does to the worst place.

    Attributes
    ----------
    guess : Guess
    band : Band or None
        None for the hold, whose ends are those of each tape.
    dimension : str
        Of the band.
    given : bool
        Whether the scene gives it; else it is assumed here.
    low, high : float
        Largest work per metre on any face with this alone at its low and at its high end.  [J/m]
    """

    guess: Guess
    band: Band | None
    dimension: str
    given: bool
    low: float
    high: float


@dataclass(frozen=True, kw_only=True)
class InspectedPlace:
    """One place to look at: beside one tape, or beside tapes in a row whose rub cannot be told apart.

    Attributes
    ----------
    face : Face
    tape : int
        The nearest tape as taped, counted from 1 at anchor A, to where the rub is largest.
    tapes : tuple of int
        All tapes of the place, from A to B.
    at : float
        Where the rub is largest: unstretched metres from anchor A along this line.  [m]
    from_a : float
        The same from A along the straight line, the rig standing.  [m]
    reach : tuple of float
        Where it is largest beside the first and beside the last of its tapes, told as `from_a`.  [m]
    start, end : float
        From where to where it rubs, along this line.  [m]
    peak, low, high : float
        Largest work per metre, and what it may be.  [J/m]
    work : float
        On all of the place.  [J]
    cause : RubCause
        The one with the largest part in the peak.
    shares : mapping of RubCause to float
        Parts of the peak.  [-]
    """

    face: Face
    tape: int
    tapes: tuple[int, ...]
    at: float
    from_a: float
    reach: tuple[float, float]
    start: float
    end: float
    peak: float
    low: float
    high: float
    work: float
    cause: RubCause
    shares: Mapping[RubCause, float]


@dataclass(frozen=True, kw_only=True)
class WornTape:
    """What the strip of one tape goes through.

    Attributes
    ----------
    number : int
    family : str
    holds : Holds
    work, low, high : float
        On the strip.  [J]
    dry : float
        Of the strip that the sliding line can rub on; 0 where nothing slides.  [m^2]
    slip, slip_low, slip_high : float
        Stretched length through the tape.  [m]
    stroke : float
        Through it in the last crossing walked.  [m]
    reach : float
        Farthest that the sliding line has been from where it was taped.  [m]
    tab : float
        Length of a tucked tab between the lines; nan for tapes without.  [m]
    places : tuple of float
        Where on the line that slides the tape is: as taped, and after one, five and all crossings; each told by where
        that bit of line hangs as taped, from A along the straight line.  [m]
    fretting : float
        Cycles too small to be work.  [-]
    """

    number: int
    family: str
    holds: Holds
    work: float
    low: float
    high: float
    dry: float
    slip: float
    slip_low: float
    slip_high: float
    stroke: float
    reach: float
    tab: float
    places: tuple[float, float, float, float]
    fretting: float


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Wear(Outlined):
    """What a use of the line rubs.

    Attributes
    ----------
    rig : Rig
    layout : Layout
    standing : Solution
        Empty, still air, as taped.
    use : Use
    wind : Wind
        What blew.
    wind_assumed : bool
    between : tuple of Between
        Of every tape.
    histories : mapping of {"low", "value", "high"} to History
    sway : Sway
    causes : mapping of RubCause to Ends
    day : Ends
        All causes together.
    crossing : Tracks
        The first crossing alone, slides and ring.
    places : tuple of InspectedPlace
        Worst first.
    tapes : tuple of WornTape
        Most worked first.
    effects : tuple of Effect
        What each guess does to the worst place; none where that was not asked for.
    assumed, notes : tuple of Note
    """

    rig: Rig
    layout: Layout
    standing: Solution
    use: Use
    wind: Wind
    wind_assumed: bool
    between: tuple[Between, ...]
    histories: Mapping[HoldLevel, History]
    sway: Sway
    causes: Mapping[RubCause, Ends]
    day: Ends
    crossing: Tracks
    places: tuple[InspectedPlace, ...]
    tapes: tuple[WornTape, ...]
    effects: tuple[Effect, ...]
    assumed: tuple[Note, ...]
    notes: tuple[Note, ...]

    @property
    def history(self) -> History:
        """At the hold's value."""
        return self.histories["value"]

    def peak(self, face: Face, level: HoldLevel = "value") -> float:
        """Largest work per metre of a face.  [J/m]"""
        return self.day.of(level).faces[face].peak

    def tape_peak(self) -> float:
        """Most work on the strip of one tape.  [J]"""
        return float(self.day.value.tapes.max(initial=0.0))


def wind_for(rig: Rig, wind: Wind | None = None) -> tuple[Wind, bool]:
    """The wind that swings the loops: as given, else the scene's, else an assumed one square to the line.

    Returns
    -------
    Wind
    bool
        Whether it was assumed.
    """
    found = wind or rig.wind
    if found is not None:
        return found, False
    line = (rig.main_b - rig.main_a)[:2]
    run = math.hypot(*line)
    return Wind(speed=ASSUMED_SPEED, towards=(float(-line[1] / run), float(line[0] / run))), True


def _envelope(tracks: Mapping[HoldLevel, Tracks], layout: Layout) -> Ends:
    """The value, and the least and most of all levels bin by bin."""
    low, high = Book(layout), Book(layout)
    each = list(tracks.values())
    for face in Face:
        works = np.array([one.faces[face].work for one in each])
        low.work[face], high.work[face] = works.min(axis=0), works.max(axis=0)
    tapes = np.array([one.tapes for one in each])
    low.tapes, high.tapes = tapes.min(axis=0), tapes.max(axis=0)
    return Ends(low=low.close(), value=tracks["value"], high=high.close())


class _Day:
    """Books every cause for any choice of ends."""

    def __init__(
        self, rig: Rig, use: Use, wind: Wind, planned: Plan, standing: Solution, histories: Mapping[HoldLevel, History],
        speed: Band | None, ring: Band,
    ) -> None:
        self.rig, self.use, self.planned, self.standing = rig, use, planned, standing
        self.layout, self.histories = planned.layout, histories
        self.friction = {level: self._friction(level) for level in LEVELS}
        self.speed, self.ring = speed, ring
        turbulence, play = (tuple(getattr(band, level) for level in LEVELS) for band in (TURBULENCE, PLAY))
        self.sways: dict[HoldLevel, Sway] = {}
        speeds: dict[HoldLevel, float] = {"value": wind.speed}
        if speed is not None:
            speeds |= {"low": speed.low, "high": speed.high}
        for level, each in speeds.items():
            self.sways[level] = find_sway(standing, replace(wind, speed=each), turbulence, play)
        layout = self.layout
        self.tape_main, self.tape_backup = layout.tape_main.copy(), layout.tape_backup.copy()
        ended = histories["value"].places[-1]
        for holds, marks in ((Holds.BACKUP, self.tape_main), (Holds.MAIN, self.tape_backup)):
            which = np.array([tape.holds is holds for tape in layout.tapes], dtype=bool)
            marks[which] = ended[which]
        self.loads: dict[tuple[str, HoldLevel], Floats] = {}
        self.nothing = empty(layout)
        self.taped = solve(rig, planned=planned) if use.wrapped else None
        self.wraps = () if self.taped is None else tuple(find_wrap(self.taped, bay) for bay in use.wrapped)
        falls = [leash_fall(rig, at, planned=planned) for at in use.falls]
        self.pulls = [float(fall.figures.low.peak_force[0]) for fall in falls]
        self.fallen = [planned.walker_coordinate(at) for at in use.falls]

    def _friction(self, level: HoldLevel) -> Floats:
        return np.array([getattr(tape.hold.friction, level) for tape in self.layout.tapes], dtype=float)

    def _range(self, band: Band, name: str, level: HoldLevel) -> Floats:
        key = (name, level)
        if key not in self.loads:
            self.loads[key] = loaded_range(self.planned, getattr(band, level))
        return self.loads[key]

    def cycles(self, step: HoldLevel = "value", bounce: HoldLevel = "value") -> tuple[Cycles, ...]:
        """Passages, steps, bounces."""
        use, history = self.use, self.histories["value"]
        found = []
        if use.crossings:
            steps = 2.0 * use.crossings * self.layout.main_length / STRIDE
            found += [
                Cycles(count=2.0 * use.crossings, strain=history.strain),
                Cycles(count=steps, strain=self._range(STEP_LOAD, "step", step)),
            ]
        if use.bounce_hours > 0.0:
            count = BOUNCE_RATE * 3600.0 * use.bounce_hours
            found.append(Cycles(count=count, strain=self._range(BOUNCE_LOAD, "bounce", bounce)))
        return tuple(found)

    def book(self, cause: RubCause, ends: Mapping[Guess, HoldLevel]) -> Tracks:
        """One cause, its guesses at the ends that are named, else at their values."""
        def at(guess: Guess) -> HoldLevel:
            return ends.get(guess, "value")

        layout, use = self.layout, self.use
        friction = self.friction[at(Guess.HOLD)]
        if cause is RubCause.SLIDE:
            return self.histories.get(at(Guess.HOLD), self.histories["value"]).tracks
        if cause is RubCause.SWAY and use.wind_hours > 0.0:
            sway = self.sways.get(at(Guess.SPEED), self.sways["value"])
            one = sway_tracks(
                self.standing, sway, friction=friction, tape_main=self.tape_main, tape_backup=self.tape_backup,
                intensity=LEVELS.index(at(Guess.TURBULENCE)), play=LEVELS.index(at(Guess.PLAY)),
            )
            return one.times(use.wind_hours)
        if cause is RubCause.STRAIN and any(tape.holds is Holds.BOTH for tape in layout.tapes):
            return cycle_tracks(
                layout, self.cycles(at(Guess.STEP), at(Guess.BOUNCE)), width=self.rig.taping.stock.width,
                pressing=getattr(PRESSING, at(Guess.PRESSING)), friction=friction,
            )
        if cause is RubCause.RING and use.crossings:
            friction_of_ring, mass = getattr(DRAGGED_RING_FRICTION, at(Guess.RING_FRICTION)), getattr(
                RING_MASS, at(Guess.RING_MASS))
            return ring_tracks(layout, use.crossings * ring_work(friction_of_ring, mass))
        if cause is RubCause.FALL and use.falls:
            return fall_tracks(
                layout, self.fallen, self.pulls, friction=getattr(self.ring, at(Guess.RING_RUNS)),
                share=getattr(FALL_SHARE, at(Guess.FALL_SHARE)), run=getattr(FALL_RUN, at(Guess.FALL_RUN)),
            )
        if cause is RubCause.WRAP and self.taped is not None:
            return wrap_tracks(
                self.taped, self.wraps, self.cycles(at(Guess.STEP), at(Guess.BOUNCE)),
                tuple(bay.half_turns for bay in use.wrapped), float(np.mean(friction)) if len(friction) else 0.0,
            )
        return self.nothing

    def ends(self, cause: RubCause) -> Ends:
        """One cause with all its guesses at one end."""
        if cause is RubCause.SLIDE:
            return _envelope({level: history.tracks for level, history in self.histories.items()}, self.layout)
        value = self.book(cause, {})
        if value is self.nothing:
            return Ends(low=value, value=value, high=value)
        low: dict[Guess, HoldLevel] = dict.fromkeys(Guess, "low")
        high: dict[Guess, HoldLevel] = dict.fromkeys(Guess, "high")
        low[Guess.PLAY], high[Guess.PLAY] = "high", "low"
        three: dict[HoldLevel, Tracks] = {
            "low": self.book(cause, low), "value": value, "high": self.book(cause, high),
        }
        return _envelope(three, self.layout)


DIMENSION = {
    Guess.SPEED: "speed", Guess.TURBULENCE: "ratio", Guess.PLAY: "angle", Guess.PRESSING: "force", Guess.STEP: "ratio",
    Guess.BOUNCE: "ratio", Guess.RING_FRICTION: "number", Guess.RING_RUNS: "number", Guess.RING_MASS: "mass",
    Guess.FALL_SHARE: "ratio", Guess.FALL_RUN: "length",
}
BANDS: Mapping[Guess, Band] = MappingProxyType({
    Guess.TURBULENCE: TURBULENCE, Guess.PLAY: PLAY, Guess.PRESSING: PRESSING, Guess.STEP: STEP_LOAD,
    Guess.BOUNCE: BOUNCE_LOAD, Guess.RING_FRICTION: DRAGGED_RING_FRICTION, Guess.RING_MASS: RING_MASS,
    Guess.FALL_SHARE: FALL_SHARE, Guess.FALL_RUN: FALL_RUN,
})
TOUCHES: Mapping[Guess, tuple[RubCause, ...]] = MappingProxyType({
    Guess.HOLD: (RubCause.SLIDE, RubCause.SWAY, RubCause.STRAIN, RubCause.WRAP), Guess.SPEED: (RubCause.SWAY,),
    Guess.TURBULENCE: (RubCause.SWAY,), Guess.PLAY: (RubCause.SWAY,), Guess.PRESSING: (RubCause.STRAIN,),
    Guess.STEP: (RubCause.STRAIN, RubCause.WRAP), Guess.BOUNCE: (RubCause.STRAIN, RubCause.WRAP),
    Guess.RING_FRICTION: (RubCause.RING,), Guess.RING_RUNS: (RubCause.FALL,), Guess.RING_MASS: (RubCause.RING,),
    Guess.FALL_SHARE: (RubCause.FALL,), Guess.FALL_RUN: (RubCause.FALL,),
})
"""Which causes a guess has a part in."""


def _effects(day: _Day, causes: Mapping[RubCause, Ends], speed: Band | None) -> tuple[Effect, ...]:
    found = []
    for guess in Guess:
        touched = [cause for cause in TOUCHES[guess] if causes[cause].value.total > 0.0 or guess is Guess.HOLD]
        unused = (guess is Guess.SPEED and speed is None) or (guess is Guess.BOUNCE and not day.use.bounce_hours)
        if unused or not touched:
            continue
        peaks = []
        for level in ("low", "high"):
            tracks = None
            for cause, ends in causes.items():
                one = day.book(cause, {guess: level}) if cause in touched else ends.value
                if one is not day.nothing:
                    tracks = one if tracks is None else tracks.plus(one)
            assert tracks is not None
            peaks.append(tracks.peak)
        band = {Guess.SPEED: speed, Guess.RING_RUNS: day.ring}.get(guess, BANDS.get(guess))
        found.append(Effect(
            guess=guess, band=band, dimension=DIMENSION.get(guess, ""), given=guess in (Guess.HOLD, Guess.SPEED),
            low=peaks[0], high=peaks[1],
        ))
    return tuple(sorted(found, key=lambda each: -abs(each.high - each.low)))


def _stations(standing: Solution) -> tuple[tuple[Floats, Floats], tuple[Floats, Floats]]:
    """Material coordinates of the nodes of each line, and how far from A along the straight line they stand.  [m]"""
    rig = standing.rig
    along = (rig.main_b - rig.main_a) / rig.span
    result = []
    for line in (standing.main, standing.backup):
        at = np.append(line.coordinate, line.coordinate[-1] + line.segments.length[-1])
        result.append((at[: len(line.nodes)], (line.nodes - rig.main_a) @ along))
    return result[0], result[1]


WORTH_NAMING = 0.01  # Bins with less than this share of a place's peak do not belong to it.
ALIKE = 1.5  # Peaks beside tapes in a row within this factor are one place: the worst guess moves them tenfold.


def _in_rows(peaks: Floats, causes: Sequence[RubCause]) -> list[tuple[int, int]]:
    """Tapes in a row that are one place, as ranges: from the largest peak on, as far either way as neighbours wear from
    the same cause and by no less than a share 1 / `ALIKE` of it.  Tapes with a peak of nothing are no place."""
    free, found = peaks > 0.0, []
    for top in np.lexsort((np.arange(len(peaks)), ranks(peaks))).tolist():
        if not free[top]:
            continue
        ends = []
        for step in (-1, 1):
            k = top
            while 0 <= k + step < len(peaks) and free[k + step] and causes[k + step] is causes[top] and (
                peaks[k + step] * ALIKE >= peaks[top]
            ):
                k += step
            ends.append(k)
        free[ends[0] : ends[1] + 1] = False
        found.append((ends[0], ends[1] + 1))
    return found


def worst_places(
    standing: Solution, causes: Mapping[RubCause, Ends], day: Ends, worst: int
) -> tuple[InspectedPlace, ...]:
    """The places with the most work per metre on all four faces, worst first.

    Parameters
    ----------
    standing : Solution
    causes : mapping of RubCause to Ends
    day : Ends
        Their sum.
    worst : int
        How many at most.

    Notes
    -----
    What lies nearest to one tape, as taped, on one face is a place, together with tapes in a row beside it whose rub
    cannot be told from its own.  What rubs evenly all along has no place and makes none; where there is one it counts.
    """
    layout = standing.layout
    stations = dict(zip(("main", "backup"), _stations(standing), strict=True))
    found: list[InspectedPlace] = []
    local_causes = [cause for cause in causes if cause is not RubCause.RING]
    for face in Face:
        marks = layout.tape_main if face.line == "main" else layout.tape_backup
        ledger = day.value.faces[face]
        local = ledger.per_metre - causes[RubCause.RING].value.faces[face].per_metre
        lower, higher = day.low.faces[face].per_metre, day.high.faces[face].per_metre
        by_cause = {cause: ends.value.faces[face].per_metre for cause, ends in causes.items()}
        inner = np.searchsorted(ledger.middles, 0.5 * (marks[:-1] + marks[1:]))
        cuts = [0, *inner.tolist(), len(ledger.work)] if len(marks) else [0]
        peaks, tops, most = np.zeros(len(marks)), [0] * len(marks), [RubCause.RING] * len(marks)
        for k, (start, end) in enumerate(pairwise(cuts)):
            if end > start and local[start:end].max() > 1e-9:
                tops[k] = start + first_most(local[start:end])
                peaks[k] = ledger.per_metre[tops[k]]
                most[k] = max(local_causes, key=lambda cause: by_cause[cause][tops[k]])
        where = [float(np.interp(ledger.middles[top], *stations[face.line])) for top in tops]
        for first, end in _in_rows(peaks, most):
            part = slice(cuts[first], cuts[end])
            worst_here = first + first_most(peaks[first:end])
            top, peak = tops[worst_here], float(peaks[worst_here])
            rubbed = cuts[first] + np.flatnonzero(local[part] > WORTH_NAMING * local[top])
            shares = {cause: float(each[top]) / peak for cause, each in by_cause.items()}
            found.append(InspectedPlace(
                face=face, tape=layout.tapes[worst_here].number,
                tapes=tuple(tape.number for tape in layout.tapes[first:end]), at=float(ledger.middles[top]),
                from_a=where[worst_here], reach=(where[first], where[end - 1]),
                start=float(ledger.edges[rubbed[0]]), end=float(ledger.edges[rubbed[-1] + 1]),
                peak=peak, low=min(float(lower[part].max()), peak), high=max(float(higher[part].max()), peak),
                work=float(ledger.work[part].sum()), cause=most[worst_here],
                shares=MappingProxyType({cause: share for cause, share in shares.items() if share > 0.0}),
            ))
    order = np.lexsort((
        np.array([place.tape for place in found]), np.array([place.face.value for place in found]),
        ranks([place.peak for place in found]),
    ))
    return tuple(found[k] for k in order[:worst].tolist())


def _dry(rig: Rig, layout: Layout) -> dict[tuple[str, Holds], tuple[float, float]]:
    """Dry area [m^2] and tab [m] of every kind of tape on a rig."""
    result = {}
    for key, holds in {(tape.family, tape.holds) for tape in layout.tapes if tape.kind == "tape"}:
        made = lay(FAMILIES[key], rig.section, rig.taping.stock, holds)
        dry = 0.0 if made.coverage is None else made.coverage.zone * made.tape.width
        tab = made.winding.between if isinstance(made.winding.beginning, Tab) else math.nan
        result[key, holds] = (dry, tab)
    return result


def _worn(
    rig: Rig, standing: Solution, histories: Mapping[HoldLevel, History], day: Ends, fretting: Floats
) -> tuple[WornTape, ...]:
    layout, value = standing.layout, histories["value"]
    dry = _dry(rig, layout)
    on_main, on_backup = _stations(standing)
    moments = [value.places[0], *(value.after(count) for count in (*PLACES, value.crossings))]
    slips = [history.slip for history in histories.values()]
    found = []
    for k, tape in enumerate(layout.tapes):
        area, tab = dry.get((tape.family, tape.holds), (0.0, math.nan))
        line = on_backup if tape.holds is Holds.MAIN else on_main
        at = [layout.tape_main[k]] * len(moments) if tape.holds is Holds.BOTH else [each[k] for each in moments]
        places = [float(np.interp(each, *line)) for each in at]
        found.append(WornTape(
            number=tape.number, family=tape.family, holds=tape.holds, work=float(day.value.tapes[k]),
            low=float(day.low.tapes[k]), high=float(day.high.tapes[k]), dry=area, slip=float(value.slip[k]),
            slip_low=min(float(each[k]) for each in slips), slip_high=max(float(each[k]) for each in slips),
            stroke=float(value.stroke[k]), reach=float(value.reach[k]), tab=tab,
            places=(places[0], places[1], places[2], places[3]), fretting=float(fretting[k]),
        ))
    order = np.lexsort((ranks([each.slip for each in found]), ranks([each.work for each in found])))
    return tuple(found[k] for k in order.tolist())


def alike(tapes: Sequence[WornTape]) -> tuple[tuple[WornTape, ...], ...]:
    """Tapes that hold the same and whose strips wear alike, together: the most worn first, as `tapes` are."""
    groups: list[list[WornTape]] = []
    for tape in tapes:
        for group in groups:
            first = group[0]
            if (tape.family, tape.holds) == (first.family, first.holds) and tape.work * ALIKE >= first.work:
                group.append(tape)
                break
        else:
            groups.append([tape])
    return tuple(tuple(group) for group in groups)


def find_wear(
    rig: Rig | RigSource,
    use: Use | None = None,
    *,
    wind: Wind | None = None,
    speed: Band | None = None,
    ring: Band = RUNNING_RING_FRICTION,
    worst: int = 20,
    most_steps: int = STEPS[-1],
    most_walked: int = MOST,
    per_bay: int | None = None,
    levels: tuple[HoldLevel, ...] = LEVELS,
    settings: Settings = EXACT,
    effects: bool = True,
    planned: Plan | None = None,
    progress: Progress | None = None,
) -> Wear:
    """What a use of the line rubs.

    Parameters
    ----------
    rig : RigSource or Rig
        A scene, or a rig; with a walker.
    use : Use, optional
        Default the rig's own.
    wind : Wind, optional
        Default the rig's own, or else an assumed 6 m/s square to the line.
    speed : Band, optional
        Low and high of the wind's speed.  [m/s]
    ring : Band
        Friction of a ring that runs in a fall.  [-]
    worst : int
        Length of the list of places.
    most_steps : int
        Steps in each bay, at the most.
    most_walked : int
        Crossings walked, at the most.
    per_bay : int, optional
        Steps in each bay; default they are halved until that stops mattering.
    levels : tuple
        Ends of the hold to walk at; "value" always is.
    settings : Settings
        Of the search, for every step of a crossing.
    effects : bool
        Whether what each guess does is booked as well.
    planned : Plan, optional
    progress : callable, optional
        Told the share done, 0 to 1, and what is being done; may raise to stop.

    Raises
    ------
    InputError
        When the rig has no walker, or a wrapped bay is none.
    NoEquilibrium

    Examples
    --------
    >>> import linescope
    >>> wear = linescope.find_wear(linescope.load("scenes/heron_gap.toml"), per_bay=1, levels=("value",))
    >>> wear.places[0].face.value, wear.places[0].cause.value
    ('backup underside', 'sway')
    """
    rig = checked_rig(rig)
    if rig.walker is None:
        raise InputError("rub needs somebody who walks", key="walker")
    use = rig.use if use is None else use
    planned = plan(rig) if planned is None else planned
    layout = planned.layout
    for number, bay in enumerate(use.wrapped, 1):
        if not 1 <= bay.bay <= len(layout.tapes) + 1:
            raise InputError(
                "there is no such bay", key=f"use.wrapped[{number}].bay", found=bay.bay,
                allowed=f"1 to {len(layout.tapes) + 1}",
            )
    between = betweens(rig, layout)
    asked: list[HoldLevel] = ["value", *(level for level in LEVELS if level in levels and level != "value")]
    histories: dict[HoldLevel, History] = {}
    steps = per_bay
    for count, level in enumerate(asked):
        def told(share: float, count: int = count) -> None:
            if progress is not None:
                progress(0.85 * (count + share) / len(asked), "crossings")

        histories[level] = walk_history(
            rig, level, planned=planned, between=between, crossings=use.crossings,
            per_bay=steps, most_steps=most_steps, most_walked=most_walked, settings=settings, progress=told,
        )
        if histories[level].first.total_work > 0.0:
            steps = histories[level].per_bay
    if progress is not None:
        progress(0.85, "wind")
    blows, wind_assumed = wind_for(rig, wind)
    standing = solve(rig.without_walker(), planned=planned)
    day = _Day(rig, use, blows, planned, standing, histories, speed, ring)
    if progress is not None:
        progress(0.93, "places")
    causes = MappingProxyType({cause: day.ends(cause) for cause in RubCause})
    total = causes[RubCause.SLIDE]
    for cause in list(RubCause)[1:]:
        if causes[cause].high is not day.nothing:
            total = total.plus(causes[cause])
    held = any(tape.holds is Holds.BOTH for tape in layout.tapes)
    fretting = fretting_cycles(layout, day.cycles() if held else (), rig.taping.stock.width)
    tapes = _worn(rig, standing, histories, total, fretting)
    dragged = ring_tracks(layout, ring_work(DRAGGED_RING_FRICTION.value, RING_MASS.value))
    result = Wear(
        rig=rig, layout=layout, standing=standing, use=use, wind=blows, wind_assumed=wind_assumed, between=between,
        histories=MappingProxyType(histories), sway=day.sways["value"], causes=causes, day=total,
        crossing=histories["value"].one.plus(dragged), places=worst_places(standing, causes, total, worst), tapes=tapes,
        effects=_effects(day, causes, speed) if effects else (), assumed=_assumed(rig, use, blows, most_walked),
        notes=(),
    )
    if progress is not None:
        progress(1.0, "done")
    object.__setattr__(result, "notes", _notes(result))
    return result


def first_wear(
    rig: Rig | RigSource, *, speed: Band | None = None, ring: Band = RUNNING_RING_FRICTION, planned: Plan | None = None,
    progress: Progress | None = None,
) -> Wear:
    """A first answer to what a use rubs, soon: only `FIRST` crossings are walked, with the hold's value alone.

    Those left are counted as the last of them.  Tapes mostly come to rest as crossings go on, so that is mostly more
    work than they do, but no bound; a place may be told somewhat more or less than `find_wear` tells it.  The first of
    its notes says all that.

    Parameters
    ----------
    rig : RigSource or Rig
        A scene, or a rig; with a walker.
    speed : Band, optional
        Low and high of the wind's speed.  [m/s]
    ring : Band
        Friction of a ring that runs in a fall.  [-]
    planned : Plan, optional
    progress : callable, optional
        Told the share done, 0 to 1, and what is being done; may raise to stop.

    Raises
    ------
    InputError
        When the rig has no walker, or a wrapped bay is none.
    NoEquilibrium
    """
    found = find_wear(
        rig, speed=speed, ring=ring, most_walked=FIRST, per_bay=FIRST_STEPS, levels=("value",), planned=planned,
        progress=progress,
    )
    history = found.history
    told = Note(kind=WearNote.FIRST, severity=Severity.LIMIT, weight=2.0, values={
        "walked": history.walked, "crossings": history.crossings,
    })
    object.__setattr__(found, "notes", (told, *found.notes))
    return found


def _assumed(rig: Rig, use: Use, wind: Wind, most: int) -> tuple[Note, ...]:
    def basis(kind: WearNote, **values: Quantity | int) -> Note:
        return Note(kind=kind, severity=Severity.BASIS, values=values)

    notes = [basis(WearNote.FACES), basis(WearNote.HISTORY, most=most)]
    if use.wind_hours > 0.0:
        notes.append(basis(
            WearNote.SWAY, speed=Quantity(wind.speed, "speed"), turbulence=Quantity(TURBULENCE.value, "ratio"),
            turbulence_low=Quantity(TURBULENCE.low, "ratio"), turbulence_high=Quantity(TURBULENCE.high, "ratio"),
            play=Quantity(PLAY.value, "angle"), play_low=Quantity(PLAY.low, "angle"),
            play_high=Quantity(PLAY.high, "angle"),
        ))
    if any(zone.holds is Holds.BOTH for zone in rig.taping.zones):
        notes.append(basis(
            WearNote.STRAIN, pressing=Quantity(PRESSING.value, "force"), low=Quantity(PRESSING.low, "force"),
            high=Quantity(PRESSING.high, "force"), stride=Quantity(STRIDE, "length"),
            least=Quantity(FRETTING, "length"),
        ))
    if use.crossings:
        notes.append(basis(
            WearNote.RING, mass=Quantity(RING_MASS.value, "mass"), low=Quantity(RING_MASS.low, "mass"),
            high=Quantity(RING_MASS.high, "mass"), friction=Quantity(DRAGGED_RING_FRICTION.value, "number"),
        ))
    if use.falls:
        notes.append(basis(WearNote.FALL, run=Quantity(FALL_RUN.value, "length"), count=len(use.falls)))
    if use.wrapped:
        notes.append(basis(WearNote.WRAPPED, count=len(use.wrapped)))
    return (*notes, basis(WearNote.NOT_CLAIMED))


def _notes(wear: Wear) -> tuple[Note, ...]:
    notes = [Note(kind=WearNote.RANKS, severity=Severity.LIMIT, weight=1.0)]
    use, value = wear.use, wear.history
    if use.assumed:
        notes.append(Note(kind=WearNote.DAY, severity=Severity.LIMIT, weight=0.9, values={
            "crossings": use.crossings, "wind": Quantity(3600.0 * use.wind_hours, "time"),
        }))
    else:
        notes.append(Note(kind=WearNote.USE, severity=Severity.LIMIT, weight=0.9, values={
            "crossings": use.crossings, "wind": Quantity(3600.0 * use.wind_hours, "time"),
            "bounce": Quantity(3600.0 * use.bounce_hours, "time"), "falls": len(use.falls), "wrapped": len(use.wrapped),
        }))
    if wear.wind_assumed and use.wind_hours > 0.0:
        notes.append(Note(
            kind=WearNote.WIND, severity=Severity.LIMIT, weight=0.9,
            values={"speed": Quantity(wear.wind.speed, "speed")},
        ))
    slides = [tape for tape in wear.layout.tapes if tape.holds is not Holds.BOTH]
    if slides and value.first.total_work <= 0.0:
        low = wear.histories.get("low")
        notes.append(Note(kind=WearNote.NO_SLIP, severity=Severity.LIMIT, weight=0.8, values={
            "low": "yes" if low is not None and low.first.total_work > 0.0 else "no",
        }))
    rough = [each.changed for each in wear.histories.values() if math.isfinite(each.changed) and not each.refined]
    if rough:
        notes.append(Note(
            kind=WearNote.ROUGH, severity=Severity.LIMIT, weight=0.8,
            values={"changed": Quantity(max(rough), "ratio", "up")},
        ))
    elif slides and value.first.total_work > 0.0 and not any(math.isfinite(e.changed) for e in wear.histories.values()):
        notes.append(Note(kind=WearNote.ROUGH, severity=Severity.LIMIT, weight=0.8, values={
            "changed": Quantity(math.nan, "ratio")
        }))
    if value.walked < value.crossings and value.first.total_work > 0.0:
        notes.append(Note(kind=WearNote.REPEATED, severity=Severity.BASIS, values={
            "walked": value.walked, "crossings": value.crossings, "change": Quantity(value.spread, "ratio", "up"),
        }))
    pulled = tuple(each.number for each in wear.tapes if each.tab == each.tab and each.slip_high > each.tab)
    if pulled:
        worst = max(each.slip_high for each in wear.tapes if each.number in pulled)
        tab = min(each.tab for each in wear.tapes if each.number in pulled)
        notes.append(Note(kind=WearNote.TAB, severity=Severity.CHECK, weight=len(pulled) / len(wear.tapes), values={
            "tapes": Bays(tuple(sorted(pulled))), "count": len(pulled), "slip": Quantity(worst, "length"),
            "tab": Quantity(tab, "length"),
        }))
    if value.lines_pressed > 0.0:
        notes.append(Note(kind=WearNote.PRESSED, severity=Severity.LIMIT, values={
            "share": Quantity(value.lines_pressed, "ratio")
        }))
    if any(tape.kind == "tie" for tape in wear.layout.tapes):
        notes.append(Note(kind=WearNote.TIES, severity=Severity.LIMIT))
    notes.append(Note(kind=WearNote.LEFT_OUT, severity=Severity.LIMIT, weight=0.95))
    return tuple(notes)

"""The line as it was built: what readings tell of it, and what they do not.

Unknown inputs (`priors`) are standardized to u, normal with a standard deviation of 1 before anything is measured.
Readings y with errors s are what the line as laid shows, f(u), and noise.  The line as built is where

    |u|^2 + sum ((y - f(u)) / s)^2                                                                                  (1)

is least, found by Gauss-Newton on exact states: all changed lines of a step are one `Stack`.  There its inverse Hessian
C = (J'J + 1)^-1, J the derivative of f / s, is the covariance of u [1]_; figures are solved in draws of it, so that a
combination that is well known stays so where its parts are not.  A reading is checked against all others by its
residual r over what it should scatter by, z = r / sqrt(1 - h) with h its own share in its fit, a'Ca [2]_.

References
----------
.. [1] A. Gelman et al., Bayesian Data Analysis, 3rd ed., 2013, section 4.1 (normal approximation at the mode).
.. [2] R. D. Cook, S. Weisberg, Residuals and Influence in Regression, 1982, section 2.2 (studentized residuals; the
   figures of the crew enter as readings of their own).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from linescope.errors import InputError, NoEquilibrium
from linescope.events.bands import ENDS, OUTCOMES, BandedFigure, figures_in
from linescope.events.moved import moved
from linescope.events.predicted import FAST, Loading, checked, foreseen, loaded_with, loading_of, shown_in
from linescope.events.priors import Unknown, unknowns_of
from linescope.events.rig_draws import DrawnRig, draw_values, frozen, settled
from linescope.events.sampling import points
from linescope.notes import Kind, Note, Quantity, Range, Severity, Spot, Term, Value, Verbatim
from linescope.rig import Band, Inputs, Reading, Rig, RigSource, checked_rig, inputs_of
from linescope.rig.readings import USUAL
from linescope.statics import Plan, plan
from linescope.statics.balanced import Balanced
from linescope.statics.stack import ANCHORS

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

DRAWS = 128
STEP = 0.02  # Of a standardized input, to see what changes.
MOST_STEPS, NEAR, FURTHEST = 8, 0.02, 1.5  # Of standardized inputs.
ODD = 3.0
"""Standard deviations beyond which a reading does not fit the others; 3 in 1000 do so by chance."""
MADE = 0.005
"""How far off a mark on a line is laid, one standard deviation; common practice, no source.  [m]"""
TOLD, UNTOLD = 0.75, 0.10
"""Share of the variance of an input that readings must take to tell it, and below which they say nothing of it.  [-]"""
TOGETHER = 0.9
"""Correlation from which two inputs cannot be told apart.  [-]"""
WORTH = 0.02
"""Least gain of a further reading that is named: mean logarithm by which figures become narrower.  [-]"""
PERSON = 80.0  # Of a walker where the scene has none.  [kg]
STANDING = BandedFigure(key="standing_a", dimension="force")
ASKED = (STANDING, *OUTCOMES)
"""Figures that are foretold of the line as built."""


class FittedNote(Kind):
    """What is said of readings."""

    ODD = "readings-odd"
    ODD_HOLD = "readings-odd-hold"
    ODD_MANY = "readings-odd-many"
    APART = "readings-apart"
    UNTOLD = "readings-untold"
    BEYOND = "readings-beyond"
    INPUT = "readings-input"
    NEXT = "readings-next"
    NO_NEXT = "readings-no-next"
    SLIDES = "readings-slides"
    BASIS = "readings-basis"
    LAID = "readings-laid"
    LOST = "readings-lost"


@dataclass(frozen=True, kw_only=True)
class Checked:
    """One reading beside what it should show.

    Attributes
    ----------
    reading : Reading
    planned : float
        What the plan foresees.  [SI]
    built : float
        What the line as built shows.  [SI]
    low, high : float
        Between which nine in ten such readings should lie, told by the plan and all other readings.  [SI]
    off : float
        How far it is off, over what it should scatter by.  [-]
    used : bool
        Whether this reading was used in the fit; false where it disagreed too much with the others and was left out.
    """

    reading: Reading
    planned: float
    built: float
    low: float
    high: float
    off: float
    used: bool


@dataclass(frozen=True, kw_only=True)
class Foretold:
    """One figure of the line.

    Attributes
    ----------
    outcome : BandedFigure
    planned, before_low, before_high : float
        As planned, and below which 5 and 95 % of lines lie that are built to the plan.  [SI]
    value, low, middle, high : float
        As built, and below which 5, 50 and 95 % of what the readings leave possible lie.  [SI]
    """

    outcome: BandedFigure
    planned: float
    before_low: float
    before_high: float
    value: float
    low: float
    middle: float
    high: float


@dataclass(frozen=True, kw_only=True)
class Known:
    """One uncertain input after the fit.  It may stay poorly known even where the figures that depend on it are well
    known.

    Attributes
    ----------
    key : str
    planned, built, sd : float
        As planned, as built and the standard deviation that is left.  [SI]
    given_low, given_high : float or None
        Between which it was said to lie; None where nothing was said.  [SI]
    explained : float
        Share of its variance that the readings take.  [-]
    """

    key: str
    planned: float
    built: float
    sd: float
    explained: float
    given_low: float | None = None
    given_high: float | None = None

    @property
    def is_beyond(self) -> bool:
        """Whether it lies, as built, outside what it was said to lie between."""
        if self.given_low is None or self.given_high is None:
            return False
        return not self.given_low <= self.built <= self.given_high


@dataclass(frozen=True, kw_only=True)
class Further:
    """A reading that nobody took yet.

    Attributes
    ----------
    reading : Reading
        Its value is what is foreseen.
    gain : float
        Mean logarithm by which figures become narrower.  [-]
    key : str
        The figure that becomes narrower most.
    now, then : float
        Its standard deviation without and with that reading.  [SI]
    """

    reading: Reading
    gain: float
    key: str
    now: float
    then: float


@dataclass(frozen=True, eq=False, kw_only=True)
class Fitted:
    """The line as it was built, as far as its readings tell.

    Attributes
    ----------
    planned : Plan
    rig : Rig
        As built: the tapes where they were laid, inputs as they fit best.
    built : Plan
        Of it, standing.
    readings : tuple of Checked
    foretold : tuple of Foretold
    known : tuple of Known
        Inputs of the crew's work.
    further : tuple of Further
        Readings that were thought of, the one that tells most first.
    correlation : float
        Of the main's unstretched length and its stiffness; nan where either is not unknown.  [-]
    values : mapping of str to float
        Inputs of the crew's work as built, by key of the scene.  [SI]
    draws, lost : int
        Of what is left possible, and in how many no state was found.
    notes : tuple of Note
    """

    planned: Plan
    rig: Rig
    built: Plan
    readings: tuple[Checked, ...]
    foretold: tuple[Foretold, ...]
    known: tuple[Known, ...]
    further: tuple[Further, ...]
    correlation: float
    values: Mapping[str, float]
    draws: int
    lost: int
    notes: tuple[Note, ...]

    def of(self, key: str) -> Foretold:
        """The figure with this key.

        Raises
        ------
        KeyError
        """
        found = next((each for each in self.foretold if each.outcome.key == key), None)
        if found is None:
            raise KeyError(key)
        return found


@dataclass(frozen=True, eq=False, kw_only=True)
class FittedLines:
    """L lines built to one plan, read alike.

    Attributes
    ----------
    u : (L, d) array
        Standardized inputs as built.  [-]
    cover : (L, d, d) array
        Their covariance.  [-]
    shown : (L, n) array
        What each reading should show there.  [SI]
    off : (L, n) array
        How far readings are off, over what they should scatter by when the others are known.  [-]
    scatter : (L, n) array
        That.  [SI]
    used : (L, n) bool array
    """

    u: Floats
    cover: Floats
    shown: Floats
    off: Floats
    scatter: Floats
    used: Flags


class ReadingModel:
    """What readings of a line should show, by its standardized inputs.

    Parameters
    ----------
    planned : Plan
    unknowns : sequence of d Unknown
    readings : sequence of n Reading
    """

    def __init__(self, planned: Plan, unknowns: Sequence[Unknown], readings: Sequence[Reading]) -> None:
        self.planned, self.unknowns, self.readings = planned, tuple(unknowns), tuple(readings)
        self.bands = {
            key: band for unknown in unknowns if unknown.name != FAST for key, band in unknown.group.bands.items()
        }
        self.stated = np.array([unknown.stated for unknown in unknowns])
        self.shift, self.spread = self._not_inputs()

    def drawn(self, u: Floats) -> tuple[DrawnRig, Floats | None]:
        """Lines at standardized inputs (R, d), and their stiffness in motion where that is unknown.  [-]"""
        values: dict[str, Floats] = {}
        for unknown, each in zip(self.unknowns, u.T, strict=True):
            values |= unknown.at(each)
        fast = values.pop(FAST, None)
        found = draw_values(self.planned, values, self.bands)
        return found, None if fast is None else fast[found.rows]

    def shown(self, u: Floats) -> Floats:
        """(R, n) what readings should show; nan where a line is not found.  [SI]"""
        drawn, fast = self.drawn(u)
        found = np.full((len(u), len(self.readings)), np.nan)
        found[drawn.rows] = foreseen(drawn, self.readings, fast) + self.shift
        return found

    def _not_inputs(self) -> tuple[Floats, Floats]:
        """(n,) shift of each reading by sliding, and its standard deviation for causes that are no input.  [SI]

        Sliders lie somewhere between as taped and settled: the middle, half of the way to either side.  Marks are laid
        so well and no better (`deeper_by`), and a bay has two of them.
        """
        shift, spread = np.zeros(len(self.readings)), np.zeros(len(self.readings))
        drawn, _ = self.drawn(np.zeros((1, len(self.unknowns))))
        slides, free_states = bool(drawn.stack.free.any()), dict[Loading, Balanced]()
        for k, reading in enumerate(self.readings):
            if reading.what not in ("loop", "bay", "tape"):
                continue
            loading = loading_of(reading)
            loaded = loaded_with(drawn, loading)
            taped = float(shown_in(loaded, loaded.balanced, reading, drawn.rig)[0])
            made = MADE * (math.sqrt(2.0) if reading.what == "bay" else 1.0)
            if reading.what == "loop":
                bay = float(self.planned.layout.stated_bays[reading.number - 1])
                made = deeper_by(max(taped, 0.0), bay)
            free = 0.0
            if slides:
                if loading not in free_states:
                    free_states[loading] = settled(loaded.stack, loaded.balanced)
                free = float(shown_in(loaded, free_states[loading], reading, drawn.rig)[0]) - taped
                free = free if math.isfinite(free) else 0.0
            shift[k], spread[k] = 0.5 * free, math.hypot(made, 0.5 * free)
        return shift, spread

    def slope(self, u: Floats) -> tuple[Floats, Floats]:
        """(L, n) what readings show at standardized inputs (L, d), and (L, n, d) how that changes with them."""
        lines, d = u.shape
        tried = np.flatnonzero(self.stated)
        moves = np.zeros((1 + len(tried), d))
        moves[1 + np.arange(len(tried)), tried] = STEP
        every = self.shown((u[:, None] + moves).reshape(-1, d)).reshape(lines, 1 + len(tried), -1)
        slope = np.zeros((lines, every.shape[2], d))
        slope[:, :, tried] = np.nan_to_num(np.transpose((every[:, 1:] - every[:, :1]) / STEP, (0, 2, 1)))
        return every[:, 0], slope


def deeper_by(depth: float, bay: float) -> float:
    """How much deeper a loop gets that has the error of two marks as extra line: sqrt(d^2 + 3/8 S ds) - d, from the
    parabola's length S + 8 d^2 / 3 S.  [m]

    Parameters
    ----------
    depth, bay : float
        As planned.  [m]
    """
    return math.sqrt(depth**2 + 0.375 * bay * MADE) - depth


def fit_lines(model: ReadingModel, read: Floats, *, progress: Callable[[float], None] | None = None) -> FittedLines:
    """Lines that were built to one plan, each by its own readings; readings that do not fit are left out.

    Parameters
    ----------
    model : ReadingModel
    read : (L, n) array
        What was read.  [SI]
    progress : callable, optional
        Told the share done.

    Raises
    ------
    SolveError
        When lines like these do not stand.
    """
    lines, n = read.shape
    error = np.hypot(np.array([each.error for each in model.readings]), model.spread)
    used, u = np.ones((lines, n), dtype=bool), np.zeros((lines, len(model.unknowns)))
    found = _searched(model, read, error, used, u)
    for round_ in range(max(n // 3, 1)):
        if progress is not None:
            progress((round_ + 1) / (n // 3 + 2))
        off = np.where(used, np.abs(found.off), 0.0)
        worst = off.argmax(axis=1)
        odd = np.flatnonzero(off[np.arange(lines), worst] > ODD)
        if not len(odd):
            break
        used = used.copy()
        used[odd, worst[odd]] = False
        again = _searched(model, read[odd], error, used[odd], found.u[odd])
        parts = {name: getattr(found, name).copy() for name in ("u", "cover", "shown", "off", "scatter", "used")}
        for name, each in parts.items():
            each[odd] = getattr(again, name)
        found = FittedLines(**parts)
    return found


def _searched(model: ReadingModel, read: Floats, error: Floats, used: Flags, u: Floats) -> FittedLines:
    """The least of (1), by Gauss-Newton."""
    d = u.shape[1]
    u = u.copy()
    for step in range(MOST_STEPS):
        shown, slope = model.slope(u)
        if step == 0 and not np.isfinite(shown).all():
            lost = ~np.isfinite(shown).all(axis=1)
            u[lost] *= 0.5
            shown, slope = model.slope(u)
            if not np.isfinite(shown).all():
                raise NoEquilibrium(
                    "no line like the one that was read is found standing", advice="look at the readings again"
                )
        each, residual = slope / error[:, None], np.nan_to_num((read - shown) / error)
        weighed = np.where(used[:, :, None], each, 0.0)
        hessian = np.einsum("lni,lnj->lij", weighed, weighed) + np.eye(d)
        right = np.einsum("lni,ln->li", weighed, residual) - u
        move = np.linalg.solve(hessian, right[..., None])[..., 0]
        far = np.abs(move).max(axis=1, keepdims=True)
        u = u + move * np.minimum(1.0, FURTHEST / np.maximum(far, 1e-12))
        if step and float(far.max()) < NEAR:
            break
    shown = shown + np.einsum("lni,li->ln", slope, move)
    residual = (read - shown) / error
    cover = np.linalg.inv(hessian)
    own = np.einsum("lni,lij,lnj->ln", each, cover, each)
    # Of one that was used the fit has a share already; one that was not is read beside it.
    scatter = np.sqrt(np.where(used, np.maximum(1.0 - own, 1e-6), 1.0 + own))
    without = np.sqrt(np.where(used, 1.0 / np.maximum(1.0 - own, 1e-6), 1.0 + own))
    return FittedLines(u=u, cover=cover, shown=shown, off=residual / scatter, scatter=error * without, used=used)


def fit_readings(
    rig: Rig | RigSource,
    readings: Sequence[Reading] | None = None,
    *,
    planned: Plan | None = None,
    draws: int = DRAWS,
    progress: Callable[[float], None] | None = None,
) -> Fitted:
    """The line as it was built, from what was measured on it.

    Parameters
    ----------
    rig : RigSource or Rig
        A scene, or a rig, of whose inputs no low and high are known.
    readings : sequence of Reading, optional
        Default those of the scene.
    planned : Plan, optional
        `plan(rig)`, when it was made before.
    draws : int
        A power of two.
    progress : callable, optional
        Told the share done.

    Raises
    ------
    InputError
        When there is no reading, or one of a bay or a tape that there is not.
    SolveError
        When the rig does not converge as planned, or as built.

    Examples
    --------
    >>> import linescope
    >>> from linescope.rig import Reading
    >>> scene = linescope.load("scenes/heron_gap.toml")
    >>> sag = Reading(what="sag", value=3.1, error=0.03, mass=75.0, at=24.0)
    >>> fitted = linescope.fit_readings(scene, [sag], draws=16)
    >>> told = fitted.of("walker_drop")
    >>> told.planned > told.high and told.low < 3.1 < told.high
    True
    """
    inputs, rig = inputs_of(rig), checked_rig(rig)
    readings = tuple(inputs.readings if readings is None else readings)
    if not readings:
        raise InputError("nothing was measured on this line yet", key="readings", allowed="tables [[readings]], or CSV")
    tell = progress if progress is not None else _silent
    planned = plan(rig) if planned is None else planned
    checked(readings, len(planned.layout.tapes))
    unknowns = unknowns_of(rig, inputs, bounces=any(each.what == "period" for each in readings))
    model = ReadingModel(planned, unknowns, readings)
    lines = fit_lines(model, np.array([[each.value for each in readings]]), progress=lambda share: tell(0.3 * share))
    d = len(unknowns)
    before, _ = _foretold(model, np.zeros(d), np.eye(d), draws, lambda share: tell(0.3 + 0.35 * share))
    after, drawn = _foretold(model, lines.u[0], lines.cover[0], draws, lambda share: tell(0.65 + 0.3 * share))
    as_planned = model.shown(np.zeros((1, d)))[0]
    values = _values(unknowns, lines.u[0])
    built = moved(frozen(planned), {key: each for key, each in values.items() if key != FAST}, model.bands)
    try:
        stands = plan(built)
    except InputError as error:
        raise NoEquilibrium(
            "the line that these readings ask for cannot be laid out: a tape would lie beyond its anchor",
            advice="look at the readings again",
        ) from error
    foretold = _compared(before, after)
    known = _known(unknowns, lines, _given(rig, inputs))
    correlation = _length_and_stiffness(drawn)
    further = _further(planned, drawn, after, rig)
    checks = tuple(
        Checked(
            reading=each, planned=float(as_planned[k]), built=float(lines.shown[0, k]), used=bool(lines.used[0, k]),
            low=_alone(lines, k, each)[0], high=_alone(lines, k, each)[1], off=float(lines.off[0, k]),
        )
        for k, each in enumerate(readings)
    )
    lost = draws + 1 - len(drawn.rows)
    tell(1.0)
    return Fitted(
        planned=planned, rig=built, built=stands, readings=checks, foretold=foretold, known=known, further=further,
        correlation=correlation, draws=draws, lost=lost,
        values={each.key: values[each.key] for each in known},
        notes=_notes(checks, known, further, correlation, draws, lost, bool(planned.pair.free_slides.any())),
    )


def _silent(share: float) -> None:
    """Nobody watches."""


def _alone(lines: FittedLines, k: int, reading: Reading) -> tuple[float, float]:
    """Between what nine in ten readings lie whose line all others tell.  [SI]"""
    scatter, shown = float(lines.scatter[0, k]), float(lines.shown[0, k])
    if lines.used[0, k]:  # Its own part taken out of the fit: r / (1 - h) is what the others leave.
        ratio = float(lines.off[0, k]) * scatter
        shown = reading.value - ratio
    low, high = shown - 1.645 * scatter, shown + 1.645 * scatter
    return max(low, 0.0), max(high, 0.0)  # Nothing that is read is below.


def _values(unknowns: Sequence[Unknown], u: Floats) -> dict[str, float]:
    values: dict[str, float] = {}
    for unknown, each in zip(unknowns, u, strict=True):
        values |= {key: float(found[0]) for key, found in unknown.at(np.array([each])).items()}
    return values


def possible(u: Floats, cover: Floats, draws: int = DRAWS) -> Floats:
    """(draws, d) standardized inputs that are left possible.

    Parameters
    ----------
    u : (d,) array
        As they fit best.  [-]
    cover : (d, d) array
        Their covariance.  [-]
    draws : int
        A power of two.
    """
    from scipy.special import ndtri

    normal = ndtri(np.clip(points(len(u), draws), 1e-4, 1.0 - 1e-4))
    return np.asarray(u + normal @ np.linalg.cholesky(cover).T)


def _foretold(
    model: ReadingModel, u: Floats, cover: Floats, draws: int, tell: Callable[[float], None]
) -> tuple[dict[str, Floats], DrawnRig]:
    """Figures at standardized inputs, and in draws of what is left possible round them; and these draws."""
    every = np.concatenate([u[None], possible(u, cover, draws)])
    drawn, _ = model.drawn(every)
    if not len(drawn.rows) or drawn.rows[0] != 0:
        raise NoEquilibrium("the line as built is not found standing", advice="look at the readings again")
    groups = tuple(unknown.group for unknown in model.unknowns if unknown.name != FAST)
    found, _, _ = figures_in(model.planned, groups, drawn, tell)
    standing = np.full(len(every), np.nan)
    standing[drawn.rows] = drawn.standing.segments.tension_start[drawn.stack.pieces[:-1]]
    return {STANDING.key: standing, **found}, drawn


def _compared(before: Mapping[str, Floats], after: Mapping[str, Floats]) -> tuple[Foretold, ...]:
    found = []
    for outcome in ASKED:
        if outcome.key not in before or not np.isfinite(after[outcome.key]).any():
            continue
        was, now = before[outcome.key], after[outcome.key]
        low, middle, high = np.nanquantile(now[1:], ENDS, method="hazen")  # Few draws: no point counts as an end.
        least, most = np.nanquantile(was[1:], (ENDS[0], ENDS[-1]), method="hazen")
        found.append(Foretold(
            outcome=outcome, planned=float(was[0]), before_low=float(least), before_high=float(most),
            value=float(now[0]), low=float(low), middle=float(middle), high=float(high),
        ))
    return tuple(found)


def _known(unknowns: Sequence[Unknown], lines: FittedLines, given: Mapping[str, Band]) -> tuple[Known, ...]:
    found = []
    for k, unknown in enumerate(unknowns):
        if unknown.sd == 0.0:
            continue
        left = math.sqrt(float(lines.cover[0, k, k]))
        for key, band in unknown.group.bands.items():
            built = float(unknown.at(lines.u[0, k : k + 1])[key][0])
            sd = unknown.sd * left * (built if unknown.log else 1.0)
            said = given.get(key)
            if said is not None and said.low == said.high:
                said = None
            found.append(Known(
                key=key, planned=band.value, built=built, sd=sd, explained=1.0 - left**2,
                given_low=None if said is None else said.low, given_high=None if said is None else said.high,
            ))
    return tuple(found)


def _given(rig: Rig, inputs: Inputs) -> dict[str, Band]:
    """Low and high of inputs, by the keys that unknowns have: an excess of all zones is that of each."""
    given = dict(inputs.bands)
    whole = given.get("backup.excess")
    if whole is not None:
        for number, zone in enumerate(rig.taping.zones, 1):
            if zone.excess is None:
                given.setdefault(f"taping.zones[{number}].excess", whole)
    return given


def _length_and_stiffness(drawn: DrawnRig) -> float:
    """Correlation of the main's unstretched length, over the distance it spans, and its stiffness in draws.  [-]"""
    stiffness, stack = drawn.values.get("main.stiffness_factor"), drawn.stack
    if stiffness is None or len(drawn.rows) < 8:
        return math.nan
    spanned = np.linalg.norm(stack.anchors[1::ANCHORS] - stack.anchors[0::ANCHORS], axis=1)
    pair = np.corrcoef((stack.total[:, 0] / spanned)[1:], np.log(stiffness[drawn.rows][1:]))
    return float(pair[0, 1])


def candidates(planned: Plan, rig: Rig) -> tuple[Reading, ...]:
    """Readings that anybody could take: a meter, a sag under somebody and under two, a loop of every zone.

    Parameters
    ----------
    planned : Plan
    rig : Rig
    """
    mass, middle = (PERSON if rig.walker is None else rig.walker.mass), 0.5 * rig.span
    found = [
        Reading(what="tension", value=math.nan, error=USUAL["tension"][1], mass=0.0, key="meter"),
        Reading(what="tension", value=math.nan, error=USUAL["tension"][1], mass=mass, at=middle, key="meter loaded"),
        Reading(what="sag", value=math.nan, error=USUAL["sag"][1], mass=mass, at=middle, key="sag"),
        Reading(what="sag", value=math.nan, error=USUAL["sag"][1], mass=2.0 * mass, at=middle, key="sag of two"),
    ]
    edges = np.concatenate([[0.0], np.cumsum(planned.layout.stated_bays)])
    middles = 0.5 * (edges[1:] + edges[:-1])
    for number, zone in enumerate(rig.taping.zones, 1):
        inside = np.flatnonzero((middles >= zone.start) & (middles < zone.end))
        if len(inside):
            bay = int(inside[len(inside) // 2]) + 1
            error = USUAL["loop"][1]
            found.append(Reading(what="loop", value=math.nan, error=error, number=bay, key=f"loop of zone {number}"))
    return tuple(found)


def _further(planned: Plan, drawn: DrawnRig, figures: Mapping[str, Floats], rig: Rig) -> tuple[Further, ...]:
    """What further readings would tell, by regression in the draws that the ones taken leave."""
    wanted = {key: each[drawn.rows][1:] for key, each in figures.items()}
    wanted = {
        key: each for key, each in wanted.items()
        if np.isfinite(each).all() and float(np.std(each)) > 1e-9 * max(abs(float(np.mean(each))), 1e-9)
    }
    asked = candidates(planned, rig)
    shown = foreseen(drawn, asked)[1:]
    found = []
    for reading, each in zip(asked, shown.T, strict=True):
        if not np.isfinite(each).all():
            continue
        value = float(np.mean(each))
        error = reading.error * value if reading.what == "tension" else reading.error
        if reading.what == "loop":
            bay = float(planned.layout.stated_bays[reading.number - 1])
            error = math.hypot(error, deeper_by(value, bay))
        gains = {}
        for key, figure in wanted.items():
            shared = float(np.cov(each, figure)[0, 1]) ** 2
            taken = shared / (float(np.var(figure, ddof=1)) * (float(np.var(each, ddof=1)) + error**2))
            gains[key] = -0.5 * math.log(max(1.0 - taken, 1e-6))
        if gains:
            most = max(gains, key=lambda key: gains[key])
            now = float(np.std(wanted[most], ddof=1))
            found.append(Further(
                reading=replace(reading, value=value, error=error), gain=float(np.mean([*gains.values()])), key=most,
                now=now, then=now * math.exp(-gains[most]),
            ))
    return tuple(sorted(found, key=lambda each: -each.gain))


def _notes(
    checks: Sequence[Checked], known: Sequence[Known], further: Sequence[Further], correlation: float, draws: int,
    lost: int, slides: bool,
) -> tuple[Note, ...]:
    notes = []
    for each in checks:
        if not each.used:
            reading, held = each.reading, slides and each.reading.what in ("loop", "bay", "tape")
            values: dict[str, Value | Note] = {
                "what": told_as(reading), "read": Quantity(reading.value, reading.dimension, digits=3),
                "range": Range(each.low, each.high, reading.dimension, band=True),
                "by": Quantity(
                    max(reading.value - each.high, each.low - reading.value, 0.0), reading.dimension
                ),
                "more": "yes" if reading.value > each.high else "no",
            }
            kind = FittedNote.ODD_HOLD if held else FittedNote.ODD
            notes.append(Note(kind=kind, severity=Severity.CHECK, values=values, weight=abs(each.off)))
    left_out = sum(not each.used for each in checks)
    if 2 * left_out > len(checks) or any(abs(each.off) > ODD for each in checks if each.used):
        notes.append(Note(kind=FittedNote.ODD_MANY, severity=Severity.CHECK))
    if abs(correlation) > TOGETHER:
        said: dict[str, Value] = {"correlation": Quantity(abs(correlation), "number", digits=3)}
        notes.append(Note(kind=FittedNote.APART, severity=Severity.BASIS, values=said))
    beyond = tuple(
        Note(kind=FittedNote.INPUT, severity=Severity.BASIS, values={
            "key": Verbatim(each.key), "built": Quantity(each.built, _dimension(each.key), digits=3),
            "low": Quantity(each.given_low or 0.0, _dimension(each.key), digits=3),
            "high": Quantity(each.given_high or 0.0, _dimension(each.key), digits=3),
        })
        for each in known if each.is_beyond and each.explained >= UNTOLD
    )
    if beyond:
        notes.append(Note(kind=FittedNote.BEYOND, severity=Severity.CHECK, values={"inputs": beyond}))
    untold = tuple(Verbatim(each.key) for each in known if each.explained < UNTOLD)
    if untold:
        notes.append(Note(kind=FittedNote.UNTOLD, severity=Severity.LIMIT, values={"inputs": untold}))
    if further and further[0].gain >= WORTH:
        best = further[0]
        dimension = next(outcome.dimension for outcome in ASKED if outcome.key == best.key)
        notes.append(Note(kind=FittedNote.NEXT, severity=Severity.BASIS, values={
            "what": told_as(best.reading), "figure": Term(f"readings-of-{best.key.replace('_', '-')}"),
            "now": Quantity(1.645 * best.now, dimension), "then": Quantity(1.645 * best.then, dimension),
        }))
    else:
        notes.append(Note(kind=FittedNote.NO_NEXT, severity=Severity.BASIS))
    if lost:
        notes.append(Note(kind=FittedNote.LOST, severity=Severity.LIMIT, values={"lost": lost, "draws": draws}))
    if slides:
        notes.append(Note(kind=FittedNote.SLIDES, severity=Severity.BASIS))
    notes.append(Note(kind=FittedNote.LAID, severity=Severity.BASIS))
    notes.append(Note(kind=FittedNote.BASIS, severity=Severity.BASIS, values={"draws": draws}))
    return tuple(notes)


def _dimension(key: str) -> str:
    """Of an input of the crew's work."""
    name = key.rpartition(".")[2]
    return {"tension": "force", "stiffness_factor": "number", "excess": "ratio", "loop_length": "ratio"}.get(
        name, "length"
    )


class ReadingPhrase(Kind):
    """A reading in a few words."""

    TENSION = "readings-tension"
    TENSION_LOADED = "readings-tension-loaded"
    SAG = "readings-sag"
    SAG_LOADED = "readings-sag-loaded"
    LOOP = "readings-loop"
    LOOP_LOADED = "readings-loop-loaded"
    BAY = "readings-bay"
    BAY_LOADED = "readings-bay-loaded"
    TAPE = "readings-tape"
    TAPE_LOADED = "readings-tape-loaded"
    PERIOD = "readings-period-loaded"


def told_as(reading: Reading) -> Note:
    """A reading in a few words.

    Parameters
    ----------
    reading : Reading
    """
    loaded = reading.mass > 0.0
    kind = ReadingPhrase(f"readings-{reading.what}{'-loaded' if loaded else ''}")
    values: dict[str, Value] = {
        "end": reading.end, "number": reading.number, "at": Spot(reading.at), "mass": Quantity(reading.mass, "mass"),
    }
    return Note(kind=kind, severity=Severity.BASIS, values=values)

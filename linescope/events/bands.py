"""Bands: the main figures in many draws of what is not known well, and which input matters most.

The laid plan stays as it is, inputs that are one are drawn once (`sampling`), and all are drawn together.  Standing
figures are solved exactly in every draw.  Falls, each of them many states, are solved exactly in a few, and for the
rest read off a quadratic surface through those; where the surface misses too much, every draw is solved.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.errors import InputError, SolveError
from linescope.events.draw_figures import below, depths, excesses, leash_falls, main_lost, tensions
from linescope.events.fall import leash_fall_sweep
from linescope.events.main_gone import main_gone
from linescope.events.moved import moved, with_input
from linescope.events.rig_draws import DrawnRig, DrawnStanding, draw, frozen, picked, settled
from linescope.events.sampling import DRAWS, FIRST, MANY, DrawGroup, groups, points
from linescope.events.shares import QuadraticFit, shares_at, shares_of
from linescope.notes import Bound, Kind, Note, Quantity, Severity, Term, Value
from linescope.rig import Band, Rig, RigSource, checked_rig, inputs_of
from linescope.rig.layout import lay_out
from linescope.statics import Plan, plan, solve
from linescope.statics.balanced import Balanced
from linescope.statics.plan import marking_strain
from linescope.statics.stack import Stack
from linescope.statics.stack_loops import quick_loops

Floats = NDArray[np.float64]

FEW = 256
"""Draws in which falls are solved before a surface is laid through them; a surface of more terms takes more."""
SHAKEN = 256
"""Draws in which tapes that slide are settled in compiled loops ..."""
SHAKEN_ALONE = 32
"""... and without these."""
FEWER = 16
"""Draws in which falls of tapes that slide are solved beside those of tapes that hold."""
MISSED = 0.01
"""What a surface may miss, root mean square, of the width of the band.  [-]"""
SMOOTH = 0.01
"""The same, where 5, 50 and 95 % are taken from many more draws on the surface.  [-]"""
TOLD = 0.9
"""Share of the variance that a surface must foretell before inputs are ranked by it.  [-]"""
ENDS = (0.05, 0.5, 0.95)


class BandNote(Kind):
    """What is said of bands."""

    DRAWN = "bands-basis-drawn"
    PARTLY = "bands-basis-partly"
    LOST = "bands-lost"
    THRESHOLD = "bands-threshold"
    STRENGTH = "bands-threshold-strength"
    TAPES = "bands-threshold-tapes"


@dataclass(frozen=True, kw_only=True)
class BandedFigure:
    """One figure worth a band; the topic that declares the figure names it (`Figure.band`).

    Attributes
    ----------
    key : str
    dimension : str
        Key of `linescope.units.DIMENSIONS`.
    bound : {"", "up", "down"}
    """

    key: str
    dimension: str
    bound: Bound = ""


OUTCOMES: tuple[BandedFigure, ...] = (
    BandedFigure(key="walker_drop", dimension="length"),
    BandedFigure(key="tension_a", dimension="force"),
    BandedFigure(key="least_excess", dimension="ratio"),
    BandedFigure(key="deepest_loop", dimension="length"),
    BandedFigure(key="deepest_settled", dimension="length"),
    BandedFigure(key="fall_foot", dimension="length", bound="up"),
    BandedFigure(key="fall_force", dimension="force"),
    BandedFigure(key="gone_rest", dimension="length"),
    BandedFigure(key="gone_floor", dimension="length", bound="up"),
    BandedFigure(key="gone_tension", dimension="force"),
)

FALLS = ("fall_foot", "fall_force")
DRAWN_APART = ("deepest_loop", "least_excess")
"""Figures that have kinks: their shares are found by draws of their own where no surface foretells them."""
SOLVED = ("tension_a", "gone_rest", "gone_floor")
"""Figures that are asked of every draw."""
IDLE = (
    "wind.", "motion.", "main.webbing.width", "main.webbing.thickness", "main.webbing.breaking", "main.webbing.aged",
    "backup.webbing.width", "backup.webbing.thickness", "backup.webbing.breaking", "backup.webbing.aged",
    "walker.height", "main.terminations", "backup.terminations",
)
"""Beginnings of keys that change none of these figures, as holds of tapes do not: as taped nothing slips, and settled
there is no hold left."""


@dataclass(frozen=True, kw_only=True)
class VarianceShare:
    """How much of a figure's variance comes from one group of inputs.

    Attributes
    ----------
    input : str
        Key of the group's first, or "survey".
    first, total : float
        Of it alone, and with what it does together with others.  [-]
    """

    input: str
    first: float
    total: float


@dataclass(frozen=True, kw_only=True)
class ResultBand:
    """The band of one result.

    Attributes
    ----------
    outcome : BandedFigure
        Which figure.
    value : float
        With all inputs as given.  [SI]
    low, middle, high : float
        Below which 5, 50 and 95 % of the draws lie.  [SI]
    least, most : float
        Of all draws.  [SI]
    shares : tuple of VarianceShare
        Largest total first; empty where neither a surface nor draws of their own foretell them.
    solved : int
        In how many draws it was solved; the others were read off a surface through these.
    error : float
        What that surface misses at draws left out, root mean square; 0 where all were solved.  [SI]
    """

    outcome: BandedFigure
    value: float
    low: float
    middle: float
    high: float
    least: float
    most: float
    shares: tuple[VarianceShare, ...]
    solved: int
    error: float


@dataclass(frozen=True, eq=False, kw_only=True)
class Bands:
    """Bands of all results of a rig.

    Attributes
    ----------
    rig : Rig
    results : tuple of ResultBand
    ranking : tuple of (str, float)
        Inputs by their mean total share, largest first; they add up to 1.
    not_varied : tuple of str
        Inputs with a band that changes nothing computed here.
    draws : int
        How many.
    lost : int
        In how many of them the line was not found.
    notes : tuple of Note
        How the bands come about, what was lost, and thresholds inside.
    """

    rig: Rig
    results: tuple[ResultBand, ...]
    ranking: tuple[tuple[str, float], ...]
    not_varied: tuple[str, ...]
    draws: int
    lost: int
    notes: tuple[Note, ...]


def moved_by(rig: Rig, given: Mapping[str, Band]) -> tuple[tuple[DrawGroup, ...], tuple[str, ...]]:
    """The groups of inputs that move these figures, the survey among them; and the keys that move none.

    Parameters
    ----------
    rig : Rig
    given : mapping of str to Band
        [SI]
    """
    hold = {key for key in given if key.startswith("hold.") or ".hold." in key}
    # Where tapes were laid they stay.
    laid = {key for key in given if key.endswith((".spacing.every", ".spacing.spread"))}
    idle = {
        key for key, band in given.items()
        if key.startswith(IDLE) or key in hold | laid or band.low == band.high
        or with_input(rig, key, band.value, band) is None
    }
    bands = {key: band for key, band in given.items() if key not in idle}
    if rig.needs is not None and rig.needs.survey_error > 0.0:
        error = rig.needs.survey_error
        bands["survey"] = Band(low=-error, value=0.0, high=error)
    return groups(rig, bands), tuple(key for key in given if key in idle)


def find_bands(
    rig: Rig | RigSource,
    *,
    planned: Plan | None = None,
    draws: int | None = None,
    shares: Floats | None = None,
    progress: Callable[[float], None] | None = None,
) -> Bands:
    """Bands of the rig's main results from the low and high values of its inputs.

    Parameters
    ----------
    rig : RigSource or Rig
        A scene; of a rig made in Python no low and high are known, and only the survey is varied.
    planned : Plan, optional
        `plan(rig)`, when it was made before.
    draws : int, optional
        A power of two; default `FIRST` where surfaces through these foretell every standing figure, else `DRAWS`.
    shares : (draws, d) array, optional
        Points instead of those of `sampling.points`, one column for each group of `moved_by`.  [-]
    progress : callable, optional
        Told the share done.

    Raises
    ------
    LinescopeError
        When the rig as given does not converge.  A draw that does not is counted in `lost`.
    """
    given, rig = inputs_of(rig).bands, checked_rig(rig)
    tell = progress if progress is not None else _silent
    planned = plan(rig) if planned is None else planned
    drawn_groups, idle = moved_by(rig, given)
    if not drawn_groups:
        return _none(rig, _as_given(rig, planned), idle)
    at = points(len(drawn_groups), FIRST if draws is None else draws) if shares is None else shares
    inputs, many = scaled(drawn_groups, at), scaled(drawn_groups, points(len(drawn_groups), MANY))
    drawn, stood = _stood(planned, drawn_groups, at)
    if draws is None and shares is None and not all(
        _smooth(QuadraticFit.through(inputs, each), each)
        for each in (drawn.whole(each)[1:] for each in stood.values.values())
    ):
        at = points(len(drawn_groups), DRAWS)
        inputs, (drawn, stood) = scaled(drawn_groups, at), _stood(planned, drawn_groups, at)
    whole, errors, solved = figures_in(planned, drawn_groups, drawn, tell, stood)
    values, base = {key: each[1:] for key, each in whole.items()}, {key: float(each[0]) for key, each in whole.items()}
    if not all(math.isfinite(each) for each in base.values()):
        base = _as_given(rig, planned)
    results: list[ResultBand] = []
    missing = 0
    for outcome in OUTCOMES:
        if outcome.key not in base:
            continue
        found = values[outcome.key]
        known = found[np.isfinite(found)]
        if outcome.key in SOLVED:
            missing = max(missing, len(found) - len(known))
        if not len(known):
            continue
        low, middle, high = np.quantile(known, ENDS)
        surface = QuadraticFit.through(inputs, found)
        if surface is not None and _smooth(surface, known):
            # So smooth a figure can be read off the surface in as many draws as one likes.
            low, middle, high = np.quantile(surface.at(many), ENDS)
        results.append(ResultBand(
            outcome=outcome, value=base[outcome.key], low=float(low), middle=float(middle), high=float(high),
            least=float(known.min()), most=float(known.max()), solved=solved[outcome.key], error=errors[outcome.key],
            shares=next((
                each.shares for each in results if np.array_equal(values[each.outcome.key], found, equal_nan=True)
            ), ()) or _shares(surface, drawn_groups, float(high - low)) or _shares_drawn(
                outcome.key, planned, drawn_groups, float(high - low), known=len(known) == len(at)
            ),
        ))
    tell(1.0)
    total = {group.name: 0.0 for group in drawn_groups}
    for band in results:
        for share in band.shares:
            total[share.input] += share.total
    all_of_them = sum(total.values())
    ranking = sorted(
        ((name, each / all_of_them) for name, each in total.items() if each > 0.0), key=lambda item: -item[1]
    )
    return Bands(
        rig=rig, results=tuple(results), ranking=tuple(item for item in ranking if item[1] > 0.001), not_varied=idle,
        draws=len(at), lost=missing,
        notes=(*_thresholds(planned, drawn_groups, values), *_notes(len(at), missing, results)),
    )


def _stood(planned: Plan, drawn_groups: tuple[DrawGroup, ...], at: Floats) -> tuple[DrawnRig, _Standing]:
    """The rig as given and at points (n, d), standing."""
    drawn = draw(planned, drawn_groups, np.concatenate([np.full((1, len(drawn_groups)), 0.5), at]))
    return drawn, _Standing.of(drawn)


def _smooth(surface: QuadraticFit | None, values: Floats) -> bool:
    """Whether a surface misses so little of the values that it was laid through that 5, 50 and 95 % are its own."""
    low, _, high = np.nanquantile(values, ENDS)
    return surface is not None and surface.error <= SMOOTH * float(high - low)


def _silent(share: float) -> None:
    """Nobody watches."""


def _none(rig: Rig, base: Mapping[str, float], idle: tuple[str, ...]) -> Bands:
    """Nothing is uncertain."""
    results = tuple(
        ResultBand(
            outcome=outcome, value=value, low=value, middle=value, high=value, least=value, most=value, shares=(),
            solved=0, error=0.0,
        )
        for outcome in OUTCOMES if (value := base.get(outcome.key, math.nan)) == value
    )
    return Bands(rig=rig, results=results, ranking=(), not_varied=idle, draws=0, lost=0, notes=())


def _as_given(rig: Rig, planned: Plan) -> dict[str, float]:
    """Every figure with the inputs as given."""
    taped = solve(rig, planned=planned)
    slides = bool(planned.pair.free_slides.any())
    settled = solve(rig, "settled", planned=planned, look_for_others=False) if slides else taped
    values = {
        "tension_a": taped.tension_a,
        "least_excess": float(taped.bays.excess.min()),
        "deepest_loop": float(taped.bays.loop_depth.max()),
        "deepest_settled": float(settled.bays.loop_depth.max()),
    }
    if rig.walker is not None and taped.walker_point is not None:
        values["walker_drop"] = float(rig.below_anchors(taped.walker_point))
        values |= _falls(rig, planned) | _lost(rig, planned)
    return values


def _falls(rig: Rig, planned: Plan) -> dict[str, float]:
    assert rig.walker is not None
    fall = leash_fall_sweep(rig, [rig.walker.at], risen=False, planned=planned)
    return {"fall_foot": float(rig.below_anchors(fall.low.foot[0])), "fall_force": float(fall.low.peak_force[0])}


def _lost(rig: Rig, planned: Plan) -> dict[str, float]:
    assert rig.walker is not None
    gone = main_gone(rig, [rig.walker.at], points=1, most=False, run=False, planned=planned).nothing_holds
    return {
        "gone_rest": float(gone.rest.depth[0]), "gone_floor": float(gone.lowest.foot_depth[0]),
        "gone_tension": float(gone.lowest.tension[0]),
    }


def _loaded(drawn: DrawnRig) -> tuple[DrawnStanding | None, Stack, Balanced]:
    """Draws with their walker, where there is one; and what stands in them."""
    if drawn.rig.walker is None:
        return None, drawn.stack, drawn.standing
    loaded = drawn.loaded()
    return loaded, loaded.stack, loaded.balanced


@dataclass(frozen=True, eq=False, kw_only=True)
class _Standing:
    """A rig in R draws as taped, with its walker where there is one, and the figures that this gives."""

    loaded: DrawnStanding | None
    stack: Stack
    found: Balanced
    values: dict[str, Floats]

    @classmethod
    def of(cls, drawn: DrawnRig) -> _Standing:
        walker = drawn.rig.walker
        loaded, stack, found = _loaded(drawn)
        values = {
            "tension_a": tensions(stack, found)[0], "least_excess": excesses(stack, found).min(axis=1),
            "deepest_loop": depths(stack, found).max(axis=1),
        }
        if loaded is not None and walker is not None:
            values["walker_drop"] = np.where(found.done, below(stack, found.places[loaded.node]), np.nan)
            lost = main_lost(loaded, walker)
            values |= dict(zip(("gone_rest", "gone_floor", "gone_tension"), lost, strict=True))
        return cls(loaded=loaded, stack=stack, found=found, values=values)


def figures_in(
    planned: Plan, drawn_groups: tuple[DrawGroup, ...], drawn: DrawnRig, tell: Callable[[float], None],
    standing: _Standing | None = None,
) -> tuple[dict[str, Floats], dict[str, float], dict[str, int]]:
    """Every figure in every draw (nan where it is not found), what surfaces miss, and in how many it was solved.

    Parameters
    ----------
    planned : Plan
    drawn_groups : tuple of DrawGroup
    drawn : DrawnRig
        Of these groups; the first is no draw, but the rig at its middle.
    tell : callable
        Told the share done.
    standing : optional
        Of these draws, where that is known.
    """
    rig, stood = planned.rig, _Standing.of(drawn) if standing is None else standing
    loaded, stack, found, values = stood.loaded, stood.stack, stood.found, dict(stood.values)
    tell(0.4)
    slides = bool(stack.free.any())
    values["deepest_settled"] = _shaken(stack, found) if slides else values["deepest_loop"]
    tell(0.6)
    errors, solved = {}, {}
    if loaded is not None and rig.walker is not None:
        feet = _fall_figures(planned, drawn_groups, loaded, slides, tell)
        for key, (each, error, exact) in feet.items():
            values[key], errors[key], solved[key] = each, error, exact
    whole = {}
    for key, each in values.items():
        whole[key] = drawn.whole(each)
        errors.setdefault(key, 0.0)
        solved.setdefault(key, int(np.isfinite(each[1:]).sum()))
    return whole, errors, solved


def _shaken(stack: Stack, taped: Balanced) -> Floats:
    """(n,) depth of the deepest loop, settled, in the first draws; nan in the others.  [m]"""
    some = np.arange(min(len(stack), 1 + (SHAKEN if quick_loops() else SHAKEN_ALONE)))
    here = stack.pick(some)
    deepest = np.full(len(stack), np.nan)
    deepest[some] = depths(here, settled(here, picked(stack, taped, some))).max(axis=1)
    return deepest


def _fall_figures(
    planned: Plan, drawn_groups: tuple[DrawGroup, ...], loaded: DrawnStanding, slides: bool,
    tell: Callable[[float], None],
) -> dict[str, tuple[Floats, float, int]]:
    """Falls in some draws, and read off a surface in the others; each with what that misses, and how many.

    What tapes that slide add to a fall of tapes that hold is small: a flat surface through fewer falls.
    """
    rig, drawn = planned.rig, loaded.drawn
    assert rig.walker is not None
    count, dimensions = len(drawn.rows), len(drawn_groups)
    terms = (dimensions + 1) * (dimensions + 2) // 2
    few = min(count, 1 + max(FEW, 2 ** math.ceil(math.log2(2.5 * terms))))
    inputs = np.column_stack([
        (drawn.values[next(iter(g.bands))][drawn.rows] - next(iter(g.bands.values())).value) / _range(g)
        for g in drawn_groups
    ])
    some = dict(zip(FALLS, leash_falls(loaded.only(np.arange(few)), rig.walker), strict=True))
    found: dict[str, tuple[Floats, float, int]] = {}
    for key, values in some.items():
        surface = QuadraticFit.through(inputs[:few], values) if few < count else None
        if surface is not None:
            every = surface.at(inputs)
            low, _, high = np.quantile(every, ENDS)
            if surface.error <= MISSED * (high - low):
                every[:few] = np.where(np.isfinite(values), values, every[:few])
                found[key] = (every, surface.error, few - 1)
    if len(found) < len(FALLS):
        some = dict(zip(FALLS, leash_falls(loaded, rig.walker), strict=True))
        found = {key: (values, 0.0, count - 1) for key, values in some.items()}
    if not slides:
        return found
    fewer = np.arange(min(count, 1 + max(FEWER, 3 * (dimensions + 1))))
    free = dict(zip(FALLS, _one_by_one(planned, drawn_groups, drawn, fewer, tell), strict=True))
    for key, (held, error, _) in list(found.items()):
        more = QuadraticFit.through(inputs[fewer], free[key] - held[fewer], flat=True)
        if more is None:
            found[key] = (np.full(count, np.nan), 0.0, 0)
        else:
            every = held + more.at(inputs)
            every[fewer] = np.where(np.isfinite(free[key]), free[key], every[fewer])
            found[key] = (every, math.hypot(error, more.error), len(fewer) - 1)
    return found


def _one_by_one(
    planned: Plan, drawn_groups: tuple[DrawGroup, ...], drawn: DrawnRig, which: NDArray[np.int64],
    tell: Callable[[float], None],
) -> Floats:
    """(2, n) falls of rigs whose tapes slide."""
    rig = frozen(planned)
    bands = {key: band for group in drawn_groups for key, band in group.bands.items()}
    found = np.full((len(FALLS), len(which)), np.nan)
    for number, k in enumerate(which.tolist()):
        values = {key: float(each[drawn.rows[k]]) for key, each in drawn.values.items()}
        one = moved(rig, values, bands)
        try:
            found[:, number] = [*_falls(one, plan(one)).values()]
        except SolveError:
            continue
        tell(0.7 + 0.3 * (number + 1) / len(which))
    return found


def _range(group: DrawGroup) -> float:
    band = next(iter(group.bands.values()))
    return 0.5 * (band.high - band.low)


def scaled(drawn_groups: tuple[DrawGroup, ...], shares: Floats) -> Floats:
    """(n, d) inputs of groups scaled to their ranges, each group by its first.

    Parameters
    ----------
    drawn_groups : tuple of d DrawGroup
    shares : (n, d) array
        Of the draws of each that lie lower.  [-]
    """
    return np.column_stack([
        (next(iter(group.at(share).values())) - next(iter(group.bands.values())).value) / _range(group)
        for group, share in zip(drawn_groups, shares.T, strict=True)
    ])


def _shares(
    surface: QuadraticFit | None, drawn_groups: tuple[DrawGroup, ...], width: float
) -> tuple[VarianceShare, ...]:
    if surface is None or surface.explained < TOLD or not width > 0.0:
        return ()
    return _ranked(drawn_groups, *shares_of(surface, lambda at: scaled(drawn_groups, at)))


def _shares_drawn(
    key: str, planned: Plan, drawn_groups: tuple[DrawGroup, ...], width: float, *, known: bool
) -> tuple[VarianceShare, ...]:
    """Shares in a figure of the standing line that no surface foretells, from draws of their own; none without compiled
    loops, or where some draws are not found."""
    if key not in DRAWN_APART or not known or not width > 0.0 or not quick_loops():
        return ()

    def value(at: Floats) -> Floats:
        drawn = draw(planned, drawn_groups, at)
        _, stack, found = _loaded(drawn)
        return drawn.whole(
            depths(stack, found).max(axis=1) if key == "deepest_loop" else excesses(stack, found).min(axis=1)
        )

    first, total = shares_at(value, len(drawn_groups))
    return _ranked(drawn_groups, first, total) if np.isfinite(total).all() else ()


def _ranked(drawn_groups: tuple[DrawGroup, ...], first: Floats, total: Floats) -> tuple[VarianceShare, ...]:
    found = [
        VarianceShare(input=group.name, first=float(a), total=float(b))
        for group, a, b in zip(drawn_groups, first, total, strict=True)
    ]
    return tuple(sorted(found, key=lambda share: -share.total))


def _thresholds(
    planned: Plan, drawn_groups: tuple[DrawGroup, ...], values: Mapping[str, Floats]
) -> list[Note]:
    """Thresholds that lie inside the bands: what holds in some of the draws and not in others."""
    rig, notes = planned.rig, []

    def share(key: str, past: Callable[[Floats], NDArray[np.bool_]]) -> float:
        known = values.get(key, np.zeros(0))
        known = known[np.isfinite(known)]
        return float(np.mean(past(known))) if len(known) else 0.0

    tight = share("least_excess", lambda known: known < 0.0)
    if 0.0 < tight < 1.0:
        said: dict[str, Value] = {"share": Quantity(tight, "ratio")}
        notes.append(Note(kind=BandNote.THRESHOLD, severity=Severity.CHECK, values=said))
    for key, line in (("tension_a", rig.main), ("gone_tension", rig.backup)):
        strength = line.strength
        over = share(key, lambda known, strength=strength: known > strength)  # type: ignore[misc]
        if 0.0 < over < 1.0:
            said = {
                "share": Quantity(over, "ratio"), "strength": Quantity(strength, "force", "down"),
                "line": Term("bands-line-main" if key == "tension_a" else "bands-line-backup"),
            }
            notes.append(Note(kind=BandNote.STRENGTH, severity=Severity.DANGER, values=said, weight=over))
    others = _laid_otherwise(planned, drawn_groups)
    if others:
        said = {"tapes": sum(tape.kind == "tape" for tape in planned.layout.tapes), "others": tuple(others)}
        notes.append(Note(kind=BandNote.TAPES, severity=Severity.BASIS, values=said))
    return notes


def _laid_otherwise(planned: Plan, drawn_groups: tuple[DrawGroup, ...]) -> list[int]:
    """Other numbers of tapes that would be laid with the low and the high of what the plan follows from."""
    rig, counts = planned.rig.as_laid, set[int]()
    mine = sum(tape.kind == "tape" for tape in planned.layout.tapes)
    for group in drawn_groups:
        if group.name not in ("main.tension", "main.stiffness_factor", "main.length") or rig.main_plan.tension is None:
            continue
        for end in ("low", "high"):
            other = moved(rig, {key: getattr(band, end) for key, band in group.bands.items()}, group.bands)
            assert other.main_plan.tension is not None
            strain = other.main.stretch.strain_at(other.main_plan.tension)
            try:
                layout = lay_out(other, other.span / (1.0 + strain), marking_strain(other, strain))
            except InputError:
                continue
            counts.add(sum(tape.kind == "tape" for tape in layout.tapes))
    return sorted(counts - {mine})


def _notes(draws: int, lost: int, results: list[ResultBand]) -> tuple[Note, ...]:
    notes = []
    if lost:
        notes.append(Note(kind=BandNote.LOST, severity=Severity.LIMIT, values={"lost": lost, "draws": draws}))
    notes.append(Note(kind=BandNote.DRAWN, severity=Severity.BASIS, values={"draws": draws}))
    solved = {band.outcome.key: band.solved for band in results}
    falls, shaken = solved.get("fall_foot", draws), solved.get("deepest_settled", draws)
    if min(falls, shaken) < draws:
        said: dict[str, Value] = {"falls": falls, "settled": shaken}
        notes.append(Note(kind=BandNote.PARTLY, severity=Severity.BASIS, values=said))
    return tuple(notes)

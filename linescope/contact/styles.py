"""Tape styles side by side: one rig, the same inputs, and what each rubs in the same day on the same scale."""

from __future__ import annotations

import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np

from linescope.contact.ledger import Face
from linescope.contact.slides import STEPS, History
from linescope.contact.wear import LEVELS, Wear, find_wear
from linescope.errors import InputError, LinescopeError, SolveError
from linescope.events.friction import HoldLevel
from linescope.notes import Kind, Note, Quantity, Severity, Term, Value, Verbatim
from linescope.rig import Band, Rig, Use, Wind, checked_rig
from linescope.shown import Outlined
from linescope.statics import Plan, Solution, cut_list, plan, solve
from linescope.taping import FAMILIES, CutList, Holds, find_between

Progress = Callable[[float, str], None]

NO_SLIP = 1e-6  # Less is no slip [m].
SAME = 1.05  # Rub that differs by less than this factor is not told apart.


class StyleNote(Kind):
    """What a comparison comes to."""

    FAILED = "styles-failed"
    NOTHING_SLIPS = "styles-nothing-slips"
    ONLY_LOW = "styles-only-low"
    SPARES = "styles-spares-main"
    FIXED = "styles-fixed"
    MAIN_HELD = "styles-main-held"
    BACKUP_HELD = "styles-backup-held"
    LOOPS = "styles-loops"
    WRAPPED = "styles-wrapped"
    TAB = "styles-tab"
    LEAST_TAPE = "styles-least-tape"
    SAME_HOLD = "styles-same-hold"
    CHALK = "styles-chalk"


@dataclass(frozen=True, kw_only=True)
class DepthSpread:
    """Loop depths of one state.

    Attributes
    ----------
    least, mean, most : float
        [m]
    """

    least: float
    mean: float
    most: float

    @property
    def spread(self) -> float:
        """Deepest minus shallowest.  [m]"""
        return self.most - self.least


@dataclass(frozen=True, eq=False, kw_only=True)
class Behaviour:
    """What follows from which line is held and what lies between the lines, whatever the tape is made of.

    Attributes
    ----------
    holds : Holds
    wear : Wear
    taped, settled : DepthSpread
        With the walker where the rig has him.
    slip : mapping of level to float
        Largest stretched length through one tape in the first crossing.  [m]
    force : float
        Largest force along the line over a tape in it.  [N]
    """

    holds: Holds
    wear: Wear
    taped: DepthSpread
    settled: DepthSpread
    slip: Mapping[HoldLevel, float]
    force: float


@dataclass(frozen=True, eq=False, kw_only=True)
class Style:
    """One tape family holding one line.

    Attributes
    ----------
    family : str
        A key of `linescope.taping.FAMILIES`.
    holds : Holds
    behaviour : Behaviour or None
        None when it failed.
    cut_list : CutList or None
        What tape it takes; None where it cannot be laid.
    failed : LinescopeError or None
        Why there is no result.
    """

    family: str
    holds: Holds
    behaviour: Behaviour | None
    cut_list: CutList | None
    failed: LinescopeError | None = None

    @property
    def name(self) -> str:
        """Family and what it holds, where it could hold either line."""
        if len(FAMILIES[self.family].can_hold) == 1:
            return self.family
        return f"{self.family}, {self.holds.value}-held"


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Comparison(Outlined):
    """Tape styles side by side.

    Attributes
    ----------
    rig : Rig
        As given; its own styles are among those compared only when they are asked for.
    use : Use
        What the rub is counted for.
    styles : tuple of Style
    notes, assumed : tuple of Note
        What follows, and what was assumed.
    run_time : float
        [s]
    """

    rig: Rig
    use: Use
    styles: tuple[Style, ...]
    notes: tuple[Note, ...]
    assumed: tuple[Note, ...]
    run_time: float

    def behaviour(self, holds: Holds) -> Behaviour | None:
        """The first result of tapes that hold a line; None when there is none."""
        return next((s.behaviour for s in self.styles if s.holds is holds and s.behaviour is not None), None)


def all_styles() -> tuple[tuple[str, Holds], ...]:
    """Every family, each slider both ways where it can hold either line."""
    return tuple((key, holds) for key, family in FAMILIES.items() for holds in family.can_hold)


def with_style(rig: Rig, family: str, holds: Holds) -> Rig:
    """The same rig with one style in all zones: spacing, excess and hold as they were.

    Raises
    ------
    InputError
        When there is no such family, or it cannot hold that line.
    """
    if family not in FAMILIES:
        raise InputError("no such taping family", key="families", found=family, allowed=", ".join(FAMILIES))
    if holds not in FAMILIES[family].can_hold:
        raise InputError(
            "this family cannot hold that line", key="families", found=f"{family}, {holds.value}",
            allowed=", ".join(held.value for held in FAMILIES[family].can_hold),
        )
    zones = tuple(replace(zone, family=family, holds=holds) for zone in rig.taping.zones)
    return replace(rig, taping=replace(rig.taping, zones=zones))


def depth_spread(solution: Solution) -> DepthSpread:
    """Least, mean and most loop depth of a state."""
    depth = solution.bays.loop_depth
    return DepthSpread(least=float(depth.min()), mean=float(depth.mean()), most=float(depth.max()))


def compare(
    rig: Rig,
    families: Sequence[str] | None = None,
    *,
    use: Use | None = None,
    wind: Wind | None = None,
    speed: Band | None = None,
    levels: tuple[HoldLevel, ...] = LEVELS,
    most_steps: int = STEPS[-1],
    per_bay: int | None = None,
    progress: Progress | None = None,
) -> Comparison:
    """Every tape style on one rig.

    Parameters
    ----------
    rig : Rig
        With a walker.  Its spacing, excess and hold stay; only what its tapes hold changes.
    families : sequence of str, optional
        Keys of `linescope.taping.FAMILIES`; default all, each slider both ways where it can hold either line.
    use, wind, speed
        See `find_wear`.
    levels : tuple
        Ends of the hold to walk at; fewer are quicker.
    most_steps : int
        Steps in each bay, at the most.
    per_bay : int, optional
        Steps in each bay; see `find_wear`.
    progress : callable, optional
        Told the share done, 0 to 1, and what is being done.

    Raises
    ------
    InputError
        When the rig has no walker, or there is no such family.

    Notes
    -----
    Families that hold the same line move alike when their hold is alike: they are walked once.  They rub alike too as
    long as no loop presses the lines together.  A style that finds no equilibrium becomes a result that says so; the
    others are not lost.

    Examples
    --------
    >>> import linescope
    >>> scene = linescope.load("scenes/heron_gap.toml")
    >>> linescope.compare(scene.rig, ["fixed wrap"], levels=("value",), per_bay=1)
    Comparison(...)
    """
    if checked_rig(rig).walker is None:
        raise InputError("styles are compared by a crossing: the rig needs a walker", key="walker")
    unknown = [key for key in families or () if key not in FAMILIES]
    if unknown:
        raise InputError("no such taping family", key="families", found=unknown[0], allowed=", ".join(FAMILIES))
    wanted = [style for style in all_styles() if families is None or style[0] in families]
    begun = time.perf_counter()
    found: dict[tuple[Holds, float], Behaviour | SolveError] = {}
    pressed: dict[Holds, bool] = {}
    styles = []
    for count, (family, holds) in enumerate(wanted):
        def told(share: float, what: str, count: int = count) -> None:
            if progress is not None:
                progress(min((count + share) / len(wanted), 0.999), what)

        between = find_between(family, rig.section, rig.taping.stock, holds)
        bare = 1.0 if between.sliding is None else between.sliding.line_on_line
        key = (holds, round(bare, 6) if pressed.get(holds, True) else 0.0)
        if holds in pressed and not pressed[holds]:
            key = next(each for each in found if each[0] is holds)
        if key not in found:
            styled = with_style(rig, family, holds)
            try:
                near = next((each for (held, _), each in found.items() if held is holds), None)
                walked = near.wear.histories if isinstance(near, Behaviour) else None
                found[key] = _behaviour(
                    holds, plan(styled), use, wind, speed, levels, most_steps, per_bay, walked, told
                )
            except SolveError as error:
                found[key] = error
            made = found[key]
            pressed[holds] = isinstance(made, Behaviour) and any(
                history.lines_pressed > 0.0 for history in made.wear.histories.values()
            )
        styles.append(_style(rig, family, holds, found[key]))
        told(1.0, "")
    if progress is not None:
        progress(1.0, "done")
    done = [each for each in found.values() if isinstance(each, Behaviour)]
    return Comparison(
        rig=rig, use=rig.use if use is None else use, styles=tuple(styles), notes=_notes(styles),
        assumed=tuple(dict.fromkeys(note for each in done for note in each.wear.assumed)),
        run_time=time.perf_counter() - begun,
    )


def _behaviour(
    holds: Holds, planned: Plan, use: Use | None, wind: Wind | None, speed: Band | None,
    levels: tuple[HoldLevel, ...], most_steps: int, per_bay: int | None,
    walked: Mapping[HoldLevel, History] | None, progress: Progress,
) -> Behaviour:
    wear = find_wear(
        planned.rig, use, wind=wind, speed=speed, levels=levels, most_steps=most_steps, per_bay=per_bay,
        planned=planned, walked=walked, progress=progress,
    )
    taped = solve(planned.rig, "as taped", planned=planned)
    settled = solve(planned.rig, "settled", planned=planned, look_for_others=False)
    slip = {level: float(np.max(each.first.total_slip, initial=0.0)) for level, each in wear.histories.items()}
    return Behaviour(
        holds=holds, wear=wear, taped=depth_spread(taped), settled=depth_spread(settled), slip=MappingProxyType(slip),
        force=max(history.over_tape for history in wear.histories.values()),
    )


def _style(rig: Rig, family: str, holds: Holds, found: Behaviour | SolveError) -> Style:
    behaviour = found if isinstance(found, Behaviour) else None
    try:
        cuts = cut_list(plan(with_style(rig, family, holds)))
    except LinescopeError as error:
        return Style(family=family, holds=holds, behaviour=behaviour, cut_list=None, failed=error)
    failed = found if isinstance(found, SolveError) else None
    return Style(family=family, holds=holds, behaviour=behaviour, cut_list=cuts, failed=failed)


def _notes(styles: Sequence[Style]) -> tuple[Note, ...]:
    by_hold: dict[Holds, Behaviour] = {}
    for style in styles:
        if style.behaviour is not None:
            by_hold.setdefault(style.holds, style.behaviour)
    notes: list[Note] = []

    def say(kind: StyleNote, severity: Severity = Severity.LIMIT, **values: Value) -> None:
        notes.append(Note(kind=kind, severity=severity, values=values, weight=1.0 - 0.01 * len(notes)))

    failed = [style.name for style in styles if style.failed is not None]
    if failed:
        say(StyleNote.FAILED, names=Verbatim(", ".join(failed)))
    sliders = [each for held, each in by_hold.items() if held is not Holds.BOTH]
    slips = {level: max((each.slip.get(level, 0.0) for each in sliders), default=0.0) for level in LEVELS}
    if sliders and max(slips.values()) <= NO_SLIP:
        say(StyleNote.NOTHING_SLIPS)
    elif sliders and slips["value"] <= NO_SLIP:
        say(StyleNote.ONLY_LOW)
    tops = {held: each.wear.peak(Face.MAIN_TOP) for held, each in by_hold.items()}
    if len(tops) > 1:
        least, wears = min(tops.values()), max(tops, key=lambda held: tops[held])
        spare = [held.value for held in Holds if held in tops and tops[held] <= SAME * least]
        if tops[wears] > SAME * least:
            say(
                StyleNote.SPARES, most=Quantity(tops[wears], "line energy"), least=Quantity(least, "line energy"),
                wears=Term(f"styles-holds-{wears.value}"), spares=Term(f"styles-holds-{'-'.join(spare)}"),
            )
    for held, kind in (
        (Holds.BOTH, StyleNote.FIXED), (Holds.MAIN, StyleNote.MAIN_HELD), (Holds.BACKUP, StyleNote.BACKUP_HELD),
    ):
        if held in by_hold:
            wear = by_hold[held].wear
            inner = max(wear.peak(Face.MAIN_UNDER), wear.peak(Face.BACKUP_TOP))
            say(
                kind, top=Quantity(wear.peak(Face.MAIN_TOP), "line energy"), inner=Quantity(inner, "line energy"),
                under=Quantity(wear.peak(Face.BACKUP_UNDER), "line energy"),
            )
    for held in (Holds.MAIN, Holds.BACKUP):
        if held in by_hold:
            each = by_hold[held]
            say(
                StyleNote.LOOPS, holds=Term(f"styles-holds-{held.value}"),
                least=Quantity(each.taped.least, "length"), most=Quantity(each.taped.most, "length"),
                least_settled=Quantity(each.settled.least, "length"),
                most_settled=Quantity(each.settled.most, "length"),
            )
    if Holds.BACKUP in by_hold:
        say(StyleNote.WRAPPED)
    laid = [(style.cut_list.tape_total, style.name) for style in styles if style.cut_list is not None]
    if len(laid) > 1:
        fewest, most = min(laid), max(laid)
        say(
            StyleNote.LEAST_TAPE, least=Quantity(fewest[0], "length"), least_name=Verbatim(fewest[1]),
            most=Quantity(most[0], "length"), most_name=Verbatim(most[1]),
        )
    say(StyleNote.SAME_HOLD)
    say(StyleNote.CHALK, Severity.BASIS)
    return tuple(notes)

"""Tape styles side by side: one rig, the same inputs, and what each does in the same day on the same scale.

A style is what its tapes hold.  Families that hold the same line move alike when their hold is alike: they are one
style, walked once, and differ in what they lay between the lines, in tape and in time.  The rig as planned is one of
them, or stands beside them where its zones hold different lines.
"""

from __future__ import annotations

import os
import threading
import time
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import FIRST_EXCEPTION, CancelledError, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass, replace
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from linescope.contact.hung_holds import standing_at
from linescope.contact.ledger import Face
from linescope.contact.pacing import EXACT, Lap, Pacer
from linescope.contact.parting import Parting, find_parting, parting_of
from linescope.contact.slides import MOST, STEPS, betweens
from linescope.contact.stepper import Stepper
from linescope.contact.verdicts import style_notes
from linescope.contact.wear import LEVELS, Wear, find_wear
from linescope.errors import InputError, LinescopeError, SolveError
from linescope.events.friction import HoldLevel
from linescope.notes import Note
from linescope.rig import Band, Rig, RigSource, Use, Wind, checked_rig
from linescope.rig.parts import RUNNING_RING_FRICTION
from linescope.shown import Outlined
from linescope.statics import Plan, Solution, cut_list, plan, solve
from linescope.statics.minimise import Settings
from linescope.taping import FAMILIES, CutList, Holds

Flags = NDArray[np.bool_]
Progress = Callable[[float, str], None]
TOLD_EVERY = 0.1  # While styles are computed beside each other, how far they are.  [s]


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
    """What a style does, whatever its tapes are made of.

    Attributes
    ----------
    wear : Wear
        With what the family shown lays between the lines.
    taped, shaken, settled : DepthSpread
        Nobody on the line: nothing has slipped, a fifth of the hold is left (a guess), none is.
    walked : mapping of level to DepthSpread
        The same after the first crossing, there and back, at each hold that was walked.
    hung : float
        Most that ran through one tape when the line was hung, at the hold's value.  [m]
    slip : mapping of level to float
        Most through one tape in the first crossing, at each hold that was walked.  [m]
    reach : float
        Farthest that the sliding line has been from where it was taped, in all crossings.  [m]
    force : float
        Largest force along the line over a tape in the first crossing.  [N]
    """

    wear: Wear
    taped: DepthSpread
    shaken: DepthSpread
    settled: DepthSpread
    walked: Mapping[HoldLevel, DepthSpread]
    hung: float
    slip: Mapping[HoldLevel, float]
    reach: float
    force: float


@dataclass(frozen=True, eq=False, kw_only=True)
class Made:
    """One family that a style can be made of.

    Attributes
    ----------
    family : str
        A key of `linescope.taping.FAMILIES`; "" for the zones of a rig that hold different lines.
    holds : Holds or None
        None for those.
    cut_list : CutList or None
        What tape it takes; None where it cannot be laid.
    faces : mapping of Face to float
        Largest work per metre in the day, with what it lays between the lines.  [J/m]
    strip : float
        Most work on the strip of one tape.  [J]
    failed : LinescopeError or None
        Why it cannot be laid.
    """

    family: str
    holds: Holds | None
    cut_list: CutList | None
    faces: Mapping[Face, float]
    strip: float
    failed: LinescopeError | None = None

    @property
    def name(self) -> str:
        """Family and what it holds, where it could hold either line."""
        if self.holds is None or len(FAMILIES[self.family].can_hold) == 1:
            return self.family
        return f"{self.family}, {self.holds.value}-held"


@dataclass(frozen=True, eq=False, kw_only=True)
class Style:
    """Tapes that hold the same line, or the rig as it is planned.

    Attributes
    ----------
    holds : Holds or None
        None where the rig's own tapes hold different lines.
    planned : bool
        Whether it is the rig as planned.
    behaviour : Behaviour or None
        None when it failed.
    made : tuple of Made
        Families that it can be made of, the one shown first; none when it failed.
    failed : LinescopeError or None
        Why there is no result.
    """

    holds: Holds | None
    planned: bool
    behaviour: Behaviour | None
    made: tuple[Made, ...]
    failed: LinescopeError | None = None

    @property
    def name(self) -> str:
        """ "mixed" for a rig whose tapes hold different lines, else what they hold."""
        return "mixed" if self.holds is None else self.holds.value


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Comparison(Outlined):
    """Tape styles side by side.

    Attributes
    ----------
    rig : Rig
        As given.
    use : Use
        What the rub is counted for.
    styles : tuple of Style
        The rig as planned first.
    parting : tuple of Parting
        From which hold on sliders slip.
    notes, assumed : tuple of Note
        What follows, and what was assumed.
    run_time : float
        [s]
    """

    rig: Rig
    use: Use
    styles: tuple[Style, ...]
    parting: tuple[Parting, ...]
    notes: tuple[Note, ...]
    assumed: tuple[Note, ...]
    run_time: float

    def style(self, holds: Holds | None) -> Style | None:
        """The style that holds a line; None when it was not asked for."""
        return next((style for style in self.styles if style.holds is holds), None)

    def behaviour(self, holds: Holds) -> Behaviour | None:
        """What tapes that hold a line do; None when there is no result."""
        found = self.style(holds)
        return None if found is None else found.behaviour


def all_families() -> tuple[tuple[str, Holds], ...]:
    """Every family, each slider both ways where it can hold either line."""
    return tuple((key, holds) for key, family in FAMILIES.items() for holds in family.can_hold)


def with_style(rig: Rig, family: str, holds: Holds) -> Rig:
    """The same rig with one family in all zones: spacing, excess and hold as they were.

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
    rig: Rig | RigSource,
    families: Sequence[str] | None = None,
    *,
    use: Use | None = None,
    wind: Wind | None = None,
    speed: Band | None = None,
    ring: Band = RUNNING_RING_FRICTION,
    levels: tuple[HoldLevel, ...] = LEVELS,
    most_steps: int = STEPS[-1],
    per_bay: int | None = None,
    most_walked: int = MOST,
    settings: Settings = EXACT,
    progress: Progress | None = None,
) -> Comparison:
    """The rig as planned, and with tapes that hold both lines, the main, the backup.

    Parameters
    ----------
    rig : RigSource or Rig
        A scene, or a rig; with a walker.  Its spacing, excess and hold stay; only what its tapes hold changes.
    families : sequence of str, optional
        Keys of `linescope.taping.FAMILIES`; default all, each slider both ways where it can hold either line.
    use, wind, speed, ring
        See `find_wear`.
    levels : tuple
        Ends of the hold at which all crossings are walked; at the low end the first one always is.
    most_steps : int
        Steps in each bay, at the most.
    per_bay : int, optional
        Steps in each bay; see `find_wear`.
    most_walked : int
        Crossings walked, at the most.
    settings : Settings
        Of the search, for every step of a crossing.
    progress : callable, optional
        Told the share done, 0 to 1, and what is being done.

    Raises
    ------
    InputError
        When the rig has no walker, or there is no such family.

    Notes
    -----
    A style that finds no equilibrium becomes a result that says so; the others are not lost.

    Examples
    --------
    >>> import linescope
    >>> scene = linescope.load("scenes/heron_gap.toml")
    >>> linescope.compare(scene, ["fixed wrap"], levels=("value",), per_bay=1)
    Comparison(...)
    """
    rig = checked_rig(rig)
    if rig.walker is None:
        raise InputError("styles are compared by a crossing: the rig needs a walker", key="walker")
    unknown = [key for key in families or () if key not in FAMILIES]
    if unknown:
        raise InputError("no such taping family", key="families", found=unknown[0], allowed=", ".join(FAMILIES))
    begun = time.perf_counter()
    wanted = [each for each in all_families() if families is None or each[0] in families]
    own = tuple(dict.fromkeys((zone.family, zone.holds) for zone in rig.taping.zones))
    mixed = len({holds for _, holds in own}) > 1
    groups: list[tuple[Holds | None, list[tuple[str, Holds]]]] = [(None, [])] if mixed else []
    for holds in sorted(Holds, key=lambda each: mixed or each is not own[0][1]):
        group = [each for each in wanted if each[1] is holds]
        if not mixed and holds is own[0][1]:
            group = [*own, *(each for each in group if each not in own)]
        if group:
            groups.append((holds, group))
    shares, doing, over = [0.0] * len(groups), ["crossings"] * len(groups), threading.Event()

    # With as many steps a bay for all, the walk of tapes that hold both lines tells where the others part from it.
    shared = per_bay is not None and any(held is Holds.BOTH for held, _ in groups)

    def one(count: int) -> tuple[Style, Plan | None, Parting | None]:
        held, group = groups[count]

        def told(share: float, what: str) -> None:
            if over.is_set():
                raise CancelledError
            shares[count], doing[count] = share, what

        planned = count == 0 and (mixed or own[0] in group)
        styled = rig if planned else with_style(rig, *group[0])
        laid = parting = None
        try:
            laid = plan(styled)
            behaviour = _behaviour(
                laid, use, wind, speed, ring, levels, most_steps, per_bay, most_walked, settings, told, pool.submit)
            if held in (Holds.MAIN, Holds.BACKUP) and not shared:
                parting = find_parting(laid, held, behaviour.wear.history.per_bay, settings)
        except SolveError as error:
            return Style(holds=held, planned=planned, behaviour=None, made=(), failed=error), laid, parting
        shares[count] = 1.0
        made = tuple(_made(laid, each, behaviour) for each in group) if group else (_planned(laid, behaviour),)
        return Style(holds=held, planned=planned, behaviour=behaviour, made=made), laid, parting

    # The walker's steps are compiled, and let other threads run.
    with ThreadPoolExecutor(max_workers=os.cpu_count() or 1) as pool:
        futures = [pool.submit(one, count) for count in range(len(groups))]
        try:
            left = set(futures)
            while left:
                ended, left = wait(left, timeout=TOLD_EVERY, return_when=FIRST_EXCEPTION)
                for future in ended:
                    future.result()
                if progress is not None and left:
                    at_it = next((k for k, share in enumerate(shares) if share < 1.0), 0)
                    progress(min(sum(shares) / len(groups), 0.999), doing[at_it])
        except BaseException:
            over.set()
            pool.shutdown(wait=False, cancel_futures=True)
            raise
    found = [future.result() for future in futures]
    styles, parting = [style for style, _, _ in found], [parts for _, _, parts in found if parts is not None]
    stuck = next((style.behaviour for style in styles if style.holds is Holds.BOTH), None)
    if shared and stuck is not None:
        parting = [
            parting_of(laid.layout, style.holds, stuck.wear.history.first) for style, laid, _ in found
            if laid is not None and style.holds in (Holds.MAIN, Holds.BACKUP) and style.behaviour is not None
        ]
    if progress is not None:
        progress(1.0, "done")
    done = [style.behaviour for style in styles if style.behaviour is not None]
    return Comparison(
        rig=rig, use=rig.use if use is None else use, styles=tuple(styles), parting=tuple(parting),
        notes=style_notes(styles, parting),
        assumed=tuple(dict.fromkeys(note for each in done for note in each.wear.assumed)),
        run_time=time.perf_counter() - begun,
    )


def _behaviour(
    planned: Plan, use: Use | None, wind: Wind | None, speed: Band | None, ring: Band,
    levels: tuple[HoldLevel, ...], most_steps: int, per_bay: int | None, most_walked: int, settings: Settings,
    progress: Progress, beside: Callable[..., Future[Lap]],
) -> Behaviour:
    rig, layout = planned.rig, planned.layout
    slides = any(tape.holds is not Holds.BOTH for tape in layout.tapes)
    ends = LEVELS if "high" in levels else LEVELS[:2]

    def lap(level: HoldLevel, steps: int) -> Lap:
        return Pacer(rig, level, planned, settings).lap(steps)

    # With steps that are known the ends that are walked once need not wait for the rest.
    laps = {
        level: beside(lap, level, per_bay) for level in ends if per_bay is not None and slides
        and level not in ("value", *levels)
    }
    wear = find_wear(
        rig, use, wind=wind, speed=speed, ring=ring, levels=levels, most_steps=most_steps, most_walked=most_walked,
        per_bay=per_bay, settings=settings, effects=False, planned=planned, progress=progress,
    )
    first: dict[HoldLevel, Lap] = {}
    for level in ends:
        history = wear.histories.get(level)
        if history is not None:
            first[level] = history.first
        elif level in laps and not laps[level].cancel():
            first[level] = laps[level].result()
        elif slides:
            first[level] = lap(level, wear.history.per_bay)
    taped = depth_spread(wear.standing)
    walked = {
        level: depth_spread(standing_at(planned, lap.slide[-1])) if slides else taped for level, lap in first.items()
    }
    settled = solve(rig.without_walker(), "settled", planned=planned, look_for_others=False) if slides else None
    shaken = Stepper(rig, planned=planned).shake() if slides else None
    history, marks = wear.history, np.where(_on_main(planned), layout.tape_main, layout.tape_backup)
    hung = np.where(_slides(planned), np.abs(history.places[0] - marks), 0.0)
    return Behaviour(
        wear=wear, taped=taped, shaken=taped if shaken is None else depth_spread(shaken),
        settled=taped if settled is None else depth_spread(settled),
        walked=MappingProxyType(walked), hung=float(hung.max(initial=0.0)),
        slip=MappingProxyType({level: float(lap.total_slip.max(initial=0.0)) for level, lap in first.items()}),
        reach=float(history.reach.max(initial=0.0)), force=history.over_tape,
    )


def _slides(planned: Plan) -> Flags:
    return np.array([tape.holds is not Holds.BOTH for tape in planned.layout.tapes], dtype=bool)


def _on_main(planned: Plan) -> Flags:
    """Which tapes slide along the main."""
    return np.array([tape.holds is Holds.BACKUP for tape in planned.layout.tapes], dtype=bool)


def _planned(laid: Plan, behaviour: Behaviour) -> Made:
    """What the rig's own zones are made of."""
    faces = MappingProxyType({face: behaviour.wear.peak(face) for face in Face})
    return replace(_cuts(laid, "", None), faces=faces, strip=behaviour.wear.tape_peak())


def _cuts(laid: Plan, family: str, holds: Holds | None) -> Made:
    try:
        cuts = cut_list(laid)
    except LinescopeError as error:
        return Made(family=family, holds=holds, cut_list=None, faces={}, strip=float("nan"), failed=error)
    return Made(family=family, holds=holds, cut_list=cuts, faces={}, strip=float("nan"))


def _made(laid: Plan, which: tuple[str, Holds], behaviour: Behaviour) -> Made:
    """One family of a style: the same marks and crossings, with what it lays between the lines."""
    family, holds = which
    tapes = tuple(replace(tape, family=family) if tape.kind == "tape" else tape for tape in laid.layout.tapes)
    styled = replace(laid, rig=with_style(laid.rig, *which), layout=replace(laid.layout, tapes=tapes))
    found = _cuts(styled, family, holds)
    if found.cut_list is None:
        return found
    wear = behaviour.wear
    slides = wear.history.booked(styled.layout, betweens(styled.rig, styled.layout)).tracks
    day = wear.day.value.plus(wear.history.tracks, -1.0).plus(slides)
    faces = MappingProxyType({face: day.faces[face].peak for face in Face})
    return replace(found, faces=faces, strip=float(day.tapes.max(initial=0.0)))

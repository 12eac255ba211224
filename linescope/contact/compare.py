"""One rig, every tape style, the same inputs: loops, slips, rub, force over a tape, tape used, and what follows."""

from __future__ import annotations

import time
from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from linescope.contact.find import LEVELS, MOST, find_rub
from linescope.contact.pressing import tape_shear
from linescope.contact.styles import Behaviour, Comparison, DepthSpread, Style
from linescope.contact.verdict import conclusions
from linescope.errors import InputError, LinescopeError, SolveError
from linescope.events.crossing import Crossing
from linescope.events.friction import HoldLevel
from linescope.rig import Rig, RigSource, Wind, checked_rig
from linescope.statics import Plan, Solution, cut_list, plan, solve
from linescope.taping import FAMILIES, Holds

Progress = Callable[[float, str], None]


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


def force_over_tapes(crossing: Crossing) -> float:
    """Largest force along the line over a tape in a crossing: its hold, or what its two lines pull apart.  [N]

    Taken from the jump of tension of the line that slides, or of the backup where both are held.
    """
    most = float(np.max(np.abs(tape_shear(crossing.before)), initial=0.0))
    held = [tape.holds is Holds.BACKUP for tape in crossing.layout.tapes]
    for state in crossing.states:
        pair, segments = state.state.pair, state.state.segments
        n, tapes = pair.n, pair.tapes
        start, end = segments.tension_start, segments.tension_end
        backup = start[n + 2 :] - end[n + 1 : -1]
        main = (start[1 : n + 1] - end[:n])[tapes]
        most = max(most, float(np.max(np.abs(np.where(held, main, backup)), initial=0.0)))
    return most


def _behaviour(
    rig: Rig, holds: Holds, planned: Plan, wind: Wind | None, levels: tuple[HoldLevel, ...], most: int,
    progress: Progress | None,
) -> Behaviour:
    rub = find_rub(rig, wind=wind, levels=levels, most=most, planned=planned, progress=progress)
    taped = solve(rig, "as taped", planned=planned)
    settled = solve(rig, "settled", planned=planned, look_for_others=False)
    return Behaviour(
        holds=holds, rub=rub, taped=depth_spread(taped), settled=depth_spread(settled),
        slip={level: float(np.max(slide.crossing.total_slip, initial=0.0)) for level, slide in rub.slides.items()},
        force={level: force_over_tapes(slide.crossing) for level, slide in rub.slides.items()},
    )


def compare(
    rig: Rig | RigSource,
    families: Sequence[str] | None = None,
    *,
    wind: Wind | None = None,
    levels: tuple[HoldLevel, ...] = LEVELS,
    most: int = MOST,
    progress: Progress | None = None,
) -> Comparison:
    """Every tape style on one rig.

    Parameters
    ----------
    rig : RigSource or Rig
        With a walker.  Its spacing, excess and hold stay; only what its tapes hold changes.
    families : sequence of str, optional
        Keys of `linescope.taping.FAMILIES`; default all, each slider both ways where it can hold either line.
    wind : Wind, optional
        See `find_rub`.
    levels : tuple
        Ends of the hold to walk at; fewer are quicker.
    most : int
        Steps in each bay, at the most.
    progress : callable, optional
        Told the share done, 0 to 1, and what is being done with the seconds passed.

    Raises
    ------
    InputError
        When the rig has no walker, or there is no such family.

    Notes
    -----
    Families that hold the same line move alike when their hold is alike: they are walked once and differ in tape and
    time.  A style that finds no equilibrium becomes a result that says so; the others are not lost.
    """
    rig = checked_rig(rig)
    if rig.walker is None:
        raise InputError("styles are compared by a crossing: the rig needs a walker", key="walker")
    unknown = [key for key in families or () if key not in FAMILIES]
    if unknown:
        raise InputError("no such taping family", key="families", found=unknown[0], allowed=", ".join(FAMILIES))
    wanted = [style for style in all_styles() if families is None or style[0] in families]
    begun = time.perf_counter()
    kinds = list(dict.fromkeys(holds for _, holds in wanted))
    behaviours: dict[Holds, Behaviour | SolveError] = {}
    for count, holds in enumerate(kinds):
        family = next(key for key, held in wanted if held is holds)
        styled = with_style(rig, family, holds)

        def told(share: float, what: str, count: int = count, holds: Holds = holds) -> None:
            if progress is not None:
                seconds = time.perf_counter() - begun
                text = f"tapes that hold {_held(holds)}: {what} ({seconds:.0f} s)"
                progress(min((count + 0.99 * share) / len(kinds), 0.999), text)

        try:
            behaviours[holds] = _behaviour(styled, holds, plan(styled), wind, levels, most, told)
        except SolveError as error:
            behaviours[holds] = error
    styles = tuple(_style(rig, family, holds, behaviours[holds]) for family, holds in wanted)
    run_time = time.perf_counter() - begun
    if progress is not None:
        progress(1.0, f"compared in {run_time:.0f} s")
    done = [found for found in behaviours.values() if isinstance(found, Behaviour)]
    return Comparison(
        rig=rig, styles=styles, conclusions=conclusions(styles),
        assumed=tuple(dict.fromkeys(line for found in done for line in found.rub.assumed)), run_time=run_time,
    )


def _held(holds: Holds) -> str:
    return "both lines" if holds is Holds.BOTH else f"the {holds.value}"


def _style(rig: Rig, family: str, holds: Holds, found: Behaviour | SolveError) -> Style:
    try:
        cuts = cut_list(plan(with_style(rig, family, holds)))
    except LinescopeError as error:
        return Style(
            family=family, holds=holds, behaviour=found if isinstance(found, Behaviour) else None, cut_list=None,
            failed=error,
        )
    if isinstance(found, SolveError):
        return Style(family=family, holds=holds, behaviour=None, cut_list=cuts, failed=found)
    return Style(family=family, holds=holds, behaviour=found, cut_list=cuts)

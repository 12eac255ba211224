"""From a wanted loop to its mark: how long to cut or mark the backup.

The wanted depth or excess is that under the walker (or standing); the marks are found with the whole pair
solved, not with a formula, and the rig that carries them is part of the answer.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import ClassVar, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linescope.errors import InputError, SolveError
from linescope.events.excess import depth_for_loop_length
from linescope.lazy import Renamed
from linescope.rig import BackupPlan, Rig, Spacing, TapeZone
from linescope.rig.layout import Layout, anchor_detour, loop_length_for_depth
from linescope.rig.wishes import LOOPS_WALKED
from linescope.shown import Outlined
from linescope.statics import Plan, Solution, plan, solve
from linescope.statics.solution import freeze
from linescope.units import at_least, at_most

Floats = NDArray[np.float64]
Under = Literal["walker", "standing"]
Spread = Literal["each bay", "same excess"]

MARK_TOLERANCE = 1e-7  # Of the wanted depth [m] or excess [-]; far below what can be marked.
SHALLOWEST, DEEPEST = 1e-3, 20.0  # Loop depths that can be asked for.  [m]
MOST_EXCESS = 1.0
"""Of any bay, as in scene files.  [-]"""
MAX_ROUNDS = 40
ALIKE = 0.8
"""Zones whose bays are at least this share of the longest have the same loops.  [-]"""


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class MarkedBays(Outlined):
    """What to measure on the main while taping at one tension.  Arrays are (n,), one entry a bay from anchor A.

    Attributes
    ----------
    length : array
        Main between the bay's two tapes at that tension.  [m]
    excess : array
        Backup to leave over that length, minus one.  [-]
    """

    length: Floats
    excess: Floats


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Marks(Renamed, Outlined):
    """Marks on the backup that give the wanted loops.  Arrays are (n,), one entry a bay from anchor A.

    Attributes
    ----------
    rig : Rig
        The same rig with these loops: one tape zone a bay.
    under : {"walker", "standing"}
        The state in which they were wanted.
    spread : {"each bay", "same excess"}
        Every bay as wanted, or one excess for all that is right at mid-span.
    wanted : array
        Depth [m] or excess [-]; nan in bays that take what comes.
    wanted_is : {"loop depth", "excess"}
    loop_length : array
        Backup to leave between the bay's two tapes, slack.  [m]
    slack : MarkedBays
        For taping on slack main.
    tensioned : MarkedBays
        For taping under `marking_tension`: the same loops, on longer bays.
    marking_tension : float
        Of the main.  [N]
    tape_marks : (n-1,) array
        Each tape's place on the slack backup, from the mark at anchor A.  [m]
    backup_length : float
        From the mark at anchor A to the mark that must sit at anchor B at standing tension.  [m]
    change : float
        That length minus the one of the rig as given; what to let out (+) or take in (-).  [m]
    standing : Solution
        What to see before anyone steps on.
    walker : Solution or None
        The same with the rig's walker, where it has one.
    rounds : int
        Times the pair was solved.
    error : float
        Largest deviation from what was wanted.  [m or -]
    """

    rig: Rig
    under: Under
    spread: Spread
    wanted: Floats
    wanted_is: Literal["loop depth", "excess"]
    loop_length: Floats
    slack: MarkedBays
    tensioned: MarkedBays
    marking_tension: float
    tape_marks: Floats
    backup_length: float
    change: float
    standing: Solution
    walker: Solution | None
    rounds: int
    error: float
    OLD: ClassVar[Mapping[str, str]] = {
        "bay_slack": "slack.length", "excess_slack": "slack.excess", "bay_tensioned": "tensioned.length",
        "excess_tensioned": "tensioned.excess", "standing_depth": "standing.bays.loop_depth",
        "standing_excess": "standing.bays.excess", "walker_depth": "walker.bays.loop_depth",
        "walker_excess": "walker.bays.excess",
    }


def excess_to_mark(wanted: ArrayLike, strain: ArrayLike) -> Floats:
    """Excess to mark on slack main for a wanted excess on main that is strained.

    Parameters
    ----------
    wanted : float or (n,) array
        [-]
    strain : float or (n,) array
        Of the main in the state where it is wanted.  [-]

    Returns
    -------
    () or (n,) array
        (1 + wanted)(1 + strain) - 1.  [-]
    """
    return np.asarray((1.0 + np.asarray(wanted, dtype=float)) * (1.0 + np.asarray(strain, dtype=float)) - 1.0)


def with_loops(rig: Rig, layout: Layout, loops: ArrayLike) -> Rig:
    """The same rig with loops of given lengths: one tape zone a bay, tapes where they were.

    Parameters
    ----------
    rig : Rig
    layout : Layout
        Of that rig.
    loops : (n,) array
        Unstretched backup in each bay of the layout.  [m]

    Raises
    ------
    InputError
    """
    loops = np.asarray(loops, dtype=float)
    stated = layout.stated_bays
    if loops.shape != stated.shape or not np.all(np.isfinite(loops)):
        raise InputError(
            "one loop length is needed for every bay",
            key="backup",
            found=f"{loops.size}",
            allowed=f"{stated.size}",
        )
    edges = np.concatenate(([0.0], layout.tape_main * (1.0 + layout.marking_strain), [math.inf]))
    ways = stated + anchor_detour(rig, stated)  # As `lay_out` takes them.
    old = rig.taping.zones
    index = [0, *(tape.zone for tape in layout.tapes)]
    owner = [old[zone] for zone in index]
    # The last bay takes what is left, however long the main is with these loops: it is never parted.
    every = np.append(stated[:-1], max(stated[-1], 0.5 * layout.main_length))
    zones = tuple(
        TapeZone(
            start=float(edges[bay]),
            end=float(edges[bay + 1]),
            family=owner[bay].family,
            holds=owner[bay].holds,
            spacing=Spacing(kind="even", every=float(every[bay])),
            excess=float(loops[bay] / ways[bay] - 1.0),
            hold=owner[bay].hold,
            number=owner[bay].number or index[bay] + 1,
        )
        for bay in range(len(stated))
    )
    # Every bay has its own loop now: how the backup was given no longer counts.
    given = BackupPlan(given_by="excess", value=float(np.sum(loops) / np.sum(ways)) - 1.0)
    return replace(rig, taping=replace(rig.taping, zones=zones), backup_plan=given)


def marks_for(
    rig: Rig,
    *,
    depth: ArrayLike | None = None,
    excess: ArrayLike | None = None,
    under: Under = "walker",
    spread: Spread = "each bay",
    marking_tension: float | None = None,
    planned: Plan | None = None,
) -> Marks:
    """Loop lengths and marks for a wanted loop depth or a wanted excess.

    The tapes stay where the rig has them and nothing slips (as taped).  With `spread` "same excess" one
    marked excess serves all bays, such that the bay at mid-span is as wanted.

    Parameters
    ----------
    rig : Rig
    depth, excess : float or (n,) array
        One of them.  [m or -]
    under : {"walker", "standing"}
        The state in which it is wanted.
    spread : {"each bay", "same excess"}
    marking_tension : float, optional
        Tension of the main when taping, for the second set of marks; default that of the rig's tape plan,
        or the standing tension.  [N]
    planned : Plan, optional
        Of the same rig, when it is known.

    Returns
    -------
    Marks

    Raises
    ------
    InputError
    SolveError
        When no loop lengths give what is wanted.
    """
    if under == "walker" and rig.walker is None:
        raise InputError("loops are wanted under a walker, and there is none", key="walker")
    planned = plan(rig) if planned is None else planned
    layout = planned.layout
    wanted, by_depth = _wanted(depth, excess, len(layout.stated_bays))
    if spread == "same excess":
        middle = int(np.searchsorted(layout.tape_main, 0.5 * layout.main_length))
        wanted = np.where(np.arange(len(wanted)) == middle, wanted, np.nan)
    asked = np.isfinite(wanted)
    if by_depth:
        _refuse_excess(layout, wanted)
    loops, now, before = layout.bays_backup, planned, None
    error = np.inf
    for rounds in range(1, MAX_ROUNDS + 1):
        found = solve(now.rig if under == "walker" else now.rig.without_walker(), planned=now)
        bays = found.bays
        got = bays.loop_depth if by_depth else bays.excess
        error = float(np.max(np.abs(got - wanted)[asked]))
        if error <= MARK_TOLERANCE:
            return _marks(
                rig, layout, now, found, wanted, by_depth, under, spread, marking_tension, rounds, error
            )
        if by_depth:
            new = loops + _longer(bays.length, got, wanted, loops, before)
        else:
            new = bays.loop_length * (1.0 + wanted) / (1.0 + got)
        before = (loops, got)
        if spread == "same excess":
            new = (new / now.layout.bays_main)[asked][0] * now.layout.bays_main
        loops = new
        now = plan(with_loops(now.rig, now.layout, loops))
        loops = now.layout.bays_backup
    raise SolveError(
        f"no loop lengths give what is wanted: after {MAX_ROUNDS} rounds it is {error:.2g} off.",
        advice="deeper loops, or more excess; a backup that is tight follows the main whatever is marked.",
    )


def depths_by_zone(layout: Layout, wanted: float | Mapping[int, float]) -> Floats:
    """Loop depth to ask of every bay, from one depth or one for each of some tape zones.

    One depth is that of the longest bays: in zones of shorter bays it is less in proportion, which is about the same
    excess (depth over bay is sqrt(3 e / 8) for an excess e; Irvine, 1981, section 2.2).  Zones that are not named take
    what comes.

    Parameters
    ----------
    layout : Layout
    wanted : float or mapping of int to float
        [m], the latter by the zone's number from 1.

    Returns
    -------
    (n,) array
        nan in bays that take what comes.  [m]

    Raises
    ------
    InputError
        When there is no such zone.
    """
    owner = zones_of_bays(layout)
    if isinstance(wanted, Mapping):
        count = int(owner.max()) + 1
        for number in wanted:
            if not 1 <= number <= count:
                raise InputError("there is no such tape zone", key="zone", found=number, allowed=f"1 to {count}")
        return np.array([wanted.get(int(zone) + 1, math.nan) for zone in owner])
    usual = {int(zone): float(np.median(layout.bays_main[owner == zone])) for zone in np.unique(owner)}
    longest = max(usual.values())
    return np.array([wanted * (usual[int(zone)] / longest if usual[int(zone)] < ALIKE * longest else 1.0)
                     for zone in owner])


def depths_wished(rig: Rig) -> dict[int, float]:
    """Loop depths that the scene of a rig wishes for, by tape zone from 1: the middle where both ends are given.

    A wish without a zone is for every zone that has none of its own.

    Parameters
    ----------
    rig : Rig

    Returns
    -------
    dict of int to float
        [m]
    """
    found: dict[int, float] = {}
    everywhere: float | None = None
    for wish in rig.wishes:
        if wish.figure not in LOOPS_WALKED:
            continue
        ends = [end for end in (wish.at_least, wish.at_most) if math.isfinite(end)]
        depth = sum(ends) / len(ends)
        if wish.zone is not None:
            found.setdefault(wish.zone, depth)
        elif everywhere is None and wish.start == 0.0 and not math.isfinite(wish.end):
            everywhere = depth
    if everywhere is not None:
        for number in range(1, len(rig.taping.zones) + 1):
            found.setdefault(number, everywhere)
    return found


def zones_of_bays(layout: Layout) -> NDArray[np.int64]:
    """(n,) tape zone of every bay, from 0: that of the tape it begins with.

    Parameters
    ----------
    layout : Layout
    """
    return np.array([0, *(tape.zone for tape in layout.tapes)], dtype=np.int64)


def zone_excess(marks: Marks, wanted: float | Mapping[int, float]) -> dict[int, float]:
    """One excess for each tape zone that loops are wanted in: the middle one of its bays, to a tenth of a percent.

    Parameters
    ----------
    marks : Marks
        For depths of `depths_by_zone`.
    wanted : float or mapping of int to float
        The same.  [m]

    Returns
    -------
    dict of int to float
        By the zone's number from 1.  [-]
    """
    zones = marks.rig.taping.zones  # One a bay, each numbered as the zone it was cut from.
    numbers = [zone.number for zone in zones]
    asked = sorted(wanted) if isinstance(wanted, Mapping) else sorted({each for each in numbers if each is not None})
    return {
        number: round(float(np.median([
            zone.excess for zone in zones if zone.number == number and zone.excess is not None
        ])), 3)
        for number in asked
    }


def _refuse_excess(layout: Layout, wanted: Floats) -> None:
    """Refuse loops for which a bay would need more excess than a scene file may have, by the level loop's formula."""
    bays = layout.bays_main
    excess = np.array([
        loop_length_for_depth(float(bay), float(depth)) / bay - 1.0 if np.isfinite(depth) else 0.0
        for bay, depth in zip(bays, wanted, strict=True)
    ])
    worst = int(np.argmax(excess))
    if excess[worst] <= MOST_EXCESS:
        return
    deepest = float(depth_for_loop_length(bays[worst], (1.0 + MOST_EXCESS) * bays[worst]))
    raise InputError(
        "loops that deep take more excess than a rig may have",
        key="loop depth",
        found=f"{wanted[worst]:g} m, for which bay {worst + 1} of {bays[worst]:.2f} m takes an excess of "
        f"{at_most(float(excess[worst]), 'ratio')}",
        allowed=f"at most {at_most(MOST_EXCESS, 'ratio')} excess: about {at_least(deepest, 'length')} in that bay",
    )


def _all_within(wanted: Floats, low: float, high: float) -> bool:
    """Whether all that is wanted is from low to high; nan where nothing is."""
    asked = wanted[~np.isnan(wanted)]
    return bool(np.size(asked)) and bool(np.all((asked >= low) & (asked <= high)))


def _wanted(depth: ArrayLike | None, excess: ArrayLike | None, bays: int) -> tuple[Floats, bool]:
    """(n,) what is wanted, and whether it is a depth."""
    if (depth is None) == (excess is None):
        raise InputError("loops are wanted by depth or by excess, one of them", key="backup")
    by_depth = depth is not None
    wanted = np.asarray(depth if by_depth else excess, dtype=float)
    low, high, unit = (SHALLOWEST, DEEPEST, " m") if by_depth else (-0.02, 1.0, "")
    if wanted.ndim > 1 or wanted.size not in (1, bays) or not _all_within(wanted, low, high):
        raise InputError(
            "no such loops can be asked for",
            key="loop depth" if by_depth else "excess",
            found=wanted.tolist(),
            allowed=f"{low:g}{unit} to {high:g}{unit}, one value or one for each of {bays} bays",
        )
    return np.broadcast_to(wanted, bays).copy(), by_depth


def _longer(
    chord: Floats, got: Floats, wanted: Floats, loops: Floats, before: tuple[Floats, Floats] | None
) -> Floats:
    """How much longer the loops must be: by the level loop's formula, then by secants of depth squared."""
    target = np.where(np.isfinite(wanted), wanted, got)
    step = np.array(
        [
            loop_length_for_depth(c, w) - loop_length_for_depth(c, g)
            for c, w, g in zip(chord, target, got, strict=True)
        ]
    )
    if before is None:
        return step
    moved, change = loops - before[0], got**2 - before[1] ** 2
    with np.errstate(divide="ignore", invalid="ignore"):
        secant = (target**2 - got**2) * moved / change
        usable = np.isfinite(secant) & (secant * step > 0.0) & (np.abs(secant) < 3.0 * np.abs(step))
    return np.where(usable, secant, step)


def _marks(
    rig: Rig,
    given: Layout,
    now: Plan,
    found: Solution,
    wanted: Floats,
    by_depth: bool,
    under: Under,
    spread: Spread,
    marking_tension: float | None,
    rounds: int,
    error: float,
) -> Marks:
    layout = now.layout
    if under == "walker":
        walker: Solution | None = found
        standing = solve(now.rig.without_walker(), planned=now)
    else:
        standing = found
        walker = solve(now.rig, planned=now) if rig.walker is not None else None
    if marking_tension is None:
        marking_tension = rig.taping.tension
    if marking_tension is None:
        marking_tension = standing.tension_a
    if not 0.0 <= marking_tension <= rig.main.strength:
        raise InputError(
            "no such tension while marking",
            key="taping.tension",
            found=f"{marking_tension:g} N",
            allowed=f"0 to {rig.main.strength:g} N",
        )

    def marked(length: Floats) -> MarkedBays:
        bays = MarkedBays(length=length, excess=layout.bays_backup / (length + anchor_detour(rig, length)) - 1.0)
        freeze(bays)
        return bays

    marks = Marks(
        rig=now.rig,
        under=under,
        spread=spread,
        wanted=wanted,
        wanted_is="loop depth" if by_depth else "excess",
        loop_length=layout.bays_backup,
        slack=marked(layout.bays_main),
        marking_tension=marking_tension,
        tensioned=marked(layout.bays_main * (1.0 + rig.main.stretch.strain_at(marking_tension))),
        tape_marks=layout.tape_backup.copy(),
        backup_length=layout.backup_length,
        change=layout.backup_length - given.backup_length,
        standing=standing,
        walker=walker,
        rounds=rounds,
        error=error,
    )
    freeze(marks)
    return marks

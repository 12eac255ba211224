"""A place that is short of what it needs, and the smallest change of one lever alone that would mend it.

Nothing is foretold here: every change is solved exactly for what comes too near at that place, with values that hands
can set, and the smallest that keeps what is needed is found by halving.  Lines lie in still air, falls and the loss of
the main are bounds by the energy balance; what a change does elsewhere is for the clearance of that plan to say.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from linescope.advise.checked import figure_of
from linescope.advise.levers import Lever, levers_of
from linescope.advise.search import PlanSearch, Tried
from linescope.advise.wished import Watched
from linescope.clearance import Cause, Clearance, GroundIndex
from linescope.rig import Wish
from linescope.scene import Scene

PLACES = 8
"""At most, worst first."""
HALVED = 7
"""How often, at most: to less than a hundredth of a lever's range."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Mend:
    """What one change does for a place.

    Attributes
    ----------
    causes : tuple of Cause
        All that is short there; levers are solved for those of them that are a figure to wish for.
    lever : Lever or None
        None where no lever alone mends it within its range.
    value : float
        What it is set to; nan where there is none.  [N, -, count or m]
    tried : dict of str to str
        Keys of the scene for that.
    levers : tuple of Lever
        Those that were looked at.
    """

    causes: tuple[Cause, ...]
    lever: Lever | None
    value: float
    tried: dict[str, str]
    levers: tuple[Lever, ...]


def mend(scene: Scene, causes: Sequence[Cause], index: GroundIndex) -> Mend | None:
    """The smallest change of one lever that mends a place, as a share of the lever's range.

    Parameters
    ----------
    scene : Scene
    causes : sequence of Cause
        All that is short at one place.
    index : GroundIndex

    Returns
    -------
    Mend or None
        None where no figure to wish for is short there: then something else is, which no lever is solved for.
    """
    needed: dict[str, float] = {}
    places: dict[str, list[float]] = {}
    for cause in causes:
        figure = figure_of(cause)
        if figure and cause.walker is not None and cause.role == "ground":
            needed[figure] = max(needed.get(figure, 0.0), cause.needed)
            places.setdefault(figure, []).append(cause.walker)
    if not needed:
        return None
    watched = tuple(
        Watched(
            wish=Wish(figure=figure, at_least=least, origin="clearance"), handed=tuple(dict.fromkeys(places[figure])),
        )
        for figure, least in needed.items()
    )
    levers = levers_of(scene, [each.wish for each in watched])
    search = PlanSearch(scene, watched, levers, index)
    now = np.array([lever.now for lever in levers])
    start = search.solve(now)
    if start is None or start.least >= 0.0:
        return None
    best: tuple[float, Tried, Lever] | None = None
    for k, lever in enumerate(levers):
        found = _least(search, now, k, lever)
        if found is None:
            continue
        change = abs(lever.share(float(found.values[k])) - lever.share(lever.now))
        if best is None or change < best[0]:
            best = change, found, lever
    if best is None:
        return Mend(causes=tuple(causes), lever=None, value=float("nan"), tried={}, levers=levers)
    _, found, lever = best
    value = float(found.values[levers.index(lever)])
    return Mend(causes=tuple(causes), lever=lever, value=value, tried=found.keys, levers=levers)


def _least(search: PlanSearch, now: np.ndarray, k: int, lever: Lever) -> Tried | None:
    """The smallest change of one lever that keeps what is needed, towards either end; None where neither end does."""
    def at(value: float) -> Tried | None:
        values = now.copy()
        values[k] = lever.rounded(value)
        return None if values[k] == now[k] else search.solve(values)

    found: list[Tried] = []
    for end in (lever.low, lever.high):
        kept = at(end)
        if kept is None or kept.least < 0.0:
            continue
        near, far = lever.now, float(kept.values[k])
        for _ in range(HALVED):
            if abs(far - near) <= 1.001 * lever.step:
                break
            middle = at(0.5 * (near + far))
            if middle is None:
                near = 0.5 * (near + far)
            elif middle.least >= 0.0:
                kept, far = middle, float(middle.values[k])
            else:
                near = float(middle.values[k])
        found.append(kept)
    return min(found, key=lambda each: abs(float(each.values[k]) - lever.now), default=None)


def mends(
    scene: Scene, check: Clearance, index: GroundIndex, progress: Callable[[float], None] | None = None
) -> tuple[Mend, ...]:
    """For each place that is short, where anything can be said.

    Parameters
    ----------
    scene : Scene
    check : Clearance
        Of it.
    index : GroundIndex
    progress : callable, optional
        Told the share done; may raise to stop.
    """
    short = [[cause for cause in finding.causes if not cause.is_met] for finding in check.findings]
    short += [list(zone.short) for zone in check.zones]
    short = sorted((each for each in short if each), key=lambda causes: min(cause.distance for cause in causes))
    found = []
    for number, causes in enumerate(short[:PLACES]):
        one = mend(scene, causes, index)
        if one is not None:
            found.append(one)
        if progress is not None:
            progress((number + 1) / min(len(short), PLACES))
    return tuple(found)

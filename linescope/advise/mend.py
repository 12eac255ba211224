"""What is short of its need at a place, and the smallest change of one lever alone that would mend it.

Nothing is foretold here: every change is solved exactly at that place, with values that hands can set, and the smallest
that keeps what is needed is found by halving.  Lines lie in still air, falls and the loss of the main are bounds by the
energy balance; where the clearance finds another distance than these there, nothing is said.  What a change does
elsewhere is for the clearance of that plan to say.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from linescope.advise.checked import figure_of
from linescope.advise.levers import Lever, levers_of
from linescope.advise.search import PlanSearch, Tried
from linescope.advise.wished import Watched
from linescope.clearance import Cause, Clearance, GroundIndex
from linescope.clearance.ranked import at_rest, places
from linescope.rig import Wish
from linescope.scene import Scene

PLACES = 8
"""At most, worst first."""
AGREES = 0.05
"""Between the distance that the clearance found and the one that levers are solved for, at most.  [m]"""
HALVED = 7
"""How often, at most: to less than a hundredth of a lever's range."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Mend:
    """What one change does for a place.

    Attributes
    ----------
    cause : Cause
        What is short.
    lever : Lever or None
        None where no lever alone mends it within its range.
    value : float
        What it is set to; nan where there is none.  [N, -, count or m]
    tried : dict of str to str
        Keys of the scene for that.
    levers : tuple of Lever
        Those that were looked at.
    """

    cause: Cause
    lever: Lever | None
    value: float
    tried: dict[str, str]
    levers: tuple[Lever, ...]


def mend(scene: Scene, cause: Cause, index: GroundIndex) -> Mend | None:
    """The smallest change of one lever that mends one thing at one place, as a share of the lever's range.

    Parameters
    ----------
    scene : Scene
    cause : Cause
        Short of what it needs.
    index : GroundIndex

    Returns
    -------
    Mend or None
        None where it is no figure to wish for, or that figure is another distance than the clearance found.
    """
    figure = figure_of(cause)
    if not figure or cause.walker is None or cause.role != "ground":
        return None
    wish = Wish(figure=figure, at_least=cause.needed, origin="clearance")
    levers = levers_of(scene, (wish,))
    search = PlanSearch(scene, (Watched(wish=wish, handed=(cause.walker,)),), levers, index)
    now = np.array([lever.now for lever in levers])
    start = search.solve(now)
    if start is None or start.least >= 0.0 or abs(float(start.found.min()) - cause.distance) > AGREES:
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
        return Mend(cause=cause, lever=None, value=float("nan"), tried={}, levers=levers)
    _, found, lever = best
    value = float(found.values[levers.index(lever)])
    return Mend(cause=cause, lever=lever, value=value, tried=found.keys, levers=levers)


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
    """For what is short at each place, the nearest of each figure, where anything can be said.

    Parameters
    ----------
    scene : Scene
    check : Clearance
        Of it.
    index : GroundIndex
    progress : callable, optional
        Told the share done; may raise to stop.
    """
    short = [[cause for cause in place.causes if not cause.is_met] for place in places(check) if not place.is_met]
    nearest = []
    for causes in short:
        least: dict[str, Cause] = {}
        for cause in sorted(causes, key=lambda each: each.distance):
            least.setdefault(figure_of(cause), cause)
        nearest.append(list(least.values()))
    return _mended(scene, nearest, index, progress)


def mends_at_rest(
    scene: Scene, check: Clearance, index: GroundIndex, progress: Callable[[float], None] | None = None
) -> tuple[Mend, ...]:
    """For what reaches the ground at each place without any fall or loss of the main, where anything can be said.

    Parameters
    ----------
    scene : Scene
    check : Clearance
        Of it.
    index : GroundIndex
    progress : callable, optional
        Told the share done; may raise to stop.
    """
    resting = [[cause] for place in places(check) if (cause := at_rest(place)) is not None and cause.distance <= 0.0]
    return _mended(scene, resting, index, progress)


def _mended(
    scene: Scene, of_places: list[list[Cause]], index: GroundIndex, progress: Callable[[float], None] | None
) -> tuple[Mend, ...]:
    """`mend` for some causes of each place, the first places alone."""
    found, told = [], of_places[:PLACES]
    for number, causes in enumerate(told, 1):
        found += [one for cause in causes if (one := mend(scene, cause, index)) is not None]
        if progress is not None:
            progress(number / len(told))
    return tuple(found)

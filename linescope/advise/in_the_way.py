"""What stands in the way where no plan was found: which wish must give, which cannot be had together, what a little
more of each limit would give, and whether it may be called impossible."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from linescope.advise.results import Gives, More
from linescope.advise.search import PlanSearch, Tried
from linescope.rig import Wish

TOLD = 0.9
"""What surfaces must foretell before anything is called impossible.  [-]"""
MORE = {"leash": 0.1, "excess": 0.005}
"""A little of a limit, where that is more than one step of its lever.  [m, -]"""


def gives_of(search: PlanSearch, nearest: Tried, wishes: Sequence[Wish]) -> tuple[Gives, ...]:
    """Wishes that would have to give, and by how much; all that are short where none alone would do.

    Parameters
    ----------
    search : PlanSearch
    nearest : Tried
        What comes nearest.
    wishes : sequence of Wish
    """
    terms, gives, beyond = search.terms, [], search.out_of_reach
    for number, wish in enumerate(wishes):
        mine = terms.owner == number
        if nearest.margins[mine].min() >= 0.0 and len(wishes) > 1:
            continue
        one = None if np.any(beyond & ~mine) else search.nearest(only=mine)
        by = math.nan
        if one is not None and np.min(one.margins[~mine & terms.asked], initial=0.0) >= 0.0:
            worst = int(np.flatnonzero(mine)[np.argmin(one.margins[mine])])
            by = max(0.0, -float(one.margins[worst] * terms.notice[worst]))
        gives.append(Gives(wish=wish, by=by))
    return tuple(each for each in gives if math.isfinite(each.by)) or tuple(gives)


def conflict_of(search: PlanSearch, wishes: Sequence[Wish]) -> tuple[Wish, ...]:
    """A smallest set of conflicting wishes: each is dropped in turn if the surfaces still predict no plan without it.

    Parameters
    ----------
    search : PlanSearch
    wishes : sequence of Wish
    """
    terms, left = search.terms, list(range(len(wishes)))
    shift, bare = np.zeros(len(terms.owner)), np.zeros(len(terms.owner))
    for number in list(left):
        rest = [each for each in left if each != number]
        if rest:
            wanted = np.isin(terms.owner, rest) & terms.asked
            if not search.propose(search.least_change, None, bare, wanted, shift)[1]:
                left = rest
    return tuple(wishes[each] for each in left)


def little_more(search: PlanSearch, nearest: Tried) -> tuple[More, ...]:
    """What a little more of each limit that binds would give the wish that is missed most.

    Parameters
    ----------
    search : PlanSearch
    nearest : Tried
        What comes nearest.
    """
    found, worst = [], int(np.argmin(nearest.margins))
    for k, lever in enumerate(search.levers):
        share = lever.share(float(nearest.values[k]))
        if min(share, 1.0 - share) > 1e-6 + 0.5 * lever.step / max(lever.high - lever.low, lever.step):
            continue
        step = max(MORE.get(lever.name, 0.0), lever.step) * (1.0 if share > 0.5 else -1.0)
        values = nearest.values.copy()
        values[k] += step
        beyond = search.solve(values)
        if beyond is not None:
            gain = float((beyond.margins[worst] - nearest.margins[worst]) * search.terms.notice[worst])
            found.append(More(lever=lever, step=step, gain=gain))
    return tuple(found)


def is_past_the_gate(
    search: PlanSearch, nearest: Tried, second: Tried | None, wishes: Sequence[Wish], conflict: Sequence[Wish]
) -> bool:
    """Whether it may be called impossible: surfaces foretell well, their error is small beside what is short, the exact
    point agrees with them, and a second method comes no nearer.

    Parameters
    ----------
    search : PlanSearch
    nearest, second : Tried
        What comes nearest by the surfaces, and by a method without them.
    wishes, conflict : sequence of Wish
    """
    surfaces, terms = search.surfaces, search.terms
    assert surfaces is not None
    short = -nearest.margins
    concerned = np.isin(terms.owner, [k for k, wish in enumerate(wishes) if wish in conflict]) & terms.asked
    told, _ = search.predicted(search.shares(nearest.values))
    missed = np.where(terms.asked, np.abs(terms.sign * (told - nearest.found) / terms.notice), 0.0)
    middling = search.laid.missed(surfaces.middling, search.shares(nearest.values), nearest.found) / terms.notice
    deep = concerned & (short > 0.0)
    near = concerned & (short > -1.0)
    good = bool(
        deep.any() and np.all(surfaces.explained[near] > TOLD)
        and np.all((middling < short / 3.0)[deep]) and np.all((missed < short / 3.0)[deep])
    )
    # What comes nearer than the surfaces thought anything could speaks against them.
    return good and not (
        second is not None and second.least > nearest.least + max(0.05, abs(nearest.least) / 3.0)
    )

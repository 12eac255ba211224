"""Which lever moved which figure: the change of a quadratic splits exactly at the middle of the way.

    Q(u) - Q(u0) = sum of dQ/du_i at (u + u0) / 2 times (u_i - u0_i)

What the surface does not tell of the exact change is a part of its own.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linescope.advise.levers import Lever
from linescope.advise.search import PlanSearch, Tried


@dataclass(frozen=True, kw_only=True)
class LeverShare:
    """How far one lever moved a figure.

    Attributes
    ----------
    lever : Lever or None
        None for what no surface tells.
    by : float
        [SI]
    """

    lever: Lever | None
    by: float


def parts_of(search: PlanSearch, tried: Tried, term: int, before: float) -> tuple[LeverShare, ...]:
    """The change of one term since the scene as it is, split over the levers that moved; they add up to it.

    Parameters
    ----------
    search : PlanSearch
    tried : Tried
    term : int
        Number of the term.
    before : float
        Its value in the scene as it is.  [SI]
    """
    if search.surfaces is None:
        return ()
    old, new = search.u0, search.shares(tried.values)
    _, slopes = search.predicted(0.5 * (old + new))
    if not search.guided[term]:  # No surface was laid: it is far from what is asked.
        return (LeverShare(lever=None, by=float(tried.found[term]) - before),)
    each = slopes[term] * (new - old)
    found = [LeverShare(lever=lever, by=float(by)) for lever, by, moved in zip(
        search.levers, each, new != old, strict=True) if moved]
    rest = float(tried.found[term]) - before - float(np.sum(each))
    return (*found, LeverShare(lever=None, by=rest))

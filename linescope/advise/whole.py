"""A plan looked at all along the line: where each wish is missed most, to be handed back to the search."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from linescope.advise.case import AdvisedRig
from linescope.advise.wished import FINE, SAME, Watched, along_of

Floats = NDArray[np.float64]

MOST_HANDED = 3
"""Places of a wish that are handed back at once."""
HAIR = 0.005
"""Share of what would be noticed that has to be left of a wish everywhere, for what may be worse between two places.
[-]"""


@dataclass(frozen=True, eq=False, kw_only=True)
class Along:
    """A wish all along the line.

    Attributes
    ----------
    at : (n,) array
        Places, from A along the straight line.  [m]
    values : (n, 2) array
        Least and most of the figure there.  [SI]
    left : (n,) array
        What is left over what is asked; negative where it is short.  [SI]
    notice : float
        What would be noticed.  [SI]
    """

    at: Floats
    values: Floats
    left: Floats
    notice: float

    @property
    def worst(self) -> int:
        """Number of the place where least is left."""
        return int(np.argmin(self.left))

    def missed(self) -> list[float]:
        """The worst place of each stretch in which less than a hair is left, worst first.  [m]"""
        short = self.left < HAIR * self.notice
        edges = np.flatnonzero(np.diff(np.concatenate(([0], short.astype(int), [0]))))
        worst = [begin + int(np.argmin(self.left[begin:end])) for begin, end in edges.reshape(-1, 2).tolist()]
        return [float(self.at[k]) for k in sorted(worst, key=lambda k: self.left[k])]


def along(case: AdvisedRig, watched: Watched) -> Along | None:
    """A wish at even places all along the line, and at finer ones beside the worst; None for what is of no places.

    Parameters
    ----------
    case : AdvisedRig
    watched : Watched
    """
    wish = watched.wish
    known = case.along.get(wish)
    if known is not None:
        return known
    even = along_of(case.rig, wish)
    if not even or not (math.isfinite(wish.at_least) or math.isfinite(wish.at_most)):
        return None
    found = _at(case, watched, even)
    k, share = found.worst, np.arange(1, FINE) / FINE
    ends = found.at[max(k - 1, 0) : k + 2]
    beside = np.concatenate([low + share * (high - low) for low, high in itertools.pairwise(ends)])
    more = _at(case, watched, tuple(beside.tolist()))
    order = np.argsort(np.concatenate([found.at, more.at]))
    out = Along(
        at=np.concatenate([found.at, more.at])[order], values=np.concatenate([found.values, more.values])[order],
        left=np.concatenate([found.left, more.left])[order], notice=found.notice,
    )
    case.along[wish] = out
    return out


def _at(case: AdvisedRig, watched: Watched, places: tuple[float, ...]) -> Along:
    wish = watched.wish
    here = replace(watched, places=(), handed=places, measurands=())
    values = case.values(here)[-len(places) :]  # A line is looked at with nobody on it as well, in front of all places.
    left = np.minimum(values[:, 0] - wish.at_least, wish.at_most - values[:, 1])
    left = np.where(np.isnan(left), -np.inf, left)
    return Along(at=np.array(places), values=values, left=left, notice=wish.wished.notice)


def is_looked_at(watched: Watched) -> bool:
    """Whether a wish is looked at here: what required clearances ask for is left to the clearance.

    Parameters
    ----------
    watched : Watched
    """
    return bool(watched.every) and watched.wish.origin != "clearance"


def missed_along(case: AdvisedRig, watched: Sequence[Watched]) -> tuple[Watched, ...]:
    """Wishes with the places at which they are missed, where these are new; empty where none is.

    Parameters
    ----------
    case : AdvisedRig
        Of a plan.
    watched : sequence of Watched
    """
    out = []
    for each in watched:
        found = along(case, each) if is_looked_at(each) else None
        new = [] if found is None else [
            at for at in found.missed() if all(abs(at - other) > SAME for other in each.handed)]
        out.append(replace(each, handed=(*each.handed, *new[:MOST_HANDED])))
    return tuple(out) if any(a.handed != b.handed for a, b in zip(out, watched, strict=True)) else ()


def worst_along(case: AdvisedRig, watched: Sequence[Watched]) -> tuple[Watched, ...]:
    """Wishes with the place where least is left of each end, kept or not.

    Parameters
    ----------
    case : AdvisedRig
    watched : sequence of Watched
    """
    out = []
    for each in watched:
        found = along(case, each) if is_looked_at(each) else None
        if found is not None:
            wish, near = each.wish, 0.01 * case.rig.span
            # With the walker standing, places are middles of bays: none of them is just there.
            known = list(each.handed if wish.wished.of == "walker" else each.every)
            for left, asked in ((found.values[:, 0], wish.at_least), (-found.values[:, 1], wish.at_most)):
                at = float(found.at[int(np.argmin(left))])
                if math.isfinite(asked) and all(abs(at - other) > near for other in known):
                    known.append(at)
                    each = replace(each, handed=(*each.handed, at))
        out.append(each)
    return tuple(out)


def keeps_along(case: AdvisedRig, watched: Sequence[Watched]) -> bool:
    """Whether all wishes that are looked at here are kept all along the line.

    Parameters
    ----------
    case : AdvisedRig
    watched : sequence of Watched
    """
    looked = [along(case, each) for each in watched if is_looked_at(each)]
    return all(found is None or float(found.left.min()) >= 0.0 for found in looked)

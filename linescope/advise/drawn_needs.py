"""Required clearances in draws of all uncertain inputs: how often what is asked for is kept, and how near things come.

Counted where the sweep of the clearance found the nearest places of the rig as planned, and measured as it measures
there: in wind, and as much lower in time as the rig as planned.  A count of draws says how a figure scatters if the
inputs are as stated; it is no chance and no promise.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from linescope.advise.case import AdvisedRig
from linescope.advise.checked import FAMILIES, FEET, GONE, figure_of
from linescope.advise.hands import in_draws
from linescope.advise.search import Terms
from linescope.advise.wished import LINES, Watched, watched_of
from linescope.clearance import Cause, Clearance, GroundIndex, Measurand
from linescope.events.bands import moved_by
from linescope.events.deeper import Deeper
from linescope.rig import Rig, RigSource, Wish, checked_rig, inputs_of
from linescope.statics import Plan

NEAREST = 3
"""Places of each requirement, those that leave least."""
APART = 0.02
"""Of the span, between two of them.  [-]"""
ENDS = (0.05, 0.5, 0.95)
NEARER = 0.05
"""What the clearance finds nearer by more is not measured in draws (sliders as a crossing leaves them), and a count of
them would speak for it.  [m]"""
COSTS = ((40, 64), (120, 32))
"""Up to so many tapes, so many draws; a quarter of them where ties hold two sections, for a loss of the main takes ten
times as long then."""
FEWEST = 16


@dataclass(frozen=True, kw_only=True)
class DrawnNeed:
    """One required clearance in draws.

    Attributes
    ----------
    figure : str
        A figure to wish for.
    needed : float
        With survey error and margin.  [m]
    places : tuple of float
        Where the walker was put, from A; the empty line counts besides for what is at rest.  [m]
    value : float
        The nearest there as planned.  [m]
    low, middle, high : float
        Below which 5, 50 and 95 % of the draws lie; nan where none was found.  [m]
    kept : int
        Draws in which nothing comes nearer than needed; one that is not found does not count as kept.
    """

    figure: str
    needed: float
    places: tuple[float, ...]
    value: float
    low: float
    middle: float
    high: float
    kept: int


@dataclass(frozen=True, eq=False, kw_only=True)
class DrawnNeeds:
    """All of a rig.

    Attributes
    ----------
    needs : tuple of DrawnNeed
    left_out : tuple of (str, float)
        Figures of which the clearance finds something nearer than these draws do, and how near.  [m]
    draws : int
    lost : int
        Draws in which no state was found.
    kept : int
        Draws that keep every one of them.
    inputs : tuple of str
        What was drawn: the first key of each group.
    """

    needs: tuple[DrawnNeed, ...]
    left_out: tuple[tuple[str, float], ...]
    draws: int
    lost: int
    kept: int
    inputs: tuple[str, ...]


def draws_for(rig: Rig, tapes: int) -> int:
    """How many draws are worth their time, a power of two.

    Parameters
    ----------
    rig : Rig
    tapes : int
        On the line.
    """
    count = next((many for most, many in COSTS if tapes <= most), FEWEST)
    tied = bool(rig.ties) or any(joint.tied for joint in rig.joints)
    return max(count // 4 if tied else count, FEWEST)


def watched_in(rig: Rig, check: Clearance) -> tuple[Watched, ...]:
    """Requirements with the places that leave least of each, as the sweep found them; of falls those outside the zones
    where nobody may fall, for within them what is needed is not kept anyway.

    Parameters
    ----------
    rig : Rig
        With needs.
    check : Clearance
    """
    needs = rig.needs
    assert needs is not None
    asked = dict(LINES)
    if rig.walker is not None:
        asked |= {FEET: "body", GONE: "body"}
    found = []
    for figure, kind in asked.items():
        wish = Wish(figure=figure, at_least=needs.needed(kind), origin="clearance")
        places: list[float] = []
        for cause in _causes_of(figure, check):
            at = cause.walker
            if at is not None and len(places) < NEAREST and all(
                abs(at - other) > APART * rig.span for other in places
            ):
                places.append(at)
        if not places and rig.walker is not None:
            own = watched_of(rig, wish)
            places = [*own.places, *(at for _, some in own.measurands for at in some)]
            places = [at for at in places if figure != FEET or _may_fall(at, check)]
        if places or rig.walker is None:
            measurand = Measurand(kind=kind, family=FAMILIES[figure])
            found.append(Watched(wish=wish, measurands=((measurand, tuple(places)),)))
    return tuple(found)


def _causes_of(figure: str, check: Clearance) -> list[Cause]:
    """What the clearance finds of a figure, wherever the walker is, nearest first; of falls outside the zones."""
    return sorted((
        cause for cause in check.outside
        if cause.role == "ground" and figure_of(cause) == figure
        and (figure != FEET or cause.walker is None or _may_fall(cause.walker, check))
    ), key=lambda cause: cause.distance)


def _may_fall(at: float, check: Clearance) -> bool:
    """Whether a place is in none of the zones where nobody may fall."""
    return not any(zone.from_a[0] <= at <= zone.from_a[1] for zone in check.no_fall_zones)


def drawn_needs(
    rig: Rig | RigSource, planned: Plan, index: GroundIndex, check: Clearance, *, deeper: Deeper | None = None,
    draws: int | None = None, progress: Callable[[float], None] | None = None,
) -> DrawnNeeds | None:
    """Required clearances in draws; None where nothing is required, or no input has a low and a high.

    Parameters
    ----------
    rig : RigSource or Rig
    planned : Plan
        Of it.
    index : GroundIndex
    check : Clearance
        Of it, which says where to look.
    deeper : Deeper, optional
        Where its falls come lower in time.
    draws : int, optional
        A power of two; default `draws_for`.
    progress : callable, optional
        Told the share done; may raise to stop.
    """
    given, rig = inputs_of(rig).bands, checked_rig(rig)
    if rig.needs is None:
        return None
    groups, _ = moved_by(rig, given)
    terms = Terms.of(watched_in(rig, check))
    if not groups or not len(terms.owner):
        return None
    count = draws_for(rig, len(planned.layout.tapes)) if draws is None else draws
    case = AdvisedRig(rig, index, planned)
    case.see(deeper)
    drawn, as_planned = in_draws(case, groups, terms, count, progress or _silent, thrifty=False), terms.values(case)
    found: list[DrawnNeed] = []
    left_out: list[tuple[str, float]] = []
    told = np.zeros(len(terms.owner), dtype=bool)
    for number, watched in enumerate(terms.watched):
        mine = terms.owner == number
        value = float(as_planned[mine].min())
        nearest = next((cause.distance for cause in _causes_of(watched.wish.figure, check)), value)
        if nearest < value - NEARER:
            left_out.append((watched.wish.figure, nearest))
            continue
        told |= mine
        least = drawn.values[:, mine].min(axis=1)
        known = least[np.isfinite(least)]
        low, middle, high = np.quantile(known, ENDS) if len(known) else np.full(3, np.nan)
        found.append(DrawnNeed(
            figure=watched.wish.figure, needed=watched.wish.at_least, places=watched.measurands[0][1],
            value=value, low=float(low), middle=float(middle), high=float(high),
            kept=int(np.sum(np.all(drawn.margins[:, mine] >= 0.0, axis=1))),
        ))
    return DrawnNeeds(
        needs=tuple(found), left_out=tuple(left_out), draws=count,
        lost=int(np.sum(~np.isfinite(drawn.values).any(axis=1))),
        kept=int(np.sum(np.all(drawn.margins[:, told] >= 0.0, axis=1))),
        inputs=tuple(group.name for group in groups),
    )


def _silent(share: float) -> None:
    """Nobody watches."""

"""The verdict, the sentence on distances that leads every surface, and the places that pictures name with it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from linescope.clearance import Finding
from linescope.clearance.finding import Verdict
from linescope.clearance.ranked import Event, at_rest, event_of, together
from linescope.notes import Missing, Quantity, Spot, Term
from linescope.statics import Solution
from linescope.study import Study
from linescope.words import Words

RED = 3  # Places in words, at most: in the verdict, and in a picture that names them.


def named(told: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """The places that a picture names: those of the verdict, and with room left the next ones by rank.

    Parameters
    ----------
    told : tuple of Finding
        All places, by rank.

    Returns
    -------
    tuple of Finding
        `RED` at most, by rank.  What falls short without any fall or loss, where a fall or loss is worse at the same
        place, is a place by itself.
    """
    first, then, some = _led(told)
    chosen = [*first[: some[0]], *then[: some[1]]]
    ranks = {place.rank for place in chosen}
    chosen += [place for place in told if not place.is_met and place.rank not in ranks][: RED - len(chosen)]
    return tuple(sorted(chosen, key=lambda place: (place.rank, place.worst.is_at_rest)))


def unnamed(told: tuple[Finding, ...]) -> tuple[Finding, ...]:
    """The other places that fall short, by rank: what a picture marks without a sentence."""
    chosen = {place.rank for place in named(told)}
    return tuple(place for place in told if not place.is_met and place.rank not in chosen)


def _led(told: tuple[Finding, ...]) -> tuple[tuple[Finding, ...], tuple[Finding, ...], tuple[int, int]]:
    """What is reached, or else what falls short, by rank: in a fall or loss, and without any; what has the worst place
    comes first.  And how many of each are named: `RED` in all, and of each at least one where there is one."""
    short = [place for place in told if not place.is_met]
    reached = [place for place in short if place.distance <= 0.0]
    lost = tuple(place for place in reached or short if not place.worst.is_at_rest)
    rest = []
    for place in reached or short:
        cause = at_rest(place)
        if cause is not None and (not reached or cause.distance <= 0.0):
            rest.append(place if place.worst is cause else replace(place, causes=(cause,)))
    first, then = (tuple(rest), lost) if short and short[0].worst.is_at_rest else (lost, tuple(rest))
    some = min(len(first), RED - (1 if then else 0))
    return first, then, (some, min(len(then), RED - some))


def onto(study: Study, told: Iterable[Finding]) -> Term:
    """What is reached at these places: the ground, water that stands over it, or one here and the other there.

    Parameters
    ----------
    study : Study
    told : iterable of Finding
    """
    return ground_or_water(
        place.worst.role == "water" or bool(study.ground and study.ground.is_under_water(place.worst.nearest))
        for place in told
    )


def ground_or_water(under_water: Iterable[bool]) -> Term:
    """What places are called together, of each of which it is known whether water stands over it.

    Parameters
    ----------
    under_water : iterable of bool
    """
    each = set(under_water)
    return Term(f"overview-onto-{'either' if len(each) > 1 else 'water' if True in each else 'ground'}")


def verdict(study: Study, solution: Solution, told: tuple[Finding, ...], words: Words) -> tuple[str, str]:
    """What leads every surface, in one sentence, and its colour: red only where something is reached.

    Parameters
    ----------
    study : Study
    solution : Solution
        The state that is shown.
    told : tuple of Finding
        Its places, by rank.
    words : Words
    """
    say, tight = words.say, int(np.sum(solution.bays.excess < 0.0))
    short = [place for place in told if not place.is_met]
    reached_here = [place for place in short if place.distance <= 0.0]
    reached = bool(reached_here)
    if short:
        first, then, some = _led(told)
        return say(
            "overview-verdict-reached" if reached else "overview-verdict-near",
            event=_together(first), places=_spots(first[: some[0]]), more=len(first) - some[0],
            what=_what([place.worst.kind for place in (*first, *then) if place.worst.is_at_rest]),
            then=_together(then) if then else "none", others=_spots(then[: some[1]] or first[: some[0]]),
            further=len(then) - some[1], onto=onto(study, reached_here or short),
        ), "alarm" if reached else "state"
    if tight:
        return say("overview-verdict-tight", count=tight, total=len(solution.bays.excess)), "alarm"
    clearance = study.clearance
    if isinstance(clearance, Missing) or not clearance:
        return say("overview-verdict-no-ground" if not study.ground else "overview-verdict-not-compared"), "state"
    if clearance.verdict is Verdict.KEPT:
        least = min(clearance.outside, key=lambda each: each.distance, default=None)
        if least is not None:
            return say(
                "overview-verdict-kept", left=Quantity(least.distance, "length", "down"), place=Spot(least.station)
            ), "state"
    not_asked = clearance.verdict is Verdict.NOT_ASKED
    return say("overview-verdict-not-asked" if not_asked else "overview-verdict-unknown"), "state"


def _what(kinds: list[str]) -> Term:
    return Term(f"overview-what-{kinds[0] if len(set(kinds)) == 1 else 'several'}")


def _together(told: tuple[Finding, ...]) -> Event:
    return together([event_of(place) for place in told])


def _spots(told: tuple[Finding, ...]) -> tuple[Spot, ...]:
    return tuple(Spot(place.station) for place in told)

"""The verdict: the sentence on distances that leads every surface."""

from __future__ import annotations

import numpy as np

from linescope.clearance import Cause, Finding
from linescope.clearance.finding import Verdict
from linescope.clearance.ranked import Event, at_rest, event_of, together
from linescope.notes import Missing, Quantity, Spot, Term
from linescope.statics import Solution
from linescope.study import Study
from linescope.words import Words

RED = 3  # Places in words, at most.


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
    reached = [place for place in short if place.distance <= 0.0]
    for found, name in ((reached, "overview-verdict-reached"), (short, "overview-verdict-near")):
        if not found:
            continue
        lost = [(place.worst, event_of(place)) for place in found if not place.worst.is_at_rest]
        rest: list[tuple[Cause, Event]] = [
            (cause, "other") for place in found if (cause := at_rest(place)) is not None
            and (found is short or cause.distance <= 0.0)
        ]
        first, then = (rest, lost) if found[0].worst.is_at_rest else (lost, rest)
        return say(
            name, event=together([event for _, event in first]), places=_spots(first), more=max(0, len(first) - RED),
            what=_what([cause.kind for cause, _ in rest]),
            then=together([event for _, event in then]) if then else "none", others=_spots(then or first),
            further=max(0, len(then) - RED),
        ), "alarm" if found is reached else "state"
    if tight:
        return say("overview-verdict-tight", count=tight, total=len(solution.bays.excess)), "alarm"
    clearance = study.clearance
    if isinstance(clearance, Missing) or not clearance:
        return say("overview-verdict-no-ground" if not study.ground else "overview-verdict-not-compared"), "state"
    if clearance.verdict is Verdict.KEPT:
        compared = [*clearance.causes, *(cause for zone in clearance.zones for cause in zone.border)]
        least = min(compared, key=lambda each: each.distance, default=None)
        if least is not None:
            return say(
                "overview-verdict-kept", left=Quantity(least.distance, "length", "down"), place=Spot(least.station)
            ), "state"
    not_asked = clearance.verdict is Verdict.NOT_ASKED
    return say("overview-verdict-not-asked" if not_asked else "overview-verdict-unknown"), "state"


def _what(kinds: list[str]) -> Term:
    return Term(f"overview-what-{kinds[0] if len(set(kinds)) == 1 else 'several'}")


def _spots(told: list[tuple[Cause, Event]]) -> tuple[Spot, ...]:
    """Where they are, the worst first."""
    return tuple(Spot(cause.station) for cause, _ in told[:RED])

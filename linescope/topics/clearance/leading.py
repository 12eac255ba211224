"""The verdict: what comes too near to the ground, place by place, and the sentence that leads every surface."""

from __future__ import annotations

import numpy as np

from linescope.clearance import Cause, Clearance
from linescope.clearance.finding import Verdict
from linescope.clearance.why import CauseKind
from linescope.notes import Missing, Quantity, Spot, Term
from linescope.statics import Solution
from linescope.study import Study
from linescope.words import Words

RED = 3  # Places in words, at most.
EVENTS = {
    CauseKind.FALL: "fall", CauseKind.FALL_IN_TIME: "fall", CauseKind.FALL_LINE: "fall",
    CauseKind.FALL_LINE_SLID: "fall", CauseKind.RUNS: "fall",
    CauseKind.GONE_REST: "gone", CauseKind.GONE_FLOOR: "gone", CauseKind.GONE_LINE: "gone",
}  # fmt: skip
"""Causes that are told by their event."""
Told = tuple[Cause, str]
"""A cause, and its event: "other" when it is so without any fall or loss, else "fall", "gone" or "both"."""


def places(clearance: Clearance) -> tuple[Told, ...]:
    """One cause for each place that falls short, at the borders of the anchor zones too.

    Of a place, what is so without any fall or loss is told, else the worst.  What reaches the ground without any fall
    comes first, then the worst.
    """
    groups = [[cause for cause in finding.causes if not cause.is_met] for finding in clearance.findings]
    groups += [[*zone.in_rock, *zone.short] for zone in clearance.zones]
    return tuple(sorted(map(_told, filter(None, groups)), key=_order))


def _order(told: Told) -> tuple[bool, float]:
    cause, event = told
    return not (event == "other" and cause.distance <= 0.0), cause.distance


def _told(causes: list[Cause]) -> Told:
    causes = [cause for cause in causes if cause.distance <= 0.0] or causes
    events = [(cause, "other" if cause.is_at_rest else EVENTS.get(cause.why.kind, "fall")) for cause in causes]
    rest = [each for each in events if each[1] == "other"]
    least = min(rest or events, key=lambda each: each[0].distance)
    return least if rest else (least[0], _together(events))


def verdict(study: Study, solution: Solution, told: tuple[Told, ...], words: Words) -> tuple[str, str]:
    """What leads every surface, in one sentence, and its colour: red only where something is reached.

    Parameters
    ----------
    study : Study
    solution : Solution
        The state that is shown.
    told : tuple of Told
        Its `places`.
    words : Words
    """
    say, tight = words.say, int(np.sum(solution.bays.excess < 0.0))
    reached = [each for each in told if each[0].distance <= 0.0]
    for found, name in ((reached, "overview-verdict-reached"), (list(told), "overview-verdict-near")):
        if not found:
            continue
        first = [each for each in found if each[1] == "other"] or found
        rest = [each for each in found if each not in first]
        # Those that the picture numbers, so that each is found in it; the others are counted.
        named = [each for each in rest if each in told[:RED]] or rest[:1]
        text = say(
            name, event=_together(first), what=Term(f"overview-what-{first[0][0].kind}"), places=_spots(first),
            more=max(0, len(first) - RED), further=len(rest) - len(named),
            then=_together(rest) if rest else "none", others=_spots(named or first),
        )
        return text, "alarm" if found is reached else "state"
    if tight:
        return say("overview-verdict-tight", count=tight, total=len(solution.bays.excess)), "alarm"
    clearance = study.clearance
    if isinstance(clearance, Missing) or not clearance:
        return say("overview-verdict-no-ground" if not study.ground else "overview-verdict-not-compared"), "state"
    if clearance.verdict is Verdict.KEPT:
        least = min(clearance.findings, key=lambda each: each.distance, default=None)
        if least is not None:
            return say(
                "overview-verdict-kept", left=Quantity(least.distance, "length", "down"), place=Spot(least.station)
            ), "state"
    not_asked = clearance.verdict is Verdict.NOT_ASKED
    return say("overview-verdict-not-asked" if not_asked else "overview-verdict-unknown"), "state"


def _together(told: list[Told]) -> str:
    events = {event for _, event in told}
    return events.pop() if len(events) == 1 else "both"


def _spots(told: list[Told]) -> tuple[Spot, ...]:
    return tuple(Spot(at) for at in sorted(cause.station for cause, _ in told[:RED]))

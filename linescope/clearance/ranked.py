"""The one list of places that every surface tells: what falls short or comes nearest, ranked by harm to a person."""

from __future__ import annotations

from dataclasses import replace
from typing import Literal

from linescope.clearance.finding import Cause, Clearance, Finding, apart
from linescope.clearance.why import CauseKind

EVENTS: dict[CauseKind, Literal["fall", "gone"]] = {
    CauseKind.FALL: "fall", CauseKind.FALL_IN_TIME: "fall", CauseKind.FALL_LINE: "fall",
    CauseKind.FALL_LINE_SLID: "fall", CauseKind.RUNS: "fall",
    CauseKind.GONE_REST: "gone", CauseKind.GONE_FLOOR: "gone", CauseKind.GONE_LINE: "gone",
}  # fmt: skip
"""Causes that are told by their event."""
Event = Literal["other", "fall", "gone", "both"]


def harm(cause: Cause) -> tuple[int, float, str, str]:
    """What sorts causes, worst first: bodies in the ground; other things in it; bodies nearer than needed; other things
    nearer than needed; what keeps its distance.  Alike ones by depth in the ground, or by what is left over.

    Parameters
    ----------
    cause : Cause
    """
    body = cause.kind == "body"
    if cause.distance <= 0.0:
        return 0 if body else 1, cause.distance, cause.kind, cause.why.id
    if not cause.is_met:
        return 2 if body else 3, cause.remainder, cause.kind, cause.why.id
    return 4, cause.remainder, cause.kind, cause.why.id


def places(clearance: Clearance | None) -> tuple[Finding, ...]:
    """Every place that is told, worst first, with its rank: what was found, and what is short beside an anchor.

    Parameters
    ----------
    clearance : Clearance or None
        None: there is none.

    Returns
    -------
    tuple of Finding
        Causes of each by harm as well.  What is short right outside an anchor zone belongs to the place found near it.
        What belongs to none, and what is in rock at rest within a zone, makes one place at each anchor.
    """
    if clearance is None:
        return ()
    found = [replace(each, causes=_by_harm(each.causes)) for each in clearance.findings]
    for zone in clearance.zones:
        beside = list(zone.in_rock)
        for cause in zone.short:  # Of the same ground as a place that was found, it is a cause of that one.
            k = next((k for k, each in enumerate(found) if _is_of(cause, each, apart(clearance.span))), None)
            if k is None:
                beside.append(cause)
            else:
                found[k] = replace(found[k], causes=_by_harm((*found[k].causes, cause)))
        if beside:
            found.append(Finding(rank=0, causes=_by_harm(tuple(beside)), zone=zone.anchor))
    found.sort(key=lambda place: harm(place.worst))
    return tuple(replace(place, rank=rank, margin=clearance.margin) for rank, place in enumerate(found, 1))


def _is_of(cause: Cause, place: Finding, near: float) -> bool:
    """Whether a cause comes near to the same ground as a place."""
    worst = place.worst
    if (cause.role, cause.ground if cause.role == "area" else "") != (
        worst.role, worst.ground if worst.role == "area" else ""
    ):
        return False
    return abs(cause.station - worst.station) <= near


def _by_harm(causes: tuple[Cause, ...]) -> tuple[Cause, ...]:
    return tuple(sorted(causes, key=harm))


def at_rest(place: Finding) -> Cause | None:
    """What falls short at a place without any fall or loss, the worst of it; None where nothing does.

    Parameters
    ----------
    place : Finding
        Of `places`.
    """
    return next((cause for cause in place.causes if cause.is_at_rest and not cause.is_met), None)


def event_of(place: Finding) -> Event:
    """What has to happen for the worst of a place: "other" is nothing, "both" a fall or the loss of the main.

    Parameters
    ----------
    place : Finding
        Of `places`.
    """
    if place.worst.is_at_rest:
        return "other"
    return together([EVENTS.get(cause.why.kind, "fall") for cause in _told(place) if not cause.is_at_rest])


def is_only_run(place: Finding) -> bool:
    """Whether of all falls only one whose ring runs comes near to a place as its worst does.

    Parameters
    ----------
    place : Finding
        Of `places`.
    """
    kinds = {cause.why.kind for cause in _told(place) if EVENTS.get(cause.why.kind) == "fall"}
    return kinds == {CauseKind.RUNS}


def _told(place: Finding) -> list[Cause]:
    """What reaches a place, within the survey error of its ground as no-fall zones have it, or else what is short."""
    short = [cause for cause in place.causes if not cause.is_met] or [place.worst]
    return [each for each in short if each.distance <= max(each.needed - each.required - place.margin, 0.0)] or short


def together(events: list[Event]) -> Event:
    """One word for several events.

    Parameters
    ----------
    events : list of str
    """
    each = set(events)
    return each.pop() if len(each) == 1 else "both"

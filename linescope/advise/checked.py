"""A plan's own clearance: asked for what is wished, its worst places handed back, and what it comes to beside now."""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import replace

from linescope.advise.case import NO_NEEDS, AdvisedRig
from linescope.advise.results import Option
from linescope.advise.wished import LINES, SAME, Watched, counted_of
from linescope.clearance import Cause, Clearance, Measurand, measurand_of, measured_at
from linescope.clearance.at_places import AT_REST, REST
from linescope.clearance.finding import Verdict
from linescope.clearance.why import CauseKind, Why
from linescope.rig import Rig, Wish
from linescope.rig.wishes import ELSEWHERE


def with_needs(rig: Rig, wishes: Sequence[Wish]) -> Rig:
    """A rig that asks its clearance for what is wished as well, so that it looks for the worst places of that.

    Parameters
    ----------
    rig : Rig
    wishes : sequence of Wish
    """
    needs = NO_NEEDS if rig.needs is None else rig.needs
    more = {"line": needs.line, "loop": needs.loop, "body": needs.body}
    for wish in wishes:
        for kind, figure in ASKED.items():
            if wish.figure == figure and math.isfinite(wish.at_least):
                more[kind] = max(more[kind], wish.at_least - needs.added)
    return replace(rig, needs=replace(needs, **more))


FEET, GONE = "feet over ground in a leash fall", "feet over ground if the main goes"
FIGURES = {kind: figure for figure, kind in LINES.items()}
ASKED = {**FIGURES, "body": FEET}
_FLOOR = Why(kind=CauseKind.GONE_FLOOR, holds="nothing-holds").id
FAMILIES = {**dict.fromkeys(LINES, "rig"), FEET: "fall", GONE: _FLOOR}
"""Of each figure that the clearance measures."""
MOST_HANDED = 3
LOOKED_AT = (0.005, 0.03, 0.1, 0.25, 0.5, 0.75, 0.9, 0.97, 0.995)
BESIDE_ANCHORS = (0.03, 0.06, 0.94, 0.97)
"""Where the walker is put at first, as shares of the span, and where next to anchors."""
GLANCED_AT = tuple(share for near in (0.005, 0.01, 0.015, 0.02, 0.025, 0.03, 0.04, 0.06, 0.08, 0.12, 0.2, 0.35)
                   for share in (near, 1.0 - near))


def figure_of(cause: Cause | Measurand) -> str:
    """The figure to wish for that a cause, or a measurand, is of; "" for none.

    Parameters
    ----------
    cause : Cause or Measurand
    """
    if cause.family == "rig":
        return FIGURES.get(cause.kind, "")
    if cause.kind != "body":
        return ""
    return GONE if cause.family == _FLOOR else FEET if cause.family == "fall" else ""


def place_of(cause: Cause, figure: str) -> float:
    """Place by which it is told whether a wish of a scene counts it: of a body where it fell from, of a line its own.
    [m]

    Parameters
    ----------
    cause : Cause
    figure : str
    """
    return cause.walker if figure in (FEET, GONE) and cause.walker is not None else cause.station


def places_from(check: Clearance, watched: Sequence[Watched], rig: Rig) -> tuple[tuple[Watched, ...], bool]:
    """Wishes with the places at which a clearance finds less than they ask for, and with whatever else of it is short;
    empty where nothing is new.  And whether a plan has to keep any of what is short.

    Parameters
    ----------
    check : Clearance
    watched : sequence of Watched
    rig : Rig
        With its own needs.
    """
    bound = False
    measurands: dict[str, dict[Measurand, list[float]]] = {}
    for cause, _, within in _short(check, rig):
        measurand = measurand_of(cause, within=within)
        figure = _wish_of(measurand, watched, rig)
        if not figure:
            continue
        bound = True
        walkers = measurands.setdefault(figure, {}).setdefault(measurand, [])
        if cause.walker is not None and len(walkers) < MOST_HANDED:
            walkers.append(cause.walker)
    placed = []
    for each in watched:
        wish, places = each.wish, list(each.handed)
        if wish.origin != "clearance" and math.isfinite(wish.at_least) and wish.figure in ASKED.values():
            start, end = counted_of(rig, wish)
            for cause in check.outside:
                at = cause.walker
                if figure_of(cause) != wish.figure or at is None or cause.distance >= wish.at_least:
                    continue
                where = place_of(cause, wish.figure)
                if start <= where <= end and all(abs(at - other) > SAME for other in places):
                    places.append(at)
        placed.append(replace(each, handed=tuple(places)))
    out = _with(placed, measurands)
    new = any(a.handed != b.handed or a.measurands != b.measurands for a, b in zip(out, watched, strict=True))
    return out if new else (), bound


def glanced(case: AdvisedRig, watched: Sequence[Watched]) -> tuple[Watched, ...]:
    """Wishes with measurands that are found short at a glance: lines at rest, and who stands or hangs, at some places.

    Nothing is shown to be kept by it: it spares a clearance that would find no more.

    Parameters
    ----------
    case : AdvisedRig
        Of a plan.
    watched : sequence of Watched
    """
    rig = case.rig
    assert case.index is not None
    needs = NO_NEEDS if rig.needs is None else rig.needs
    at = [share * rig.span for share in GLANCED_AT]
    found = measured_at(replace(case.planned, rig=replace(rig, needs=needs)), case.index, at, families=REST)
    measurands: dict[str, dict[Measurand, list[float]]] = {}
    for measurand, left in found.items():
        figure = _wish_of(measurand, watched, rig) if left.over < 0.0 else ""
        if figure:
            measurands.setdefault(figure, {})[measurand] = [] if left.walker is None else [left.walker]
    out = _with(watched, measurands)
    return out if any(a.measurands != b.measurands for a, b in zip(out, watched, strict=True)) else ()


def _with(
    watched: Sequence[Watched], measurands: Mapping[str, Mapping[Measurand, Collection[float]]]
) -> tuple[Watched, ...]:
    """Wishes of a clearance with measurands, by the figure that is wished for; other wishes as they are."""
    return tuple(
        each.with_measurands(measurands.get(each.wish.figure, {})) if each.wish.origin == "clearance" else each
        for each in watched
    )


def nearest_of(check: Clearance, wish: Wish) -> Cause | None:
    """What a clearance finds nearest of a wish that it makes itself; None for others, or where it finds nothing.

    Parameters
    ----------
    check : Clearance
    wish : Wish
    """
    if wish.origin != "clearance":
        return None
    found = [cause for cause in check.outside if cause.role == "ground" and figure_of(cause) == wish.figure]
    return min(found, key=lambda cause: cause.distance, default=None)


def _wish_of(measurand: Measurand, watched: Sequence[Watched], rig: Rig) -> str:
    """The figure of the wish that a measurand is handed to; "" where a wish of the scene stands in place of what is
    asked, and for what happens above ground of which nothing is asked."""
    if rig.needs is None and measurand.family not in AT_REST:
        return ""
    figure = figure_of(measurand) if measurand.role == "ground" and not measurand.within else ""
    origin = next((each.wish.origin for each in watched if figure and each.wish.figure == figure), "")
    return figure if origin == "clearance" else ELSEWHERE if not origin else ""


def seeded(case: AdvisedRig, watched: Sequence[Watched]) -> tuple[Watched, ...]:
    """Wishes with measurands to begin with: what comes nearest with the walker at a few places, most of them near
    anchors.

    Parameters
    ----------
    case : AdvisedRig
        The rig as it is.
    watched : sequence of Watched
    """
    rig = case.rig
    assert case.index is not None
    needs = NO_NEEDS if rig.needs is None else rig.needs
    at = [share * rig.span for share in LOOKED_AT]
    found = measured_at(replace(case.planned, rig=replace(rig, needs=needs)), case.index, at)
    measurands: dict[str, dict[Measurand, list[float]]] = {}
    ends = [share * rig.span for share in BESIDE_ANCHORS]
    for measurand, left in sorted(found.items(), key=lambda item: item[1].over):
        figure = _wish_of(measurand, watched, rig)
        walkers = ends if measurand.within else [] if left.walker is None else [left.walker]
        if figure and (figure != ELSEWHERE or measurand.within or left.over < 0.0):
            measurands.setdefault(figure, {})[measurand] = walkers if rig.walker is not None else []
    return _with(watched, measurands)


def others_short(check: Clearance, rig: Rig) -> tuple[Cause, ...]:
    """What falls short of the required clearances all the same, each thing that comes near once; worst first.

    Parameters
    ----------
    check : Clearance
        With needs of `with_needs`.
    rig : Rig
        With its own.
    """
    found: dict[tuple[str, str], Cause] = {}
    for cause, needed, _ in _short(check, rig):
        found.setdefault((cause.kind, cause.why.id), replace(cause, needed=needed))
    return tuple(found.values())


def _short(check: Clearance, rig: Rig) -> list[tuple[Cause, float, bool]]:
    """What falls short of a rig's own needs, worst first; what is needed of it [m]; whether it is in an anchor zone."""
    needs = NO_NEEDS if rig.needs is None else rig.needs
    within = {id(cause) for zone in check.zones for cause in zone.in_rock}
    found = []
    for cause in check.short:
        needed = needs.needed(cause.kind) if cause.role == "ground" else cause.needed
        if cause.role != "ground" or cause.distance < needed or cause.is_in_rock:
            found.append((cause, needed, id(cause) in within))
    return found


def verdict_of(check: Clearance, rig: Rig) -> Verdict:
    """What a clearance with needs of `with_needs` comes to by those of the rig's own scene.

    Parameters
    ----------
    check : Clearance
    rig : Rig
        With its own needs.
    """
    if others_short(check, rig):
        return Verdict.SHORT
    if rig.needs is None:
        return Verdict.NOT_ASKED
    return Verdict.UNKNOWN if check.verdict is Verdict.UNKNOWN or check.leaves_unknown else Verdict.KEPT


BETTER = (Verdict.KEPT, Verdict.NOT_ASKED, Verdict.UNKNOWN, Verdict.SHORT)
BY_A_HAIR = 0.01
"""By so much more a plan is short before it counts as worse than now.  [m]"""


def is_worse(option: Option, now: Option) -> bool:
    """Whether the clearance of a plan is worse than that of the scene as it is; never where either is not known.

    Parameters
    ----------
    option, now : Option
    """
    if option.verdict is None or now.verdict is None:
        return False
    if option.verdict is not now.verdict:
        return BETTER.index(option.verdict) > BETTER.index(now.verdict)
    ends = [min((cause.remainder for cause in each.short), default=0.0) for each in (option, now)]
    return ends[0] < ends[1] - BY_A_HAIR

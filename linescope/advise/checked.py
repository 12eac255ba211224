"""A plan's own clearance: asked for what is wished, its worst places handed back, and what it comes to beside now."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from linescope.advise.told import Option
from linescope.advise.wished import Watched, counted_of
from linescope.clearance import Cause, Clearance
from linescope.clearance.finding import Verdict
from linescope.clearance.why import CauseKind
from linescope.rig import ClearanceNeeds, Rig, Wish

_NO_NEEDS = ClearanceNeeds(line=0.0, loop=0.0, body=0.0, survey_error=0.0, margin=0.0)


def with_needs(rig: Rig, wishes: Sequence[Wish]) -> Rig:
    """A rig that asks its clearance for what is wished as well, so that it looks for the worst places of that.

    Parameters
    ----------
    rig : Rig
    wishes : sequence of Wish
    """
    needs = _NO_NEEDS if rig.needs is None else rig.needs
    more = {"line": needs.line, "loop": needs.loop, "body": needs.body}
    for wish in wishes:
        for kind, figure in ASKED.items():
            if wish.figure == figure and math.isfinite(wish.at_least):
                more[kind] = max(more[kind], wish.at_least - needs.added)
    return replace(rig, needs=replace(needs, **more))


FEET, GONE = "feet over ground in a leash fall", "feet over ground if the main goes"
LINES = {"line": "line over ground", "loop": "loops over ground"}
ASKED = {**LINES, "body": FEET}


def figure_of(cause: Cause) -> str:
    """The figure to wish for that a cause is of; "" for none.

    Parameters
    ----------
    cause : Cause
    """
    if cause.family == "rig":
        return LINES.get(cause.kind, "")
    if cause.kind != "body":
        return ""
    if cause.why.kind is CauseKind.GONE_FLOOR and cause.why.holds == "nothing-holds":
        return GONE
    return FEET if cause.family == "fall" else ""


def place_of(cause: Cause, figure: str) -> float:
    """Place by which it is told whether a wish counts it: of a body where it fell from, of a line its own.  [m]

    Parameters
    ----------
    cause : Cause
    figure : str
    """
    return cause.walker if figure in (FEET, GONE) and cause.walker is not None else cause.station


def places_from(check: Clearance, watched: Sequence[Watched], rig: Rig) -> tuple[Watched, ...]:
    """Wishes with the places at which a clearance finds less than they ask for; empty where there are none.

    Parameters
    ----------
    check : Clearance
    watched : sequence of Watched
    rig : Rig
    """
    handed, out = False, []
    causes = [*check.causes, *(cause for zone in check.zones for cause in zone.border)]
    for each in watched:
        wish, new = each.wish, []
        if math.isfinite(wish.at_least) and wish.figure in ASKED.values():
            start, end = counted_of(rig, wish)
            for cause in causes:
                at = cause.walker
                if figure_of(cause) != wish.figure or at is None or cause.distance >= wish.at_least:
                    continue
                where = place_of(cause, wish.figure)
                if start <= where <= end and all(abs(at - other) > 0.02 for other in each.handed):
                    new.append(at)
        handed |= bool(new)
        out.append(replace(each, handed=(*each.handed, *dict.fromkeys(new))) if new else each)
    return tuple(out) if handed else ()


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
    needs = _NO_NEEDS if rig.needs is None else rig.needs
    for cause in check.short:
        needed = needs.needed(cause.kind)
        if cause.role != "ground" or cause.distance < needed or cause.is_in_rock:
            needed = needed if cause.role == "ground" else cause.needed
            found.setdefault((cause.kind, cause.why.id), replace(cause, needed=needed))
    return tuple(found.values())


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

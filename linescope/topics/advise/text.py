"""An advice as text: wishes beside plans, what to set, what it costs, why, and what is not promised."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any

from linescope.advise.wished import counted_of, part_of
from linescope.clearance.finding import Verdict
from linescope.clearance.notes import KIND
from linescope.notes import Paced, Quantity, Stretches, Term
from linescope.report import grids
from linescope.report.writer import Writer
from linescope.study import Study
from linescope.topics.advise import TOPIC, AdviceNote, figure_name, letter, no_fall, slug
from linescope.topics.clearance import near
from linescope.topics.wear import LINE_ENERGY
from linescope.words import Words, frame
from linescope.words.table import Table

if TYPE_CHECKING:
    from linescope.advise import Advice, Kept, Option, WishEstimate
    from linescope.advise.levers import Lever
    from linescope.clearance import Cause
    from linescope.rig import Rig, Wish

MOVED = 0.05
"""A part of a change smaller than this share of it is not told.  [-]"""
SMALL_REST = 0.3
"""What no surface tells may be this share of a change before "why" says so.  [-]"""


def wished(wish: Wish, rig: Rig, words: Words) -> str:
    """A wish in words, with the part of the line over which it is counted, where that is not the whole."""
    figure, dimension = figure_name(wish), wish.wished.dimension
    low, high = (Quantity(end, dimension) for end in (wish.at_least, wish.at_most))
    if math.isfinite(wish.at_least) and math.isfinite(wish.at_most):
        text = words.say("advise-wish-between", figure=figure, range=words.range(low.value, high.value, dimension))
    elif math.isfinite(wish.at_least):
        text = words.say("advise-wish-at-least", figure=figure, end=low)
    else:
        text = words.say("advise-wish-at-most", figure=figure, end=high)
    if wish.zone is not None:
        text = words.say("advise-wish-zone", wish=text, zone=wish.zone)
    start, end = counted_of(rig, wish)
    given = wish.zone is None and (wish.start > 0.0 or math.isfinite(wish.end))
    if (given or (start, end) != part_of(rig, wish)) and start < end:
        return words.say("advise-wish-part", wish=text, start=words.place(start), end=words.place(end))
    return text


def lever_name(lever: Lever, words: Words) -> str:
    """A lever in words, with its zone."""
    name = words.say(f"advise-lever-{lever.name}")
    return name if lever.zone is None else words.say("advise-in-zone", lever=name, zone=lever.zone)


def _set(lever: Lever, value: float, words: Words, *, sign: bool = False) -> str:
    plus = "+" if sign and value > 0.0 else ""
    if lever.whole:
        return plus + words.count(round(value))
    return plus + words.quantity(Quantity(value, lever.dimension, digits=3))


def mend_text(study: Study, cause: Cause, words: Words) -> str:
    """The one lever that would mend the place of a cause; "" where it was not asked for or nothing can be said."""
    found = study.mends if study.knows("mends") else None
    mend = next((each for each in found or () if each.cause is cause), None)
    if mend is None:
        return ""
    if mend.lever is None:
        keys = dict.fromkeys(f"advise-lever-{lever.name}" for lever in mend.levers)
        names = tuple(words.say(key, "head" if words.has(key, "head") else "") for key in keys)
        return words.say("advise-mend-none", levers=names)
    return words.say(
        "advise-mend", lever=lever_name(mend.lever, words), value=_set(mend.lever, mend.value, words),
        now=_set(mend.lever, mend.lever.now, words),
    )


def mend_at_rest_text(study: Study, cause: Cause, words: Words) -> str:
    """What to do where something reaches the ground without any fall or loss of the main, in a few words.

    Parameters
    ----------
    study : Study
    cause : Cause
    words : Words
    """
    found = next((each for each in study.rest_mends or () if each.cause is cause), None)
    if found is None or found.lever is None:
        return words.say("advise-mend-at-rest-none", tried="no" if found is None else "yes")
    lever = found.lever
    value = words.count(round(found.value)) if lever.whole else words.quantity(Quantity(  # No less of a change.
        found.value, lever.dimension, bound="up" if found.value > lever.now else "down",
    ))
    return words.say(
        "advise-mend-at-rest", lever=lever_name(lever, words), value=value, now=_set(lever, lever.now, words),
        begins="elsewhere" if lever.now else "at-nothing",
    )


def _cell(kept: Kept | WishEstimate, words: Words) -> str:
    wish, dimension = kept.wish, kept.wish.wished.dimension
    if not math.isfinite(kept.least):
        return words.say("unknown")
    if math.isfinite(wish.at_least) and math.isfinite(wish.at_most):
        text = words.range(kept.least, kept.most, dimension)
    elif math.isfinite(wish.at_least):
        text = words.of(kept.least, dimension, "down")
    else:
        text = words.of(kept.most, dimension, "up")
    return text if kept.is_met else words.say("advise-short", value=text)


def foretold_rows(found: Sequence[WishEstimate], rig: Rig, words: Words) -> list[list[str]]:
    """What surfaces foretell of each wish: what is wished, about what it comes to, and what surfaces miss.

    Parameters
    ----------
    found : sequence of WishEstimate
    rig : Rig
    words : Words
    """
    return [
        [wished(each.wish, rig, words)] + (
            [words.say("advise-foretold-far"), ""] if math.isnan(each.least) else
            [words.say("advise-foretold", value=_cell(each, words)), words.of(each.error, each.wish.wished.dimension)]
        )
        for each in found
    ]


def setting(lever: Lever, value: float, words: Words) -> str:
    """A lever at a value, in words.

    Parameters
    ----------
    lever : Lever
    value : float
        [N, -, count or m]
    words : Words
    """
    return f"{lever_name(lever, words)} {_set(lever, value, words)}"


def advice_text(study: Study, words: Words, scene: str = "SCENE") -> str:
    """An advice, whole.

    Parameters
    ----------
    study : Study
        With an advice.
    words : Words
    scene : str
        Its file, for the line that adopts a plan.
    """
    found, writer = study.advice, Writer()
    writer.lines.append(words.verbatim(study.rig.name))
    loud, quiet = words.lead(TOPIC.notes(study), most=8)
    for each in loud:
        writer.set(each.text, "! ")
    if found:
        for each in [each for each in quiet if each.kind in (AdviceNote.KEPT, AdviceNote.FOUND, AdviceNote.NOTHING)]:
            writer.set(each.text)
        _tables(found, words, writer)
        lines = in_the_way(found, words)
        if lines:
            writer.title(words.say("advise-in-the-way"))
        for text in lines:
            writer.set(text)
        if found.now is not None and not found.options and found.nearest is None:
            for text in _from_clearance(found.now, words):
                writer.set(text)
        for number, option in enumerate(found.options):
            lines = about(found, option, words)
            if lines:
                writer.title(words.say("advise-about", plan=letter(number)))
            for text in lines:
                writer.set(text)
        if found.options:
            writer.title(words.say("advise-adopt"))
            for number in range(len(found.options)):
                writer.lines.append(f"  linescope advise {words.verbatim(scene)} --keep {letter(number)}")
        writer.lines.append("")
        for each in quiet:
            if each.kind not in (AdviceNote.KEPT, AdviceNote.FOUND, AdviceNote.NOTHING):
                writer.set(each.text)
    for text in frame.all_cautions(words):
        writer.set(text)
    return "\n".join(writer.lines) + "\n"


def _instead(option: Option, words: Words) -> str:
    name = words.verbatim(option.instead)
    return name if option.zone is None else words.say("advise-in-zone", lever=name, zone=option.zone)


def changes(option: Option, words: Words) -> tuple[str, ...]:
    """What a plan changes, each lever that moves with its value.

    Parameters
    ----------
    option : Option
    words : Words
    """
    instead = (_instead(option, words),) if option.instead else ()
    return (*instead, *(
        setting(each.lever, each.value, words)
        for each in option.levers if each.moved
    ))


def handed_text(option: Option, words: Words) -> str:
    """A plan in one sentence, for who waits for the others.

    Parameters
    ----------
    option : Option
    words : Words
    """
    return words.say(
        "advise-handed", why=Term(f"advise-why-{slug(option.why.value)}"), sets=changes(option, words),
        clearance=clearance_text(option, words),
    )


def _plans(found: Advice) -> list[tuple[str, Option]]:
    plans = [("now", found.now)] if found.now is not None else []
    plans += [(letter(number), option) for number, option in enumerate(found.options)]
    return plans + ([("nearest", found.nearest)] if found.nearest is not None else [])


def _heads(plans: Sequence[tuple[str, Option]], words: Words) -> list[str]:
    return [words.say(f"advise-{name}") if name in ("now", "nearest") else name for name, _ in plans]


def tables(found: Advice, words: Words) -> list[Table]:
    """Wishes, levers and prices beside each plan.

    Parameters
    ----------
    found : Advice
    words : Words
    """
    plans = _plans(found)
    if not plans:
        return []
    heads = _heads(plans, words)
    first = tuple(
        (wished(wish, found.rig, words), *(_cell(option.wishes[number], words) for _, option in plans))
        for number, wish in enumerate(found.wishes)
    )
    out = [Table(title=words.say("advise-wished"), columns=(words.say("advise-wish"), *heads), rows=first)]
    levers = plans[0][1].levers
    moved = [k for k in range(len(levers)) if any(option.levers[k].moved for _, option in plans)]
    rows = [
        (lever_name(levers[k].lever, words),
         *(_set(option.levers[k].lever, option.levers[k].value, words) for _, option in plans))
        for k in moved if all(len(option.levers) == len(levers) for _, option in plans)
    ]
    if any(option.instead for _, option in plans):
        rows.append((words.say("advise-instead"), *(
            _instead(option, words) if option.instead else words.say("advise-as-now") for _, option in plans)))
    if rows:
        out.append(Table(title=words.say("advise-set"), columns=(words.say("advise-lever"), *heads), rows=tuple(rows)))
    out.append(Table(
        title=words.say("advise-price"), columns=(words.say("advise-cost"), *heads),
        rows=tuple((words.say(f"advise-price-{name}"), *(get(option) for _, option in plans))
                   for name, get in prices(words, found.draws)),
    ))
    return out


def prices(words: Words, draws: int) -> list[tuple[str, Callable[[Option], str]]]:
    """What a plan costs: the name of each price, and how it is written of a plan.

    Parameters
    ----------
    words : Words
    draws : int
        In how many each plan was tried.
    """
    def of(key: str, dimension: str, bound: Any = "") -> Any:
        return lambda option: words.of(getattr(option.price, key), dimension, bound)

    def kept(option: Option) -> str:
        if not math.isfinite(option.share):
            return words.say("not-computed")
        return words.say("count-of", count=round(option.share * draws), total=draws)

    return [
        ("tapes", lambda option: words.count(option.price.tapes)), ("time", of("time", "time")),
        ("tape", of("tape", "length", "up")), ("backup", lambda option: words.value(Paced(option.price.backup))),
        ("pull", of("pull", "force")), ("tension", of("tension", "force")), ("sag", of("sag", "length")),
        ("reach", of("reach", "length", "up")), ("caught", of("caught", "force")), ("strain", of("strain", "ratio")),
        ("rub", of("rub", LINE_ENERGY)),
        ("kept", kept),
        ("checked", lambda option: clearance_text(option, words)),
    ]


def clearance_text(option: Option, words: Words) -> str:
    """The verdict of a plan's clearance, with what is short.

    Parameters
    ----------
    option : Option
    words : Words
    """
    if option.verdict is None:
        return words.say("advise-clearance-none")
    if option.verdict is Verdict.SHORT:
        kinds = tuple(dict.fromkeys(KIND[cause.kind] for cause in option.short))
        return words.say("advise-clearance-short", kinds=kinds)
    return words.say(f"advise-clearance-{slug(option.verdict.value)}")


def _tables(found: Advice, words: Words, writer: Writer) -> None:
    for table in tables(found, words):
        writer.table(table)
    for name, option in _plans(found):
        if name not in ("now", "nearest"):
            writer.set(words.say("advise-for", plan=name, why=Term(f"advise-why-{slug(option.why.value)}")))


def about(found: Advice, option: Option, words: Words) -> list[str]:
    """Which lever moved what in a plan, what is not held, what stays short.

    Parameters
    ----------
    found : Advice
    option : Option
    words : Words
    """
    assert found.now is not None
    lines = [
        text for number, kept in enumerate(option.wishes) if not found.now.wishes[number].is_met
        for text in _why(found.now.wishes[number], kept, words)
    ]
    loose = [kept for kept in option.wishes if math.isfinite(kept.share) and kept.share < 0.9]
    lines += [
        words.say(
            "advise-loose", figure=figure_name(kept.wish),
            range=words.band(kept.low, kept.high, kept.wish.wished.dimension),
            kept=round(kept.share * kept.draws), draws=kept.draws,
        )
        for kept in loose
    ]
    return lines + _from_clearance(option, words)


def _from_clearance(option: Option, words: Words) -> list[str]:
    """What its clearance finds short, and where nobody may fall."""
    lines = []
    for cause in option.short:
        if cause.is_in_rock:
            lines.append(words.say(
                "advise-still-in-rock", kind=KIND[cause.kind], why=cause.why.note, near=near(cause),
                at=words.place(cause.station),
            ))
            continue
        lines.append(words.say(
            "advise-still-short", kind=Term(f"clearance-kind-{cause.kind}"), why=cause.why.note,
            at=words.place(cause.station), distance=words.length(cause.distance, "down"),
            needed=words.length(cause.needed, "up"),
        ))
    zones = no_fall(option)
    if zones:
        lines.append(words.say("advise-no-fall", stretches=Stretches(tuple(zones))))
    return lines


def _why(now: Kept, kept: Kept, words: Words) -> list[str]:
    dimension = kept.wish.wished.dimension
    change = sum(part.by for part in kept.parts)
    rest = sum(part.by for part in kept.parts if part.lever is None)
    told = [part for part in kept.parts if part.lever is not None and abs(part.by) > MOVED * abs(change)]
    if not told:
        return []
    before = _cell(now, words)
    figure = figure_name(kept.wish)
    if abs(rest) > SMALL_REST * abs(change):
        names = tuple(lever_name(part.lever, words) for part in told if part.lever is not None)
        return [words.say("advise-why-jump", figure=figure, before=before, after=_cell(kept, words), levers=names)]
    parts = tuple(
        words.say("advise-part", lever=lever_name(part.lever, words),
                  by=("+" if part.by > 0.0 else "") + words.of(part.by, dimension))
        for part in sorted(told, key=lambda part: -abs(part.by)) if part.lever is not None
    )
    return [words.say("advise-why", figure=figure, before=before, after=_cell(kept, words), parts=parts)]


def in_the_way(found: Advice, words: Words) -> list[str]:
    """What stands in the way, where no plan was found; empty where one was.

    Parameters
    ----------
    found : Advice
    words : Words
    """
    if found.nearest is None:
        return []
    lines, short = [], {kept.wish: -kept.left for kept in found.nearest.wishes}
    together = []
    for each in found.gives:
        figure = figure_name(each.wish)
        alone = math.isfinite(each.by)
        by = Quantity(each.by if alone else short[each.wish], each.wish.wished.dimension, "up")
        if alone:
            lines.append(words.say("advise-gives", figure=figure, by=by))
        else:
            together.append(words.say("advise-gives-together", "each", figure=figure, by=by))
    if together:
        lines.append(words.say("advise-gives-together", each=tuple(together)))
    if len(found.conflict) > 1:
        names = tuple(figure_name(wish) for wish in found.conflict)
        lines.append(words.say("advise-conflict", figures=names))
    worst = min(found.nearest.wishes, key=lambda kept: kept.left / kept.wish.wished.notice).wish
    idle, missed = [], figure_name(worst)
    for more in sorted(found.more, key=lambda more: -more.gain):
        gain = Quantity(abs(more.gain), worst.wished.dimension)
        values = {"lever": lever_name(more.lever, words), "step": _set(more.lever, more.step, words, sign=True)}
        if gain.value < 0.02 * worst.wished.notice:
            idle.append(words.say("advise-more-nothing", "each", **values))
        else:
            kind = "advise-more" if more.gain > 0.0 else "advise-more-less"
            lines.append(words.say(kind, gain=gain, figure=missed, **values))
    if idle:
        lines.append(words.say("advise-more-nothing", each=tuple(idle), figure=missed))
    return lines


def advice_json(study: Study) -> dict[str, Any]:
    """An advice as plain data: SI, full figures.

    Parameters
    ----------
    study : Study
        With an advice.
    """
    data: dict[str, Any] = {}
    grids.data([TOPIC], study, data)
    found: dict[str, Any] = data.get("advise", {})
    for name in ("wishes", "plans", "gives", "more"):
        found.setdefault(name, [])
    return {**found, "cautions": list(frame.all_cautions(Words("metric", "en")))}

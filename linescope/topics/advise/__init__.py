"""What to change for the line to be as it is wished: wishes, plans, what stands in their way."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any

from linescope.advise.wished import BESIDE, FINE, STEPS, counted_of
from linescope.clearance.finding import Verdict, anchor_zone
from linescope.figures import Figure, Get, Group, Record
from linescope.notes import Kind, Note, Quantity, Severity, Term, Value
from linescope.study import Study
from linescope.topics.topic import Topic
from linescope.topics.wear import LINE_ENERGY

if TYPE_CHECKING:
    from linescope.advise import Advice, Kept, Option
    from linescope.rig import Wish


class AdviceNote(Kind):
    """What an advice comes to, and how it was found."""

    KEPT = "advise-kept"
    FOUND = "advise-found"
    NOT_FOUND = "advise-not-found"
    IMPOSSIBLE = "advise-impossible"
    NOTHING = "advise-nothing"
    NOT_HELD = "advise-not-held"
    UNCHECKED = "advise-unchecked"
    NOT_CLEAR = "advise-not-clear"
    NOT_KNOWN = "advise-not-shown"
    COUNTED = "advise-basis-counted"
    SOLVED = "advise-basis-solved"
    DRAWN = "advise-basis-drawn"
    PLACES = "advise-basis-places"


VERDICTS = {
    "kept": (AdviceNote.KEPT, Severity.BASIS), "found": (AdviceNote.FOUND, Severity.BASIS),
    "not found": (AdviceNote.NOT_FOUND, Severity.CHECK), "impossible": (AdviceNote.IMPOSSIBLE, Severity.CHECK),
    "nothing wished": (AdviceNote.NOTHING, Severity.LIMIT),
}


def letter(number: int) -> str:
    """How a plan is called: a, b, c, ..."""
    return chr(ord("a") + number)


def slug(name: str) -> str:
    """A name of figures or plans as messages have it."""
    return name.replace(",", "").replace(" ", "-")


def figure_name(wish: Wish) -> Term:
    """The figure that is wished for, in words."""
    return Term(f"advise-figure-{slug(wish.figure)}")


def _number(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _kept(kept: Kept) -> dict[str, Any]:
    return {
        "figure": kept.wish.figure, "least": kept.least, "most": kept.most, "left": kept.left, "at": kept.at,
        "is_met": kept.is_met, "low": kept.low, "high": kept.high, "share": kept.share,
        "draws": kept.draws,
        "moved_by": [
            {"lever": None if part.lever is None else part.lever.name,
             "zone": None if part.lever is None else part.lever.zone, "by": part.by}
            for part in kept.parts
        ],
    }


def _levers(option: Option) -> list[dict[str, Any]]:
    return [
        {"lever": each.lever.name, "zone": each.lever.zone, "now": each.lever.now, "value": each.value,
         "low": each.lever.low, "high": each.lever.high}
        for each in option.levers
    ]


def _short(option: Option) -> list[dict[str, Any]]:
    return [
        {"kind": cause.kind, "why": cause.why.id, "distance": cause.distance, "needed": cause.needed,
         "station": cause.station, "walker": cause.walker}
        for cause in option.short
    ]


def _cost(key: str) -> Get:
    return lambda found, study: getattr(found.price, key)


WHOLE: tuple[Figure, ...] = (
    Figure(
        key="verdict", meaning="kept, found, not found, impossible, or nothing wished.",
        get=lambda found, study: found.verdict.value,
    ),
    Figure(
        key="conflict", meaning="Figures of the smallest set of wishes that cannot be had together, as surfaces say.",
        get=lambda found, study: [wish.figure for wish in found.conflict],
    ),
    Figure(key="solves", meaning="Candidates solved exactly."),
    Figure(key="draws", meaning="In how many draws of hands and inputs each plan was solved."),
    Figure(
        key="notes", dimension="notes", meaning="What must be said, as notes.", get=lambda found, study: _notes(study),
    ),
)
WISH: tuple[Figure, ...] = (
    Figure(key="figure", meaning="What is wished for."),
    Figure(key="at_least", meaning="The least it shall be.", get=lambda wish, study: _number(wish.at_least)),
    Figure(key="at_most", meaning="The most it shall be.", get=lambda wish, study: _number(wish.at_most)),
    Figure(key="from", dimension="length", meaning="Part of the line, from A.", get=lambda wish, study: wish.start),
    Figure(key="to", dimension="length", meaning="Its end.", get=lambda wish, study: _number(wish.end)),
    Figure(key="zone", meaning="Tape zone, from 1."),
    Figure(key="counted", dimension="length", axes=("ends",), meaning="Over which part of the line it is counted, "
           "from A: distances to the ground outside the anchor zones only.",
           get=lambda wish, study: list(counted_of(study.rig, wish))),
    Figure(key="origin", meaning="scene, clearance or itself: who wishes it."),
    Figure(
        key="told", dimension="ratio", meaning="Share of variance that the surfaces foretell, at the worst place.",
        get=lambda wish, study: _quality(wish, study),
    ),
)
PLAN: tuple[Figure, ...] = (
    Figure(key="plan", meaning="Its letter; now: the scene as it is; nearest: where none was found.",
           get=lambda found, study: _name_of(found, study)),
    Figure(key="why", meaning="What it is for.", get=lambda found, study: found.why.value),
    Figure(key="instead", meaning="Another style or webbing."),
    Figure(key="instead_zone", meaning="The tape zone of that style, from 1; null: the whole line.",
           get=lambda found, study: found.zone),
    Figure(key="tried", meaning="Keys of the scene and their values, to be kept as a variant."),
    Figure(key="levers", meaning="Every lever: what it is now, its value, its range; SI.",
           get=lambda found, study: _levers(found)),
    Figure(key="wishes", meaning="Every wish: the figure over all places, what is left, where, its band and the share "
           "of draws that kept it, which lever moved it.",
           get=lambda found, study: [_kept(kept) for kept in found.wishes]),
    Figure(key="is_met", meaning="Whether all wishes are kept as solved."),
    Figure(key="share", dimension="ratio", meaning="Of the draws in which all wishes are kept."),
    Figure(key="checked", meaning="Whether its clearance was computed.",
           get=lambda found, study: found.clearance is not None),
    Figure(key="clearance", meaning="What that comes to by what its scene asks for: kept, short, unknown, not asked; "
           "null: not computed.", get=lambda found, study: None if found.verdict is None else found.verdict.value),
    Figure(key="is_worse", meaning="Whether it is worse than that of the scene as it is."),
    Figure(key="no_fall", dimension="length", axes=("zones", "ends"), meaning="Where its clearance says that nobody "
           "may fall into the leash, from A.", get=lambda found, study: no_fall(found)),
    Figure(key="still_short", meaning="What its clearance finds short.", get=lambda found, study: _short(found)),
    *(
        Figure(key=key, dimension=dimension, meaning=meaning, get=_cost(key))
        for key, dimension, meaning in (
            ("tapes", "", "Tapes."), ("tape", "length", "Tape with waste."), ("time", "time", "Time for taping."),
            ("backup", "length", "Backup, unstretched."), ("more_backup", "length", "How much more than now."),
            ("pull", "force", "Standing tension."), ("tension", "force", "Largest of the main with the walker."),
            ("sag", "length", "His feet below the straight line."),
            ("reach", "length", "Depth of feet if the main goes (bound)."),
            ("caught", "force", "Largest tension in the backup then."),
            ("strain", "ratio", "The same over its strength."),
            ("rub", LINE_ENERGY, "Largest work per metre at any place, of what the use counts: a first answer."),
        )
    ),
)
GIVES: tuple[Figure, ...] = (
    Figure(key="figure", meaning="The wish that would have to give.", get=lambda found, study: found.wish.figure),
    Figure(key="by", meaning="By how much, all others kept; null: giving it up alone does not help.  SI."),
)
MORE: tuple[Figure, ...] = (
    Figure(key="lever", meaning="Which limit.", get=lambda found, study: found.lever.name),
    Figure(key="zone", meaning="Of which tape zone.", get=lambda found, study: found.lever.zone),
    Figure(key="step", meaning="A little more of it.  SI."),
    Figure(key="gain", meaning="What that gives the wish that is missed most.  SI."),
)


def _quality(wish: Any, study: Study) -> float | None:
    found = study.advice
    return next((each.explained for each in found.quality if each.wish is wish), None) if found else None


def _name_of(option: Option, study: Study) -> str:
    found = study.advice
    assert found
    if option is found.now:
        return "now"
    return "nearest" if option is found.nearest else letter(found.options.index(option))


def _records(get: Any) -> Any:
    def records(study: Study) -> Sequence[Record]:
        found = study.advice
        return tuple(Record(result=each) for each in get(found)) if found else ()

    return records


def _plans(found: Advice) -> list[Option]:
    return [each for each in (found.now, *found.options, found.nearest) if each is not None]


def _values(study: Study) -> Mapping[str, Value | Note]:
    return {}


def no_fall(option: Option) -> list[tuple[float, float]]:
    """Stretches where its clearance says that nobody may fall into the leash, from A.  [m]"""
    return [] if option.clearance is None else [zone.from_a for zone in option.clearance.no_fall_zones]


def _clearance(told: Sequence[Option]) -> str:
    """What the clearances of plans come to together: nothing is left out that is not kept."""
    verdicts = {option.verdict for option in told}
    if Verdict.SHORT in verdicts:
        return "all-short" if verdicts == {Verdict.SHORT} else "short"
    if Verdict.UNKNOWN in verdicts:
        return "unknown"
    return "kept" if verdicts == {Verdict.KEPT} else "none"


def _notes(study: Study) -> tuple[Note, ...]:
    found = study.advice
    if not found:
        return ()
    kind, severity = VERDICTS[found.verdict.value]
    told = found.options or tuple(each for each in (found.now,) if each is not None)
    values: dict[str, Value] = {"plans": len(found.options)}
    if kind in (AdviceNote.KEPT, AdviceNote.FOUND):
        values["clearance"] = _clearance(told)
        if not all(option.is_clear for option in told):
            severity = Severity.CHECK
    notes = [Note(kind=kind, severity=severity, values=values)]
    for number, option in enumerate(found.options):
        if math.isfinite(option.share) and not option.is_held:
            worst = min((kept for kept in option.wishes if kept.draws), key=lambda kept: kept.share)
            notes.append(Note(kind=AdviceNote.NOT_HELD, severity=Severity.CHECK, values={
                "plan": letter(number), "kept": round(option.share * found.draws), "draws": found.draws,
                "worst": figure_name(worst.wish), "alone": round(worst.share * worst.draws),
            }))
        if option.verdict is Verdict.SHORT:
            assert found.now is not None
            before = "worse" if option.is_worse else "same"
            if found.now.is_clear and found.now.verdict is not None:
                before = "kept"
            notes.append(Note(
                kind=AdviceNote.NOT_CLEAR, severity=Severity.CHECK, values={"plan": letter(number), "before": before},
            ))
        if option.verdict is Verdict.UNKNOWN:
            notes.append(Note(
                kind=AdviceNote.NOT_KNOWN, severity=Severity.CHECK, values={"plan": letter(number)},
            ))
        if option.clearance is None and study.rig.ground is not None:
            notes.append(Note(
                kind=AdviceNote.UNCHECKED, severity=Severity.CHECK, values={"plan": letter(number)},
            ))
    if found.solves:
        notes.append(Note(kind=AdviceNote.SOLVED, severity=Severity.BASIS, values={"count": found.solves}))
    if found.solves and study.rig.walker is not None:
        notes.append(Note(kind=AdviceNote.PLACES, severity=Severity.BASIS, values={
            "near": Quantity(BESIDE, "length"), "standing": Quantity(study.rig.span / STEPS["walker"], "length", "up"),
            "falling": Quantity(study.rig.span / STEPS["falls"], "length", "up"), "fine": FINE,
        }))
    if any(wish.wished.ground for wish in found.wishes):
        notes.append(Note(
            kind=AdviceNote.COUNTED, severity=Severity.BASIS,
            values={"zone": Quantity(anchor_zone(study.rig), "length")},
        ))
    if found.draws:
        from linescope.advise.hands import EXCESS_HELD, LEASH_HELD, PULL_HELD

        notes.append(Note(kind=AdviceNote.DRAWN, severity=Severity.BASIS, values={
            "draws": found.draws, "pull": Quantity(PULL_HELD, "ratio"), "excess": Quantity(EXCESS_HELD, "ratio"),
            "leash": Quantity(LEASH_HELD, "length"),
        }))
    return tuple(notes)


HERE = Group(name="advise", path="advise", figures=WHOLE, records=_records(lambda found: [found]))
GROUPS = (
    HERE,
    Group(name="advise-wish", path="advise.wishes[]", figures=WISH, records=_records(lambda found: found.wishes)),
    Group(name="advise-plan", path="advise.plans[]", figures=PLAN, records=_records(_plans)),
    Group(name="advise-gives", path="advise.gives[]", figures=GIVES, records=_records(lambda found: found.gives)),
    Group(name="advise-more", path="advise.more[]", figures=MORE, records=_records(lambda found: found.more)),
)
TOPIC = Topic(name="advise", groups=GROUPS, here=HERE, along=HERE, csv={}, values=_values, notes=_notes)

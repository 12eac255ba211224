"""Readings: what was measured on the line, what it tells of the line as built, what does not fit, what to read next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from linescope.events.fitted import Checked, Foretold, told_as
from linescope.figures import Figure, Group, Record
from linescope.notes import Kind, Note, Quantity, Range, Severity, Term, Value, Verbatim
from linescope.study import Study
from linescope.topics.topic import Picture, Topic


class ReadingVerdict(Kind):
    """How a reading stands beside the others."""

    FITS = "readings-fits"
    LOOSE = "readings-loose"
    ACCEPTED = "readings-accepted"
    STOP = "readings-stop"
    AGAIN = "readings-again"
    AGAIN_STOP = "readings-again-stop"


class AcceptNote(Kind):
    """What is said of a reading that the crew's papers do not accept."""

    OUTSIDE = "readings-outside"


class LowHigh(Kind):
    """From a low to a high, each on its careful side."""

    BAND = "readings-band"


def _between(low: float, high: float, dimension: str, bound: str = "") -> Note:
    ends = {
        "low": Quantity(low, dimension, "up" if bound == "up" else "down"), "high": Quantity(high, dimension, "up"),
    }
    return Note(kind=LowHigh.BAND, severity=Severity.BASIS, values=ends)


def _shown(name: str) -> Any:
    """A value in the dimension of the record's figure."""
    return lambda one, study: Quantity(getattr(one, name), one.outcome.dimension, one.outcome.bound)


def _band(one: Foretold, low: str, high: str) -> Note:
    return _between(getattr(one, low), getattr(one, high), one.outcome.dimension, one.outcome.bound)


FORETOLD: tuple[Figure, ...] = (
    Figure(key="figure", meaning="Which figure; keys as in bands.results, and standing_a: main at A, nobody on it.",
           get=lambda one, study: one.outcome.key),
    Figure(key="shown_planned", brief=True, data=False, meaning="As planned.", get=_shown("planned")),
    Figure(
        key="shown_before", brief=True, data=False, meaning="Of lines built to the plan.",
        get=lambda one, study: _band(one, "before_low", "before_high"),
    ),
    Figure(key="shown_built", brief=True, data=False, meaning="As built.", get=_shown("value")),
    Figure(
        key="shown_after", brief=True, data=False, meaning="Of lines that these readings leave possible.",
        get=lambda one, study: _band(one, "low", "high"),
    ),
    Figure(key="planned", meaning="As planned; SI, as all of this list."),
    Figure(key="before_low", meaning="5 % of lines that are built to the plan lie below."),
    Figure(key="before_high", meaning="95 % of them lie below."),
    Figure(key="value", meaning="As built."),
    Figure(key="low", meaning="5 % of what the readings leave possible lies below."),
    Figure(key="middle", meaning="Half of it lies below."),
    Figure(key="high", meaning="95 % of it lies below."),
)


def _read(name: str) -> Any:
    return lambda one, study: Quantity(getattr(one, name), one.reading.dimension)


def _of(name: str) -> Any:
    return lambda one, study: getattr(one.reading, name)


def _dated(study: Study) -> bool:
    """Whether any reading says when it was taken."""
    found = study.readings
    return any(each.reading.taken for each in found.readings) if found else False


def _verdict(one: Checked, study: Study) -> Note:
    """Of the fit, and of the crew's papers, which are asked apart: a model may fit a line that nobody should walk."""
    said = study.accepted.get(one.reading)
    if said is not None and not said.ok:
        return Note(kind=ReadingVerdict.STOP if one.used else ReadingVerdict.AGAIN_STOP, severity=Severity.CHECK)
    if not one.used:
        return Note(kind=ReadingVerdict.AGAIN, severity=Severity.CHECK)
    if not one.low <= one.reading.value <= one.high:
        return Note(kind=ReadingVerdict.LOOSE, severity=Severity.CHECK)
    return Note(kind=ReadingVerdict.FITS if said is None else ReadingVerdict.ACCEPTED, severity=Severity.BASIS)


def _said(name: str) -> Any:
    """What the papers say of it; None where they say nothing."""
    def get(one: Checked, study: Study) -> float | bool | None:
        said = study.accepted.get(one.reading)
        return None if said is None else getattr(said, name)

    return get


READ: tuple[Figure, ...] = (
    Figure(
        key="shown_value", brief=True, data=False, meaning="As it was read.",
        get=lambda one, study: Quantity(one.reading.value, one.reading.dimension, digits=3),
    ),
    Figure(
        key="shown_error", brief=True, data=False, meaning="How far off such a reading is.",
        get=lambda one, study: Quantity(one.reading.error, one.reading.dimension),
    ),
    Figure(key="shown_planned", brief=True, data=False, meaning="What the plan foresees.", get=_read("planned")),
    Figure(key="shown_built", brief=True, data=False, meaning="What the line as built shows.", get=_read("built")),
    Figure(
        key="shown_range", brief=True, data=False, meaning="Where nine in ten such readings should lie.",
        get=lambda one, study: _between(one.low, one.high, one.reading.dimension),
    ),
    Figure(key="verdict", brief=True, data=False, meaning="Whether it fits the others.", get=_verdict),
    Figure(
        key="taken", brief=True, meaning="When it was taken, as typed.",
        get=lambda one, study: Verbatim(one.reading.taken) if _dated(study) else None, data=False,
    ),
    Figure(key="key", meaning="Where it stands in the scene, or in its table.", get=_of("key")),
    Figure(key="what", meaning="tension, sag, loop, bay, tape or period.", get=_of("what")),
    Figure(key="date", meaning="When it was taken, as typed.", get=_of("taken")),
    Figure(key="value", meaning="As it was read; SI, as all of this list.", get=_of("value")),
    Figure(key="error", meaning="Its standard deviation.", get=_of("error")),
    Figure(key="error_assumed", meaning="Whether that is the usual one of its kind.", get=_of("assumed")),
    Figure(key="end", meaning="Of a tension: A or B.", get=_of("end")),
    Figure(key="number", meaning="Of a bay or a tape, from 1 at A; else 0.", get=_of("number")),
    Figure(key="mass", meaning="Of who stood on the main; 0 for nobody.", get=_of("mass")),
    Figure(key="at", meaning="Where he stood, or where the sag was read, from A.", get=_of("at")),
    Figure(key="planned", meaning="What the plan foresees."),
    Figure(key="built", meaning="What the line as built shows."),
    Figure(key="low", meaning="Nine in ten such readings lie between this ..., as all other readings tell."),
    Figure(key="high", meaning="... and this."),
    Figure(key="off", dimension="ratio", meaning="How far it is off, over what it should scatter by; used below 3."),
    Figure(key="used", meaning="Whether the line as built follows it."),
    Figure(key="accepted_low", meaning="The crew's papers accept it from this ...", get=_said("low")),
    Figure(key="accepted_high", meaning="... to this.", get=_said("high")),
    Figure(key="accepted", meaning="Whether they do; null where they say nothing of it.", get=_said("ok")),
)

KNOWN: tuple[Figure, ...] = (
    Figure(key="key", meaning="Key of an input of the crew's work; may be unknown where figures are not."),
    Figure(key="planned", meaning="As planned; SI, as all of this list."),
    Figure(key="built", meaning="As built."),
    Figure(key="given_low", meaning="Low of the scene; null where it gives none."),
    Figure(key="given_high", meaning="High of the scene."),
    Figure(key="sd", meaning="Standard deviation that is left."),
    Figure(key="told", part="explained", dimension="ratio", meaning="Share of its variance that the readings take."),
)

FURTHER: tuple[Figure, ...] = (
    Figure(key="what", meaning="A reading nobody took yet.", get=_of("what")),
    Figure(key="mass", meaning="Of who stands on the main then; 0 for nobody.", get=_of("mass")),
    Figure(key="number", meaning="Of a bay, from 1 at A; else 0.", get=_of("number")),
    Figure(key="gain", dimension="ratio", meaning="Mean logarithm by which figures become narrower."),
    Figure(key="figure", meaning="The figure that becomes narrower most.", get=lambda one, study: one.key),
    Figure(key="now", meaning="Its standard deviation without ...; SI."),
    Figure(key="then", meaning="... and with that reading; SI."),
)

WHOLE: tuple[Figure, ...] = (
    Figure(
        key="correlation", dimension="ratio",
        meaning="Of the main's unstretched length, over the span, and its stiffness, in what is left possible.",
    ),
    Figure(key="draws", meaning="Of what is left possible."),
    Figure(key="lost", meaning="In how many of them no equilibrium was found."),
    Figure(key="notes", dimension="notes", meaning="What must be said beside these figures."),
)


def _foretold(study: Study) -> Sequence[Record]:
    found = study.readings
    return () if not found else tuple(
        Record(
            result=each, id=(each.outcome.key,),
            labels=(("readings-figure", Term(f"readings-of-{each.outcome.key.replace('_', '-')}")),),
        )
        for each in found.foretold if study.slides or each.outcome.key != "deepest_settled"
    )


def _checked(study: Study) -> Sequence[Record]:
    found = study.readings
    return () if not found else tuple(
        Record(result=each, id=(each.reading.key,), labels=(("readings-which", told_as(each.reading)),))
        for each in found.readings
    )


def _rows(name: str) -> Any:
    return lambda study: tuple(Record(result=each) for each in getattr(study.readings, name)) if study.readings else ()


def _whole(study: Study) -> Sequence[Record]:
    return (Record(result=study.readings),) if study.readings else ()


def _values(study: Study) -> Mapping[str, Value]:
    return {}


def _notes(study: Study) -> tuple[Note, ...]:
    found = study.readings
    if not found:
        return ()
    outside = [
        Note(kind=AcceptNote.OUTSIDE, severity=Severity.CHECK, values={
            "what": told_as(reading), "read": Quantity(reading.value, reading.dimension, digits=3),
            "range": Range(said.low, said.high, reading.dimension),
        })
        for reading, said in study.accepted.items() if not said.ok
    ]
    return (*outside, *found.notes)


HERE = Group(name="readings", path="readings.figures[]", figures=FORETOLD, records=_foretold)
TAKEN = Group(name="readings-read", path="readings.read[]", figures=READ, records=_checked)
INPUTS = Group(name="readings-inputs", path="readings.inputs[]", figures=KNOWN, records=_rows("known"))
NEXT = Group(name="readings-further", path="readings.further[]", figures=FURTHER, records=_rows("further"))
ALL = Group(name="readings", path="readings", figures=WHOLE, records=_whole)
TOPIC = Topic(
    name="readings",
    groups=(HERE, TAKEN, INPUTS, NEXT, ALL),
    here=HERE,
    along=HERE,
    more=(TAKEN,),
    csv={"as_built": HERE, "readings": TAKEN},
    values=_values,
    notes=_notes,
    pictures=(
        Picture(
            name="as-built", module="linescope.topics.readings.picture", needs=("readings",), after="styles",
            section=10,
        ),
    ),
)

"""Tapes: how each kind is made, what it covers, where its strip ends, and how much of it all takes."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from linescope.figures import Figure, Group, Record
from linescope.notes import Note, Ruled, Term, Value
from linescope.study import Study
from linescope.taping import LaidTape
from linescope.taping.remarks import notes_on
from linescope.topics.tapes.messages import HOLDS
from linescope.topics.topic import Picture, Topic


def _cover(key: str, meaning: str, **more: Any) -> Figure:
    def get(tape: LaidTape, study: Study) -> float | None:
        return None if tape.coverage is None else float(getattr(tape.coverage, key))

    return Figure(key=f"dry_{key}", dimension="length", meaning=meaning, get=get, **more)


def _finish(key: str, dimension: str, meaning: str) -> Figure:
    return Figure(
        key=f"end_{key}", dimension=dimension, meaning=meaning, get=lambda tape, study: getattr(tape.finish, key)
    )


KIND: tuple[Figure, ...] = (
    Figure(key="family", meaning="Family of tape.", get=lambda tape, study: tape.family.key),
    Figure(key="holds", meaning="The line it grips.", get=lambda tape, study: tape.holds.value),
    Figure(
        key="count", brief=True, meaning="How many of them the line has.",
        get=lambda tape, study: study.cuts.count(tape.family.key, tape.holds),
    ),
    Figure(
        key="strip", dimension="length", ruled=True, brief=True, meaning="Strip to cut, without cross pieces.",
        get=lambda tape, study: tape.cut_length,
    ),
    Figure(
        key="first", dimension="length", ruled=True, brief=True,
        meaning="What is measured out first: lead, short end or tab.",
    ),
    Figure(key="pieces", meaning="Cross pieces a tape."),
    Figure(
        key="piece", dimension="length", meaning="Length of a cross piece, 0 without.",
        get=lambda tape, study: tape.piece_length,
    ),
    Figure(key="turns", dimension="number", brief=True, meaning="Turns round both lines, as riggers count them."),
    _finish("face", "", "Face on which the strip's end lies: top, side, underside."),
    _finish("past", "length", "From the edge that it came over on to that face."),
    _finish("rest", "length", "From the end on to the next edge."),
    _finish("add", "length", "To add, for an end in the middle of the underside."),
    _finish("cut", "length", "To cut off, for the same; null where too little would be left."),
    _cover("needed", "Way round the sliding line that tape can touch."),
    _cover("before", "Dry beyond that at the beginning; null where it begins between the lines."),
    _cover("after", "Dry beyond that at the end.", bound="down"),
    _cover("on_held", "How far the dry part reaches on to the held line's outer face."),
    Figure(
        key="between_layers", meaning="Layers of strip between the lines.",
        get=lambda tape, study: tape.between.layers,
    ),
    Figure(
        key="gap", dimension="length", meaning="Between the lines where strip lies there.",
        get=lambda tape, study: tape.between.gap,
    ),
    Figure(
        key="covered", dimension="ratio",
        meaning="Share of the width in which the lines lie on each other that has strip between.",
        get=lambda tape, study: tape.between.covered,
    ),
    Figure(
        key="encloses", meaning="Whether the strip goes round the held line alone, so that torn it is not dropped.",
        get=lambda tape, study: tape.between.encloses,
    ),
)
TOTALS: tuple[Figure, ...] = (
    Figure(key="tapes", meaning="Tapes, without ties.", get=lambda cuts, study: cuts.count()),
    Figure(
        key="strong", dimension="length", meaning="Thin strong tape, with waste.",
        get=lambda cuts, study: cuts.tape_of(cloth=False),
    ),
    Figure(
        key="cloth", dimension="length", meaning="Cloth tape, with waste.",
        get=lambda cuts, study: cuts.tape_of(cloth=True),
    ),
    Figure(
        key="strong_rolls", meaning="Rolls of thin strong tape.", get=lambda cuts, study: cuts.rolls_of(cloth=False)
    ),
    Figure(key="cloth_rolls", meaning="Rolls of cloth tape.", get=lambda cuts, study: cuts.rolls_of(cloth=True)),
    Figure(key="time", dimension="time", meaning="To make them all, at the pace given."),
    Figure(key="notes", dimension="notes", meaning="What must be said.", get=lambda cuts, study: list(notes_on(cuts))),
)


def _kinds(study: Study) -> tuple[Record, ...]:
    return tuple(
        Record(
            result=tape, id=(family, holds.value),
            labels=(("tapes-kinds-family", Term(tape.family.message)), ("tapes-kinds-holds", Term(HOLDS[holds]))),
        )
        for (family, holds), tape in study.cuts.tapes.items()
    )


def _totals(study: Study) -> tuple[Record, ...]:
    return (Record(result=study.cuts),)


def _values(study: Study) -> Mapping[str, Value]:
    return {"roll": Ruled(study.cuts.stock.roll)}


def _notes(study: Study) -> tuple[Note, ...]:
    return notes_on(study.cuts)


KINDS = Group(name="tapes-kinds", path="tapes.kinds[]", figures=KIND, records=_kinds)
TAPES = Topic(
    name="tapes",
    groups=(KINDS, Group(name="tapes-totals", path="tapes", figures=TOTALS, records=_totals)),
    here=KINDS, along=KINDS, csv={}, values=_values, notes=_notes,
    pictures=(
        Picture(
            name="tape-map", module="linescope.topics.tapes.picture", needs=("standing",), after="closeup", section=8,
        ),
    ),
)


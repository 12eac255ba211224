"""Marks for loops of a wanted depth: what to mark, and what is seen then."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from linescope.events.marks import Marks
from linescope.figures import Figure, Group, Record
from linescope.notes import Kind, Missing, Note, Paced, Quantity, Severity, Spot, Term, Value
from linescope.study import Study
from linescope.topics.topic import Topic

BAY = ("bay",)


class Change(Kind):
    """What becomes of the backup."""

    LONGER = "marks-longer"
    SHORTER = "marks-shorter"


class Where(Kind):
    """In which state the loops are wanted."""

    WALKER = "marks-under-walker"
    STANDING = "marks-under-standing"


class MarksBasis(Kind):
    """What the marks hold for."""

    SLIDE = "marks-basis-slide"


def _reached(marks: Marks) -> Any:
    seen = marks.walker if marks.under == "walker" and marks.walker is not None else marks.standing
    return seen.bays.loop_depth


MARKS: tuple[Figure, ...] = (
    Figure(
        key="wanted", dimension="length", axes=BAY, brief=True, meaning="Loop depth asked for.",
        get=lambda marks, study: marks.wanted[np.isfinite(marks.wanted)],
    ),
    Figure(
        key="reached", dimension="length", axes=BAY, brief=True, meaning="Loop depth with the marks below.",
        get=lambda marks, study: _reached(marks),
    ),
    Figure(
        key="excess_slack", part="slack.excess", dimension="ratio", axes=BAY, brief=True,
        meaning="Excess to mark on slack main.",
    ),
    Figure(
        key="excess_tensioned", part="tensioned.excess", dimension="ratio", axes=BAY, brief=True,
        meaning="Excess to mark on main under the marking tension.",
    ),
    Figure(
        key="backup_length", brief=True, meaning="Unstretched backup, lock to lock.",
        get=lambda marks, study: Paced(marks.backup_length),
    ),
    Figure(
        key="change", brief=True, meaning="How much longer or shorter that is than in the scene.",
        get=lambda marks, study: Note(
            kind=Change.LONGER if marks.change >= 0.0 else Change.SHORTER, severity=Severity.BASIS,
            values={"by": Paced(abs(marks.change))},
        ),
    ),
    Figure(
        key="standing_depth", part="standing.bays.loop_depth", dimension="length", axes=BAY, brief=True,
        meaning="Loop depth to see standing, nobody on the line, as taped.",
    ),
    Figure(
        key="standing_excess", part="standing.bays.excess", dimension="ratio", axes=BAY, brief=True,
        meaning="Excess then.",
    ),
)


def _marks(study: Study) -> Sequence[Record]:
    found = study.marks
    return (Record(result=found, labels=(("marks-line", Term("marks-line")),)),) if found else ()


def _values(study: Study) -> Mapping[str, Value | Note]:
    found = study.marks
    if not found:
        return {}
    walker = found.rig.walker
    here = Note(
        kind=Where.WALKER, severity=Severity.BASIS, values={"at": Spot(walker.at)},
    ) if found.under == "walker" and walker is not None else Note(kind=Where.STANDING, severity=Severity.BASIS)
    return {"where": here, "tension": Quantity(found.marking_tension, "force")}


def _notes(study: Study) -> tuple[Note, ...]:
    found = study.marks
    return () if isinstance(found, Missing) else (Note(kind=MarksBasis.SLIDE, severity=Severity.BASIS),)


HERE = Group(name="marks", path="", figures=MARKS, records=_marks)
TOPIC = Topic(name="marks", groups=(), here=HERE, along=HERE, csv={}, values=_values, notes=_notes)

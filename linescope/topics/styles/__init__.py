"""Tape styles side by side, each with the same inputs and the same day, on one scale."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from linescope.contact.ledger import Face
from linescope.figures import Figure, Group, Record
from linescope.notes import Missing, Note, Quantity, Value, Verbatim
from linescope.study import Study
from linescope.topics.topic import Picture, Topic

if TYPE_CHECKING:
    from linescope.contact.styles import Comparison, Style


def _of(style: Style, get: Any) -> Any:
    return None if style.behaviour is None else get(style.behaviour)


def _face(key: str, face: Face) -> tuple[Figure, ...]:
    def value(style: Style, study: Study) -> Any:
        return _of(style, lambda found: found.wear.peak(face))

    def end(level: str) -> Any:
        return lambda style, study: _of(style, lambda found: found.wear.peak(face, level))

    return (
        Figure(
            key=key, dimension="line energy", brief=True, meaning=f"Largest work per metre on the {face}.", get=value
        ),
        *(
            Figure(
                key=f"{key}_{level}", dimension="line energy", meaning=f"With every guess at its {level} end.",
                get=end(level),
            )
            for level in ("low", "high")
        ),
    )


STYLE: tuple[Figure, ...] = (
    Figure(key="family", meaning="Taping family."),
    Figure(key="holds", meaning="main, backup or both.", get=lambda style, study: style.holds.value),
    Figure(
        key="failed", meaning="Why there is no result.",
        get=lambda style, study: None if style.failed is None else str(style.failed),
    ),
    Figure(
        key="loops", dimension="length", axes=("end",), meaning="Least and greatest loop depth as taped.",
        get=lambda style, study: _of(style, lambda found: np.array([found.taped.least, found.taped.most])),
    ),
    Figure(
        key="loops_settled", dimension="length", axes=("end",), meaning="The same when settled.",
        get=lambda style, study: _of(style, lambda found: np.array([found.settled.least, found.settled.most])),
    ),
    Figure(
        key="slip", dimension="length", brief=True, meaning="Most through one tape in the first crossing.",
        get=lambda style, study: _of(style, lambda found: found.slip["value"]),
    ),
    Figure(
        key="slip_high", dimension="length", brief=True, meaning="The most with the ends of the hold.",
        get=lambda style, study: _of(style, lambda found: max(found.slip.values())),
    ),
    *_face("main_top", Face.MAIN_TOP),
    *_face("main_underside", Face.MAIN_UNDER),
    *_face("backup_top", Face.BACKUP_TOP),
    *_face("backup_underside", Face.BACKUP_UNDER),
    Figure(
        key="tape", dimension="energy", brief=True, meaning="Most friction work on the strip of one tape.",
        get=lambda style, study: _of(style, lambda found: found.wear.tape_peak()),
    ),
    Figure(
        key="force", dimension="force", brief=True, meaning="Largest force along the line over a tape in a crossing.",
        get=lambda style, study: _of(style, lambda found: found.force),
    ),
    Figure(
        key="tape_length", dimension="length", brief=True, meaning="Tape it takes, waste included.",
        get=lambda style, study: None if style.cut_list is None else style.cut_list.tape_total,
    ),
    Figure(
        key="time", dimension="time", brief=True, meaning="To lay it.",
        get=lambda style, study: None if style.cut_list is None else style.cut_list.time,
    ),
)
WHOLE: tuple[Figure, ...] = (
    Figure(key="run_time", dimension="time", meaning="Of the comparison."),
    Figure(key="notes", dimension="notes", meaning="What follows."),
    Figure(key="assumed", dimension="notes", meaning="What was assumed."),
)


def _comparison(study: Study) -> Comparison | None:
    found = study.compare
    return None if isinstance(found, Missing) else found


def _styles(study: Study) -> tuple[Record, ...]:
    found = _comparison(study)
    return () if found is None else tuple(
        Record(result=style, id=(style.name,), labels=(("styles-style", Verbatim(style.name)),))
        for style in found.styles
    )


def _whole(study: Study) -> tuple[Record, ...]:
    found = _comparison(study)
    return () if found is None else (Record(result=found),)


def _values(study: Study) -> Mapping[str, Value]:
    use = study.rig.use
    return {"crossings": use.crossings, "wind": Quantity(3600.0 * use.wind_hours, "time")}


def _notes(study: Study) -> tuple[Note, ...]:
    found = study.compare
    return (found.note,) if isinstance(found, Missing) else (*found.notes, *found.assumed)


TABLE = Group(name="styles", path="styles.styles[]", figures=STYLE, records=_styles)
STYLES = Topic(
    name="styles",
    groups=(TABLE, Group(name="styles-whole", path="styles", figures=WHOLE, records=_whole)),
    here=TABLE, along=TABLE, csv={"styles": TABLE}, values=_values, notes=_notes,
    pictures=(
        Picture(name="styles", module="linescope.topics.styles.picture", needs=("compare",), after="wear", section=8),
    ),
)

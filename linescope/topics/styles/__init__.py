"""Tape styles side by side, each with the same inputs and the same day: what differs, and what it costs."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from linescope.contact.ledger import Face
from linescope.contact.verdicts import ComparedRow, entry, rows_of
from linescope.figures import Figure, Group, Record
from linescope.notes import Missing, Note, Quantity, Term, Value
from linescope.study import Study
from linescope.topics.topic import Picture, Topic

if TYPE_CHECKING:
    from linescope.contact.styles import Comparison, Made, Style

INNER = (Face.MAIN_UNDER, Face.BACKUP_TOP)
COLUMNS = ("mixed", "both", "main", "backup")


def _of(style: Style, get: Any) -> Any:
    return None if style.behaviour is None else get(style.behaviour)


def _spread(style: Style, state: str) -> Any:
    return _of(style, lambda found: np.array([getattr(found, state).least, getattr(found, state).most]))


def _level(level: str) -> tuple[Figure, ...]:
    return (
        Figure(
            key=f"loops_walked_{level}", dimension="length", axes=("end",),
            meaning=f"Least and greatest loop depth after the first crossing, the hold at its {level}.",
            get=lambda style, study: _of(style, lambda found: np.array(
                [found.walked[level].least, found.walked[level].most]) if level in found.walked else None),
        ),
        Figure(
            key=f"slip_{level}", dimension="length",
            meaning=f"Most through one tape in the first crossing, the hold at its {level}.",
            get=lambda style, study: _of(style, lambda found: found.slip.get(level)),
        ),
    )


def _face(key: str, face: Face) -> tuple[Figure, ...]:
    def end(level: Any) -> Any:
        return lambda style, study: _of(style, lambda found: found.wear.peak(face, level))

    return (
        Figure(key=key, dimension="line energy", meaning=f"Largest work per metre on the {face}.", get=end("value")),
        *(
            Figure(
                key=f"{key}_{level}", dimension="line energy", meaning=f"With every guess at its {level} end.",
                get=end(level),
            )
            for level in ("low", "high")
        ),
    )


STYLE: tuple[Figure, ...] = (
    Figure(key="name", meaning='What its tapes hold: "both", "main", "backup"; "mixed" for a rig with several.'),
    Figure(key="planned", meaning="Whether it is the rig as planned."),
    Figure(key="families", meaning="Families it can be made of; the first one is shown.",
           get=lambda style, study: [made.family for made in style.made]),
    Figure(
        key="failed", meaning="Why there is no result.",
        get=lambda style, study: None if style.failed is None else str(style.failed),
    ),
    Figure(
        key="loops", dimension="length", axes=("end",), meaning="Least and greatest loop depth as taped.",
        get=lambda style, study: _spread(style, "taped"),
    ),
    Figure(
        key="loops_shaken", dimension="length", axes=("end",),
        meaning="The same when shaken: a fifth of the hold is left, a guess.",
        get=lambda style, study: _spread(style, "shaken"),
    ),
    Figure(
        key="loops_settled", dimension="length", axes=("end",), meaning="The same when settled.",
        get=lambda style, study: _spread(style, "settled"),
    ),
    *_level("low"), *_level("value"), *_level("high"),
    Figure(key="hung", dimension="length", meaning="Most that ran through one tape when the line was hung.",
           get=lambda style, study: _of(style, lambda found: found.hung)),
    Figure(key="reach", dimension="length", meaning="Farthest from where it was taped that a line has run.",
           get=lambda style, study: _of(style, lambda found: found.reach)),
    *_face("main_top", Face.MAIN_TOP),
    *_face("main_underside", Face.MAIN_UNDER),
    *_face("backup_top", Face.BACKUP_TOP),
    *_face("backup_underside", Face.BACKUP_UNDER),
    Figure(
        key="force", dimension="force", meaning="Largest force along the line over a tape in a crossing.",
        get=lambda style, study: _of(style, lambda found: found.force),
    ),
)


def _cuts(made: Made, key: str) -> Any:
    return None if made.cut_list is None else getattr(made.cut_list, key)


MADE: tuple[Figure, ...] = (
    Figure(key="family", meaning="Taping family; empty for a rig with several.", brief=True,
           get=lambda made, study: made.family),
    Figure(key="holds", meaning="main, backup or both.", get=lambda made, study: made.holds and made.holds.value),
    Figure(
        key="inner", dimension="line energy", brief=True,
        meaning="Largest work per metre on the faces between the lines.",
        get=lambda made, study: max((made.faces[face] for face in INNER), default=None) if made.faces else None,
    ),
    Figure(key="strip", dimension="energy", brief=True, meaning="Most friction work on the strip of one tape.",
           get=lambda made, study: made.strip),
    Figure(key="tape", dimension="length", brief=True, meaning="Tape it takes, waste included.",
           get=lambda made, study: _cuts(made, "tape_total")),
    Figure(key="time", dimension="time", brief=True, meaning="To lay it.", get=lambda made, study: _cuts(made, "time")),
)
WHOLE: tuple[Figure, ...] = (
    Figure(key="run_time", dimension="time", meaning="Of the comparison."),
    Figure(key="parting", meaning="From which drag on tapes that hold a line slip in a crossing.  [N]",
           get=lambda found, study: [
               {"holds": each.holds.value, "drag": each.drag, "half": each.half, "tape": each.tape}
               for each in found.parting
           ]),
    Figure(key="notes", dimension="notes", meaning="What follows."),
    Figure(key="assumed", dimension="notes", meaning="What was assumed."),
)


def comparison(study: Study) -> Comparison | None:
    """The comparison, where there is one."""
    found = study.compare
    return None if isinstance(found, Missing) else found


def _styles(study: Study) -> tuple[Record, ...]:
    found = comparison(study)
    return () if found is None else tuple(
        Record(result=style, id=(style.name,), labels=(("styles-style", Term(f"styles-named-{style.name}")),))
        for style in found.styles
    )


def _made(study: Study) -> tuple[Record, ...]:
    found = comparison(study)
    return () if found is None else tuple(
        Record(result=made, id=(made.name,), labels=(("styles-style", Term(f"styles-named-{style.name}")),))
        for style in found.styles for made in style.made
    )


def _rows(study: Study) -> tuple[Record, ...]:
    """A row for everything in which the styles differ."""
    found = comparison(study)
    if found is None:
        return ()
    rows, _ = rows_of(found.styles)
    return tuple(
        Record(result=row, id=(row.key,), labels=(("styles-rows-what", Term(f"styles-row-{row.key}")),)) for row in rows
    )


def _column(name: str) -> Figure:
    def get(row: ComparedRow, study: Study) -> Value | None:
        found = comparison(study)
        style = next((style for style in found.styles if style.name == name), None) if found else None
        return None if style is None or style.behaviour is None else entry(row, style)

    return Figure(key=name, meaning="", get=get, brief=True, data=False)


def _whole(study: Study) -> tuple[Record, ...]:
    found = comparison(study)
    return () if found is None else (Record(result=found),)


def _values(study: Study) -> Mapping[str, Value]:
    use, found = study.rig.use, comparison(study)
    planned = next((style.name for style in found.styles if style.planned), "none") if found else "none"
    return {"crossings": use.crossings, "wind": Quantity(3600.0 * use.wind_hours, "time"), "planned": planned}


def _notes(study: Study) -> tuple[Note, ...]:
    found = study.compare
    return (found.note,) if isinstance(found, Missing) else (*found.notes, *found.assumed)


ROWS = Group(
    name="styles-rows", path="", figures=tuple(_column(name) for name in COLUMNS), records=_rows, head="styles",
)
TABLE = Group(name="styles", path="styles.styles[]", figures=STYLE, records=_styles)
FAMILIES_OF = Group(name="styles-made", path="styles.families[]", figures=MADE, records=_made)
STYLES = Topic(
    name="styles",
    groups=(TABLE, FAMILIES_OF, Group(name="styles-whole", path="styles", figures=WHOLE, records=_whole)),
    here=ROWS, along=ROWS, more=(FAMILIES_OF,), csv={"styles": TABLE}, values=_values, notes=_notes,
    pictures=(
        Picture(name="styles", module="linescope.topics.styles.picture", needs=("compare",), after="wear", section=8),
    ),
)

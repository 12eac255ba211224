"""The findings of a rig as tables for people: the same ones on the sheet and on the page.

Two significant figures, units put back on.  What was not computed says so instead of being left out.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.events.accepted import TOLERANCE, depth_of_bay
from linescope.export.sheet_walk import (
    main_stations,
    spread_over,
)
from linescope.notes import Quantity, Term
from linescope.rig import Known
from linescope.study import Study
from linescope.webbing import Webbing
from linescope.words import Loud, Words
from linescope.words.inputs import DOUBT, input_text
from linescope.words.table import Table

Floats = NDArray[np.float64]



def _known(known: Known, words: Words) -> str:
    """How an input is known; what nobody measured stands out."""
    text = words.say(f"frame-known-{known}")
    return Loud(text) if known in ("guess", "assumed", "tried") else text


def gear(study: Study, words: Words) -> Table:
    """Both lines, with blanks for what only the crew knows."""
    rig = study.rig
    known = {note.key: _known(note.known, words) for note in study.inputs.notes}

    def row(key: str, kind: Webbing) -> tuple[str, ...]:
        at = f"{key}.webbing"
        stretch = words.say(
            "sheet-gear-stretch-at", stretch=Quantity(float(kind.stretch.strain[-1]), "ratio"),
            force=Quantity(float(kind.stretch.tension[-1]), "force"),
        )
        given = known.get(f"{at}.breaking_strength", known.get(at, words.say("sheet-gear-library")))
        aged = words.say("sheet-gear-not-given") if kind.aged_strength is None else words.force(kind.aged_strength)
        size = words.say("sheet-gear-rope" if kind.is_rope else "sheet-gear-wide", width=words.width(kind.width))
        return (
            words.say(f"frame-{key}"), words.verbatim(kind.name), size, words.of(kind.mass, "line mass"), stretch,
            words.force(kind.breaking_strength), given, aged, "", "",
        )

    heads = ("line", "name", "size", "mass", "stretch", "new", "known", "aged", "age", "days")
    return Table(
        title=words.say("sheet-gear"), columns=tuple(words.say(f"sheet-gear-{head}") for head in heads),
        rows=(row("main", rig.main), row("backup", rig.backup)),
    )


def lengths(study: Study, words: Words) -> Table:
    """What to cut, carry and pull: unstressed lengths, stroke, released excess."""
    rig, layout, standing = study.rig, study.planned.layout, study.standing
    stretched = float(standing.main.stretched_length.sum())

    def mark(value: float) -> str:
        return f"{words.mark(value)} {words.long_unit}"

    rows = (
        ("span", words.place(rig.span), "survey"),
        ("main", mark(layout.main_length), "computed"),
        ("standing", mark(stretched), "computed"),
        ("stroke", words.length(stretched - layout.main_length), "less"),
        ("backup", mark(layout.backup_length), "computed"),
        ("longer", words.length(layout.backup_length - layout.main_length), "computed"),
        ("main-a", words.force(standing.tension_a), "read"),
        ("main-b", words.force(standing.tension_b), "read"),
    )
    return Table(
        title=words.say("sheet-lengths"),
        columns=tuple(words.say(f"sheet-lengths-{head}") for head in ("what", "value", "note")),
        rows=tuple(
            (words.say(f"sheet-lengths-{what}"), value, words.say(f"sheet-lengths-{why}")) for what, value, why in rows
        ),
    )


def _depth(depth: float, excess: float, measures: Words, unit: str | None = None) -> str:
    return measures.length(depth, unit=unit) if excess >= 0.0 else Loud(measures.say("frame-tight"))


def marks(study: Study, measures: Words) -> Table:
    """Every tape's place on both slack lines, and what it holds."""
    layout = study.planned.layout
    rows = [
        (
            str(tape.number),
            measures.named("tapes-family", tape.family) if tape.kind == "tape" else measures.say("sheet-marks-tie"),
            measures.say(f"frame-holds-{tape.holds.value}"),
            measures.mark(float(layout.tape_main[k])),
            measures.mark(float(layout.tape_backup[k])),
            measures.mark(float(layout.bays_backup[k])),
        )
        for k, tape in enumerate(layout.tapes)
    ]
    rows.append(
        (
            "B",
            measures.say("sheet-marks-lock"),
            "-",
            measures.mark(layout.main_length),
            measures.mark(layout.backup_length),
            measures.mark(float(layout.bays_backup[-1])),
        )
    )
    unit = measures.long_unit
    return Table(
        title=measures.say("sheet-marks"),
        columns=tuple(
            measures.say(f"sheet-marks-{head}", unit=unit)
            for head in ("number", "tape", "holds", "main", "backup", "bay")
        ),
        rows=tuple(rows),
    )


def acceptance(study: Study, measures: Words) -> Table:
    """Loop depths to see before anyone steps on, at five stations, with blanks for what was seen."""
    edges, seen, taped = main_stations(study), study.to_see.bays, study.standing.bays
    ends = [held.empty.bays for level in ("low", "high") if (held := study.let_go_with(level)) is not None]
    unit = measures.unit(1.2 * seen.loop_depth, "length")
    rows = []
    for bay in spread_over(len(seen.loop_depth), 5):
        depth, excess = float(seen.loop_depth[bay]), float(seen.excess[bay])
        band: str = Loud(measures.say("sheet-accept-stop"))
        limits = depth_of_bay(bay + 1, seen.loop_depth, seen.excess)
        if limits is not None:
            band = measures.range(*limits, "length", unit=unit)
        middle = 0.5 * float(edges[bay] + edges[bay + 1])
        cells = [_depth(depth, excess, measures, unit), band]
        if ends:
            depths = [depth, *(float(end.loop_depth[bay]) for end in ends)]
            before = _depth(float(taped.loop_depth[bay]), float(taped.excess[bay]), measures, unit)
            cells += [before, measures.range(min(depths), max(depths), "length", unit=unit)]
        rows.append((measures.say("frame-bay", number=bay + 1), measures.place(middle), *cells, "", ""))
    more = ("taped", "hold") if ends else ()
    state = Term("frame-state-friction-limited" if ends else "frame-state-as-taped")
    return Table(
        title=measures.say("sheet-accept", tolerance=Quantity(TOLERANCE, "ratio")),
        columns=tuple(
            measures.say(f"sheet-accept-{head}", state=state)
            for head in ("where", "middle", "depth", "between", *more, "seen", "by")
        ),
        rows=tuple(rows),
    )


def inputs(study: Study, words: Words) -> Table:
    """Every input with how it is known, the least known first."""
    notes = sorted(study.inputs.notes, key=lambda note: DOUBT.index(note.known))
    rows = tuple((words.verbatim(note.key), input_text(note, words), _known(note.known, words)) for note in notes)
    return Table(
        title=words.say("sheet-inputs"),
        columns=tuple(words.say(f"sheet-inputs-{head}") for head in ("key", "value", "known")), rows=rows,
    )

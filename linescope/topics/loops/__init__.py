"""Loops of the backup: excess and depth of every bay, state by state, and what to see before anyone steps on."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from linescope.events.excess import ExcessState, state_of
from linescope.figures import Figure, Group, Record
from linescope.notes import Bays, Kind, Note, Severity, Term, Value
from linescope.statics import Solution
from linescope.study import LEVELS, Study
from linescope.topics.topic import Picture, Topic

BAY = ("bay",)


class LoopsBasis(Kind):
    """What the figures are."""

    CELLS = "loops-basis-cells"


def _seen(state: ExcessState, study: Study) -> Any:
    """Depth of each loop; below zero where the bay has no slack."""
    return np.where(state.excess < 0.0, -1.0, state.loop_depth)


EXCESS: tuple[Figure, ...] = (
    Figure(key="bay", dimension="length", axes=BAY, meaning="Main in the bay as stretched in this state."),
    Figure(key="loop_length", dimension="length", axes=BAY, meaning="Backup in the bay, unstretched."),
    Figure(
        key="seen", dimension="length", axes=BAY, brief=True, data=False, signed="loops-no-slack", get=_seen,
        meaning="loop_depth where there is slack.",
    ),
    Figure(key="excess", dimension="ratio", axes=BAY, brief=True, meaning="loop_length / bay - 1."),
    Figure(
        key="by_formula", dimension="ratio", axes=BAY,
        meaning="(1 + slack excess) / (1 + strain) - 1, to compare.",
    ),
    Figure(key="loop_depth", dimension="length", axes=BAY, meaning="Depth of the loop."),
    Figure(key="main_tension", dimension="force", axes=BAY, meaning="Mean of the bay's ends."),
    Figure(key="backup_tension", dimension="force", axes=BAY, meaning="Mean of the bay's ends."),
    Figure(key="backup_share", dimension="ratio", axes=BAY, meaning="Backup tension over the sum of both."),
    Figure(
        key="tight", meaning="Bays (from 1) with negative excess.", get=lambda state, study: Bays(state.tight),
    ),
)

GLANCE: tuple[Figure, ...] = (
    *(figure for figure in EXCESS if figure.key in ("excess", "seen", "tight")),
    Figure(key="main_tension", dimension="force", axes=BAY, brief=True, meaning="Of the main, bay by bay."),
)


def _named(study: Study) -> Sequence[tuple[str, ExcessState]]:
    """States that people are shown: those without slip, and where lines slide what becomes of them."""
    found = [(f"loops-state-{state.name}", state) for state in study.excess.states]
    held = study.let_go_with("value")
    if held is not None and held.gone_empty:
        found.append(("loops-state-standing-held", _of(study, held.empty)))
    if study.slides:
        found.append(("loops-state-settled", _of(study, study.settled)))
    return found


def _of(study: Study, state: Solution) -> ExcessState:
    return state_of("standing" if state.rig.walker is None else "walker", study.rig, study.planned.layout, state.bays)


def _shown(study: Study) -> Sequence[Record]:
    return tuple(
        Record(result=state, id=(name,), labels=(("loops-state", Term(name)),)) for name, state in _named(study)
    )


def _states(study: Study) -> Sequence[Record]:
    return tuple(Record(result=state, name=state.name) for state in study.excess.states)


def _whole(study: Study) -> Sequence[Record]:
    return (Record(result=study.excess),)


def _all(study: Study) -> Sequence[Record]:
    """Every state there is, for programs; the name tells which."""
    found: list[tuple[str, ExcessState]] = [(state.name, state) for state in study.excess.states]
    found += [("as taped", _of(study, study.taped)), ("settled", _of(study, study.settled))]
    for level in LEVELS:
        held = study.let_go_with(level)
        if held is not None:
            name = "hold as given" if level == "value" else f"{level} hold"
            found.append((f"standing, {name}", _of(study, held.empty)))
            if held.walker is not None:
                found.append((f"walker, {name}", _of(study, held.walker)))
    return tuple(Record(result=(name, state), name=name) for name, state in found)


def edges(study: Study) -> Any:
    """(n + 1,) edges of the bays on the standing main, from anchor A.  [m]"""
    return np.concatenate(([0.0], np.cumsum(study.standing.bays.length)))


def _column(figure: Figure) -> Figure:
    return Figure(
        key=figure.key, dimension=figure.dimension, axes=figure.axes, meaning=figure.meaning,
        get=lambda named, study: figure.value(named[1], study),
    )


TABLE: tuple[Figure, ...] = (
    Figure(key="state", meaning="Which state.", get=lambda named, study: named[0]),
    Figure(
        key="start", dimension="length", axes=BAY, meaning="Where the bay begins on the standing main, from A.",
        get=lambda named, study: edges(study)[:-1],
    ),
    Figure(
        key="end", dimension="length", axes=BAY, meaning="Where it ends.", get=lambda named, study: edges(study)[1:],
    ),
    *(_column(figure) for figure in EXCESS if figure.data and figure.axes),
)


def _values(study: Study) -> Mapping[str, Value]:
    return {}


def _notes(study: Study) -> tuple[Note, ...]:
    return (*study.excess.notes, Note(kind=LoopsBasis.CELLS, severity=Severity.BASIS))


GLANCES = Group(name="loops", path="", figures=GLANCE, records=_shown)
BAYS = Group(name="loops", path="", figures=EXCESS, records=_shown, along="bay", head="loops-bays")
TOPIC = Topic(
    name="loops",
    groups=(
        Group(name="loops", path="excess.<state>", figures=EXCESS, records=_states, along="bay"),
        Group(
            name="loops", path="excess", records=_whole,
            figures=(Figure(key="notes", dimension="notes", meaning="What must be said beside these figures."),),
        ),
    ),
    here=GLANCES,
    along=GLANCES,
    csv={"loops": Group(name="loops", path="", figures=TABLE, records=_all, along="bay")},
    values=_values,
    notes=_notes,
    bays=BAYS,
    pictures=(
        Picture(
            name="loops-from-a", module="linescope.topics.loops.picture", needs=("standing",), after="tension",
            section=10,
        ),
    ),
)

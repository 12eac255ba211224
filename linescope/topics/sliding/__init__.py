"""Sliding: what lets go by itself, where slope alone starts a slider, and what a crossing does."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from linescope.events.friction import downhill_notes
from linescope.events.let_go import let_go_notes
from linescope.figures import Figure, Group, Record
from linescope.notes import Bays, Kind, Missing, Note, Severity, Term, Value
from linescope.study import LEVELS, Study
from linescope.topics.topic import Picture, Topic

TAPE, BAY, STEP = ("tape",), ("bay",), ("step",)


class SlidingBasis(Kind):
    """What the figures are."""

    CROSSING = "sliding-basis-crossing"


def _slip(state: Any) -> Any:
    """Most that has slid through a tape.  [m]"""
    return float("nan") if state is None else float(np.max(np.abs(state.tape_slip), initial=0.0))


DOWNHILL: tuple[Figure, ...] = (
    Figure(
        key="slope", dimension="angle", axes=TAPE, meaning="Of the main at every tape, positive uphill towards B.",
    ),
    Figure(
        key="threshold", dimension="angle", axes=TAPE,
        meaning="Slope at which drag and friction are used up; null where nothing slides.",
    ),
    Figure(
        key="zones",
        meaning="Tapes (first, last), start, end [m from A] and steepest slope [rad] of every downhill zone.",
        get=lambda found, study: [
            {"first": z.first, "last": z.last, "start": z.start, "end": z.end, "steepest": z.steepest}
            for z in found.zones
        ],
    ),
)

LET_GO: tuple[Figure, ...] = (
    Figure(
        key="gone_empty", brief=True, meaning="Tapes (numbers) that let go before anyone steps on.",
        get=lambda held, study: Bays(held.gone_empty),
    ),
    Figure(
        key="slip_empty", dimension="length", axes=TAPE, meaning="What slid through every tape then, from as taped.",
        get=lambda held, study: held.empty.tape_slip,
    ),
    Figure(
        key="most_empty", dimension="length", bound="up", brief=True, data=False, meaning="Most of that.",
        get=lambda held, study: _slip(held.empty),
    ),
    Figure(
        key="loop_depth_empty", dimension="length", axes=BAY, meaning="Loop depths then.",
        get=lambda held, study: held.empty.bays.loop_depth,
    ),
    Figure(
        key="loops_empty", dimension="length", axes=BAY, brief=True, data=False, meaning="Least to most of them.",
        get=lambda held, study: held.empty.bays.loop_depth,
    ),
    Figure(
        key="gone_walker", brief=True, meaning="The same with the walker then put where he stands; null without one.",
        get=lambda held, study: None if held.walker is None else Bays(held.gone_walker),
    ),
    Figure(
        key="slip_walker", dimension="length", axes=TAPE, meaning="Likewise; null without a walker.",
        get=lambda held, study: None if held.walker is None else held.walker.tape_slip,
    ),
    Figure(
        key="most_walker", dimension="length", bound="up", brief=True, data=False, meaning="Most of that.",
        get=lambda held, study: None if held.walker is None else _slip(held.walker),
    ),
    Figure(
        key="loop_depth_walker", dimension="length", axes=BAY, meaning="Likewise.",
        get=lambda held, study: None if held.walker is None else held.walker.bays.loop_depth,
    ),
    Figure(
        key="loops_walker", dimension="length", axes=BAY, brief=True, data=False, meaning="Least to most of them.",
        get=lambda held, study: None if held.walker is None else held.walker.bays.loop_depth,
    ),
)

CROSSING: tuple[Figure, ...] = (
    Figure(key="level", meaning="Which end of the hold bands."),
    Figure(key="per_bay", meaning="Steps in each bay."),
    Figure(
        key="total_slip", dimension="length", axes=TAPE, meaning="Stretched length through each tape, both ways added.",
    ),
    Figure(
        key="slip_mean", dimension="length", brief=True, data=False, meaning="Mean of that.",
        get=lambda crossing, study: float(crossing.total_slip.mean()),
    ),
    Figure(
        key="slip_most", dimension="length", bound="up", brief=True, data=False, meaning="Most of that.",
        get=lambda crossing, study: float(crossing.total_slip.max()),
    ),
    Figure(
        key="end_most", dimension="length", bound="up", brief=True, data=False, meaning="Most of slip_after.",
        get=lambda crossing, study: _slip(crossing.after),
    ),
    Figure(key="total_work", dimension="energy", axes=TAPE, meaning="Friction work at each tape."),
    Figure(
        key="work", dimension="energy", brief=True, data=False, meaning="Sum of that.",
        get=lambda crossing, study: float(crossing.total_work.sum()),
    ),
    Figure(
        key="walker", dimension="length", axes=STEP, meaning="Material coordinate of the walker at every step.",
    ),
    Figure(
        key="walker_point", dimension="length", axes=("step", "xyz"), meaning="The walker's feet at every step.",
    ),
    Figure(key="tension_a", dimension="force", axes=STEP, meaning="Main tension at A at every step."),
    Figure(key="tension_b", dimension="force", axes=STEP, meaning="Main tension at B at every step."),
    Figure(
        key="deepest", dimension="length", axes=BAY, meaning="Deepest each loop was.",
        get=lambda crossing, study: crossing.loop_depth.max(axis=0),
    ),
    Figure(
        key="shallowest", dimension="length", axes=BAY, meaning="Shallowest each loop was.",
        get=lambda crossing, study: crossing.loop_depth.min(axis=0),
    ),
    Figure(
        key="loop_depth_after", dimension="length", axes=BAY, meaning="Loop depths of the empty rig afterwards.",
        get=lambda crossing, study: crossing.after.bays.loop_depth,
    ),
    Figure(
        key="loops_after", dimension="length", axes=BAY, brief=True, data=False, meaning="Least to most of them.",
        get=lambda crossing, study: crossing.after.bays.loop_depth,
    ),
    Figure(
        key="slip_after", dimension="length", axes=TAPE, meaning="Where each sliding line ended, from as taped.",
        get=lambda crossing, study: crossing.after.tape_slip,
    ),
)


def _label(level: str) -> tuple[tuple[str, Value], ...]:
    return (("sliding-hold", Term(f"sliding-hold-{level}")),)


def _levels(study: Study) -> Sequence[Record]:
    found = ((level, study.let_go_with(level)) for level in LEVELS)
    return tuple(
        Record(result=held, name=level, id=(level,), labels=_label(level)) for level, held in found if held is not None
    )


def _crossings(study: Study) -> Sequence[Record]:
    found = ((level, study.crossing(level)) for level in (LEVELS if study.slides else ()))
    return tuple(
        Record(result=crossing, name=level, id=(level,), labels=_label(level)) for level, crossing in found if crossing
    )


def _downhill(study: Study) -> Sequence[Record]:
    return (Record(result=study.downhill),)


def _values(study: Study) -> Mapping[str, Value]:
    return {}


def _notes(study: Study) -> tuple[Note, ...]:
    found = study.let_go
    if isinstance(found, Missing):
        return ()
    said = [*let_go_notes(found, standing=study.standing, taped=study.taped), *downhill_notes(study.downhill)]
    if _crossings(study):
        said.append(Note(kind=SlidingBasis.CROSSING, severity=Severity.BASIS))
    return tuple(said)


HERE = Group(name="sliding", path="let_go.<level>", figures=LET_GO, records=_levels)
CROSSINGS = Group(name="sliding-crossing", path="crossing.<level>", figures=CROSSING, records=_crossings)
TOPIC = Topic(
    name="sliding",
    groups=(Group(name="sliding", path="downhill", figures=DOWNHILL, records=_downhill), HERE, CROSSINGS),
    here=HERE,
    along=HERE,
    more=(CROSSINGS,),
    csv={},
    values=_values,
    notes=_notes,
    pictures=(
        Picture(
            name="friction", module="linescope.topics.sliding.picture", needs=("let_go",), after="main-gone",
            section=7,
        ),
    ),
)

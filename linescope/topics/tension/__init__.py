"""Tension: what a meter at the anchors should read, and how deep the walker stands along the line."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from linescope.events.meter import TensionStrip
from linescope.figures import Figure, Group, Record
from linescope.notes import Kind, Note, Quantity, Severity, Spot, Value
from linescope.rig import Rig
from linescope.statics import Solution
from linescope.study import Study
from linescope.topics.state import most
from linescope.topics.topic import Picture, Topic

SHOWN = (0.05, 0.1, 0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.7, 0.75, 0.8, 0.9, 0.95)
"""Places of the walker in a table, as shares of the span."""


class TensionBasis(Kind):
    """How to read the meter."""

    RANGE = "tension-basis-range"
    WHERE = "tension-basis-where"


@dataclass(frozen=True, kw_only=True)
class StripRow:
    """One loading of a strip of readings."""

    strip: TensionStrip
    row: int

    def ends(self, end: int) -> Any:
        """Low and high at A (0) or B (1).  [N]"""
        return np.array([self.strip.low[self.row, end], self.strip.high[self.row, end]])


METER: tuple[Figure, ...] = tuple(
    figure
    for end, letter in enumerate("ab")
    for figure in (
        Figure(
            key=f"value_{letter}", dimension="force", brief=True, meaning=f"Main tension at {letter.upper()}.",
            get=lambda one, study, end=end: float(one.strip.value[one.row, end]),  # type: ignore[misc]
        ),
        Figure(
            key=f"range_{letter}", dimension="force", axes=("range",), over="band", brief=True,
            meaning="Nine in ten draws of all inputs that have a band lie between: low, high.",
            get=lambda one, study, end=end: one.ends(end),  # type: ignore[misc]
        ),
    )
)


def bay_at_walker(solution: Solution) -> int:
    """The bay the walker stands in, counted from 0 at A.

    Raises
    ------
    ValueError
        When nobody is on the line.
    """
    if solution.walker_point is None:
        raise ValueError("nobody is on the line")
    rig = solution.rig
    along = (rig.main_b - rig.main_a) / rig.span
    reach = (solution.tape_points - rig.main_a) @ along
    return int(np.searchsorted(reach, float((solution.walker_point - rig.main_a) @ along)))


def _walker(of: Any) -> Any:
    """A figure that only a state with a walker has."""
    return lambda state, study: None if state.walker_point is None else of(state)


def _under(state: Solution) -> float:
    """Depth of the loop under the walker, below zero where his bay has no slack.  [m]"""
    bay = bay_at_walker(state)
    return -1.0 if state.bays.excess[bay] < 0.0 else float(state.bays.loop_depth[bay])


WALKED: tuple[Figure, ...] = (
    Figure(key="tension_a", dimension="force", brief=True, meaning="Main tension at A."),
    Figure(key="tension_b", dimension="force", brief=True, meaning="Main tension at B."),
    Figure(
        key="backup_most", dimension="force", brief=True, meaning="Largest backup tension anywhere.",
        get=lambda state, study: most(state.backup),
    ),
    Figure(
        key="feet_depth", dimension="length", brief=True, meaning="The walker's feet below the chord.",
        get=_walker(lambda state: float(state.rig.below_anchors(state.walker_point))),
    ),
    Figure(
        key="feet_height", dimension="length", bound="down", brief=True, data=False, signed="ground-into",
        meaning="His feet above the ground straight below.",
        get=lambda state, study: None
        if state.walker_point is None else float(study.above_ground(state.walker_point[None])[0]),
    ),
    Figure(
        key="loop", dimension="length", brief=True, data=False, signed="loops-no-slack",
        meaning="Depth of the loop under him.", get=_walker(_under),
    ),
    Figure(
        key="loop_excess", dimension="ratio", brief=True, data=False, meaning="Excess of the loop under him.",
        get=_walker(lambda state: float(state.bays.excess[bay_at_walker(state)])),
    ),
)

TABLE: tuple[Figure, ...] = (
    Figure(key="state", meaning="as taped or settled."),
    Figure(
        key="walker_at", dimension="length", meaning="The walker's place along the straight line, from A.",
        get=lambda state, study: None if state.rig.walker is None else state.rig.walker.at,
    ),
    *WALKED[:2],
    Figure(
        key="backup_tension_a", dimension="force", meaning="Backup tension at A.",
        get=lambda state, study: float(state.backup.tension_start[0]),
    ),
    Figure(
        key="backup_tension_b", dimension="force", meaning="Backup tension at B.",
        get=lambda state, study: float(state.backup.tension_end[-1]),
    ),
    Figure(
        key="least_excess", dimension="ratio", meaning="Least excess of any bay.",
        get=lambda state, study: float(state.bays.excess.min()),
    ),
    WALKED[3],
    Figure(key="walker_point", dimension="length", axes=("xyz",), meaning="The walker's feet."),
    Figure(
        key="relative_residual", dimension="ratio", meaning="Largest force out of balance over the weight.",
        get=lambda state, study: state.proof.relative_residual,
    ),
)


class WalkerAt(Kind):
    """Where the walker is."""

    EMPTY = "tension-empty"
    WALKER = "tension-walker"


def loading(rig: Rig) -> Note:
    """Where the walker is, in a few words."""
    if rig.walker is None:
        return Note(kind=WalkerAt.EMPTY, severity=Severity.BASIS)
    return Note(kind=WalkerAt.WALKER, severity=Severity.BASIS, values={"at": Spot(rig.walker.at)})


def _readings(study: Study) -> Sequence[Record]:
    strip = study.meter
    if not strip:
        return ()
    return tuple(
        Record(result=StripRow(strip=strip, row=row), id=(str(row),), labels=(("tension-loading", loading(state.rig)),))
        for row, state in enumerate(strip.states)
    )


def _walked(study: Study) -> Sequence[Record]:
    span = study.rig.span
    found = []
    for state in study.walked or ():
        walker = state.rig.walker
        if walker is not None and np.isclose(walker.at / span, SHOWN, rtol=1e-6, atol=0.0).any():
            share = Quantity(walker.at / span, "ratio")
            labels: tuple[tuple[str, Value], ...]
            labels = (("tension-walked-share", share), ("tension-walked-at", Spot(walker.at)))
            found.append(Record(result=state, id=(str(walker.at),), labels=labels))
    return tuple(found)


def _table(study: Study) -> Sequence[Record]:
    return tuple(Record(result=state) for state in (study.standing, *study.walked, study.settled))


def _values(study: Study) -> Mapping[str, Value]:
    return {}


def _notes(study: Study) -> tuple[Note, ...]:
    strip = study.meter
    if not strip:
        return ()
    basis = (Note(kind=kind, severity=Severity.BASIS) for kind in TensionBasis)
    return (*strip.notes, *basis)


HERE = Group(name="tension", path="", figures=METER, records=_readings)
ALONG = Group(name="tension-walked", path="", figures=WALKED, records=_walked)
TOPIC = Topic(
    name="tension",
    groups=(),
    here=HERE,
    along=HERE,
    more=(ALONG,),
    csv={"tensions": Group(name="tension", path="", figures=TABLE, records=_table)},
    values=_values,
    notes=_notes,
    pictures=(
        Picture(
            name="tension", module="linescope.topics.tension.picture", needs=("meter",), after="elevation", section=6,
        ),
    ),
)

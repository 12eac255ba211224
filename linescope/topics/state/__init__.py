"""The rig, its layout, and the states in which it rests: standing, with the walker, with what lets go, settled."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from linescope.figures import Figure, Group, Record
from linescope.notes import Note, Quantity, Term, Value, Verbatim
from linescope.statics import Solution
from linescope.study import Study
from linescope.topics.state.inputs import INPUT
from linescope.topics.state.notes import notes
from linescope.topics.topic import Picture, Topic

TAPE, BAY, XYZ = ("tape",), ("bay",), ("xyz",)
POINTS = 8  # Of each piece of the main, to find its lowest.

RIG: tuple[Figure, ...] = (
    Figure(key="name", meaning="Title of the scene."),
    Figure(key="span", dimension="length", meaning="Straight distance between the main's anchors."),
    Figure(key="slope", dimension="number", meaning="Rise over horizontal run from A to B."),
    Figure(key="main_a", dimension="length", axes=XYZ, meaning="Main anchor A: x, y, z."),
    Figure(key="main_b", dimension="length", axes=XYZ, meaning="Main anchor B."),
    Figure(key="backup_a", dimension="length", axes=XYZ, meaning="Backup anchor at A."),
    Figure(key="backup_b", dimension="length", axes=XYZ, meaning="Backup anchor at B."),
    Figure(
        key="origin", dimension="length", axes=XYZ,
        meaning="Add it to every point to have the scene's own frame (a national grid); else zero.",
    ),
)

LAYOUT: tuple[Figure, ...] = (
    Figure(key="main_length", dimension="length", meaning="Unstretched main, anchor to anchor."),
    Figure(key="backup_length", dimension="length", meaning="Unstretched backup, anchor to anchor."),
    Figure(
        key="marking_strain", dimension="ratio",
        meaning="Strain of the main in the state that spacing and excess were stated for.",
    ),
    Figure(
        key="tape_main", dimension="length", axes=TAPE,
        meaning="Material coordinate of every tape on the main, as taped.",
    ),
    Figure(key="tape_backup", dimension="length", axes=TAPE, meaning="The same on the backup."),
    Figure(
        key="tapes", meaning="Number, kind, family, line held and zone of every tape.",
        get=lambda layout, study: [
            {"number": t.number, "kind": t.kind, "family": t.family, "holds": t.holds.value, "zone": t.zone + 1}
            for t in layout.tapes
        ],
    ),
)


def most(line: Any) -> float:
    """Largest tension anywhere on a line.  [N]"""
    return float(max(line.tension_start.max(), line.tension_end.max()))


def sag(state: Solution) -> float:
    """How far the main hangs below the straight line between its anchors, where it does most.  [m]"""
    return float(np.max(state.rig.below_anchors(state.main.sample(POINTS).points)))


def _bays(key: str, name: str, dimension: str, meaning: str, **more: Any) -> Figure:
    return Figure(
        key=key, dimension=dimension, axes=BAY, meaning=meaning,
        get=lambda state, study: getattr(state.bays, name), **more,
    )


def _proof(key: str, dimension: str, meaning: str) -> Figure:
    return Figure(key=key, dimension=dimension, meaning=meaning, get=lambda state, study: getattr(state.proof, key))


STATE: tuple[Figure, ...] = (
    Figure(key="state", meaning="as taped, settled or friction-limited."),
    Figure(key="tension_a", dimension="force", brief=True, meaning="Main tension at anchor A."),
    Figure(key="tension_b", dimension="force", brief=True, meaning="Main tension at anchor B."),
    Figure(
        key="main_tension_most", dimension="force", meaning="Largest main tension anywhere.",
        get=lambda state, study: most(state.main),
    ),
    Figure(
        key="backup_tension_most", dimension="force", brief=True, meaning="Largest backup tension anywhere.",
        get=lambda state, study: most(state.backup),
    ),
    Figure(
        key="sag", dimension="length", brief=True, data=False, meaning="Main below the chord where it hangs lowest.",
        get=lambda state, study: sag(state),
    ),
    Figure(
        key="loops", dimension="length", axes=BAY, brief=True, data=False, signed="loops-no-slack",
        meaning="Loop depths, least to most.",
        get=lambda state, study: np.where(state.bays.excess < 0.0, -1.0, state.bays.loop_depth),
    ),
    _bays("excesses", "excess", "ratio", "Excess, least to most.", brief=True, data=False),
    Figure(key="walker_point", dimension="length", axes=XYZ, meaning="The walker's feet; null without one."),
    Figure(key="tape_points", dimension="length", axes=("tape", "xyz"), meaning="Where main and backup meet."),
    Figure(
        key="tape_main", dimension="length", axes=TAPE,
        meaning="Material coordinate of the tapes on the main, in this state.",
    ),
    Figure(key="tape_backup", dimension="length", axes=TAPE, meaning="The same on the backup."),
    Figure(
        key="tape_slip", dimension="length", axes=TAPE,
        meaning="Slid since taped, unstretched, positive towards B.",
    ),
    _bays("bay_length", "length", "length", "Main in each bay, stretched."),
    _bays("bay_main", "main_length", "length", "Main in each bay, unstretched."),
    _bays("loop_length", "loop_length", "length", "Backup in each bay, unstretched."),
    _bays("excess", "excess", "ratio", "loop_length / bay_length - 1; below zero the backup carries load."),
    _bays(
        "loop_depth", "loop_depth", "length",
        "Largest distance from the tape-to-tape chord to the loop, along the load direction.",
    ),
    _bays("loop_drop", "loop_drop", "length", "Largest vertical distance from main to backup."),
    _bays("bay_main_tension", "main_tension", "force", "Main tension, mean of the bay's two ends."),
    _bays("bay_backup_tension", "backup_tension", "force", "Backup tension, likewise."),
    _bays("backup_share", "backup_share", "ratio", "Backup tension over the sum of both."),
    _proof("residual", "force", "Largest force out of balance."),
    _proof("relative_residual", "ratio", "The same over the weight of all that hangs."),
    _proof("closure", "length", "Largest gap between a piece's end and its node."),
    _proof("iterations", "", "Newton steps."),
    _proof("stable", "", "Whether a small push returns to this state."),
    _proof("other_equilibria", "", "Other stable settled states found (not exhaustive); null when not looked for."),
    Figure(key="notes", dimension="notes", meaning="What must be said beside this state."),
)


def _states(study: Study) -> Sequence[Record]:
    """As computed, for programs."""
    named = (("standing", study.standing), ("as taped", study.taped), ("settled", study.settled))
    return tuple(Record(result=state, name=name) for name, state in named)


def _seen(study: Study) -> Sequence[Record]:
    """As people tell them apart: those with the hold as given only where some tape lets go."""
    held, walker = study.let_go_with("value"), study.rig.walker is not None
    shown = [("state-standing", study.standing)]
    if held is not None and held.gone_empty:
        shown.append(("state-standing-held", held.empty))
    if walker:
        shown.append(("state-walker", study.taped))
    if held is not None and held.walker is not None and held.gone_walker:
        shown.append(("state-walker-held", held.walker))
    if study.slides:
        shown.append(("state-walker-settled" if walker else "state-empty-settled", study.settled))
    return tuple(
        Record(result=state, id=(name,), labels=(("state-line", Term(name)),)) for name, state in shown
    )


def _values(study: Study) -> Mapping[str, Value]:
    """What the line under the title of a report names."""
    rig, plan = study.rig, study.rig.main_plan
    way = "level" if abs(rig.slope) < 5e-4 else "rising" if rig.slope > 0.0 else "falling"
    return {
        "span": Quantity(rig.span, "length"),
        "way": way,
        "share": Quantity(abs(rig.slope), "ratio"),
        "given": "tension" if plan.tension is not None else "length",
        "amount": Quantity(plan.length or 0.0, "length")
        if plan.tension is None else Quantity(plan.tension, "force"),
        "end": plan.end,
        "tapes": len(study.planned.layout.tapes),
        "measured_on": Term(f"state-measured-{rig.taping.measured_on}"),
        "name": Verbatim(rig.name),
    }


def _notes(study: Study) -> tuple[Note, ...]:
    return notes(study)


def _one(name: str, figures: tuple[Figure, ...], get: Any, path: str = "") -> Group:
    return Group(
        name=f"state-{name}", path=path or name, figures=figures,
        records=lambda study: tuple(Record(result=each) for each in get(study)),
    )


HERE = Group(name="state", path="", figures=STATE, records=_seen)
STATES = Group(name="state", path="states.<name>", figures=STATE, records=_states)
TOPIC = Topic(
    name="state",
    groups=(
        _one("rig", RIG, lambda study: (study.rig,)),
        _one("inputs", INPUT, lambda study: study.inputs.notes, "inputs[]"),
        _one("layout", LAYOUT, lambda study: (study.planned.layout,)),
        STATES,
    ),
    here=HERE,
    along=HERE,
    csv={},
    values=_values,
    notes=_notes,
    pictures=(
        Picture(
            name="overview", module="linescope.topics.state.picture_overview", after="", section=4, per_state=True,
        ),
        Picture(
            name="elevation", module="linescope.topics.state.picture_elevation", after="overview", section=4,
            per_state=True,
        ),
        Picture(
            name="closeup", module="linescope.topics.state.picture_closeup", after="loops-from-a", section=10,
            per_state=True,
        ),
    ),
)

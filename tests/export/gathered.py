"""Studies of the invented rigs, made once for the tests of sheet, page, tables and films."""

from __future__ import annotations

import functools
from dataclasses import replace

import numpy as np

from linescope.clearance import Cause, Clearance, Finding, NoFallZone, RunReach
from linescope.clearance.notes import ClearanceNote
from linescope.clearance.why import CauseKind, Why
from linescope.contact import Wear, find_wear
from linescope.notes import Note, Quantity, Severity
from linescope.rig import Given, InputNote, Inputs, Rig, Wind
from linescope.study import Study
from tests.stage import rigs


def windy() -> Rig:
    """The rising line of three styles, in wind."""
    return replace(rigs.incline(), wind=Wind(speed=6.0, towards=(0.5, -np.sqrt(0.75))))


SWEEPS = {"fall_sweep", "running", "main_gone_sweep"}
MAKERS = {**rigs.MAKERS, "windy": windy}
_SPEED = InputNote(key="wind.speed", value=Quantity(6.0, "speed", digits=1), unit="m/s", known="guess")
INPUTS = {**rigs.INPUTS, "windy": Inputs(notes=(_SPEED,))}


@functools.cache
def study(name: str) -> Study:
    """States, falls, loss of the main and wind of a rig, with sweeps at twelve places; nothing that takes longer."""
    given = Given(rig=MAKERS[name](), inputs=INPUTS.get(name, Inputs()))
    return Study(given, places=12, leave=Study.SLOW - SWEEPS | {"bands", "touch"})


@functools.cache
def wear(name: str) -> Wear:
    """Rub with the hold's value, in few steps."""
    return find_wear(MAKERS[name](), levels=("value",), per_bay=3)


def clearance() -> Clearance:
    """Invented findings: one short of what is needed, one not."""

    def finding(rank: int, kind: str, distance: float) -> Finding:
        return Finding(rank=rank, causes=(Cause(
            kind=kind, why=Why(kind=CauseKind.FALL), family="fall", distance=distance, vertical=distance + 0.2,
            required=3.0, needed=4.5, station=25.0, walker=24.5, point=np.array([25.0, 0.0, -9.7]),
            nearest=np.array([25.0, 0.5, -10.0]), vertical_station=25.0, vertical_walker=24.5,
        ),))  # fmt: skip

    return Clearance(
        findings=(finding(1, "body", 0.52), finding(2, "line", 7.1)),
        no_fall_zones=(NoFallZone(from_a=(15.2, 34.6), from_b=(57.1, 76.5), worst=-3.98, worst_at=24.5),),
        runs=(
            RunReach(
                from_a=(5.0, 36.0), from_b=(56.1, 87.1), worst=-4.6, worst_at=24.0, distance=-0.1,
                falls=((0.0, 70.0),), strikes=((0.0, 31.5),),
            ),
        ),
        holes=np.zeros((0, 2)),
        survey_error=0.5,
        margin=1.0,
        source="invented",
        notes=(Note(kind=ClearanceNote.STILL_ONLY, severity=Severity.LIMIT),),
    )

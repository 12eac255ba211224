"""What must be said beside figures of motion in time, as data."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.motion.expected import CHANCE, COURSES, Expected
from linescope.notes import Kind, Note, Quantity, Severity, Spot, Term, Value

Floats = NDArray[np.float64]

PEAKS = 0.3  # How far a peak force may be out.
MORE = 0.05  # What feet come lower than this counts [m].
SPIKE = 0.01  # What is shorter says nothing [s].
NEAR = 0.7  # Of a strength without terminations, which with knots take up to 30 % of it (from memory).
LATE = 3.0  # After a break nothing is known any more [s].


class MotionNote(Kind):
    """What is said of motion in time."""

    OVERLOAD = "motion-overload"
    NEAR = "motion-near"
    DEEPER = "motion-deeper"
    ALL_GO = "motion-all-go"
    TIGHT = "motion-tight"
    THROWN = "motion-thrown"
    TRUST = "motion-limit-trust"
    WITHOUT_GROUND = "motion-limit-ground"
    FAILED = "motion-limit-failed"
    RANGES = "motion-basis-ranges"


def trust() -> Note:
    """What figures of motion in time cannot be trusted for."""
    return Note(
        kind=MotionNote.TRUST, severity=Severity.LIMIT,
        values={"peaks": Quantity(PEAKS, "ratio"), "spike": Quantity(SPIKE, "time"), "late": Quantity(LATE, "time")},
    )


def without_ground() -> Note:
    """Of a rig with ground: which results of motion it stops nothing in."""
    return Note(kind=MotionNote.WITHOUT_GROUND, severity=Severity.LIMIT)


def deeper(at: Floats, expected: Floats, roof: Floats) -> tuple[Note, ...]:
    """Where feet come lower in time than by the energy balance of a ring that stays: there the run decides.

    Parameters
    ----------
    at : (n,) array
        Places.  [m]
    expected, roof : (n,) array
        Greatest depth of the lowest foot, in time and by the balance.  [m]
    """
    over = expected - roof
    where = np.flatnonzero(over > MORE)
    if not len(where):
        return ()
    values: dict[str, Value] = {
        "places": tuple(Spot(float(at[k])) for k in where), "by": Quantity(float(over[where].max()), "length", "up"),
    }
    return (Note(kind=MotionNote.DEEPER, severity=Severity.CHECK, values=values, weight=float(over[where].max())),)


def notes_of(found: Expected) -> tuple[Note, ...]:
    """Of a happening at stated places.

    Parameters
    ----------
    found : Expected
    """
    notes, event = [], "gone" if found.parts_at else "fall"
    for line, webbing, ends in (
        ("main", found.rig.main, (found.main_a, found.main_b)),
        ("backup", found.rig.backup, (found.backup_a, found.backup_b)),
    ):
        most = float(max(end.high.max() for end in ends))
        if most > min(NEAR * webbing.strength / webbing.terminations, webbing.strength):
            values: dict[str, Value] = {
                "event": event, "line": Term(f"motion-{line}"), "peak": Quantity(most, "force"),
                "strength": Quantity(webbing.strength, "force", "down"),
            }
            over = most > webbing.strength
            notes.append(Note(
                kind=MotionNote.OVERLOAD if over else MotionNote.NEAR,
                severity=Severity.DANGER if over else Severity.CHECK, values=values, weight=most / webbing.strength,
            ))
    tapes = len(found.happened[0].motion.tape_time)
    if tapes and np.any(found.tapes_gone.value >= tapes):
        notes.append(Note(
            kind=MotionNote.ALL_GO, severity=Severity.CHECK,
            values={
                "event": event, "strength": Quantity(found.inputs.tape_strength.value, "force"), "total": tapes,
            },
        ))
    tight = max(len(happened.outcome.tight) for happened in found.happened)
    if tight:
        most = float(max(happened.outcome.along_backup for happened in found.happened))
        notes.append(Note(
            kind=MotionNote.TIGHT, severity=Severity.LIMIT,
            values={"event": event, "count": tight, "peak": Quantity(most, "force")},
        ))
    thrown = [happened.outcome for happened in found.happened if happened.outcome.thrown]
    if thrown:
        notes.append(Note(kind=MotionNote.THROWN, severity=Severity.LIMIT, weight=0.5, values={
            "count": max(len(outcome.thrown) for outcome in thrown), "total": tapes + 1,
            "height": Quantity(max(outcome.thrown_height for outcome in thrown), "length"),
        }))
    if found.failed:
        notes.append(Note(kind=MotionNote.FAILED, severity=Severity.LIMIT, values={"count": found.failed}))
    notes.append(trust())
    bands = found.inputs
    ranges: dict[str, Value] = {}
    for name, dimension in (
        ("stiffness_factor", "number"), ("air", "number"), ("tape_strength", "force"), ("leash_modulus", "force"),
        ("ring_friction", "number"), ("leaving", "time"),
    ):
        band = getattr(bands, name)
        ranges[f"{name}_low"] = Quantity(band.low, dimension)
        ranges[f"{name}_high"] = Quantity(band.high, dimension)
    ranges["chance"] = Quantity(CHANCE["leash_force"][0], "ratio")
    ranges["feet"] = Quantity(CHANCE["foot_lowest"][1], "length")
    ranges["courses"] = Quantity(COURSES, "length")
    notes.append(Note(kind=MotionNote.RANGES, severity=Severity.BASIS, values=ranges))
    return tuple(notes)

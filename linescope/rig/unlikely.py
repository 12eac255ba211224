"""Inputs that can be computed with but are hardly what was meant: a comma or a digit lost, a unit mistaken."""

from __future__ import annotations

import numpy as np

from linescope.notes import Kind, Note, Quantity, Severity, Value, Verbatim
from linescope.rig.model import Rig
from linescope.webbing import StretchCurve, Webbing

USUAL: dict[str, tuple[float, float, str]] = {
    "walker.mass": (30.0, 150.0, "mass"),
    "walker.leash": (0.7, 4.0, "length"),
    "main.tension": (200.0, 20e3, "force"),
    "backup.excess": (-0.02, 0.3, "ratio"),
    "wind.speed": (0.0, 35.0, "speed"),
    "webbing.mass": (0.012, 0.15, "line mass"),
    "webbing.breaking_strength": (8e3, 120e3, "force"),
    "webbing.stretch": (0.005, 0.4, "ratio"),
}
"""From where to where an input is still believed: the trade's ranges, from memory, and about as much again.  [SI]"""

AT = 10e3
"""Tension at which stretch is compared.  [N]"""

TURN = 10.0
"""How many times softer or stiffer a stretch curve may become from one piece to the next.  [-]"""


class UnlikelyNote(Kind):
    """What is hardly meant so."""

    VALUE = "inputs-unlikely"
    STRETCH = "inputs-unlikely-stretch"
    SOFTER = "inputs-unlikely-softer"
    STIFFER = "inputs-unlikely-stiffer"


def unlikely(rig: Rig) -> tuple[Note, ...]:
    """A note for every input that is hardly meant so.

    Parameters
    ----------
    rig : Rig
    """
    found: list[Note] = []
    if rig.walker is not None:
        found += _outside("walker.mass", rig.walker.mass) + _outside("walker.leash", rig.walker.leash)
    if rig.main_plan.tension is not None:
        found += _outside("main.tension", rig.main_plan.tension)
    if rig.backup_plan.given_by == "excess":
        found += _outside("backup.excess", rig.backup_plan.value)
    if rig.wind is not None:
        found += _outside("wind.speed", rig.wind.speed)
    for name, line in (("main", rig.main), ("backup", rig.backup)):
        if name == "main" or line is not rig.main:
            found += _of_webbing(f"{name}.webbing", line)
    return tuple(found)


def _note(kind: UnlikelyNote, key: str, **values: Value) -> Note:
    return Note(kind=kind, severity=Severity.CHECK, values={"key": Verbatim(key), **values})


def _outside(key: str, value: float, name: str = "", **more: Value) -> list[Note]:
    low, high, dimension = USUAL[name or key]
    if low <= value <= high:
        return []
    ends = {"low": Quantity(low, dimension), "high": Quantity(high, dimension)}
    kind = UnlikelyNote.STRETCH if more else UnlikelyNote.VALUE
    return [_note(kind, key, value=Quantity(value, dimension), **ends, **more)]


def _of_webbing(at: str, line: Webbing) -> list[Note]:
    found = _outside(f"{at}.mass", line.mass, "webbing.mass")
    found += _outside(f"{at}.breaking_strength", line.breaking_strength, "webbing.breaking_strength")
    strain = float(line.stretch.strain_at(AT))
    found += _outside(f"{at}.stretch", strain, "webbing.stretch", force=Quantity(AT, "force"))
    return found + _turns(f"{at}.stretch", line.stretch)


def _turns(at: str, curve: StretchCurve) -> list[Note]:
    """Where the curve suddenly becomes much softer or stiffer."""
    softness = np.diff(curve.strain) / np.diff(curve.tension)
    for k, ratio in enumerate(softness[1:] / softness[:-1], 1):
        if not 1.0 / TURN <= ratio <= TURN:
            kind = UnlikelyNote.SOFTER if ratio > 1.0 else UnlikelyNote.STIFFER
            times = Quantity(float(ratio if ratio > 1.0 else 1.0 / ratio), "number")
            return [_note(kind, at, times=times, force=Quantity(float(curve.tension[k]), "force"))]
    return []

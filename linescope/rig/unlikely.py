"""Inputs that can be computed with but are hardly what was meant: a comma or a digit lost, a unit mistaken."""

from __future__ import annotations

import numpy as np

from linescope.rig.model import Rig
from linescope.units import format_si
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


def unlikely(rig: Rig) -> tuple[str, ...]:
    """One loud sentence that names every input hardly meant so; nothing when there is none.

    Parameters
    ----------
    rig : Rig

    Returns
    -------
    tuple of str
        None or one.
    """
    found = []
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
            found += _of_webbing(name, line)
    return (f"UNLIKELY INPUT, check it: {'; '.join(found)} (usual: from memory).",) if found else ()


def _outside(key: str, value: float, kind: str = "") -> list[str]:
    low, high, dimension = USUAL[kind or key]
    if low <= value <= high:
        return []
    usual = " to ".join(format_si(end, dimension) for end in (low, high))
    return [f"{key} = {format_si(value, dimension)}, usual {usual}"]


def _of_webbing(name: str, line: Webbing) -> list[str]:
    at = f"{name}.webbing"
    found = _outside(f"{at}.mass", line.mass, "webbing.mass")
    found += _outside(f"{at}.breaking_strength", line.breaking_strength, "webbing.breaking_strength")
    strain = line.stretch.strain_at(AT)
    low, high, _ = USUAL["webbing.stretch"]
    if not low <= strain <= high:
        usual = " to ".join(format_si(end, "ratio") for end in (low, high))
        found.append(f"{at}.stretch comes to {format_si(strain, 'ratio')} at {format_si(AT, 'force')}, usual {usual}")
    return found + _turns(f"{at}.stretch", line.stretch)


def _turns(at: str, curve: StretchCurve) -> list[str]:
    """Where the curve suddenly becomes much softer or stiffer."""
    softness = np.diff(curve.strain) / np.diff(curve.tension)
    for k, ratio in enumerate(softness[1:] / softness[:-1], 1):
        if not 1.0 / TURN <= ratio <= TURN:
            change = f"{ratio:.2g} times softer" if ratio > 1.0 else f"{1.0 / ratio:.2g} times stiffer"
            return [f"{at} turns {change} at {format_si(float(curve.tension[k]), 'force')}"]
    return []

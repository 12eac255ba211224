"""The words on a picture: which state, which inputs, what to beware of."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from linescope.rig import Rig
from linescope.rig.model import Known
from linescope.statics.solution import Solution
from linescope.units import System, format_si
from linescope.webbing import Webbing

CAUTIONS = (
    "Model result, not a permission. Measure tension and loop depth on the real line before anyone walks.",
    "Quasi-static: no damping, no twist, no creep of webbing; anchors rigid; tapes ideal.",
    "Tapes position the backup; they hold no fall. Ring on both lines, backup closed, nobody below.",
)

_MARKS: dict[Known, str] = {
    "measured": "measured",
    "sheet": "data sheet",
    "guess": "GUESS",
    "assumed": "ASSUMED",
    "stated": "",
}
_DOUBT: tuple[Known, ...] = ("assumed", "guess", "stated", "sheet", "measured")


@dataclass(frozen=True, kw_only=True)
class Measures:
    """How numbers are written for people: in metres or in feet, two significant figures."""

    system: System = "metric"

    def length(self, value: float) -> str:
        """A length of the model.  [m]"""
        return format_si(value, "length", system=self.system)

    def place(self, value: float) -> str:
        """A distance along the line, to three figures so that it can be found.  [m]"""
        text = format_si(value, "length", system=self.system, digits=3, unit=self.long_unit)
        number, unit = text.split(" ")
        return f"{number.rstrip('0').rstrip('.') if '.' in number else number} {unit}"

    def force(self, value: float) -> str:
        """[N]"""
        return format_si(value, "force", system=self.system)

    def mass(self, value: float) -> str:
        """[kg]"""
        return format_si(value, "mass", system=self.system)

    def share(self, value: float) -> str:
        """[-]"""
        return format_si(value, "ratio", system=self.system)

    def depth(self, value: float) -> str:
        """A loop depth without its unit, in `depth_unit`."""
        return format_si(value, "length", system=self.system, unit=self.depth_unit).split(" ")[0]

    def section(self, value: float) -> str:
        """A width or thickness of webbing.  [m]"""
        return format_si(value, "length", system=self.system, unit="mm" if self.system == "metric" else "in")

    @property
    def depth_unit(self) -> str:
        """The unit of loop depths."""
        return "cm" if self.system == "metric" else "in"

    @property
    def long_unit(self) -> str:
        """The unit of spans."""
        return "m" if self.system == "metric" else "ft"


def state_label(solution: Solution, measures: Measures) -> str:
    """Which state, and where the walker stands."""
    walker = solution.rig.walker
    where = f"walker at {measures.place(walker.at)}" if walker else "nobody on the line"
    return f"{solution.state}, {where}"


def tight_bays(solution: Solution) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """Numbers (from 0) of the bays without slack: their backup carries load before the main fails."""
    return np.flatnonzero(solution.bays.excess < 0.0)


def alarms(solution: Solution, measures: Measures) -> tuple[str, ...]:
    """What must be read first: bays without slack, and the notes of the solution, worst first."""
    tight = tight_bays(solution)
    said = []
    if len(tight) and not any("tight" in note.lower() for note in solution.notes):
        worst = int(np.argmax(solution.bays.backup_share))
        said.append(
            f"BACKUP TIGHT in {len(tight)} of {len(solution.bays.excess)} bays: it carries up to "
            f"{measures.share(float(solution.bays.backup_share[worst]))} of the tension with the main intact."
        )
    return (*said, *(note for note in solution.notes if note))


def known(rig: Rig, *keys: str) -> str:
    """ " (ASSUMED)" and the like: the most doubtful way an input under these keys is known; or ""."""
    found = [
        note.known
        for note in rig.inputs
        if any(note.key == key or note.key.startswith((f"{key}.", f"{key}[")) for key in keys)
    ]
    for doubt in _DOUBT:
        if doubt in found:
            return f" ({_MARKS[doubt]})" if _MARKS[doubt] else ""
    return ""


def _line(kind: Webbing, measures: Measures) -> str:
    size = f"{measures.section(kind.width)} {'rope' if kind.is_rope else 'wide'}"
    return f"{kind.name}, {size}, {format_si(kind.mass, 'line mass', system=measures.system)}"


def inputs(solution: Solution, measures: Measures) -> tuple[str, ...]:
    """What the picture was computed from, with how each is known."""
    rig = solution.rig
    plan = rig.main_plan
    if plan.tension is not None:
        tension = f"{measures.force(plan.tension)} standing at {plan.end}{known(rig, 'main.tension')}"
    else:
        tension = f"main {measures.place(plan.length or 0.0)} long unstretched{known(rig, 'main.length')}"
    backup = rig.backup_plan
    amount = measures.share(backup.value) if backup.given_by == "excess" else measures.length(backup.value)
    bays = solution.layout.stated_bays
    bay_text = measures.length(float(bays.mean()))
    if bays.max() > 1.05 * bays.min():
        bay_text = f"{measures.length(float(bays.min()))} to {measures.length(float(bays.max()))}"
    marked = f"marked on {rig.taping.measured_on} main"
    lines = [
        f"Span {measures.place(rig.span)}{known(rig, 'anchors')}; slope {measures.share(rig.slope)}; "
        f"T0: {tension}",
        f"Main: {_line(rig.main, measures)}{known(rig, 'main.webbing')}",
        f"Backup: {_line(rig.backup, measures)}{known(rig, 'backup.webbing')}; "
        f"{backup.given_by} {amount}{known(rig, 'backup')}",
        f"Tapes: {len(solution.layout.tapes)}, every {bay_text}{known(rig, 'taping')}, {marked}",
    ]
    if rig.walker is not None:
        lines.append(
            f"Walker: {measures.mass(rig.walker.mass)}{known(rig, 'walker.mass')}, "
            f"leash {measures.length(rig.walker.leash)}{known(rig, 'walker.leash')}"
        )
    if rig.wind is not None:
        lines.append(
            f"Wind: {format_si(rig.wind.speed, 'speed', system=measures.system)}{known(rig, 'wind')}"
        )
    if rig.assumed:
        listed = "; ".join(
            f"{note.key.replace('.', ' ').replace('_', ' ')} {note.text}" for note in rig.assumed
        )
        lines.append(f"ASSUMED, nobody gave them ({len(rig.assumed)}): {listed}")
    return tuple(lines)


def summary(solution: Solution, measures: Measures) -> str:
    """The three numbers a crew asks for, in one sentence."""
    bays = solution.bays
    walker = solution.walker_point
    text = (
        f"Main pulls {measures.force(solution.tension_a)} at A, {measures.force(solution.tension_b)} at B. "
    )
    low, high = float(bays.loop_depth.min()), float(bays.loop_depth.max())
    shallow, deep = measures.length(low), measures.length(high)
    if high < 0.002:
        text += "No loops: the backup is tight. "
    else:
        text += f"Loops {deep} deep. " if shallow == deep else f"Loops {shallow} to {deep} deep. "
    if walker is not None:
        rig = solution.rig
        chord = rig.main_b - rig.main_a
        share = float((walker - rig.main_a)[:2] @ chord[:2] / (chord[:2] @ chord[:2]))
        text += (
            f"Feet {measures.length(float(rig.main_a[2] + share * chord[2] - walker[2]))} below the chord."
        )
    return text.strip()

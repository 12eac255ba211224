"""The words on a picture: which state, which inputs, what to beware of."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from linescope.notes import Quantity
from linescope.rig import Inputs, Known, Rig, unlikely
from linescope.statics.solution import Solution, StateName
from linescope.units import format_si
from linescope.webbing import Webbing
from linescope.words import Words

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
    "tried": "TRIED",
}
_DOUBT: tuple[Known, ...] = ("tried", "assumed", "guess", "stated", "sheet", "measured")


class Measures(Words):
    """Shorter names, of surfaces that are not converted yet; goes with the last of them."""

    @property
    def words(self) -> Words:
        """Itself."""
        return self

    def at_most(self, value: float, dimension: str = "length", unit: str | None = None) -> str:
        """An upper bound, rounded up.  [SI]"""
        return self.of(value, dimension, "up", unit)

    def at_least(self, value: float, dimension: str = "length", unit: str | None = None) -> str:
        """A lower bound, rounded down.  [SI]"""
        return self.of(value, dimension, "down", unit)

    def unit(self, values: Iterable[float], dimension: str = "length") -> str:
        """One unit for a column of figures.  [SI]"""
        return super().unit(values, dimension)

    def mass(self, value: float) -> str:
        """[kg]"""
        return self.of(value, "mass")

    def depth(self, value: float) -> str:
        """A loop depth without its unit, in `depth_unit`; below a tenth of it nothing more is claimed."""
        if abs(value) < 0.1 * (0.01 if self.system == "metric" else 0.0254):
            return "<0.1"
        return self.number(Quantity(float(value), "length"), self.depth_unit)

    def loop(self, value: float, unit: str | None = None) -> str:
        """A loop depth with its unit.  [m]"""
        return self.length(value, "", unit)

    def loop_unit(self, values: Iterable[float]) -> str:
        """One unit for a column of loop depths.  [m]"""
        return self.unit(values)

    def section(self, value: float) -> str:
        """A width or thickness of webbing.  [m]"""
        return self.width(value)

    @property
    def depth_unit(self) -> str:
        """The unit of loop depths."""
        return "cm" if self.system == "metric" else "in"

    @property
    def depth_word(self) -> str:
        """The same in a sentence."""
        return "cm" if self.system == "metric" else "inches"


STATES: dict[StateName, str] = {
    "as taped": "as taped", "settled": "settled", "friction-limited": "hold as given",
}
"""How states are named on pictures; with another hold than as given, the picture says so itself."""


def state_label(solution: Solution, measures: Measures) -> str:
    """Which state, and where the walker stands."""
    state = STATES[solution.state]
    walker = solution.rig.walker
    where = f"walker at {measures.place(walker.at)}" if walker else "nobody on the line"
    if solution.rig.wind is None:
        return f"{state}, {where}"
    blown = bool(np.any(np.abs(solution.loads[:, :2]) > 1e-9))
    return f"{state}, {where}, {'in wind' if blown else 'still air'}"


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
    return (*unlikely(solution.rig), *said, *(note for note in solution.notes if note))


def known(given: Inputs, *keys: str) -> str:
    """Such as " (ASSUMED)": the most doubtful way inputs with these keys are known; "" when just stated."""
    found = given.known(*keys)
    for doubt in _DOUBT:
        if doubt in found:
            return f" ({_MARKS[doubt]})" if _MARKS[doubt] else ""
    return ""


def _line(given: Inputs, key: str, kind: Webbing, measures: Measures) -> str:
    whole = given.get(f"{key}.webbing")
    mass = format_si(kind.mass, "line mass", system=measures.system)
    text = (
        f"{kind.name}{known(given, f'{key}.webbing')}, "
        f"{measures.section(kind.width)} {'rope' if kind.is_rope else 'wide'}, "
        f"{mass}{known(given, f'{key}.webbing.mass')}"
    )
    stretch = given.get(f"{key}.webbing.stretch.elongation")
    at = given.get(f"{key}.webbing.stretch.at")
    if stretch is not None and at is not None:
        text += f", stretch {stretch.text} at {at.text}{known(given, stretch.key)}"
    elif whole is not None and whole.text == "as main":
        text = f"as the main, {measures.section(kind.width)} wide"
    return text


def _slope(rig: Rig, measures: Measures) -> str:
    if abs(rig.slope) < 0.0005:
        return "level"
    return f"{'rising' if rig.slope > 0 else 'falling'} {measures.share(abs(rig.slope))} towards B"


_MINOR = (
    "anchors.backup",
    "main.stiffness",
    "backup.stiffness",
    "tape.",
    "taping.tape_mass",
    "walker.height",
    "wind.air_density",
    "clearance.",
)
"""Beginnings of inputs that change a picture little, or only say "as given"; they are counted, not listed."""


def _assumed(given: Inputs) -> str:
    """The inputs nobody gave that matter here, grouped by where the value came from; the others as a count."""
    groups: dict[str, list[str]] = {}
    minor = 0
    for note in given.assumed:
        if note.key.startswith(_MINOR):
            minor += 1
            continue
        first, _, rest = note.key.partition(".")
        source = note.text.removesuffix(")").partition(" (library")[2]
        name = rest.removeprefix("webbing.").replace(".", " ").replace("_", " ")
        if source:  # The webbing's own line shows what matters; which library tells how far to trust it.
            groups.setdefault(f"{first}, library{source}", []).append(name)
            continue
        groups.setdefault(first, []).append(f"{name} {note.text}".strip())
    said = "; ".join(f"{first}: {', '.join(items)}" for first, items in groups.items())
    if not minor:
        return said
    rest = f"{minor} that matter less are listed in the figures and on the sheet"
    return f"{said}; {rest}" if said else rest


def inputs(solution: Solution, measures: Measures, given: Inputs, rig: Rig | None = None) -> tuple[str, ...]:
    """What the picture was computed from, with how each is known; of `rig` where the solution lacks its walker."""
    rig = solution.rig if rig is None else rig
    plan = rig.main_plan
    if plan.tension is not None:
        tension = f"Standing tension {measures.force(plan.tension)} at {plan.end}{known(given, 'main.tension')}"
    else:
        tension = f"main {measures.place(plan.length or 0.0)} long unstretched{known(given, 'main.length')}"
    backup = rig.backup_plan
    amount = measures.share(backup.value) if backup.given_by == "excess" else measures.length(backup.value)
    bays = solution.layout.stated_bays
    low, high = measures.length(float(bays.min())), measures.length(float(bays.max()))
    spacing = [note.key for note in given.notes if ".spacing" in note.key]
    span = f"Span {measures.place(rig.span)}{known(given, 'anchors.a', 'anchors.b')}, {_slope(rig, measures)}"
    lines = [
        f"{span}. {tension}",
        f"Main: {_line(given, 'main', rig.main, measures)}",
        f"Backup: {_line(given, 'backup', rig.backup, measures)}; {backup.given_by} {amount}"
        f"{known(given, 'backup.' + backup.given_by.replace(' ', '_'))}",
        f"Tapes: {len(solution.layout.tapes)}, bays {low if low == high else f'{low} to {high}'}"
        f"{known(given, *spacing)}, spacing and excess marked on {rig.taping.measured_on} main",
    ]
    acting = []
    if rig.walker is not None:
        acting.append(
            f"Walker: {measures.mass(rig.walker.mass)}{known(given, 'walker.mass')}, "
            f"leash {measures.length(rig.walker.leash)}{known(given, 'walker.leash')}"
        )
    if rig.wind is not None:
        speed = format_si(rig.wind.speed, "speed", system=measures.system)
        acting.append(f"Wind: {speed}{known(given, 'wind.speed')}")
    if acting:
        lines.append(". ".join(acting))
    if given.assumed:
        lines.append(f"ASSUMED, nobody gave them ({len(given.assumed)}): {_assumed(given)}")
    return tuple(lines)


def summary(solution: Solution, measures: Measures) -> str:
    """The three numbers a crew asks for, in one sentence."""
    bays = solution.bays
    walker = solution.walker_point
    text = f"Main pulls {measures.force(solution.tension_a)} at A, {measures.force(solution.tension_b)} at B. "
    low, high = float(bays.loop_depth.min()), float(bays.loop_depth.max())
    shallow, deep = measures.loop(low), measures.loop(high)
    if high < 0.002:
        text += "No loops: the backup is tight. "
    else:
        text += f"Loops {deep} deep. " if shallow == deep else f"Loops {shallow} to {deep} deep. "
    if walker is not None:
        rig = solution.rig
        chord = rig.main_b - rig.main_a
        share = float((walker - rig.main_a)[:2] @ chord[:2] / (chord[:2] @ chord[:2]))
        text += f"Feet {measures.length(float(rig.main_a[2] + share * chord[2] - walker[2]))} below the chord."
    return text.strip()

"""What wanted loops come to: excess, length of the backup, the depth reached and in which state."""

from __future__ import annotations

import textwrap

import numpy as np

from linescope.events.marks import Marks
from linescope.report.tapes import place
from linescope.report.text import WIDTH
from linescope.units import System, column_unit, format_si


def marks_text(marks: Marks, system: System = "metric") -> str:
    """Sentences for people.

    Parameters
    ----------
    marks : Marks
    system : {"metric", "feet"}
    """
    unit = "m" if system == "metric" else "ft"
    walker = marks.rig.walker

    def band(values: np.ndarray[tuple[int], np.dtype[np.float64]], dimension: str) -> str:
        one = column_unit(values.tolist(), dimension, system=system)
        low, high = (format_si(float(v), dimension, system=system, unit=one) for v in (values.min(), values.max()))
        return low if low == high else f"{low} to {high}"

    where = "" if walker is None else f" with the walker at {format_si(walker.at, 'length', system=system)} from A"
    reached = marks.walker_depth if marks.under == "walker" and marks.walker_depth is not None else marks.standing_depth
    state = f"as taped{where}, still air" if marks.under == "walker" else "as taped, nobody on the line, still air"
    change, tension = abs(marks.change), format_si(marks.marking_tension, "force", system=system)
    said = [
        f"Wanted: loops {band(marks.wanted[np.isfinite(marks.wanted)], 'length')} deep, {state}. Reached: "
        f"{band(reached, 'length')}. Lines that slide through their tapes afterwards change them: see `figures`.",
        f"Excess to mark: {band(marks.excess_slack, 'ratio')} on slack main, "
        f"{band(marks.excess_tensioned, 'ratio')} on main under {tension}.",
        f"Backup {place(marks.backup_length, system)} {unit}, unstretched, lock to lock: {place(change, system)} "
        f"{unit} {'more' if marks.change >= 0.0 else 'less'} than in the scene.",
        f"To see standing, nobody on the line, as taped: loops {band(marks.standing_depth, 'length')}, excess "
        f"{band(marks.standing_excess, 'ratio')}.",
    ]
    lines = ["LOOPS AS WANTED"]
    for sentence in said:
        lines += textwrap.wrap(sentence, WIDTH, initial_indent="  ", subsequent_indent="  ", break_long_words=False)
    return "\n".join(lines) + "\n"

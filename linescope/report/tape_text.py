"""The cut list and the family notes as text for people."""

from __future__ import annotations

import textwrap

from linescope.report.cautions import CAUTIONS
from linescope.report.tapes import PRACTICE, Table, tape_rows
from linescope.report.text import WIDTH, columns
from linescope.taping import CutList
from linescope.units import System


def tape_text(cut_list: CutList, title: str, units: System = "metric") -> str:
    """Cut list, kinds of tape, totals and what goes wrong with each, as text.

    Parameters
    ----------
    cut_list : CutList
    title : str
        Name of the rig.
    units : {"metric", "feet"}
    """
    lines = [title, *_wrapped(CAUTIONS[0])]
    for table in tape_rows(cut_list, units).values():
        lines += ["", *_set(table)]
    for tape in cut_list.tapes.values():
        family = tape.family
        lines += ["", f"{family.key.upper()}, HOLDS {tape.holds.value.upper()}: {PRACTICE}"]
        for heading, notes in (
            ("How", family.steps), ("Slides", family.slides), ("Costs", family.costs), ("Goes wrong", family.goes_wrong)
        ):
            for note in notes:
                lines += _wrapped(f"{heading}: {note}")
    return "\n".join(lines) + "\n"


def _set(table: Table) -> list[str]:
    return [table.title.upper(), *("  " + line for line in columns([table.columns, *table.rows]))]


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent="  ", subsequent_indent="    ", break_long_words=False)

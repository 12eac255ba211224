"""Setting text: columns, and sentences in the units asked for."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from linescope.units import Side, System, format_si, to_si

WIDTH = 110

# Units that sentences of events are written in.
_METRIC = {
    "m/s": "speed", "kN": "force", "N": "force", "mm": "length", "cm": "length", "m": "length", "kg": "mass",
}


def columns(rows: Sequence[Sequence[str]], right: Iterable[int] = ()) -> list[str]:
    """Rows of text set in columns.

    Parameters
    ----------
    rows : sequence of rows
    right : columns to set flush right
    """
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]))]
    flush = set(right)
    return [
        "  ".join(
            cell.rjust(width) if i in flush else cell.ljust(width)
            for i, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    ]


def in_system(text: str, system: System) -> str:
    """A sentence with its metric quantities in the system asked for.

    A quantity after "at most", "up to" or before "(bound)" is rounded up, one after "at least" down.
    """
    if system == "metric":
        return text
    for unit, dimension in _METRIC.items():
        pieces, end = [], 0
        for found in re.finditer(rf"(?<![\w.])(\d+(?:\.\d+)?) {re.escape(unit)}(?![\w/])", text):
            before, after = text[: found.start()], text[found.end() :]
            towards: Side = "down" if before.endswith("at least ") else (
                "up" if before.endswith(("at most ", "up to ")) or after.startswith(" (bound)") else "nearest"
            )
            value = to_si(found[0], dimension)
            pieces += [text[end : found.start()], format_si(value, dimension, system=system, towards=towards)]
            end = found.end()
        text = "".join([*pieces, text[end:]])
    return text


def is_loud(note: str) -> bool:
    """Whether a note begins in capitals: what must be read before anything else."""
    first = note.split()[:2]
    return bool(first) and all(word.isupper() for word in first)

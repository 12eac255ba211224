"""Setting text in columns."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

WIDTH = 110


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

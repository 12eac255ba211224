"""Lines of text for people."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from linescope.report.text import WIDTH, columns
from linescope.words.table import Table


class Writer:
    """Collects lines."""

    def __init__(self) -> None:
        self.lines: list[str] = []

    def title(self, text: str) -> None:
        """A heading."""
        self.lines += ["", text, "-" * min(len(text), WIDTH)]

    def table(self, table: Table, right: Iterable[int] = ()) -> None:
        """Its title and its rows; numbers of columns set flush `right`."""
        self.title(table.title)
        self.lines += ["  " + line for line in columns([table.columns, *table.rows], right)]

    def set(self, text: str, mark: str = "  ") -> None:
        """A sentence, `mark` before its first line."""
        self.lines += textwrap.wrap(
            text, WIDTH, initial_indent=mark, subsequent_indent=" " * len(mark), break_long_words=False
        )

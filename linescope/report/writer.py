"""Lines of text for people, in the units of their choice."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable

from linescope.report.text import WIDTH, in_system
from linescope.units import System, at_least, at_most, column_unit, format_si


class Writer:
    """Collects lines.

    Parameters
    ----------
    system : {"metric", "feet"}
    """

    def __init__(self, system: System) -> None:
        self.system = system
        self.lines: list[str] = []

    def show(self, value: float, dimension: str, unit: str | None = None) -> str:
        """A figure to two digits."""
        return format_si(float(value), dimension, system=self.system, unit=unit)

    def most(self, value: float, dimension: str) -> str:
        """An upper bound: rounded up."""
        return at_most(float(value), dimension, system=self.system)

    def least(self, value: float, dimension: str) -> str:
        """A lower bound: rounded down."""
        return at_least(float(value), dimension, system=self.system)

    def unit(self, values: Iterable[float], dimension: str = "length") -> str:
        """One unit for a column of figures."""
        return column_unit([float(value) for value in values], dimension, system=self.system)

    def span(self, low: float, high: float, dimension: str, unit: str | None = None) -> str:
        """From least to most, or one figure where they do not differ; both in one unit."""
        unit = self.unit((low, high), dimension) if unit is None else unit
        first, last = self.show(low, dimension, unit), self.show(high, dimension, unit)
        return first if first == last else f"{first} to {last}"

    def title(self, text: str) -> None:
        """A heading."""
        self.lines += ["", text, "-" * min(len(text), WIDTH)]

    def say(self, text: str, mark: str = "  ") -> None:
        """A sentence in metric units, shown in those asked for."""
        self.lines += textwrap.wrap(
            in_system(text, self.system), WIDTH, initial_indent=mark, subsequent_indent=" " * len(mark),
            break_long_words=False,
        )

    def set(self, text: str, mark: str = "  ") -> None:
        """A sentence in the reader's units already."""
        self.lines += textwrap.wrap(
            text, WIDTH, initial_indent=mark, subsequent_indent=" " * len(mark), break_long_words=False
        )

    def plain(self, text: str) -> None:
        """As typed by the user, whatever the units."""
        self.lines += textwrap.wrap(
            text, WIDTH, initial_indent="  ", subsequent_indent="  ", break_long_words=False
        )

    def loud(self, notes: Iterable[str]) -> None:
        """Sentences that must be read."""
        for note in notes:
            self.say(note, "! ")

"""Rows of text."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Table:
    """Rows of text.

    Attributes
    ----------
    title : str
    columns : tuple of str
        Headings, units included.
    rows : tuple of tuple of str
    """

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]

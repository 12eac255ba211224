"""What a taping family is: which line it grips, and how the tape is made.

A family is one file in `taping/families`; the table in `taping/families/__init__.py` lists them.
"""

from __future__ import annotations

import enum
from collections.abc import Callable
from dataclasses import dataclass, field

from linescope.taping.holds import Holds
from linescope.taping.section import Section
from linescope.taping.stock import TapeStock


class DryBy(enum.Enum):
    """What keeps the sticky face off the sliding line."""

    NOTHING = "nothing"
    PIECE = "dry piece"
    """A piece cut off the strip's end, stuck on it sticky to sticky."""
    FOLD = "folded tab"
    """The strip's beginning folded back on itself, its tip tucked between the lines."""
    PATCH = "cross pieces"
    """Short pieces of the same tape laid across the strip, sticky to sticky, side by side."""


@dataclass(frozen=True, kw_only=True)
class Wrapping:
    """How a strip goes round the section: what a family's recipe states.

    Attributes
    ----------
    start : float
        Place on the outline where the strip begins (or comes out from between the lines).  [m, see `Outline`]
    turns : float
        Turns of the section from there to the strip's end, at the stock's number of wraps.  [-]
    lead : float
        Length laid first: up to where it is turned over the edge, or to the dry zone.  [m]
    dry : (float, float) or None
        Places where the dry zone begins and ends, on the first turn.  [m, see `Outline`]
    dry_by : DryBy
    tucked : float
        Length between the lines, before `start`.  [m]
    patches : int
        Cross pieces side by side.
    """

    start: float
    turns: float
    lead: float
    dry: tuple[float, float] | None = None
    dry_by: DryBy = DryBy.NOTHING
    tucked: float = 0.0
    patches: int = 0


Recipe = Callable[[Section, TapeStock, Holds], Wrapping]


@dataclass(frozen=True, kw_only=True)
class TapeFamily:
    """One way of taping.

    Attributes
    ----------
    key : str
        Name in scene files, such as ``"fixed wrap"``.
    can_hold : tuple of Holds
        The behaviours this family can be made with, the usual one first.
    summary : str
        One line for people.
    recipe : callable
        ``recipe(section, stock, holds) -> Wrapping``.
    steps : tuple of str
        How to make it.
    slides, costs, goes_wrong : tuple of str
        Notes: what slides, what it costs, what goes wrong.  Common practice, no source.
    """

    key: str
    can_hold: tuple[Holds, ...]
    summary: str
    recipe: Recipe = field(repr=False)
    steps: tuple[str, ...] = field(repr=False)
    slides: tuple[str, ...] = field(repr=False)
    costs: tuple[str, ...] = field(repr=False)
    goes_wrong: tuple[str, ...] = field(repr=False)

"""What a taping family is: which line it grips, and how its strip begins.

A family is one file in `taping/families`; the table in `taping/families/__init__.py` lists them.  Its words stand
with those of all tapes, under its `message`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from linescope.taping.beginnings import Beginning
from linescope.taping.holds import Holds
from linescope.taping.section import Section
from linescope.taping.stock import Tape, TapeStock

Recipe = Callable[[Section, Tape, TapeStock, Holds], Beginning]


@dataclass(frozen=True, kw_only=True)
class TapeFamily:
    """One way of taping.

    Attributes
    ----------
    key : str
        Name in scene files, such as ``"fixed wrap"``.
    can_hold : tuple of Holds
        The behaviours this family can be made with, the usual one first.
    recipe : callable
        ``recipe(section, tape, stock, holds) -> Beginning``.
    of_cloth : bool
        Whether it is made of the cloth tape.
    """

    key: str
    can_hold: tuple[Holds, ...]
    recipe: Recipe = field(repr=False)
    of_cloth: bool = False

    @property
    def message(self) -> str:
        """What the ids of its messages begin with: its name; with ``-slides``, ``-costs``, ``-wrong``, ``-torn``."""
        return f"tapes-family-{self.key.replace(' ', '-')}"

    def tape(self, stock: TapeStock) -> Tape:
        """The tape it is made of."""
        return stock.cloth if self.of_cloth else stock.strong

    def pace(self, stock: TapeStock, holds: Holds) -> float:
        """Time for one of them.  [s]"""
        if holds is Holds.BOTH:
            return stock.pace_fixed
        return stock.pace_patch if self.of_cloth else stock.pace_slider

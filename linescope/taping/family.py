"""What a taping family is: which line it grips, and how it is made.

A family is one file in `taping/families`; the table in `taping/families/__init__.py` lists them.
"""

from __future__ import annotations

import enum
from dataclasses import dataclass


class Holds(enum.Enum):
    """Which line a tape grips; the other one slides through it."""

    BOTH = "both"
    MAIN = "main"
    BACKUP = "backup"


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
    """

    key: str
    can_hold: tuple[Holds, ...]
    summary: str

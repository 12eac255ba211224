"""Which of the two lines a tape grips."""

from __future__ import annotations

import enum


class Holds(enum.Enum):
    """Which line a tape grips; the other one slides through it."""

    BOTH = "both"
    MAIN = "main"
    BACKUP = "backup"

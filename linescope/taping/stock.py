"""The tape itself, as the crew buys and winds it."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class TapeStock:
    """Adhesive tape and the crew's pace with it.

    Attributes
    ----------
    width, thickness : float
        Of the tape.  [m]
    wraps : float
        Full turns round the stack.  [-]
    roll : float
        Length of tape on a new roll.  [m]
    waste : float
        Extra tape as a share of what is used.  [-]
    pace_fixed, pace_slider : float
        Time for one tape that grips both lines, and for one that lets a line slide.  [s]
    """

    width: float = 0.025
    thickness: float = 0.00025
    wraps: float = 4.0
    roll: float = 25.0
    waste: float = 0.10
    pace_fixed: float = 45.0
    pace_slider: float = 135.0

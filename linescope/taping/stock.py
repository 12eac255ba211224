"""The tape itself, as the crew buys and winds it."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import Literal

from linescope.errors import InputError

TIE = "tie"
"""Family name of a place where the lines are tied or sewn together: marked, but no tape is cut for it."""


@dataclass(frozen=True, kw_only=True)
class TapeStock:
    """Adhesive tape, how it is wound, and the crew's pace with it.

    The defaults are assumptions, no source; `assumed_defaults` names those in use.

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
    margin : float
        By how much a dry zone reaches beyond what it must cover, at each end.  [m]
    finish : {"underneath", "as wrapped"}
        Whether strips are cut so that the end lands in the middle of the underside, or for whole wraps.

    Raises
    ------
    InputError
        When a value is out of range.
    """

    width: float = 0.025
    thickness: float = 0.00025
    wraps: float = 4.0
    roll: float = 25.0
    waste: float = 0.10
    pace_fixed: float = 45.0
    pace_slider: float = 135.0
    margin: float = 0.004
    finish: Literal["underneath", "as wrapped"] = "underneath"

    def __post_init__(self) -> None:
        limits = {
            "width": (0.003, 0.3), "thickness": (1e-5, 0.005), "wraps": (1.0, 20.0), "roll": (0.2, 5000.0),
            "waste": (0.0, 5.0), "pace_fixed": (0.0, 86400.0), "pace_slider": (0.0, 86400.0),
            "margin": (0.0, 0.05),
        }
        for name, (low, high) in limits.items():
            value = getattr(self, name)
            if not (math.isfinite(value) and low <= value <= high):
                raise InputError(
                    "this value of the tape is out of range", key=name, found=value,
                    allowed=f"from {low:g} to {high:g} (SI units)",
                )
        if self.finish not in ("underneath", "as wrapped"):
            raise InputError("where shall the tape's end be?", key="finish", found=self.finish,
                             allowed="'underneath' or 'as wrapped'")

    @property
    def assumed_defaults(self) -> tuple[str, ...]:
        """Names of the values that equal their defaults, so that a sheet can say what nobody gave."""
        return tuple(f.name for f in fields(self) if getattr(self, f.name) == f.default)

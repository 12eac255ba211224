"""The tape itself, as the crew buys and winds it, and what was measured on a first strip."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import Literal

from linescope.errors import InputError
from linescope.taping.holds import Holds

TIE = "tie"
"""Family name of a place where the lines are tied or sewn together: marked, but no tape is cut for it."""


@dataclass(frozen=True, kw_only=True)
class Tape:
    """One kind of adhesive tape.

    Attributes
    ----------
    width, thickness : float
        [m]
    roll : float
        Length on a new roll.  [m]
    is_cloth : bool
        The cloth tape for cross pieces, not the thin strong one.
    """

    width: float
    thickness: float
    roll: float
    is_cloth: bool


@dataclass(frozen=True, kw_only=True)
class FirstStrip:
    """A strip that was wound and looked at: what corrects the rest.

    Attributes
    ----------
    family : str
        Key of its family.
    holds : Holds
    length : float
        As it was cut.  [m]
    past : float
        How far beyond the middle of the underside its end lies, the way it is wound; negative: short of it.  [m]
    """

    family: str
    holds: Holds
    length: float
    past: float


@dataclass(frozen=True, kw_only=True)
class TapeStock:
    """Adhesive tapes, how they are wound, and the crew's pace with them.

    The defaults are assumptions, no source; `assumed_defaults` names those in use.

    Attributes
    ----------
    width, thickness : float
        Of the thin strong tape that wraps, sliders and tucked tabs are made of.  [m]
    roll : float
        Length of it on a new roll.  [m]
    cloth_width, cloth_thickness : float
        Of the cloth tape that cross pieces and their strips are made of.  [m]
    cloth_roll : float
        Length of it on a new roll.  [m]
    wraps : float
        Full turns round the stack.  [-]
    waste : float
        Extra tape as a share of what is used.  [-]
    pace_fixed, pace_slider, pace_patch : float
        Time for one tape that grips both lines, for one that lets a line slide, and for one with a cross piece.  [s]
    margin : float
        By how much a dry zone reaches beyond what it must cover, at each end.  [m]
    finish : {"underneath", "as wrapped"}
        Whether strips are cut so that the end lands in the middle of the underside, or for whole wraps.
    short_end : float or None
        Of a strip that encloses the held line; None: from the lines' sizes.  [m]
    measured_turn : float or None
        Strip that goes once round the two lines lying bare on each other, wound as the crew winds.  [m]
    first : FirstStrip or None
        A first tape that was looked at; it stands above `measured_turn`.

    Raises
    ------
    InputError
        When a value is out of range.
    """

    width: float = 0.025
    thickness: float = 0.00013
    roll: float = 25.0
    cloth_width: float = 0.038
    cloth_thickness: float = 0.00025
    cloth_roll: float = 25.0
    wraps: float = 4.0
    waste: float = 0.10
    pace_fixed: float = 45.0
    pace_slider: float = 75.0
    pace_patch: float = 135.0
    margin: float = 0.004
    finish: Literal["underneath", "as wrapped"] = "underneath"
    short_end: float | None = None
    measured_turn: float | None = None
    first: FirstStrip | None = None

    def __post_init__(self) -> None:
        limits = {
            "width": (0.003, 0.3), "thickness": (1e-5, 0.005), "wraps": (1.0, 20.0), "roll": (0.2, 5000.0),
            "cloth_width": (0.003, 0.3), "cloth_thickness": (1e-5, 0.005), "cloth_roll": (0.2, 5000.0),
            "waste": (0.0, 5.0), "pace_fixed": (0.0, 86400.0), "pace_slider": (0.0, 86400.0),
            "pace_patch": (0.0, 86400.0), "margin": (0.0, 0.05), "short_end": (0.005, 0.5),
            "measured_turn": (0.01, 1.0),
        }
        for name, (low, high) in limits.items():
            value = getattr(self, name)
            if value is not None and not (math.isfinite(value) and low <= value <= high):
                raise InputError(
                    "this value of the tape is out of range", key=name, found=value,
                    allowed=f"from {low:g} to {high:g} (SI units)",
                )
        if self.finish not in ("underneath", "as wrapped"):
            raise InputError("where shall the tape's end be?", key="finish", found=self.finish,
                             allowed="'underneath' or 'as wrapped'")

    @property
    def strong(self) -> Tape:
        """The thin strong tape."""
        return Tape(width=self.width, thickness=self.thickness, roll=self.roll, is_cloth=False)

    @property
    def cloth(self) -> Tape:
        """The cloth tape."""
        return Tape(width=self.cloth_width, thickness=self.cloth_thickness, roll=self.cloth_roll, is_cloth=True)

    @property
    def assumed_defaults(self) -> tuple[str, ...]:
        """Names of the values that equal their defaults, so that a sheet can say what nobody gave."""
        return tuple(f.name for f in fields(self) if f.default is not None and getattr(self, f.name) == f.default)

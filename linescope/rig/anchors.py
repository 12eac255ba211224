"""Where main and backup are fixed at either end."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.errors import InputError
from linescope.shown import Outlined

Floats = NDArray[np.float64]

LONGEST_SPAN = 5e3  # [m]


def _point(value: object) -> Floats:
    point = np.array(value, dtype=float)
    if point.shape != (3,) or not np.all(np.isfinite(point)):
        raise InputError("a point needs three finite coordinates", found=value)
    point.setflags(write=False)
    return point


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Anchors(Outlined):
    """The four points that hold the lines, checked when made.

    Attributes
    ----------
    main_a, main_b : (3,) array
        Anchors of the main, in the rig's own frame.  [m]
    backup_a, backup_b : (3,) array
        Anchors of the backup; where none is given, those of the main.  [m]
    origin : (3,) tuple
        Where the rig's frame begins in the scene's: not zero where that is a national grid.  [m]

    Raises
    ------
    InputError
        When the line would be too short, too long or almost vertical.
    """

    main_a: Floats
    main_b: Floats
    backup_a: Floats = None  # type: ignore[assignment]
    backup_b: Floats = None  # type: ignore[assignment]
    origin: tuple[float, float, float] = (0.0, 0.0, 0.0)

    def __post_init__(self) -> None:
        for end in "ab":
            main, backup = getattr(self, f"main_{end}"), getattr(self, f"backup_{end}")
            object.__setattr__(self, f"main_{end}", _point(main))
            object.__setattr__(self, f"backup_{end}", _point(main if backup is None else backup))
        if self.span <= 0.5:
            raise InputError("the anchors are closer than half a metre", key="anchors", found=f"{self.span:g} m")
        if self.span > LONGEST_SPAN:
            raise InputError(
                "the anchors are further apart than any line", key="anchors", found=f"{self.span / 1e3:.4g} km",
                allowed=f"at most {LONGEST_SPAN / 1e3:g} km",
            )
        if math.hypot(*(self.main_b - self.main_a)[:2]) < 0.05 * self.span:
            raise InputError(
                "the line is almost vertical", key="anchors", found=f"{self.slope:.0%}",
                allowed="anchors at least 5 % of the span apart in plan",
            )

    @property
    def span(self) -> float:
        """Straight distance from main anchor A to main anchor B.  [m]"""
        return float(np.linalg.norm(self.main_b - self.main_a))

    @property
    def slope(self) -> float:
        """Rise over horizontal run from A to B, positive when B is higher.  [-]"""
        run = math.hypot(*(self.main_b - self.main_a)[:2])
        return float((self.main_b - self.main_a)[2]) / run if run else math.inf

"""What must be read first on a picture, and shorter names for numbers."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from linescope.notes import Quantity
from linescope.rig import unlikely
from linescope.statics.solution import Solution
from linescope.words import Words


class Measures(Words):
    """Shorter names, of surfaces that are not converted yet; goes with the last of them."""

    @property
    def words(self) -> Words:
        """Itself."""
        return self

    def at_most(self, value: float, dimension: str = "length", unit: str | None = None) -> str:
        """An upper bound, rounded up.  [SI]"""
        return self.of(value, dimension, "up", unit)

    def at_least(self, value: float, dimension: str = "length", unit: str | None = None) -> str:
        """A lower bound, rounded down.  [SI]"""
        return self.of(value, dimension, "down", unit)

    def unit(self, values: Iterable[float], dimension: str = "length") -> str:
        """One unit for a column of figures.  [SI]"""
        return super().unit(values, dimension)

    def mass(self, value: float) -> str:
        """[kg]"""
        return self.of(value, "mass")

    def depth(self, value: float) -> str:
        """A loop depth without its unit, in `depth_unit`; below a tenth of it nothing more is claimed."""
        if abs(value) < 0.1 * (0.01 if self.system == "metric" else 0.0254):
            return "<0.1"
        return self.number(Quantity(float(value), "length"), self.depth_unit)

    def loop(self, value: float, unit: str | None = None) -> str:
        """A loop depth with its unit.  [m]"""
        return self.length(value, "", unit)

    def loop_unit(self, values: Iterable[float]) -> str:
        """One unit for a column of loop depths.  [m]"""
        return self.unit(values)

    def section(self, value: float) -> str:
        """A width or thickness of webbing.  [m]"""
        return self.width(value)

    @property
    def depth_unit(self) -> str:
        """The unit of loop depths."""
        return "cm" if self.system == "metric" else "in"

    @property
    def depth_word(self) -> str:
        """The same in a sentence."""
        return "cm" if self.system == "metric" else "inches"


def tight_bays(solution: Solution) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """Numbers (from 0) of the bays without slack: their backup carries load before the main fails."""
    return np.flatnonzero(solution.bays.excess < 0.0)


def alarms(solution: Solution, measures: Measures) -> tuple[str, ...]:
    """What must be read first: inputs that are hardly meant so, and the notes of the solution, worst first."""
    return tuple(measures.notes((*unlikely(solution.rig), *solution.notes)))

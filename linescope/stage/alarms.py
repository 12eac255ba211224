"""What must be read first on a picture of a state."""

from __future__ import annotations

import numpy as np

from linescope.rig import unlikely
from linescope.statics.solution import Solution
from linescope.words import Words


def tight_bays(solution: Solution) -> np.ndarray[tuple[int], np.dtype[np.int64]]:
    """Numbers (from 0) of the bays without slack: their backup carries load before the main fails."""
    return np.flatnonzero(solution.bays.excess < 0.0)


def alarms(solution: Solution, words: Words) -> tuple[str, ...]:
    """Inputs that are hardly meant so, and the notes of the solution, worst first."""
    return tuple(words.notes((*unlikely(solution.rig), *solution.notes)))

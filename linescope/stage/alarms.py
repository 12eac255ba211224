"""What must be read first on a picture of a state."""

from __future__ import annotations

from linescope.rig import unlikely
from linescope.statics.solution import Solution
from linescope.words import Words


def alarms(solution: Solution, words: Words) -> tuple[str, ...]:
    """Inputs that are hardly meant so, and the notes of the solution, worst first."""
    return tuple(words.notes((*unlikely(solution.rig), *solution.notes)))

"""A crossing in steps so fine that they no longer matter."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from linescope.errors import CrossingNotSettled
from linescope.events.crossing import Crossing, Direction, cross
from linescope.events.friction import HoldLevel
from linescope.rig import Rig
from linescope.statics import Plan, plan

REFINED = 0.02  # Change of slip and work, from halving the steps, that no longer matters.


def cross_refined(
    rig: Rig,
    *,
    level: HoldLevel = "value",
    ways: tuple[Direction, ...] = ("A to B", "B to A"),
    planned: Plan | None = None,
    start: int = 4,
    most: int = 32,
    progress: Callable[[float], None] | None = None,
) -> Crossing:
    """A crossing whose steps are halved until slips and work change by under 2 %.

    Parameters
    ----------
    rig, level, ways, planned
        See `cross`.
    start, most : int
        Steps in each bay to begin with, and at the most.
    progress : callable, optional
        Told the share done of each crossing, 0 to 1.

    Raises
    ------
    CrossingNotSettled
        When the finest steps still matter.
    """
    planned = plan(rig) if planned is None else planned
    coarse = cross(rig, level=level, ways=ways, per_bay=start, planned=planned, progress=progress)
    while coarse.per_bay < most:
        fine = cross(rig, level=level, ways=ways, per_bay=2 * coarse.per_bay, planned=planned, progress=progress)
        slip = max(float(fine.total_slip.max()), 0.01)
        work = max(float(fine.total_work.sum()), 0.01)
        changed = max(
            float(np.max(np.abs(fine.total_slip - coarse.total_slip))) / slip,
            abs(float(fine.total_work.sum() - coarse.total_work.sum())) / work,
        )
        if changed < REFINED:
            return fine
        coarse = fine
    raise CrossingNotSettled(
        f"with {most} steps a bay, halving them still changes slips by {100.0 * changed:.2g} %.",
        advice="a higher hold, or look at as taped and settled side by side.",
    )

"""The rig with its walker at even places from anchor to anchor."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from linescope.statics.plan import Plan
from linescope.statics.solution import Solution
from linescope.statics.solve import solve

SHARES = tuple(round(0.05 * k, 2) for k in range(1, 20))
"""Where the walker is put, as shares of the span."""


def walk(
    planned: Plan, shares: tuple[float, ...] = SHARES, progress: Callable[[float], None] | None = None
) -> tuple[Solution, ...]:
    """The rig as taped with its walker at shares of the span from anchor A; nothing without a walker.

    Parameters
    ----------
    planned : Plan
    shares : tuple of float
        Between 0 and 1.  [-]
    progress : callable, optional
        Told the share done.

    Raises
    ------
    SolveError
    """
    rig = planned.rig
    if rig.walker is None:
        return ()
    states = []
    for count, share in enumerate(shares):
        moved = rig.with_walker_at(share * rig.span)
        states.append(solve(moved, planned=replace(planned, rig=moved)))
        if progress is not None:
            progress((count + 1) / len(shares))
    return tuple(states)

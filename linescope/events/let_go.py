"""What lets go by itself: slides that the hold cannot keep as taped, before any walk, and the loops that come of it.

Slope is not the only thing that starts a slider.  A deep loop beside a shallow one pulls more on their tape from its
side, and where the difference is more than the tape holds, backup runs into the deeper one until it does.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import get_args

from linescope.errors import SolveError
from linescope.events.crossing import cross
from linescope.events.friction import HoldLevel
from linescope.rig import Rig
from linescope.statics import Plan, Solution, plan
from linescope.statics.pair import FIXED

SEEN = 1e-3  # A slip that counts [m].


@dataclass(frozen=True, eq=False, kw_only=True)
class LetGo:
    """A rig with its tapes holding as much as they do: as taped, but for those that cannot.

    Attributes
    ----------
    level : {"low", "value", "high"}
        Which end of the hold bands.
    empty : Solution
        Nobody on the line.
    walker : Solution or None
        The walker then put where he stands, without the way there.
    """

    level: HoldLevel
    empty: Solution
    walker: Solution | None

    @property
    def gone_empty(self) -> tuple[int, ...]:
        """Numbers of the tapes that have let go before anyone steps on."""
        return slipped(self.empty)

    @property
    def gone_walker(self) -> tuple[int, ...]:
        """Numbers of the tapes that have let go with the walker where he stands."""
        return () if self.walker is None else slipped(self.walker)


def slipped(solution: Solution) -> tuple[int, ...]:
    """Numbers of the tapes through which a line has slid by a millimetre or more since taped."""
    return tuple(
        tape.number for tape, slip in zip(solution.layout.tapes, solution.tape_slip, strict=True) if abs(slip) >= SEEN
    )


def find_let_go(
    rig: Rig, *, planned: Plan | None = None, progress: Callable[[float], None] | None = None
) -> dict[HoldLevel, LetGo]:
    """The rig with low hold, with the hold as given, and with high hold.

    Parameters
    ----------
    rig : Rig
    planned : Plan, optional
        Of the same rig.
    progress : callable, optional
        Told the share done.

    Returns
    -------
    dict of {"low", "value", "high"} to LetGo
        Empty where nothing slides; a level at which no state was reached is missing.
    """
    planned = plan(rig) if planned is None else planned
    found: dict[HoldLevel, LetGo] = {}
    if not bool((planned.pair.slide != FIXED).any()):
        return found
    route = [] if rig.walker is None else [planned.walker_coordinate(rig.walker.at)]
    for count, level in enumerate(get_args(HoldLevel)):
        if progress is not None:
            progress(count / len(get_args(HoldLevel)))
        try:
            walk = cross(rig, level=level, route=route, planned=planned)
        except SolveError:
            continue
        found[level] = LetGo(level=level, empty=walk.before, walker=walk.solution_at(0) if route else None)
    return found

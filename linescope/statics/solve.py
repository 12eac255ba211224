"""The one call that turns a rig into a solved state."""

from __future__ import annotations

from collections.abc import Callable
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from linescope.errors import InputError
from linescope.rig import Rig, RigSource, checked_rig
from linescope.statics.assemble import DOWN, G, Loading, assemble, first_guess
from linescope.statics.plan import Plan, plan
from linescope.statics.results import make_solution
from linescope.statics.search import search
from linescope.statics.settle import other_equilibria, settle
from linescope.statics.solution import Solution


def still_air(rig: Rig, planned: Plan) -> Loading:
    """What acts on a rig in still air: its walker, and water or ice on the lines."""
    walkers: tuple[tuple[float, NDArray[np.float64]], ...] = ()
    if rig.walker is not None:
        weight = rig.walker.mass * G * DOWN
        walkers = ((planned.walker_coordinate(rig.walker.at), weight),)
    return Loading(
        walkers=walkers, main_added=rig.weather.main_added, backup_added=rig.weather.backup_added
    )


def solve(
    rig: Rig | RigSource,
    state: Literal["as taped", "settled"] = "as taped",
    *,
    planned: Plan | None = None,
    loading: Loading | None = None,
    look_for_others: bool = True,
    progress: Callable[[float], None] | None = None,
) -> Solution:
    """Equilibrium of a rig.

    Parameters
    ----------
    rig : RigSource or Rig
        A scene, or a rig.
    state : {"as taped", "settled"}
        "as taped": no slip has happened.  "settled": shaken until the sliding lines have no friction left.
    planned : Plan, optional
        The rig laid out, when `plan(rig)` was called before for the same rig (its walker may differ).
    loading : Loading, optional
        What acts on it; default still air with the rig's walker.
    look_for_others : bool
        For "settled": search for other stable states.
    progress : callable, optional
        Told the share done, 0 to 1.

    Returns
    -------
    Solution

    Raises
    ------
    InputError
        When there is no such state, or the tape plan does not fit the line.
    NoEquilibrium, TensionNotReached, SegmentNotSolved
        Named failures with advice; never a result.
    """
    if state not in ("as taped", "settled"):
        raise InputError("unknown state", key="state", found=state, allowed='"as taped" or "settled"')
    rig = checked_rig(rig)
    planned = plan(rig) if planned is None else planned
    loading = still_air(rig, planned) if loading is None else loading
    pair, walkers = assemble(rig, planned.layout, loading)
    taped = search(pair, first_guess(pair))
    steps, others, found = planned.standing.steps + taped.steps, None, taped
    if state == "settled":
        found, more = settle(pair, taped, progress)
        steps += more
        if look_for_others:
            others = other_equilibria(pair, found)
    return make_solution(
        rig=rig,
        layout=planned.layout,
        state_name=state,
        minimum=found,
        walker_node=walkers[0] if walkers else None,
        iterations=steps,
        other_equilibria=others,
    )

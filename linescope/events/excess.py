"""Excess of the backup in four states: slack as marked, standing, with the walker, at the lowest of a fall.

Excess is the backup in a bay, unstretched, over the main in that bay as it is stretched then, minus one.
Below zero the backup carries load before the main fails.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linescope.errors import InputError
from linescope.events.words import listed
from linescope.rig import Rig
from linescope.rig.layout import Layout, anchor_detour
from linescope.statics import Bays, Plan, Solution, plan, solve
from linescope.statics.minimise import Minimum
from linescope.statics.results import bays_of, line_shapes
from linescope.statics.solution import freeze
from linescope.units import at_most, format_si

Floats = NDArray[np.float64]
ExcessName = Literal["slack", "standing", "walker", "fall"]

TAPE_SHEAR = 125.0
"""What a tape carries along the line at most: glue of 20 to 100 kPa on 25 mm x 50 mm, from memory.  [N]"""

TITLES = {
    "slack": "slack on the ground, as marked",
    "standing": "standing",
    "walker": "with the walker",
    "fall": "at the bottom of a leash fall (bound)",
}


@dataclass(frozen=True, eq=False, kw_only=True)
class ExcessState:
    """One state.  Arrays are (n,), one entry a bay from anchor A.

    Attributes
    ----------
    name : {"slack", "standing", "walker", "fall"}
    bay : array
        Main in the bay, as stretched in this state.  [m]
    loop_length : array
        Backup in the bay, unstretched.  [m]
    excess : array
        loop_length / bay - 1; in an end bay with anchors of its own over what the backup has to bridge.  [-]
    by_formula : array
        (1 + slack excess) / (1 + strain of the main at its tension) - 1, to compare: knows no slip.  [-]
    loop_depth : array
        Largest distance from the chord to the loop along the load; on slack webbing that of a loop hung
        between level points a slack bay apart.  [m]
    main_tension, backup_tension : array
        Mean of the two ends of the bay.  [N]
    backup_share : array
        Backup tension over the sum of both.  [-]
    tight : tuple of int
        Bays, counted from 1 at A, whose excess is below zero.
    """

    name: ExcessName
    bay: Floats
    loop_length: Floats
    excess: Floats
    by_formula: Floats
    loop_depth: Floats
    main_tension: Floats
    backup_tension: Floats
    backup_share: Floats
    tight: tuple[int, ...]


@dataclass(frozen=True, eq=False, kw_only=True)
class FourStates:
    """Excess in every state that is known for a rig.

    Attributes
    ----------
    rig : Rig
    states : tuple of ExcessState
        Slack and standing always; walker and fall when there are such.
    notes : tuple of str
        What the user must be told, worst first.
    """

    rig: Rig
    states: tuple[ExcessState, ...]
    notes: tuple[str, ...]

    def state(self, name: ExcessName) -> ExcessState:
        """One of the states.

        Raises
        ------
        InputError
            When it was not computed.
        """
        for state in self.states:
            if state.name == name:
                return state
        raise InputError(
            "this state of excess was not computed",
            key="state",
            found=name,
            allowed=", ".join(state.name for state in self.states),
        )


def depth_for_loop_length(bay: ArrayLike, length: ArrayLike) -> Floats:
    """Depth of an inextensible loop between level points; 0 where it is not longer than its bay.

    Parameters
    ----------
    bay, length : float or (n,) array
        [m]

    Returns
    -------
    (n,) array
        [m]

    References
    ----------
    .. [1] H. M. Irvine, *Cable Structures*, 1981, section 1.2: length = 2a sinh(bay/2a),
       depth = a (cosh(bay/2a) - 1).
    """
    span, loop = np.broadcast_arrays(np.asarray(bay, dtype=float), np.asarray(length, dtype=float))
    ratio = loop / span
    low, high = np.full(span.shape, 1e-9), np.full(span.shape, 50.0)
    for _ in range(100):
        u = 0.5 * (low + high)
        longer = np.sinh(u) > ratio * u
        low, high = np.where(longer, low, u), np.where(longer, u, high)
    u = 0.5 * (low + high)
    return np.asarray(np.where(ratio > 1.0, span * np.tanh(0.5 * u) * np.sinh(u) / (2.0 * u), 0.0))


def four_states(
    rig: Rig,
    fall_state: Solution | Minimum | Bays | None = None,
    *,
    state: Literal["as taped", "settled"] = "as taped",
    planned: Plan | None = None,
) -> FourStates:
    """Excess, loop depth and the backup's share of the load, per bay and state.

    Parameters
    ----------
    rig : Rig
    fall_state : Solution, Minimum or Bays, optional
        The pair at the lowest point of a leash fall; a Minimum must be of the same rig's pair.
    state : {"as taped", "settled"}
        Of the sliders, for standing and walker.
    planned : Plan, optional
        Of the same rig, when it is known.

    Returns
    -------
    FourStates

    Raises
    ------
    NoEquilibrium, InputError
    """
    planned = plan(rig) if planned is None else planned
    layout = planned.layout
    states = [_slack(rig, layout)]
    standing = solve(rig.without_walker(), state, planned=planned, look_for_others=False)
    states.append(_of_bays("standing", rig, layout, standing.bays))
    if rig.walker is not None:
        walked = solve(rig, state, planned=planned, look_for_others=False)
        states.append(_of_bays("walker", rig, layout, walked.bays))
    if fall_state is not None:
        states.append(_of_bays("fall", rig, layout, _bays(fall_state)))
    notes = [note for entry in reversed(states) if (note := _tight_note(entry, layout)) is not None]
    return FourStates(rig=rig, states=tuple(states), notes=tuple(notes))


def _bays(found: Solution | Minimum | Bays) -> Bays:
    if isinstance(found, Solution):
        return found.bays
    if isinstance(found, Minimum):
        return bays_of(*line_shapes(found.state))
    return found


def _slack(rig: Rig, layout: Layout) -> ExcessState:
    bay, loop = layout.bays_main, layout.bays_backup
    excess, none = loop / (bay + anchor_detour(rig, bay)) - 1.0, np.zeros(len(bay))
    state = ExcessState(
        name="slack",
        bay=bay,
        loop_length=loop,
        excess=excess,
        by_formula=excess.copy(),
        loop_depth=depth_for_loop_length(bay + anchor_detour(rig, bay), loop),
        main_tension=none,
        backup_tension=none.copy(),
        backup_share=none.copy(),
        tight=_below_zero(excess),
    )
    freeze(state)
    return state


def _of_bays(name: ExcessName, rig: Rig, layout: Layout, bays: Bays) -> ExcessState:
    if len(bays.excess) != len(layout.bays_main):
        raise InputError(
            "this state belongs to another rig",
            key=name,
            found=f"{len(bays.excess)} bays",
            allowed=f"{len(layout.bays_main)} bays",
        )
    strain = rig.main.stretch.at(bays.main_tension)[0]
    bay = layout.bays_main
    marked = layout.bays_backup / (bay + anchor_detour(rig, bay))
    state = ExcessState(
        name=name,
        bay=bays.length.copy(),
        loop_length=bays.loop_length.copy(),
        excess=bays.excess.copy(),
        by_formula=marked / (1.0 + strain) - 1.0,
        loop_depth=bays.loop_depth.copy(),
        main_tension=bays.main_tension.copy(),
        backup_tension=bays.backup_tension.copy(),
        backup_share=bays.backup_share.copy(),
        tight=_below_zero(bays.excess),
    )
    freeze(state)
    return state


def _below_zero(excess: Floats) -> tuple[int, ...]:
    return tuple(int(bay) + 1 for bay in np.flatnonzero(excess < 0.0))


def _tight_note(state: ExcessState, layout: Layout) -> str | None:
    """The loud words about negative excess."""
    if not state.tight:
        return None
    count, where = len(state.excess), f"bays {listed(state.tight)}"
    least = format_si(float(state.excess.min()), "ratio")
    title = TITLES[state.name]
    if state.name == "slack":
        return (
            f"NEGATIVE EXCESS {title}: the backup is shorter than the main in {len(state.tight)} of {count} "
            f"bays ({where}; least {least})."
        )
    worst = int(np.argmax(np.where(state.excess < 0.0, state.backup_share, -1.0)))
    return (
        f"NEGATIVE EXCESS {title}: in {len(state.tight)} of {count} bays ({where}; least {least}) the backup "
        f"carries load before the main fails: up to {at_most(float(state.backup_share[worst]), 'ratio')} "
        f"of the pair's tension, {format_si(float(state.backup_tension[worst]), 'force')} beside "
        f"{format_si(float(state.main_tension[worst]), 'force')} on the main.{_overloaded(state, layout)}"
    )


def _overloaded(state: ExcessState, layout: Layout) -> str:
    """What the tapes of a tight backup would have to carry along the line, where that is more than tape does."""
    taped = np.array([tape.kind == "tape" for tape in layout.tapes], dtype=bool)
    most = float(np.max(np.abs(np.diff(state.backup_tension))[taped], initial=0.0))
    if most <= TAPE_SHEAR:
        return ""
    return (
        f" TAPES THERE WOULD HAVE TO CARRY up to {at_most(most, 'force')} along the line, and tape carries about "
        "25 N to 125 N (estimate, no source): they shear or slip, the backup then helps less, and all hangs deeper."
    )

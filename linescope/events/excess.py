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
from linescope.notes import Bays, Kind, Note, Quantity, Severity, Term, Value
from linescope.rig import Rig
from linescope.rig.layout import Layout, anchor_detour
from linescope.shown import Outlined
from linescope.statics import BayResults, Plan, Solution, plan, solve
from linescope.statics.minimise import Minimum
from linescope.statics.results import bays_of, line_shapes
from linescope.statics.solution import freeze

Floats = NDArray[np.float64]
ExcessName = Literal["slack", "standing", "walker", "fall"]

TAPE_SHEAR = (25.0, 125.0)
"""What a tape carries along the line: glue of 20 to 100 kPa on 25 mm x 50 mm, from memory.  [N]"""


class LoopsNote(Kind):
    """What is said of the loops."""

    NEGATIVE_SLACK = "loops-negative-slack"
    NEGATIVE = "loops-negative"
    TAPE_SHEAR = "loops-tape-shear"


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class ExcessState(Outlined):
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


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class FourStates(Outlined):
    """Excess in every state that is known for a rig.

    Attributes
    ----------
    rig : Rig
    states : tuple of ExcessState
        Slack and standing always; walker and fall when there are such.
    notes : tuple of Note
        What the user must be told, the last state first.
    """

    rig: Rig
    states: tuple[ExcessState, ...]
    notes: tuple[Note, ...]

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
    fall_state: Solution | Minimum | BayResults | None = None,
    *,
    state: Literal["as taped", "settled"] = "as taped",
    planned: Plan | None = None,
    standing: Solution | None = None,
    walked: Solution | None = None,
) -> FourStates:
    """Excess, loop depth and the backup's share of the load, per bay and state.

    Parameters
    ----------
    rig : Rig
    fall_state : Solution, Minimum or BayResults, optional
        The pair at the lowest point of a leash fall; a Minimum must be of the same rig's pair.
    state : {"as taped", "settled"}
        Of the sliders, for standing and walker.
    planned : Plan, optional
        Of the same rig, when it is known.
    standing, walked : Solution, optional
        Without and with the walker, in that state, when they are known.

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
    if standing is None:
        standing = solve(rig.without_walker(), state, planned=planned, look_for_others=False)
    states.append(state_of("standing", rig, layout, standing.bays))
    if rig.walker is not None:
        if walked is None:
            walked = solve(rig, state, planned=planned, look_for_others=False)
        states.append(state_of("walker", rig, layout, walked.bays))
    if fall_state is not None:
        states.append(state_of("fall", rig, layout, _bays(fall_state)))
    notes = tuple(note for entry in reversed(states) for note in _notes(entry, layout))
    return FourStates(rig=rig, states=tuple(states), notes=notes)


def _bays(found: Solution | Minimum | BayResults) -> BayResults:
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


def state_of(name: ExcessName, rig: Rig, layout: Layout, bays: BayResults) -> ExcessState:
    """Excess of any solved state of a rig.

    Parameters
    ----------
    name : {"standing", "walker", "fall"}
    rig : Rig
    layout : Layout
    bays : BayResults
        Of the state.

    Raises
    ------
    InputError
        When the bays are not those of the layout.
    """
    if len(bays.excess) != len(layout.bays_main):
        raise InputError(
            "this state belongs to another rig",
            key=name,
            found=f"{len(bays.excess)} bays",
            allowed=f"{len(layout.bays_main)} bays",
        )
    strain = rig.main.now.at(bays.main_tension)[0]
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


def _notes(state: ExcessState, layout: Layout) -> list[Note]:
    """Negative excess, and what the tapes would have to carry then."""
    if not state.tight:
        return []
    values: dict[str, Value] = {
        "state": Term(f"loops-state-{state.name}"), "count": len(state.tight), "total": len(state.excess),
        "bays": Bays(state.tight), "least": Quantity(float(state.excess.min()), "ratio"),
    }
    if state.name == "slack":
        return [Note(kind=LoopsNote.NEGATIVE_SLACK, severity=Severity.DANGER, values=values)]
    worst = int(np.argmax(np.where(state.excess < 0.0, state.backup_share, -1.0)))
    share = float(state.backup_share[worst])
    values |= {
        "share": Quantity(share, "ratio", "up"),
        "backup": Quantity(float(state.backup_tension[worst]), "force"),
        "main": Quantity(float(state.main_tension[worst]), "force"),
    }
    notes = [Note(kind=LoopsNote.NEGATIVE, severity=Severity.DANGER, values=values, weight=share)]
    taped = np.array([tape.kind == "tape" for tape in layout.tapes], dtype=bool)
    most = float(np.max(np.abs(np.diff(state.backup_tension))[taped], initial=0.0))
    if most > TAPE_SHEAR[1]:
        low, high = (Quantity(force, "force") for force in TAPE_SHEAR)
        values = {"state": values["state"], "force": Quantity(most, "force", "up"), "least": low, "most": high}
        weight = most / TAPE_SHEAR[1]
        notes.append(Note(kind=LoopsNote.TAPE_SHEAR, severity=Severity.CHECK, values=values, weight=weight))
    return notes

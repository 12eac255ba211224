"""What was assumed, dropped or not known in a clearance, in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from linescope.clearance.bodies import FALL_LINE, SLID_LINE
from linescope.clearance.distance import GroundIndex
from linescope.clearance.states import Case
from linescope.clearance.table import CurveGroup, Worst
from linescope.clearance.zones import no_fall_zones
from linescope.rig import Rig


def notes_of(
    rig: Rig,
    index: GroundIndex,
    cases: Sequence[Case],
    best: Mapping[CurveGroup, Worst],
    *,
    zone: float,
    wind: bool,
    tried: int,
    finest: float,
    lost: Sequence[CurveGroup],
) -> tuple[str, ...]:
    """Notes of a sweep, worst first.

    Parameters
    ----------
    rig : Rig
    index : GroundIndex
    cases : sequence of Case
        Looked at.
    best : mapping of CurveGroup to Worst
        What was found.
    zone : float
        So near to an anchor nothing is compared. [m]
    wind : bool
        Whether wind was looked at.
    tried : int
        Walker positions.
    finest : float
        How near together they are around the worst places. [m]
    lost : sequence of CurveGroup
        Those without known ground straight below.
    """
    notes = [*index.terrain.notes]
    if rig.needs is None:
        notes.insert(0, "NO DISTANCE IS ASKED FOR in this scene: only touching the ground counts as not met.")
    if zone > 0.0:
        notes.append(
            f"Within {zone:.2g} m of the anchors nothing is compared: lines come down to the rock there; the "
            "distances are listed apart. Farther out, rock of those stretches that lies beside rather than below (the "
            "cliff an anchor stands on) is compared with survey error and margin alone; what is nearer than asked for "
            "is listed apart."
        )
    if index.is_one_sheet and not index.terrain.is_height_field:
        notes.append("The mesh shows no overhang: whatever is below it counts as inside the ground (assumed).")
    if not index.is_signed:
        notes.append(
            "The mesh is neither closed nor known as a height field: what lies inside rock is not told apart, only "
            "what touches it."
        )
    if lost:
        notes.append(f"No ground is known straight below: {', '.join(f'{g.kind} ({g.cause})' for g in lost)}.")
    if rig.walker is None:
        notes.append("Nobody is on the line: no walker, no falls.")
    else:
        notes.append(
            f"{tried} walker positions were tried, around the worst places at most {finest:.2g} m "
            "apart. Falls and loss of the main start as taped in still air and are bounds: no damping, no line "
            "inertia; where tapes slide, the lower one of falls with tapes that hold and with free ones (no "
            "friction), and of a loss of the main the lowest with all that the lost main has stored going into the "
            "catch and its weight hanging on the backup."
        )
        notes.append(
            "No-fall zones are for a ring that stays where it is on the main. A ring that runs carries him along the "
            "line after the fall, over other ground: how low feet can get then is a place of its own in the list, and "
            "where they get too near is listed apart (bound, no friction: real rings stop sooner)."
        )
        notes[:0] = _dragged(rig, best)
    if not wind or rig.wind is None:
        notes.append("Still air only: no wind was looked at.")
    causes = [cause for case in cases for cause in (case.cause, case.cause.replace(*case.mirrored))]
    notes.append(f"Looked at: {'; '.join(dict.fromkeys(causes))}.")
    if any(case.crossing is not None for case in cases):
        notes.append(
            "Settled sliders follow the walker without friction (where several settled states exist, one of them); "
            "after a crossing they stay where its nearest step left them. Both are bounds of what real tapes do; "
            "in wind, slides limited by friction lie between."
        )
    return tuple(notes)


def _dragged(rig: Rig, best: Mapping[CurveGroup, Worst]) -> list[str]:
    """From where a leash fall drags main or backup onto the ground, outside the anchor zones."""
    least: dict[float, float] = {}
    for group, worst in best.items():
        # Loops that have slid to the ground lie there without a fall.
        mine = group.family == FALL_LINE or (group.family == SLID_LINE and group.kind == "line")
        if mine and not group.zone and worst.walker is not None:
            least[worst.walker] = min(least.get(worst.walker, np.inf), worst.distance)
    at = np.array(sorted(least))
    off = 0.0 if rig.needs is None else rig.needs.survey_error
    zones = no_fall_zones(at, np.array([least[a] - off for a in at.tolist()]), rig.span) if len(at) else ()
    if not zones:
        return []
    where = ", ".join(f"{zone.from_a[0]:.0f} m to {zone.from_a[1]:.0f} m" for zone in zones)
    return [
        f"LEASH FALLS DRAG THE LINE ONTO THE GROUND: main or backup meets it (survey error included) in falls from "
        f"{where} from A, though the body may clear it. The catch is computed without the ground."
    ]

"""What was assumed, dropped or not known in a clearance."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from linescope.notes import Kind, Note, Place, Quantity, Severity, Stretches, Term

if TYPE_CHECKING:
    from linescope.clearance.distance import GroundIndex
    from linescope.clearance.finding import NoFallZone
    from linescope.clearance.states import Case
    from linescope.clearance.why import Why
    from linescope.events.deeper import Deeper
    from linescope.rig import Rig


class ClearanceNote(Kind):
    """What is said of a clearance."""

    NOT_ASKED = "clearance-not-asked"
    ZONE = "clearance-zone-basis"
    ZONE_CUT = "clearance-zone-cut"
    ONE_SHEET = "clearance-one-sheet"
    UNSIGNED = "clearance-unsigned"
    TURNED = "clearance-turned"
    ROOFS = "clearance-roofs"
    OVERHEAD = "clearance-overhead"
    LOST = "clearance-lost"
    NO_WALKER = "clearance-no-walker"
    TRIED = "clearance-tried"
    RING = "clearance-ring"
    IN_TIME = "clearance-in-time"
    NOT_IN_TIME = "clearance-not-in-time"
    DRAGGED = "clearance-dragged"
    STILL_ONLY = "clearance-still-only"
    LOOKED_AT = "clearance-looked-at"
    SETTLED = "clearance-settled"
    IN_ROCK = "clearance-in-rock-at-anchor"
    UNKNOWN = "clearance-unknown"
    HOLES = "clearance-holes"
    SHORT = "clearance-short"
    KEPT = "clearance-kept"
    NOT_SHOWN = "clearance-not-shown"
    NOT_COMPARED = "clearance-not-compared"
    NOTHING_COMPARED = "clearance-nothing-compared"
    NEEDED = "clearance-needed"


KIND = {kind: Term(f"clearance-kind-{kind}") for kind in ("line", "loop", "leash", "body")}


def notes_of(
    rig: Rig,
    index: GroundIndex,
    cases: Sequence[Case],
    drags: Sequence[NoFallZone],
    *,
    zone: float,
    wind: bool,
    tried: int,
    finest: float,
    deeper: Deeper | None,
    lost: Sequence[Why],
) -> tuple[Note, ...]:
    """Notes of a sweep.

    Parameters
    ----------
    rig : Rig
    index : GroundIndex
    cases : sequence of Case
        Looked at.
    drags : sequence of NoFallZone
        From where a leash fall takes the main, but not who falls, down to the ground.
    zone : float
        So near to an anchor nothing is compared. [m]
    wind : bool
        Whether wind was looked at.
    tried : int
        Walker positions.
    finest : float
        How near together they are around the worst places. [m]
    deeper : Deeper or None
        What was looked at of falls in time.
    lost : sequence of Why
        Causes without known ground straight below.
    """
    notes = [*index.terrain.notes, *_of_ground(rig, index)]

    def say(kind: ClearanceNote, severity: Severity = Severity.BASIS, **values: object) -> None:
        notes.append(Note(kind=kind, severity=severity, values=values))  # type: ignore[arg-type]

    if rig.needs is None:
        say(ClearanceNote.NOT_ASKED, Severity.CHECK)
    if zone > 0.0:
        say(ClearanceNote.ZONE, length=Quantity(zone, "length"))
        if rig.needs is not None and rig.needs.anchor_zone > zone:
            say(
                ClearanceNote.ZONE_CUT, Severity.LIMIT, length=Quantity(zone, "length"),
                asked=Quantity(rig.needs.anchor_zone, "length"),
            )
    if lost:
        say(ClearanceNote.LOST, Severity.LIMIT, list=tuple(why.note for why in dict.fromkeys(lost)))
    if rig.walker is None:
        say(ClearanceNote.NO_WALKER, Severity.LIMIT)
    else:
        say(ClearanceNote.TRIED, count=tried, finest=Quantity(finest, "length", "up"))
        say(ClearanceNote.RING)
        if deeper is None:
            say(ClearanceNote.NOT_IN_TIME, Severity.LIMIT)
        else:
            say(ClearanceNote.IN_TIME, count=len(deeper.at), failed=deeper.failed)
        if drags:
            ends = tuple(zone.from_a for zone in drags)
            notes.append(Note(
                kind=ClearanceNote.DRAGGED, severity=Severity.DANGER, values={"stretches": Stretches(ends)},
                place=Place(*ends[0]),
            ))
    if not wind or rig.wind is None:
        say(ClearanceNote.STILL_ONLY, Severity.LIMIT)
    whys = [(case.why, case.why.other_side) if case.mirrored else (case.why,) for case in cases]
    airs = dict.fromkeys(why for each in whys for why in each)
    say(ClearanceNote.LOOKED_AT, causes=tuple(why.weather for why in airs))
    if any(case.crossing is not None for case in cases):
        say(ClearanceNote.SETTLED)
    return tuple(notes)


def _of_ground(rig: Rig, index: GroundIndex) -> list[Note]:
    """What the ground's pieces are taken for."""
    if index.terrain.is_height_field:
        return []
    if index.is_one_sheet:
        return [Note(kind=ClearanceNote.ONE_SHEET, severity=Severity.BASIS)]
    notes = []
    rock = index.rock
    if rock.solids.turned:
        notes.append(Note(kind=ClearanceNote.TURNED, severity=Severity.LIMIT, values={"count": rock.solids.turned}))
    if len(rock.roofs):
        notes.append(Note(kind=ClearanceNote.ROOFS, severity=Severity.LIMIT, values={"count": len(rock.roofs)}))
    if not index.is_signed:
        notes.append(Note(kind=ClearanceNote.UNSIGNED, severity=Severity.LIMIT))
    return [*notes, *_overhead(rig, index)]


def _overhead(rig: Rig, index: GroundIndex) -> list[Note]:
    """Rock above the straight line between the anchors that is not what the line is in."""
    share = np.linspace(0.0, 1.0, 401)
    chord = rig.main_a + share[:, None] * (rig.main_b - rig.main_a)
    position, _, z, _ = index.plumb.over(chord[:, :2])
    gap = z - chord[position, 2]
    over = (gap > 0.0) & ~index.inside(chord)[position]
    if not over.any():
        return []
    at = np.unique(position[over])
    runs = np.split(at, np.flatnonzero(np.diff(at) > 1) + 1)
    step = rig.span / 400.0
    ends = tuple((max(float(run[0]) - 1.0, 0.0) * step, min(float(run[-1]) + 1.0, 400.0) * step) for run in runs)
    return [Note(
        kind=ClearanceNote.OVERHEAD, severity=Severity.CHECK,
        values={"stretches": Stretches(ends), "distance": Quantity(float(gap[over].min()), "length", "down")},
        place=Place(*ends[0]),
    )]

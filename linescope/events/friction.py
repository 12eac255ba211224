"""What tapes resist: hold = drag + friction x normal force, and where a clean slider starts to run downhill."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from linescope.notes import Kind, Note, Place, Quantity, Severity, Stretches
from linescope.rig.layout import Layout
from linescope.shown import Outlined
from linescope.statics.solution import Solution, freeze
from linescope.taping import Holds

Floats = NDArray[np.float64]
HoldLevel = Literal["low", "value", "high"]


def hold_values(layout: Layout, level: HoldLevel) -> tuple[Floats, Floats]:
    """Drag and friction coefficient of every tape at one level of their bands.

    Ties and tapes that hold both lines get infinite drag.

    Returns
    -------
    drag : (t,) array
        [N]
    friction : (t,) array
        [-]
    """
    slides = np.array([tape.holds is not Holds.BOTH for tape in layout.tapes], dtype=bool)
    drag = np.array([getattr(tape.hold.drag, level) for tape in layout.tapes], dtype=float)
    friction = np.array([getattr(tape.hold.friction, level) for tape in layout.tapes], dtype=float)
    return np.where(slides, drag, np.inf), np.where(slides, friction, 0.0)


class DownhillNote(Kind):
    """What is said of slopes that start sliders."""

    ZONE = "sliding-downhill"
    NONE = "sliding-no-downhill"


@dataclass(frozen=True, kw_only=True)
class DownhillZone:
    """Neighbouring sliding tapes that the weight of their loops alone pulls downhill.

    Attributes
    ----------
    first, last : int
        Tape numbers.
    start, end : float
        Distance from anchor A along the straight line.  [m]
    steepest : float
        Largest slope of the main there.  [rad]
    """

    first: int
    last: int
    start: float
    end: float
    steepest: float


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Downhill(Outlined):
    """Slope of the main at every tape against the slope at which a clean slider runs downhill.  Arrays are (t,).

    Attributes
    ----------
    slope : array
        Of the main at the tape, positive uphill towards B.  [rad]
    threshold : array
        Slope at which drag and friction are used up; inf where nothing slides.  [rad]
    zones : tuple of DownhillZone
    """

    slope: Floats
    threshold: Floats
    zones: tuple[DownhillZone, ...]


def downhill(solution: Solution, level: HoldLevel = "value") -> Downhill:
    """Where tan(slope) exceeds friction + drag / (loop weight at the tape).

    Parameters
    ----------
    solution : Solution
    level : {"low", "value", "high"}

    Notes
    -----
    The loop weight at a tape is that of half of each loop beside it.  The rule is for equal loops on both sides, as
    taped; a slope that passes it starts the tape off, and uneven loops can start it earlier or hold it back.
    """
    drag, friction = hold_values(solution.layout, level)
    main = solution.main
    tape_nodes = np.flatnonzero(np.diff(main.bay) > 0) + 1
    forces = main.segments.force_start[tape_nodes] + main.segments.force_end[tape_nodes - 1]
    slope = np.arctan2(forces[:, 2], np.hypot(forces[:, 0], forces[:, 1]))
    loops = solution.bays.loop_length
    weight = float(np.linalg.norm(solution.loads[1])) * 0.5 * (loops[:-1] + loops[1:])
    threshold = np.where(np.isfinite(drag), np.arctan(friction + drag / weight), np.inf)
    rig = solution.rig
    along = (rig.main_b - rig.main_a) / rig.span
    station = (solution.tape_points - rig.main_a) @ along
    beyond = np.abs(slope) > threshold
    edges = np.flatnonzero(np.diff(np.concatenate(([0], beyond.astype(int), [0]))))
    zones = tuple(
        DownhillZone(
            first=int(a) + 1, last=int(b), start=float(station[a]), end=float(station[b - 1]),
            steepest=float(np.max(np.abs(slope[a:b]))),
        )
        for a, b in zip(edges[::2], edges[1::2], strict=True)
    )
    result = Downhill(slope=slope, threshold=threshold, zones=zones)
    freeze(result)
    return result


def downhill_notes(found: Downhill) -> tuple[Note, ...]:
    """Every zone in which slope alone starts a clean slider, or that there is none.

    Parameters
    ----------
    found : Downhill
    """
    if not found.zones:
        return (Note(kind=DownhillNote.NONE, severity=Severity.BASIS),)
    return tuple(
        Note(
            kind=DownhillNote.ZONE, severity=Severity.CHECK, weight=zone.steepest, place=Place(zone.start, zone.end),
            values={
                "first": zone.first, "last": zone.last, "stretch": Stretches(((zone.start, zone.end),)),
                "slope": Quantity(zone.steepest, "angle"),
            },
        )
        for zone in found.zones
    )

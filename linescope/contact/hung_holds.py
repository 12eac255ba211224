"""One hold after the other on all sliders: what runs when the line is hung, and what a walk sets going."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from linescope.contact.pacing import Pacer
from linescope.errors import InputError
from linescope.rig import Band, Rig
from linescope.statics import Plan, Solution, plan, solve
from linescope.statics.assemble import G
from linescope.taping import Holds

Floats = NDArray[np.float64]

MASSES = (0.0, 0.005, 0.010, 0.020, 0.050, 0.100)
"""Hung on a sample tape, which just carries them. [kg]"""
PER_BAY = 3
"""Steps of the walk in each bay; nine change no loop by more than a centimetre on the shipped line. [-]"""


@dataclass(frozen=True, eq=False, kw_only=True)
class HungHold:
    """A rig whose sliders all have one drag.  n bays.

    Attributes
    ----------
    mass : float
        Whose weight the drag is.  [kg]
    hung, walked : (n,) array
        Loop depth once the line is hung, and after one walk there and back, nobody on it.  [m]
    edges : (n+1,) array
        Of the bays after the walk, along the straight line from A.  [m]
    ran_hung, ran_walked : float
        Most through one tape when the line was hung, and in the walk, both ways added.  [m]
    """

    mass: float
    hung: Floats
    walked: Floats
    edges: Floats
    ran_hung: float
    ran_walked: float


def hung_holds(rig: Rig, masses: tuple[float, ...] = MASSES, per_bay: int = PER_BAY) -> tuple[HungHold, ...]:
    """The rig with one hold after the other, friction as it is.

    Parameters
    ----------
    rig : Rig
        With a walker and sliders.
    masses : tuple of float
        [kg]
    per_bay : int
        Steps of the walk in each bay.

    Raises
    ------
    InputError
        When nobody walks, or nothing slides.
    NoEquilibrium
    """
    if rig.walker is None:
        raise InputError("this lesson walks over the line, and nobody is there", key="walker")
    if all(zone.holds is Holds.BOTH for zone in rig.taping.zones):
        raise InputError(
            "this lesson needs sliders; nothing runs through tapes that hold both lines", key="taping.zones",
            found="fixed wraps", allowed='a slider, such as "main-held slider"',
        )
    found = []
    for mass in masses:
        drag = Band(low=mass * G, value=mass * G, high=mass * G)
        zones = tuple(
            zone if zone.hold is None else replace(zone, hold=replace(zone.hold, drag=drag))
            for zone in rig.taping.zones
        )
        laid = plan(replace(rig, hold=replace(rig.hold, drag=drag), taping=replace(rig.taping, zones=zones)))
        pacer = Pacer(laid.rig, "value", laid)
        before, hung = pacer.taped, pacer.slide.copy()
        lap = pacer.lap(per_bay)
        rest, after = (standing_at(laid, slide).bays for slide in (hung, lap.slide[-1]))
        found.append(HungHold(
            mass=mass, hung=rest.loop_depth, walked=after.loop_depth, edges=np.append(after.start, after.end[-1]),
            ran_hung=float(np.abs(hung - before).max(initial=0.0)), ran_walked=float(lap.total_slip.max(initial=0.0)),
        ))
    return tuple(found)


def standing_at(laid: Plan, slide: Floats) -> Solution:
    """Nobody on the line, sliders at material coordinates (t,) of the line that slides.  [m]"""
    layout = laid.layout
    on_main = np.array([tape.holds is Holds.BACKUP for tape in layout.tapes], dtype=bool)
    slides = np.array([tape.holds is not Holds.BOTH for tape in layout.tapes], dtype=bool)
    moved = replace(
        layout, tape_main=np.where(on_main, slide, layout.tape_main),
        tape_backup=np.where(slides & ~on_main, slide, layout.tape_backup),
    )
    empty = laid.rig.without_walker()
    return solve(empty, planned=replace(laid, rig=empty, layout=moved))

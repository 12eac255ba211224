"""Invented rigs for the tests of touch and rub."""

from __future__ import annotations

import functools
from dataclasses import replace

from linescope.contact.pacing import Pacer
from linescope.contact.slides import History, betweens, walk_history
from linescope.contact.wear import Wear, find_wear
from linescope.rig import Band, Hold, Rig, Spacing, Use, Walker, Wind
from linescope.statics import Plan, plan
from linescope.taping import Holds
from tests.statics.random_rigs import plain_rig

LOOSE = Hold(drag=Band(low=0.0, value=0.0, high=0.5), friction=Band(low=0.05, value=0.1, high=0.3))


def walked_rig(holds: Holds, **more) -> Rig:
    """30 m, soft enough that clean sliders slip when somebody walks."""
    given = {"span": 30.0, "tension": 1200.0, "excess": 0.06, "measured_on": "tensioned"} | more
    return replace(plain_rig(holds=holds, walker=Walker(mass=75.0, at=0.5 * given["span"]), **given), hold=LOOSE)


def tight_rig(holds: Holds, **more) -> Rig:
    """The same with a backup that has no slack left when somebody walks."""
    return walked_rig(holds, **({"excess": 0.001} | more))


def uneven_rig(holds: Holds, slope: float) -> Rig:
    """36 m with irregular bays."""
    spacing = Spacing(kind="irregular", every=3.0, spread=0.25, seed=3)
    return walked_rig(holds, span=36.0, slope=slope, spacing=spacing, tension=1500.0)


@functools.cache
def walked(holds: Holds, crossings: int = 3, per_bay: int = 3) -> tuple[Plan, History]:
    """Crossings of `walked_rig` at the hold's value."""
    rig = walked_rig(holds)
    planned = plan(rig)
    return planned, walk_history(
        rig, "value", planned=planned, between=betweens(rig, planned.layout), crossings=crossings, per_bay=per_bay
    )


@functools.cache
def worn(holds: Holds) -> Wear:
    """A short day on `walked_rig`, walked in few steps."""
    rig = walked_rig(holds)
    return find_wear(rig, Use(crossings=4, wind_hours=2.0), wind=breeze(rig), per_bay=3)


def pacer(rig: Rig, level="value") -> Pacer:
    return Pacer(rig, level, plan(rig))


def breeze(rig: Rig, speed: float = 6.0) -> Wind:
    """Wind square to a line along x."""
    return Wind(speed=speed, towards=(0.0, 1.0))

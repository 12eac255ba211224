"""What wind puts on the two lines and on the walker.

Assumed: the drag of a strip is horizontal and does not depend on its attitude (a stated exposure stands for
its twisting), and only the part of the wind across the line pushes (cross-flow principle, Hoerner 1965,
from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from linescope.errors import InputError
from linescope.events.air import ROUND_ROPE, Coating, strip_drag, velocity_pressure
from linescope.rig import Rig, Wind
from linescope.statics import Loading, Plan
from linescope.statics.assemble import G
from linescope.statics.solution import freeze
from linescope.statics.solve import still_air
from linescope.webbing import Webbing

Floats = NDArray[np.float64]

# Drag area (coefficient x area) of a person standing edge-on to the wind [m^2]; from memory.
BODY_AREA = 0.6


@dataclass(frozen=True, eq=False, kw_only=True)
class WindLoad:
    """What a wind speed puts on the lines.

    Attributes
    ----------
    speed : float
        Of the air.  [m/s]
    pressure : float
        Velocity pressure of its part across the line.  [Pa]
    towards : (3,) array
        Horizontal unit vector across the line that the drag points along.  [-]
    main, backup : float
        Drag per unstretched metre.  [N/m]
    body : float
        Drag on the walker.  [N]
    main_angle, backup_angle : float
        Static blow-out angle of a level line, atan(drag / weight).  [rad]
    """

    speed: float
    pressure: float
    towards: Floats
    main: float
    backup: float
    body: float
    main_angle: float
    backup_angle: float


def _across(rig: Rig, towards: tuple[float, float]) -> Floats:
    """(3,) the part of a horizontal unit vector across the line from A to B in plan."""
    line = rig.main_b - rig.main_a
    line = line[:2] / math.hypot(line[0], line[1])
    wind = np.array(towards, dtype=float)
    size = math.hypot(*wind)
    if not math.isfinite(size) or size <= 0.0:
        raise InputError("the wind needs a direction", key="wind.from", found=towards)
    wind = wind / size
    return np.append(wind - (wind @ line) * line, 0.0)


def _width_seen(line: Webbing, wind: Wind, added: float) -> tuple[float, float, float]:
    """Width [m], drag coefficient and exposure of a line."""
    if line.is_rope:
        return line.width + added, ROUND_ROPE, 1.0
    return line.width + added, wind.drag_coefficient, wind.exposure


def wind_load(
    rig: Rig, wind: Wind, speed: float, *, coating: Coating | None = None, body_area: float = BODY_AREA
) -> WindLoad:
    """Drag on both lines and on the walker at one speed.

    Parameters
    ----------
    rig : Rig
    wind : Wind
        Direction, drag coefficient, exposure, air density.
    speed : float
        [m/s]
    coating : Coating, optional
        Ice widens what the wind sees, and its mass takes the place of the rig's weather.
    body_area : float
        Drag area of the walker.  [m^2]

    Raises
    ------
    InputError
    """
    if not (math.isfinite(speed) and 0.0 <= speed <= 150.0):
        raise InputError("no such wind", key="wind.speed", found=f"{speed:g} m/s", allowed="0 to 150 m/s")
    part = _across(rig, wind.towards)
    share = float(np.linalg.norm(part))
    if share > 1e-9:
        towards = part / share
    else:
        run = rig.main_b - rig.main_a
        towards = np.array([-run[1], run[0], 0.0]) / math.hypot(run[0], run[1])
        share = 0.0
    pressure = float(velocity_pressure(speed * share, wind.air_density))
    weather = rig.weather if coating is None else coating.weather
    drag, angle = [], []
    for line, added, width in (
        (rig.main, weather.main_added, coating.main_width if coating else 0.0),
        (rig.backup, weather.backup_added, coating.backup_width if coating else 0.0),
    ):
        seen, coefficient, exposure = _width_seen(line, wind, width)
        drag.append(float(strip_drag(pressure, seen, coefficient, exposure)))
        angle.append(math.atan2(drag[-1], (line.mass + added) * G))
    load = WindLoad(
        speed=speed,
        pressure=pressure,
        towards=towards,
        main=drag[0],
        backup=drag[1],
        body=pressure * body_area if rig.walker is not None else 0.0,
        main_angle=angle[0],
        backup_angle=angle[1],
    )
    freeze(load)
    return load


def wind_loading(rig: Rig, planned: Plan, load: WindLoad, coating: Coating | None = None) -> Loading:
    """The loading that `linescope.statics.solve` takes: still air plus drag.

    Parameters
    ----------
    rig : Rig
    planned : Plan
    load : WindLoad
    coating : Coating, optional
        Water or ice that weighs as well.
    """
    if coating is not None:
        rig = coating.on(rig)
    calm = still_air(rig, planned)
    push = load.body * load.towards
    return replace(
        calm,
        walkers=tuple((at, force + push) for at, force in calm.walkers),
        main_wind=load.main * load.towards,
        backup_wind=load.backup * load.towards,
    )

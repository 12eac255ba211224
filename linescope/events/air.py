"""Air: density with altitude, velocity pressure, gusts by height, drag of a strip; ice and water on lines."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linescope.errors import InputError
from linescope.notes import Kind, Note, Quantity, Severity, Value
from linescope.rig import Band, Rig, Weather
from linescope.webbing import Webbing

Floats = NDArray[np.float64]

# Drag coefficients; sources in `strip_drag`.
FLAT_STRIP = 2.0  # Of a long flat strip broadside: the upper bound.
SQUARE_PLATE = 1.17  # Of a square plate broadside: the lower bound for a flat thing broadside.
ROUND_ROPE = 1.2  # Of a long cylinder below the critical Reynolds number; Hoerner, from memory.

# Water taken up, as a share of the dry mass: from memory, no source.
SOAKED_NYLON = Band(low=0.10, value=0.20, high=0.30)
SOAKED_POLYESTER = Band(low=0.03, value=0.06, high=0.10)
GLAZE = 900.0  # Density of clear ice [kg/m^3]; ISO 12494, from memory.


class AirNote(Kind):
    """What is assumed to lie on the lines."""

    ICE = "wind-basis-ice"
    SOAKED = "wind-basis-soaked"


def velocity_pressure(speed: ArrayLike, density: ArrayLike = 1.225) -> Floats:
    """Pressure of moving air, density x speed^2 / 2.

    Parameters
    ----------
    speed : float or (n,) array
        [m/s]
    density : float or (n,) array
        [kg/m^3]

    Returns
    -------
    () or (n,) array
        [Pa]

    References
    ----------
    .. [1] EN 1991-1-4:2005, equation (4.10).
    """
    return np.asarray(0.5 * np.asarray(density) * np.asarray(speed, dtype=float) ** 2)


def _check_height(height: float, roughness: float) -> None:
    if not (roughness > 0.0 and 10.0 * roughness <= height <= 200.0):
        raise InputError(
            "the logarithmic wind profile does not hold at this height",
            key="height",
            found=f"{height:g} m",
            allowed=f"{10.0 * roughness:g} to 200 m over ground of roughness {roughness:g} m",
        )


def mean_speed(basic_speed: float, height: float, roughness: float = 0.05) -> float:
    """Ten-minute mean wind at a height, from the forecast's value at 10 m over open country.

    Parameters
    ----------
    basic_speed : float
        At 10 m above open country.  [m/s]
    height : float
        Above flat ground; a gorge or ridge changes the wind in ways this does not know.  [m]
    roughness : float
        Roughness length: 0.003 sea, 0.05 grass with few trees, 0.3 villages and woods, 1.0 town.  [m]

    References
    ----------
    .. [1] EN 1991-1-4:2005, equations (4.3) to (4.5).
    """
    _check_height(height, roughness)
    terrain = 0.19 * (roughness / 0.05) ** 0.07
    return float(basic_speed * terrain * math.log(height / roughness))


def gust_factor(height: float, roughness: float = 0.05) -> float:
    """Gust speed over ten-minute mean speed at a height.

    Parameters
    ----------
    height, roughness : float
        As in `mean_speed`.  [m]

    References
    ----------
    .. [1] EN 1991-1-4:2005, equations (4.7) and (4.8): peak pressure = (1 + 7/ln(z/z0)) x mean pressure.
    """
    _check_height(height, roughness)
    return math.sqrt(1.0 + 7.0 / math.log(height / roughness))


def strip_drag(
    pressure: ArrayLike, width: ArrayLike, coefficient: float = FLAT_STRIP, exposure: float = 1.0
) -> Floats:
    """Drag per metre of a long strip.

    Parameters
    ----------
    pressure : float or (n,) array
        Velocity pressure.  [Pa]
    width : float or (n,) array
        [m]
    coefficient : float
        Of the strip broadside.  [-]
    exposure : float
        Share of the width that the wind sees on average.  [-]

    Returns
    -------
    () or (n,) array
        [N/m]

    References
    ----------
    .. [1] S. F. Hoerner, *Fluid-Dynamic Drag*, 1965, chapter 3 (from memory).
    .. [2] *Aeronautical Engineer's Data Book*, figure 5.13(b): flat plate normal to the flow,
       1.17 when square, 1.98 when long.
    """
    return np.asarray(np.asarray(pressure, dtype=float) * coefficient * exposure * np.asarray(width))


@dataclass(frozen=True, kw_only=True)
class Coating:
    """Water or ice on both lines: the mass, what it does to the width, and what was assumed.

    Attributes
    ----------
    weather : Weather
        Added mass per metre.
    main_width, backup_width : float
        Added to the width that the wind sees.  [m]
    note : Note or None
    """

    weather: Weather
    main_width: float = 0.0
    backup_width: float = 0.0
    note: Note | None = None

    def on(self, rig: Rig) -> Rig:
        """The same rig, wet or iced."""
        return replace(rig, weather=self.weather)


def perimeter(line: Webbing) -> float:
    """Girth of a line's section: a rectangle, or a circle for a rope.  [m]"""
    return math.pi * line.width if line.is_rope else 2.0 * (line.width + line.thickness)


def sleeve_mass(girth: ArrayLike, thickness: ArrayLike, density: float = GLAZE) -> Floats:
    """Mass per metre of an even sleeve round any convex section.

    Parameters
    ----------
    girth : float or (n,) array
        Perimeter of the section.  [m]
    thickness : float or (n,) array
        Of the sleeve.  [m]
    density : float
        [kg/m^3]

    Returns
    -------
    () or (n,) array
        [kg/m]

    References
    ----------
    .. [1] J. Steiner 1840: area of the band = girth x thickness + pi thickness^2.
    """
    t = np.asarray(thickness, dtype=float)
    return np.asarray(density * t * (np.asarray(girth) + math.pi * t))


def ice_sleeve(rig: Rig, thickness: float, density: float = GLAZE) -> Coating:
    """Ice of even thickness round both lines.

    Parameters
    ----------
    rig : Rig
    thickness : float
        0 to 0.1.  [m]
    density : float
        [kg/m^3]

    Raises
    ------
    InputError
    """
    if not 0.0 <= thickness <= 0.1:
        raise InputError("no such ice", key="weather.ice", found=f"{thickness:g} m", allowed="0 to 0.1 m")
    main, backup = (
        float(sleeve_mass(perimeter(line), thickness, density)) for line in (rig.main, rig.backup)
    )
    values = {"thickness": Quantity(thickness, "length"), "density": Quantity(density, "density")}
    return _coating(main, backup, 2.0 * thickness, AirNote.ICE, values)


def soaked(rig: Rig, main: float = SOAKED_NYLON.value, backup: float | None = None) -> Coating:
    """Both lines soaked with water.

    Stretch and friction change as well when wet; that is not in here.

    Parameters
    ----------
    rig : Rig
    main : float
        Water over dry mass: see `SOAKED_NYLON` and `SOAKED_POLYESTER`.  [-]
    backup : float, optional
        The same for the backup; default as the main.  [-]

    Raises
    ------
    InputError
    """
    backup = main if backup is None else backup
    for key, share in (("weather.main_added", main), ("weather.backup_added", backup)):
        if not 0.0 <= share <= 2.0:
            raise InputError("no such share of water", key=key, found=f"{share:g}", allowed="0 to 2")
    values = {"main": Quantity(main, "ratio"), "backup": Quantity(backup, "ratio")}
    return _coating(main * rig.main.mass, backup * rig.backup.mass, 0.0, AirNote.SOAKED, values)


def _coating(main: float, backup: float, width: float, kind: AirNote, values: Mapping[str, Value]) -> Coating:
    return Coating(
        weather=Weather(main_added=main, backup_added=backup),
        main_width=width,
        backup_width=width,
        note=Note(kind=kind, severity=Severity.BASIS, values=values),
    )

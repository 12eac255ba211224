"""The standard atmosphere: how dense air is at an altitude."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linescope.errors import InputError

Floats = NDArray[np.float64]

# ISO 2533:1975, clauses 2.1 to 2.4.
STANDARD_GRAVITY = 9.80665  # 3rd CGPM, 1901 [m/s^2].
GAS = 287.05287  # Specific gas constant of air [J/(kg K)].
SEA_LEVEL_TEMPERATURE, SEA_LEVEL_PRESSURE = 288.15, 101325.0  # [K, Pa]
LAPSE = 0.0065  # [K/m], up to 11 km.
NOMINAL_EARTH_RADIUS = 6356766.0  # [m]
SEA_LEVEL_DENSITY = 1.225  # [kg/m^3]
LOWEST, HIGHEST = -2000.0, 11000.0  # Where these formulas hold [m].


def air_density(altitude: ArrayLike) -> Floats:
    """Density of the standard atmosphere at a geometric altitude.

    Parameters
    ----------
    altitude : float or (n,) array
        Geometric (surveyed) height above sea level, -2000 to 11000.  [m]

    Returns
    -------
    () or (n,) array
        [kg/m^3]

    Raises
    ------
    InputError
        Outside that range.

    References
    ----------
    .. [1] ISO 2533:1975, *Standard Atmosphere*: geopotential height H = r z/(r + z),
       T = 288.15 K - 6.5 K/km H, p = 101325 Pa (T/288.15)^(g/(R lapse)), density p/(R T).
    """
    z = np.asarray(altitude, dtype=float)
    if not np.all((z >= LOWEST) & (z <= HIGHEST)):
        raise InputError(
            "the standard atmosphere used here ends above this altitude",
            key="wind.altitude",
            found=altitude,
            allowed=f"{LOWEST:g} to {HIGHEST:g} m",
        )
    geopotential = NOMINAL_EARTH_RADIUS * z / (NOMINAL_EARTH_RADIUS + z)
    temperature = SEA_LEVEL_TEMPERATURE - LAPSE * geopotential
    pressure = SEA_LEVEL_PRESSURE * (temperature / SEA_LEVEL_TEMPERATURE) ** (STANDARD_GRAVITY / (GAS * LAPSE))
    return np.asarray(pressure / (GAS * temperature))

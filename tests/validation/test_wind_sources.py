"""Air, wind pressure, drag and ice against published figures."""

from __future__ import annotations

import math

import numpy as np
import pytest

from linescope.errors import InputError
from linescope.events.air import (
    FLAT_STRIP,
    SQUARE_PLATE,
    air_density,
    gust_factor,
    mean_speed,
    sleeve_mass,
    strip_drag,
    velocity_pressure,
)

POUND, FOOT, INCH, G = 0.45359237, 0.3048, 0.0254, 9.80665
POUND_FORCE = POUND * G
# Ice weighs 1.244 t (d + t) lb/ft in inches (from memory): the handbooks' rounded 57 lb/ft^3.
HANDBOOK_ICE = 1.244 * 144.0 / math.pi * POUND / FOOT**3


def test_standard_atmosphere_table_geometric_altitude() -> None:
    """ISO 2533 / ICAO table, density over that at sea level at geometric altitudes; four printed digits."""
    z = np.array([0.0, 500.0, 1000.0, 1500.0, 2000.0, 2500.0, 3000.0, 4000.0, 5000.0])
    printed = [1.0, 0.9529, 0.9075, 0.8638, 0.8217, 0.7812, 0.7423, 0.6689, 0.6012]
    np.testing.assert_allclose(air_density(z) / 1.225, printed, rtol=8e-5)
    # Densities remembered from the standard (from memory): these tell geometric from geopotential altitude.
    np.testing.assert_allclose(air_density([1000.0, 2000.0, 3000.0]), [1.11166, 1.00655, 0.909254], rtol=5e-6)


def test_altitudes_outside_the_standard_are_refused() -> None:
    for altitude in (-3000.0, 12000.0, math.nan):
        with pytest.raises(InputError, match=r"wind\.altitude"):
            air_density(altitude)


def test_velocity_pressure_of_the_worked_example() -> None:
    """Steel Buildings in Europe, Single-Storey Steel Buildings part 3, appendix B (EN 1991-1-4 4.5): 422.5
    N/m^2 at 26 m/s and 1.25 kg/m^3, exact; roughness coefficient 0.706 at 8 m over z0 = 0.3 m, from a rounded
    factor."""
    assert float(velocity_pressure(26.0, 1.25)) == pytest.approx(422.5, rel=1e-12)
    assert mean_speed(1.0, 8.0, 0.3) == pytest.approx(0.706, rel=2.5e-3)


@pytest.mark.parametrize(("height", "speed", "pressure"), [(77.36, 39.624, 1658.0), (28.0, 35.659, 1403.0)])
def test_peak_pressure_sheet(height: float, speed: float, pressure: float) -> None:
    """Public sheet "Wind pressure in buildings by Eurocode 1", terrain 0, 25 m/s, 1.25 kg/m^3; printed
    digits."""
    mean = mean_speed(25.0, height, 0.003)
    assert mean == pytest.approx(speed, abs=6e-4)
    peak = velocity_pressure(mean * gust_factor(height, 0.003), 1.25)
    assert float(peak) == pytest.approx(pressure, rel=4e-4)


def test_the_profile_is_not_used_outside_its_heights() -> None:
    for height, roughness in ((0.1, 0.05), (500.0, 0.05), (10.0, 0.0)):
        with pytest.raises(InputError, match="height"):
            gust_factor(height, roughness)


def test_usual_gust_factor_lies_with_the_code() -> None:
    """Gust factor 1.5 (common practice, no source) against EN 1991-1-4 over open country at 10 to 100 m."""
    assert gust_factor(100.0) < 1.5 < gust_factor(10.0)


def test_flat_plate_drag_coefficients() -> None:
    """Aeronautical Engineer's Data Book fig.  5.13(b): 1.17 square, 1.98 long; two handbooks agree within 2
    %."""
    assert pytest.approx(1.98, rel=0.02) == FLAT_STRIP
    assert pytest.approx(1.17, rel=0.02) == SQUARE_PLATE
    long = float(strip_drag(velocity_pressure(10.0), 0.025, 1.98))
    assert float(strip_drag(velocity_pressure(10.0), 0.025)) == pytest.approx(long, rel=0.02)


@pytest.mark.parametrize(
    ("diameter", "bare", "iced", "resultant", "swing", "tolerance"),
    [
        (1.108, 1.094, 2.094, 2.509, 18.5483394813, 2.5e-4),
        (1.026, 0.746, 1.696, 2.125, 21.7216607616, 6e-4),
    ],
)
def test_ice_and_wind_on_a_conductor(
    diameter: float, bare: float, iced: float, resultant: float, swing: float, tolerance: float
) -> None:
    """Grigsby (ed.), Electric Power Generation, Transmission, and Distribution, ch.  14, tables 14.5 and
    14.14: half an inch of ice and 4 lb/ft^2 of wind on 795 kcmil conductors; the code adds 0.30 lb/ft.  The
    swing angle atan(wind / vertical) was computed from those, not printed."""
    ice = float(sleeve_mass(math.pi * diameter * INCH, 0.5 * INCH, HANDBOOK_ICE)) * FOOT / POUND
    assert bare + ice == pytest.approx(iced, rel=tolerance)
    width = (diameter + 2 * 0.5) * INCH
    wind = float(strip_drag(4.0 * POUND_FORCE / FOOT**2, width, coefficient=1.0)) * FOOT / POUND_FORCE
    assert math.hypot(bare + ice, wind) + 0.30 == pytest.approx(resultant, rel=tolerance)
    assert math.degrees(math.atan2(wind, bare + ice)) == pytest.approx(swing, rel=1e-3)


def test_thick_ice_on_a_conductor() -> None:
    """The same table: 1.5 inches of ice on 1.108 inches, 5.961 lb/ft."""
    ice = float(sleeve_mass(math.pi * 1.108 * INCH, 1.5 * INCH, HANDBOOK_ICE)) * FOOT / POUND
    assert 1.094 + ice == pytest.approx(5.961, rel=4e-4)

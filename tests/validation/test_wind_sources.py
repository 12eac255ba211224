"""Air, wind pressure, drag and ice against published figures."""

from __future__ import annotations

import math

import numpy as np
import pytest

from linescope.errors import InputError
from linescope.events.air import (
    FLAT_STRIP,
    SQUARE_PLATE,
    gust_factor,
    mean_speed,
    sleeve_mass,
    strip_drag,
    velocity_pressure,
)
from linescope.rig.atmosphere import air_density
from tests.validation.record import BEYOND, DIGITS

OUTSIDE = {"area": "wind and air", "source": "EN 1991-1-4"}
POUND, FOOT, INCH, G = 0.45359237, 0.3048, 0.0254, 9.80665
POUND_FORCE = POUND * G
# Ice weighs 1.244 t (d + t) lb/ft in inches (from memory): the handbooks' rounded 57 lb/ft^3.
HANDBOOK_ICE = 1.244 * 144.0 / math.pi * POUND / FOOT**3


def test_standard_atmosphere_table_geometric_altitude(published, agrees) -> None:
    """ISO 2533 / ICAO table, density over that at sea level at geometric altitudes; four printed digits."""
    entry = published["A4-ISA-relative-density"]
    z, told = np.array(entry["inputs"]["z_geometric_m"]), {"source": "Standard atmosphere, ISO 2533"}
    agrees(
        "density over that at sea level, 0 to 5000 m", air_density(z) / 1.225, entry["expected"]["rho_rel"],
        entry=entry, **told
    )
    # These tell geometric from geopotential altitude.
    agrees(
        "density at 1, 2, 3 km", air_density([1000.0, 2000.0, 3000.0]), [1.11166, 1.00655, 0.909254], rel=5e-6,
        unit="kg/m³", known="from memory", **told,
    )


def test_altitudes_outside_the_standard_are_refused() -> None:
    for altitude in (-3000.0, 12000.0, math.nan):
        with pytest.raises(InputError, match=r"wind\.altitude"):
            air_density(altitude)


def test_velocity_pressure_of_the_worked_example(published, agrees) -> None:
    """Steel Buildings in Europe, Single-Storey Steel Buildings part 3, appendix B (EN 1991-1-4 4.5): 422.5
    N/m^2 at 26 m/s and 1.25 kg/m^3, exact; roughness coefficient 0.706 at 8 m over z0 = 0.3 m, from a rounded
    factor."""
    entry = published["A4-EN1991-velocity-pressure"]
    given, printed = entry["inputs"], entry["expected"]
    told = {"entry": entry, "source": "Steel Buildings in Europe, part 3 (EN 1991-1-4)"}
    pressure = float(velocity_pressure(given["vb_m_s"], given["rho_kg_m3"]))
    agrees("velocity pressure at 26 m/s", pressure, printed["qb_N_m2"], rel=1e-12, unit="N/m²", **told)
    agrees(
        "roughness coefficient at 8 m over z0 = 0.3 m", mean_speed(1.0, given["z_m"], given["z0_m"]), printed["cr_z8"],
        **told
    )


@pytest.mark.parametrize(("height", "place"), [("z_top_m", "top"), ("z_b_m", "28")])
def test_peak_pressure_sheet(published, agrees, height: str, place: str) -> None:
    """Public sheet "Wind pressure in buildings by Eurocode 1", terrain 0, 25 m/s, 1.25 kg/m^3; printed
    digits."""
    entry = published["A4-EN1991-peak-pressure-sheet"]
    given, printed = entry["inputs"], entry["expected"]
    z, z0 = given[height], given["z0_m"]
    told = {"entry": entry, "source": "Public sheet, wind pressure by EN 1991-1-4"}
    mean = mean_speed(given["vb_m_s"], z, z0)
    agrees("mean wind speed at 77.36 and 28 m", mean, printed[f"vm_{place}_m_s"], abs=6e-4, unit="m/s", **told)
    peak = velocity_pressure(mean * gust_factor(z, z0), given["rho_kg_m3"])
    agrees(
        "peak pressure at 77.36 and 28 m", float(peak) / 1e3, printed[f"qp_{place}_kN_m2"], rel=4e-4,
        unit="kN/m²", **told
    )


def test_the_profile_is_not_used_outside_its_heights() -> None:
    for height, roughness in ((0.1, 0.05), (500.0, 0.05), (10.0, 0.0)):
        with pytest.raises(InputError, match="height"):
            gust_factor(height, roughness)


def test_usual_gust_factor_lies_with_the_code(agrees) -> None:
    """Gust factor 1.5 (common practice, no source) against EN 1991-1-4 over open country at 10 to 100 m."""
    low, high = gust_factor(100.0), gust_factor(10.0)
    assert low < 1.5 < high
    agrees(
        "usual gust factor, between the code's at 100 m and 10 m", 1.5, 0.5 * (low + high), abs=0.5 * (high - low),
        known="common practice",
    )


def test_flat_plate_drag_coefficients(published, agrees) -> None:
    """Aeronautical Engineer's Data Book fig.  5.13(b): 1.17 square, 1.98 long; two handbooks agree within 2
    %."""
    entry = published["A4-flat-plate-drag"]
    told = {"entry": entry, "source": "Aeronautical Engineer's Data Book, fig. 5.13"}
    both = (entry["expected"]["Cd_long_plate"], entry["expected"]["Cd_square_plate"])
    agrees("drag coefficients of a long flat strip and a square plate", (FLAT_STRIP, SQUARE_PLATE), both, **told)
    long = float(strip_drag(velocity_pressure(10.0), 0.025, 1.98))
    assert float(strip_drag(velocity_pressure(10.0), 0.025)) == pytest.approx(long, rel=0.02)


@pytest.mark.parametrize("name", ["A4-ice-wind-resultant-795-26-7", "A4-ice-wind-resultant-795-37"])
def test_ice_and_wind_on_a_conductor(published, agrees, name: str) -> None:
    """Grigsby (ed.), Electric Power Generation, Transmission, and Distribution, ch.  14, tables 14.5 and
    14.14: half an inch of ice and 4 lb/ft^2 of wind on 795 kcmil conductors; the code adds 0.30 lb/ft.  The
    swing angle atan(wind / vertical) was computed from those, not printed."""
    entry = published[name]
    given, printed = entry["inputs"], entry["expected"]
    diameter, bare, thick = given["diameter_in"], given["bare_weight_lb_ft"], given["radial_ice_in"]
    told = {"entry": entry, "source": "Grigsby (ed.), Electric Power, ch. 14"}
    ice = float(sleeve_mass(math.pi * diameter * INCH, thick * INCH, HANDBOOK_ICE)) * FOOT / POUND
    agrees("weight of iced conductors", bare + ice, printed["w_ice_lb_ft"], unit="lb/ft", **told)
    width = (diameter + 2 * thick) * INCH
    wind = float(strip_drag(given["wind_psf"] * POUND_FORCE / FOOT**2, width, coefficient=1.0)) * FOOT / POUND_FORCE
    resultant = math.hypot(bare + ice, wind) + given["K_lb_ft"]
    agrees("ice and wind on conductors, vector sum", resultant, printed["resultant_plus_K_lb_ft"], unit="lb/ft", **told)
    swing = math.degrees(math.atan2(wind, bare + ice))
    agrees(BEYOND, swing, entry["verified_value"]["swing_deg"], rel=1e-3, **DIGITS)


def test_thick_ice_on_a_conductor(published, agrees) -> None:
    """The same table: 1.5 inches of ice on 1.108 inches, 5.961 lb/ft."""
    ice = float(sleeve_mass(math.pi * 1.108 * INCH, 1.5 * INCH, HANDBOOK_ICE)) * FOOT / POUND
    entry = published["A4-ice-wind-resultant-795-26-7"]
    agrees(
        "weight of iced conductors", 1.094 + ice, entry["expected"]["w_ice_1p5in_lb_ft"], rel=4e-4, unit="lb/ft",
        entry=entry, source="Grigsby (ed.), Electric Power, ch. 14",
    )

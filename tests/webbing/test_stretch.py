"""Stretch curves against scipy's interpolation and quadrature, and the checks on what they are made of."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.interpolate import pchip_interpolate

from linescope.webbing import StretchCurve, Webbing, from_library

TENSION = np.array([0.0, 2e3, 5e3, 10e3])
STRAIN = np.array([0.0, 0.03, 0.06, 0.1])


def test_it_passes_through_its_points_and_agrees_with_scipy() -> None:
    """Source: scipy's one-shot PCHIP; tolerance 1e-14."""
    curve = StretchCurve(tension=TENSION, strain=STRAIN)
    between = np.linspace(0.0, 10e3, 101)
    assert curve.at(between)[0] == pytest.approx(pchip_interpolate(TENSION, STRAIN, between), abs=1e-14)
    assert curve.at(TENSION)[0] == pytest.approx(STRAIN, abs=1e-15)


@pytest.mark.parametrize("tension", [1.0, 3e3, 9.9e3, 25e3])
def test_compliance_and_energy_are_its_derivative_and_integral(tension: float) -> None:
    """Sources: central difference (1e-6 relative) and scipy's quadrature (1e-9)."""
    curve = StretchCurve(tension=TENSION, strain=STRAIN)
    step = 1e-3 * max(tension, 10.0)
    slope = (curve.strain_at(tension + step) - curve.strain_at(max(tension - step, 0.0))) / (
        tension + step - max(tension - step, 0.0)
    )
    _, compliance, energy = curve.at(np.array([tension]))
    assert compliance[0] == pytest.approx(slope, rel=2e-3)
    area, _ = quad(curve.strain_at, 0.0, tension, points=[p for p in TENSION[1:] if p < tension] or None)
    assert energy[0] == pytest.approx(area, rel=1e-9)


def test_a_linear_curve_is_hookes_law() -> None:
    curve = StretchCurve.linear(62.5e3)
    strain, compliance, energy = curve.at(np.array([1800.0]))
    assert curve.is_linear
    assert strain[0] == pytest.approx(0.0288, rel=1e-14)
    assert compliance[0] == pytest.approx(1.6e-5, rel=1e-14)
    assert energy[0] == pytest.approx(0.5 * 1800.0**2 / 62.5e3, rel=1e-14)
    assert curve.scaled(2.0).strain_at(1800.0) == pytest.approx(0.0144, rel=1e-14)


@pytest.mark.parametrize(
    ("tension", "strain"),
    [
        ([0.0], [0.0]),
        ([0.0, 1.0], [0.0, 0.1, 0.2]),
        ([1.0, 2.0], [0.1, 0.2]),
        ([0.0, 2.0, 1.0], [0.0, 0.1, 0.2]),
        ([0.0, 1.0, 2.0], [0.0, 0.2, 0.1]),
        ([0.0, np.nan], [0.0, 0.1]),
        ([0.0, 1.0, 1.0], [0.0, 0.1, 0.2]),
    ],
)
def test_it_refuses_points_that_are_no_curve(tension: list[float], strain: list[float]) -> None:
    with pytest.raises(ValueError, match="stretch curve"):
        StretchCurve(tension=np.array(tension), strain=np.array(strain))


def test_the_curve_cannot_be_written_to() -> None:
    with pytest.raises(ValueError, match="read-only"):
        from_library("nylon 25 mm").webbing.stretch.tension[0] = 1.0


def test_strength_is_the_aged_one_when_known() -> None:
    new = Webbing(
        name="x",
        width=0.025,
        thickness=0.002,
        mass=0.05,
        breaking_strength=30e3,
        stretch=StretchCurve.linear(1e5),
    )
    assert new.strength == 30e3
    used = Webbing(
        name="x",
        width=0.025,
        thickness=0.002,
        mass=0.05,
        breaking_strength=30e3,
        aged_strength=20e3,
        stretch=StretchCurve.linear(1e5),
    )
    assert used.strength == 20e3
    assert used.with_stiffness(2.0).stretch.strain_at(1e3) == pytest.approx(0.005, rel=1e-14)

"""The stretch curve is met, straight or bent."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from linescope.rig import Walker
from linescope.statics import solve
from linescope.taping import Holds
from linescope.webbing import StretchCurve
from tests.statics.random_rigs import plain_rig, webbing

BENT = StretchCurve(
    tension=np.array([0.0, 1e3, 2e3, 5e3, 10e3]), strain=np.array([0.0, 0.03, 0.05, 0.09, 0.14])
)


def test_the_curve_passes_its_points_and_rises():
    strain, compliance, _ = BENT.at(BENT.tension)
    assert strain == pytest.approx(BENT.strain, abs=1e-15)
    assert np.all(compliance > 0.0)
    fine = BENT.at(np.linspace(0.0, 12e3, 4001))[0]
    assert np.all(np.diff(fine) > 0.0)


def test_slope_and_area_of_the_curve():
    """Compliance by differences (1e-6 of it), complementary energy by quadrature (1e-9), also beyond the last point."""
    for tension in (300.0, 1700.0, 4200.0, 9000.0, 15e3):
        _, compliance, area = (float(v[0]) for v in BENT.at(np.array([tension])))
        step = 1e-2
        slope = (BENT.strain_at(tension + step) - BENT.strain_at(tension - step)) / (2.0 * step)
        assert compliance == pytest.approx(slope, rel=1e-6)
        points = [p for p in BENT.tension[1:] if p < tension]
        assert area == pytest.approx(quad(BENT.strain_at, 0.0, tension, points=points or None)[0], rel=1e-9)


@pytest.mark.parametrize("state", ["as taped", "settled"])
def test_bent_curve_is_met_at_the_mean_tension_of_every_segment(state):
    """Ratio a + c T of each segment at its mean tension equals 1 + the curve's strain there, to 1e-12."""
    rig = plain_rig(
        slope=0.1, holds=Holds.MAIN, excess=0.05, walker=Walker(mass=75.0, at=20.0), measured_on="tensioned",
        main=webbing(stretch=BENT), backup=webbing(stretch=BENT),
    )
    solution = solve(rig, state, look_for_others=False)
    for line in (solution.main, solution.backup):
        flat = line.segments.flat
        mean = np.hypot(flat.h, flat.v + 0.5 * flat.q * flat.length)
        assert flat.a + flat.c * mean == pytest.approx(1.0 + BENT.at(mean)[0], rel=1e-12)


def test_many_points_on_a_straight_line_are_the_straight_law():
    """Seven points on the line through the origin: same rig to 1e-9 m."""
    tension = np.array([0.0, 0.3, 1.0, 2.0, 4.0, 7.0, 10.0]) * 1e3
    table = StretchCurve(tension=tension, strain=tension / 62.5e3)
    assert table.is_linear
    # One point off the line by less than rounding matters for: the cubic itself is exercised.
    strain = tension / 62.5e3
    strain[3] *= 1.0 + 1e-9
    cubic = StretchCurve(tension=tension, strain=strain)
    assert not cubic.is_linear
    solutions = [
        solve(plain_rig(walker=Walker(mass=75.0, at=20.0), main=webbing(stretch=s), backup=webbing(stretch=s)))
        for s in (StretchCurve.linear(62.5e3), table, cubic)
    ]
    for other, tolerance in zip(solutions[1:], (1e-9, 1e-7), strict=True):
        assert other.main.nodes == pytest.approx(solutions[0].main.nodes, abs=tolerance)
        assert other.bays.loop_depth == pytest.approx(solutions[0].bays.loop_depth, abs=tolerance)

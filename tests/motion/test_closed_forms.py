"""Motion against closed forms of the mechanics of strings."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad

from linescope.motion.arrays import CUT_TIME, V
from linescope.motion.mesh import chain
from linescope.motion.run import run
from linescope.rig.atmosphere import STANDARD_GRAVITY as G
from tests.motion.bare import bare_line

EA, RHO = 222e3, 0.052
SPEED = np.sqrt(EA / RHO)


def hanging(n, length, **more):
    home = np.linspace(0.0, length, n + 1)
    points = np.column_stack((0.0 * home, 0.0 * home, -home))
    return bare_line(points, home, free=(n,), **more)


def test_a_mass_hung_suddenly_pulls_twice_its_weight():
    """Timoshenko, Strength of Materials, part I, section 60: a load applied at once doubles the static force."""
    prepared = hanging(10, 10.0, stiffness=1e5, mass=1e-3, hung={10: 20.0})
    motion = run(prepared, 1.0)
    assert motion.main_a.raw == pytest.approx(2.0 * 20.0 * G, rel=2e-3)
    period = 2.0 * np.pi * np.sqrt(20.0 * 10.0 / 1e5)
    lowest = motion.points[:, 10, 2]
    assert motion.frame_time[np.argmin(lowest[: int(0.8 * period / 0.02)])] == pytest.approx(0.5 * period, abs=0.02)


def test_a_bar_under_its_own_sudden_weight_goes_twice_as_far_as_at_rest():
    """D'Alembert: fixed above and free below, the end falls freely till the wave from the top is there, at L / c, and
    turns at 2 L / c, where it hangs rho g L^2 / EA low and the top bears twice the weight."""
    n, length = 100, 30.0
    prepared = hanging(n, length, stiffness=EA, mass=RHO)
    motion = run(prepared, 2.5 * length / SPEED, frame=1e-3, check=False)
    far = -motion.points[:, n, 2] - length
    assert far.max() == pytest.approx(RHO * G * length**2 / EA, rel=0.01)
    assert motion.frame_time[np.argmax(far)] == pytest.approx(2.0 * length / SPEED, abs=1.2e-3)
    assert motion.main_a.raw == pytest.approx(2.0 * RHO * G * length, rel=0.05)


def string(n, length, pull):
    home = np.linspace(0.0, length, n + 1)
    points = np.column_stack((home * (1.0 + pull / EA), 0.0 * home, 0.0 * home))
    return home, points


def frequency(way, motion):
    """Of the first mode, from how it crosses its middle."""
    time, middle = motion.frame_time, way - way.mean()
    k = np.flatnonzero(middle[1:] * middle[:-1] < 0.0)
    zero = time[k] - middle[k] * (time[k + 1] - time[k]) / (middle[k + 1] - middle[k])
    return 0.5 * (len(zero) - 1) / (zero[-1] - zero[0])


@pytest.mark.parametrize("along", [True, False], ids=["axial", "sideways"])
def test_frequencies_of_a_string_are_second_order_in_the_length_of_its_pieces(along):
    """Rayleigh, Theory of Sound, chapter VI: c / 2 L with c = sqrt(EA / rho) along the string; sideways, in unstretched
    length, sqrt(T / (rho (1 + e))) / 2 L."""
    length, pull, errors = 20.0, 5000.0, []
    for n in (6, 12, 24):
        home, points = string(n, length, pull)
        prepared = bare_line(points, home, stiffness=EA, mass=RHO, safety=0.1)
        start = prepared.state.copy()
        axis = 0 if along else 1
        start.of_slots[V + axis, : n + 1] = 0.01 * np.sin(np.pi * home / length)
        true = SPEED / (2.0 * length) if along else np.sqrt(pull / (RHO * (1.0 + pull / EA))) / (2.0 * length)
        motion = run(prepared, 8.3 / true, start=start, frame=1e-3, check=False)
        errors.append(frequency(motion.points[:, n // 2, axis], motion) / true - 1.0)
    assert abs(errors[-1]) < 2e-3
    assert 3.3 < errors[0] / errors[1] < 4.7


def test_a_free_end_flies_back_at_tension_over_impedance_and_its_wave_arrives():
    """Impact on rods (Timoshenko and Goodier): v = T0 / sqrt(EA rho); the wave runs at c in unstretched metres."""
    n, length, pull = 300, 90.0, 3000.0
    home, points = string(n, length, pull)
    prepared = bare_line(points, home, stiffness=EA, mass=RHO, viscosity=0.1).given({CUT_TIME: 0.0}, cut=n - 1)
    motion = run(prepared, 0.06, frame=1e-3)
    back = -motion.speeds[:, n - 20, 0]
    assert np.median(back[(motion.frame_time > 0.008) & (motion.frame_time < 0.03)]) == pytest.approx(
        pull / np.sqrt(EA * RHO), rel=5e-3
    )
    raw = 0.5 * (motion.main_a.raw_most + motion.main_a.raw_least)
    arrived = motion.main_a.time[np.flatnonzero(raw < 0.5 * pull)[0]]
    assert arrived == pytest.approx(length / SPEED, abs=1.5e-3)


def test_a_folded_chain_falls_faster_than_freely():
    """Calkin and March, Am. J. Phys. 57 (1989) 154: energy is kept, the free end arrives after 0.8472 sqrt(2 L / g);
    the support bears M g (2 L^2 + 2 L x - 3 x^2) / (4 L (L - x)).  Both recomputed from energy."""
    length, n, mass, apart, stiffness = 8.0, 128, 0.5, 0.3, 2e4
    home = np.linspace(0.0, length, n + 1)
    weight = np.array([0.0, 0.0, -mass / length * G])
    first = np.array([0.02, 0.0, 0.5 * mass * G])
    points = chain(np.zeros(3), np.array([apart, 0.0, 0.0]), np.diff(home), weight, stiffness, first)
    prepared = bare_line(points, home, stiffness=stiffness, mass=mass / length, viscosity=0.1, safety=0.4)
    motion = run(prepared.given({CUT_TIME: 0.0}, cut=n - 1), 1.15, frame=2e-3)
    height = motion.points[:, n - 1, 2]

    def fallen(x):
        return quad(lambda y: np.sqrt((1.0 - y / length) / (G * (2.0 * y - y**2 / length))), 0.0, x)[0]

    assert fallen(length) / np.sqrt(2.0 * length / G) == pytest.approx(0.8472, abs=1e-4)
    for part in (0.3, 0.5, 0.7, 0.9):
        x = part * length
        when = motion.frame_time[np.flatnonzero(height < -x)[0]]
        assert when == pytest.approx(fallen(x), rel=0.015)
        if part < 0.8:  # Later the pull rises faster than the mean over 10 ms can show.
            pulled = np.interp(when, motion.main_a.time, motion.main_a.mean)
            bears = mass * G * (2.0 * length**2 + 2.0 * length * x - 3.0 * x**2) / (4.0 * length * (length - x))
            assert pulled == pytest.approx(bears, rel=0.08)

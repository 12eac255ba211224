"""Contacts that run, against equations of motion of two straight legs, integrated by scipy's DOP853."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from linescope.motion.run import run
from linescope.rig.atmosphere import STANDARD_GRAVITY as G
from tests.motion.bare import bare_line

pytestmark = pytest.mark.peer


def legs(a, b, length, stiffness, mass):
    """Acceleration of a mass on a ring that runs on a light elastic string between two points, without friction."""

    def rate(_, y):
        ways = np.array([a, b]) - y[:3]
        sizes = np.linalg.norm(ways, axis=1)
        pull = stiffness * max(sizes.sum() / length - 1.0, 0.0)
        return np.concatenate((y[3:], pull * (ways / sizes[:, None]).sum(axis=0) / mass + [0.0, 0.0, -G]))

    return rate


@pytest.mark.parametrize("start", [8.0, 25.0])
def test_a_ring_runs_on_a_string_as_dop853_says(start):
    """60 m of light string with 3 % of slack, a mass of 80 kg let go near it; 6 s, in which it runs to and fro."""
    span, length, stiffness, mass, n = 60.0, 61.8, 222e3, 80.0, 120
    a, b = np.zeros(3), np.array([span, 0.0, -2.0])
    # Let go where the string is just straight on both sides.
    def slackness(z):
        at = np.array([start, 0.0, z])
        return np.linalg.norm(at - a) + np.linalg.norm(b - at) - length

    low, high = -20.0, -0.5 * start / span
    for _ in range(80):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if slackness(middle) > 0.0 else (low, middle)
    at = np.array([start, 0.0, middle])
    s_ring = float(np.linalg.norm(at - a))
    home = np.linspace(0.0, length, n + 1)
    slot = int(np.argmin(np.abs(home[1:-1] - s_ring))) + 1
    coordinate = home.copy()
    coordinate[slot] = s_ring
    points = np.where(
        (coordinate < s_ring)[:, None], a + (coordinate / s_ring)[:, None] * (at - a),
        at + ((coordinate - s_ring) / (length - s_ring))[:, None] * (b - at),
    )
    prepared = bare_line(
        points, home, stiffness=stiffness, mass=2e-3, viscosity=0.1, ring=(slot, s_ring), ring_mass=mass, safety=0.7
    )
    motion = run(prepared, 6.0, frame=0.05)
    peer = solve_ivp(
        legs(a, b, length, stiffness, mass), (0.0, 6.0), np.concatenate((at, np.zeros(3))), method="DOP853", rtol=1e-10,
        atol=1e-10, t_eval=motion.frame_time[:-1],
    )
    ours = motion.points[:-1, prepared.model.slots]
    assert np.ptp(ours[:, 0]) > 9.0
    assert np.abs(ours - peer.y[:3].T).max() < 0.12
    assert motion.account.error < 5e-3

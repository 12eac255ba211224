"""The energy floor of a released line against rings that move along it in time, by the tests' own equations of motion.

A frictionless ring on a light elastic string is a point pulled by two springs of one tension; on an inextensible string
it slides on an ellipse (Lagrange).  Both are integrated by scipy.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from linescope.events.floor import floors
from linescope.events.released import Chain, Part
from linescope.statics.assemble import G
from linescope.webbing.stretch import StretchCurve

OUTSIDE = {"area": "peers", "known": "peer"}
pytestmark = pytest.mark.peer
WEIGHT = 75.0 * G


def roll(start, end, length, stiffness, at, seconds):
    """Path of a 75 kg frictionless ring on a light elastic string, from rest; scipy's integrator, own formula."""
    start, end = np.asarray(start), np.asarray(end)

    def rate(_, state):
        place, velocity = state[:2], state[2:]
        a, b = start - place, end - place
        da, db = np.hypot(*a), np.hypot(*b)
        tension = stiffness * max((da + db) / length - 1.0, 0.0)
        return [*velocity, *(tension * (a / da + b / db) / 75.0 + [0.0, -G])]

    return solve_ivp(
        rate, (0.0, seconds), [*at, 0.0, 0.0], method="DOP853", rtol=1e-9, atol=1e-9, max_step=0.005
    ).y


@pytest.mark.parametrize("rise", [0.0, -9.0])
@pytest.mark.parametrize("share", [0.5, 0.32, 0.15])
def test_a_rolling_ring_never_goes_below_the_floor(rise, share, agrees):
    """Light backup, so that only the walker's own height counts.  Straight down from mid-span it touches the floor."""
    length, stiffness = 62.4, 2e5
    chain = Chain(
        start=np.zeros(3), end=np.array([60.0, 0.0, rise]),
        parts=(Part(length=length, load=1e-6, stretch=StretchCurve.linear(stiffness)),),
    )
    at = np.array([60.0 * share, rise * share - 2.5])
    x, z, _, _ = roll((0.0, 0.0), (60.0, rise), length, stiffness, at, 25.0)
    energy = WEIGHT * at[1]
    found = floors(chain, np.array([energy]), WEIGHT, 401)
    floor = np.interp(x, found.floor.x, found.floor.z)
    inside = (x > found.floor.x[0]) & (x < found.floor.x[-1])
    assert inside.mean() > 0.9
    assert np.min((z - floor)[inside]) > -2e-3
    deepest = found.bottom.z[0]
    assert z.min() >= deepest - 1e-4
    gap = (z.min() - deepest) / (at[1] - deepest)
    straight = share == 0.5 and rise == 0.0
    assert gap < (1e-5 if straight else 0.2)
    how = "straight down" if straight else "rolling aside"
    # A bound: never above the motion's own lowest point.
    agrees(
        f"floor under a ring on an elastic string, {how}", deepest, z.min(),
        abs=(1e-5 if straight else 0.2) * abs(z.min()),
        side="below", unit="m", source="scipy DOP853, own equation of motion",
    )


@pytest.mark.parametrize("degrees", [200.0, 225.0, 250.0])
def test_ring_on_an_ellipse_reaches_the_floor_and_no_lower(degrees, agrees):
    """Light inextensible backup: the ring slides on the ellipse x = a cos t, z = b sin t from rest (Lagrange)."""
    a, b = 52.0, math.sqrt(52.0**2 - 50.0**2)

    def rate(_, state):
        t, speed = state
        inertia = (a * math.sin(t)) ** 2 + (b * math.cos(t)) ** 2
        turning = (a**2 - b**2) * math.sin(t) * math.cos(t) * speed**2
        return [speed, (-G * b * math.cos(t) - turning) / inertia]

    path = solve_ivp(rate, (0.0, 20.0), [math.radians(degrees), 0.0], rtol=1e-10, atol=1e-10, max_step=0.02).y[0]
    x, z = 50.0 + a * np.cos(path), b * np.sin(path)
    chain = Chain(
        start=np.zeros(3), end=np.array([100.0, 0.0, 0.0]),
        parts=(Part(length=104.0, load=1e-6, stretch=StretchCurve.linear(1e11)),),
    )
    found = floors(chain, np.array([WEIGHT * z[0]]), WEIGHT, 801)
    agrees(
        "floor under a ring on an inextensible string", found.bottom.z[0], z.min(), abs=0.01, side="below", unit="m",
        source="scipy RK45, Lagrange's equation",
    )
    floor = np.interp(x, found.floor.x, found.floor.z)
    assert np.min(z - floor) > -1e-3
    # The floor's two ends are where the ring turns back.
    assert (found.floor.x[0], found.floor.x[-1]) == pytest.approx((x.min(), x.max()), abs=0.05)

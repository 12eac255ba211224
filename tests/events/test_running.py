"""A leash fall with a ring that runs: a bound below the ring that stays, and below a point mass on a light pair."""

from __future__ import annotations

import numpy as np
import pytest

from linescope.events.catch import free_fall
from linescope.events.fall import leash_fall_sweep
from linescope.events.running import running_ring
from linescope.rig import Walker
from linescope.statics import plan
from linescope.taping import Holds
from tests.statics.random_rigs import plain_rig, webbing

G = 9.80665  # Standard gravity, 3rd CGPM 1901 [m/s^2].


def runs(slope: float, count: int = 9, **more):
    rig = plain_rig(
        span=90.0, slope=slope, holds=Holds.BOTH, excess=0.06, tension=2500.0, measured_on="tensioned",
        walker=Walker(mass=80.0, at=40.0), **more,
    )
    planned = plan(rig)
    sweep = leash_fall_sweep(rig, count=count, planned=planned)
    return rig, sweep, running_ring(planned, sweep.at, sweep.ring_standing)


@pytest.mark.parametrize("slope", [0.0, -0.1])
def test_a_ring_that_runs_gets_at_least_as_low(slope):
    """At the place of the fall itself the running ring's floor is that of the one that stays, to 3 %: of a line hung
    as one of even weight, for one with loops between tapes."""
    _, sweep, running = runs(slope)
    for index, floor in enumerate(running.floor_foot):
        z = np.interp(sweep.low.foot[index, 0], floor[:, 0], floor[:, 2])
        dip = sweep.ring_standing[index, 2] - sweep.low.ring[index, 2]
        assert z == pytest.approx(sweep.low.foot[index, 2], abs=0.1 * dip + 0.05)


def test_no_simulated_ring_gets_below_the_floor():
    """A point mass on a frictionless ring on two light springs to the anchors, integrated from where it hangs at
    rest with the speed of the free fall: it never gets under the floor of its place.  Own integration, velocity
    Verlet (L. Verlet, Phys. Rev. 159 (1967) 98)."""
    light = webbing(ea=80e3, mass=1e-3)
    rig, sweep, running = runs(-0.1, count=5, main=light, backup=light)
    length, mass, step = plan(rig).layout.main_length, 80.0, 1e-3
    ends = np.stack((rig.main_a, rig.main_b))

    def pull(at):
        ways = ends - at
        far = np.linalg.norm(ways, axis=1)
        tension = 80e3 * max(far.sum() / length - 1.0, 0.0)
        return tension * (ways / far[:, None]).sum(axis=0) / mass - np.array([0.0, 0.0, G])

    for index in (1, 2):
        at = sweep.ring_standing[index].copy()
        speed = np.array([0.0, 0.0, -np.sqrt(2.0 * G * free_fall(rig.walker))])
        foot_below = float(sweep.low.ring[index, 2] - sweep.low.foot[index, 2])
        floor, now, lowest_gap = running.floor_foot[index], pull(at), np.inf
        for _ in range(12000):
            speed = speed + 0.5 * step * now
            at = at + step * speed
            now = pull(at)
            speed = speed + 0.5 * step * now
            if floor[0, 0] < at[0] < floor[-1, 0]:
                gap = at[2] - foot_below - np.interp(at[0], floor[:, 0], floor[:, 2])
                lowest_gap = min(lowest_gap, float(gap))
        assert -0.15 < lowest_gap < 1.5

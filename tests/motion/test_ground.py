"""Ground in runs: closed forms of a mass on it, and whole pairs, of which nothing may be in it."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from linescope.clearance import GroundIndex
from linescope.motion import leash_fall_in_time, main_gone_in_time
from linescope.motion.arrays import GROUND_FRICTION, V
from linescope.motion.falls import on_ground
from linescope.motion.ground import THICK, touched
from linescope.motion.run import run
from linescope.rig.atmosphere import STANDARD_GRAVITY as G
from linescope.statics import plan
from linescope.terrain import Terrain
from tests.motion.bare import bare_line
from tests.motion.test_runs import rig

FRICTION = 0.5


def slope(rise, across=60.0, rim=None):
    """A plane that rises along x through the origin; with a rim, level ground that ends in a cliff at x = rim."""
    if rim is None:
        x, z = np.array([-across, across]), rise * np.array([-across, across])
    else:
        x, z = np.array([-across, rim, rim + 0.01, across]), np.array([rise, rise, rise - 30.0, rise - 30.0])
    n = len(x)
    vertices = np.array([[a, side, b] for side in (-40.0, 40.0) for a, b in zip(x, z, strict=True)])
    faces = [t for k in range(n - 1) for t in ([k, k + 1, n + k + 1], [k, n + k + 1, n + k])]
    return GroundIndex(Terrain(vertices=vertices, faces=np.array(faces), source="invented", kind="profile"))


def mass_on(ground, start, speed, seconds, friction=FRICTION):
    """A mass of 10 kg on two threads that never come tight, near the origin."""
    ends = np.array([[-20.0, 0.0, 30.0], start, [20.0, 0.0, 30.0]])
    prepared = bare_line(
        ends, np.array([0.0, 100.0, 200.0]), stiffness=1e3, mass=1e-6, hung={1: 10.0},
        numbers={GROUND_FRICTION: friction}, safety=0.05,
    )
    state = prepared.state.copy()
    state.of_slots[V : V + 3, 1] = speed
    ready = on_ground(replace(prepared, state=state), ground)
    return run(ready, seconds, step=2e-4, frame=0.01, check=False)


def test_a_mass_that_slides_stops_where_friction_says():
    """v^2 / (2 mu g), any textbook of mechanics."""
    motion = mass_on(slope(0.0), (0.0, 0.0, THICK + 1e-6), (3.0, 0.0, 0.0), 1.0)
    way = motion.points[-1, 1, 0]
    assert way == pytest.approx(9.0 / (2.0 * FRICTION * G), rel=2e-3)
    assert np.ptp(motion.points[:, 1, 2]) < 1e-4
    assert motion.account.landed[-1] == pytest.approx(0.5 * 10.0 * 9.0, rel=2e-3)


@pytest.mark.parametrize("friction", [0.0, 0.3])
def test_a_mass_on_a_slope_gains_speed_as_on_an_inclined_plane(friction):
    """g (sin a - mu cos a), any textbook of mechanics."""
    rise = -0.75
    up = np.array([-rise, 0.0, 1.0]) / math.hypot(rise, 1.0)
    motion = mass_on(slope(rise), (THICK + 1e-6) * up, (0.0, 0.0, 0.0), 1.0, friction)
    way = motion.points[-1, 1] - motion.points[0, 1]
    expected = 0.5 * G * (0.6 - friction * 0.8) * motion.frame_time[-1] ** 2
    assert np.linalg.norm(way) == pytest.approx(expected, rel=3e-3)
    assert abs(way @ up) < 1e-4


def test_a_mass_that_drops_stays_where_it_lands_and_what_it_had_is_booked():
    motion = mass_on(slope(0.0), (0.0, 0.0, 2.0 + THICK), (0.0, 0.0, 0.0), 1.5)
    lands = math.sqrt(2.0 * 2.0 / G)
    after = motion.frame_time > lands + 0.01
    assert np.abs(motion.points[after, 1, 2] - THICK).max() < 1e-6
    assert motion.account.landed[-1] == pytest.approx(10.0 * G * 2.0, rel=1e-3)
    assert motion.final.touching[-1].size and np.nanmin(motion.final.touching[12]) == pytest.approx(lands, abs=1e-3)


def test_a_mass_that_flies_into_a_cliff_slides_down_it_and_is_not_lifted_onto_its_top():
    """Against the face of the cliff, whose top is 3 m higher."""
    motion = mass_on(slope(3.0, rim=-1.0), (0.0, 0.0, 0.0), (-4.0, 0.0, 0.0), 1.0, friction=0.0)
    x, z = motion.points[:, 1, 0], motion.points[:, 1, 2]
    assert x.min() > -1.0 and x[-1] == pytest.approx(-1.0 + 0.01 * 3.0 / 30.0 + THICK, abs=0.02)
    # Nothing but its weight moved it up or down.
    assert z[-1] == pytest.approx(-0.5 * G * motion.frame_time[-1] ** 2, rel=5e-3)


def above_profile(points, rise, rim):
    """Height over level ground with a cliff, by its own formula."""
    return np.where(points[:, 0] < rim, points[:, 2] - rise, 9.0)


@pytest.mark.parametrize("what", ["leash fall", "main gone"])
def test_nothing_of_a_pair_comes_into_the_ground(what):
    """Level ground below the first 18 of 30 m, 4 m down; in the air all of it comes far into that."""
    planned, rise, rim = plan(rig()), -4.0, 18.0
    happen = leash_fall_in_time if what == "leash fall" else main_gone_in_time
    more = {} if what == "leash fall" else {"parts_at": "anchor B"}
    air, landed = (
        happen(planned, 14.0, seconds=2.5, ground=ground, **more) for ground in (None, slope(rise, rim=rim))
    )
    n = air.motion.mesh.model.slots

    def deepest(motion):
        return min(float(above_profile(points[:n], rise, rim).min()) for points in motion.points)

    assert deepest(landed.motion) > -0.03
    assert what == "leash fall" or deepest(air.motion) < -0.3
    hang = planned.rig.walker.hang
    feet = landed.motion.points[:, n + 1, 2] - hang
    assert float((air.motion.points[:, n + 1, 2] - hang).min()) < rise - 0.5 and feet.min() > rise - 0.02
    found = touched(landed.motion.mesh.model, landed.motion.final)
    assert math.isfinite(found.feet) and not found.feet_free
    assert landed.motion.account.error < 0.01 and landed.motion.account.landed[-1] > 300.0


def test_what_begins_in_the_ground_is_left_alone_and_told():
    planned = plan(rig())
    high = slope(-1.0, rim=50.0)
    landed = leash_fall_in_time(planned, 10.0, seconds=1.0, ground=high)
    start = landed.motion.points[0]
    inside = start[: landed.motion.mesh.model.slots, 2] < -1.0
    assert inside.any()
    model, final = landed.motion.mesh.model, landed.motion.final
    free = final.touching[10] == -1.0
    own = model.ground.share == 0.0
    assert free[:-1][own[:-1]].sum() >= inside.sum()
    assert touched(model, final).feet_free
    air = leash_fall_in_time(planned, 10.0, seconds=1.0)
    assert landed.outcome.foot_lowest[2] == pytest.approx(float(air.outcome.foot_lowest[2]), abs=0.3)


def test_ground_that_nothing_comes_to_changes_nothing_to_the_bit():
    planned = plan(rig())
    air, over = (
        leash_fall_in_time(planned, 10.0, seconds=1.0, ground=ground) for ground in (None, slope(-40.0, rim=50.0))
    )
    assert np.array_equal(air.motion.points, over.motion.points)
    assert np.array_equal(air.motion.tensions, over.motion.tensions)


def test_numpy_and_compiled_loops_agree_on_the_ground():
    planned = plan(rig(span=150.0, every=6.0))
    one, other = (
        main_gone_in_time(planned, 8.0, seconds=0.5, per_bay=3, ground=slope(-1.6, rim=59.0), way=way).motion
        for way in ("compiled", "numpy")
    )
    assert np.isfinite(one.final.touching[12]).any()
    assert np.abs(one.points - other.points).max() < 1e-9

"""A ring that runs after a leash fall, over the ground: against planes by hand and a point mass integrated in time."""

from __future__ import annotations

import numpy as np
import pytest

from linescope.clearance import find_clearance
from linescope.clearance.running import RUNS
from linescope.events.catch import free_fall
from linescope.events.fall import leash_fall_sweep
from linescope.events.running import running_ring
from linescope.rig import ClearanceNeeds, Walker
from linescope.statics import plan
from linescope.taping import Holds
from linescope.terrain import Terrain
from tests.clearance.test_sweep import at_anchors, everything
from tests.statics.random_rigs import plain_rig, webbing

G = 9.80665  # Standard gravity, 3rd CGPM 1901 [m/s^2].
NEEDS = ClearanceNeeds(line=0.0, loop=0.0, body=1.0, survey_error=0.3, margin=0.2, anchor_zone=5.0)


def falling(slope=-0.1, needs=NEEDS, ea=80e3):
    light = webbing(ea=ea, mass=1e-3)
    return plain_rig(
        span=90.0, slope=slope, holds=Holds.BOTH, excess=0.06, tension=2500.0, measured_on="tensioned",
        walker=Walker(mass=80.0, at=40.0), main=light, backup=light, needs=needs,
    )


def along_x(stations):
    """Ground of given height at stations, the same all across."""
    vertices = [[x, y, z] for y in (-40.0, 40.0) for x, z in stations]
    n = len(stations)
    faces = [face for k in range(n - 1) for face in ([k, k + 1, n + k], [k + 1, n + k + 1, n + k])]
    return Terrain(vertices=vertices, faces=faces, source="made in the test", kind="profile")


def bodies(found):
    return [cause for cause in everything(found) if cause.why == RUNS]


def simulated(rig, at, seconds=12.0, step=1e-3):
    """(n, 2) way of the lowest foot: a point mass on a frictionless ring on two light springs, velocity Verlet
    (L. Verlet, Phys. Rev. 159 (1967) 98), from where it hangs at rest with the speed of the free fall."""
    sweep = leash_fall_sweep(rig, [at])
    ends, length = np.stack((rig.main_a, rig.main_b)), plan(rig).layout.main_length
    place = sweep.ring_standing[0].copy()
    speed = np.array([0.0, 0.0, -np.sqrt(2.0 * G * free_fall(rig.walker))])
    way = np.empty((int(seconds / step), 2))

    def pull():
        ways = ends - place
        far = np.linalg.norm(ways, axis=1)
        tension = 80e3 * max(far.sum() / length - 1.0, 0.0)
        return tension * (ways / far[:, None]).sum(axis=0) / 80.0 - np.array([0.0, 0.0, G])

    now = pull()
    for k in range(len(way)):
        speed = speed + 0.5 * step * now
        place = place + step * speed
        now = pull()
        speed = speed + 0.5 * step * now
        way[k] = place[0], place[2]
    return way - [0.0, rig.walker.leash + rig.walker.hang]


def test_a_ring_that_runs_onto_a_rib_is_in_the_verdict_and_in_the_list():
    """The mass runs downhill onto a rib that a fall from there does not reach if the ring stays."""
    rig, start = falling(), 22.0
    way = simulated(rig, start)
    over = (way[:, 0] > 44.0) & (way[:, 0] < 46.0)
    assert over.any()
    top = float(way[over, 1].min()) + 0.2
    ground = along_x([(-20, -99), (43.9, -99), (44, top), (46, top), (46.1, -99), (110, -99)])
    found = find_clearance(rig, terrain=ground, positions=40, wind=False)
    assert not any(low < start < high for low, high in (zone.from_a for zone in found.no_fall_zones))
    (reach,) = found.runs
    # Over the rib and 1.5 m to both sides, wide by up to 1.5 m; feet 12 m below the chord count a metre further on.
    assert 41.5 < reach.from_a[0] < 45.0 and 47.0 < reach.from_a[1] < 50.7
    assert any(low < start < high for low, high in reach.falls)
    assert any(low < start < high for low, high in reach.strikes)
    assert reach.distance <= -0.2 and reach.worst == pytest.approx(reach.distance - 1.5)
    (finding,) = bodies(found)
    assert not finding.is_met and not found.is_met
    assert finding.distance == pytest.approx(reach.distance, abs=0.02)


@pytest.mark.parametrize("start", [10.0, 50.0])
def test_simulated_feet_keep_off_everything_that_is_not_listed(start):
    rig = falling()
    way = simulated(rig, start)
    ground = along_x([(-20, -14), (20, -15), (50, -13.5), (70, -18), (110, -12)])
    found = find_clearance(rig, terrain=ground, positions=40, wind=False)
    height = way[:, 1] - np.interp(way[:, 0], [-20, 20, 50, 70, 110], [-14, -15, -13.5, -18, -12])
    along = (rig.main_b - rig.main_a) / rig.span
    station = (np.column_stack((way[:, 0], np.zeros(len(way)), way[:, 1])) - rig.main_a) @ along
    inside = (station > 5.0) & (station < 85.0)
    low = inside & (height < 1.5)
    assert low.any()
    listed = [reach for reach in found.runs if any(a <= start <= b for a, b in reach.falls)]
    assert all(any(r.from_a[0] - 0.3 <= s <= r.from_a[1] + 0.3 for r in listed) for s in station[low])
    assert min(reach.distance for reach in listed) <= height[inside].min() + 0.01


def test_over_a_level_floor_by_hand():
    """Distance to a plane is height over it; the list is where the lowest floor of feet is under what is needed."""
    rig = falling(slope=0.0)
    sweep = leash_fall_sweep(rig, count=40)
    feet = running_ring(plan(rig), sweep.at, sweep.ring_standing).floor_foot
    deepest = float(feet[:, :, 2].min())
    floor = along_x([(-50, deepest - 0.7), (150, deepest - 0.7)])
    found = find_clearance(rig, terrain=floor, positions=sweep.at, wind=False)
    (reach,) = found.runs
    assert reach.distance == pytest.approx(0.7, abs=0.02) and reach.strikes == ()
    assert reach.from_a[0] + reach.from_a[1] == pytest.approx(90.0, abs=0.5)
    lowest = feet[np.argmin(feet[:, :, 2].min(axis=1))]
    under = lowest[lowest[:, 2] < deepest + 0.8, 0]
    assert reach.from_a == pytest.approx((under.min(), under.max()), abs=2.0)
    assert min(finding.distance for finding in bodies(found)) == pytest.approx(0.7, abs=0.02)
    floor = along_x([(-50, deepest - 2.0), (150, deepest - 2.0)])
    clear = find_clearance(rig, terrain=floor, positions=sweep.at, wind=False)
    assert clear.runs == () and all(finding.is_met for finding in bodies(clear))


def test_nothing_is_compared_within_the_anchor_zones():
    """A lip that every running ring can reach, all of it inside 5 m."""
    lip = along_x([(-20, -1), (4.0, -1), (4.2, -99), (85.0, -99), (86.0, -99), (110, -99)])
    found = find_clearance(falling(slope=0.0), terrain=lip, positions=20, wind=False)
    assert all(reach.from_a[0] >= 5.0 and reach.from_b[0] >= 5.0 for reach in found.runs)
    assert any(finding.why == RUNS and finding.distance < 0.0 for finding in at_anchors(found))


def test_without_a_walker_nothing_is_said_of_it():
    found = find_clearance(falling().without_walker(), terrain=along_x([(-50, -30), (150, -30)]), wind=False)
    assert found.runs is None and bodies(found) == []

"""Falls that come lower in time than by the energy balance of a ring that stays."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from linescope.clearance import GroundIndex, find_clearance
from linescope.clearance.fall_gaps import fall_gaps
from linescope.clearance.zones import no_fall_zones
from linescope.errors import MotionNotClosed
from linescope.events import deeper as module
from linescope.events.deeper import Deeper, find_deeper
from linescope.events.fall import leash_fall_sweep
from linescope.events.running import running_ring
from linescope.motion import RunInputs, leash_fall_in_time
from linescope.rig import ClearanceNeeds
from linescope.statics import plan
from tests.clearance.test_runs import along_x
from tests.motion.test_runs import rig

NEEDS = ClearanceNeeds(line=0.0, loop=0.0, body=0.0, survey_error=0.0, margin=0.0, anchor_zone=0.2)


@pytest.fixture(scope="module")
def planned():
    return plan(replace(rig(), wind=None, needs=NEEDS))


@pytest.fixture(scope="module")
def deeper(planned):
    return find_deeper(planned)


def test_between_the_places_that_were_run_feet_come_no_lower_than_told(planned, deeper):
    """Against falls run at other places, with all that is uncertain soft: some centimetres are missed at most."""
    assert deeper.failed == 0
    at = np.array([0.7, 1.2, 4.0, 5.5, 9.0, 13.0, 28.9])
    falls = leash_fall_sweep(planned.rig, at, planned=planned)
    _, _, foot = deeper.lowest(falls)
    held = replace(deeper.choice, tape_strength=np.inf)
    runs = [leash_fall_in_time(planned, place, choice=held).outcome.foot_lowest[2] for place in at]
    assert np.all(foot[:, 2] < np.array(runs) + 0.06)
    assert abs(foot[0, 2] - runs[0]) < 0.1  # Near a place that was run it is what is found there,
    assert foot[0, 2] < falls.low.foot[0, 2] - 0.3  # and well below the balance.
    middle = leash_fall_sweep(planned.rig, [15.0], planned=planned)
    assert not deeper.lowest(middle)[0].any() and deeper.applied(middle) is middle


def test_tapes_that_go_leave_feet_no_lower_than_told_while_the_ring_is_in_the_bay_where_he_fell(planned, deeper):
    """Against whole falls with the weakest tapes, instant by instant."""
    tapes = planned.rig.along_chord(planned.standing.state.unknowns[planned.standing.state.pair.tapes, :3])
    gone = 0
    for k in np.flatnonzero(deeper.at < 0.5 * planned.rig.span):
        at = float(deeper.at[k])
        fall = leash_fall_in_time(planned, at, choice=deeper.choice, per_bay=4, seconds=2.0)
        gone += len(fall.outcome.gone)
        ring, body = (fall.motion.points[:, fall.motion.mesh.model.slots + more] for more in (0, 1))
        inside = planned.rig.along_chord(ring) < tapes[tapes > at].min()
        low = body[inside, 2].min() - planned.rig.walker.hang
        falls = leash_fall_sweep(planned.rig, [at], planned=planned)
        assert min(falls.low.foot[0, 2], deeper.lowest(falls)[2][0, 2]) < low + 0.01
    assert gone > 0


def test_a_fall_with_weak_tapes_that_does_not_close_leaves_the_one_whose_tapes_hold(planned, deeper, monkeypatch):
    def held(planned, at, *, choice, **more):
        if np.isfinite(choice.tape_strength):
            raise MotionNotClosed("for this test", advice="none")
        return leash_fall_in_time(planned, at, choice=choice, **more)

    monkeypatch.setattr(module, "leash_fall_in_time", held)
    found = find_deeper(planned)
    assert 0 < found.failed < len(found.at) and found.at == pytest.approx(deeper.at)
    assert np.all(found.foot[:, 2] >= deeper.foot[:, 2]) and found.foot[0, 2] < -0.3


def test_falls_that_end_once_feet_cannot_come_lower_find_the_same_place(planned, deeper):
    """Against the same falls run on till he has come most of the way up again."""
    ended = []
    for at in (0.5, 2.0, 6.0, 15.0, 28.9):
        short, whole = (
            leash_fall_in_time(planned, at, choice=deeper.choice, per_bay=4, to_lowest=told) for told in (True, False)
        )
        assert np.array_equal(short.outcome.foot_lowest, whole.outcome.foot_lowest)
        assert short.outcome.foot_time == whole.outcome.foot_time
        ended.append(whole.motion.frame_time[-1] - short.motion.frame_time[-1])
    assert min(ended) >= 0.0 and max(ended) > 0.3


def test_a_mirrored_line_has_them_mirrored(deeper):
    assert deeper.at + deeper.at[::-1] == pytest.approx(np.full(len(deeper.at), 30.0))
    assert deeper.foot[:, 2] == pytest.approx(deeper.foot[::-1, 2], abs=0.03)
    assert deeper.foot[:, 0] == pytest.approx(-deeper.foot[::-1, 0], abs=0.1)


def test_a_lower_fall_is_one_body_on_one_leash(planned, deeper):
    falls = leash_fall_sweep(planned.rig, [0.7], planned=planned)
    lower = deeper.applied(falls)
    walker = planned.rig.walker
    assert lower.low.head[0] - lower.low.foot[0] == pytest.approx(falls.low.head[0] - falls.low.foot[0])
    hung = lower.low.ring[0, 2] - lower.low.foot[0, 2]
    assert hung == pytest.approx(walker.leash + walker.hang + lower.low.stretch[0], abs=1e-9)
    assert np.array_equal(lower.low.dip, falls.low.dip)  # Of the balance, as it was.


def test_ground_between_both_makes_a_zone_and_says_that_time_decides(planned, deeper):
    """A level floor that the balance clears at 0.7 m and motion in time does not."""
    falls = leash_fall_sweep(planned.rig, [0.7, 15.0], planned=planned)
    floor = 0.5 * (falls.low.foot[0, 2] + deeper.lowest(falls)[2][0, 2])
    ground = along_x([(-5, -30), (-0.1, floor), (3.0, floor), (3.1, -30), (40, -30)])
    at = [0.7, 1.5, 6.0, 15.0, 25.0]
    plain = find_clearance(planned.rig, planned=planned, terrain=ground, positions=at, wind=False)
    both = find_clearance(planned.rig, planned=planned, terrain=ground, positions=at, wind=False, deeper=deeper)
    # Further out the balance reaches it as well.
    assert plain.strikes[0].from_a[0] > 0.7 and plain.strikes[0].in_time == ()
    (zone,) = both.strikes
    assert zone.from_a[0] < 0.7 and zone.in_time[0][0] < 0.7 < zone.in_time[0][1] < zone.from_a[1]
    assert {note.kind.value for note in both.notes} ^ {note.kind.value for note in plain.notes} >= {
        "clearance-in-time", "clearance-not-in-time"}
    index = GroundIndex(ground)
    assert fall_gaps(falls, index).lowest[0] > 0.0 > fall_gaps(deeper.applied(falls), index).lowest[0]


def test_what_decides_in_a_zone():
    at = np.array([1.0, 2.0, 3.0, 4.0, 5.0])
    (zone,) = no_fall_zones(at, np.array([-1.0, -2.0, -1.0, -0.5, 1.0]), 10.0, np.array([-1.0, -2.0, 3.0, np.inf, 9.0]))
    assert zone.from_a == (0.0, 5.0) and zone.in_time == ((0.0, 2.5),)
    (zone,) = no_fall_zones(at, np.array([1.0, -2.0, -1.0, -0.5, 1.0]), 10.0, np.array([2.0, 2.0, -1.0, np.inf, 9.0]))
    assert zone.in_time == ((2.5, 3.5),)
    (zone,) = no_fall_zones(at, np.array([1.0, -2.0, -1.0, -0.5, 1.0]), 10.0)
    assert zone.in_time == ()


def test_without_places_nothing_comes_lower(planned):
    none = Deeper(at=np.zeros(0), ring=np.zeros((0, 3)), foot=np.zeros((0, 3)), choice=RunInputs(), failed=0)
    falls = leash_fall_sweep(planned.rig, [0.7], planned=planned)
    assert none.applied(falls) is falls


@pytest.mark.parametrize(("rise", "strength"), [(0.0, 50.0), (4.0, 50.0), (4.0, 300.0), (4.0, np.inf)])
def test_past_torn_tapes_feet_stay_above_the_floor_of_a_ring_that_runs(rise, strength):
    """At every instant: energy alone bounds motion in time, which shares no equation with it."""
    tilted = plan(replace(rig(rise=rise), wind=None, needs=NEEDS))
    at = np.array([0.5, 2.5])
    falls = leash_fall_sweep(tilted.rig, at, planned=tilted, risen=False)
    floor = running_ring(tilted, at, falls.ring_standing).floor_foot
    choice = RunInputs(stiffness_factor=1.3, tape_strength=strength)
    gone = []
    for k, place in enumerate(at):
        fall = leash_fall_in_time(tilted, place, choice=choice, seconds=5.0, per_bay=4)
        feet = fall.motion.points[:, fall.motion.mesh.model.slots + 1] - [0.0, 0.0, tilted.rig.walker.hang]
        below = np.interp(feet[:, 0], floor[k, :, 0], floor[k, :, 2], left=-np.inf, right=-np.inf)
        assert np.all(feet[:, 2] > below - 0.02)
        gone.append(len(fall.outcome.gone))
    if strength == 50.0:
        assert min(gone) > 2  # The ring runs over tapes that hold nothing.
    elif strength == np.inf:
        assert max(gone) == 0

"""Whole runs: energy, symmetry, steps, compiled against NumPy, and energy bounds that nothing may pass."""

from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest

from linescope.motion import RunInputs, bounce, gust, leash_fall_in_time, main_gone_in_time, recoil
from linescope.motion.arrays import CUT_TIME, FORCE, HELD, HOME
from linescope.motion.falls import piece_that_parts, standing_mesh
from linescope.motion.outcome import THROWN, outcome
from linescope.motion.rows import pieces, pulls, relaxing
from linescope.motion.run import run
from linescope.rig import Anchors, BackupPlan, Band, Hold, MainPlan, Rig, Spacing, TapeZone, Taping, Walker, Wind
from linescope.statics import plan
from linescope.statics.assemble import G
from linescope.taping import Holds
from linescope.webbing import StretchCurve, Webbing
from tests.long import rest_is_long

HOLD = Hold(drag=Band(low=0.2, value=0.2, high=0.2), friction=Band(low=0.2, value=0.2, high=0.2))


def webbing(stretch=None):
    stretch = StretchCurve.linear(222e3) if stretch is None else stretch
    return Webbing(
        name="invented", width=0.025, thickness=0.002, mass=0.052, breaking_strength=36e3, stretch=stretch
    )


def rig(*, span=30.0, holds=Holds.BOTH, rise=0.0, tension=2500.0, stretch=None, ties=(), every=3.0):
    family = {Holds.BOTH: "fixed wrap", Holds.MAIN: "main-held slider", Holds.BACKUP: "backup-held slider"}[holds]
    run_ = float(np.sqrt(span**2 - rise**2))
    zone = TapeZone(start=0.0, end=np.inf, family=family, holds=holds, spacing=Spacing(kind="even", every=every))
    return Rig(
        name="invented", anchors=Anchors(main_a=(0, 0, 0), main_b=(run_, 0, rise)),
        main=webbing(stretch), backup=webbing(stretch), main_plan=MainPlan(tension=tension),
        backup_plan=BackupPlan(given_by="excess", value=0.05), taping=Taping(zones=(zone,), measured_on="tensioned"),
        hold=HOLD, ties=tuple(ties), walker=Walker(mass=75.0, at=0.5 * span), wind=Wind(speed=5.0, towards=(0.0, 1.0)),
    )


@pytest.fixture(scope="module")
def level():
    return plan(rig())


def test_it_begins_in_balance(level):
    """Nothing but the foot's weight, which the line carries, is out of balance when it begins."""
    prepared = standing_mesh(level, 12.0, RunInputs(), feet=True)
    m, s = prepared.model, prepared.state.copy()
    pieces(1e-4, relaxing(1e-4, m), m, s)
    pulls(1e-4, np.zeros(3), m, s)
    force = s.of_slots[FORCE : FORCE + 3].copy()
    for k in range(len(m.kind)):
        force[:, m.master[k]] += force[:, s.slave[k]]
        force[:, s.slave[k]] = 0.0
    free = m.of_slots[HELD] == 0.0
    # The ring holds up the loop that runs through it, which in the statics hangs from tape to tape: there, and at the
    # tapes beside it, up to what 3 m of loop weigh is out of balance, and elsewhere what chains differ from catenaries.
    assert np.abs(force[:, free]).max() < 1.6
    far = (np.abs(m.of_slots[HOME] - 12.0) > 5.0) & (np.arange(m.slots + 2) < m.slots)
    assert np.abs(force[:, free & far]).max() < 0.03


COMPARED = [
    (what, holds.value) for what in ("leash fall", "main gone") for holds in Holds
    if (what, holds) != ("main gone", Holds.BACKUP)  # A test of its own.
]
HAPPENINGS = {
    "leash fall": lambda p: leash_fall_in_time(p, 10.0),
    "leash fall near an anchor": lambda p: leash_fall_in_time(p, 0.5),
    "main gone at A": lambda p: main_gone_in_time(p, 10.0, seconds=3.0),
    "main gone beside him": lambda p: main_gone_in_time(p, 10.0, parts_at="beside him, to B", seconds=3.0),
    "recoil": lambda p: recoil(p, 10.0),
    "gust": lambda p: gust(p, speed=15.0, rise=0.3, seconds=2.0),
    "bounce": lambda p: bounce(p, 10.0),
}


@pytest.mark.parametrize("what", HAPPENINGS)
@pytest.mark.parametrize("holds", list(Holds), ids=lambda holds: f"tape holds {holds.value}")
def test_the_account_of_energy_closes_whatever_happens(what, holds):
    happened = HAPPENINGS[what](plan(rig(holds=holds, rise=2.0)))
    account = happened.motion.account
    assert account.error < 0.01
    assert account.turned_over > 100.0 if what != "gust" else account.turned_over > 1.0
    # Handing contacts over is part of the mesh, not of the rig: it must not be where the energy goes, or comes from.
    assert np.abs(account.remeshed).max() < 0.1 * account.turned_over


@pytest.mark.parametrize(
    ("at", "parts_at"),
    [(0.24, "anchor A"), (2.0, "beside him, to B"), (5.9, "beside him, to A"), (5.9, "beside him, to B")],
)
def test_the_account_closes_where_the_main_parts_beside_the_ring(at, parts_at):
    """With no shorter step than usual.  Near the anchor the line runs out through the ring at once; near a tape that
    then goes the ring moves on, behind it a gap, over which nothing is stretched."""
    planned, choice = plan(rig()), RunInputs(tape_strength=300.0)
    ready = standing_mesh(planned, at, choice)
    ready = ready.given({}, cut=piece_that_parts(ready, planned, parts_at))
    account = run(ready, 0.3, check=False).account
    assert account.turned_over > 400.0
    assert account.error < 0.007
    assert account.remeshed.min() > -0.1


def test_a_nonlinear_webbing_keeps_its_energy_too():
    curve = StretchCurve(tension=np.array([0.0, 1e3, 3e3, 10e3]), strain=np.array([0.0, 0.02, 0.04, 0.08]))
    fall = leash_fall_in_time(plan(rig(stretch=curve)), 10.0)
    assert fall.outcome.error < 0.01
    assert fall.outcome.dip > 0.3


def test_loops_thrown_above_the_main_are_those_that_a_plain_look_finds(level):
    """Every loop hangs below as he stands; after a fall, frame by frame and bay by bay, by plain interpolation."""
    standing = outcome(run(standing_mesh(level, 10.0, RunInputs(), feet=True), 0.5))
    assert standing.thrown == () and standing.thrown_height == 0.0
    found = leash_fall_in_time(level, 10.0)
    motion, n = found.motion, found.motion.mesh.model.main
    ends = [0, *found.motion.mesh.grid.tapes, n - 1]
    highest = {}
    for points, time in zip(motion.points, motion.frame_time, strict=True):
        if time < found.outcome.foot_time:
            continue
        for bay, (first, last) in enumerate(itertools.pairwise(ends), 1):
            main, loop = points[first : last + 1], points[n + first + 1 : n + last]
            if np.all(np.diff(main[:, 0]) > 0.0):  # Not where the ring folds it.
                above = loop[:, 2] - np.interp(loop[:, 0], main[:, 0], main[:, 2])
                highest[bay] = max(highest.get(bay, 0.0), float(above.max()))
    assert {bay for bay, height in highest.items() if height > THROWN} == set(found.outcome.thrown) != set()
    assert found.outcome.thrown_height == pytest.approx(max(highest.values()), abs=0.01)
    assert main_gone_in_time(level, 10.0, seconds=0.5).outcome.thrown == ()


def test_two_runs_are_the_same_to_the_bit(level):
    first, second = (main_gone_in_time(level, 8.0, seconds=1.0) for _ in range(2))
    assert np.array_equal(first.motion.points, second.motion.points)
    assert np.array_equal(first.motion.tensions, second.motion.tensions)


@pytest.mark.parametrize("case", rest_is_long(COMPARED, *COMPARED[::3]), ids=": ".join)
def test_numpy_and_compiled_loops_agree(case):
    breaks, holds = case[0] == "main gone", Holds(case[1])
    planned = plan(rig(span=150.0, holds=holds, rise=1.0, every=6.0))  # Few pieces in each metre: long steps.
    happen = main_gone_in_time if breaks else leash_fall_in_time
    ours, other = (happen(planned, 8.0, seconds=0.5, way=way, per_bay=3).motion for way in ("compiled", "numpy"))
    agree(ours, other)
    assert holds is Holds.BOTH or ours.slid.max() > 1e-3


def agree(ours, other):
    """Places and tensions of all frames to 1e-9."""
    assert np.abs(ours.points - other.points).max() < 1e-9
    assert np.abs(ours.tensions - other.tensions).max() < 1e-9 * max(1.0, float(ours.tensions.max()))


@pytest.mark.parametrize("parts_at", rest_is_long(["anchor A", "beside him, to B"], "anchor A"))
def test_numpy_and_compiled_loops_agree_where_tapes_run_on_a_main_that_parts(parts_at):
    """At the mesh's own step: one for which the account closes is much shorter, and NumPy would take minutes.

    Tapes that hold the backup run along the flying main by metres, the hardest case of all for contacts.
    """
    planned, choice = plan(rig(span=60.0, holds=Holds.BACKUP, rise=1.0, every=6.0)), RunInputs()
    prepared = standing_mesh(planned, 8.0, choice, per_bay=3)
    prepared = prepared.given({CUT_TIME: 0.0}, cut=piece_that_parts(prepared, planned, parts_at))
    ours, other = (run(prepared, 0.5, way=way, check=False) for way in ("compiled", "numpy"))
    agree(ours, other)
    assert ours.slid.max() > 1.0


@pytest.mark.parametrize("holds", [Holds.BOTH, Holds.MAIN], ids=["fixed", "slider"])
def test_a_mirrored_rig_does_the_same_mirrored(holds):
    there, back = plan(rig(holds=holds, rise=2.0)), plan(rig(holds=holds, rise=-2.0))
    first = leash_fall_in_time(there, 7.0, seconds=2.0).outcome
    second = leash_fall_in_time(back, 23.0, seconds=2.0).outcome
    assert first.dip == pytest.approx(second.dip, rel=5e-3)
    assert first.leash_force == pytest.approx(second.leash_force, rel=0.02)
    assert first.tension[0] == pytest.approx(second.tension[1], rel=0.02)


@pytest.mark.parametrize("at", rest_is_long([1.0, 10.0], 1.0))
def test_half_the_pieces_and_half_the_steps_change_little(at):
    planned = plan(rig())
    coarse, fine = (leash_fall_in_time(planned, at, per_bay=n, seconds=2.5).outcome for n in (8, 16))
    assert fine.dip == pytest.approx(coarse.dip, rel=0.01)
    assert fine.leash_force == pytest.approx(coarse.leash_force, rel=0.03)
    assert fine.tension[:2] == pytest.approx(coarse.tension[:2], rel=0.03)
    prepared = standing_mesh(planned, at, RunInputs(leaving=0.0))
    whole, half = (run(prepared, 2.5, step=prepared.step / k) for k in (1, 2))
    assert outcome(half).dip == pytest.approx(outcome(whole).dip, rel=0.01)
    assert half.leash.most == pytest.approx(whole.leash.most, rel=0.03)


@pytest.mark.parametrize("at", [1.2, 4.0])
def test_where_a_running_ring_comes_is_no_matter_of_the_mesh(at):
    """Half the pieces and half the steps, on an incline down to the tape that stops it.

    Tapes hold, for whether one goes is another happening.  Feet move by under half a per cent of their depth, the light
    ring, which swings on the line as it is pulled, by somewhat more than one.
    """
    planned = plan(rig(rise=-3.0))
    choice = replace(RunInputs(), leaving=0.0, tape_strength=np.inf)
    dips, feet, run_along = [], [], []
    for per_bay, part in ((5, 1), (10, 2)):
        prepared = standing_mesh(planned, at, choice, per_bay=per_bay)
        motion = run(prepared, 1.4, step=prepared.step / part)
        told = outcome(motion)
        dips.append(told.dip)
        feet.append(float(planned.rig.below_anchors(told.foot_lowest)))
        run_along.append(float(np.ptp(motion.points[:, motion.mesh.model.slots, 0])))
    assert run_along[1] > 0.3  # It does run.
    assert feet[0] == pytest.approx(feet[1], rel=0.005)
    assert dips[0] == pytest.approx(dips[1], rel=0.015)


def test_tapes_that_are_weaker_go_and_stronger_ones_stay(level):
    def gone(strength):
        return main_gone_in_time(level, 10.0, choice=RunInputs(tape_strength=strength), seconds=1.0).outcome

    weak, strong = gone(200.0), gone(1e9)
    assert len(weak.gone) == len(level.layout.tapes) and strong.gone == ()
    assert weak.gone_time[0] < 0.01 and np.all(np.diff(weak.gone_time) >= 0.0)
    # The wave runs from the break at A: the tapes go one after the other.
    assert list(weak.gone[:4]) == [1, 2, 3, 4]
    assert strong.tape_force > 200.0


def test_ties_hold_whatever_tapes_do():
    planned = plan(rig(ties=(15.0,)))
    happened = main_gone_in_time(planned, 10.0, choice=RunInputs(tape_strength=150.0), seconds=1.5).outcome
    tie = next(tape.number for tape in planned.layout.tapes if tape.kind == "tie")
    assert tie not in happened.gone and len(happened.gone) >= 5


def test_weight_of_a_walker_at_rest_is_what_the_line_carries(level):
    prepared = standing_mesh(level, 12.0, RunInputs(), feet=True)
    motion = run(prepared, 0.5, check=False)
    assert motion.line.mean == pytest.approx(75.0 * G, rel=0.01)
    assert np.ptp(motion.ring.mean) < 1e-3


def test_a_walker_who_leaves_slowly_lets_the_line_up_slowly(level):
    sudden, slow = (
        leash_fall_in_time(level, 10.0, choice=replace(RunInputs(), leaving=time)).motion for time in (0.0, 0.3)
    )
    early = sudden.frame_time < 0.1
    assert slow.points[early, slow.mesh.model.slots, 2].max() < sudden.points[early, sudden.mesh.model.slots, 2].max()


def test_a_loop_broadside_swings_furthest_and_each_exposure_as_by_itself(level):
    wind = Wind(speed=6.0, towards=(0.0, 1.0), exposure=0.5)
    both = gust(level, wind, rise=0.0, seconds=1.5, exposures=(0.2, 1.0))
    assert np.all(both.swing_edge_on < both.swing) and both.swing.max() < both.swing_broadside.max()
    alone = gust(level, replace(wind, exposure=0.2), rise=0.0, seconds=1.5)
    assert np.array_equal(alone.swing, both.swing_edge_on)
    assert np.isnan(alone.swing_broadside).all()

"""Leash falls: balance of energy by an independent quadrature, symmetry, both ends, sliders, named failures."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import simpson

from linescope.errors import FallNotBounded, InputError
from linescope.events.catch import Held, fall_speed, lowest, stand
from linescope.events.fall import FallNote, leash_fall, leash_fall_sweep
from linescope.notes import Severity
from linescope.statics import plan, solve
from linescope.statics.assemble import G
from linescope.taping import Holds
from tests.events.catch_rigs import HMPE, NYLON, POLYESTER, caught, rig


def lift_on_ring(bottom, coordinate):
    """What the main beside the ring carries.  [N]"""
    node, segments = int(np.argmin(np.abs(bottom.main.coordinate - coordinate))), bottom.main.segments
    return float(segments.force_start[node, 2] - segments.force_end[node - 1, 2])


@pytest.mark.parametrize("holds", [Holds.BOTH, Holds.MAIN])
def test_weight_times_fall_is_the_area_under_the_force_curve(holds):
    """Simpson's rule on force against deflection, and the springs of leash and body; the code takes differences."""
    there = rig(48.0, NYLON, 1800.0, excess=0.06, rise=4.0, holds=holds)
    fall = leash_fall(there, 15.0)
    figures, loaded = fall.figures, stand(plan(there), 15.0)
    forces = np.linspace(75.0 * G, lift_on_ring(fall.bottom, figures.coordinate[0]), 16)
    dips = np.array([loaded.line(np.array([force])).drop[0] + loaded.ring[2] for force in forces])
    area = simpson(forces, x=dips)
    give = there.walker.leash / there.walker.leash_modulus + 1.0 / there.walker.body_stiffness
    stored, fell = area + 0.5 * give * forces[-1] ** 2, figures.free_fall + figures.low.dip_held[0] + give * forces[-1]
    assert stored == pytest.approx(75.0 * G * fell, rel=2e-4)
    assert dips[0] == pytest.approx(0.0, abs=1e-9)
    assert dips[-1] == pytest.approx(figures.low.dip_held[0], abs=1e-5)
    assert figures.low.energy_error[0] < (1e-6 if holds is Holds.BOTH else 1e-4)


def test_starts_from_the_walker_standing():
    plain = rig(48.0, NYLON, 1800.0)
    figures = leash_fall(plain, 20.0).figures
    assert figures.ring_standing[0] == pytest.approx(solve(plain.with_walker_at(20.0)).walker_point, abs=1e-6)


def test_bottom_state_is_an_equilibrium_under_the_peak_force():
    fall = leash_fall(rig(48.0, POLYESTER, 2500.0), 10.0)
    assert fall.bottom.proof.relative_residual < 1e-5
    assert fall.bottom.walker_point == pytest.approx(fall.figures.low.ring[0])
    hardest = max(fall.bottom.main.tension_start.max(), fall.bottom.main.tension_end.max())
    assert fall.figures.low.peak_main_tension[0] == pytest.approx(hardest)
    # Vertical components of the main beside the ring carry the force.
    lift = lift_on_ring(fall.bottom, fall.figures.coordinate[0])
    assert lift == pytest.approx(fall.figures.low.peak_force[0], rel=1e-5)


def test_a_level_rig_falls_the_same_from_both_ends():
    sweep = leash_fall_sweep(rig(50.0, POLYESTER, 2500.0), count=11)
    assert sweep.low.peak_force == pytest.approx(sweep.low.peak_force[::-1], rel=1e-4)
    assert sweep.low.foot[:, 2] == pytest.approx(sweep.low.foot[::-1, 2], abs=1e-4)
    assert sweep.lowest == 5


def test_near_the_anchors_falls_are_shorter_and_harder_and_still_balance():
    sweep = leash_fall_sweep(rig(50.0, POLYESTER, 2500.0), [0.05, 0.5, 5.0, 25.0, 49.95])
    assert np.all(np.diff(sweep.low.dip[:4]) > 0.0)
    assert np.all(np.diff(sweep.low.peak_force[:4]) < 0.0)
    assert sweep.low.energy_error.max() < 1e-6


def test_sweep_agrees_with_single_falls():
    plain = rig(100.0, HMPE, 3500.0, rise=-6.0)
    places = np.array([3.0, 40.0, 41.0, 97.0])
    sweep = leash_fall_sweep(plain, places)
    single = [leash_fall(plain, place).figures for place in places]
    assert sweep.low.peak_force == pytest.approx([one.low.peak_force[0] for one in single], rel=1e-5)
    assert sweep.low.ring[:, 2] == pytest.approx([one.low.ring[0, 2] for one in single], abs=1e-4)


def test_body_hangs_below_its_ring():
    plain = rig(50.0, POLYESTER, 2500.0)
    walker, figures = plain.walker, leash_fall(plain).figures
    assert walker is not None
    drop = figures.low.ring[0, 2] - figures.low.foot[0, 2]
    give = walker.leash / walker.leash_modulus + 1.0 / walker.body_stiffness
    assert figures.low.stretch[0] == pytest.approx(give * figures.low.peak_force[0])
    assert drop == pytest.approx(walker.leash + walker.hang + figures.low.stretch[0])
    quiet = walker.leash + walker.hang + give * walker.mass * G
    assert figures.hang.foot[0, 2] == pytest.approx(figures.ring_standing[0, 2] - quiet)
    assert figures.free_fall == walker.tie_in_height + walker.leash
    assert figures.speed == pytest.approx(np.sqrt(2 * G * figures.free_fall))


def test_a_heavier_walker_falls_lower_and_harder():
    light, heavy = (leash_fall(rig(50.0, POLYESTER, 2500.0, mass=mass)).figures for mass in (50.0, 100.0))
    assert heavy.low.foot[0, 2] < light.low.foot[0, 2]
    assert heavy.low.peak_force[0] > light.low.peak_force[0]


def test_suddenly_applied_load_is_exactly_twice_the_weight():
    """Timoshenko, Strength of Materials: no free fall on a straight spring doubles the static force."""
    weight, spring = 80.0 * 9.81, 4000.0

    def line(force):
        return Held(drop=force / spring, energy=0.5 * force**2 / spring)

    assert caught(line, weight=weight, free_fall=0.0) == pytest.approx(2.0 * weight, rel=1e-14)


def test_a_line_that_never_stores_enough_is_a_named_failure():
    def line(force):
        return Held(drop=1.0 - 1.0 / force, energy=np.log(force))

    resting = line(np.array([700.0]))
    with pytest.raises(FallNotBounded, match="stores the energy"):
        lowest(line, resting, weight=700.0, to_store=np.array([1e9]), guess=np.array([1000.0]))


def test_many_falls_at_once_equal_falls_one_by_one():
    spring = np.array([500.0, 4000.0, 9e5])

    def line(force):
        return Held(drop=np.cbrt(force / spring), energy=0.75 * force * np.cbrt(force / spring))

    give = np.array([100.0, 2000.0, 0.0])
    force = lowest(line, line(np.full(3, 700.0)), weight=700.0, to_store=give, guess=np.full(3, 1000.0))
    for index in range(2):
        def one(f, index=index):
            return Held(drop=np.cbrt(f / spring[index]), energy=0.75 * f * np.cbrt(f / spring[index]))

        alone = lowest(
            one, one(np.array([700.0])), weight=700.0, to_store=give[index : index + 1], guess=np.array([9000.0])
        )
        assert force[index] == pytest.approx(alone[0], rel=1e-6)
    assert force[2] == 700.0


def test_a_fall_needs_a_walker_and_a_place_on_the_line():
    with pytest.raises(InputError, match="walker"):
        leash_fall(rig(50.0, POLYESTER, 2500.0, walker=False))
    with pytest.raises(InputError, match="outside the line"):
        leash_fall(rig(50.0, POLYESTER, 2500.0), 50.1)


def test_notes_warn_of_strength_and_say_what_was_left_out():
    weak = leash_fall_sweep(rig(25.0, HMPE, 3000.0, aged=9e3), [0.5, 12.0])
    assert weak.low.peak_main_tension.max() > 9e3
    note = weak.notes[0]
    assert (note.kind, note.severity, note.values["line"]) == (FallNote.OVERLOAD, Severity.DANGER, "main")
    assert note.values["peak"].value == weak.low.peak_main_tension.max()
    assert note.weight == pytest.approx(weak.low.peak_main_tension.max() / 9e3)
    assert {FallNote.STATIC, FallNote.START} <= {note.kind for note in weak.notes}


def test_results_are_frozen():
    sweep = leash_fall_sweep(rig(25.0, NYLON, 1200.0), [10.0])
    with pytest.raises(ValueError, match="read-only"):
        sweep.low.peak_force[0] = 0.0


def test_speed_of_a_free_fall():
    assert fall_speed(0.0) == 0.0
    assert fall_speed(2.0) == pytest.approx(np.sqrt(4.0 * G))


def test_least_excess_counts_what_a_backup_with_its_own_anchor_bridges():
    own = rig(48.0, NYLON, 1800.0, excess=0.01)
    own = replace(own, anchors=replace(own.anchors, backup_a=np.array([-1.5, 0.0, 0.0])))
    fall = leash_fall(own, 24.0)
    assert fall.figures.low.least_excess[0] == pytest.approx(float(fall.bottom.bays.excess.min()), abs=1e-12)
    # By hand: a drawn-out line of EA 62.5 kN that is short by a share e carries e x EA; every bay here does.
    tension, excess = fall.bottom.bays.backup_tension, fall.bottom.bays.excess
    assert np.all(excess < 0.0)
    assert tension[0] == pytest.approx(-excess[0] * 62.5e3, rel=0.05)

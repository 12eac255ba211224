"""Strain cycles, ring, falls and wrapped loops: each against its closed form."""

from __future__ import annotations

import math

import numpy as np
import pytest

from linescope.contact.cycles import FRETTING, Cycles, cycle_tracks, fretting_cycles, loaded_range, strain_of
from linescope.contact.ledger import Face
from linescope.contact.rings import fall_tracks, ring_tracks, ring_work
from linescope.contact.wrapped import find_wrap, wrap_tracks
from linescope.rig.parts import WrappedBay
from linescope.statics import plan, solve
from linescope.taping import Holds
from tests.contact.making import walked_rig

WIDTH = 0.025


def fixed():
    planned = plan(walked_rig(Holds.BOTH))
    return planned, planned.layout


def test_a_strain_cycle_rubs_in_proportion_to_the_distance_from_the_middle():
    """Closed form: slip strain x |x|, so that W' = 2 mu N/w De |x| n on both faces together, mu N De w n / 2 in all."""
    _, layout = fixed()
    strain, count, pressing, friction = 0.02, 10.0, 15.0, 0.3
    cycles = (Cycles(count=count, strain=np.full(len(layout.tapes), strain)),)
    tracks = cycle_tracks(
        layout, cycles, width=WIDTH, pressing=pressing, friction=np.full(len(layout.tapes), friction), widest=2.5e-4
    )
    still = FRETTING / strain
    whole = 2.0 * friction * pressing / WIDTH * strain * count * (0.25 * WIDTH**2 - still**2)
    assert tracks.total == pytest.approx(len(layout.tapes) * whole, rel=1e-9)
    for face, at in ((Face.MAIN_UNDER, layout.tape_main), (Face.BACKUP_TOP, layout.tape_backup)):
        ledger = tracks.faces[face]
        assert ledger.total == pytest.approx(0.5 * tracks.total, rel=1e-9)
        for x in (0.003, -0.008, 0.012):
            k = int((at[3] + x) / ledger.bin)
            middle = abs(float(ledger.middles[k] - at[3]))
            wanted = friction * pressing / WIDTH * strain * count * middle
            assert ledger.per_metre[k] == pytest.approx(wanted, rel=1e-6)
    assert tracks.faces[Face.MAIN_TOP].total == tracks.faces[Face.BACKUP_UNDER].total == 0.0


def test_cycles_too_small_to_slide_are_counted_and_not_booked():
    _, layout = fixed()
    small = Cycles(count=500.0, strain=np.full(len(layout.tapes), 0.9 * FRETTING / (0.5 * WIDTH)))
    friction = np.full(len(layout.tapes), 0.3)
    assert cycle_tracks(layout, (small,), width=WIDTH, pressing=15.0, friction=friction).total == 0.0
    assert fretting_cycles(layout, (small,), WIDTH) == pytest.approx(np.full(len(layout.tapes), 500.0))
    sliding = plan(walked_rig(Holds.MAIN)).layout
    large = Cycles(count=1.0, strain=np.full(len(sliding.tapes), 0.02))
    assert cycle_tracks(sliding, (large,), width=WIDTH, pressing=15.0, friction=friction).total == 0.0


def test_strain_at_tapes_is_that_of_the_stretch_law():
    """By hand: tension over stiffness on a straight law, the main's less the backup's."""
    rig = walked_rig(Holds.BOTH)
    solution = solve(rig)
    bays, stiff = solution.bays, float(rig.main.stretch.tension[-1] / rig.main.stretch.strain[-1])
    main = 0.5 * (bays.main_tension[1:] + bays.main_tension[:-1]) / stiff
    assert strain_of(solution) == pytest.approx(main, rel=0.02)
    more = loaded_range(plan(rig), 0.4)
    assert np.all(more > 0.0) and more.max() < 0.4 * main.max()


def test_a_ring_rubs_evenly_with_twice_its_weight_times_friction():
    """Closed form: mu m g a metre, there and back."""
    _, layout = fixed()
    assert ring_work(0.2, 0.3) == pytest.approx(2.0 * 0.2 * 0.3 * 9.80665)
    tracks = ring_tracks(layout, 3.0)
    ledger = tracks.faces[Face.MAIN_TOP]
    assert ledger.per_metre == pytest.approx(np.full(len(ledger.work), 3.0), rel=1e-9)
    assert tracks.total == pytest.approx(3.0 * layout.main_length, rel=1e-9)


def test_a_ring_in_a_fall_rubs_force_times_friction_over_its_run():
    _, layout = fixed()
    tracks = fall_tracks(layout, [12.0, 20.0], [3000.0, 2000.0], friction=0.2, share=0.5, run=1.0)
    ledger = tracks.faces[Face.MAIN_TOP]
    assert tracks.total == pytest.approx(0.2 * 0.5 * 5000.0, rel=1e-9)
    assert ledger.peak == pytest.approx(300.0, rel=1e-6)
    assert 120.0 <= ledger.peak <= 600.0  # Order of magnitude, from memory.


def test_a_wrapped_loop_grips_like_a_belt():
    """Closed form: the normal force of a belt of tension T over an angle a is the integral of T da."""
    planned, layout = fixed()
    solution = solve(planned.rig, planned=planned)
    wrap = find_wrap(solution, WrappedBay(bay=4, half_turns=3, at=0.25))
    assert wrap.normal == pytest.approx(3.0 * math.pi * solution.bays.backup_tension[3], rel=1e-9)
    bare = layout.bays_main[3]
    assert wrap.distance == pytest.approx(0.25 * bare, rel=1e-9)
    strain = np.full(len(layout.tapes), 0.01)
    tracks = wrap_tracks(solution, (wrap,), (Cycles(count=20.0, strain=strain),), (3,), 0.2)
    assert tracks.total == pytest.approx(0.2 * wrap.normal * 2.0 * 20.0 * 0.01 * wrap.distance, rel=1e-9)
    faces = tracks.faces
    assert faces[Face.BACKUP_TOP].total == pytest.approx(0.5 * tracks.total, rel=1e-9)
    assert faces[Face.MAIN_TOP].total == pytest.approx(2.0 * faces[Face.MAIN_UNDER].total, rel=1e-9)
    assert faces[Face.BACKUP_UNDER].total == 0.0

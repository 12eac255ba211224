"""Slides on the right face: the ledger holds the friction work once, where sign and family say."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from linescope.contact.ledger import Face
from linescope.contact.pacing import Lap
from linescope.contact.slides import MOST, betweens, counted_as, slide_tracks, walk_history
from linescope.contact.styles import with_style
from linescope.events.crossing import cross
from linescope.rig import Anchors, Walker
from linescope.statics import plan
from linescope.taping import Holds
from tests.contact.making import pacer, tight_rig, walked, walked_rig

SLIDERS = (Holds.MAIN, Holds.BACKUP)
OUTER = {Holds.MAIN: Face.BACKUP_UNDER, Holds.BACKUP: Face.MAIN_TOP}


def lap_of(crossing) -> Lap:
    """A crossing of the slow search as a lap whose loops all hang."""
    nothing = np.zeros_like(crossing.slip)
    return Lap(
        walker=crossing.walker, slide=crossing.slide, slip=crossing.slip, hold=crossing.hold, work=crossing.work,
        drag_share=nothing, pressed=nothing - 1.0, strain=nothing, over_tape=nothing,
    )


def history(rig, **more):
    planned = plan(rig)
    given = {"crossings": 1, "per_bay": 3} | more
    return walk_history(rig, "value", planned=planned, between=betweens(rig, planned.layout), **given)


@pytest.mark.parametrize("holds", SLIDERS)
def test_faces_and_tapes_together_are_the_friction_work(holds):
    _, found = walked(holds)
    assert found.work[0] > 0.02
    assert found.one.total == pytest.approx(found.work[0], rel=1e-9)
    assert found.tracks.total == pytest.approx(float(found.work.sum()), rel=1e-9)
    tight = history(tight_rig(holds))
    assert tight.lines_pressed > 0.1
    assert tight.one.total == pytest.approx(tight.work[0], rel=1e-9)


@pytest.mark.parametrize("holds", SLIDERS)
def test_where_every_loop_hangs_the_outer_face_and_the_strip_take_half_each(holds):
    _, found = walked(holds)
    assert found.lines_pressed == 0.0
    faces = found.tracks.faces
    assert faces[OUTER[holds]].total == pytest.approx(0.5 * found.tracks.total, rel=1e-9)
    assert float(found.tracks.tapes.sum()) == pytest.approx(0.5 * found.tracks.total, rel=1e-9)
    assert all(faces[face].total == 0.0 for face in Face if face is not OUTER[holds])


@pytest.mark.parametrize("holds", SLIDERS)
def test_pressed_lines_rub_what_lies_between_them(holds):
    """Common practice, no source: strip between the lines keeps the held one out of it; a cross piece does not."""
    held_inner = Face.MAIN_UNDER if holds is Holds.MAIN else Face.BACKUP_TOP
    slides_inner = Face.BACKUP_TOP if holds is Holds.MAIN else Face.MAIN_UNDER
    shares = {}
    enclosing = "main-held slider" if holds is Holds.MAIN else "backup-held slider"
    for family in (enclosing, "tucked-tab slider", "cloth-patch slider"):
        found = history(with_style(tight_rig(holds), family, holds))
        faces = found.one.faces
        assert faces[slides_inner].total > 0.0
        shares[family] = faces[held_inner].total / faces[slides_inner].total
    assert shares[enclosing] == 0.0
    assert shares["tucked-tab slider"] == pytest.approx(2.0 / 3.0, rel=1e-9)
    assert shares["cloth-patch slider"] == pytest.approx(1.0, rel=1e-9)


@pytest.mark.parametrize("holds", SLIDERS)
def test_a_mirrored_rig_rubs_the_mirrored_places(holds):
    """Seen from the other side: a slope the other way, walked first from its far end."""
    rig = walked_rig(holds, slope=0.08)
    flip = np.array([-1.0, 1.0, 1.0])
    mirrored = replace(
        rig, anchors=Anchors(
            main_a=rig.main_b * flip, main_b=rig.main_a * flip, backup_a=rig.backup_b * flip,
            backup_b=rig.backup_a * flip,
        ), walker=Walker(mass=75.0, at=rig.span - rig.walker.at),
        main_plan=replace(rig.main_plan, end={"A": "B", "B": "A"}[rig.main_plan.end]),
    )
    planned, other = plan(rig), plan(mirrored)
    assert other.layout.tape_main == pytest.approx(
        planned.layout.main_length - planned.layout.tape_main[::-1], abs=1e-6
    )
    there = cross(rig, ways=("A to B", "B to A"), per_bay=3, planned=planned)
    back = cross(mirrored, ways=("B to A", "A to B"), per_bay=3, planned=other)
    between = betweens(rig, planned.layout)
    ours, theirs = (
        slide_tracks(each.layout, between, lap_of(each)) for each in (there, back)
    )
    for face in Face:
        assert theirs.faces[face].work[::-1] == pytest.approx(ours.faces[face].work, abs=1e-4 * ours.total)
    assert theirs.tapes[::-1] == pytest.approx(ours.tapes, rel=1e-3, abs=1e-6 * ours.total)


@pytest.mark.parametrize("holds", SLIDERS)
def test_halving_the_bins_leaves_peaks_alone(holds):
    planned, found = walked(holds)
    between = betweens(walked_rig(holds), planned.layout)
    coarse, fine = (slide_tracks(planned.layout, between, found.first, widest) for widest in (0.005, 0.0025))
    for face in Face:
        assert fine.faces[face].peak == pytest.approx(coarse.faces[face].peak, rel=0.02, abs=1e-9)
        assert fine.faces[face].total == pytest.approx(coarse.faces[face].total, rel=1e-9)


@pytest.mark.parametrize("holds", SLIDERS)
def test_halving_the_steps_leaves_work_and_peaks_alone(holds):
    rig = walked_rig(holds)
    found = history(rig, crossings=3, per_bay=None)
    finer = history(rig, crossings=3, per_bay=2 * found.per_bay - 1)
    assert found.refined
    assert finer.tracks.total == pytest.approx(found.tracks.total, rel=0.02)
    for face in Face:
        assert finer.tracks.faces[face].peak == pytest.approx(found.tracks.faces[face].peak, rel=0.02, abs=1e-9)


@pytest.mark.parametrize("holds", SLIDERS)
@pytest.mark.parametrize("slope", [0.0, 0.15])
def test_crossings_told_from_those_walked_are_near_what_walking_all_gives(holds, slope):
    """Brute force: all of them walked, level and on a slope, where tapes go on wandering for long."""
    rig = walked_rig(holds, slope=slope, span=18.0)
    found, walk = history(rig, crossings=MOST), pacer(rig)
    every = np.array([walk.lap(3).total_work for _ in range(MOST)])
    assert every[: found.walked] == pytest.approx(found.work, rel=1e-9)
    assert found.walked < MOST  # Some were told.
    assert found.tracks.total == pytest.approx(float(every.sum()), rel=0.02)
    repeated = float(found.work.sum()) + (MOST - found.walked) * float(found.work[-1])
    assert found.tracks.total <= repeated * (1.0 + 1e-12) and found.spread < 0.02


def test_work_that_falls_by_a_constant_share_is_summed_exactly():
    """Geometric series by hand; work that does not fall so is taken as the last one each."""
    work = 0.4 + 3.0 * 0.6 ** np.arange(30)
    for walked_ in (4, 7):
        times = counted_as(work[:walked_], 30 - walked_)
        assert times * work[walked_ - 1] == pytest.approx(float(work[walked_:].sum()), rel=1e-9)
    for steady in ([9.0, 1.0, 1.0, 1.0], [9.0, 3.0, 2.0, 0.5], [9.0, 1.0, 1.2, 1.1]):
        assert counted_as(np.array(steady), 6) == 6.0
    assert counted_as(np.array([9.0, 1.0]), 3) == 3.0 and counted_as(work[:5], 0) == 0.0


def test_none_asked_for_none_booked_and_fixed_wraps_slide_nowhere():
    assert history(walked_rig(Holds.MAIN), crossings=0).tracks.total == 0.0
    fixed = history(walked_rig(Holds.BOTH), crossings=5)
    assert fixed.tracks.total == 0.0 and fixed.changed == 0.0

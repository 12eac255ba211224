"""What crews say about tape styles, asked of the model.  All of it: common practice, no source."""

from __future__ import annotations

import numpy as np
import pytest

from linescope.contact import Face, RubCause, find_wear
from linescope.contact.styles import with_style
from linescope.events.crossing import cross
from linescope.rig import Use
from linescope.statics import plan, solve
from linescope.taping import Holds, find_between
from tests.contact.making import uneven_rig, walked, walked_rig, worn

QUIET = Use(crossings=3, wind_hours=0.0)
SLIDERS = (Holds.MAIN, Holds.BACKUP)


def near_tapes(ledger, at, reach: float) -> float:
    """Share of a face's work within a reach of the marks."""
    apart = np.abs(ledger.middles[:, None] - at).min(axis=1)
    return float(ledger.work[apart <= reach].sum() / ledger.work.sum())


def test_a_fixed_wrap_concentrates_where_both_lines_meet():
    """Common practice, no source: always the same few centimetres of either line, and nothing that moves on."""
    wear = worn(Holds.BOTH)
    layout, width = wear.layout, wear.rig.taping.stock.width
    faces = wear.day.value.faces
    for face, at in ((Face.MAIN_UNDER, layout.tape_main), (Face.BACKUP_TOP, layout.tape_backup)):
        assert near_tapes(faces[face], at, 0.5 * width + 0.005) == pytest.approx(1.0)
    assert near_tapes(faces[Face.BACKUP_UNDER], layout.tape_backup, 0.5 * width + wear.rig.backup.width + 0.005) > 0.999
    assert all(tape.places[-1] == tape.places[0] for tape in wear.tapes)


@pytest.mark.parametrize("holds", SLIDERS)
def test_a_slider_spreads_its_slides_along_the_line_that_slides(holds):
    """Common practice, no source: over more line than the tapes are wide, on one face of the line that slides."""
    _, history = walked(holds)
    face = Face.BACKUP_UNDER if holds is Holds.MAIN else Face.MAIN_TOP
    ledger = history.tracks.faces[face]
    rubbed = float(np.count_nonzero(ledger.work > 1e-3 * ledger.work.max()) * ledger.bin)
    slipping = int(np.count_nonzero(history.slip > 1e-3))
    assert rubbed > 2.0 * slipping * walked_rig(holds).taping.stock.width


def test_main_held_spares_the_main_and_backup_held_wears_its_top():
    """Common practice, no source: with a main-held slider the backup slides, with a backup-held one the main."""
    main_held, backup_held = worn(Holds.MAIN), worn(Holds.BACKUP)
    ring = main_held.causes[RubCause.RING].value.faces[Face.MAIN_TOP].peak
    assert main_held.peak(Face.MAIN_TOP) == pytest.approx(ring, rel=1e-9)
    assert backup_held.peak(Face.MAIN_TOP) > 1.5 * ring
    assert backup_held.peak(Face.BACKUP_UNDER) == 0.0 < main_held.peak(Face.BACKUP_UNDER)


def test_a_wrapped_loop_wears_one_spot_of_the_backup_at_a_backup_held_tape():
    """Common practice, no source: what the tape grips stays, so the wrapped bit is the same every time."""
    planned, _ = walked(Holds.BACKUP)
    length = solve(planned.rig, planned=planned).bays.loop_length
    assert length == pytest.approx(planned.layout.bays_backup, rel=1e-12)
    _, other = walked(Holds.MAIN)
    assert np.abs(other.places[-1] - other.places[0]).max() > 0.02  # Through these another bit of backup comes.


def test_a_backup_held_slider_keeps_the_loops_one_has_chosen():
    """Common practice, no source: their lengths stay to the last bit; main-held ones equalise when shaken."""
    for holds in SLIDERS:
        rig = uneven_rig(holds, 0.0)
        planned = plan(rig)
        taped = solve(rig, planned=planned).bays.loop_length
        settled = solve(rig, "settled", planned=planned, look_for_others=False).bays.loop_length
        if holds is Holds.BACKUP:
            assert settled == pytest.approx(taped, rel=1e-12)
        else:
            assert np.abs(settled - taped).max() > 0.1


@pytest.mark.parametrize("slope", (0.0, 0.1))
def test_a_backup_held_slider_evens_out_along_the_taut_main_more_easily(slope):
    """Common practice, no source: walked and shaken, depths end up closer together than with a main-held slider."""
    spread = {}
    for holds in SLIDERS:
        rig = uneven_rig(holds, slope)
        planned = plan(rig)
        walk = cross(rig, level="low", planned=planned, per_bay=5)
        shaken = solve(rig.without_walker(), "settled", planned=planned, look_for_others=False)
        spread[holds] = (float(np.std(walk.after.bays.loop_depth)), float(np.std(shaken.bays.loop_depth)))
    assert spread[Holds.BACKUP][0] < 0.9 * spread[Holds.MAIN][0]
    assert spread[Holds.BACKUP][1] < 0.9 * spread[Holds.MAIN][1]


def test_a_cloth_patch_lasts_since_its_work_is_spread_over_more_dry_strip():
    """Common practice, no source: the same slides do less work on each bit of it than on a plain slider's strip."""
    worst = {}
    for family in ("main-held slider", "cloth-patch slider"):
        wear = find_wear(with_style(walked_rig(Holds.MAIN), family, Holds.MAIN), QUIET, per_bay=3, levels=("value",))
        worst[family] = max(tape.work / tape.dry for tape in wear.tapes)
    assert worst["cloth-patch slider"] < 0.85 * worst["main-held slider"]


def test_a_cross_piece_offers_the_sliding_line_a_whole_dry_zone():
    """Common practice, no source: a cloth patch lasts; what slides meets dry backing all round it."""
    rig = walked_rig(Holds.MAIN)
    found = find_between("cloth-patch slider", rig.section, rig.taping.stock, Holds.MAIN)
    assert found.sliding is not None and not found.sliding.sticks

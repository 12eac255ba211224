"""The rub ledger: it holds the friction work once, where the style says, and does not depend on the steps."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from linescope.contact import find_rub, slide_rub, swing_rub
from linescope.contact.find import walk_over
from linescope.errors import InputError
from linescope.events.wind import find_wind
from linescope.rig import BackupPlan, Walker
from linescope.statics import plan
from linescope.taping import Holds
from tests.contact.making import breeze, walked, walked_rig

SLIDERS = (Holds.MAIN, Holds.BACKUP)


@pytest.mark.parametrize("holds", SLIDERS)
def test_the_ledger_holds_the_friction_work_of_the_crossing(holds):
    _, slide = walked(holds)
    work = float(slide.crossing.work.sum())
    assert work > 0.05
    for share in (0.0, 0.3, 0.5, 1.0):
        assert slide_rub(slide.crossing, held_share=share).total == pytest.approx(work, rel=1e-9)
    with pytest.raises(InputError, match="share"):
        slide_rub(slide.crossing, held_share=1.5)


@pytest.mark.parametrize("holds", SLIDERS)
def test_refining_the_steps_changes_peaks_by_under_two_percent(holds):
    rig = walked_rig(holds)
    planned = plan(rig)
    slide = walk_over(rig, "value", planned=planned)
    assert slide.refined
    finer = walk_over(rig, "value", planned=planned, most=2 * slide.crossing.per_bay - 1)
    for line in ("main", "backup"):
        assert finer.ledgers.of(line).peak == pytest.approx(slide.ledgers.of(line).peak, rel=0.02)


@pytest.mark.parametrize("holds", SLIDERS)
def test_the_held_line_rubs_on_one_tape_width_and_the_other_on_what_passed(holds):
    planned, slide = walked(holds)
    layout, crossing = planned.layout, slide.crossing
    width = crossing.rig.taping.stock.width
    held, slides = ("main", "backup") if holds is Holds.MAIN else ("backup", "main")
    at = {"main": layout.tape_main, "backup": layout.tape_backup}
    ledger = slide.ledgers.of(held)
    rubbed = ledger.middles[ledger.work > 1e-12]
    off = np.abs(rubbed[:, None] - at[held]).min(axis=1)
    assert off.max() <= 0.5 * width + ledger.bin
    other = slide.ledgers.of(slides)
    rubbed = other.middles[other.work > 1e-9]
    low, high = crossing.slide.min(axis=0) - 0.5 * width, crossing.slide.max(axis=0) + 0.5 * width
    inside = ((rubbed[:, None] >= low - other.bin) & (rubbed[:, None] <= high + other.bin)).any(axis=1)
    assert inside.all()
    # Each tape's half of the work, one by one.
    for tape in range(len(layout.tapes)):
        near = np.abs(ledger.middles - at[held][tape]) < width
        assert ledger.work[near].sum() == pytest.approx(0.5 * crossing.work[:, tape].sum(), rel=1e-9, abs=1e-15)


@pytest.mark.parametrize("holds", SLIDERS)
def test_reversing_the_style_mirrors_the_ledger(holds):
    """The same slips with the lines exchanged: what the main had is now on the backup, to the last bit."""
    _, slide = walked(holds)
    crossing = slide.crossing
    layout = crossing.layout
    other = {Holds.MAIN: Holds.BACKUP, Holds.BACKUP: Holds.MAIN}
    reversed_layout = replace(
        layout, tapes=tuple(replace(tape, holds=other[tape.holds]) for tape in layout.tapes),
        tape_main=layout.tape_backup, tape_backup=layout.tape_main, main_length=layout.backup_length,
        backup_length=layout.main_length,
    )
    mirrored = slide_rub(replace(crossing, layout=reversed_layout))
    assert np.array_equal(mirrored.main.work, slide.ledgers.backup.work)
    assert np.array_equal(mirrored.backup.work, slide.ledgers.main.work)


def test_reversing_the_style_on_the_rig_moves_the_peak_to_the_other_line():
    _, by_main = walked(Holds.MAIN)
    _, by_backup = walked(Holds.BACKUP)
    assert by_main.ledgers.main.peak > 1.2 * by_main.ledgers.backup.peak
    assert by_backup.ledgers.backup.peak > 1.2 * by_backup.ledgers.main.peak
    assert by_main.ledgers.main.half_length() < by_main.ledgers.backup.half_length()
    assert by_backup.ledgers.backup.half_length() < by_backup.ledgers.main.half_length()


def test_swing_work_is_force_times_angle_times_half_the_width():
    """The model's own formula, from the wind case's angles and the solved tensions of the gust."""
    rig = replace(walked_rig(Holds.BOTH).without_walker(), wind=breeze(None))
    case = find_wind(rig).case()
    found = swing_rub(case)
    swept = case.from_steady_swing - case.steady_swing
    assert np.all(swept > 0.1)
    assert found.angle == pytest.approx(np.column_stack((swept[:-1], swept[1:])))
    assert found.work == pytest.approx(found.normal * found.angle * 0.5 * 0.025)
    assert found.ledgers.total == pytest.approx(found.work.sum(), rel=1e-9)
    assert found.ledgers.main.total == pytest.approx(found.ledgers.backup.total, rel=1e-9)
    # Each loop hangs half on either tape, blown out: weight and drag together.
    load = np.linalg.norm(case.gust.loads[1]) * case.gust.bays.loop_length
    assert found.normal[3, 0] == pytest.approx(0.5 * load[3], rel=0.05)
    assert swing_rub(case, friction=0.25).ledgers.total == pytest.approx(0.25 * found.work.sum(), rel=1e-9)


def test_no_gust_no_swing_rub():
    rig = replace(walked_rig(Holds.BOTH).without_walker(), wind=replace(breeze(None), gust_factor=1.0))
    found = swing_rub(find_wind(rig).case())
    assert found.ledgers.total == pytest.approx(0.0, abs=1e-9)


def test_find_rub_counts_lists_and_says_what_was_assumed():
    rig = walked_rig(Holds.MAIN)
    seen: list[float] = []
    rub = find_rub(rig, most=5, crossings=10.0, gusts=3.0, progress=lambda share, what: seen.append(share))
    assert seen == sorted(seen)
    assert seen[-1] == 1.0
    total = 10.0 * rub.slide().total + 3.0 * rub.swing.total
    assert rub.counted().total == pytest.approx(total, rel=1e-9)
    peaks = [place.peak for place in rub.places]
    assert peaks == sorted(peaks, reverse=True)
    assert len(peaks) <= 20
    worst = rub.places[0]
    assert worst.peak == pytest.approx(max(rub.counted().main.peak, rub.counted().backup.peak))
    assert worst.low <= worst.peak <= worst.high
    assert worst.start < worst.at < worst.end
    assert worst.work <= rub.counted().of(worst.line).total
    assert any("ASSUMED" in line for line in rub.assumed)
    assert any("ranks" in note for note in rub.notes)
    words = " ".join((*rub.notes, *rub.assumed, *(place.cause for place in rub.places))).lower()
    assert "safe" not in words
    assert " life" not in words


def test_a_coarse_walk_says_how_coarse_it_is():
    rub = find_rub(walked_rig(Holds.MAIN), most=3, levels=("value",))
    assert any("not refined" in note for note in rub.notes)
    assert set(rub.slides) == {"value"}


def test_a_rig_without_walker_cannot_be_walked():
    with pytest.raises(InputError, match="walker"):
        find_rub(walked_rig(Holds.MAIN).without_walker())


def test_tight_backup_and_heavy_walker_still_balance_the_books():
    rig = replace(
        walked_rig(Holds.MAIN, excess=0.0), backup_plan=BackupPlan(given_by="excess", value=-0.002),
        walker=Walker(mass=110.0, at=7.0),
    )
    slide = walk_over(rig, "value", planned=plan(rig), most=3)
    assert slide.ledgers.total == pytest.approx(float(slide.crossing.work.sum()), rel=1e-9)


def test_one_step_a_bay_is_walked_once_and_not_refined():
    rig = walked_rig(Holds.MAIN, span=12.0)
    slide = walk_over(rig, "value", planned=plan(rig), most=1)
    assert slide.crossing.per_bay == 1
    assert slide.changed == math.inf


def test_no_step_at_all_is_refused():
    rig = walked_rig(Holds.MAIN, span=12.0)
    with pytest.raises(InputError, match="most"):
        walk_over(rig, "value", planned=plan(rig), most=0)

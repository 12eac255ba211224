"""What crews say about tape styles, asked of the model.  All of it: common practice, no source."""

from __future__ import annotations

import numpy as np
import pytest

from linescope.contact import swing_rub
from linescope.contact.find import gust_cases, walk_over
from linescope.statics import plan, solve
from linescope.taping import Holds
from tests.contact.making import breeze, uneven_rig, walked, walked_rig

SLIDERS = (Holds.MAIN, Holds.BACKUP)


def marks_of_swing(holds: Holds):
    """Rubbed bins of either line as taped and settled, on a slope where sliders run; and the marks as taped."""
    rig = walked_rig(holds, slope=0.1)
    planned = plan(rig)
    cases = gust_cases(rig, breeze(rig), planned)
    states = [swing_rub(case).ledgers for case in (cases[0], cases[-1])]
    rubbed = {
        line: [{int(k) for k in np.flatnonzero(state.of(line).work > 1e-9)} for state in states]
        for line in ("main", "backup")
    }
    return planned.layout, rubbed, states


def test_a_fixed_wrap_concentrates_damage_where_both_lines_meet():
    """Common practice, no source."""
    layout, rubbed, states = marks_of_swing(Holds.BOTH)
    for line, at in (("main", layout.tape_main), ("backup", layout.tape_backup)):
        assert rubbed[line][0] == rubbed[line][1]
        ledger = states[0].of(line)
        off = np.abs(ledger.middles[sorted(rubbed[line][0])][:, None] - at).min(axis=1)
        assert off.max() < 0.03
    assert states[0].main.total == pytest.approx(states[0].backup.total, rel=1e-9)


def test_a_slider_spreads_damage_on_the_line_that_slides():
    """Common practice, no source: in wind the marks move on that line and stay on the other; so do the slips'."""
    for holds, stays, moves in ((Holds.MAIN, "main", "backup"), (Holds.BACKUP, "backup", "main")):
        _, rubbed, _ = marks_of_swing(holds)

        def kept(line: str, rubbed=rubbed) -> float:
            return len(rubbed[line][0] & rubbed[line][1]) / len(rubbed[line][0])

        assert kept(stays) > 0.8
        assert kept(moves) < 0.5
        _, slide = walked(holds)
        assert slide.ledgers.of(moves).half_length() > 1.2 * slide.ledgers.of(stays).half_length()


def test_a_backup_held_slider_keeps_the_loops_one_has_chosen():
    """Common practice, no source: their lengths stay to the last bit; main-held ones change when shaken."""
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
        walk = walk_over(rig, "low", planned=planned, most=5).crossing
        shaken = solve(rig.without_walker(), "settled", planned=planned, look_for_others=False)
        spread[holds] = (float(np.std(walk.after.bays.loop_depth)), float(np.std(shaken.bays.loop_depth)))
    assert spread[Holds.BACKUP][0] < 0.9 * spread[Holds.MAIN][0]
    assert spread[Holds.BACKUP][1] < 0.9 * spread[Holds.MAIN][1]


def test_a_backup_that_turns_round_the_main_wears_one_point_at_every_backup_held_tape():
    """Common practice, no source: on the backup both swing and slip stay within one tape width of every mark."""
    planned, slide = walked(Holds.BACKUP)
    width = slide.crossing.rig.taping.stock.width
    layout, rubbed, states = marks_of_swing(Holds.BACKUP)
    for ledger, at, bins in (
        (slide.ledgers.backup, planned.layout.tape_backup, np.flatnonzero(slide.ledgers.backup.work > 1e-9)),
        (states[1].backup, layout.tape_backup, np.array(sorted(rubbed["backup"][1]))),
    ):
        apart = np.abs(ledger.middles[bins][:, None] - at)
        assert apart.min(axis=1).max() <= 0.5 * width + 0.015
        # One place at each tape that rubs at all, and swings rub at every one.
        pieces = 1 + int(np.sum(np.diff(bins) > 1))
        assert pieces == len(np.unique(apart.argmin(axis=1)))
    assert len(np.unique(np.abs(states[1].backup.middles[bins][:, None] - layout.tape_backup).argmin(axis=1))) == len(
        layout.tapes
    )

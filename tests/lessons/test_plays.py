"""What lessons show: figures of set-ups in which styles differ, how they hang on steps, and the trade.

The figures are regression figures of this model, worked out before it had lessons; each may be off by the tolerance
beside it. What no model decides, which style does what, is common practice, no source: riggers say so of real lines.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import linescope
from linescope.contact.stepper import Stepper
from linescope.contact.styles import with_style
from linescope.errors import InputError
from linescope.events.crossing import cross
from linescope.lessons import hung, plays, walked
from linescope.lessons.plays import play
from linescope.lessons.shots import LessonRow
from linescope.lessons.takes import POSITIONS, STYLES, held, positions, telling
from linescope.scenefile.shipped import lesson_file
from linescope.stage import lesson_rows as rows
from linescope.statics import plan, solve
from linescope.taping import Holds
from linescope.words import Words
from tests.lessons.solved import rig_of, shipped
from tests.long import rest_is_long

LOOP = 0.02
"""Two figures of a centimetre each may differ by it. [m]"""


def ends(name: str, take: int | None = None):  # type: ignore[no-untyped-def]
    found = shipped(name)
    tracks = found.takes[found.first if take is None else take].tracks
    return [track.shots[-1] for track in tracks]


def test_where_the_slack_went() -> None:
    fixed, main, backup = ends("where-slack-goes")
    assert [each.depth.max() for each in (fixed, main, backup)] == pytest.approx([0.90, 4.54, 1.37], abs=LOOP)
    assert main.ran == pytest.approx(5.6, abs=0.05) and np.abs(backup.slid).max() == pytest.approx(2.0, abs=0.05)
    # Common practice, no source: slack runs to the low end, and tapes that hold the backup walk there.
    assert main.deepest == len(main.depth) - 1 and np.all(main.slid < 0.0) and np.all(backup.slid > 0.0)
    level = ends("where-slack-goes", 0)
    assert all(each.depth.max() - fixed.depth.max() < 0.06 for each in level), "level, hardly anything runs"


def test_states_on_the_way_down_end_where_settling_ends() -> None:
    laid = plan(rig_of("where-slack-goes"))
    settled = solve(laid.rig.without_walker(), "settled", planned=laid)
    for lowering in (0.6, 0.9):
        last = hung.settled_states(laid, lowering)[-1]
        assert last.bays.loop_depth == pytest.approx(settled.bays.loop_depth, abs=1e-3)


def test_a_shaken_line_has_a_fifth_of_its_hold() -> None:
    """Shaken lies between taped and settled: where the hold is the default one nothing runs; where a fifth of it cannot
    carry the slope, as much runs as with that hold from the beginning."""
    for track in shipped("where-slack-goes").take.tracks:
        taped, shaken = track.shots[:2]
        assert shaken.depth == pytest.approx(taped.depth, abs=1e-6) and shaken.ran < 1e-6
    rig = held(rig_of("where-slack-goes"), drag=0.25, friction=0.0)
    track = play("where-slack-goes", rig).take.tracks[1]
    taped, shaken, settled = track.shots[0], track.shots[1], track.shots[-1]
    stepper = Stepper(held(rig, drag=0.05))
    assert shaken.depth == pytest.approx(stepper.put(None).bays.loop_depth, abs=1e-6)
    assert taped.depth.max() + 0.5 < shaken.depth.max() < settled.depth.max() - 0.5
    assert np.all(np.diff([shot.ran for shot in track.shots]) >= 0.0), "never back"


def test_the_knob_has_positions_between_its_stops() -> None:
    assert positions((1.0, 4.0, 8.0), 1) == [(1.0, True), (2.0, False), (4.0, True), (32.0**0.5, False), (8.0, True)]
    assert positions((0.0, 3.0), 2) == [(0.0, True), (1.0, False), (2.0, False), (3.0, True)]


@pytest.mark.parametrize("name", ["where-slack-goes", "uneven-spacing", "pen-marks", "ties"])
def test_a_position_between_two_stops_is_solved(name: str) -> None:
    """One state there, the one that says most of a run with that very value; nothing is mixed between two."""
    stops = shipped(name).takes
    found = shipped(name, 2 * len(stops) - 1)
    if name == "ties":
        assert [take.value for take in found.takes] == [1, 2, 3, 4, 5, 6, 7] and all(take.whole for take in found.takes)
        return
    assert len(found.takes) == 2 * len(stops) - 1 and [take.whole for take in found.takes[:2]] == [True, False]
    assert [take.value for take in found.stops] == [take.value for take in stops]
    take = found.takes[3]
    assert all(len(track.shots) == 1 for track in take.tracks)
    if name == "where-slack-goes":
        rig = hung.dropped(rig_of(name), take.value)
        for (family, holds), track in zip(STYLES, take.tracks, strict=True):
            settled = solve(with_style(rig, family, holds).without_walker(), "settled")
            assert track.shots[0].depth == pytest.approx(settled.bays.loop_depth, abs=1e-3)
    if name == "uneven-spacing":
        for (family, holds), track in zip(STYLES, take.tracks, strict=True):
            stepper = Stepper(with_style(hung.unevenly(rig_of(name), take.value), family, holds))
            for times in np.geomspace(12.0, 1.0, hung.EASING):
                stepper.ease(float(times))
                state = stepper.put(None)
            assert track.shots[0].depth == pytest.approx(state.bays.loop_depth, abs=1e-6)


@pytest.mark.long
def test_what_is_told_of_the_grams_is_what_ran() -> None:
    """The least hold that keeps all is that with which a walk of tapes that hold both lines pulls at none by more."""
    enough, short = walked.holding(shipped("ten-grams").takes)
    assert (enough, short) == (0.069, 0.066)
    between = shipped("ten-grams", POSITIONS)
    for holds in (Holds.MAIN, Holds.BACKUP):
        enough, short = walked.holding(between.takes, holds)
        ran = {take.value: between.track(holds, k).shots[-1].ran for k, take in enumerate(between.takes)}
        assert ran[enough] < 5e-4 <= ran[short] and short < enough
    stops = [take.value for take in between.stops]
    wanted = {*walked.MASSES, *walked.holding(between.takes), walked.holding(between.takes, Holds.BACKUP)[0]}
    assert wanted == set(stops), "a stop where it holds, and where it fails"
    assert all(len(track.shots) > 1 for take in between.stops for track in take.tracks)
    assert telling("ten-grams", shipped("ten-grams").take.tracks) == len(shipped("ten-grams").take.tracks[1].shots) - 1


def test_ten_grams() -> None:
    found = shipped("ten-grams")
    before = [take.tracks[1].shots[1] for take in found.takes]
    after = [take.tracks[1].shots[-1] for take in found.takes]
    deepest = {take.value: each.depth.max() for take, each in zip(found.takes, after, strict=True)}
    wanted = [4.54, 1.73, 1.10, 1.25, 0.96, 0.90]
    assert [deepest[mass] for mass in walked.MASSES] == pytest.approx(wanted, abs=LOOP)
    assert after[3].ran == pytest.approx(1.9, abs=0.05)
    assert before[4].ran < 0.001 < after[4].ran and after[-1].ran < 0.001
    with pytest.raises(InputError, match="nobody"):
        play("ten-grams", rig_of("ten-grams").without_walker())


def test_the_slack_walks() -> None:
    found, words = shipped("slack-walks"), Words()
    fixed, main, backup = found.take.tracks
    assert fixed.widest == pytest.approx((0.48, 0.55), abs=LOOP)
    assert main.widest == pytest.approx((0.50, 1.34), abs=LOOP)
    assert backup.widest == pytest.approx((0.43, 0.78), abs=0.05), "which loop was told then is not known"
    assert main.shots[-1].ran == pytest.approx(2.5, abs=0.05) and backup.shots[-1].ran == pytest.approx(1.8, abs=0.1)
    # What the answer says: of sliders the deepest loop is mostly under the feet or just behind, on the way to B.
    for track in (main, backup):
        middle = [k for k, each in enumerate(track.shots[: len(track.shots) // 2]) if 12.0 < each.feet[0] < 36.0]
        places = [rows.told_loop(track, k)[1] for k in middle]
        assert np.mean([place in ("under", "just-behind") for place in places]) > 0.8
    for k, each in enumerate(fixed.shots):
        if 12.0 < each.feet[0] < 36.0:
            assert rows.told_loop(fixed, k)[1] == "" and each.own == int(np.argmin(each.depth))
    # One loop, one figure: the loop named beside a row is the one whose depth stands under it.
    for track in (main, backup):
        for k in range(len(track.shots)):
            facts, [(bay, text, _)] = rows.facts(found, track, k, words), rows.figures(found, track, k, words)
            assert text.startswith(f"loop {bay + 1}: ")
            assert rows.told_loop(track, k)[1] == "" or facts[1].startswith(text)
    # Where none stands out, the one under the feet, which the answer says is the shallowest.
    for k, each in enumerate(fixed.shots):
        [(bay, _, _)] = rows.figures(found, fixed, k, words)
        assert rows.told_loop(fixed, k)[1] != "" or bay == each.own
    fragile = shipped("slack-walks").takes[1].tracks[1]
    assert fragile.ranges[:, 1].max() < 0.8 * main.ranges[:, 1].max(), "a little more friction, and most is gone"


@pytest.mark.parametrize(("family", "holds"), STYLES[1:])
def test_finer_steps_of_ten_grams(family: str, holds: Holds) -> None:
    """The walk with the hold that is shown first, in half as long steps: loops within a centimetre, what ran within
    2 %.  The least hold that keeps all does not hang on steps, since until then nothing moves."""
    rig = held(rig_of("ten-grams"), drag=walked.MASSES[3] * 9.80665)
    ends = [walked.walked_once(Stepper(with_style(rig, family, holds)), steps)[0][-1] for steps in (9, 18)]
    assert ends[0].depth == pytest.approx(ends[1].depth, abs=0.01)
    assert ends[0].ran == pytest.approx(ends[1].ran, rel=0.02, abs=0.005)
    coarse, fine = (walked.enough_held(rig, steps) for steps in (3, 18))
    assert coarse == fine


@pytest.mark.parametrize(("family", "holds"), STYLES)
def test_finer_steps_of_uneven_bays(family: str, holds: Holds) -> None:
    """The hold comes down in steps; in twice as many of them loops end within half a centimetre."""
    stepper = Stepper(with_style(rig_of("uneven-spacing"), family, holds))
    for times in np.geomspace(12.0, 1.0, 2 * hung.EASING):
        stepper.ease(float(times))
        state = stepper.put(None)
    shown = shipped("uneven-spacing").track(holds).shots[-1].depth
    assert shown == pytest.approx(state.bays.loop_depth, abs=5e-3)


def test_finer_steps_of_pen_marks() -> None:
    """The walk from A to the middle in half as long steps: loops and pulls as shown, on all four webbings."""
    found = shipped("pen-marks")
    for track in found.take.tracks:
        stepper = Stepper(track.planned.rig, planned=track.planned)
        for share in np.linspace(0.02, 0.5, 2 * hung.MARKS_STEPS - 1):
            state = stepper.put(float(share * stepper.layout.main_length))
        depth, pull = track.shots[-1].depth[found.bay], track.shots[-1].pull[found.bay]
        assert depth == pytest.approx(float(state.bays.loop_depth[found.bay]), abs=2e-3)
        assert pull == pytest.approx(float(state.bays.backup_tension[found.bay]), rel=5e-3, abs=0.5)


def test_ties_take_no_steps() -> None:
    """Each row is one state of rest and one balance of energy: solved again from another beginning, the same."""
    rig = hung.dropped(rig_of("ties"), 0.0)
    tied = linescope.lessons.lost.tied(rig, 3)
    standing, low = linescope.lessons.lost.gone_shot(tied, plan(tied))
    track = shipped("ties").takes[1].tracks[-1]
    assert low.depth == pytest.approx(track.shots[-1].depth, rel=1e-6)
    assert standing.depth == pytest.approx(track.shots[0].depth, abs=1e-6)


@pytest.mark.parametrize(("family", "holds"), STYLES[1:])
def test_finer_steps_change_what_a_walk_does_by_little(family: str, holds: Holds) -> None:
    """Three steps a bay leave the work of sliders 12 % low; from nine on it is within 3 %, loops within 1 cm."""
    rig = with_style(rig_of("slack-walks"), family, holds)
    walks = {steps: cross(rig, per_bay=steps) for steps in (9, 18)}
    assert walks[9].total_work.sum() == pytest.approx(walks[18].total_work.sum(), rel=0.03)
    assert walks[9].after.bays.loop_depth == pytest.approx(walks[18].after.bays.loop_depth, abs=0.01)


@pytest.mark.parametrize(("family", "holds"), STYLES)
def test_a_lesson_walks_as_a_crossing_does(family: str, holds: Holds) -> None:
    """Step by step, with nothing known beforehand, the states are those of a crossing."""
    rig = with_style(rig_of("slack-walks"), family, holds)
    walk, stepper = cross(rig, per_bay=3), Stepper(rig)
    stepper.put(None)
    depths = [state.bays.loop_depth for state in stepper.walk(walk.walker[:40])]
    assert np.array(depths) == pytest.approx(walk.loop_depth[:40], abs=1e-6)
    assert stepper.slide == pytest.approx(walk.slide[40], abs=1e-6)


def test_a_change_of_hold_on_the_way_counts_from_there_on() -> None:
    stepper = Stepper(rig_of("ten-grams"))
    stepper.change(drag=50.0)
    assert stepper.put(None).tape_slip == pytest.approx(0.0)
    stepper.change(drag=0.0)
    assert stepper.put(None).bays.loop_depth.max() == pytest.approx(4.54, abs=LOOP)
    slid = stepper.slide
    stepper.change(drag=50.0)
    assert stepper.put(None).tape_backup == pytest.approx(slid, abs=1e-6), "what ran does not run back"


def test_uneven_bays() -> None:
    """Common practice, no source: even spacing matters more where something can run, since long bays then gain."""
    wanted = {"both": (0.28, 0.56), "main": (0.16, 0.66), "backup": (0.19, 0.63)}
    for track in shipped("uneven-spacing").take.tracks:
        depth = track.shots[-1].depth
        middle = sorted(depth[len(depth) // 2 - 1 : len(depth) // 2 + 1])
        assert middle == pytest.approx(wanted[track.name], abs=LOOP)
        # Why the backup-held row gets worse: its long bays, the second and every other one, have become shorter.
        change = np.diff(track.shots[-1].tapes[:, 0]) - np.diff(track.shots[0].tapes[:, 0])
        shorter = bool(np.all(change[0::2] < -0.01) and np.all(change[1::2] > 0.01))
        assert rows.drawn_into_long(track, track.shots[-1]) == shorter == (track.holds is Holds.BACKUP)
    even = ends("uneven-spacing", 0)
    assert max(each.ran for each in even) < 0.01, "evenly spaced on a level line, sliders change nothing"


def test_no_style_stops_the_fall_sooner() -> None:
    """The answer's first word, and what the rows tell of the fall: from where he stood to where his feet end."""
    found = shipped("ties")
    falls = [rows.fall_of(track) for track in found.take.tracks]
    assert falls[:3] == pytest.approx([falls[0]] * 3, rel=0.02)
    for track, fall in zip(found.take.tracks, falls, strict=True):
        stood, low = track.shots
        assert fall == pytest.approx(low.depth[0] + stood.feet[1])
    assert falls[3] < falls[0] - 1.0


def test_a_loop_cut_too_long_is_repaired_by_sliders() -> None:
    """The twin of uneven bays: one loop of even bays with more backup in it than the others."""
    zone = replace(rig_of("uneven-spacing").taping.zones[0], spacing=linescope.rig.Spacing(kind="even", every=3.0))
    rig = rig_of("uneven-spacing")
    deepest = {}
    for family, holds in STYLES:
        styled = with_style(replace(rig, taping=replace(rig.taping, zones=(zone,))), family, holds)
        laid = plan(styled)
        backup = laid.layout.tape_backup.copy()
        backup[7:] += 0.45
        longer = replace(laid.layout, tape_backup=backup, backup_length=laid.layout.backup_length + 0.45)
        pair, _ = linescope.statics.assemble.assemble(styled, longer, linescope.statics.assemble.Loading())
        found = replace(
            laid,
            layout=longer,
            pair=pair,
            standing=linescope.statics.minimise.minimise(pair, linescope.statics.assemble.first_guess(pair)),
        )
        stepper = Stepper(styled, planned=found)
        stepper.ease(0.2)
        deepest[holds] = stepper.put(None).bays.loop_depth.max()
    # Common practice, no source: sliders even out one loop that was cut too long; fixed wraps keep it.
    assert [deepest[holds] for _, holds in STYLES] == pytest.approx([0.88, 0.56, 0.65], abs=0.05)


def test_pen_marks() -> None:
    found = shipped("pen-marks")
    marked = [track.shots[0].depth[found.bay] for track in found.take.tracks]
    before = [track.shots[1].depth[found.bay] for track in found.take.tracks]
    walked = [track.shots[-1].depth[found.bay] for track in found.take.tracks]
    assert marked == pytest.approx([0.41] * 4, abs=0.01), "nobody made a mistake with the pen"
    assert before == pytest.approx([0.21, 0.33, 0.38, 0.40], abs=0.01)
    assert walked == pytest.approx([0.03, 0.28, 0.35, 0.39], abs=0.01)
    # Common practice, no source: loops marked on slack lines hang shallower, most so where the main stretches most.
    assert all(hung < slack for hung, slack in zip(before, marked, strict=True)) and before == sorted(before)
    assert found.takes[3].tracks[0].shots[1].pull[found.bay] == pytest.approx(432.0, rel=0.02), "at 3 kN, nobody on"


def test_a_tape_is_not_a_tie() -> None:
    found = shipped("ties")
    alone = [track.shots[-1].depth[0] for track in found.take.tracks[:3]]
    assert alone == pytest.approx([24.2] * 3, rel=0.02)
    assert np.ptp(alone) < 0.01, "tape holds no fall, whatever its style (common practice, no source)"
    lows = [take.tracks[-1].shots[-1].depth[0] for take in found.takes]
    assert lows == pytest.approx([19.2, 16.0, 13.9], rel=0.02)


@pytest.mark.parametrize("name", ["where-slack-goes", "slack-walks"])
def test_each_style_does_what_riggers_say_of_it(name: str) -> None:
    """Common practice, no source: fixed wraps keep every loop and tape; tapes that hold the main let the backup run and
    stay themselves; tapes that hold the backup keep every loop's length, and run along the main."""
    fixed, main, backup = shipped(name).take.tracks
    for shot in fixed.shots:
        assert not shot.slid.any()
        assert shot.tape_main == pytest.approx(fixed.planned.layout.tape_main)
    for shot in main.shots:
        assert shot.tape_main == pytest.approx(main.planned.layout.tape_main)
    for shot in backup.shots:
        assert shot.tape_backup == pytest.approx(backup.planned.layout.tape_backup)
    assert np.abs(main.shots[-1].slid).max() > 0.1 < np.abs(backup.shots[-1].slid).max()


def test_what_is_shown_is_what_was_solved() -> None:
    """Points of a row are those of the state; material under them rises; the paint has a border at every tape."""
    from linescope.stage.lesson_rows import painted

    rig = rig_of("slack-walks")
    stepper = Stepper(rig)
    state = stepper.put(float(stepper.layout.main_length / 3.0))
    seen = linescope.lessons.shots.shot(state)
    assert seen.tapes[:, 0] == pytest.approx(state.tape_points[:, 0]) and seen.tapes[:, 1] == pytest.approx(
        state.tape_points[:, 2]
    )
    assert np.all(np.diff(seen.backup_at) > 0.0) and np.all(np.diff(seen.main_at) > 0.0)
    runs = painted(seen.backup, seen.backup_at, stepper.layout.tape_backup)
    assert [bay for bay, _ in runs] == list(range(len(seen.depth)))
    slid = -float(seen.slid[2])
    tape, border = seen.tapes[2], runs[3][1][0]
    along = np.linalg.norm(border - tape)
    assert along == pytest.approx(abs(slid), rel=0.05, abs=0.01), "the border has left the tape by what slid"


@pytest.mark.parametrize("scene", rest_is_long(["heron_gap", "ptarmigan_step"], "ptarmigan_step"))
@pytest.mark.parametrize("name", rest_is_long(
    [name for name in plays.PLAYS if name != "pen-marks"], "ties", "where-slack-goes", "uneven-spacing", "who-wears",
))
def test_on_a_rig_of_ones_own_a_lesson_says_whether_it_shows(name: str, scene: str) -> None:
    rig = linescope.load(lesson_file("ties").parents[1] / f"{scene}.toml").rig
    found = play(name, rig)
    assert all(len({len(track.shots) for track in take.tracks}) == 1 for take in found.takes)
    if name == "slack-walks":
        assert not found.shows, "at the default hold next to nothing slips in a walk"
    if name == "where-slack-goes":
        taped, settled = (found.track(Holds.MAIN).shots[k].depth.max() for k in (0, -1))
        assert found.shows == (settled > 1.25 * taped)
    words = Words()
    assert (rows.sentence(found, words) == words.say("lessons-rows-nothing")) != found.shows


def told_of(name: str, rig: linescope.rig.Rig) -> tuple[str, str]:
    found, words = play(name, rig), Words()
    return rows.sentence(found, words), rows.why(found, words)


def test_what_would_have_to_change_changes_it() -> None:
    """Where a lesson shows nothing it says what it takes; with that it shows."""
    even = replace(rig_of("uneven-spacing").taping.zones[0], spacing=linescope.rig.Spacing(kind="even", every=3.0))
    rig = rig_of("uneven-spacing")
    alike = replace(rig, taping=replace(rig.taping, zones=(even,)))
    nothing, why = told_of("uneven-spacing", alike)
    assert nothing == Words().say("lessons-rows-nothing") and "pattern of short and long bays" in why
    nothing, why = told_of("uneven-spacing", held(rig, drag=5.0))
    assert nothing == Words().say("lessons-rows-nothing") and "hold too much" in why
    assert play("uneven-spacing", rig).shows
    level = hung.dropped(rig_of("where-slack-goes"), 0.0)
    nothing, why = told_of("where-slack-goes", level)
    drop = min(
        take.value
        for take in play("where-slack-goes", level).stops
        if take.tracks[1].shots[-1].depth.max() > 1.25 * take.tracks[0].shots[0].depth.max()
    )
    assert nothing == Words().say("lessons-rows-nothing") and Words().of(drop, "length") in why
    assert play("where-slack-goes", hung.dropped(level, drop)).shows
    nothing, why = told_of("slack-walks", held(rig_of("slack-walks"), drag=0.5, friction=0.25))
    assert nothing == Words().say("lessons-rows-nothing") and "hold.friction" in why
    assert play("slack-walks", held(rig_of("slack-walks"), drag=0.02, friction=0.05)).shows


def test_bays_of_ones_own_are_shown_as_they_are() -> None:
    """A pattern that no stop of the knob has is one more stop, where the line is as it was given."""
    rig = rig_of("uneven-spacing")
    zone = replace(rig.taping.zones[0], spacing=linescope.rig.Spacing(kind="pattern", values=(2.0, 3.0)))
    own = replace(rig, taping=replace(rig.taping, zones=(zone,)))
    found = play("uneven-spacing", own)
    assert found.take.own and found.take.value == pytest.approx(0.2, abs=0.01) and len(found.takes) == 5
    assert found.take.tracks[0].planned.layout.tape_main == pytest.approx(plan(own).layout.tape_main)


def test_a_hold_given_to_all_is_the_hold_of_all() -> None:
    rig = held(rig_of("where-slack-goes"), drag=0.3, friction=0.1)
    layout = plan(rig).layout
    assert {(tape.hold.drag.value, tape.hold.friction.value) for tape in layout.tapes} == {(0.3, 0.1)}


def test_slack_that_runs_elsewhere_is_not_said_to_walk_along() -> None:
    """On a slope it gathers low, whoever walks: the lesson says so, and what would have to change."""
    level, words = shipped("slack-walks"), Words()
    assert level.shows and walked.follows(level.take.tracks[1])
    slope = hung.dropped(level.rig, 16.0)
    stepper = Stepper(with_style(slope, *STYLES[1]))
    shots, ranges = walked.second_walk(stepper, 3)
    row = LessonRow(name="main", holds=Holds.MAIN, planned=stepper.planned, shots=shots, ranges=ranges)
    assert not walked.follows(row)
    found = replace(level, rig=slope, shows=False, runs=True)
    assert rows.sentence(found, words) == words.say("lessons-rows-nothing")
    assert "low on the slope" in rows.why(found, words) and "anchors.b" in rows.why(found, words)


def test_a_few_bays_of_a_sloping_line_are_drawn_as_large_as_of_a_level_one() -> None:
    """What is shown decides the scale, and names stand beside it."""
    level = shipped("uneven-spacing")
    steep = play("uneven-spacing", hung.dropped(level.rig, 4.0))
    for found in (level, steep):
        for track, frame in zip(found.take.tracks, rows.frames_of(found, found.take), strict=True):
            main = rows.drawn(found, track.shots[-1]).main
            shown = np.array(frame.at(frame.seen(main)))
            assert shown[:, 1].min() >= rows.TOP and shown[:, 1].max() <= rows.LOW
            assert abs(frame.named - shown[:, 1].min()) < 20.0
    scales = [rows.frames_of(found, found.take)[0].scale for found in (level, steep)]
    assert scales[1] == pytest.approx(scales[0])

"""Excess in four states, marks for wanted loops, and what measured loops imply."""

from __future__ import annotations

import functools
import math
from collections.abc import Mapping
from dataclasses import replace

import numpy as np
import pytest

from linescope.errors import InputError
from linescope.events.as_built import AsBuiltNote, implied_loops
from linescope.events.excess import FourStates, LoopsNote, depth_for_loop_length, four_states
from linescope.events.marks import excess_to_mark, marks_for, with_loops
from linescope.notes import Bays, Quantity, Severity, Spot, Term
from linescope.rig import Anchors, BackupPlan, Band, Hold, MainPlan, Rig, Spacing, TapeZone, Taping, Walker
from linescope.rig.layout import loop_length_for_depth
from linescope.statics import plan, solve
from linescope.statics.assemble import assemble, first_guess
from linescope.statics.minimise import minimise
from linescope.statics.solve import still_air
from linescope.taping import Holds
from linescope.webbing import StretchCurve, Webbing
from linescope.words import Words


def rig(
    excess: float = 0.03, ea: float = 62.5e3, drop: float = 0.0, mass: float = 75.0,
    anchors: Mapping[str, object] | None = None, **more: object,
) -> Rig:
    """The invented workshop line: 48 m, nylon 16 % at 10 kN, 1.8 kN, bays of 3 m."""
    line = Webbing(
        name="line",
        width=0.025,
        thickness=0.0024,
        mass=0.062,
        breaking_strength=26e3,
        stretch=StretchCurve.linear(ea),
    )
    zone = TapeZone(
        start=0.0,
        end=math.inf,
        family="fixed wrap",
        holds=Holds.BOTH,
        spacing=Spacing(kind="even", every=3.0),
    )
    one = Band(low=0.1, value=0.2, high=0.3)
    values = {
        "name": "test",
        "anchors": Anchors(**({"main_a": (0, 0, 0), "main_b": (48, 0, -drop)} | dict(anchors or {}))),
        "main": line,
        "backup": line,
        "main_plan": MainPlan(tension=1800.0),
        "backup_plan": BackupPlan(given_by="excess", value=excess),
        "taping": Taping(zones=(zone,), measured_on="slack"),
        "hold": Hold(drag=one, friction=one),
        "walker": Walker(mass=mass, at=24.0),
    }
    return Rig(**(values | more))


OUTSIDE = {"area": "statics", "source": "Trade notes: excess to mark", "known": "script"}


@functools.cache
def marked(excess: float) -> FourStates:
    return four_states(rig(excess))


def test_three_percent_on_slack_nylon_is_gone_under_the_walker() -> None:
    """Worked example of the trade (invented line, plain catenary script; no source): standing main +2.9 %,
    0.1 % left, loops 6 cm; walker: backup 0.46 kN, main 2.35 kN, 1.5 kN of backup under three times the body
    weight."""
    states = marked(0.03)
    standing, walker = states.state("standing"), states.state("walker")
    assert standing.bay[8] == pytest.approx(3.09, abs=0.005)
    assert standing.excess[8] == pytest.approx(0.001, abs=5e-4)
    assert standing.loop_depth[8] == pytest.approx(0.065, abs=0.01)
    assert walker.bay[8] == pytest.approx(3.12, abs=0.01)
    assert walker.backup_tension[8] == pytest.approx(460.0, rel=0.08)
    assert walker.main_tension[8] == pytest.approx(2350.0, rel=0.02)
    heavy = four_states(rig(mass=225.0)).state("walker")
    assert heavy.backup_tension[8] == pytest.approx(1500.0, rel=0.1)


def test_negative_excess_with_the_main_alone_is_one_percent() -> None:
    """The example's -1.0 % is the formula at the tension of a main that carries all; with the backup's share
    taken off, the main stretches less and -0.8 % is left."""
    alone = marked(0.08).state("walker").main_tension[8]
    strain = alone / 62.5e3
    assert 1.03 / (1.0 + strain) - 1.0 == pytest.approx(-0.010, abs=5e-4)
    assert -0.009 < marked(0.03).state("walker").excess[8] < -0.007


def test_tight_backup_and_main_share_as_two_springs(agrees) -> None:
    """Closed form, independent of the solver: at one stretched bay length each taut line carries EA x its own
    strain."""
    walker = marked(0.03).state("walker")
    own = 62.5e3 * (walker.bay / walker.loop_length - 1.0)
    springs = {"known": "recomputed", "source": "Closed form: two springs side by side", "unit": "N"}
    main = 62.5e3 * (walker.bay / marked(0.03).state("slack").bay - 1.0)
    found, within = np.stack((walker.main_tension, walker.backup_tension)), [[1e-3], [0.02]]
    agrees("main and tight backup, every bay", found, np.stack((main, own)), rel=within, **springs)
    np.testing.assert_allclose(walker.backup_share, own / (own + walker.main_tension), rtol=0.02)


def test_negative_excess_is_loud() -> None:
    states = marked(0.03)
    assert states.state("walker").tight == tuple(range(1, 17))
    (note,) = states.notes
    assert (note.kind, note.severity) == (LoopsNote.NEGATIVE, Severity.DANGER)
    assert note.values["state"] == Term("loops-state-walker")
    assert (note.values["count"], note.values["total"], note.values["bays"]) == (16, 16, Bays(tuple(range(1, 17))))
    assert note.values["share"].bound == "up"
    assert Words().value(note.values["share"]) == "18 %"  # 17.1 %, a most: rounded up.
    assert marked(0.08).notes == ()
    short = four_states(rig(-0.005)).notes
    assert [note.kind for note in short] == [LoopsNote.NEGATIVE, LoopsNote.NEGATIVE, LoopsNote.NEGATIVE_SLACK]
    assert all("safe" not in Words().note(note).lower() for note in (*states.notes, *short))


def test_eight_percent_is_the_cure() -> None:
    """The trade's cure: loops 42 cm standing and 37 cm with the walker, by the shallow formula bay x
    sqrt(3e/8), which is 2 % short of the catenary (43 and 38 cm)."""
    for name, formula in (("standing", 0.42), ("walker", 0.37)):
        state = marked(0.08).state(name)
        shallow = state.bay[8] * math.sqrt(3.0 * state.excess[8] / 8.0)
        assert shallow == pytest.approx(formula, abs=0.006)
        assert state.loop_depth[8] == pytest.approx(shallow, rel=0.03)
        assert state.loop_depth[8] > shallow


def test_formula_of_the_trade_holds_where_nothing_slips() -> None:
    """e' = (1+e)/(1+strain) - 1 against the solved bays, strain read off the stretch curve at the bay's
    tension."""
    for name in ("standing", "walker"):
        state = marked(0.08).state(name)
        np.testing.assert_allclose(state.by_formula, state.excess, atol=1e-6)


def test_low_stretch_webbing_keeps_its_excess(agrees) -> None:
    """The same plan in webbing of 1.8 % at 10 kN has 2.2 % left with the walker (trade, no source)."""
    state = four_states(rig(ea=10e3 / 0.018)).state("walker")
    agrees("excess left in low-stretch webbing, of 3 %", state.excess[8], 0.022, abs=2e-3)


def test_slack_depth_inverts_the_layout_formula() -> None:
    bays = np.array([1.0, 3.0, 5.0, 3.0])
    depth = np.array([0.05, 0.4, 2.5, 0.0])
    lengths = np.array([loop_length_for_depth(b, d) for b, d in zip(bays, depth, strict=True)])
    np.testing.assert_allclose(depth_for_loop_length(bays, lengths), depth, atol=1e-8)
    # Irvine's shallow loop: depth / bay = sqrt(3 e / 8) as e -> 0.
    np.testing.assert_allclose(depth_for_loop_length(1.0, 1.0001), math.sqrt(3e-4 / 8), rtol=1e-3)
    assert depth_for_loop_length(3.0, 2.9) == 0.0


def test_a_fall_state_can_be_plugged_in() -> None:
    """Any equilibrium of the same rig serves, as a Solution, as a Minimum, or as its bays: here four times
    the weight."""
    heavy = rig(0.08, mass=300.0)
    given = rig(0.08)
    planned = plan(given)
    fall = solve(heavy, planned=planned)
    pair, _ = assemble(heavy, planned.layout, still_air(heavy, planned))
    low = minimise(pair, first_guess(pair))
    by_solution, by_minimum, by_bays = (four_states(given, state) for state in (fall, low, fall.bays))
    for states in (by_minimum, by_bays):
        np.testing.assert_allclose(states.state("fall").excess, by_solution.state("fall").excess, atol=1e-9)
    assert np.all(by_solution.state("fall").excess < by_solution.state("walker").excess)
    assert [state.name for state in by_solution.states] == ["slack", "standing", "walker", "fall"]
    with pytest.raises(InputError, match="another rig"):
        four_states(given, solve(rig(0.08, anchors={"main_b": (60, 0, 0)})))
    with pytest.raises(InputError, match="not computed"):
        marked(0.08).state("fall")


@pytest.mark.parametrize(("strain", "mark"), [(0.04, 0.082), (0.027, 0.068), (0.01, 0.050)])
def test_marks_of_the_trade(agrees, strain: float, mark: float) -> None:
    """Wanted 4 % under a walker: nylon (4 % strain) 8.2 %, polyester (2.7 %) 6.8 %, HMPE (1 %) 5 % (trade, no
    source)."""
    marked = float(excess_to_mark(0.04, strain))
    agrees("excess to mark for 4 % under a walker, strain 1 to 4 %", marked, mark, abs=5e-4)


@pytest.mark.parametrize("ea", [62.5e3, 10e3 / 0.08, 10e3 / 0.018])
def test_wanted_excess_is_found_by_the_whole_rig(ea: float) -> None:
    """Marked excess from the solved rig against (1 + e')(1 + strain) - 1 at the solved tension (closed form);
    8.2 % on nylon is the trade's figure (no source)."""
    marks = marks_for(rig(ea=ea), excess=0.04)
    assert marks.walker is not None
    np.testing.assert_allclose(marks.walker.bays.excess, 0.04, atol=1e-6)
    strain = marks.walker.bays.main_tension / ea
    np.testing.assert_allclose(marks.slack.excess, excess_to_mark(0.04, strain), atol=1e-6)
    if ea == 62.5e3:
        assert marks.slack.excess[8] == pytest.approx(0.082, abs=1e-3)


def test_wanted_depth_is_met_in_every_bay_and_by_the_returned_rig() -> None:
    marks = marks_for(rig(), depth=0.37)
    again = solve(marks.rig)
    np.testing.assert_allclose(again.bays.loop_depth, 0.37, atol=1e-6)
    np.testing.assert_allclose(
        solve(marks.rig.without_walker()).bays.loop_depth, marks.standing.bays.loop_depth, atol=1e-9
    )
    # Irvine's level loop on the solved chord as an independent length; on a chord that slopes, the same plumb
    # depth takes cos^2(slope) of its spare length (parabola).
    chords = np.diff(again.backup.nodes, axis=0)
    chord = np.linalg.norm(chords, axis=1)
    spare = np.array([loop_length_for_depth(c, 0.37) - c for c in chord]) * (
        1.0 - (chords[:, 2] / chord) ** 2
    )
    np.testing.assert_allclose(marks.loop_length - chord, spare, rtol=0.01)
    assert marks.backup_length == pytest.approx(float(np.sum(marks.loop_length)), rel=1e-12)
    np.testing.assert_allclose(np.diff(marks.tape_marks), marks.loop_length[1:-1], rtol=1e-12)
    assert marks.change == pytest.approx(marks.backup_length - plan(rig()).layout.backup_length)
    assert np.all(marks.standing.bays.loop_depth > 0.37)
    assert marks.tape_marks == pytest.approx(np.cumsum(marks.loop_length)[:-1])


def test_marks_at_a_tension_are_the_same_loops_on_longer_bays() -> None:
    marks = marks_for(rig(), depth=0.37, marking_tension=1000.0)
    np.testing.assert_allclose(marks.tensioned.length, marks.slack.length * (1.0 + 1000.0 / 62.5e3), rtol=1e-12)
    np.testing.assert_allclose(
        marks.tensioned.length * (1 + marks.tensioned.excess), marks.loop_length, rtol=1e-12
    )
    assert marks_for(rig(), depth=0.37).marking_tension == pytest.approx(1800.0, rel=1e-6)
    with pytest.raises(InputError, match=r"taping\.tension"):
        marks_for(rig(), depth=0.37, marking_tension=-5.0)


def test_one_excess_for_all_is_right_at_mid_span() -> None:
    marks = marks_for(rig(drop=4.0), depth=0.37, spread="same excess")
    assert np.ptp(marks.slack.excess) < 1e-12
    assert marks.walker is not None
    middle = int(np.flatnonzero(np.isfinite(marks.wanted))[0])
    assert marks.walker.bays.loop_depth[middle] == pytest.approx(0.37, abs=1e-6)
    assert np.ptp(marks.walker.bays.loop_depth) > 0.01


def test_depth_can_be_wanted_standing_or_bay_by_bay() -> None:
    wanted = np.linspace(0.2, 0.5, 16)
    marks = marks_for(rig(), depth=wanted, under="standing")
    np.testing.assert_allclose(marks.standing.bays.loop_depth, wanted, atol=1e-6)
    empty = marks_for(rig(walker=None), depth=0.3, under="standing")
    assert empty.walker is None


@pytest.mark.parametrize(
    "wish", [{}, {"depth": 0.3, "excess": 0.04}, {"depth": -1.0}, {"depth": [0.1, 0.2]}, {"excess": math.nan}]
)
def test_impossible_wishes_are_refused(wish: dict[str, object]) -> None:
    with pytest.raises(InputError):
        marks_for(rig(), **wish)  # type: ignore[arg-type]


def test_loops_under_a_walker_need_a_walker() -> None:
    with pytest.raises(InputError, match="walker"):
        marks_for(rig(walker=None), depth=0.3)


def test_a_tied_rig_keeps_its_ties_and_tapes() -> None:
    tied = rig(0.06, ties=(15.5, 30.0))
    before = plan(tied)
    loops = before.layout.bays_backup * np.linspace(1.0, 1.03, len(before.layout.bays_backup))
    after = plan(with_loops(tied, before.layout, loops)).layout
    np.testing.assert_allclose(after.bays_backup, loops, rtol=2e-4)
    np.testing.assert_allclose(after.tape_main, before.layout.tape_main, atol=1e-12)
    assert [tape.kind for tape in after.tapes] == [tape.kind for tape in before.layout.tapes]
    with pytest.raises(InputError, match="every bay"):
        with_loops(tied, before.layout, [3.0])


def test_measured_depths_give_back_the_loops() -> None:
    """Depths of one rig, read as measurements on another with too little excess: the loops of the first come
    out."""
    built, planned = rig(0.07, drop=4.0), rig(0.05, drop=4.0)
    true, expected = (solve(one.without_walker()) for one in (built, planned))
    stations = np.array([1.0, 13.0, 24.0, 47.5])
    bay = np.searchsorted(true.tape_points[:, 0] / math.cos(math.atan(4.0 / 48.0)), stations)
    found = implied_loops(expected, stations, true.bays.loop_depth[bay])
    np.testing.assert_array_equal(found.bay, bay + 1)
    np.testing.assert_allclose(found.loop_length, true.bays.loop_length[bay], rtol=2e-4)
    np.testing.assert_allclose(found.excess_slack, 0.07, atol=3e-4)
    assert np.all(found.loop_length > found.planned_loop_length)
    assert found.notes == ()


def test_a_straight_loop_tells_only_that_excess_is_gone() -> None:
    found = implied_loops(solve(rig(0.05).without_walker()), [24.0], [0.0])
    assert found.excess[0] == pytest.approx(0.0, abs=1e-4)
    assert [note.kind for note in found.notes] == [AsBuiltNote.STRAIGHT]
    assert found.notes[0].values["at"] == Spot(24.0)
    for stations, depths in (([60.0], [0.3]), ([10.0], [-0.1]), ([10.0, 20.0], [0.3])):
        with pytest.raises(InputError, match="station"):
            implied_loops(solve(rig(0.05).without_walker()), stations, depths)


def test_results_are_frozen() -> None:
    for values in (marked(0.08).state("walker").excess, marks_for(rig(), depth=0.37).loop_length):
        with pytest.raises(ValueError, match="read-only"):
            values[0] = 1.0


def test_wet_backup_hangs_as_deep_but_pulls_harder() -> None:
    """An inextensible loop's shape does not depend on its weight; its tension is in proportion to it."""
    dry = rig(0.08, ea=5e7)
    wet = replace(dry, weather=replace(dry.weather, backup_added=0.062))
    one, two = (four_states(each).state("standing") for each in (dry, wet))
    np.testing.assert_allclose(two.loop_depth, one.loop_depth, rtol=2e-3)
    np.testing.assert_allclose(two.backup_tension, 2.0 * one.backup_tension, rtol=5e-3)


def test_end_bays_with_anchors_of_their_own_are_measured_by_what_the_backup_bridges() -> None:
    # By hand: the backup anchored 1.5 m behind the main at A has 1.5 m more to bridge, so its first bay has the
    # excess of all others slack, and is as tight as they are when the walker stretches the main beyond it.
    own = rig(excess=0.01, anchors={"backup_a": (-1.5, 0.0, 0.0)})
    states = four_states(own)
    slack, walked = states.state("slack"), states.state("walker")
    assert slack.excess == pytest.approx(0.01, abs=1e-9)
    assert walked.backup_tension[0] > 100.0
    assert walked.excess[0] < 0.0 and len(walked.tight) == len(walked.excess)
    # The stretch of the backup is its tension over EA, plus what is missing of its own length: both are one.
    assert walked.backup_tension[0] / 62.5e3 == pytest.approx(-walked.excess[0], abs=1e-3)


def test_marks_are_found_for_a_backup_with_anchors_of_its_own() -> None:
    own = rig(excess=0.06, anchors={"backup_a": (-0.4, 0.0, -0.2), "backup_b": (48.3, 0.0, -0.1)})
    marks = marks_for(own, excess=0.02)
    assert marks.walker.bays.excess == pytest.approx(0.02, abs=1e-6)
    # Independent of the marks: the drawn-out loop over its chord, where the end bays' main is a straight line.
    solution = solve(marks.rig, planned=plan(marks.rig))
    chords = np.linalg.norm(np.diff(solution.backup.nodes, axis=0), axis=1)
    assert solution.bays.loop_length[[0, -1]] / chords[[0, -1]] - 1.0 == pytest.approx(0.02, abs=5e-4)


def test_marks_are_found_for_a_backup_given_by_its_total_length() -> None:
    """What comes out does not depend on how the backup was given."""
    by_excess = rig(excess=0.06)
    total = plan(by_excess).layout.backup_length
    by_total = replace(by_excess, backup_plan=BackupPlan(given_by="total length", value=total))
    one, other = (marks_for(asked, depth=0.4, under="standing") for asked in (by_excess, by_total))
    assert other.loop_length == pytest.approx(one.loop_length, rel=1e-6)


def test_tight_backup_says_what_its_tapes_would_have_to_carry() -> None:
    # With the walker between two tapes the main is bent there and the backup goes straight: it is all but slack, while
    # the next bays are tight.  By hand: their tension is what the tape between them carries.
    kinked = four_states(rig(mass=75.0, walker=Walker(mass=75.0, at=25.5)))
    tension = kinked.state("walker").backup_tension
    assert np.abs(np.diff(tension)).max() > 125.0
    (shear,) = [note for note in kinked.notes if note.kind is LoopsNote.TAPE_SHEAR]
    assert shear.values["force"] == Quantity(float(np.abs(np.diff(tension)).max()), "force", "up")
    assert shear.values["state"] == Term("loops-state-walker")
    # On a tape he bends no bay: nothing to carry.
    flat = four_states(rig(walker=Walker(mass=75.0, at=24.0)))
    assert LoopsNote.TAPE_SHEAR not in {note.kind for note in flat.notes}

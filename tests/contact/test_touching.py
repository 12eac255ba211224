"""Touch intervals against closed forms and against brute force."""

from __future__ import annotations

import functools
import itertools
from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.spatial import cKDTree

from linescope.contact import find_touch_states, find_touches, find_wind_touches
from linescope.contact.gap import Gap
from linescope.contact.pressing import How, parallel_pressing
from linescope.errors import InputError
from linescope.events.wind import find_wind
from linescope.report import grids
from linescope.rig import MainPlan, Walker
from linescope.statics import Solution, solve
from linescope.study import Study
from linescope.taping import Holds
from linescope.topics import TOUCH
from linescope.webbing import StretchCurve
from tests.contact.making import breeze, uneven_rig
from tests.stage import rigs
from tests.statics.random_rigs import plain_rig, webbing

EXCESSES = (0.005, 0.02, 0.05, 0.15, 0.30)


@functools.cache
def hanging(excess: float) -> Solution:
    return solve(plain_rig(excess=excess, measured_on="tensioned"))


@pytest.mark.parametrize("excess", (0.02, 0.1, 0.4))
def test_contact_length_of_a_catenary_under_a_straight_main(agrees, excess):
    """H. M. Irvine, *Cable Structures*, 1981, section 1.2: drop of an inextensible catenary below its chord.

    Under a main as good as straight the gap is the drop: a (cosh(x0/a) - cosh((x0-x)/a)), at the arc length
    a (sinh(x0/a) - sinh((x0-x)/a)).
    """
    stiff = StretchCurve.linear(1e7)
    rig = plain_rig(
        span=12.0, every=3.0, excess=excess, tension=2e4, main=webbing(mass=1e-4, stretch=stiff),
        backup=webbing(stretch=stiff), measured_on="tensioned",
    )
    found = find_touches(solve(rig)).at_tape(2)
    x0 = 1.5
    a = brentq(lambda a: a * np.sinh(x0 / a) - x0 * (1.0 + excess), 0.2, 50.0, xtol=1e-14)
    reach = 0.0024 + 0.001
    x = brentq(lambda x: a * (np.cosh(x0 / a) - np.cosh((x0 - x) / a)) - reach, 0.0, x0, xtol=1e-15)
    length = a * (np.sinh(x0 / a) - np.sinh((x0 - x) / a))
    # Not closer than this: under the loops' weight the main still bends by a ten-thousandth at the tapes.
    agrees(
        "contact length beside a tape, e = 2, 10, 40 %", (found.towards_a, found.towards_b), length, rel=1e-3, unit="m",
        area="rub", source="Irvine 1981, catenary under a straight line", known="recomputed",
    )
    assert np.linalg.norm(found.points[1] - found.points[0]) == pytest.approx(2.0 * x, rel=1e-3)


@pytest.mark.parametrize("rig", [uneven_rig(Holds.MAIN, 0.1), plain_rig(slope=-0.3, walker=Walker(mass=80.0, at=20.0))])
def test_ends_of_intervals_against_brute_force(rig):
    """Gap from half a million points of either line instead of the catenary's own equations."""
    solution = solve(rig, "settled", look_for_others=False)
    touching = find_touches(solution)
    main = solution.main.sample(40_000)
    tree = cKDTree(main.points)
    for touch in touching.touches[1:-1:3]:
        for at, bay in ((touch.backup[0], touch.bays[0]), (touch.backup[1], touch.bays[-1])):
            s = np.array([at - solution.backup.coordinate[bay - 1]])
            spot = Gap(solution).backup_points(np.array([bay - 1]), s)
            gap = float(tree.query(spot)[0][0])
            assert gap == pytest.approx(touching.reach, abs=2e-7)
            outside = np.array([s[0] + (1e-4 if at == touch.backup[1] else -1e-4)])
            assert Gap(solution).nearest(np.array([bay - 1]), outside).gap[0] > touching.reach


def test_contact_shrinks_as_loops_deepen():
    lengths = [find_touches(hanging(excess)).at_tape(7).length for excess in EXCESSES]
    assert all(a > 1.1 * b for a, b in itertools.pairwise(lengths))


def test_contact_grows_with_the_tolerance():
    lengths = [find_touches(hanging(0.05), tolerance=t).at_tape(7).length for t in (0.0, 0.001, 0.005, 0.02)]
    assert lengths == sorted(lengths)
    assert lengths[0] > 0.0
    with pytest.raises(InputError, match="tolerance"):
        find_touches(hanging(0.05), tolerance=-0.001)


def test_profile_runs_from_touching_to_just_touching():
    touching = find_touches(hanging(0.05))
    for touch in touching.touches:
        assert touch.profile_gap.max() == pytest.approx(touching.reach, abs=1e-9)
        assert touch.profile_gap.min() < 1e-9
        assert touch.profile_backup[0] == touch.backup[0]
        assert touch.backup[0] < touch.backup[1]
        assert touch.main[0] < touch.main[1]


def test_normal_forces_at_tapes_carry_the_loops():
    """On a level line the tapes and the two anchors carry the backup's weight, up to the slope of the main."""
    solution = hanging(0.1)
    touching = find_touches(solution)
    weight = solution.layout.backup_length * 0.062 * 9.80665
    inner = sum(touch.normal for touch in touching.touches if touch.cause == "tape")
    ends = sum(touch.normal for touch in touching.touches if touch.cause == "anchor")
    assert inner + ends == pytest.approx(weight, rel=5e-3)
    assert touching.touches[0].cause == touching.touches[-1].cause == "anchor"


def test_a_tight_backup_lies_along_its_whole_bay():
    solution = rigs.solved("trap")
    touching = find_touches(solution)
    whole = [touch for touch in touching.touches if touch.cause == "tight bay"]
    tight = np.flatnonzero(solution.bays.excess < 0.0) + 1
    assert {touch.bays[0] for touch in whole} <= set(tight.tolist())
    assert len(whole) >= 10
    for touch in whole:
        assert touch.length == pytest.approx(solution.bays.loop_length[touch.bays[0] - 1], rel=1e-12)
        assert touch.profile_gap.max() < touching.reach
    assert touching.at_tape(8).length == 0.0
    assert np.all(touching.sides()[5:10] == pytest.approx(0.5 * solution.bays.loop_length[5], rel=1e-6))


def test_a_walker_between_tapes_presses_the_main_on_a_tight_backup():
    """Two taut strings under one load share it in proportion to their tensions (transverse force T w / L each)."""
    rig = replace(rigs.heron(0.0), walker=Walker(mass=75.0, at=22.6))
    solution = solve(rig)
    bay = 7
    bays = solution.bays
    share = bays.backup_tension[bay] / (bays.backup_tension[bay] + bays.main_tension[bay])
    normal, how = parallel_pressing(solution, bay, 1.0)
    assert normal == pytest.approx(75.0 * 9.80665 * share, rel=0.02)
    assert how is How.CURVE
    touch = next(t for t in find_touches(solution).touches if t.bays == (8, 8) and t.tape is None)
    assert touch.cause in ("tight bay", "pressed")


def test_two_taut_lines_take_one_curve():
    """The pressing makes both curvatures equal: (q_m - p) / T_m = (q_b + p) / T_b."""
    solution = solve(replace(rigs.heron(-0.005, walker=False), main_plan=MainPlan(tension=900.0)))
    heavy = replace(solution, loads=np.array([[0.0, 0.0, -9.0], [0.0, 0.0, -0.5]]))
    bay = 5
    pressing = parallel_pressing(heavy, bay, 1.0)[0] / heavy.bays.length[bay]
    main, backup = heavy.bays.main_tension[bay], heavy.bays.backup_tension[bay]
    assert pressing > 0.0
    assert (9.0 - pressing) / main == pytest.approx((0.5 + pressing) / backup, rel=1e-12)


def test_backup_anchors_of_their_own_do_not_touch():
    rig = plain_rig(excess=0.05)
    down = np.array([0.0, 0.0, 0.3])
    rig = replace(rig, anchors=replace(rig.anchors, backup_a=rig.backup_a - down, backup_b=rig.backup_b - down))
    touching = find_touches(solve(rig))
    assert {touch.cause for touch in touching.touches} == {"tape"}


def test_swung_loops_keep_their_contact_and_can_lie_over_the_main():
    rig = replace(plain_rig(excess=0.08, measured_on="tensioned"), wind=breeze(None, 9.0))
    case = find_wind(rig).case()
    found = find_wind_touches(case)
    over = [touch for touch in found.sudden.touches if touch.cause == "over the main"]
    assert tuple(touch.bays[0] for touch in over) == case.above
    assert over[0].normal == pytest.approx(0.062 * 9.80665 * over[0].length)
    assert not any(touch.cause == "over the main" for touch in found.steady.touches)
    # A rigid turn about the chord of a nearly straight main leaves the contact nearly as long.
    assert found.sudden.at_tape(7).length == pytest.approx(found.gust.at_tape(7).length, rel=0.1)
    calm = find_touches(solve(rig))
    assert found.steady.at_tape(7).length == pytest.approx(calm.at_tape(7).length, rel=0.25)


def test_states_in_wind_and_in_a_fall_stand_beside_the_one_as_taped():
    """Bounds by hand: what lies over the main weighs no more than its loop, and what hangs weighs what hangs below.

    At the bottom of a fall the main is pulled tight; a backup with slack stays slack and hangs in the strip.
    """
    rig = replace(
        plain_rig(excess=0.08, measured_on="tensioned", walker=Walker(mass=75.0, at=24.0)), wind=breeze(None, 9.0)
    )
    study = Study(rig)
    states = {state.name: state for state in study.touch_states}
    assert list(states) == ["taped", "steady", "gust", "sudden", "fall"]
    loops = study.planned.layout.backup_length / len(study.taped.bays.excess) * 0.062 * 9.80665
    assert states["sudden"].over and all(touch.pressed <= 1.2 * loops for touch in states["sudden"].over)
    assert not states["taped"].over and not states["fall"].over
    carried = {name: max(touch.carried for touch in state.touching.touches) for name, state in states.items()}
    assert carried["taped"] < carried["steady"] < carried["gust"]  # Drag and weight together, at right angles.
    data = grids.data([TOUCH], study, {})["touch"]
    assert data["states"][0]["hanging"] == len(study.planned.layout.tapes)
    assert {each["cause"] for each in data["between"]} >= {"over the main"}


def test_after_a_fall_loops_that_were_thrown_up_may_lie_over_the_main():
    """By hand: a loop that lies over weighs no more than itself; the state is told where motion is computed."""
    rig = plain_rig(excess=0.08, measured_on="tensioned", walker=Walker(mass=75.0, at=24.0))
    taped = Study(rig).touch
    states = {state.name: state for state in find_touch_states(taped, thrown=(2, 3))}
    loops = taped.solution.bays.loop_length * 0.062 * 9.80665
    assert [touch.bays[0] for touch in states["thrown"].over] == [2, 3]
    assert [touch.pressed for touch in states["thrown"].over] == pytest.approx(loops[1:3])
    assert len(states["taped"].touching.touches) + 2 == len(states["thrown"].touching.touches)
    assert "thrown" not in {state.name for state in find_touch_states(taped)}


def test_a_tight_backup_is_pressed_on_the_main_in_a_fall():
    """A backup without slack takes its part of the catch: the main lies on it, harder than under a standing walker."""
    rig = replace(rigs.heron(0.0), walker=Walker(mass=75.0, at=22.6))
    states = {state.name: state for state in Study(rig).touch_states}
    pressed = {
        name: max((touch.pressed for touch in state.lying), default=0.0) for name, state in states.items()
    }
    assert pressed["fall"] > pressed["taped"] > 0.0

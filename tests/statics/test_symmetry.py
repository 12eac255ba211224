"""What must not matter does not: mirror, origin, bearing; and what must grow does."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from linescope.rig import Anchors, MainPlan, Spacing, Walker
from linescope.statics import plan, solve
from linescope.taping import Holds
from tests.statics.random_rigs import plain_rig

WALKER = Walker(mass=75.0, at=17.0)


def base(holds=Holds.MAIN, **more):
    return plain_rig(**{
        "slope": 0.08, "holds": holds, "excess": 0.06, "walker": WALKER, "measured_on": "tensioned", **more
    })


@pytest.mark.parametrize("holds", list(Holds))
@pytest.mark.parametrize("state", ["as taped", "settled"])
def test_shifted_and_turned_rigs_are_the_same(holds, state):
    """To 1e-7 m, half a kilometre away from the origin and turned by 2 rad."""
    here = solve(base(holds), state, look_for_others=False)
    origin, turn = np.array([310.0, -420.0, 95.0]), 2.0
    there = solve(base(holds, origin=origin, turn=turn), state, look_for_others=False)
    back = np.array([[np.cos(turn), -np.sin(turn), 0.0], [np.sin(turn), np.cos(turn), 0.0], [0.0, 0.0, 1.0]])
    assert (there.main.nodes - origin) @ back == pytest.approx(here.main.nodes, abs=1e-7)
    assert there.bays.loop_depth == pytest.approx(here.bays.loop_depth, abs=1e-7)
    assert there.tape_slip == pytest.approx(here.tape_slip, abs=1e-7)
    assert there.tension_a == pytest.approx(here.tension_a, rel=1e-8)


@pytest.mark.parametrize("holds", list(Holds))
@pytest.mark.parametrize("state", ["as taped", "settled"])
def test_mirrored_rigs_are_the_same(holds, state):
    """A and B exchanged: the same picture from the other side, to 1e-7 m."""
    here = base(holds)
    there = replace(
        here, anchors=Anchors(main_a=here.main_b, main_b=here.main_a),
        main_plan=MainPlan(tension=1800.0, end="B"), walker=replace(WALKER, at=here.span - WALKER.at),
    )
    one, other = (solve(rig, state, look_for_others=False) for rig in (here, there))
    assert other.main.nodes[::-1] == pytest.approx(one.main.nodes, abs=1e-7)
    assert other.bays.loop_depth[::-1] == pytest.approx(one.bays.loop_depth, abs=1e-7)
    assert other.tape_slip[::-1] == pytest.approx(-one.tape_slip, abs=1e-7)
    assert other.tension_b == pytest.approx(one.tension_a, rel=1e-8)


def test_level_empty_rig_is_its_own_mirror():
    solution = solve(plain_rig(excess=0.05))
    x, _, z = solution.main.nodes.T
    assert x + x[::-1] == pytest.approx(48.0, abs=1e-9)
    assert z == pytest.approx(z[::-1], abs=1e-9)
    assert solution.main.nodes[:, 1] == pytest.approx(0.0, abs=1e-12)


def test_standing_tension_is_met_at_the_asked_end():
    """To 1e-9 of it, empty, as the solver promises."""
    for end in "AB":
        empty = solve(base(end=end, walker=None))
        assert (empty.tension_a if end == "A" else empty.tension_b) == pytest.approx(1800.0, rel=1e-9)


def test_walker_stands_where_the_plan_says():
    """The foot is on the spot of the standing main that lies `at` metres along the straight line."""
    rig = base()
    planned = plan(rig)
    empty = solve(rig.without_walker(), planned=planned)
    along = (rig.main_b - rig.main_a) / rig.span
    curve = empty.main.sample(400)
    place = np.interp(planned.walker_coordinate(WALKER.at), curve.coordinate, (curve.points - rig.main_a) @ along)
    assert place == pytest.approx(WALKER.at, abs=1e-4)


def test_what_grows():
    """Facts of mechanics: a heavier walker hangs lower and pulls more, a tighter line hangs higher, more excess hangs
    deeper and a stronger pull of the walker takes excess away."""
    masses = [solve(base(Holds.BOTH, walker=Walker(mass=m, at=17.0))) for m in (50.0, 75.0, 100.0)]
    assert np.all(np.diff([s.walker_point[2] for s in masses]) < -0.05)
    assert np.all(np.diff([s.tension_a for s in masses]) > 50.0)
    assert np.all(np.diff([s.bays.excess.mean() for s in masses]) < 0.0)
    tensions = [solve(base(Holds.BOTH, tension=t, walker=None)) for t in (1200.0, 1800.0, 3000.0)]
    assert np.all(np.diff([s.main.nodes[8, 2] for s in tensions]) > 0.0)
    depths = [solve(base(Holds.BOTH, excess=e)).bays.loop_depth for e in (0.02, 0.05, 0.1, 0.2)]
    assert np.all(np.diff(depths, axis=0) > 0.0)


def test_settling_lowers_the_energy_and_gathers_slack_low():
    """Settled sliders on a slope: the lowest bay is the deepest, the energy is below the taped one, ends meet."""
    rig = base(walker=None, slope=0.15)
    taped, settled = (solve(rig, state, look_for_others=False) for state in ("as taped", "settled"))
    assert taped.tape_slip == pytest.approx(0.0, abs=0.0)
    assert int(np.argmax(settled.bays.loop_depth)) == 0
    assert settled.bays.loop_length.sum() == pytest.approx(taped.bays.loop_length.sum(), rel=1e-12)
    heights = [0.5 * (s.loop(b)[:, 2].min() + s.loop(b)[:, 2].max()) for s in (taped, settled) for b in (0,)]
    assert heights[1] < heights[0]


def test_walker_on_a_tape_holds_both_lines_there():
    """Exactly on a tape: the foot pins it, and beside it by a metre the result is near the same."""
    rig = plain_rig(holds=Holds.MAIN, excess=0.06, spacing=Spacing(kind="even", every=3.0))
    planned = plan(rig)
    tape = planned.standing.state.unknowns[planned.pair.tapes[5], 0]
    on = solve(replace(rig, walker=Walker(mass=75.0, at=float(tape))), "settled", look_for_others=False)
    node = int(np.argmin(np.linalg.norm(on.tape_points - on.walker_point, axis=1)))
    assert node == 5 and np.all(on.tape_points[5] == on.walker_point)
    assert on.tape_slip[5] == 0.0

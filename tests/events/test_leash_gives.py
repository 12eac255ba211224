"""Leash and body that give: closed forms, a mass on springs one after the other in time, mirror, no grid."""

from __future__ import annotations

from dataclasses import replace
from operator import attrgetter

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from linescope.events.catch import Held, lowest, sprung, stand
from linescope.events.fall import leash_fall, leash_fall_sweep
from linescope.events.main_gone import main_gone
from linescope.events.places import ledges_of, stated_places
from linescope.rig import Walker
from linescope.statics import plan
from linescope.statics.assemble import G
from linescope.taping import Holds
from tests.events.catch_rigs import HMPE, POLYESTER, rig, rigid
from tests.statics.random_rigs import plain_rig, webbing

OUTSIDE = {"area": "falls", "known": "recomputed"}


def rope(weight, modulus, factor):
    """Force of a mass caught by a rope on a rigid anchor: the energy balance of a straight spring, in closed form."""
    return weight + np.sqrt(weight**2 + 2.0 * weight * modulus * factor)


def test_a_rope_on_a_rigid_anchor_gives_what_the_fall_factor_says(agrees):
    """The test bench of EN 892 drops 80 kg by a factor of 1.77; 9 kN is what a rope of 24 kN gives there."""
    weight, length, modulus = 80.0 * G, 2.6, 24e3

    def line(force):
        still = np.zeros_like(force)
        return sprung(Held(drop=still, energy=still), force, length / modulus)

    give = weight * 1.77 * length + 0.5 * weight**2 * length / modulus
    start = np.array([weight])
    force = lowest(line, line(start), weight=weight, to_store=give, guess=4e3)[0]
    agrees(
        "rope of 24 kN on a rigid anchor, fall factor 1.77", force, rope(weight, modulus, 1.77), rel=1e-6, unit="N",
        source="Closed form: mass on an elastic line",
    )
    assert force == pytest.approx(9.0e3, rel=0.01)


@pytest.mark.parametrize(("span", "kind", "tension"), [(20.0, POLYESTER, 2000.0), (25.0, HMPE, 3000.0)])
def test_towards_an_anchor_the_force_tends_to_that_of_leash_and_body_alone(span, kind, tension, agrees):
    """Rigid, it grows without limit there: 80 kN at 30 cm on a light line, and no end of it nearer by."""
    line = rig(span, kind, tension)
    weight, man = 75.0 * G, line.walker
    give = man.leash / man.leash_modulus + 1.0 / man.body_stiffness
    alone = rope(weight, 1.0, (man.leash + man.tie_in_height) / give)
    # A ring is never nearer to an anchor than some millimetres, which give a four-hundredth of the force.
    figures = leash_fall_sweep(line, [1e-3, 0.5, 1.0, 2.0, 5.0])
    agrees(
        f"leash fall right at the anchor of a {span:.0f} m line", figures.low.peak_force[0], alone, rel=5e-3, unit="N",
        source="Closed form: mass on an elastic line",
    )
    assert np.all(np.diff(figures.low.peak_force) < 0.0)
    assert np.all((figures.low.peak_force[1:] > 3.5e3) & (figures.low.peak_force[1:] < 6.6e3))
    stiff = leash_fall_sweep(rigid(line), [0.05, 0.5])
    assert stiff.low.peak_force[0] > 5.0 * figures.low.peak_force[0]


@pytest.mark.peer
@pytest.mark.parametrize("tension", [800.0, 2500.0])
def test_body_leash_and_line_one_after_the_other_in_time(tension, agrees):
    """A body on a spring below a ring without mass, at mid-span of a weightless main that is up as empty when the leash
    comes tight: the ring is where forces balance, the body obeys Newton's law."""
    stiffness, light = 62.5e3, webbing(62.5e3, 1e-4)
    line = plain_rig(
        span=40.0, every=5.0, holds=Holds.BOTH, excess=0.5, tension=tension, measured_on="tensioned",
        walker=None, main=light, backup=light,
    )
    line = replace(line, walker=Walker(mass=75.0, at=20.0))
    figures, loaded, man = leash_fall(line).figures, stand(plan(line), 20.0), line.walker
    half, soft = 0.5 * loaded.pair.main_length, man.leash / man.leash_modulus + 1.0 / man.body_stiffness

    def lift(sag):
        leg = np.hypot(20.0, sag)
        return 2.0 * stiffness * max(leg / half - 1.0, 0.0) * sag / leg

    def ring(tie_in):  # Below the chord [m], for a tie-in point that is so far below the leash's length.
        return brentq(lambda sag: lift(sag) - max(tie_in - sag, 0.0) / soft, 0.0, tie_in, xtol=1e-12)

    def motion(_, y):
        force = lift(ring(y[0])) if y[0] > 0.0 else 0.0
        return [y[1], G - force / man.mass]

    # Standing at rest: the feet are at the ring, the tie-in point above it.
    standing = -figures.ring_standing[0, 2]
    start = standing - man.tie_in_height - man.leash
    path = solve_ivp(motion, (0.0, 2.5), [start, 0.0], method="DOP853", rtol=1e-10, atol=1e-11, max_step=2e-3).y[0]
    told = {"source": "scipy DOP853, body and leash below a line", "known": "peer", "area": "peers"}
    ours = -figures.up.foot[0, 2] - man.leash - man.hang
    agrees(
        "leash fall onto the empty line: lowest tie-in point", ours, path.max(), rel=2e-4, unit="m", **told,
    )
    agrees(
        "leash fall onto the empty line: force of the leash", figures.up.peak_force[0], lift(ring(path.max())),
        rel=3e-4, unit="N", **told,
    )
    assert figures.low.foot[0, 2] < figures.up.foot[0, 2]  # The line down is the roof.
    assert figures.low.peak_force[0] > figures.up.peak_force[0]


def test_a_line_that_stays_down_is_the_deeper_and_the_harder_everywhere():
    for there in (rig(60.0, POLYESTER, 2500.0, rise=4.0), rig(90.0, HMPE, 4000.0, excess=-0.005)):
        figures = leash_fall_sweep(there, stated_places(there))
        assert np.all(figures.low.foot[:, 2] <= figures.up.foot[:, 2] + 1e-9)
        assert np.all(figures.low.peak_force >= figures.up.peak_force - 1e-6)


@pytest.mark.parametrize("holds", [Holds.BOTH, Holds.MAIN])
def test_a_mirrored_rig_falls_the_same(holds):
    there, back = (rig(60.0, POLYESTER, 2500.0, rise=rise, holds=holds, excess=0.03) for rise in (5.0, -5.0))
    back = replace(back, main_plan=replace(back.main_plan, end="B"))  # The end that was A.
    places = np.array([0.5, 2.0, 20.0, 45.0])
    one, two = leash_fall_sweep(there, places), leash_fall_sweep(back, 60.0 - places[::-1])
    assert two.low.peak_force[::-1] == pytest.approx(one.low.peak_force, rel=1e-4)
    assert two.low.dip[::-1] == pytest.approx(one.low.dip, abs=1e-3)
    first, second = (main_gone(each, at, points=1) for each, at in ((there, places), (back, 60.0 - places[::-1])))
    for figure in ("lowest.foot_depth", "lowest.tension", "most.foot_depth"):
        ours, theirs = (attrgetter(figure)(each.nothing_holds) for each in (first, second))
        assert theirs[::-1] == pytest.approx(ours, rel=1e-4)
    assert 60.0 - second.nothing_holds.turns.far[::-1] == pytest.approx(first.nothing_holds.turns.far, abs=1e-3)


def test_falls_change_smoothly_from_place_to_place():
    """Over places half a centimetre apart figures go on straight, to a thousandth: no grid, no jump at a tape."""
    there = rig(20.0, POLYESTER, 2000.0, every=2.0)
    for place in (0.5, 1.0, 1.995, 2.0, 5.0, 10.0):
        figures = leash_fall_sweep(there, [place - 0.005, place, place + 0.005])
        for values in (figures.low.peak_force, figures.low.peak_main_tension, figures.low.dip, figures.low.foot[:, 2]):
            assert abs(values[0] - 2.0 * values[1] + values[2]) < 1e-3 * abs(values[1])


def test_a_leash_that_gives_more_pulls_less_and_lets_feet_lower():
    there = rig(25.0, HMPE, 3000.0)
    soft, hard = (
        leash_fall_sweep(replace(there, walker=replace(there.walker, leash_modulus=value)), [1.0, 12.5])
        for value in (15e3, 40e3)
    )
    assert np.all(soft.low.peak_force < hard.low.peak_force)
    assert np.all(soft.low.foot[:, 2] < hard.low.foot[:, 2])
    gone = [
        main_gone(replace(there, walker=replace(there.walker, body_stiffness=value)), points=1).nothing_holds
        for value in (20e3, 40e3)
    ]
    assert gone[0].lowest.tension[0] < gone[1].lowest.tension[0]


def test_stated_places_do_not_depend_on_anything_but_the_span_the_ledges_and_the_walker():
    there = rig(60.0, POLYESTER, 2500.0)
    assert stated_places(there).tolist() == [0.5, 1.0, 2.0, 5.0, 15.0, 30.0, 45.0, 55.0, 58.0, 59.0, 59.5]
    with_more = stated_places(there.with_walker_at(12.0), (7.3, 51.0))
    assert with_more.tolist() == [0.5, 1.0, 2.0, 5.0, 7.3, 12.0, 15.0, 30.0, 45.0, 51.0, 55.0, 58.0, 59.0, 59.5]
    assert stated_places(rig(6.0, POLYESTER, 2500.0)).tolist() == [0.5, 1.0, 1.5, 2.0, 3.0, 4.0, 4.5, 5.0, 5.5]


def test_ledges_are_found_where_the_ground_falls_away():
    at = np.linspace(0.0, 40.0, 161)
    ground = np.where(at < 3.0, -1.0, np.where(at < 35.0, -20.0, -2.0))
    # An edge is known to a step of 0.25 m, and its place is rounded to 0.1 m.
    assert ledges_of(at, ground) == pytest.approx((3.5, 34.5), abs=0.25 + 0.05 + 1e-9)
    assert ledges_of(at, -0.5 * at) == ()
    assert ledges_of(at, np.full_like(at, np.nan)) == ()

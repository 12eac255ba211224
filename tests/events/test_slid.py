"""Leash falls on tapes that slide: against an own model of one backup string that runs freely through all tapes.

The own model has straight springs without weight: main from tape to tape, backup one string whose tension is the same
everywhere.  Its minimum of energy is found by scipy, and its motion is integrated in time.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cached_property

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq, minimize

from linescope.events.fall import FallNote, leash_fall, leash_fall_sweep
from linescope.rig import Spacing, TapeZone, Taping, Walker
from linescope.statics import plan
from linescope.statics.assemble import G
from linescope.taping import Holds
from tests.events.catch_rigs import rigid
from tests.statics.random_rigs import FAMILY, plain_rig, random_rig, webbing

OUTSIDE = {"area": "peers", "known": "peer"}
EA, MASS = 80e3, 80.0
UNLIKE = [(0.0, 0.10), (0.12, 0.0), (0.03, 0.06)]


def unlike(first, second, *, holds=Holds.MAIN, at=17.0, span=30.0, every=3.0, slope=0.0, mass=1e-3, **more):
    """A rig whose two halves have excess of their own."""
    line = webbing(ea=EA, mass=mass)
    rig = plain_rig(
        span=span, slope=slope, every=every, holds=holds, tension=1800.0, measured_on="tensioned",
        walker=Walker(mass=MASS, at=at), main=line, backup=line, **more,
    )
    even = Spacing(kind="even", every=every)
    zones = tuple(
        TapeZone(start=a, end=b, family=FAMILY[holds], holds=holds, spacing=even, excess=e)
        for a, b, e in ((0.0, 0.5 * span, first), (0.5 * span, np.inf, second))
    )
    return replace(rig, taping=Taping(zones=zones, measured_on="tensioned"))


class Own:
    """Light springs: tapes hold the main; held, each bay's backup is a string of its own, else there is one."""

    def __init__(self, rig, coordinate):
        layout = plan(rig).layout
        self.rig, self.tapes = rig, len(layout.tapes)
        self.at = np.sort(np.append(layout.tape_main, coordinate))
        self.body = int(np.searchsorted(layout.tape_main, coordinate))
        self.is_tape = np.arange(len(self.at)) != self.body
        self.main = np.diff([0.0, *self.at, layout.main_length])
        self.backup = np.asarray(layout.bays_backup)
        self.a, self.b = rig.main_a[[0, 2]], rig.main_b[[0, 2]]
        self.n = len(self.at)

    def pull(self, points, free):
        """Energy of the springs, and its derivative by the nodes."""
        slope, energy = np.zeros_like(points), 0.0
        for which, lengths, one in ((np.ones(self.n, bool), self.main, False), (self.is_tape, self.backup, free)):
            chain = np.vstack((self.a, points[which], self.b))
            ways = np.diff(chain, axis=0)
            far = np.linalg.norm(ways, axis=1)
            total, length = (far.sum(), lengths.sum()) if one else (far, lengths)
            tension = EA * np.maximum(total / length - 1.0, 0.0)
            energy += float(np.sum(0.5 * tension**2 * length / EA))
            along = np.broadcast_to(tension, far.shape)[:, None] * ways / far[:, None]
            slope[which] += along[:-1] - along[1:]
        return energy, slope

    def resting(self, free, load, start):
        """Nodes under a load on the body, and the energy of the springs."""

        def both(flat):
            energy, slope = self.pull(flat.reshape(-1, 2), free)
            slope[self.body, 1] += load
            return energy + load * flat.reshape(-1, 2)[self.body, 1], slope.reshape(-1)

        found = minimize(both, start.reshape(-1), jac=True, method="BFGS", options={"gtol": 1e-5, "maxiter": 20000})
        points = found.x.reshape(-1, 2)
        return points, self.pull(points, free)[0]

    @cached_property
    def standing(self):
        line = self.a + (self.at / self.main.sum())[:, None] * (self.b - self.a)
        return self.resting(False, MASS * G, line - [0.0, 1.0])

    def lowest(self, free, height):
        """Dip of the body by energy alone."""
        (points, energy), weight = self.standing, MASS * G
        last = points

        def left(load):
            nonlocal last
            last, held = self.resting(free, load, last)
            return held - energy - weight * (points[self.body, 1] - last[self.body, 1] + height)

        brentq(left, 1.5 * weight, 12.0 * weight, xtol=1e-3)
        return float(points[self.body, 1] - last[self.body, 1])

    def in_time(self, height, seconds=1.2, node=0.02):
        """Dip of the body when the tapes let go as the leash comes tight: DOP853."""
        masses = np.full(self.n, node)
        masses[self.body] = MASS
        speed = np.zeros((self.n, 2))
        speed[self.body, 1] = -np.sqrt(2.0 * G * height)
        points = self.standing[0]

        def move(_, y):
            place, now = y[: 2 * self.n].reshape(-1, 2), y[2 * self.n :]
            force = -self.pull(place, True)[1]
            force[self.body, 1] -= MASS * G
            return np.concatenate((now, (force / masses[:, None]).reshape(-1)))

        found = solve_ivp(
            move, (0.0, seconds), np.concatenate((points.reshape(-1), speed.reshape(-1))), method="DOP853",
            rtol=1e-7, atol=1e-8, max_step=2e-3,
        )
        return float(points[self.body, 1] - found.y[2 * self.body + 1].min())


@pytest.mark.parametrize(("first", "second"), UNLIKE)
def test_depth_with_free_and_with_held_tapes(first, second, agrees):
    rig = rigid(unlike(first, second))
    figures = leash_fall(rig).figures
    own = Own(rig, figures.coordinate[0])
    theirs = [own.lowest(free, figures.free_fall) for free in (False, True)]
    # The program's lines weigh 1 g/m; and its balance is kept to 1e-4.
    agrees(
        "leash fall, slider rigs with unlike bays: dip, tapes held and free",
        (figures.low.dip_held[0], figures.low.dip[0]), theirs, rel=2e-3, unit="m",
        source="scipy BFGS, one string through all tapes",
    )
    assert theirs[1] > theirs[0] + (0.02 if (first, second) == (0.03, 0.06) else 0.1)


def test_no_motion_gets_below_the_bound(agrees):
    """Tapes let go when the leash comes tight; without friction or damping, nodes of 20 g."""
    rig = rigid(unlike(0.0, 0.10))
    figures = leash_fall(rig).figures
    moved = Own(rig, figures.coordinate[0]).in_time(figures.free_fall)
    agrees(
        "leash fall, slider rig with unlike bays in time: dip, a bound", figures.low.dip[0], moved, rel=0.1,
        side="above", unit="m", source="scipy DOP853, one string through all tapes",
    )
    assert moved > figures.low.dip_held[0] + 0.05


@pytest.mark.parametrize("holds", [Holds.MAIN, Holds.BACKUP])
@pytest.mark.parametrize("slope", [0.0, -0.15])
def test_free_tapes_never_make_a_fall_shallower(holds, slope):
    sweep = leash_fall_sweep(unlike(0.01, 0.08, holds=holds, slope=slope, span=45.0, mass=0.06), count=12)
    assert np.all(sweep.low.dip >= sweep.low.dip_held - 1e-9)
    assert np.all(sweep.ring_standing[:, 2] - sweep.low.ring[:, 2] == pytest.approx(sweep.low.dip))
    assert len(sweep.low.free_states) == 12
    assert sweep.low.energy_error.max() <= 1.01e-4
    assert FallNote.SLIDERS in {note.kind for note in sweep.notes}


def test_where_loops_settle_in_another_way_the_next_state_that_stores_more_is_taken():
    """Nearly ninety tapes on 54 m: no force stores just what the fall gives, to 1e-4."""
    rig = replace(random_rig(88), walker=Walker(mass=MASS, at=20.0))
    sweep = leash_fall_sweep(rig, [5.4, 20.0, 43.7])
    assert np.all(sweep.low.dip >= sweep.low.dip_held - 1e-9)
    assert sweep.low.energy_error.max() < 0.01


def test_tapes_that_hold_both_lines_have_one_figure():
    sweep = leash_fall_sweep(unlike(0.0, 0.10, holds=Holds.BOTH), [8.0, 17.0])
    assert sweep.low.dip == pytest.approx(sweep.low.dip_held, rel=0.0, abs=0.0)
    assert sweep.low.free_states == ()
    assert FallNote.SLIDERS not in {note.kind for note in sweep.notes}


@pytest.mark.parametrize("holds", [Holds.MAIN, Holds.BACKUP])
def test_a_fall_beside_a_tape_is_as_one_on_it(holds):
    """A foot on the tape held it; in the fall it does so no more."""
    rig = unlike(0.0, 0.10, holds=holds, mass=0.06)
    there = plan(rig).standing.state.unknowns[4, 0]
    sweep = leash_fall_sweep(rig, [there, there + 0.03])
    assert sweep.low.dip[0] == pytest.approx(sweep.low.dip[1], abs=0.02)
    assert sweep.low.dip[0] > sweep.low.dip_held[0] + 0.1


def test_a_sweep_agrees_with_single_falls():
    """To a centimetre and a half: loops can settle in more than one way, and a sweep goes on from the fall before."""
    rig = unlike(0.01, 0.08, slope=-0.1, span=60.0, mass=0.06)
    places = np.array([6.0, 24.0, 27.0, 50.0])
    sweep = leash_fall_sweep(rig, places)
    single = [leash_fall(rig, place) for place in places]
    assert sweep.low.dip == pytest.approx([one.figures.low.dip[0] for one in single], abs=0.015)
    for one in single:
        assert one.deepest.walker_point == pytest.approx(one.figures.low.ring[0])
        held = one.figures.ring_standing[0, 2] - one.figures.low.dip_held[0]
        assert one.bottom.walker_point[2] == pytest.approx(held)

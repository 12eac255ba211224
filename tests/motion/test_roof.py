"""Motion without loss never passes the energy balance of the same springs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from linescope.events.catch import stand
from linescope.motion import Choice, leash_fall_in_time
from linescope.motion.arrays import S
from linescope.statics import plan
from tests.motion.test_runs import rig

# A ring that runs lets the feet go deeper near an anchor than one that stays, so here it stays.
LOSSLESS = replace(Choice().undamped(), ring_friction=20.0)


def roof(planned, at, choice):
    """Drop of the ring below where he stood, and of the tie-in point below that, by energy alone [m].

    Weight x way = what the line, leash and body store; with the line beginning as he stood on it, and with the empty
    line: the deeper of both.
    """
    walker, loaded = planned.rig.walker, stand(planned, at)
    weight = loaded.weight
    spring = 1.0 / (walker.leash / choice.leash_modulus + 1.0 / choice.body_stiffness)

    def under(force):
        """Drop of the ring [m] and energy of the rig [J] under a force on it."""
        state = loaded.under(force)
        return -float(state.state.unknowns[loaded.node, 2]), loaded.rig_energy(state, force)

    stood, fell, found = under(weight), walker.leash + walker.tie_in_height, []
    for start in (stood, under(1e-6)):

        def left(force, start=start):
            drop, energy = under(force)
            stored = energy - start[1] + 0.5 * force**2 / spring
            return stored - weight * (fell + drop - stood[0] + force / spring)

        force = brentq(left, weight, 50.0 * weight)
        dip = under(force)[0] - stood[0]
        found.append((dip, dip + force / spring))
    return np.max(found, axis=0)


@pytest.mark.parametrize("seed", range(40))
def test_lossless_falls_stay_over_the_energy_balance(seed):
    rng = np.random.default_rng(seed)
    span = rng.uniform(20.0, 60.0)
    planned = plan(rig(span=span, rise=rng.uniform(-0.1, 0.1) * span, tension=rng.uniform(1500.0, 5000.0)))
    fall = leash_fall_in_time(planned, rng.uniform(0.5, span - 0.5), choice=LOSSLESS)
    mesh = fall.motion.mesh
    slot = int(mesh.state.slave[np.flatnonzero(mesh.model.master == mesh.model.slots)[0]])
    place = float(mesh.state.of_slots[S, slot])
    at = brentq(lambda a: planned.walker_coordinate(a) - place, 0.01, span - 0.01, xtol=1e-6)
    _, tie_in = roof(planned, at, LOSSLESS)
    walker = planned.rig.walker
    stood = fall.motion.points[0, mesh.model.slots, 2]
    assert fall.outcome.foot_lowest[2] >= stood - tie_in - walker.leash - walker.hang - 0.01
    assert fall.outcome.error < 0.01

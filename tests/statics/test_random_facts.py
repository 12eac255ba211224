"""Laws that hold for every rig, on random ones: the found state is a minimum of the energy, and nothing depends on
where the rig stands, which anchor is called A, how large it is drawn, or in what units it is written."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from linescope.errors import SegmentNotSolved
from linescope.rig import Anchors, MainPlan, Rig, Spacing
from linescope.statics import solve
from tests.long import rest_is_long
from tests.statics.random_rigs import USUAL, minima, random_hold, random_rig, ranges_of

SEEDS = range(24)
USUAL_SEEDS = [seed for seed in range(40) if ranges_of(seed) is USUAL][:12]
ALWAYS = USUAL_SEEDS[2:6]


def perturbed(rng, state, size, slides):
    """Random directions: each unknown for itself, and smooth along the line; slides stay within 20 % of a piece."""
    n = len(state.unknowns)
    rough = rng.normal(size=(n, 4))
    phase, waves = rng.uniform(0.0, 2.0 * np.pi, 4), rng.integers(1, 6)
    smooth = np.sin(np.linspace(0.0, np.pi, n)[:, None] * waves + phase)
    for move in (rough, smooth):
        move = size * move / max(1e-300, np.abs(move).max())
        if slides:
            k = state.segments.length
            room = 0.2 * np.min(k)
            move[:, 3] *= min(1.0, room / size)
        move[:, 3] = np.where(state.pair.free_slides & slides, move[:, 3], 0.0)
        yield move


@pytest.mark.parametrize("seed", rest_is_long(SEEDS, 0, 2, 3, 4, 5, 6, 8, 9))
def test_no_state_near_by_has_less_energy(seed):
    """Energy and friction do not fall when the found state is disturbed, by 0.1 mm to 1 m with slides at rest (where
    the energy is convex), and by up to 1 mm with slides free (where other basins may lie further off)."""
    rng = np.random.default_rng([seed, 7])
    for name, reach in minima(seed):
        found = reach().state
        pair = found.pair
        hold = {"as taped": np.zeros(pair.n), "settled": np.zeros(pair.n)}.get(name, random_hold(seed, pair))
        rest = pair.start_slides
        here = found.energy + float(hold @ np.abs(found.unknowns[:, 3] - rest))
        for slides, sizes in ((False, (1e-4, 1e-2, 1.0)), (True, (1e-5, 1e-3))):
            if slides and name == "as taped":
                continue
            for size in sizes:
                for move in perturbed(rng, found, size, slides):
                    try:
                        there = pair.evaluate(found.unknowns + move)
                    except SegmentNotSolved:
                        continue
                    energy = there.energy + float(hold @ np.abs(there.unknowns[:, 3] - rest))
                    fuzz = 4.0 * (found.rounding + there.rounding) + 1e-13 * abs(here)
                    # A first-order loss may be what the residual force, 1e-8 of the weight, allows.
                    fuzz += 1e-8 * pair.weight * float(np.abs(move).sum())
                    assert energy >= here - fuzz, (name, slides, size, energy - here)




@pytest.mark.parametrize("seed", rest_is_long(USUAL_SEEDS, *ALWAYS))
@pytest.mark.parametrize("state", ["as taped", "settled"])
def test_where_a_rig_stands_does_not_matter(seed, state):
    """Moved by a kilometre and turned by 1 rad: the same loops to 1e-6 m, tensions to 1e-8.

    With slides free, two ways down may be equally good to rounding; then the energies are the same.
    """
    here = random_rig(seed)
    shift, turn = np.array([700.0, -900.0, 140.0]), 1.0
    spin = np.array([[np.cos(turn), -np.sin(turn), 0.0], [np.sin(turn), np.cos(turn), 0.0], [0.0, 0.0, 1.0]])
    ends = {name: shift + spin @ getattr(here, name) for name in ("main_a", "main_b", "backup_a", "backup_b")}
    one, other = (solve(rig, state, look_for_others=False) for rig in (here, replace(here, anchors=Anchors(**ends))))
    assert other.tension_a == pytest.approx(one.tension_a, rel=1e-7)
    assert (other.main.nodes - shift) @ spin == pytest.approx(one.main.nodes, abs=1e-6)
    assert other.bays.loop_depth == pytest.approx(one.bays.loop_depth, abs=1e-5)


def grown(rig: Rig, factor: float) -> Rig:
    """Every length and every force times a factor, masses per metre and stretch as they are."""

    def longer(spacing: Spacing) -> Spacing:
        return replace(spacing, every=factor * spacing.every, values=tuple(factor * v for v in spacing.values))

    def stiffer(line):
        return replace(line, stretch=replace(line.stretch, tension=factor * line.stretch.tension))

    zones = tuple(
        replace(zone, start=factor * zone.start, end=factor * zone.end, spacing=longer(zone.spacing))
        for zone in rig.taping.zones
    )
    stock = replace(rig.taping.stock, width=factor * rig.taping.stock.width)
    return replace(
        rig,
        anchors=Anchors(**{
            name: factor * getattr(rig, name) for name in ("main_a", "main_b", "backup_a", "backup_b")
        }),
        main=stiffer(rig.main), backup=stiffer(rig.backup),
        main_plan=replace(rig.main_plan, tension=factor * rig.main_plan.tension),
        taping=replace(rig.taping, zones=zones, stock=stock, tape_mass=factor * rig.taping.tape_mass),
        joints=tuple(replace(j, at=factor * j.at, mass=factor * j.mass) for j in rig.joints),
        walker=rig.walker and replace(rig.walker, mass=factor * rig.walker.mass, at=factor * rig.walker.at),
    )


@pytest.mark.parametrize("seed", rest_is_long(USUAL_SEEDS, *ALWAYS))
@pytest.mark.parametrize("state", ["as taped", "settled"])
def test_a_rig_and_its_enlargement(seed, state):
    """With all lengths and forces 1.7 times as large everything is: the statics have no length of their own."""
    factor = 1.7
    small = random_rig(seed)
    one, other = (solve(rig, state, look_for_others=False) for rig in (small, grown(small, factor)))
    assert other.tension_a == pytest.approx(factor * one.tension_a, rel=1e-7)
    assert other.main.nodes == pytest.approx(factor * one.main.nodes, abs=1e-6 * factor)
    assert other.bays.loop_depth == pytest.approx(factor * one.bays.loop_depth, abs=1e-5)


@pytest.mark.parametrize("seed", USUAL_SEEDS)
def test_more_excess_hangs_deeper_and_more_tension_sags_less(seed):
    """As taped, in every bay: 3 % more backup makes a deeper loop; the empty main sags less with more tension."""
    rig = random_rig(seed)
    more = replace(rig, backup_plan=replace(rig.backup_plan, value=rig.backup_plan.value + 0.03))
    shallow, deep = (solve(one).bays.loop_depth for one in (rig, more))
    assert np.all(deep > shallow)
    empty = rig.without_walker()
    tight = replace(empty, main_plan=MainPlan(tension=1.2 * rig.main_plan.tension, end=rig.main_plan.end))
    sags = []
    for one in (empty, tight):
        curve = solve(one).main.sample().points
        along = (one.main_b - one.main_a) / one.span
        foot = one.main_a + np.outer((curve - one.main_a) @ along, along)
        sags.append(float(np.max((foot - curve)[:, 2])))
    assert sags[1] < sags[0]

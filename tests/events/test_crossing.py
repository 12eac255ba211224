"""Crossings with stick and slip: limits, energy, the creep rule.  Sources beside each check."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from linescope.errors import InputError
from linescope.events.crossing import STEP_SETTINGS, _Walk, carried_over, cross
from linescope.events.fine_crossing import cross_refined
from linescope.events.friction import downhill, hold_values
from linescope.rig import (
    Anchors,
    BackupPlan,
    Band,
    Hold,
    MainPlan,
    Rig,
    Spacing,
    TapeZone,
    Taping,
    Walker,
)
from linescope.statics import plan, solve
from linescope.statics.assemble import DOWN, G
from linescope.statics.minimise import Minimum, Settings, minimise
from linescope.statics.settle import settle
from linescope.taping import Holds
from linescope.webbing import StretchCurve, Webbing

NYLON = Webbing(
    name="nylon", width=0.025, thickness=0.0024, mass=0.062, breaking_strength=26e3,
    stretch=StretchCurve.linear(62.5e3),
)
FAMILY = {Holds.MAIN: "main-held slider", Holds.BACKUP: "backup-held slider", Holds.BOTH: "fixed wrap"}


def sliding_rig(
    holds: Holds, *, drag: float, friction: float, span: float = 20.0, rise: float = 2.0, tension: float = 1200.0,
    bay: float = 4.0, excess: float = 0.06,
) -> Rig:
    """A small inclined rig with one kind of slider all along."""
    end = np.array([np.sqrt(span**2 - rise**2), 0.0, rise])
    one = Band(low=friction, value=friction, high=friction)
    return Rig(
        name="test", anchors=Anchors(main_a=np.zeros(3), main_b=end), main=NYLON, backup=NYLON,
        main_plan=MainPlan(tension=tension), backup_plan=BackupPlan(given_by="excess", value=excess),
        taping=Taping(
            zones=(TapeZone(
                start=0.0, end=np.inf, family=FAMILY[holds], holds=holds, spacing=Spacing(kind="even", every=bay)
            ),),
            measured_on="tensioned",
        ),
        hold=Hold(drag=Band(low=drag, value=drag, high=drag), friction=one),
        walker=Walker(mass=75.0, at=0.5 * span),
    )


@pytest.mark.parametrize("holds", [Holds.MAIN, Holds.BACKUP])
def test_without_hold_a_crossing_ends_settled(holds: Holds) -> None:
    """Limit of the model: hold -> 0.  The empty rig afterwards is the settled one, within 2 mm of slide."""
    rig = sliding_rig(holds, drag=1e-3, friction=0.0)
    planned = plan(rig)
    after = cross(rig, planned=planned, per_bay=4).after
    settled = solve(rig.without_walker(), "settled", planned=planned, look_for_others=False)
    assert np.abs(settled.tape_slip).max() > 0.05
    np.testing.assert_allclose(after.tape_slip, settled.tape_slip, atol=2e-3)


@pytest.mark.parametrize("holds", [Holds.MAIN, Holds.BACKUP])
def test_with_much_hold_a_crossing_stays_as_taped(holds: Holds) -> None:
    """Limit of the model: hold -> infinity.  Nothing slips, and the rig afterwards is the empty one as taped."""
    rig = sliding_rig(holds, drag=1e6, friction=0.0)
    planned = plan(rig)
    crossing = cross(rig, planned=planned)
    assert crossing.total_slip.max() == 0.0
    assert crossing.total_work.sum() == 0.0
    taped = solve(rig.without_walker(), planned=planned)
    np.testing.assert_allclose(crossing.after.bays.loop_depth, taped.bays.loop_depth, atol=1e-9)


@pytest.mark.parametrize("holds", [Holds.MAIN, Holds.BACKUP])
def test_friction_work_is_the_energy_the_sweep_loses(holds: Holds) -> None:
    """Conservation of energy, to 1e-6 of the friction work.

    The walker goes to and fro inside one bay.  Work put in by moving him is the integral of the energy's
    derivative by his place on the main: the jump of phi(T) - q z across his node (trapezoid rule, 2000 steps).
    """
    rig = sliding_rig(holds, drag=0.25, friction=0.0)
    planned = plan(rig)
    first, second = planned.layout.tape_main[:2]
    low, high = first + 0.1 * (second - first), first + 0.9 * (second - first)
    steps = 2000 if holds is Holds.BACKUP else 1000
    route = np.concatenate((np.linspace(low, high, steps), np.linspace(high, low, steps)[1:]))
    crossing = cross(
        rig, planned=planned, route=route, settings=Settings(tolerance=1e-13, accepted=1e-8)
    )
    states = [state.state for state in crossing.states]
    energy = np.array([state.energy for state in states])
    node = int(np.flatnonzero(~states[0].pair.is_tape)[0])
    pull = np.array([state.potential[node] - state.potential[node + 1] for state in states])
    put_in = float(np.sum(0.5 * (pull[1:] + pull[:-1]) * np.diff(crossing.walker)))
    lost = put_in - (energy[-1] - energy[0])
    work = float(crossing.work[1:].sum())
    assert work > 1e-3
    assert lost == pytest.approx(work, rel=1e-6)


@pytest.mark.parametrize("holds", [Holds.MAIN, Holds.BACKUP])
def test_tension_jump_stays_within_the_hold(holds: Holds) -> None:
    """The friction law itself, |T+ - T-| <= hold, in every step and at every tape (true tension difference).

    The hold is recomputed from each end state.  Tolerance 3 %: the solver renews it while it changes by over 2 %.
    """
    rig = sliding_rig(holds, drag=0.1, friction=0.05, rise=3.0)
    crossing = cross(rig, per_bay=4)
    assert crossing.total_slip.max() > 0.02
    for state in crossing.states:
        if state.state.pressed.any():
            continue  # A tape pushed against the walker's foot is held by the foot as well.
        at = state.state.pair.tapes
        jump = np.abs(state.state.true_tension_jump()[at])
        assert np.all(jump <= 1.03 * (0.1 + 0.05 * state.state.normal_force()[at]))


def test_clean_slider_creeps_where_tan_slope_exceeds_friction() -> None:
    """Dry friction on an incline: slip begins at tan(slope) = mu (Coulomb; any statics textbook).

    Computed, not assumed: a taut, nearly straight line on a 20 % slope with equal shallow loops; mu is bisected for the
    first slip of the middle tape.  Tolerance 3 %: the main's own sag changes the slope along the line, loops are not
    infinitely shallow.
    """
    rig = sliding_rig(Holds.MAIN, drag=0.0, friction=0.0, span=60.0, rise=11.767, tension=9000.0, bay=3.0, excess=0.01)
    planned = plan(rig.without_walker())
    taped = solve(rig.without_walker(), planned=planned)
    tape = len(planned.layout.tapes) // 2
    slope = abs(downhill(taped).slope[tape])
    start = planned.standing
    normal = start.state.normal_force()
    low, high = 0.05, 0.5
    for _ in range(20):
        friction = 0.5 * (low + high)
        hold = friction * normal
        # Neighbours are held, so that the tape itself is judged on equal loops.
        alone = np.full(planned.pair.n, np.inf)
        alone[tape] = hold[tape]
        found = minimise(planned.pair, start.state.unknowns, hold=alone, forces=start.state.forces)
        slipped = abs(found.state.unknowns[tape, 3] - planned.pair.start_slides[tape]) > 1e-9
        low, high = (friction, high) if slipped else (low, friction)
    assert high == pytest.approx(np.tan(slope), rel=0.03)


def test_the_name_of_the_version_before_is_read_and_warns() -> None:
    import linescope.events as events

    with pytest.warns(DeprecationWarning, match="downhill now"):
        assert events.creep is downhill


def test_creep_zone_is_named() -> None:
    """The same rule as a finding: with mu below the slope all inner tapes creep, above it none; drag adds to it."""
    steep = sliding_rig(Holds.MAIN, drag=0.0, friction=0.1, span=60.0, rise=11.767, tension=9000.0, bay=3.0)
    found = downhill(solve(steep.without_walker()))
    assert [(zone.first, zone.last) for zone in found.zones] == [(1, 19)]
    held = replace(steep, hold=Hold(drag=Band(low=2.0, value=2.0, high=2.0), friction=steep.hold.friction))
    assert downhill(solve(held.without_walker())).zones == ()
    fixed = sliding_rig(Holds.BOTH, drag=0.0, friction=0.1, span=60.0, rise=11.767)
    assert downhill(solve(fixed.without_walker())).zones == ()


@pytest.mark.parametrize(
    ("small", "large", "turns", "friction"),
    [(80.0, 5000.0, 2.0, 0.329), (80.0, 20000.0, 2.67, 0.329)],
)
def test_many_small_contacts_make_the_capstan(small: float, large: float, turns: float, friction: float) -> None:
    """Beer, Johnston, Mazurek, Statics, 10th/11th ed., problem 8.104 (A3-capstan-hawser in tests/data/checks.toml).

    Our contact law, tension jump <= mu x resultant of the two tensions across the mean direction, chained over many
    small turns must give the hawser's figures.  Tolerance 1 %: the printed three digits of mu and turns (the
    exponent magnifies them).
    """
    contacts = 20000
    angle = 2.0 * np.pi * turns / contacts
    tension = small
    before, after = np.array([-1.0, 0.0]), np.array([np.cos(angle), np.sin(angle)])
    along = (after - before) / np.linalg.norm(after - before)
    resultant = before + after
    across = float(np.linalg.norm(resultant - (resultant @ along) * along))
    for _ in range(contacts):
        tension += friction * tension * across
    assert tension == pytest.approx(large, rel=0.01)


def test_friction_of_a_real_contact_is_the_resultant_across_the_main() -> None:
    """The normal force the solver uses, recomputed by hand from the tension vectors of the solved loops: on a level
    line with equal loops it is the weight of one loop, w x length (statics; exact to the line's own slope, 2e-3).
    """
    rig = sliding_rig(Holds.MAIN, drag=0.0, friction=0.2, rise=0.0, tension=3000.0).without_walker()
    planned = plan(rig)
    normal = planned.standing.state.normal_force()
    weight = NYLON.mass * 9.80665 * planned.layout.bays_backup
    np.testing.assert_allclose(normal[1:-1], 0.5 * (weight[1:-2] + weight[2:-1]), rtol=2e-3)


def test_refining_the_steps_stops_mattering() -> None:
    """Slips with the steps halved again differ by under 2 % of the largest, the promise of `cross_refined`."""
    rig = sliding_rig(Holds.MAIN, drag=0.05, friction=0.05, rise=3.0)
    planned = plan(rig)
    refined = cross_refined(rig, planned=planned)
    finer = cross(rig, planned=planned, per_bay=2 * refined.per_bay)
    assert np.abs(finer.total_slip - refined.total_slip).max() < 0.02 * finer.total_slip.max() + 2e-4


def test_more_hold_less_slip() -> None:
    """A monotone fact: no source needed."""
    slips = [
        cross(sliding_rig(Holds.MAIN, drag=drag, friction=0.0, rise=3.0)).total_slip.sum() for drag in (0.05, 0.2, 0.8)
    ]
    assert slips[0] > slips[1] > slips[2]


def test_levels_of_the_band_are_used() -> None:
    rig = sliding_rig(Holds.MAIN, drag=0.1, friction=0.1)
    wide = replace(
        rig, hold=Hold(drag=Band(low=0.0, value=0.1, high=5.0), friction=Band(low=0.0, value=0.1, high=0.4))
    )
    layout = plan(wide).layout
    drag, friction = hold_values(layout, "high")
    assert set(drag) == {5.0}
    assert set(friction) == {0.4}
    assert cross(wide, level="low").total_slip.sum() > cross(wide, level="high").total_slip.sum()


def test_a_crossing_needs_a_walker() -> None:
    with pytest.raises(InputError, match="needs a walker"):
        cross(sliding_rig(Holds.MAIN, drag=0.1, friction=0.1).without_walker())


def test_three_states_of_a_crossing_lie_in_order() -> None:
    """Friction-limited lies between as taped and settled: the total slip grows as the hold falls."""
    rig = sliding_rig(Holds.MAIN, drag=0.05, friction=0.02, rise=3.0)
    planned = plan(rig)
    limited = cross(rig, planned=planned).after
    free = settle(planned.pair, planned.standing)[0]
    moved = free.state.unknowns[planned.pair.tapes, 3] - planned.pair.start_slides[planned.pair.tapes]
    assert 0.0 < np.abs(limited.tape_slip).sum() < np.abs(moved).sum()
    assert limited.state == "friction-limited"


@pytest.mark.parametrize("holds", [Holds.MAIN, Holds.BACKUP])
@pytest.mark.parametrize(("drag", "friction", "near"), [(0.4, 0.0, 1e-7), (0.1, 0.2, 1e-5)])
def test_one_slider_goes_as_far_as_its_true_tensions_say(
    holds: Holds, drag: float, friction: float, near: float
) -> None:
    """Step by step by force alone: pinned wherever it is tried, it moves until its hold carries the difference.

    The tapes of the crossing are found by energy, in which a hold counts by the stretch of the line that slips; here
    the difference of the true tensions of a pinned pair is compared with the hold, and nothing is stretched.  With
    friction the hold is renewed until it changes by less than a ten-thousandth, so places are as near as that.
    """
    rig = sliding_rig(holds, drag=drag, friction=friction, span=8.0, rise=0.0)
    spacing = Spacing(kind="listed", values=(3.0,))
    rig = replace(rig, taping=replace(rig.taping, zones=tuple(replace(z, spacing=spacing) for z in rig.taping.zones)))
    planned = plan(rig)
    route = [0.4, 1.6, 2.7, 3.4, 5.0, 6.6, 7.5, 5.6, 3.4, 2.7, 1.2]
    found = cross(rig, route=route, planned=planned)
    assert rig.walker is not None
    walk, pull = _Walk(rig, planned.layout, "value", STEP_SETTINGS), rig.walker.mass * G * DOWN
    state = minimise(
        walk.pair_with(None, pull)[0], planned.standing.state.unknowns, forces=planned.standing.state.forces
    )

    def pinned(slide: float, at: float | None) -> Minimum:
        walk.slide = np.array([slide])
        pair, _ = walk.pair_with(at, pull)
        start, forces = carried_over(pair, state)
        return minimise(pair, start, forces=forces, settings=STEP_SETTINGS)

    def driven(slide: float, at: float | None, sign: float) -> float:
        now = pinned(slide, at)
        jump = float(now.state.true_tension_jump()[now.state.pair.tapes][0])
        return sign * jump - float(walk.hold_of(now)[0])

    slide, moved = float(walk.slide[0]), 0
    for at, place in zip([None, *route], found.slide[:, 0], strict=True):
        sign = next((sign for sign in (1.0, -1.0) if driven(slide, at, sign) > 0.0), None)
        if sign is not None:
            step = 1e-5
            while driven(slide - sign * step, at, sign) > 0.0:
                step *= 2.0
            slide = brentq(lambda x, at=at, sign=sign: driven(x, at, sign), slide, slide - sign * step, xtol=1e-12)
            moved += 1
        state = pinned(slide, at)
        assert place == pytest.approx(slide, abs=near)
    assert moved >= 3

"""The lesson of a few grams of hold: its figures, the free end against the settled state, the hold from which nothing
runs."""

from __future__ import annotations

import functools
from dataclasses import replace

import numpy as np
import pytest

import linescope
from linescope.contact.hung_holds import HungHold, hung_holds
from linescope.contact.parting import find_parting
from linescope.errors import InputError
from linescope.scenefile.shipped import lesson_file
from linescope.statics import plan, solve
from linescope.taping import Holds

SCENE = linescope.load(lesson_file("ten-grams"))
RIG = SCENE.rig


@functools.cache
def found() -> tuple[HungHold, ...]:
    return hung_holds(RIG)


FIGURES = {
    0.0: (4.54, 4.54), 0.005: (1.73, 1.73), 0.010: (1.06, 1.10), 0.020: (0.90, 1.25), 0.050: (0.90, 0.96),
    0.100: (0.90, 0.90),
}
"""Deepest loop hung and after a walk [m]: our own earlier run with other steps, a regression."""


def test_the_lessons_figures() -> None:
    for each in found():
        assert (each.hung.max(), each.walked.max()) == pytest.approx(FIGURES[each.mass], abs=0.015)
    still = {each.mass: each for each in found()}
    assert still[0.020].ran_hung < 1e-6 and still[0.020].ran_walked == pytest.approx(1.9, abs=0.05)
    assert still[0.100].ran_walked < 1e-6
    assert still[0.0].ran_hung == pytest.approx(5.6, abs=0.05)


def test_finer_steps_of_the_walk_change_no_deepest_loop_by_a_centimetre() -> None:
    for coarse, fine in zip(found(), hung_holds(RIG, per_bay=9), strict=True):
        assert coarse.walked.max() == pytest.approx(fine.walked.max(), abs=0.01)


def test_without_hold_it_is_the_settled_state() -> None:
    """Found by lowering the hold step by step in another search (`statics.settle`)."""
    settled = solve(RIG.without_walker(), "settled").bays.loop_depth
    assert np.abs(found()[0].hung - settled).max() < 0.02


def test_nothing_runs_from_the_hold_on_that_parts_the_styles() -> None:
    parting = find_parting(plan(RIG), Holds.MAIN, 3).drag / 9.80665
    ran = {each.mass: each.ran_walked for each in found()}
    assert max(mass for mass, slip in ran.items() if slip > 1e-6) < parting
    assert parting <= min(mass for mass, slip in ran.items() if slip < 1e-6)


def test_common_practice_more_hold_lets_less_run_by_itself() -> None:
    """Common practice, no source: what is held runs later."""
    hung = [each.ran_hung for each in found()]
    assert hung == sorted(hung, reverse=True)


def test_a_hold_may_be_written_as_the_weight_that_a_sample_carries() -> None:
    """One gram-force is 9.80665e-3 N, by definition of the standard acceleration (CGPM 1901)."""
    tried = SCENE.what_if("hold.drag", "20 gf").rig
    assert tried.hold.drag.value == pytest.approx(0.020 * 9.80665)


def test_rigs_on_which_it_would_show_nothing_are_told_why() -> None:
    with pytest.raises(InputError, match="nobody"):
        hung_holds(RIG.without_walker())
    zones = tuple(replace(zone, family="fixed wrap", holds=Holds.BOTH) for zone in RIG.taping.zones)
    with pytest.raises(InputError, match="needs sliders"):
        hung_holds(replace(RIG, taping=replace(RIG.taping, zones=zones)))

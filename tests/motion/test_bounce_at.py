"""Bouncing at stated amplitudes: tension over that of standing, and loops that are tight before anyone bounces."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

import linescope
from linescope.events.catch import stand
from linescope.motion import RunInputs, bounce
from linescope.motion.outcome import TIGHT
from linescope.report import grids
from linescope.statics import plan
from linescope.statics.results import line_shapes
from linescope.study import Study
from linescope.topics import TOPICS
from linescope.words import Words
from tests.motion.test_runs import rig

SCENES = Path(__file__).parents[2] / "scenes"
AT = 15.0  # [m]


@pytest.fixture(scope="module")
def slow():
    """Without stiffening and air: what statics makes of the same dip."""
    planned = plan(rig())
    return planned, bounce(planned, AT, choice=RunInputs().undamped())


@pytest.mark.parametrize("amplitude", [0.25, 0.5])
def test_the_factor_is_that_of_the_line_pulled_down_as_far(slow, amplitude):
    """Statics of the same rig: the force that brings the ring an amplitude lower, and the main's tension under it.

    A bounce of seconds is slow beside the line's own waves: 10 ms of them come to some per cent.
    """
    planned, found = slow
    loaded = stand(planned, AT)

    def lower(force):
        ring = loaded.under(force).state.unknowns[loaded.node, 2]
        return float(loaded.standing.state.unknowns[loaded.node, 2] - ring)

    force = brentq(lambda pull: lower(pull) - amplitude, loaded.weight, 20.0 * loaded.weight)

    def ends(state):
        main = line_shapes(state.state)[0]
        return np.array([main.tension_start[0], main.tension_end[-1]])

    ratio = float(np.max(ends(loaded.under(force)) / ends(loaded.standing)))
    at = found.at_amplitude(amplitude)
    assert at.factor == pytest.approx(ratio, rel=0.03) and ratio > 1.05
    assert at.least < found.standing.max() < at.most


def test_amplitudes_that_are_told_were_reached_and_rise(slow):
    _, found = slow
    told = found.stated
    assert [each.amplitude for each in told[:2]] == [0.25, 0.5]
    assert told[-1].amplitude == found.amplitude.max()
    assert np.isnan(found.at_amplitude(2.0 * told[-1].amplitude).factor)
    assert all(np.isfinite(each.factor) for each in told)


def test_loops_that_are_tight_as_he_stands_are_not_told_to_snap_tight_at_an_amplitude():
    """On Heron Gap the backup carries as he stands, by statics alone."""
    study = Study(linescope.load(SCENES / "heron_gap.toml"), in_time=True)
    backup = study.taped.backup
    assert max(backup.tension_start.max(), backup.tension_end.max()) > TIGHT
    assert study.bounce_in_time.tight_from == 0.0
    table = grids.across(TOPICS["motion"], TOPICS["motion"].more[2], study, Words())
    assert table is not None and [row[0] for row in table.rows[:3]] == ["0.25 m", "0.50 m", "1.0 m"]


def test_a_bounce_is_that_of_the_scenes_own_webbing_in_motion():
    """A stiffer spring is a quicker one; how much quicker is no matter here."""
    scene = linescope.load(SCENES / "heron_gap.toml")
    periods = [
        Study(scene.what_if("motion.stiffness_factor", factor), in_time=True).bounce_in_time.period
        for factor in ("1.3", "2.2")
    ]
    assert periods[1] < 0.95 * periods[0]

"""What is expected, with its range."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from linescope.motion import MotionInputs, leash_fall_in_time
from linescope.motion.expected import CHANCE, FIGURES, expected
from linescope.statics import plan
from linescope.taping import Holds
from tests.motion.test_runs import rig


@pytest.mark.parametrize("holds", [Holds.BOTH, Holds.MAIN], ids=["fixed", "slider"])
def test_a_range_holds_what_the_last_digit_of_an_input_makes_of_a_fall(holds):
    """Of one run its range is what chance does: the same fall with inputs a billionth off lies in it."""
    planned = plan(rig(holds=holds, rise=2.0))
    middle = MotionInputs().expected()
    found = expected(planned, np.array([6.0]), depth="middle", seconds=2.0)
    moved = []
    for share in (-3e-9, -1e-9, 1e-9, 3e-9):
        choice = replace(middle, stiffness_factor=middle.stiffness_factor * (1.0 + share))
        told = leash_fall_in_time(planned, 6.0, choice=choice, seconds=2.0).outcome
        for name in CHANCE:
            band, value = getattr(found, name), FIGURES[name](told)
            assert band.low[0] <= value <= band.high[0], name
        moved.append(FIGURES["leash_force"](told))
    assert np.ptp(moved) > 1.0  # It does make something of it [N].


def test_a_range_holds_falls_with_one_input_at_an_end_of_its_range():
    """Where the ring runs and the backup snaps tight, friction of the ring and how he leaves the line matter most."""
    inputs, places = MotionInputs(), np.array([0.5, 29.5])
    planned = plan(rig())
    found = expected(planned, places, seconds=1.6)
    middle = inputs.expected()
    for name in ("leaving", "ring_friction"):
        for end in ("low", "high"):
            choice = replace(middle, **{name: getattr(getattr(inputs, name), end)})
            for k, at in enumerate(places):
                told = leash_fall_in_time(planned, at, choice=choice, seconds=1.6).outcome
                for figure in ("leash_force", "main_a", "main_b", "backup_a", "backup_b", "foot_lowest", "dip"):
                    band, value = getattr(found, figure), FIGURES[figure](told)
                    assert band.low[k] <= value <= band.high[k], (name, end, at, figure)

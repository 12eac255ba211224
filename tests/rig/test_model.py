"""A rig checks itself when it is made, and cannot be changed afterwards."""

from __future__ import annotations

from dataclasses import FrozenInstanceError, replace

import numpy as np
import pytest

from linescope.errors import InputError
from linescope.rig import Anchors, Band, MainPlan, Spacing, Taping, Walker
from linescope.taping import Holds
from tests.statics.random_rigs import plain_rig, zone

EVEN = Spacing(kind="even", every=3.0)


def test_span_and_slope():
    rig = plain_rig(span=50.0, slope=0.75, turn=1.0)
    assert rig.span == pytest.approx(50.0, rel=1e-14)
    assert rig.slope == pytest.approx(0.75, rel=1e-14)


def test_how_far_points_are_below_the_line_between_the_anchors():
    """By hand: 40 m along and 30 m up, so half way it is 15 m up; sideways nothing changes."""
    rig = plain_rig(span=50.0, slope=0.75)
    points = [[[20.0, 0.0, 15.0], [20.0, 0.0, 12.0]], [[20.0, 7.0, 16.0], [60.0, 0.0, 0.0]]]
    assert rig.below_anchors(points) == pytest.approx(np.array([[0.0, 3.0], [-1.0, 45.0]]))
    assert float(rig.below_anchors(points[0][1])) == pytest.approx(3.0)


@pytest.mark.parametrize(
    "change",
    [
        {"taping": Taping(zones=(), measured_on="slack")},
        {"taping": Taping(zones=(zone(1.0, np.inf, Holds.BOTH, EVEN),), measured_on="slack")},
        {
            "taping": Taping(
                zones=(zone(0.0, 10.0, Holds.BOTH, EVEN), zone(11.0, np.inf, Holds.BOTH, EVEN)), measured_on="slack"
            )
        },
        {"walker": Walker(mass=75.0, at=48.0)},
        {"walker": Walker(mass=75.0, at=-1.0)},
    ],
)
def test_contradictions_are_refused(change):
    with pytest.raises(InputError):
        replace(plain_rig(), **change)


@pytest.mark.parametrize("b", [(0.3, 0.0, 0.0), (0.5, 0.0, 40.0), (np.nan, 0.0, 0.0), (48.0, 0.0), (6e3, 0.0, 0.0)])
def test_anchors_that_hold_no_line_are_refused(b):
    with pytest.raises(InputError):
        Anchors(main_a=(0.0, 0.0, 0.0), main_b=b)


def test_a_backup_without_anchors_of_its_own_has_those_of_the_main():
    anchors = Anchors(main_a=(0.0, 0.0, 0.0), main_b=(48.0, 0.0, 1.0), backup_b=(48.0, 0.0, 0.5))
    assert anchors.backup_a.tolist() == anchors.main_a.tolist()
    assert anchors.backup_b[2] == 0.5


@pytest.mark.parametrize("plan", [{}, {"tension": 1800.0, "length": 47.0}])
def test_main_is_given_one_way(plan):
    with pytest.raises(InputError) as caught:
        MainPlan(**plan)
    assert caught.value.key == "main"


@pytest.mark.parametrize("band", [(1.0, 0.5, 2.0), (0.1, 0.5, 0.4), (np.nan, 0.5, 1.0)])
def test_bands_rise(band):
    with pytest.raises(InputError):
        Band(low=band[0], value=band[1], high=band[2])


def test_frozen_down_to_the_arrays():
    rig = plain_rig()
    with pytest.raises(FrozenInstanceError):
        rig.name = "other"
    with pytest.raises(ValueError, match="read-only"):
        rig.main_a[0] = 1.0


def test_moving_or_taking_away_the_walker_leaves_the_rig_alone():
    rig = plain_rig(walker=Walker(mass=75.0, at=10.0))
    assert rig.with_walker_at(20.0).walker.at == 20.0
    assert rig.without_walker().walker is None
    assert rig.walker.at == 10.0
    with pytest.raises(InputError):
        rig.without_walker().with_walker_at(5.0)

"""Crossing after crossing in compiled code: the same steps as the slow search, and a cycle that closes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from linescope.contact.pacing import EXACT, Pacer
from linescope.events.crossing import cross
from linescope.rig import BackupPlan, Joint, Spacing
from linescope.statics import plan, quick
from linescope.statics.minimise import Settings
from linescope.statics.quick import curves_of, law
from linescope.taping import Holds
from linescope.webbing import StretchCurve
from tests.contact.making import pacer, tight_rig, uneven_rig, walked_rig

SLIDERS = (Holds.MAIN, Holds.BACKUP)


@pytest.mark.parametrize(
    "rig",
    [
        *(walked_rig(holds) for holds in Holds), tight_rig(Holds.MAIN), uneven_rig(Holds.BACKUP, 0.1),
        replace(walked_rig(Holds.MAIN), joints=(Joint(at=11.0, mass=0.4),)),
    ],
)
def test_a_lap_is_the_crossing_that_the_slow_search_finds(rig):
    slow = cross(rig, per_bay=3, settings=EXACT)
    lap = pacer(rig).lap(3)
    # Both renew the hold until it changes by less than a ten-thousandth.
    assert np.abs(lap.slip - slow.slip).max() <= 1e-5 * float(np.abs(slow.slip).max()) + 1e-12
    assert lap.total_work == pytest.approx(float(slow.work.sum()), rel=1e-6)
    assert lap.slide == pytest.approx(slow.slide, abs=1e-6)


@pytest.mark.parametrize("rig", [walked_rig(Holds.MAIN), uneven_rig(Holds.MAIN, 0.1), uneven_rig(Holds.BACKUP, 0.1)])
def test_a_step_in_one_call_is_the_step_search_by_search(rig, monkeypatch):
    exact = Settings(tolerance=1e-12, accepted=1e-9)
    whole = Pacer(rig, "value", plan(rig), exact).lap(3)
    monkeypatch.setattr(Pacer, "_step", Pacer._step_by_searches)
    parts = Pacer(rig, "value", plan(rig), exact).lap(3)
    assert whole.total_work > 0.0
    assert whole.slide == pytest.approx(parts.slide, abs=1e-9)
    assert whole.work == pytest.approx(parts.work, abs=1e-9)
    assert whole.over_tape == pytest.approx(parts.over_tape, abs=1e-6)


def test_a_measured_stretch_curve_is_followed_as_it_is():
    stretch = StretchCurve(tension=np.array([0.0, 1e3, 4e3, 1e4]), strain=np.array([0.0, 0.02, 0.05, 0.09]))
    curves = curves_of(stretch, StretchCurve.linear(5e4))
    for tension in (0.0, 1.0, 999.0, 1001.0, 3.5e3, 9.9e3, 2e4):
        strain, compliance, area = (float(part[0]) for part in stretch.at(np.array([tension])))
        assert law(tension, curves, 0) == pytest.approx((strain, compliance, area), rel=1e-12, abs=1e-15)
    assert law(2e3, curves, 1) == pytest.approx((0.04, 2e-5, 40.0), rel=1e-12)


def test_one_slider_under_a_walker_who_comes_and_goes_has_a_closed_cycle():
    """A stick-slip element under a cyclic drive settles to a loop that repeats (shakedown to alternating slip)."""
    rig = replace(
        walked_rig(Holds.MAIN, span=8.0), backup_plan=BackupPlan(given_by="excess", value=0.06),
    )
    zones = tuple(replace(zone, spacing=Spacing(kind="listed", values=(3.0,))) for zone in rig.taping.zones)
    rig = replace(rig, taping=replace(rig.taping, zones=zones))
    assert len(plan(rig).layout.tapes) == 1
    walk = pacer(rig)
    laps = [walk.lap(9) for _ in range(4)]
    assert laps[-1].total_work == pytest.approx(laps[-2].total_work, rel=1e-6)
    assert laps[-1].slide[-1] == pytest.approx(laps[-1].slide[0], abs=1e-7)
    assert laps[-1].total_work > 0.0 and float(np.sum(laps[-1].slip)) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("holds", SLIDERS)
def test_later_crossings_find_the_tapes_where_they_are(holds):
    walk = pacer(walked_rig(holds))
    first, second = walk.lap(3), walk.lap(3)
    assert second.slide[0] == pytest.approx(first.slide[-1], abs=0.0)
    assert second.total_work < first.total_work


def test_where_nothing_slips_the_way_back_is_the_way_there():
    """A lap of tapes that hold both lines walks one way: walked both ways, step by step, it is the same."""
    rig = walked_rig(Holds.BOTH)
    lap, pacer = Pacer(rig, "value", plan(rig)).lap(3), Pacer(rig, "value", plan(rig))
    found = []
    for at in lap.walker.tolist():
        pacer._step(at)
        found.append(pacer._now.tapes[:, quick.BACKUP_JUMP])
    assert lap.walker.tolist() == lap.walker[::-1].tolist() and len(lap.slide) == len(lap.walker) + 1
    assert lap.over_tape == pytest.approx(np.array(found), rel=1e-6, abs=1e-5)

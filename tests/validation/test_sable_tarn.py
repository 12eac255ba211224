"""The trap of "Sable Tarn": clean sliders on a slope, one crossing and back.

Source: the project's trade notes, computed there with a plain script (quasi-static, 3 to 5.5 m bays): friction 0.15
slips 0.31 m a tape on average (1.2 m at the most); friction 0.08 slips 2.4 m (4.9 m), the upper quarter's excess falls
from 4.0 to 0.3 % and the lower rises to 6.3 %, loops end 0.07 to 1.18 m deep; friction 0.08 with 0.5 N of drag moves
nothing (0.02 m).  Not published.  Tolerance 40 % on slips: other random bays, other steps, slips counted both ways;
the order of the cases is what the scene is for.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import linescope
from linescope.events import Crossing, cross
from linescope.rig import Band, Hold

OUTSIDE = {
    "area": "sliding and friction", "source": "Trade notes: Sable Tarn, one crossing and back", "known": "script",
}  # fmt: skip
SCENE = Path(__file__).parents[2] / "scenes" / "sable_tarn.toml"


def crossed(friction: float, drag: float) -> Crossing:
    rig = linescope.load(SCENE).rig
    hold = Hold(
        drag=Band(low=drag, value=drag, high=drag), friction=Band(low=friction, value=friction, high=friction)
    )
    return cross(replace(rig, hold=hold), per_bay=1)


def test_rough_sliders_creep_a_little(agrees) -> None:
    slip = crossed(0.15, 0.0).total_slip
    agrees("mean and largest slip at mu = 0.15 and 0.08", (slip.mean(), slip.max()), (0.31, 1.2), rel=0.4, unit="m")


def test_clean_sliders_run_metres_and_empty_the_top(agrees) -> None:
    crossing = crossed(0.08, 0.0)
    slip, after = crossing.total_slip, crossing.after.bays
    agrees("mean and largest slip at mu = 0.15 and 0.08", (slip.mean(), slip.max()), (2.4, 4.9), rel=0.4, unit="m")
    quarter = len(after.loop_length) // 4
    marked = crossing.layout.bays_main
    upper, lower = (
        after.loop_length[part].sum() / marked[part].sum() - 1.0 for part in (slice(quarter), slice(-quarter, None))
    )
    assert upper < 0.02 < 0.04 < lower
    agrees("shallowest loop afterwards at mu = 0.08", after.loop_depth.min(), 0.07, abs=0.03, unit="m")
    assert after.loop_depth.max() > 1.0


def test_half_a_newton_of_drag_freezes_them(agrees) -> None:
    slip = crossed(0.08, 0.5).total_slip.max()
    agrees("largest slip at mu = 0.08 and 0.5 N of drag: next to none", slip, 0.02, abs=0.03, unit="m")

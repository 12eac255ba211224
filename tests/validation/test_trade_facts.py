"""Facts of the trade.  Common practice, no source."""

from __future__ import annotations

import numpy as np
import pytest

from linescope.rig import Spacing
from linescope.statics import solve
from linescope.taping import Holds
from tests.statics.making import one_segment
from tests.statics.random_rigs import plain_rig, webbing

OUTSIDE = {"area": "statics", "source": "Trade rule", "known": "common practice"}
UNEVEN = Spacing(kind="pattern", values=(2.0, 4.0))


@pytest.mark.parametrize(
    ("excess", "printed"), [(0.01, 0.06), (0.03, 0.11), (0.05, 0.14), (0.08, 0.18), (0.10, 0.20)]
)
def test_depth_of_a_shallow_loop(agrees, excess, printed):
    """Depth is bay x sqrt(3 e / 8), common practice, no source; within 4 % up to an excess of 10 %.  The rounded
    table 1 % - 6 %, 3 % - 11 %, 5 % - 14 %, 8 % - 18 %, 10 % - 20 % of the bay: 0.7 % of the bay, as it is rounded."""
    bay = 3.0
    loop = one_segment(bay, 0.0, bay * (1.0 + excess), 0.6)
    depth = loop.depth_below_chord(bay, 0.0)[0][0]
    agrees("loop depth = bay x sqrt(3e/8), e = 1 to 10 %", depth, bay * np.sqrt(3.0 * excess / 8.0), rel=0.04, unit="m")
    agrees("rounded table of loop depth over bay, e = 1 to 10 %", depth / bay, printed, abs=0.007)


def _middle_depths(holds, state, excess):
    """Mean depth of the 2 m and the 4 m bays away from the anchors, on a level, tight line."""
    rig = plain_rig(
        span=60.0, holds=holds, excess=excess, tension=6000.0, measured_on="tensioned", spacing=UNEVEN,
        main=webbing(ea=2e6),
    )
    solution = solve(rig, state, look_for_others=False)
    length, depth = solution.bays.length[2:-2], solution.bays.loop_depth[2:-2]
    short, long = length < 3.0, length > 3.0
    assert length[short] == pytest.approx(2.0, rel=0.01) and length[long] == pytest.approx(4.0, rel=0.01)
    return depth[short].mean(), depth[long].mean()


def test_equal_excess_and_fixed_tapes_give_depth_in_proportion_to_the_bay(agrees):
    """2 m - 0.27 m, 4 m - 0.55 m at 5 %: common practice, no source; 4 %."""
    short, long = _middle_depths(Holds.BOTH, "as taped", 0.05)
    agrees("fixed tapes at 5 %: depth of 2 m and 4 m bays", (short, long), (0.27, 0.55), rel=0.04, unit="m")
    agrees("fixed tapes: depths of a bay and one twice as long", long / short, 2.0, rel=0.01)


def test_frictionless_sliders_give_depth_as_the_square_of_the_bay(agrees):
    """One tension in all loops: 2 m against 4 m is 1 : 4.  Common practice, no source.  It holds for shallow loops:
    5 % at an excess of 0.5 %.  Equal tension at the tapes leaves a deep loop less tension across, so at 5 % the long
    one is up to a quarter deeper than that."""
    short, long = _middle_depths(Holds.MAIN, "settled", 0.005)
    agrees(
        "free sliders: depths of a bay and one twice as long", long / short, 4.0, rel=0.05, area="sliding and friction",
    )
    short, long = _middle_depths(Holds.MAIN, "settled", 0.05)
    assert 4.0 < long / short < 5.0

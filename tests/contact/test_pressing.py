"""Who presses on whom at a tape: the sign by hand."""

from __future__ import annotations

import numpy as np
import pytest

from linescope.contact import find_touches
from linescope.contact.pressing import loops_pull
from linescope.contact.slides import betweens
from linescope.statics import solve
from linescope.statics.assemble import G
from linescope.taping import Holds
from tests.contact.making import tight_rig, walked_rig

SLIDERS = (Holds.MAIN, Holds.BACKUP)


@pytest.mark.parametrize("holds", Holds)
def test_a_loop_in_a_sling_pulls_its_weight_away_from_the_main(holds):
    """By hand: on a level line each tape carries half of the loop on either side, all of it downwards."""
    rig = walked_rig(holds).without_walker()
    solution = solve(rig)
    loops = solution.bays.loop_length
    weight = rig.backup.mass * G * 0.5 * (loops[:-1] + loops[1:])
    tilt = np.diff(solution.tape_points[:, 2], prepend=0.0, append=0.0)  # Bays of the empty line rise a little.
    assert loops_pull(solution)[1:-1] == pytest.approx(-weight, rel=0.03)
    assert np.abs(tilt).max() < 0.1


def test_a_taut_backup_under_a_point_load_presses_on_the_main():
    """By hand: straight legs of tension T that fall towards the walker at angles a and b press T (sin a - sin b)."""
    solution = solve(tight_rig(Holds.BOTH))
    nodes, tension = solution.backup.nodes, solution.bays.backup_tension
    walker = solution.walker_point
    node = int(np.argmin(np.linalg.norm(nodes - walker, axis=1)))
    legs = np.diff(nodes, axis=0)
    away = [-legs[node - 1] / np.linalg.norm(legs[node - 1]), legs[node] / np.linalg.norm(legs[node])]
    by_hand = tension[node - 1] * away[0] + tension[node] * away[1]
    assert by_hand[2] > 20.0
    assert loops_pull(solution)[node] == pytest.approx(by_hand[2], rel=0.05)


@pytest.mark.parametrize("holds", SLIDERS)
def test_touch_tells_what_hangs_in_the_strip_from_what_presses_the_lines(holds):
    loose, tight = (find_touches(solve(maker(holds))) for maker in (walked_rig, tight_rig))
    at_tapes = [touch for touch in loose.touches if touch.cause == "tape"]
    assert all(touch.pressed == 0.0 and touch.carried > 0.5 for touch in at_tapes)
    pressed = [touch for touch in tight.touches if touch.cause == "tape" and touch.pressed > 0.0]
    assert pressed and all(touch.carried == 0.0 for touch in pressed)
    # Common practice, no source: an enclosing strip lies between the lines, all over the face.
    assert all(touch.bare == 0.0 for touch in at_tapes)


def test_what_lies_between_the_lines_is_the_familys():
    """Common practice, no source: see `linescope.taping.between`."""
    rig = walked_rig(Holds.BOTH)
    found = betweens(rig, solve(rig).layout)
    assert all(each.main.line_on_line == 1.0 for each in found)

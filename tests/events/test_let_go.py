"""What lets go by itself: uneven loops on a level line, against the catenary's own pull on their tape."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

import linescope
from linescope.events import find_let_go
from linescope.events.let_go import SEEN
from linescope.rig import Rig
from linescope.scenefile import from_text
from linescope.statics import plan, solve

SCENES = Path(__file__).parents[2] / "scenes"
SCENE = """
title = "uneven bays"
[anchors]
a = ["0 m", "0 m", "0 m"]
b = ["30 m", "0 m", "0 m"]
[main]
tension = "60 kN"
[main.webbing]
name = "hardly stretches"
width = "25 mm"
thickness = "2 mm"
mass = "3 g/m"
breaking_strength = "300 kN"
stretch = { elongation = "0.5 %", at = "60 kN" }
[backup]
excess = "6 %"
[backup.webbing]
name = "backup"
width = "25 mm"
thickness = "2 mm"
mass = "60 g/m"
breaking_strength = "24 kN"
stretch = { elongation = "10 %", at = "10 kN" }
[taping]
measured_on = "tensioned"
tape_mass = "0 g"
[[taping.zones]]
style = "main-held slider"
spacing = { pattern = ["2 m", "4 m"] }
[hold]
drag = { value = "DRAG", low = "0.01 N", high = "50 N" }
friction = { value = "0", low = "0", high = "0" }
"""


def end_tension(bay: float, length: float, weight: float) -> float:
    """Tension at the ends of a level inextensible catenary.  [N]"""
    a = brentq(lambda a: 2.0 * a * math.sinh(bay / (2.0 * a)) - length, bay / 20.0, bay * 100.0)
    return weight * a * math.cosh(bay / (2.0 * a))


def rig_with(drag: float) -> Rig:
    return from_text(SCENE.replace("DRAG", f"{drag:.6f} N"), file="uneven.toml", folder=Path()).rig


def test_uneven_loops_let_go_exactly_where_their_pulls_differ_by_more_than_the_hold() -> None:
    """Irvine 1981, *Cable Structures*, section 1.2 (inextensible catenary): T = w a cosh(bay / 2a) at both ends.

    The line is level and straight to 0.1 mm, so slope starts nothing; 2 % allow for the backup's stretch.
    """
    weight, excess = 0.06 * 9.80665, 0.06
    pull = end_tension(4.0, 4.0 * (1 + excess), weight) - end_tension(2.0, 2.0 * (1 + excess), weight)
    assert pull > 0.5
    rig = rig_with(1.02 * pull)
    assert find_let_go(rig)["value"].gone_empty == ()
    found = find_let_go(rig_with(0.98 * pull))["value"]
    layout, bays = found.empty.layout, np.diff(found.empty.layout.tape_main)
    uneven = {k + 2 for k in range(len(bays) - 1) if abs(bays[k] - bays[k + 1]) > 1.0}
    assert set(found.gone_empty) <= uneven | {1, len(layout.tapes)} and found.gone_empty
    taped = solve(rig)
    deep = int(np.argmax(taped.bays.loop_depth))
    assert found.empty.bays.loop_depth[deep] > taped.bays.loop_depth[deep]


def test_low_and_high_hold_are_ends() -> None:
    found = find_let_go(rig_with(0.5))
    most = {level: float(np.abs(one.empty.tape_slip).max()) for level, one in found.items()}
    assert most["low"] > most["value"] > most["high"] == 0.0
    assert found["low"].walker is None and found["low"].gone_walker == ()


def test_every_tape_left_alone_is_held() -> None:
    """Equilibrium itself: across a tape that did not move, the backup's tension differs by no more than the hold."""
    drag = 0.4
    found = find_let_go(rig_with(drag))["value"].empty
    jump = np.abs(found.backup.tension_start[1:] - found.backup.tension_end[:-1])
    assert np.all(jump <= drag * 1.001)
    slid = np.abs(found.tape_slip) > SEEN
    np.testing.assert_allclose(jump[slid], drag, rtol=1e-3)


def test_nothing_slides_nothing_lets_go() -> None:
    assert find_let_go(linescope.load(SCENES / "heron_gap.toml").rig) == {}


@pytest.mark.parametrize("scene", ["ptarmigan_step", "larkspur_ledge"])
def test_gathered_with_the_rig(scene: str) -> None:
    rig = linescope.load(SCENES / f"{scene}.toml").rig
    study = linescope.Study(rig)
    assert set(study.let_go or ()) <= {"low", "value", "high"}
    assert study.to_see is study.standing  # The hold as given keeps every tape there.
    assert plan(rig).layout.tapes

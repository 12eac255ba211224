"""A standing tension that no length of main gives: the message says the lowest that works."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from linescope.errors import TensionNotReached
from linescope.scenefile import from_text
from linescope.statics import plan

SCENE = """
title = "slack"
[anchors]
a = ["0 m", "0 m", "0 m"]
b = ["100 m", "0 m", "0 m"]
[main]
tension = "TENSION"
webbing = "polyester 25 mm"
[backup]
webbing = "as main"
excess = "10 %"
[taping]
measured_on = "slack"
tape_mass = "0 g"
[[taping.zones]]
style = "fixed wrap"
spacing = { every = "2 m" }
"""


def text(tension: str) -> str:
    return SCENE.replace("TENSION", tension)


def test_the_lowest_standing_tension_is_that_of_the_catenary() -> None:
    """Irvine 1981, *Cable Structures*, section 1.2: T = w a cosh(L / 2a) has its least, 0.7544 w L, at L / 2a = 1.2.

    w is that of both lines, 55 g/m and 10 % more for the loops; 5 % allow for stretch, what the loops carry
    themselves, and rounding to two figures.
    """
    least = 0.7544 * (0.055 + 1.1 * 0.055) * 9.80665 * 100.0
    with pytest.raises(TensionNotReached) as caught:
        plan(from_text(text("60 N"), file="slack.toml", folder=Path()).rig)
    found = re.search(r"lowest that this rig can have there is about (\d+) N", str(caught.value))
    assert found is not None
    assert float(found[1]) == pytest.approx(least, rel=0.05)
    assert "e+" not in str(caught.value)
    plan(from_text(text(f"{1.1 * float(found[1]):.0f} N"), file="slack.toml", folder=Path()).rig)

"""The translucent skin round everything swept: closed round the lines, inside the picture's data."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import linescope
from linescope.stage import skin
from linescope.words import Words

SCENES = Path(__file__).parents[2] / "scenes"


def test_the_skin_holds_the_lines_of_a_walker_anywhere() -> None:
    """Against the solved main itself, recomputed with the walker at a swept place: no lower than the skin there."""
    rig = linescope.load(SCENES / "larkspur_ledge.toml").rig
    clearance = linescope.find_clearance(rig, positions=[20.0, 46.0], wind=False)
    (lines,) = skin.skins(clearance)
    assert lines.name == skin.LINES
    main = linescope.solve(rig.with_walker_at(46.0)).main.sample(20).points
    for x in (30.0, 46.0, 60.0):
        near = np.abs(lines.points[:, 0] - x) < 1.0
        assert lines.points[near, 2].min() <= main[np.argmin(np.abs(main[:, 0] - x)), 2] + 0.1
    assert 0.0 < lines.opacity < 0.5
    assert np.isfinite(lines.points).all()
    (entry,) = skin.legend((lines,), Words())
    # Sky through both walls of the tube, one behind the other.
    assert entry.opacity == pytest.approx(1.0 - (1.0 - lines.opacity) * (1.0 - lines.opacity))


def test_without_a_sweep_there_is_no_skin() -> None:
    assert skin.skins(None) == ()

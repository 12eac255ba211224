"""Places along the line and heights, as tables and the page show them."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from linescope.notes import Quantity
from linescope.stage.ground import Ground, height_below
from linescope.statics import Solution
from linescope.study import Study
from linescope.words import Loud, Words

Floats = NDArray[np.float64]

def below_chord(solution: Solution, point: Floats) -> float:
    """Vertical distance of a point below the straight line between the main's anchors.  [m]"""
    return float(solution.rig.below_anchors(point))


def above_ground(ground: Ground | None, points: Floats) -> Floats:
    """Height of (n, 3) points above the ground straight below; negative in it, nan where none is known.  [m]"""
    if ground is None:
        return np.full(len(points), np.nan)
    high = points + np.array([0.0, 0.0, 1e4])
    return np.asarray(points[:, 2] - height_below(ground, high))


def height_words(height: float, measures: Words) -> str:
    """Height above ground; what is in the ground says so, and what is not known too."""
    if not math.isfinite(height):
        return measures.say("unknown")
    if height >= 0.0:
        return measures.length(height, "down")
    return Loud(measures.say("ground-into", depth=Quantity(-height, "length", "up")))


def spread_over(count: int, most: int) -> list[int]:
    """At most `most` of `count` places, the first and the last among them."""
    return sorted({round(k) for k in np.linspace(0, count - 1, min(count, most))})


def bay_at_walker(solution: Solution) -> int:
    """The bay the walker stands in, counted from 0 at A.

    Raises
    ------
    ValueError
        When nobody is on the line.
    """
    if solution.walker_point is None:
        raise ValueError("nobody is on the line")
    rig = solution.rig
    along = (rig.main_b - rig.main_a) / rig.span
    reach = (solution.tape_points - rig.main_a) @ along
    return int(np.searchsorted(reach, float((solution.walker_point - rig.main_a) @ along)))


def main_stations(study: Study) -> Floats:
    """(n + 1,) edges of the bays on the standing main, from anchor A.  [m]"""
    return np.concatenate(([0.0], np.cumsum(study.standing.bays.length)))

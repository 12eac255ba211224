"""The rig with its walker at even places from anchor to anchor: what tables and the page show."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from linescope.report.gather import Results
from linescope.stage.ground import Ground, height_below
from linescope.stage.words import Measures
from linescope.statics import Solution, solve

Floats = NDArray[np.float64]

SHARES = tuple(round(0.05 * k, 2) for k in range(1, 20))
"""Where the walker is put, as shares of the span."""


def walk(results: Results, shares: tuple[float, ...] = SHARES) -> tuple[Solution, ...]:
    """The rig as taped with its walker at shares of the span from anchor A; nothing without a walker.

    Parameters
    ----------
    results : Results
    shares : tuple of float
        Between 0 and 1.  [-]

    Raises
    ------
    SolveError
    """
    rig = results.rig
    if rig.walker is None:
        return ()
    rigs = (rig.with_walker_at(share * rig.span) for share in shares)
    return tuple(solve(moved, planned=replace(results.planned, rig=moved)) for moved in rigs)


def below_chord(solution: Solution, point: Floats) -> float:
    """Vertical distance of a point below the straight line between the main's anchors.  [m]"""
    return float(solution.rig.below_anchors(point))


def above_ground(ground: Ground | None, points: Floats) -> Floats:
    """Height of (n, 3) points above the ground straight below; negative in it, nan where none is known.  [m]"""
    if ground is None:
        return np.full(len(points), np.nan)
    high = points + np.array([0.0, 0.0, 1e4])
    return np.asarray(points[:, 2] - height_below(ground, high))


def height_words(height: float, measures: Measures) -> str:
    """Height above ground; what is in the ground says so, and what is not known too."""
    if not math.isfinite(height):
        return "unknown"
    return measures.at_least(height) if height >= 0.0 else f"{measures.at_most(-height)} INTO THE GROUND"


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


def main_stations(results: Results) -> Floats:
    """(n + 1,) edges of the bays on the standing main, from anchor A.  [m]"""
    return np.concatenate(([0.0], np.cumsum(results.standing.bays.length)))

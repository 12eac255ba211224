"""Stretches of the line by what a fall there leaves of the ground's distance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from linescope.events.fall import LeashFallSweep
from linescope.stage import feet, ground
from linescope.stage.page import Brief

Floats = NDArray[np.float64]
HIT, NEAR, KEPT, UNKNOWN = "zone_hit", "zone_near", "zone_kept", "paper"
WORSE = (HIT, NEAR, UNKNOWN, KEPT)
"""What is told first of two that meet, and takes the room between them."""


@dataclass(frozen=True, kw_only=True)
class Zone:
    """A stretch of the line that is one thing, from A.  [m]"""

    kind: str
    start: float
    end: float


def needed(brief: Brief) -> float:
    """Distance the body must keep, survey error and margin included; 0 when nobody asked for one.  [m]"""
    needs = brief.solution.rig.needs
    return 0.0 if needs is None else needs.needed("body")


def left_over(brief: Brief, sweep: LeashFallSweep) -> Floats:
    """(n,) distance from the body at its lowest point to the ground; nan where no ground is known.  [m]

    In space where the ground is indexed, else straight down under the line.
    """
    gaps = brief.study.fall_gaps
    if gaps and len(gaps.at) == len(sweep.at):
        return gaps.lowest
    if brief.ground is None:
        return np.full(len(sweep.at), np.nan)
    return np.asarray(sweep.low.foot[:, 2] - ground.height_below(brief.ground.near, sweep.ring_standing))


def zones_of(brief: Brief, at: Floats, gaps: Floats) -> tuple[Zone, ...]:
    """Stretches of the line by what a fall there leaves, as the clearance has found them, which reach to the next place
    tried that is clear; where there is no clearance, from places tried and what is left there.

    Ground is reached by who falls, or by the main that he drags down.  A place that cannot be judged takes "paper".
    """
    clearance = brief.study.clearance or None
    if clearance is None or not (len(clearance.walkers) or clearance.no_fall_zones):
        return _joined(brief, at, _where_known(brief, at, _kinds(brief, gaps)))
    near = [zone.from_a for zone in clearance.no_fall_zones]
    hit = [zone.from_a for zone in clearance.reached_from]
    ends = [end for stretch in (*near, *hit, *clearance.unknown.tolist()) for end in stretch]
    borders = np.unique(np.concatenate([at, ends, [0.0, brief.solution.rig.span]]))
    middle = 0.5 * (borders[1:] + borders[:-1])
    kinds = np.where(_within(middle, near), NEAR, np.full(len(middle), KEPT))
    kinds = _where_known(brief, middle, np.where(_within(middle, hit), HIT, kinds))
    firsts = np.concatenate([[0], np.flatnonzero(kinds[1:] != kinds[:-1]) + 1, [len(kinds)]])
    return tuple(
        Zone(kind=str(kinds[a]), start=float(borders[a]), end=float(borders[b])) for a, b in pairwise(firsts)
    )


def _within(at: Floats, stretches: Sequence[tuple[float, float]]) -> NDArray[np.bool_]:
    inside = np.zeros(len(at), dtype=bool)
    for low, high in stretches:
        inside |= (at >= low) & (at <= high)
    return inside


def zones_running(brief: Brief, runs: Floats) -> tuple[Zone, ...]:
    """Stretches of the line by what is left below the lowest feet when the ring runs.

    The clearance's own stretches are added as too near.
    """
    at, gaps = feet.over_ground(brief, runs)
    kinds, clearance = _kinds(brief, gaps), brief.study.clearance or None
    for reach in (clearance.runs or ()) if clearance is not None else ():  # In space; gaps are straight down.
        inside = (at >= reach.from_a[0]) & (at <= reach.from_a[1]) & (kinds == KEPT)
        kinds = np.where(inside, NEAR, kinds)
    return _joined(brief, at, _where_known(brief, at, kinds))


def zones_under(brief: Brief, edge: Floats) -> tuple[Zone, ...]:
    """Stretches of the line by what is left straight below the lowest feet along an edge."""
    at, gaps = feet.over_ground(brief, edge)
    return _joined(brief, at, _where_known(brief, at, _kinds(brief, gaps)))


def _where_known(brief: Brief, at: Floats, kinds: NDArray[np.str_]) -> NDArray[np.str_]:
    """What is measured to known ground beside a hole, or beyond its end, says nothing of the ground in it."""
    known, rig = np.ones(len(at), dtype=bool), brief.solution.rig
    clearance = brief.study.clearance or None
    if clearance is not None and len(clearance.unknown):
        known = np.array([clearance.is_known_at(float(place)) for place in at])
    if brief.ground is not None:
        line = rig.main_a + at[:, None] / rig.span * (rig.main_b - rig.main_a)
        line[:, 2] += abs(float(rig.main_b[2] - rig.main_a[2])) + 1.0
        known &= np.isfinite(ground.height_below(brief.ground.near, line))
    return np.where(~known & (kinds == KEPT), UNKNOWN, kinds)


def _kinds(brief: Brief, gaps: Floats) -> NDArray[np.str_]:
    needs = brief.solution.rig.needs
    error = needs.survey_error if needs is not None else 0.0
    kinds = np.where(gaps <= error, HIT, np.where(gaps < needed(brief), NEAR, KEPT))
    return np.where(np.isnan(gaps), UNKNOWN, kinds)


def _joined(brief: Brief, at: Floats, kinds: NDArray[np.str_]) -> tuple[Zone, ...]:
    """Stretches of one kind; of two that meet, the worse one reaches to the first place of the better one."""
    changes = np.flatnonzero(kinds[1:] != kinds[:-1])
    wider = [WORSE.index(str(kinds[k])) < WORSE.index(str(kinds[k + 1])) for k in changes]
    borders = np.concatenate([[0.0], at[changes + np.asarray(wider, dtype=int)], [brief.solution.rig.span]])
    firsts = np.concatenate([[0], changes + 1])
    return tuple(
        Zone(kind=str(kinds[k]), start=float(start), end=float(end))
        for k, (start, end) in zip(firsts, pairwise(borders), strict=True) if end > start
    )

"""Stretches of the line by what a fall there leaves of the ground's distance."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from linescope.clearance import NoFallZone
from linescope.events.fall import LeashFallSweep
from linescope.stage import feet, ground
from linescope.stage.page import Brief

Floats = NDArray[np.float64]
BESIDE = 1e-6  # A border is between two places this near to it [m].
HIT, NEAR, KEPT, UNKNOWN = "zone_hit", "zone_near", "zone_kept", "paper"


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
    """Stretches of the line by what a fall there leaves; borders as the study has found them, else halfway between
    the places tried.

    A place that cannot be judged takes "paper".  The clearance's own no-fall zones are added as too near, and where a
    fall touches the ground on its way as what it can reach.
    """
    at, gaps = _with_borders(brief, at, gaps)
    clearance = brief.study.clearance or None
    at, gaps = _with_ends(at, gaps, clearance.strikes if clearance is not None else ())
    kinds = _kinds(brief, gaps)
    for zone in clearance.no_fall_zones if clearance is not None else ():
        inside = (at >= zone.from_a[0]) & (at <= zone.from_a[1]) & (kinds == KEPT)
        kinds = np.where(inside, NEAR, kinds)
    for strike in clearance.strikes if clearance is not None else ():  # On the way down, not only at the lowest.
        kinds = np.where((at >= strike.from_a[0]) & (at <= strike.from_a[1]), HIT, kinds)
    return _joined(brief, at, _where_known(brief, at, kinds))


def _with_borders(brief: Brief, at: Floats, gaps: Floats) -> tuple[Floats, Floats]:
    """The same with a place on either side of each border, where hardly less and hardly more is left."""
    borders = brief.study.fall_borders
    if not borders or not len(borders.at):
        return at, gaps
    before = np.where(borders.rising, -BESIDE, BESIDE)
    places = np.concatenate([at, borders.at - BESIDE, borders.at + BESIDE])
    left = np.concatenate([gaps, borders.level + before, borders.level - before])
    order = np.argsort(places, kind="stable")
    return places[order], left[order]


def _with_ends(at: Floats, gaps: Floats, strikes: Sequence[NoFallZone]) -> tuple[Floats, Floats]:
    """The same with places on either side of where the strikes begin and end."""
    ends = np.array([end for strike in strikes for end in strike.from_a if at[0] < end < at[-1]])
    places = np.concatenate([ends - BESIDE, ends + BESIDE])
    both = np.concatenate([at, places])
    order = np.argsort(both, kind="stable")
    return both[order], np.concatenate([gaps, np.interp(places, at, gaps)])[order]


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
    borders = np.concatenate([[0.0], (at[1:] + at[:-1]) / 2, [brief.solution.rig.span]])
    breaks = np.concatenate([[0], np.flatnonzero(kinds[1:] != kinds[:-1]) + 1, [len(kinds)]])
    return tuple(Zone(kind=str(kinds[a]), start=float(borders[a]), end=float(borders[b])) for a, b in pairwise(breaks))

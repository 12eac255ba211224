"""Where feet can get too near to the ground when the ring runs along the line after a leash fall."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.along import Chords, minima
from linescope.clearance.bodies import curve_sagitta
from linescope.clearance.distance import GroundIndex
from linescope.clearance.finding import RunReach
from linescope.clearance.table import CurveGroup, CurveTable
from linescope.clearance.why import CauseKind, Why
from linescope.clearance.zones import no_fall_zones
from linescope.events.running import RunningRing

Floats = NDArray[np.float64]

RUNS = Why(kind=CauseKind.RUNS)
BIN, BIN_SHARE = 4.0, 0.025
"""Feet are told apart by stretches of the line this long: metres, or share of the span."""
PARTS = 400
"""Of the span: how finely the borders of stretches are told."""


def add_runs(table: CurveTable, runs: RunningRing) -> None:
    """Put how low feet can get after a fall from each place into a table.

    Parameters
    ----------
    table : CurveTable
    runs : RunningRing
    """
    curves, sagitta = runs.floor_foot, curve_sagitta(runs.floor_foot)
    ends = np.stack([curves[:, :-1], curves[:, 1:]], axis=2)
    width = max(BIN, BIN_SHARE * table.span)
    bins = (((ends.mean(axis=2) - table.start) @ table.along) // width).astype(np.int64)
    known = {
        number: CurveGroup(kind="body", family=RUNS.id, cause=RUNS, place=float(number), numbered=True)
        for number in np.unique(bins).tolist()
    }
    for i, at in enumerate(runs.at.tolist()):
        table.add(ends[i], sagitta[i][:, None], [known[number] for number in bins[i].tolist()], at)


def reaches(
    runs: RunningRing, index: GroundIndex, start: Floats, along: Floats, span: float, zone: float, needed: float,
    error: float = 0.0,
) -> tuple[RunReach, ...]:
    """Stretches of the line over which feet can get nearer to the ground than needed, and from which falls.

    Parameters
    ----------
    runs : RunningRing
    index : GroundIndex
    start, along : (3,) float
        Anchor A and the unit vector to anchor B. [m, -]
    span, zone : float
        Of the line, and beside each anchor where nothing is compared. [m]
    needed, error : float
        How near feet may come, and how near the ground counts as reached. [m]

    Returns
    -------
    tuple of RunReach
        From anchor A on.
    """
    pieces, sagitta, fall, low, high = _pieces(runs, start, along, (zone, span - zone))
    if not len(pieces):
        return ()
    near = minima(index, Chords.of(list(pieces), list(sagitta[:, None])), np.arange(len(pieces)))
    left = np.array([approach.distance for approach in near]) - needed
    middle = (np.arange(PARTS) + 0.5) * (span / PARTS)
    least = np.full((len(runs.at), PARTS), np.inf)
    for one, k, a, b in zip(left, fall, low, high, strict=True):
        first, last = np.searchsorted(middle, (a - 0.5 * span / PARTS, b + 0.5 * span / PARTS))
        least[k, first:last] = np.minimum(least[k, first:last], one)
    least[:, (middle < zone) | (middle > span - zone)] = np.inf
    found = []
    bad = np.concatenate([[False], np.any(least < 0.0, axis=0), [False]])
    for first, last in zip(np.flatnonzero(bad[1:] & ~bad[:-1]), np.flatnonzero(bad[:-1] & ~bad[1:]), strict=True):
        inside = least[:, first:last]
        k, j = np.unravel_index(int(np.argmin(inside)), inside.shape)
        a, b = max(first * span / PARTS, zone), min(last * span / PARTS, span - zone)
        each = inside.min(axis=1)
        found.append(RunReach(
            from_a=(float(a), float(b)), from_b=(float(span - b), float(span - a)), worst=float(inside[k, j]),
            worst_at=float(middle[first + j]), distance=float(inside[k, j]) + needed,
            falls=_from(runs.at, each, span), strikes=_from(runs.at, each + needed - error, span),
        ))
    return tuple(found)


def _from(at: Floats, left: Floats, span: float) -> tuple[tuple[float, float], ...]:
    """Stretches of falls that leave less than nothing, those that touch put together. [m]"""
    joined: list[tuple[float, float]] = []
    for zone in no_fall_zones(at, left, span):
        low, high = zone.from_a
        if joined and low <= joined[-1][1]:
            low = joined.pop()[0]
        joined.append((low, high))
    return tuple(joined)


def _pieces(
    runs: RunningRing, start: Floats, along: Floats, borders: tuple[float, float]
) -> tuple[Floats, Floats, NDArray[np.int64], Floats, Floats]:
    """Chords (c, 2, 3) of all floors outside the anchor zones, cut at their borders: with how far the curve may lie off
    each [m], the number of the fall, and the stations of its ends [m]."""
    points, off, falls = [], [], []
    for k, (floor, sagitta) in enumerate(zip(runs.floor_foot, curve_sagitta(runs.floor_foot), strict=True)):
        station = (floor - start) @ along
        for border in borders:
            for j in np.flatnonzero((station[:-1] - border) * (station[1:] - border) < 0.0)[::-1]:
                share = (border - station[j]) / (station[j + 1] - station[j])
                floor = np.insert(floor, j + 1, floor[j] + share * (floor[j + 1] - floor[j]), axis=0)
                station, sagitta = np.insert(station, j + 1, border), np.insert(sagitta, j, sagitta[j])
        middle = 0.5 * (station[1:] + station[:-1])
        keep = (middle >= borders[0]) & (middle <= borders[1])
        points.append(np.stack([floor[:-1], floor[1:]], axis=1)[keep])
        off.append(sagitta[keep])
        falls.append(np.full(int(keep.sum()), k))
    pieces = np.concatenate(points)
    ends = np.sort((pieces - start) @ along, axis=1)
    return pieces, np.concatenate(off), np.concatenate(falls), ends[:, 0], ends[:, 1]

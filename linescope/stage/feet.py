"""How low feet can get along the line, and where that stays above the ground."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.stage import ground
from linescope.stage.page import Brief

Floats = NDArray[np.float64]

PLACES = 240  # Along an edge.


def lower_edge(floors: Floats) -> Floats:
    """The lowest of n floors of feet at each place along the line.

    Parameters
    ----------
    floors : (n, m, 3) array
        [m]

    Returns
    -------
    (k, 3) array
        At most `PLACES` points, fewer where no floor reaches.  [m]
    """
    flat = floors[0, -1, :2] - floors[0, 0, :2]
    unit = flat / np.linalg.norm(flat)
    along = floors[..., :2] @ unit  # Once: another way to the same product may differ in the last digit, and end short.
    first = int(np.argmin(along[:, 0]))
    places = np.linspace(along[first, 0], np.max(along[:, -1]), PLACES)
    heights = [
        np.interp(places, at, floor[:, 2], left=np.inf, right=np.inf) for at, floor in zip(along, floors, strict=True)
    ]
    low = np.min(heights, axis=0)
    plan = floors[first, 0, :2] + (places - places[0])[:, None] * unit
    return np.asarray(np.column_stack([plan, low])[np.isfinite(low)])


def over_ground(brief: Brief, edge: Floats) -> tuple[Floats, Floats]:
    """Places of an edge along the line from A, and how far it is above the ground straight below (nan: not known).

    Returns
    -------
    at, gaps : (n,) arrays
        [m]
    """
    rig = brief.solution.rig
    chord = rig.main_b - rig.main_a
    at = (edge - rig.main_a)[:, :2] @ chord[:2] / (chord[:2] @ chord[:2]) * rig.span
    if brief.ground is None:
        return at, np.full(len(at), np.nan)
    over = edge.copy()
    over[:, 2] = rig.main_a[2] + np.abs(rig.main_b[2] - rig.main_a[2]) + 1.0
    return at, np.asarray(edge[:, 2] - ground.height_below(brief.ground.near, over))


def clear_stretches(brief: Brief, edge: Floats) -> tuple[tuple[float, float], ...] | None:
    """Stretches, in metres from A along the line, where the edge stays above the ground; None without ground."""
    if brief.ground is None:
        return None
    at, gaps = over_ground(brief, edge)
    return _stretches(at, gaps > 0.0)


def reached_stretches(brief: Brief, edge: Floats) -> tuple[tuple[float, float], ...] | None:
    """Stretches, in metres from A along the line, where the edge comes down to the ground; None without ground.

    Each begins and ends where the edge is known to be clear of the ground, so none is told too short.
    """
    if brief.ground is None:
        return None
    at, gaps = over_ground(brief, edge)
    reached = np.concatenate([[False], gaps <= 0.0, [False]])
    return _stretches(at, reached[1:-1] | reached[:-2] | reached[2:])


def _stretches(at: Floats, chosen: NDArray[np.bool_]) -> tuple[tuple[float, float], ...]:
    cuts = np.flatnonzero(np.diff(np.concatenate([[False], chosen, [False]]).astype(int)))
    return tuple((float(at[a]), float(at[b - 1])) for a, b in zip(cuts[::2], cuts[1::2], strict=True))

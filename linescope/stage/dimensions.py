"""Measured distances: where a loop is deepest, seen from the straight line between its two tapes."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from linescope.statics.segments import Segments
from linescope.statics.solution import LineShape, Solution

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False, kw_only=True)
class Loop:
    """One loop with its deepest point.

    Attributes
    ----------
    bay : int
        Counted from 0 at anchor A.
    points : (n, 3) array
        The backup.  [m]
    below : (n,) array
        Distance of the points from the chord, along the load direction.  [m]
    along : (n,) array
        Share of the chord passed at each point.  [-]
    top, bottom : (3,) arrays
        Ends of the depth's measuring line.  [m]
    depth : float
        [m]
    """

    bay: int
    points: Floats
    below: Floats
    along: Floats
    top: Floats
    bottom: Floats
    depth: float


def nodes(solution: Solution, line: str = "backup") -> Floats:
    """(n + 2, 3) anchor A, all tapes, anchor B, of the "main" or the "backup".  [m]"""
    shape = solution.main if line == "main" else solution.backup
    return np.vstack([shape.nodes[:1], solution.tape_points, shape.nodes[-1:]])


def by_bay(shape: LineShape, per_segment: int) -> list[Floats]:
    """Points of a line, one (n, 3) array for each bay from anchor A; both ends of the bay included.  [m]"""
    points = _joined(shape.segments, shape.nodes, per_segment)
    starts = np.searchsorted(shape.bay, np.arange(int(shape.bay[-1]) + 2))
    return [points[a * per_segment : b * per_segment + 1] for a, b in pairwise(starts)]


def in_bay(shape: LineShape, bay: int, per_segment: int) -> Floats:
    """(n, 3) what `by_bay` gives for one bay, counted from 0.  [m]"""
    first, last = np.searchsorted(shape.bay, [bay, bay + 1])
    return _joined(shape.segments.part(slice(first, last)), shape.nodes[first:], per_segment)


def _joined(segments: Segments, starts: Floats, per_segment: int) -> Floats:
    """Points of segments that follow on each other, places where two meet once.  [m]"""
    points = segments.points(per_segment, starts[: len(segments.x)])
    return np.concatenate([points[0, :1], points[:, 1:].reshape(-1, 3)])


def below_chord(points: Floats, start: Floats, end: Floats, down: Floats) -> tuple[Floats, Floats]:
    """Split points between two ends into share of the chord and distance below it along `down`.

    Parameters
    ----------
    points : (n, 3) array
        [m]
    start, end : (3,) arrays
        Ends of the chord.  [m]
    down : (3,) array
        Unit vector of the load; not along the chord.  [-]

    Returns
    -------
    along, below : (n,) arrays
        [-] and [m]
    """
    chord = end - start
    base = np.column_stack([chord, down])
    along, below = np.linalg.lstsq(base, (points - start).T, rcond=None)[0]
    return np.asarray(along, dtype=float), np.asarray(below, dtype=float)


def load_direction(solution: Solution) -> Floats:
    """Unit vector of the load on the backup."""
    load = np.asarray(solution.loads[1], dtype=float)
    return np.asarray(load / np.linalg.norm(load))


def loops(solution: Solution, per_segment: int = 40) -> tuple[Loop, ...]:
    """All loops of the backup, from anchor A to anchor B."""
    ends = nodes(solution)
    down = load_direction(solution)
    result = []
    for bay, points in enumerate(by_bay(solution.backup, per_segment)):
        along, below = below_chord(points, ends[bay], ends[bay + 1], down)
        deepest = int(np.argmax(below))
        bottom = points[deepest]
        result.append(
            Loop(
                bay=bay,
                points=points,
                below=below,
                along=along,
                top=bottom - down * below[deepest],
                bottom=bottom,
                depth=float(solution.bays.loop_depth[bay]),
            )
        )
    return tuple(result)


def telling_bays(solution: Solution, count: int) -> tuple[int, ...]:
    """The bays to label when there is room for `count`: deepest, shallowest, the walker's, ends, spread."""
    depth = solution.bays.loop_depth
    n = len(depth)
    chosen = [deepest_bay(solution), int(np.argmin(depth))]
    if solution.walker_point is not None:
        chosen.append(walker_bay(solution))
    chosen += [round(k * (n - 1) / max(count - 1, 1)) for k in range(count)]
    return tuple(sorted(list(dict.fromkeys(chosen))[:count]))


def deepest_bay(solution: Solution) -> int:
    """The bay with the deepest loop; among equal ones (to 1 %) the nearest to the walker, or the middle."""
    depth = solution.bays.loop_depth
    candidates = np.flatnonzero(depth >= 0.99 * depth.max())
    return int(candidates[np.argmin(np.abs(candidates - walker_bay(solution)))])


def walker_bay(solution: Solution) -> int:
    """The bay the walker stands in; that of the middle when there is none."""
    ends = nodes(solution, "main")
    direction = solution.rig.main_b - solution.rig.main_a
    point = ends.mean(axis=0) if solution.walker_point is None else solution.walker_point
    passed = (ends - point) @ direction
    return int(np.clip(np.searchsorted(passed, 0.0, side="right") - 1, 0, len(ends) - 2))

"""The gap between the centre lines of main and backup, from the exact catenaries.

For a point of the backup the nearest point of the main in the same bay is found by Newton steps on the catenary
itself, so gaps are exact to rounding and no polyline stands between.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from linescope.events.swing import turn_about_chords
from linescope.statics import Solution
from linescope.statics.catenary import shape_from_forces
from linescope.statics.segments import Segments

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

NEWTON_STEPS = 25
BISECTIONS = 60
SEARCH = 64  # Intervals of a bay in which changes of sign are looked for, closer at its ends.
GOLDEN = 0.5 * (5.0**0.5 - 1.0)


@dataclass(frozen=True, eq=False, kw_only=True)
class Nearest:
    """Where the main is nearest to points of the backup.  Every array has r rows.

    Attributes
    ----------
    gap : (r,) array
        Distance between the centre lines.  [m]
    main : (r,) array
        Material coordinate on the main.  [m]
    main_point, backup_point : (r, 3) arrays
        [m]
    """

    gap: Floats
    main: Floats
    main_point: Floats
    backup_point: Floats


def _at(segments: Segments, index: Ints, starts: Floats, s: Floats) -> Floats:
    """(r, 3) points at unstretched distances `s` from the first ends of the segments `index`."""
    f = segments.flat
    x, z = shape_from_forces(f.h[index], f.v[index], s, f.q[index], f.a[index], f.c[index])
    return np.asarray(starts[index] + x[:, None] * segments.across[index] + z[:, None] * segments.up[index])


class Gap:
    """Gap of one solved state, as a function of bay and place in the loop.

    Parameters
    ----------
    solution : Solution
    turn : (n,) array, optional
        Angle by which each loop has swung on about its chord, rigidly.  [rad]
    """

    def __init__(self, solution: Solution, turn: Floats | None = None) -> None:
        self.solution = solution
        self.turn = turn
        main = solution.main
        count = len(solution.backup.bay)
        first = np.searchsorted(main.bay, np.arange(count), side="left")
        number = np.searchsorted(main.bay, np.arange(count), side="right") - first
        #: (n, k) main segments of each bay, the last one repeated where a bay has fewer.
        self.pieces = first[:, None] + np.minimum(np.arange(int(number.max())), number[:, None] - 1)
        self.length = solution.backup.segments.length
        load = solution.loads[1]
        self.down = load / np.linalg.norm(load)

    def backup_points(self, bay: Ints, s: Floats) -> Floats:
        """(r, 3) points of the loops `bay` at unstretched distances `s` from their first ends.  [m]"""
        backup = self.solution.backup
        points = _at(backup.segments, bay, backup.nodes, s)
        if self.turn is None:
            return points
        loops = np.stack((backup.nodes[bay], points, backup.nodes[bay + 1]), axis=1)
        return turn_about_chords(loops, self.solution.loads[1], self.turn[bay])[:, 1]

    def nearest(self, bay: Ints, s: Floats) -> Nearest:
        """Nearest points of the main in the same bay.

        Parameters
        ----------
        bay : (r,) int array
            Counted from 0 at anchor A.
        s : (r,) array
            Unstretched backup from the loop's first end.  [m]
        """
        main = self.solution.main
        points = self.backup_points(bay, s)
        best = np.full(len(bay), np.inf)
        coordinate, place = np.zeros(len(bay)), np.zeros((len(bay), 3))
        for column in range(self.pieces.shape[1]):
            index = self.pieces[bay, column]
            at = self._project(index, points)
            spot = _at(main.segments, index, main.nodes, at)
            distance = np.linalg.norm(spot - points, axis=1)
            closer = distance < best
            best = np.where(closer, distance, best)
            coordinate = np.where(closer, main.coordinate[index] + at, coordinate)
            place = np.where(closer[:, None], spot, place)
        return Nearest(gap=best, main=coordinate, main_point=place, backup_point=points)

    def _project(self, index: Ints, points: Floats) -> Floats:
        """Unstretched distance along main segments to where the tangent is square to the way to the points.  [m]"""
        main = self.solution.main
        seg, f = main.segments, main.segments.flat
        h, v, q, a, c, length = (w[index] for w in (f.h, f.v, f.q, f.a, f.c, f.length))
        arm = points - main.nodes[index]
        px = np.einsum("ij,ij->i", arm, seg.across[index])
        pz = np.einsum("ij,ij->i", arm, seg.up[index])
        chord = seg.chord[index]
        share = np.einsum("ij,ij->i", arm, chord) / np.einsum("ij,ij->i", chord, chord)
        s = length * np.clip(share, 0.0, 1.0)
        for _ in range(NEWTON_STEPS):
            x, z = shape_from_forces(h, v, s, q, a, c)
            vs = v + q * s
            tension = np.hypot(h, vs)
            slope = np.maximum((a + c * tension) * tension + q * (z - pz), 1e-3 * tension)
            new = np.clip(s - (h * (x - px) + vs * (z - pz)) / slope, 0.0, length)
            done = float(np.max(np.abs(new - s), initial=0.0)) < 1e-13
            s = new
            if done:
                break
        return np.asarray(s)

    def signed(self, bay: Ints, s: Floats) -> Floats:
        """(r,) gap, negative where the loop lies on the other side of the main than its load pulls it.  [m]

        The backup is taped under the main.  Where a tight backup would have to pass above it, the main in truth
        lies on the backup.  Only for loops whose ends both meet the main and that have not been swung.
        """
        found = self.nearest(bay, s)
        if self.turn is not None:
            return found.gap
        above = (found.backup_point - found.main_point) @ self.down < 0.0
        return np.where(above & self.closed[bay], -found.gap, found.gap)

    @cached_property
    def closed(self) -> NDArray[np.bool_]:
        """(n,) whether both ends of the loop meet the main (anchors of its own keep an end bay open)."""
        ends = np.arange(len(self.length))
        here = self.nearest(ends, np.zeros(len(ends))).gap
        there = self.nearest(ends, self.length).gap
        return np.asarray((here < 1e-6) & (there < 1e-6))


def crossings(function: Callable[[Ints, Floats], Floats], length: Floats, level: float) -> list[Floats]:
    """Where a function passes a level, in every bay.

    Parameters
    ----------
    function : callable
        ``function(bay (r,), s (r,)) -> (r,)``.
    length : (n,) array
        Range of s in each bay.  [m]
    level : float
        [of the function]

    Returns
    -------
    list of n arrays
        Ascending places, each known to 1e-12 of the bay or to rounding.  [m]

    Notes
    -----
    Sampled closer towards the ends, where a loop leaves its tape; dips and humps between samples are followed to
    their bottom or top by golden-section search before it is decided that they do not reach the level.
    """
    n = len(length)
    share = 0.5 * (1.0 - np.cos(np.linspace(0.0, np.pi, SEARCH + 1)))
    places = length[:, None] * share
    bays = np.repeat(np.arange(n), SEARCH + 1).reshape(places.shape)
    values = function(bays.reshape(-1), places.reshape(-1)).reshape(places.shape) - level
    low, high, from_bay = [places[:, :-1]], [places[:, 1:]], [bays[:, :-1]]
    below, above = [values[:, :-1]], [values[:, 1:]]
    middle = values[:, 1:-1]
    for sign in (1.0, -1.0):
        lowest = sign * np.minimum(sign * values[:, :-2], sign * values[:, 2:])
        turn = (sign * middle > 0.0) & (sign * middle <= sign * lowest)
        rows, columns = np.nonzero(turn)
        if not len(rows):
            continue
        left, right = places[rows, columns], places[rows, columns + 2]
        start, end = left.copy(), right.copy()
        for _ in range(BISECTIONS):
            one, two = right - GOLDEN * (right - left), left + GOLDEN * (right - left)
            first = sign * function(rows, one) < sign * function(rows, two)
            left, right = np.where(first, left, one), np.where(first, two, right)
        extreme = 0.5 * (left + right)
        at = function(rows, extreme) - level
        for a, b, va, vb in (
            (start, extreme, values[rows, columns], at), (extreme, end, at, values[rows, columns + 2])
        ):
            hit = sign * at < 0.0
            low.append(a[hit])
            high.append(b[hit])
            from_bay.append(rows[hit])
            below.append(va[hit])
            above.append(vb[hit])
    a, b, row, va, vb = (np.concatenate([w.reshape(-1) for w in part]) for part in (low, high, from_bay, below, above))
    change = (va <= 0.0) != (vb <= 0.0)
    a, b, row, inside = a[change], b[change], row[change].astype(np.int64), (va <= 0.0)[change]
    for _ in range(BISECTIONS if len(a) else 0):
        half = 0.5 * (a + b)
        same = (function(row, half) - level <= 0.0) == inside
        a, b = np.where(same, half, a), np.where(same, b, half)
    roots = 0.5 * (a + b)
    return [np.sort(roots[row == bay]) for bay in range(n)]

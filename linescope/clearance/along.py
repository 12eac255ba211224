"""Smallest distance from curves to the ground: exact for every chord, lower by the sag between nodes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.distance import GroundIndex
from linescope.clearance.triangles import segments_to_triangles
from linescope.errors import TerrainError

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

DEPTH_TOLERANCE = 1e-3
"""How exactly the deepest place of a curve below ground is found. [m]"""
_PIECE = 2.0
_PAIRS = 500_000


@dataclass(frozen=True, eq=False, kw_only=True)
class Approach:
    """Where a group of curves comes nearest to the ground.

    Parameters
    ----------
    distance : float
        Lower bound of the smallest distance to the true curves: `chord_distance` less `sagitta`.  Negative
        below ground or inside rock where the ground has an inside. [m]
    chord_distance : float
        Smallest distance to the chords between nodes there, exact; below ground to within `DEPTH_TOLERANCE`.
        [m]
    sagitta : float
        Allowed for at this chord. [m]
    curve, segment : int
        Which curve, and which chord of it.
    fraction : float
        Where on the chord, 0 to 1.
    point, nearest : (3,) float
        The place on the chord and the nearest point of the ground. [m]
    face : int
        Triangle of the ground.
    """

    distance: float
    chord_distance: float
    sagitta: float
    curve: int
    segment: int
    fraction: float
    point: Floats
    nearest: Floats
    face: int


@dataclass(frozen=True, eq=False, kw_only=True)
class Chords:
    """All chords of many curves in one table.

    Parameters
    ----------
    nodes : (n, 3) float
        Nodes of all curves, one curve after the other. [m]
    first : (m,) int
        Node at which each chord starts; it ends at the next.
    curve, segment : (m,) int
        Which curve, and which chord of it.
    sagitta : (m,) float
        How far the true curve may lie from each chord. [m]
    """

    nodes: Floats
    first: Ints
    curve: Ints
    segment: Ints
    sagitta: Floats

    @classmethod
    def of(cls, polylines: Sequence[Floats], sagittas: Sequence[Floats] | None = None) -> Chords:
        """Chords of curves.

        Parameters
        ----------
        polylines : sequence of (n_i, 3) float
            Nodes, at least one each; a single point is a chord without length. [m]
        sagittas : sequence of (n_i - 1,) float, optional
            Largest distance of the true curve from each chord, 0 and up; none means straight chords. [m]

        Returns
        -------
        Chords

        Raises
        ------
        TerrainError
            Wrong shapes, not finite, or a sagitta below 0.
        """
        nodes, first, curve, segment, sag = [], [], [], [], []
        start = 0
        for k, given in enumerate(polylines):
            points = np.asarray(given, dtype=np.float64)
            if points.ndim != 2 or points.shape[1] != 3 or len(points) == 0 or not np.isfinite(points).all():
                raise TerrainError("a curve is not a list of finite points", found=points.shape, allowed="(n, 3)")
            sagitta = np.zeros(len(points) - 1) if sagittas is None else np.asarray(sagittas[k], dtype=np.float64)
            if sagitta.shape != (len(points) - 1,) or not np.all(sagitta >= 0.0) or np.isinf(sagitta).any():
                raise TerrainError("one sagitta for each chord", found=sagitta.shape, allowed="0 m and more each")
            if len(points) == 1:
                points, sagitta = np.concatenate([points, points]), np.zeros(1)
            nodes.append(points)
            first.append(start + np.arange(len(points) - 1))
            curve.append(np.full(len(points) - 1, k))
            segment.append(np.arange(len(points) - 1))
            sag.append(sagitta)
            start += len(points)
        if not nodes:
            raise TerrainError("no curve to measure from", allowed="at least one")
        return cls(
            nodes=np.concatenate(nodes),
            first=np.concatenate(first),
            curve=np.concatenate(curve),
            segment=np.concatenate(segment),
            sagitta=np.concatenate(sag),
        )


def minimum_along(index: GroundIndex, polyline: Floats, sagitta: Floats | None = None) -> Approach:
    """Where one curve comes nearest to the ground.

    Parameters
    ----------
    index : GroundIndex
    polyline : (n, 3) float
        Nodes of the curve. [m]
    sagitta : (n - 1,) float, optional
        How far the true curve may lie from each chord. [m]

    Returns
    -------
    Approach

    Examples
    --------
    >>> import numpy as np
    >>> from linescope.terrain import Terrain
    >>> floor = Terrain(vertices=[[-9, -9, 0], [9, -9, 0], [0, 9, 0]], faces=[[0, 1, 2]], source="a floor")
    >>> minimum_along(GroundIndex(floor), np.array([[-1.0, 0, 3], [1, 0, 2]])).distance
    2.0
    """
    chords = Chords.of([polyline], None if sagitta is None else [sagitta])
    return minima(index, chords, np.zeros(1, dtype=np.int64))[0]


def minima(index: GroundIndex, chords: Chords, group: Ints) -> list[Approach]:
    """Where each group of curves comes nearest to the ground.

    Parameters
    ----------
    index : GroundIndex
    chords : Chords
    group : (number of curves,) int
        Group of each curve, 0 to g - 1, each used.

    Returns
    -------
    list of Approach
        One for each group.

    Notes
    -----
    Distance changes by at most the length walked, so a stretch around a point at distance d with nothing
    farther than h along it is nowhere nearer than d - h: whole stretches, then chords, then pieces of chords
    are left out. What remains is settled exactly, chord piece against triangle.  The nearest pair of such a
    piece and the mesh has its ends joined square to both, so with m the middle of the piece, 2 h its length
    and r the covering radius of a mesh piece, some corner v of that mesh piece has |mv|² <= d² + (h + r)²;
    that finds the triangles to try.
    """
    group = np.asarray(group, dtype=np.int64)
    search = _Search(index, chords, group[chords.curve], int(group.max()) + 1)
    search.settle(search.prune(np.ones(search.groups, dtype=bool)))
    search.sink()
    return search.results()


def reaching(index: GroundIndex, chords: Chords, limit: Floats, *, signed: bool) -> Ints:
    """Chords whose true curve may come within a distance of the ground, and some more.

    Parameters
    ----------
    index : GroundIndex
    chords : Chords
    limit : (m,) float
        Distance that matters, the same for all chords of one curve; inf takes every chord of it. [m]
    signed : bool
        Whether depth below ground counts as a negative distance.

    Returns
    -------
    (k,) int
        Chords, in order.
    """
    group = np.unique(limit, return_inverse=True)[1]
    search = _Search(index, chords, group, int(group.max()) + 1)
    search.value[group] = limit
    finite = np.isfinite(search.value)
    some = search.prune(finite, signed=signed, fixed=True)
    return np.sort(np.concatenate([some, np.flatnonzero(~finite[group])]))


class _Search:
    """Best value so far of each group, and where."""

    def __init__(self, index: GroundIndex, chords: Chords, group: Ints, groups: int) -> None:
        self.index, self.chords, self.group = index, chords, group
        self.length = np.sqrt(((chords.nodes[chords.first + 1] - chords.nodes[chords.first]) ** 2).sum(axis=1))
        self.groups = groups
        self.value = np.full(groups, np.inf)
        self.chord = np.full(groups, -1, dtype=np.int64)
        self.fraction = np.zeros(groups)
        self.distance = np.zeros(groups)
        self.nearest = np.zeros((groups, 3))
        self.face = np.full(groups, -1, dtype=np.int64)

    def offer(self, chord: Ints, fraction: Floats, distance: Floats, nearest: Floats, face: Ints) -> None:
        value = distance - self.chords.sagitta[chord]
        group = self.group[chord]
        order = np.lexsort((value, group))
        first = order[np.concatenate([[True], np.diff(group[order]) != 0])] if len(order) else order
        at = first[value[first] < self.value[group[first]]]
        g = group[at]
        self.value[g], self.chord[g], self.fraction[g] = value[at], chord[at], fraction[at]
        self.distance[g], self.nearest[g], self.face[g] = distance[at], nearest[at], face[at]

    def at(self, chord: Ints, fraction: Floats) -> Floats:
        start = self.chords.nodes[self.chords.first[chord]]
        end = self.chords.nodes[self.chords.first[chord] + 1]
        points: Floats = start + fraction[:, None] * (end - start)
        return points

    def measure(self, chord: Ints, fraction: Floats, *, signed: bool = False) -> Floats:
        d, nearest, face = self.index.distance(self.at(chord, fraction), signed=signed)
        self.offer(chord, fraction, d, nearest, face)
        return d

    def prune(self, groups: NDArray[np.bool_], *, signed: bool = False, fixed: bool = False) -> Ints:
        """Chords that may hold the smallest value of their group, after measuring as few nodes as will do.

        With `fixed`, those that may stay below the value as it is, which is not lowered on the way.
        """
        chords = self.chords
        reached = np.concatenate([[0.0], np.cumsum(self.length)])
        sag = _RangeMaximum(chords.sagitta)
        edge = np.flatnonzero(np.concatenate([[True], np.diff(chords.curve) != 0, [True]]))
        chosen = groups[self.group[edge[:-1]]]
        low, high = edge[:-1][chosen], edge[1:][chosen]
        leaves = [low[:0]]
        slack = DEPTH_TOLERANCE if signed and not fixed else 0.0
        value = self.value.copy() if fixed else self.value
        while len(low):
            single = high - low == 1
            leaves.append(low[single])
            low, high = low[~single], high[~single]
            middle = (low + high) // 2
            d = self.measure(middle, np.zeros(len(middle)), signed=signed)
            near = [d - (reached[middle] - reached[low]), d - (reached[high] - reached[middle])]
            low, high = np.concatenate([low, middle]), np.concatenate([middle, high])
            keep = np.concatenate(near) - sag(low, high) <= value[self.group[low]] - slack
            low, high = low[keep], high[keep]
        return np.concatenate(leaves)

    def settle(self, chord: Ints) -> None:
        """Exact values of the chords that are left, in pieces short enough to have few triangles around."""
        start, end = np.zeros(len(chord)), np.ones(len(chord))
        ready: list[tuple[Ints, Floats, Floats, Floats]] = []
        longest = _PIECE * self.index.covering_radius
        self.measure(chord, start)
        self.measure(chord, end)
        while len(chord):
            middle = 0.5 * (start + end)
            least = self.measure(chord, middle) - 0.5 * (end - start) * self.length[chord]
            least -= self.chords.sagitta[chord]
            short = 0.5 * (end - start) * self.length[chord] <= longest
            ready.append((chord[short], start[short], end[short], least[short]))
            long = ~short & (least <= self.value[self.group[chord]])
            chord, start, middle, end = chord[long], start[long], middle[long], end[long]
            chord = np.concatenate([chord, chord])
            start, end = np.concatenate([start, middle]), np.concatenate([middle, end])
        if not ready:
            return
        chord, start, end, least = (np.concatenate([part[k] for part in ready]) for k in range(4))
        keep = np.flatnonzero(least <= self.value[self.group[chord]])
        chord, start, end = chord[keep], start[keep], end[keep]
        for i in range(0, len(chord), 2000):
            self._pieces(chord[i : i + 2000], start[i : i + 2000], end[i : i + 2000])

    def _pieces(self, chord: Ints, start: Floats, end: Floats) -> None:
        p, q = self.at(chord, start), self.at(chord, end)
        half = 0.5 * np.sqrt(((q - p) ** 2).sum(axis=1))
        wanted = np.maximum(self.value[self.group[chord]] + self.chords.sagitta[chord], 0.0)
        piece, face = self.index.faces_around(0.5 * (p + q), wanted, half)
        centre = self.index.centre
        for i in range(0, len(piece), _PAIRS):
            k, f = piece[i : i + _PAIRS], face[i : i + _PAIRS]
            d, s, nearest = segments_to_triangles(p[k] - centre, q[k] - centre, *self.index.corners(f))
            self.offer(chord[k], start[k] + s * (end[k] - start[k]), d, nearest + centre, f)

    def sink(self) -> None:
        """Below ground: the deepest place of the groups that touch it or lie inside it."""
        if not self.index.is_signed:
            return
        place = self.at(self.chord, self.fraction)
        wet = (self.distance <= 0.0) | self.index.inside(place)
        chord = self.prune(wet, signed=True)
        start, end = np.zeros(len(chord)), np.ones(len(chord))
        self.measure(chord, start, signed=True)
        self.measure(chord, end, signed=True)
        while len(chord):
            middle = 0.5 * (start + end)
            d = self.measure(chord, middle, signed=True)
            half = 0.5 * (end - start) * self.length[chord]
            may = d - half - self.chords.sagitta[chord] < self.value[self.group[chord]] - DEPTH_TOLERANCE
            start, end, middle, chord = start[may], end[may], middle[may], chord[may]
            chord = np.concatenate([chord, chord])
            start, end = np.concatenate([start, middle]), np.concatenate([middle, end])

    def results(self) -> list[Approach]:
        points = self.at(self.chord, self.fraction)
        return [
            Approach(
                distance=float(self.value[g]),
                chord_distance=float(self.distance[g]),
                sagitta=float(self.chords.sagitta[k]),
                curve=int(self.chords.curve[k]),
                segment=int(self.chords.segment[k]),
                fraction=float(self.fraction[g]),
                point=_frozen(points[g]),
                nearest=_frozen(self.nearest[g]),
                face=int(self.face[g]),
            )
            for g, k in enumerate(self.chord)
        ]


def _frozen(values: Floats) -> Floats:
    copy = np.array(values)
    copy.setflags(write=False)
    return copy


class _RangeMaximum:
    """Largest value over any range, by a table of ranges of 1, 2, 4, ... values."""

    def __init__(self, values: Floats) -> None:
        self._table = [values]
        while 2 ** len(self._table) <= len(values):
            last, step = self._table[-1], 2 ** (len(self._table) - 1)
            self._table.append(np.maximum(last[:-step], last[step:]))

    def __call__(self, low: Ints, high: Ints) -> Floats:
        result = np.zeros(len(low))
        level = np.frexp(high - low)[1] - 1
        for k in np.unique(level):
            chosen = level == k
            table = self._table[int(k)]
            result[chosen] = np.maximum(table[low[chosen]], table[high[chosen] - 2 ** int(k)])
        return result

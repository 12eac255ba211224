"""The search behind `along`: stretches, chords and pieces of chords are left out by how far they are, at least."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.chords import Approach, Chords, RangeMaximum
from linescope.clearance.distance import GroundIndex
from linescope.clearance.triangles import segments_to_triangles

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

DEPTH_TOLERANCE = 1e-3
"""How exactly the deepest place of a curve below ground is found. [m]"""
_PIECE = 2.0
_LEAST_PIECE = 0.05
"""Half a piece of chord is no shorter for it: points and needles have no covering radius to go by, and pieces that are
halved for ever grow in number about the nearest place, as the root of 2 d / h.  [m]"""
_PAIRS = 500_000
_JOINED = 1e-9
_LOWERED = (0, 1, 3, 6)


class Search:
    """Best value so far of each group, and where."""

    def __init__(self, index: GroundIndex, chords: Chords, group: Ints, groups: int) -> None:
        self.index, self.chords, self.group = index, chords, group
        self.groups = groups
        self.tolerance = DEPTH_TOLERANCE
        self.value = np.full(groups, np.inf)
        self.chord = np.full(groups, -1, dtype=np.int64)
        self.fraction = np.zeros(groups)
        self.distance = np.zeros(groups)
        self.nearest = np.zeros((groups, 3))
        self.face = np.full(groups, -1, dtype=np.int64)

    def offer(self, chord: Ints, fraction: Floats, distance: Floats, nearest: Floats, face: Ints) -> None:
        """Take places on chords, (m,) chords and fractions, where they beat the best of their curve so far."""
        value = distance - self.chords.sagitta[chord]
        group = self.group[chord]
        order = np.lexsort((value, group))
        first = order[np.concatenate([[True], np.diff(group[order]) != 0])] if len(order) else order
        at = first[value[first] < self.value[group[first]]]
        g = group[at]
        self.value[g], self.chord[g], self.fraction[g] = value[at], chord[at], fraction[at]
        self.distance[g], self.nearest[g], self.face[g] = distance[at], nearest[at], face[at]

    def at(self, chord: Ints, fraction: Floats) -> Floats:
        """(m, 3) places on chords.  [m]"""
        start = self.chords.nodes[self.chords.first[chord]]
        end = self.chords.nodes[self.chords.first[chord] + 1]
        points: Floats = start + fraction[:, None] * (end - start)
        return points

    def measure(
        self,
        chord: Ints,
        fraction: Floats,
        *,
        limit: Floats | None = None,
        beyond: Floats | None = None,
        value: Floats | None = None,
        signed: bool = False,
    ) -> tuple[Floats, NDArray[np.bool_]]:
        """Measure places on chords, and offer them where they are nearer than what is known of their group.

        Parameters
        ----------
        chord, fraction : (m,) int and float
            Places. [-]
        limit : (k, m) float, optional
            Distances that each place is to be compared with. [m]
        beyond : (k, m) float, optional
            In place of `limit`: so far beyond the value of its group, as known once nearer places are offered. [m]
        value : (g,) float, optional
            Other values of the groups for `beyond`. [m]
        signed : bool
            Whether depth below ground counts as a negative distance.

        Returns
        -------
        distance : (m,) float
            Exact where it had to be measured, otherwise a lower bound. [m]
        within : (k, m) bool
            Whether it is at most each limit.
        """
        places = self.at(chord, fraction)
        inside = self.index.inside(places) if signed else np.zeros(len(places), dtype=bool)
        low, high = self.index.field.bounds(places)
        low, high = np.where(inside, -high, low), np.where(inside, -low, high)

        def exactly(wanted: NDArray[np.bool_]) -> None:
            k = np.flatnonzero(wanted)
            d, nearest, face = self.index.distance(places[k])
            low[k] = high[k] = np.where(inside[k], -d, d)
            self.offer(chord[k], fraction[k], low[k], nearest, face)

        exactly(low <= self.value[self.group[chord]] + self.chords.sagitta[chord])
        if beyond is not None:
            limit = (self.value if value is None else value)[self.group[chord]] + beyond
        if limit is None:
            return low, np.zeros((0, len(low)), dtype=bool)
        exactly((low < high) & ((low <= limit) & (limit <= high)).any(axis=0))
        return low, low <= limit

    def reachable(self, groups: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """Curves that may come below their group's value, one flag each in order of the table.

        Curves that go on where the last one ended are looked at together, as long as they are far off.
        """
        chords = self.chords
        first, last = chords.edge[:-1], chords.edge[1:] - 1
        gap = np.abs(chords.nodes[chords.first[first[1:]]] - chords.nodes[chords.first[last[:-1]] + 1]).max(axis=1)
        edge = np.concatenate([[0], np.flatnonzero(gap > _JOINED) + 1, [len(first)]])
        reached = np.concatenate([[0.0], np.cumsum(np.add.reduceat(chords.length, first) + _JOINED)])
        sagitta, group = np.maximum.reduceat(chords.sagitta, first), self.group[first]
        near = np.zeros(len(first), dtype=bool)
        low, high = edge[:-1], edge[1:]
        rounds = 0
        while len(low):
            if rounds in _LOWERED:  # Values fall on the way, at first by much.
                bound = np.where(groups, self.value, -np.inf)[group] + sagitta
                most = RangeMaximum(bound, int((high - low).max()))
            rounds += 1
            single = high - low == 1
            near[low[single]] = True
            low, high = low[~single], high[~single]
            low, middle, high = _quarters(low, high)
            way = reached[high] - reached[low]
            limit = (most(low, high) + way).reshape(2, -1)
            keep = self.measure(first[middle], np.zeros(len(middle)), limit=limit)[1].ravel() & (low < high)
            low, high = low[keep], high[keep]
        return near

    def prune(
        self,
        groups: NDArray[np.bool_],
        *,
        signed: bool = False,
        fixed: bool = False,
        near: NDArray[np.bool_] | None = None,
    ) -> Ints:
        """Chords that may hold the smallest value of their group, after measuring as few nodes as will do.

        With `fixed`, those that may stay below the value as it is, which is not lowered on the way; with `near`,
        only of the curves flagged.
        """
        chords = self.chords
        edge, reached, sag = chords.edge, chords.reached, chords.largest_sagitta
        chosen = groups[self.group[edge[:-1]]]
        if near is not None:
            chosen &= near
        low, high = edge[:-1][chosen], edge[1:][chosen]
        leaves = [low[:0]]
        slack = self.tolerance if signed and not fixed else 0.0
        value = self.value.copy() if fixed else self.value
        while len(low):
            single = high - low == 1
            leaves.append(low[single])
            low, high = low[~single], high[~single]
            low, middle, high = _quarters(low, high)
            way = reached[high] - reached[low] + sag(low, high)
            beyond = way.reshape(2, -1) - slack
            keep = self.measure(
                middle, np.zeros(len(middle)), beyond=beyond, value=value, signed=signed
            )[1].ravel() & (low < high)
            low, high = low[keep], high[keep]
        return np.concatenate(leaves)

    def settle(self, chord: Ints) -> None:
        """Exact values of the chords that are left, in pieces short enough to have few triangles around."""
        start, end = np.zeros(len(chord)), np.ones(len(chord))
        ready: list[tuple[Ints, Floats, Floats, Floats]] = []
        longest = max(_PIECE * self.index.covering_radius, _LEAST_PIECE)
        self.measure(chord, start)
        self.measure(chord, end)
        while len(chord):
            middle = 0.5 * (start + end)
            half = 0.5 * (end - start) * self.chords.length[chord]
            reach = half + self.chords.sagitta[chord]
            least = self.measure(chord, middle, beyond=reach[None])[0] - reach
            short = half <= longest
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

    def sink(self, also: NDArray[np.bool_] | None = None) -> None:
        """Below ground: the deepest place of the groups that touch it or lie inside it (and of others named)."""
        if not self.index.is_signed:
            return
        wet = np.zeros(self.groups, dtype=bool) if also is None else also.copy()
        found = np.flatnonzero(self.chord >= 0)
        wet[found] |= self.distance[found] <= 0.0
        # A curve that lies inside from end to end meets no surface, and may be farther from it than others.
        begins = self.chords.edge[:-1]
        begins = begins[~wet[self.group[begins]]]
        buried = begins[self.index.inside(self.chords.nodes[self.chords.first[begins]])]
        wet[self.group[buried]] = True
        if not wet.any():
            return
        mine = wet[self.group]
        start, end = self.chords.nodes[self.chords.first[mine]], self.chords.nodes[self.chords.first[mine] + 1]
        half = 0.5 * self.chords.length[mine]
        for index, faces in self.index.pieces_at(np.concatenate([start, end]), 0.5 * (start + end), half):
            below = Search(index, self.chords, self.group, self.groups)
            below.value, below.chord, below.fraction = self.value, self.chord, self.fraction
            below.distance, below.nearest = self.distance, self.nearest
            below._deepest(wet, self.tolerance)
            deeper = np.flatnonzero(below.face >= 0)
            self.face[deeper] = faces[below.face[deeper]]

    def _deepest(self, wet: NDArray[np.bool_], tolerance: float) -> None:
        """The deepest place of some groups in the one piece of ground that is searched."""
        self.tolerance = tolerance
        chord = self.prune(wet, signed=True)
        start, end = np.zeros(len(chord)), np.ones(len(chord))
        self.measure(chord, start, signed=True)
        self.measure(chord, end, signed=True)
        while len(chord):
            middle = 0.5 * (start + end)
            reach = 0.5 * (end - start) * self.chords.length[chord] + self.chords.sagitta[chord]
            may = self.measure(chord, middle, beyond=reach[None] - self.tolerance, signed=True)[1][0]
            start, chord, quarter = start[may], chord[may], 0.25 * (end - start)[may]
            chord = np.tile(chord, 4)
            start = np.concatenate([start + k * quarter for k in range(4)])
            end = start + np.tile(quarter, 4)

    def results(self, groups: Ints | None = None) -> list[Approach]:
        """The best place of every curve, or of some curves."""
        groups = np.arange(self.groups) if groups is None else groups
        points = self.at(self.chord[groups], self.fraction[groups])
        return [
            Approach(
                distance=float(self.value[g]),
                chord_distance=float(self.distance[g]),
                sagitta=float(self.chords.sagitta[k]),
                curve=int(self.chords.curve[k]),
                segment=int(self.chords.segment[k]),
                fraction=float(self.fraction[g]),
                point=_frozen(point),
                nearest=_frozen(self.nearest[g]),
                face=int(self.face[g]),
            )
            for g, k, point in zip(groups, self.chord[groups], points, strict=True)
        ]


def _quarters(low: Ints, high: Ints) -> tuple[Ints, Ints, Ints]:
    """Stretches in four, some of them empty: their begins, the places at one and three quarters, and their ends.

    Of the parts the first half ends, and the second half begins, at those places.
    """
    size = high - low
    one, two, three = low + size // 4, low + size // 2, low + (3 * size) // 4
    return (
        np.concatenate([low, two, one, three]), np.concatenate([one, three]), np.concatenate([one, three, two, high])
    )


def _frozen(values: Floats) -> Floats:
    copy = np.array(values)
    copy.setflags(write=False)
    return copy

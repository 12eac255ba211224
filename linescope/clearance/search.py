"""The search behind `along`: stretches, chords and pieces of chords are left out by how far they are, at least."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.chords import Approach, Chords
from linescope.clearance.distance import GroundIndex
from linescope.clearance.triangles import segments_to_triangles

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

DEPTH_TOLERANCE = 1e-3
"""How exactly the deepest place of a curve below ground is found. [m]"""
_PIECE = 2.0
_PAIRS = 500_000
_JOINED = 1e-9
_LOWERED = (0, 1, 3, 6)


class Search:
    """Best value so far of each group, and where."""

    def __init__(self, index: GroundIndex, chords: Chords, group: Ints, groups: int) -> None:
        self.index, self.chords, self.group = index, chords, group
        self.length = np.sqrt(((chords.nodes[chords.first + 1] - chords.nodes[chords.first]) ** 2).sum(axis=1))
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

    def measure(self, chord: Ints, fraction: Floats, *, signed: bool = False) -> Floats:
        """(m,) distances of places on chords to the ground, which are offered as well.  [m]"""
        d, nearest, face = self.index.distance(self.at(chord, fraction), signed=signed)
        self.offer(chord, fraction, d, nearest, face)
        return d

    def reachable(self, groups: NDArray[np.bool_]) -> NDArray[np.bool_]:
        """Curves that may come below their group's value, one flag each in order of the table.

        Curves that go on where the last one ended are looked at together, as long as they are far off.
        """
        chords = self.chords
        first = np.flatnonzero(np.diff(chords.curve, prepend=-1) != 0)
        last = np.append(first[1:], len(chords.first)) - 1
        gap = np.abs(chords.nodes[chords.first[first[1:]]] - chords.nodes[chords.first[last[:-1]] + 1]).max(axis=1)
        edge = np.concatenate([[0], np.flatnonzero(gap > _JOINED) + 1, [len(first)]])
        reached = np.concatenate([[0.0], np.cumsum(np.add.reduceat(self.length, first) + _JOINED)])
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
            middle = (low + high) // 2
            d = self.measure(first[middle], np.zeros(len(middle)))
            least = np.concatenate([d - (reached[middle] - reached[low]), d - (reached[high] - reached[middle])])
            low, high = np.concatenate([low, middle]), np.concatenate([middle, high])
            keep = least <= most(low, high)
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
        reached = np.concatenate([[0.0], np.cumsum(self.length)])
        edge = np.flatnonzero(np.concatenate([[True], np.diff(chords.curve) != 0, [True]]))
        sag = RangeMaximum(chords.sagitta, int(np.diff(edge).max()))
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
            middle = (low + high) // 2
            d = self.measure(middle, np.zeros(len(middle)), signed=signed)
            least = [d - (reached[middle] - reached[low]), d - (reached[high] - reached[middle])]
            low, high = np.concatenate([low, middle]), np.concatenate([middle, high])
            keep = np.concatenate(least) - sag(low, high) <= value[self.group[low]] - slack
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

    def sink(self, also: NDArray[np.bool_] | None = None) -> None:
        """Below ground: the deepest place of the groups that touch it or lie inside it (and of others named)."""
        if not self.index.is_signed:
            return
        wet = np.zeros(self.groups, dtype=bool) if also is None else also.copy()
        found = np.flatnonzero(self.chord >= 0)
        wet[found] |= self.distance[found] <= 0.0
        # A curve that lies inside from end to end meets no surface, and may be farther from it than others.
        begins = np.flatnonzero(np.diff(self.chords.curve, prepend=-1) != 0)
        begins = begins[~wet[self.group[begins]]]
        buried = begins[self.index.inside(self.chords.nodes[self.chords.first[begins]])]
        wet[self.group[buried]] = True
        chord = self.prune(wet, signed=True)
        start, end = np.zeros(len(chord)), np.ones(len(chord))
        self.measure(chord, start, signed=True)
        self.measure(chord, end, signed=True)
        while len(chord):
            middle = 0.5 * (start + end)
            d = self.measure(chord, middle, signed=True)
            half = 0.5 * (end - start) * self.length[chord]
            may = d - half - self.chords.sagitta[chord] < self.value[self.group[chord]] - self.tolerance
            start, end, middle, chord = start[may], end[may], middle[may], chord[may]
            chord = np.concatenate([chord, chord])
            start, end = np.concatenate([start, middle]), np.concatenate([middle, end])

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


def _frozen(values: Floats) -> Floats:
    copy = np.array(values)
    copy.setflags(write=False)
    return copy


class RangeMaximum:
    """Largest value over any range up to a longest, by a table of ranges of 1, 2, 4, ... values."""

    def __init__(self, values: Floats, longest: int) -> None:
        self._table = [values]
        while 2 ** len(self._table) <= min(longest, len(values)):
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

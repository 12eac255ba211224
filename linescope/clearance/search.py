"""The search behind `along`: the nearest place of each group of curves, and below ground the deepest."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.chords import Approach, Chords
from linescope.clearance.distance import GroundIndex
from linescope.terrain.tree import NEAREST, PLACE, VALUES, search

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

DEPTH_TOLERANCE = 1e-3
"""How exactly the deepest place of a curve below ground is found. [m]"""


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
        beyond: Floats | None = None,
        value: Floats | None = None,
        signed: bool = False,
    ) -> tuple[Floats, NDArray[np.bool_]]:
        """Measure places on chords, and offer them where they are nearer than what is known of their group.

        Parameters
        ----------
        chord, fraction : (m,) int and float
            Places. [-]
        beyond : (k, m) float, optional
            So far beyond the value of its group, as known once nearer places are offered. [m]
        value : (g,) float, optional
            Other values of the groups for `beyond`. [m]
        signed : bool
            Whether depth below ground counts as a negative distance.

        Returns
        -------
        distance : (m,) float
            [m]
        within : (k, m) bool
            Whether it is at most so far beyond.
        """
        places = self.at(chord, fraction)
        inside = self.index.inside(places) if signed else np.zeros(len(places), dtype=bool)
        d, nearest, face = self.index.distance(places)
        distance = np.where(inside, -d, d)
        self.offer(chord, fraction, distance, nearest, face)
        if beyond is None:
            return distance, np.zeros((0, len(distance)), dtype=bool)
        return distance, distance <= (self.value if value is None else value)[self.group[chord]] + beyond

    def nearest_of(self, wanted: NDArray[np.bool_]) -> None:
        """The nearest place of some groups (g,), where nearer than what is known of them."""
        index, chords, edge = self.index, self.chords, self.chords.edge
        tree, found = index.tree, np.zeros((self.groups, VALUES))
        chord, face = np.full(self.groups, -1), np.full(self.groups, -1)
        search(
            tree.boxes, tree.starts, tree.corners, tree.cell, index.centre, chords.nodes, chords.first,
            edge, chords.reached, chords.sagitta, np.maximum.reduceat(chords.sagitta, edge[:-1]), self.group[edge[:-1]],
            wanted, self.value, chord, found, face,
        )
        g = np.flatnonzero(chord >= 0)
        self.chord[g], self.distance[g], self.fraction[g] = chord[g], found[g, 0], found[g, PLACE]
        self.nearest[g], self.face[g] = found[g, NEAREST:] + index.centre, tree.face[face[g]]

    def prune(self, groups: NDArray[np.bool_], *, signed: bool = False, fixed: bool = False) -> Ints:
        """Chords that may hold the smallest value of their group, after measuring as few nodes as will do.

        With `fixed`, those that may stay below the value as it is, which is not lowered on the way.
        """
        chords = self.chords
        edge, reached, sag = chords.edge, chords.reached, chords.largest_sagitta
        chosen = groups[self.group[edge[:-1]]]
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
        for index, faces in self.index.pieces_at(np.concatenate([start, end]), start, end):
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

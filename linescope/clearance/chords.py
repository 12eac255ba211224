"""Curves as a table of chords, and what a search for their smallest distance finds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from linescope.errors import TerrainError

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


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
        Where on the chord, 0 to 1.  [-]
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

    @cached_property
    def length(self) -> Floats:
        """(m,) length of each chord. [m]"""
        way = self.nodes[self.first + 1] - self.nodes[self.first]
        return np.asarray(np.sqrt(np.einsum("ij,ij->i", way, way)))

    @cached_property
    def edge(self) -> Ints:
        """(number of curves + 1,) first chord of every curve, and the end of the last."""
        return np.flatnonzero(np.concatenate([[True], np.diff(self.curve) != 0, [True]]))

    @cached_property
    def reached(self) -> Floats:
        """(m + 1,) length of all chords before each, and of all. [m]"""
        return np.concatenate([[0.0], np.cumsum(self.length)])

    @cached_property
    def largest_sagitta(self) -> RangeMaximum:
        """Of any range of chords of one curve."""
        return RangeMaximum(self.sagitta, int(np.diff(self.edge).max()))

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


class RangeMaximum:
    """Largest value over any range up to a longest, by a table of ranges of 1, 2, 4, ... values; 0 over none."""

    def __init__(self, values: Floats, longest: int) -> None:
        self._table = [values]
        while 2 ** len(self._table) <= min(longest, len(values)):
            last, step = self._table[-1], 2 ** (len(self._table) - 1)
            self._table.append(np.maximum(last[:-step], last[step:]))

    def __call__(self, low: Ints, high: Ints) -> Floats:
        result = np.zeros(len(low))
        level = np.frexp(high - low)[1] - 1
        for k in np.unique(level[level >= 0]):
            chosen = level == k
            table = self._table[int(k)]
            result[chosen] = np.maximum(table[low[chosen]], table[high[chosen] - 2 ** int(k)])
        return result

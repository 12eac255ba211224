"""What lies straight below: triangles found by their plan position, points and line pieces against them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.terrain.model import Terrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_CHUNK = 1_000_000
_SMALLEST = 1.0 / 16.0
"""Cells are not made for triangles smaller in plan than this share of the median: a long piece of line passes more
cells than memory holds where two points of a dense cloud lie a hair apart. [-]"""
_UPRIGHT = 1e-12
"""A triangle whose plan area is below this fraction of its longest plan edge squared stands upright."""


def spread(counts: Ints) -> tuple[Ints, Ints]:
    """Owner and running number of each item when owner i has `counts[i]` items.

    Parameters
    ----------
    counts : (n,) int
        Items of each owner.

    Returns
    -------
    owner, number : (sum(counts),) int
        Owner of each item, and 0, 1, 2, ... within its owner.
    """
    owner = np.repeat(np.arange(len(counts)), counts)
    return owner, np.arange(len(owner)) - np.repeat(np.cumsum(counts) - counts, counts)


@dataclass(frozen=True, eq=False, kw_only=True)
class _Level:
    """Triangles of one size class in square plan cells, as sorted cell keys with ranges of face numbers."""

    cell: float
    keys: Ints
    starts: Ints
    faces: NDArray[np.int32]


@dataclass(frozen=True, eq=False, kw_only=True)
class Crossings:
    """Where line pieces pass over triangles, in plan.

    Parameters
    ----------
    segment, face : (m,) int
        Which piece of line passes over which triangle.
    start, end : (m,) float
        Parameters of the piece, 0 to 1, between which it is over the triangle (equal for an upright one).  [-]
    z_start, z_end : (m,) float
        Heights of the triangle there. [m]
    """

    segment: Ints
    face: Ints
    start: Floats
    end: Floats
    z_start: Floats
    z_end: Floats


class PlumbIndex:
    """Finds the triangles over or under plan positions; built once.

    Parameters
    ----------
    terrain : Terrain

    Notes
    -----
    Triangles are sorted by size into levels of square cells, each cell at least as wide as the triangles in
    it, so a triangle enters at most four cells whatever the mix of sizes.
    """

    def __init__(self, terrain: Terrain) -> None:
        self.terrain = terrain
        xy = terrain.vertices[:, :2]
        self._origin: Floats = xy.min(axis=0)
        a, b, c = (xy[terrain.faces[:, corner]] - self._origin for corner in range(3))
        low, high = np.minimum(np.minimum(a, b), c), np.maximum(np.maximum(a, b), c)
        self._low, self._high = low, high
        size = np.maximum(high[:, 0] - low[:, 0], high[:, 1] - low[:, 1])
        # What stands upright as a needle is over no plan position: cells as small as it would be only many.
        some = size > 0.0
        least = _SMALLEST * float(np.median(size[some]) if some.any() else high.max())  # Else points alone, as leaves.
        size = np.maximum(size, max(least, 1e-9 * max(float(high.max()), 1e-3)))
        level = np.ceil(np.log2(size)).astype(np.int64)
        self._levels = [
            self._build(np.flatnonzero(level == value), low, high, 2.0 ** float(value + 1))
            for value in np.unique(level)
        ]

    @staticmethod
    def _build(faces: Ints, low: Floats, high: Floats, cell: float) -> _Level:
        first = np.floor(low[faces] / cell).astype(np.int64)
        last = np.floor(high[faces] / cell).astype(np.int64)
        keys, owners = [], []
        for right in (0, 1):
            for back in (0, 1):
                ok = (first[:, 0] + right <= last[:, 0]) & (first[:, 1] + back <= last[:, 1])
                keys.append(_key(first[ok, 0] + right, first[ok, 1] + back))
                owners.append(faces[ok].astype(np.int32))
        key, owner = np.concatenate(keys), np.concatenate(owners)
        order = np.argsort(key, kind="stable")
        unique, starts = np.unique(key[order], return_index=True)
        return _Level(cell=cell, keys=unique, starts=np.append(starts, len(key)), faces=owner[order])

    def _in_cells(self, level: _Level, key: Ints) -> tuple[Ints, Ints]:
        at = np.minimum(np.searchsorted(level.keys, key), len(level.keys) - 1)
        found = level.keys[at] == key
        counts = np.where(found, level.starts[at + 1] - level.starts[at], 0)
        owner, number = spread(counts)
        return owner, level.faces[level.starts[at[owner]] + number].astype(np.int64)

    def candidates(self, xy: Floats) -> tuple[Ints, Ints]:
        """Pairs of plan position and triangle whose cells agree (a superset of the true pairs).

        Parameters
        ----------
        xy : (n, 2) float
            Plan positions. [m]

        Returns
        -------
        position, face : (m,) int
        """
        local = xy - self._origin
        pairs = []
        for level in self._levels:
            cells = np.floor(local / level.cell).astype(np.int64)
            pairs.append(self._in_cells(level, _key(cells[:, 0], cells[:, 1])))
        return np.concatenate([p[0] for p in pairs]), np.concatenate([p[1] for p in pairs])

    def over(self, xy: Floats) -> tuple[Ints, Ints, Floats, NDArray[np.bool_]]:
        """Triangles that cover each plan position, borders included, upright ones left out.

        Parameters
        ----------
        xy : (n, 2) float
            Plan positions. [m]

        Returns
        -------
        position, face : (m,) int
            Pairs that cover each other.
        z : (m,) float
            Height of the triangle there. [m]
        counted : (m,) bool
            A choice among triangles that share the position on an edge or corner, so that each sheet of
            ground is counted once (the position is thought shifted by an endlessly small amount).
        """
        parts = [self._over(xy[i : i + 50_000], i) for i in range(0, max(len(xy), 1), 50_000)]
        return (
            np.concatenate([p[0] for p in parts]),
            np.concatenate([p[1] for p in parts]),
            np.concatenate([p[2] for p in parts]),
            np.concatenate([p[3] for p in parts]),
        )

    def _over(self, xy: Floats, first: int) -> tuple[Ints, Ints, Floats, NDArray[np.bool_]]:
        position, face = self.candidates(xy)
        local = (xy - self._origin)[position]
        near = ((self._low[face] <= local) & (local <= self._high[face])).all(axis=1)
        position, face = position[near], face[near]
        corners = self.terrain.vertices[self.terrain.faces[face]]
        p = xy[position]
        area, upright = plan_sense(corners)
        border = np.ones(len(face), dtype=bool)
        strict = np.ones(len(face), dtype=bool)
        for i, j in ((0, 1), (1, 2), (2, 0)):
            side, shifted = _side(corners[:, i, :2], corners[:, j, :2], p)
            border &= side * area >= 0.0
            strict &= shifted * area > 0.0
        keep = border & ~upright
        z = _plane_height(corners[keep], p[keep])
        return position[keep] + first, face[keep], z, strict[keep]

    def crossings(self, start: Floats, end: Floats) -> Crossings:
        """Where straight pieces of line pass over triangles, exactly, in plan.

        Parameters
        ----------
        start, end : (n, 2) float
            Plan ends of the pieces; they may coincide. [m]

        Returns
        -------
        Crossings
            Pieces shorter than rounding are kept; an upright triangle in the very plane of the piece is left
            to its neighbours.
        """
        segment, face = self._near_segments(start, end)
        parts = [
            self._clip(start, end, segment[i : i + _CHUNK], face[i : i + _CHUNK])
            for i in range(0, max(len(segment), 1), _CHUNK)
        ]
        columns = [np.concatenate([part[k] for part in parts]) for k in range(6)]
        return Crossings(
            segment=columns[0].astype(np.int64),
            face=columns[1].astype(np.int64),
            start=columns[2],
            end=columns[3],
            z_start=columns[4],
            z_end=columns[5],
        )

    def _near_segments(self, start: Floats, end: Floats) -> tuple[Ints, Ints]:
        a, b = start - self._origin, end - self._origin
        length = np.sqrt(((b - a) ** 2).sum(axis=1))
        wide = self.terrain.bounds[1, :2] - self._origin
        pairs = []
        for level in self._levels:
            pieces = np.maximum(np.ceil(length / level.cell), 1.0).astype(np.int64)
            owner, number = spread(pieces)
            u = a[owner] + (number / pieces[owner])[:, None] * (b - a)[owner]
            v = a[owner] + ((number + 1) / pieces[owner])[:, None] * (b - a)[owner]
            low, high = np.minimum(u, v), np.maximum(u, v)
            near = ((high >= -level.cell) & (low <= wide + level.cell)).all(axis=1)
            owner = owner[near]
            first = np.floor(low[near] / level.cell - 1e-9).astype(np.int64)
            last = np.floor(high[near] / level.cell + 1e-9).astype(np.int64)
            for right in (0, 1, 2):
                for back in (0, 1, 2):
                    ok = (first[:, 0] + right <= last[:, 0]) & (first[:, 1] + back <= last[:, 1])
                    found, face = self._in_cells(level, _key(first[ok, 0] + right, first[ok, 1] + back))
                    pairs.append(owner[ok][found] * len(self.terrain.faces) + face)
        both = np.sort(np.concatenate(pairs))
        both = both[np.diff(both, prepend=-1) > 0]  # sorting beats numpy's hashed unique by far here
        return both // len(self.terrain.faces), both % len(self.terrain.faces)

    def _clip(self, start: Floats, end: Floats, segment: Ints, face: Ints) -> tuple[Floats | Ints, ...]:
        corners = self.terrain.vertices[self.terrain.faces[face]]
        p, q = start[segment], end[segment]
        area, upright = plan_sense(corners)
        low, high = np.zeros(len(face)), np.ones(len(face))
        for i, j in ((0, 1), (1, 2), (2, 0)):
            at_p = _side(corners[:, i, :2], corners[:, j, :2], p)[0] * area
            at_q = _side(corners[:, i, :2], corners[:, j, :2], q)[0] * area
            change = at_q - at_p
            t = np.where(change != 0.0, -at_p / np.where(change != 0.0, change, 1.0), 0.0)
            low = np.where(change > 0.0, np.maximum(low, t), low)
            high = np.where(change < 0.0, np.minimum(high, t), high)
            high = np.where((change == 0.0) & (at_p < 0.0), -1.0, high)
        keep = (low <= high) & ~upright
        step = q - p
        z_low = _plane_height(corners[keep], p[keep] + low[keep, None] * step[keep])
        z_high = _plane_height(corners[keep], p[keep] + high[keep, None] * step[keep])
        parts = [(segment[keep], face[keep], low[keep], high[keep], z_low, z_high)]
        stand = np.flatnonzero(upright)
        for i, j in ((0, 1), (1, 2), (2, 0)):
            a, b = corners[stand, i], corners[stand, j]
            edge, along = b - a, step[stand]
            det = along[:, 0] * edge[:, 1] - along[:, 1] * edge[:, 0]
            skew = det != 0.0
            divisor = np.where(skew, det, 1.0)
            r = a[:, :2] - p[stand]
            t = (r[:, 0] * edge[:, 1] - r[:, 1] * edge[:, 0]) / divisor
            s = (r[:, 0] * along[:, 1] - r[:, 1] * along[:, 0]) / divisor
            hit = skew & (t >= 0.0) & (t <= 1.0) & (s >= 0.0) & (s <= 1.0)
            z = a[hit, 2] + s[hit] * edge[hit, 2]
            parts.append((segment[stand[hit]], face[stand[hit]], t[hit], t[hit], z, z))
        return tuple(np.concatenate([part[k] for part in parts]) for k in range(6))


def plumb_of(terrain: Terrain) -> PlumbIndex:
    """The index of a ground, built when it is first asked for and kept with it, whatever notes it is given later.

    Parameters
    ----------
    terrain : Terrain
    """
    known = terrain.kept.get("plumb")
    if known is None:
        known = terrain.kept["plumb"] = PlumbIndex(terrain)
    assert isinstance(known, PlumbIndex)
    return known


def _key(ix: Ints, iy: Ints) -> Ints:
    # Cells outside 31 bits are clipped; they lie far outside the ground and meet no triangle.
    key: Ints = (np.clip(ix, -(2**30), 2**30) << 32) + (np.clip(iy, -(2**30), 2**30) + 2**30)
    return key


def plan_sense(corners: Floats) -> tuple[Floats, NDArray[np.bool_]]:
    """Sign of the plan turning sense, and whether the triangle stands upright."""
    u = corners[:, 1, :2] - corners[:, 0, :2]
    v = corners[:, 2, :2] - corners[:, 0, :2]
    w = v - u
    double = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    longest = np.max([(side**2).sum(axis=1) for side in (u, v, w)], axis=0)
    return np.sign(double), np.abs(double) <= _UPRIGHT * longest


def _side(a: Floats, b: Floats, p: Floats) -> tuple[Floats, Floats]:
    """Which side of edge a-b a point lies: the same number from both its triangles, but for the sign.

    The second value is never zero: a point on the edge is thought shifted by (e, e²) with e endlessly small.
    """
    swap = (a[:, 0] > b[:, 0]) | ((a[:, 0] == b[:, 0]) & (a[:, 1] > b[:, 1]))
    low, high = np.where(swap[:, None], b, a), np.where(swap[:, None], a, b)
    d, r = high - low, p - low
    value = d[:, 0] * r[:, 1] - d[:, 1] * r[:, 0]
    nudge = np.where(d[:, 1] != 0.0, -np.sign(d[:, 1]), np.sign(d[:, 0]))
    sign = np.where(swap, -1.0, 1.0)
    return sign * value, sign * np.where(value != 0.0, np.sign(value), nudge)


def _plane_height(corners: Floats, xy: Floats) -> Floats:
    a = corners[:, 0]
    u, v = corners[:, 1] - a, corners[:, 2] - a
    double = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
    r = xy - a[:, :2]
    s = (r[:, 0] * v[:, 1] - r[:, 1] * v[:, 0]) / double
    t = (u[:, 0] * r[:, 1] - u[:, 1] * r[:, 0]) / double
    z = a[:, 2] + s * u[:, 2] + t * v[:, 2]
    clipped: Floats = np.clip(z, corners[:, :, 2].min(axis=1), corners[:, :, 2].max(axis=1))
    return clipped


def holes_below(terrain: Terrain | PlumbIndex, xy: Floats) -> Floats:
    """Stretches of a plan path that have no ground above or below them.

    Parameters
    ----------
    terrain : Terrain or PlumbIndex
        The ground; give the index when there is one.
    xy : (n, 2) float
        Corners of the plan path, n >= 2. [m]

    Returns
    -------
    (m, 2) float
        From and to of each hole as distance along the path, in order; empty when the ground is whole. [m]

    Notes
    -----
    Exact for the triangles, so a gap of any width counts; gaps below 1e-9 of the path are rounding and are
    left out.
    """
    index = terrain if isinstance(terrain, PlumbIndex) else PlumbIndex(terrain)
    xy = np.asarray(xy, dtype=np.float64)[:, :2]
    length = np.sqrt((np.diff(xy, axis=0) ** 2).sum(axis=1))
    reached = np.concatenate([[0.0], np.cumsum(length)])
    total = float(reached[-1])
    hits = index.crossings(xy[:-1], xy[1:])
    begin = reached[hits.segment] + hits.start * length[hits.segment]
    end = reached[hits.segment] + hits.end * length[hits.segment]
    order = np.argsort(begin)
    ends = np.maximum.accumulate(np.concatenate([[0.0], end[order]]))
    begins = np.concatenate([begin[order], [total]])
    gap = begins - ends > 1e-9 * max(total, 1.0)
    return np.stack([ends[gap], begins[gap]], axis=1)

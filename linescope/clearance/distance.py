"""Exact distances from points to the ground: nearest triangle, height above ground, inside or out."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.blocks import neighbours
from linescope.clearance.boxes import Boxes
from linescope.clearance.field import Field
from linescope.clearance.rock import Rock
from linescope.clearance.samples import Samples, sampled
from linescope.clearance.triangles import bounds_to_triangles, frames, points_to_triangles
from linescope.errors import TerrainError
from linescope.terrain.model import Terrain
from linescope.terrain.overhang import is_one_sheet
from linescope.terrain.plumb import PlumbIndex

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

CELL = 0.5
"""Width of the cells whose middles are measured to bound other distances. [m]"""
_TOGETHER = 5_000
_PAIRS = 1_000_000
_ALL_PAIRS = 10_000  # So few pairs of point and triangle are sooner tried than searched.
_ROUNDING = 1e-12
_SLACK = 1e-9
_CELLS = 2.0**21 - 1.0  # Along the longest side.
# Two zeros between every two bits of a number of 21 bits.
_SPREAD = (
    (32, 0x1F00000000FFFF), (16, 0x1F0000FF0000FF), (8, 0x100F00F00F00F00F), (4, 0x10C30C30C30C30C3),
    (2, 0x1249249249249249),
)  # fmt: skip


class GroundIndex:
    """Ground made ready for distance queries; built once, never changed.

    Parameters
    ----------
    terrain : Terrain

    Notes
    -----
    Boxes over the mesh's corners (large triangles get further samples) give for each point the nearest sample
    and with it an upper bound D; only triangles around samples within sqrt(D² + r²) can be nearer, r
    being the covering radius of a piece (see `Samples`).  That leaves about one sample a point, whose
    triangles are tried exactly. Coordinates are centred first, so a far-away frame costs no accuracy.
    """

    def __init__(self, terrain: Terrain) -> None:
        self.terrain = terrain
        self._centre: Floats = terrain.bounds.mean(axis=0)
        self._local: Floats = terrain.vertices - self._centre
        self._frames: Floats = frames(*(self._local[terrain.faces[:, k]] for k in range(3)))
        self._samples: Samples = sampled(self._local, terrain.faces)
        self._boxes = Boxes(self._samples.points, _in_order_of_place(self._samples.points))
        self._plumb: PlumbIndex | None = None
        self._sheet: bool | None = None
        self._rock: Rock | None = None
        self._field: Field | None = None
        self._pieces: dict[int, tuple[GroundIndex, Ints]] = {}
        self._only: tuple[Rock, int] | None = None

    @property
    def plumb(self) -> PlumbIndex:
        """Triangles by plan position, built at first use."""
        if self._plumb is None:
            self._plumb = PlumbIndex(self.terrain)
        return self._plumb

    @property
    def field(self) -> Field:
        """Bounds of distances that spare measuring them, built as it is used."""
        if self._field is None:
            self._field = Field(lambda places: self.distance(places)[0], CELL)
        return self._field

    @property
    def rock(self) -> Rock:
        """What lies in rock, built at first use."""
        if self._rock is None:
            self._rock = Rock(self.plumb, self.is_one_sheet)
        return self._rock

    @property
    def is_signed(self) -> bool:
        """Whether the ground has an inside: rock below or within any of its pieces."""
        return self._only is not None or self.rock.has_inside

    @property
    def is_one_sheet(self) -> bool:
        """Whether the ground has one height at each plan position.

        It is so made (grid, points, profile), or is a mesh whose triangles all face the same way up, join edge to
        edge, and lie over no other where looked at: in the middle of at most some ten thousand of them.
        """
        if self._sheet is None:
            self._sheet = self.terrain.is_height_field or is_one_sheet(self.plumb)
        return self._sheet

    def distance(self, points: Floats, *, signed: bool = False) -> tuple[Floats, Floats, Ints]:
        """Smallest distance from each point to the ground, exact to rounding.

        Parameters
        ----------
        points : (n, 3) float
            Points in the rig's frame. [m]
        signed : bool
            Count points below a height field or inside a closed mesh as negative.  A mesh that is neither
            has no inside; its distances stay positive whichever side a point is on.

        Returns
        -------
        distance : (n,) float
            [m]
        nearest : (n, 3) float
            Nearest points of the ground. [m]
        face : (n,) int
            Their triangles.

        Raises
        ------
        TerrainError
            A point is not finite.
        """
        points = _checked(points)
        if len(points) == 0:
            return np.zeros(0), np.zeros((0, 3)), np.zeros(0, dtype=np.int64)
        local = points - self._centre
        order = _in_order_of_place(local)
        parts = [self._nearest(local[order[i : i + 50_000]]) for i in range(0, len(order), 50_000)]
        squared, nearest, face = (
            np.empty(len(points)),
            np.empty((len(points), 3)),
            np.empty(len(points), np.int64),
        )
        squared[order] = np.concatenate([part[0] for part in parts])
        nearest[order] = np.concatenate([part[1] for part in parts])
        face[order] = np.concatenate([part[2] for part in parts])
        d = np.sqrt(squared)
        if signed:
            d = np.where(self.inside(points), -d, d)
        return d, nearest + self._centre, face

    def _nearest(self, p: Floats) -> tuple[Floats, Floats, Ints]:
        """Squared distance, nearest point (centred) and triangle of at most some ten thousand points."""
        best = _Best(p, self._local, self.terrain.faces, self._frames)
        count = len(self.terrain.faces)
        if len(p) * count <= _ALL_PAIRS:
            best.offer(np.repeat(np.arange(len(p)), count), np.tile(np.arange(count), len(p)))
            return best.squared, best.nearest, best.face
        single = np.ones(len(p), dtype=bool)
        for blocks in neighbours(p, self._samples, self._boxes):
            single[blocks.first[:, None] + np.arange(blocks.size)] = False
            best.offer(*self._around(*blocks.nearest()))
            best.offer(*self._around(*blocks.within(self._limit(best.squared))))
        alone = np.flatnonzero(single)
        for i in range(0, len(alone), _TOGETHER):
            self._one_by_one(best, alone[i : i + _TOGETHER])
        return best.squared, best.nearest, best.face

    def _one_by_one(self, best: _Best, alone: Ints) -> None:
        """Points that share no search: triangles about a near sample, then about the nearest, then all in reach."""
        p = best.points[alone]
        best.offer(*self._around(alone, self._boxes.some_near(p)[0]))
        reach = self._limit(best.squared[alone]) + self._samples.largest**2
        for position, sample, squared in self._boxes.within(p, reach):
            begins = np.flatnonzero(np.diff(position, prepend=-1))
            least = np.repeat(np.minimum.reduceat(squared, begins), np.diff(np.append(begins, len(position))))
            nearest = squared <= least
            best.offer(*self._around(alone[position[nearest]], sample[nearest]))
            limit = self._limit(best.squared[alone[position]]) + self._samples.radius[sample] ** 2
            rest = ~nearest & (squared <= limit)
            best.offer(*self._around(alone[position[rest]], sample[rest]))

    @staticmethod
    def _limit(squared: Floats) -> Floats:
        return squared * (1.0 + _ROUNDING) + _ROUNDING**2

    def _within(self, p: Floats, distance: Floats, half: Floats) -> tuple[Ints, Ints]:
        """Pairs of point and sample such that every triangle as near as the distance to a straight piece of line, which
        reaches `half` to either side of the point, has a sample among them.
        """
        ball = (distance**2 + (half + self._samples.largest) ** 2) * (1.0 + 4.0 * _ROUNDING)
        positions, samples = [np.zeros(0, dtype=np.int64)], [np.zeros(0, dtype=np.int64)]
        for position, sample, squared in self._boxes.within(p, ball):
            reach = distance[position] ** 2 + (half[position] + self._samples.radius[sample]) ** 2
            near = squared <= reach * (1.0 + 4.0 * _ROUNDING)
            positions.append(position[near])
            samples.append(sample[near])
        return np.concatenate(positions), np.concatenate(samples)

    def _around(self, position: Ints, sample: Ints) -> tuple[Ints, Ints]:
        owner, face = self._samples.faces_of(sample)
        return position[owner], face

    @property
    def covering_radius(self) -> float:
        """How far a point of the ground can be from the nearest sample of its own triangle. [m]"""
        return self._samples.largest

    def faces_around(self, middle: Floats, distance: Floats, half: Floats) -> tuple[Ints, Ints]:
        """Triangles that may come within a distance of straight pieces of line (see Notes of `along.minima`).

        Parameters
        ----------
        middle : (n, 3) float
            Middles of the pieces. [m]
        distance : (n,) float
            Distance that matters. [m]
        half : (n,) float
            Half the length of each piece. [m]

        Returns
        -------
        position, face : (m,) int
            Each pair once: all triangles whose nearest place is not an end of the piece, and some more.
        """
        position, sample = self._within(_checked(middle) - self._centre, distance, half)
        owner, face = self._around(position, sample)
        both = np.unique(owner * len(self.terrain.faces) + face)
        return both // len(self.terrain.faces), both % len(self.terrain.faces)

    def corners(self, face: Ints) -> tuple[Floats, Floats, Floats]:
        """Corners of triangles relative to `centre`, where differences are most exact.

        Parameters
        ----------
        face : (n,) int

        Returns
        -------
        a, b, c : (n, 3) float
            [m]
        """
        chosen = self.terrain.faces[face]
        return self._local[chosen[:, 0]], self._local[chosen[:, 1]], self._local[chosen[:, 2]]

    @property
    def centre(self) -> Floats:
        """(3,) middle of the ground's bounds, the origin of `corners`. [m]"""
        return self._centre.copy()

    def inside(self, points: Floats) -> Bools:
        """Whether each point is below ground or inside rock (see `linescope.terrain.solids`).

        Parameters
        ----------
        points : (n, 3) float
            [m]

        Returns
        -------
        (n,) bool
            All False when the ground has no inside (`is_signed` is False) or none is over the point (a hole).
        """
        points = _checked(points)
        result = np.zeros(len(points), dtype=bool)
        if len(points) == 0 or not self.is_signed:
            return result
        rock, mine = (self.rock, None) if self._only is None else self._only
        position, piece = rock.holding(points)
        result[position if mine is None else position[piece == mine]] = True
        return result

    def pieces_at(self, points: Floats, middle: Floats, half: Floats) -> Iterator[tuple[GroundIndex, Ints]]:
        """Pieces with an inside that hold some points, or may be pierced by straight pieces of line, each by itself.

        Parameters
        ----------
        points : (n, 3) float
            [m]
        middle : (m, 3) float
            Middles of the pieces of line. [m]
        half : (m,) float
            Half the length of each. [m]

        Yields
        ------
        index : GroundIndex
            Of one piece of the ground: its `inside` and `distance` know no other.
        faces : (k,) int
            Its triangles among all.
        """
        if self._only is not None or self.is_one_sheet or self.rock.is_one:
            yield self, np.arange(len(self.terrain.faces))
            return
        touched = self.rock.solids.piece[self.faces_around(middle, np.zeros(len(middle)), half)[1]]
        wanted = np.union1d(self.rock.holding(points)[1], touched[touched >= 0])
        for piece in wanted[self.rock.side[wanted] != 0].tolist():
            if piece not in self._pieces:
                ground, faces = self.rock.alone(piece)
                index = GroundIndex(ground)
                index._only = self.rock, piece
                self._pieces[piece] = index, faces
            yield self._pieces[piece]

    def vertical_gap(self, points: Floats) -> tuple[Floats, Floats, Ints]:
        """Height of each point above the ground straight below it, exact.

        Parameters
        ----------
        points : (n, 3) float
            [m]

        Returns
        -------
        gap : (n,) float
            Height above the highest surface at or below the point.  Negative, down from the lowest surface
            above, where the point is inside (see `inside`) or has ground only above it; nan where there is
            none (a hole). [m]
        z_ground : (n,) float
            Height of that surface, nan for none. [m]
        face : (n,) int
            Its triangle, -1 for none.
        """
        points = _checked(points)
        position, face, z, _ = self.plumb.over(points[:, :2])
        below = z <= points[position, 2]
        low, low_face = _extreme(position[below], z[below], face[below], len(points), highest=True)
        high, high_face = _extreme(position[~below], z[~below], face[~below], len(points), highest=False)
        inside = self.inside(points)
        lost = ~np.isfinite(low) & ~(self.is_signed & ~inside)
        use_high = (inside | lost) & np.isfinite(high)
        ground = np.where(use_high, high, low)
        known = np.isfinite(ground)
        ground = np.where(known, ground, np.nan)
        return points[:, 2] - ground, ground, np.where(known, np.where(use_high, high_face, low_face), -1)


class _Best:
    """The nearest triangle found so far for each point, improved by offered pairs."""

    def __init__(self, points: Floats, vertices: Floats, faces: Ints, frames: Floats) -> None:
        self.points, self._vertices, self._faces, self._frames = points, vertices, faces, frames
        self.squared = np.full(len(points), np.inf)
        self.nearest = np.zeros((len(points), 3))
        self.face = np.full(len(points), -1, dtype=np.int64)

    def offer(self, position: Ints, face: Ints) -> None:
        for i in range(0, len(position), _PAIRS):
            self._offer(position[i : i + _PAIRS], face[i : i + _PAIRS])

    def _offer(self, position: Ints, face: Ints) -> None:
        low, high = bounds_to_triangles(self.points[position], self._frames[face])
        most = self.squared.copy()
        np.minimum.at(most, position, high)
        near = np.flatnonzero(low <= most[position] * (1.0 + _SLACK) + _SLACK**2)
        position, face = position[near], face[near]
        p, corner = self.points[position], self._faces[face]
        q = points_to_triangles(
            p, self._vertices[corner[:, 0]], self._vertices[corner[:, 1]], self._vertices[corner[:, 2]]
        )
        gap = p - q
        squared = np.einsum("ij,ij->i", gap, gap)
        order = np.lexsort((squared, position))
        first = order[np.concatenate([[True], np.diff(position[order]) != 0])] if len(order) else order
        better = first[squared[first] < self.squared[position[first]]]
        at = position[better]
        self.squared[at], self.nearest[at], self.face[at] = squared[better], q[better], face[better]


def _extreme(position: Ints, z: Floats, face: Ints, count: int, *, highest: bool) -> tuple[Floats, Ints]:
    sign = 1.0 if highest else -1.0
    value, owner = np.full(count, -sign * np.inf), np.full(count, -1, dtype=np.int64)
    order = np.lexsort((sign * z, position))
    last = order[np.concatenate([np.diff(position[order]) != 0, [True]])] if len(order) else order
    value[position[last]], owner[position[last]] = z[last], face[last]
    return value, owner


def _checked(points: Floats) -> Floats:
    points = np.asarray(points, dtype=np.float64)
    if points.ndim != 2 or points.shape[1] != 3 or not np.isfinite(points).all():
        raise TerrainError("points to measure from are not finite", found=points.shape, allowed="(n, 3) finite")
    return points


def _in_order_of_place(p: Floats) -> Ints:
    """Order along a space-filling (Morton) curve, so that neighbours in the list are neighbours in space."""
    low = p.min(axis=0)
    cells = ((p - low) * (_CELLS / max(float((p.max(axis=0) - low).max()), 1e-9))).astype(np.int64)
    for shift, mask in _SPREAD:
        cells = (cells | (cells << shift)) & mask
    return np.argsort(cells @ np.array([1, 2, 4]), kind="stable")

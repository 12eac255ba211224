"""Exact distances from points to the ground: nearest triangle, height above ground, inside or out."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.rock import Rock
from linescope.errors import TerrainError
from linescope.terrain.model import Terrain
from linescope.terrain.overhang import is_one_sheet
from linescope.terrain.plumb import PlumbIndex, plumb_of
from linescope.terrain.tree import Tree

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]


class GroundIndex:
    """Ground made ready for distance queries; built once, never changed.

    Parameters
    ----------
    terrain : Terrain

    Notes
    -----
    Triangles lie in boxes within boxes (`Tree`).  Coordinates are centred first, so a far-away frame costs no accuracy.
    """

    def __init__(self, terrain: Terrain) -> None:
        self.terrain = terrain
        self._centre: Floats = terrain.bounds.mean(axis=0)
        self.tree = Tree.of(terrain.vertices - self._centre, terrain.faces)
        self._sheet: bool | None = None
        self._rock: Rock | None = None
        self._pieces: dict[int, tuple[GroundIndex, Ints]] = {}
        self._only: tuple[Rock, int] | None = None

    @property
    def plumb(self) -> PlumbIndex:
        """Triangles by plan position, built at first use."""
        return plumb_of(self.terrain)

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
        d, nearest, face = self.tree.distance(points - self._centre)
        if signed:
            d = np.where(self.inside(points), -d, d)
        return d, nearest + self._centre, face

    @property
    def centre(self) -> Floats:
        """(3,) middle of the ground's bounds, the origin of `tree`. [m]"""
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

    def pieces_at(self, points: Floats, start: Floats, end: Floats) -> Iterator[tuple[GroundIndex, Ints]]:
        """Pieces with an inside that hold some points, or may be pierced by straight pieces of line, each by itself.

        Parameters
        ----------
        points : (n, 3) float
            [m]
        start, end : (m, 3) float
            Of the pieces of line. [m]

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
        ends = np.stack([start, end]) - self._centre
        touched = self.rock.solids.piece[self.tree.touched(ends.min(axis=0), ends.max(axis=0))]
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

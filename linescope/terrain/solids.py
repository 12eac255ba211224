"""What of a mesh is rock: pieces that hang together, each turned one way, and what lies within or below each.

A piece is closed (rock within), a sheet that faces up (rock below), a sheet that faces down or hangs over another (a
roof: only its surface is known), or open all round, such as the scan of a pillar.  A point is in rock when it is in
that of any piece:

- closed: an odd number of its surfaces stands over the point.
- sheet facing up, the ground or what stands on it: its winding number once a curtain hangs straight down from its
  border, which is the number of its surfaces over the point that face up, less those that face down.
- open all round: its winding number without any curtain, more than a half [1]_.

References
----------
.. [1] A. Jacobson, L. Kavan, O. Sorkine-Hornung, "Robust inside-outside segmentation using generalized winding
   numbers", ACM Trans. Graph. 32 (2013) 33, doi:10.1145/2461912.2461916.
.. [2] A. van Oosterom, J. Strackee, "The solid angle of a plane triangle", IEEE Trans. Biomed. Eng. 30 (1983)
   125-126, doi:10.1109/TBME.1983.325207.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from linescope.terrain.model import Terrain, areas
from linescope.terrain.plumb import plan_sense

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

BRIDGED = 1.0
"""Holes in a piece of mesh that are smaller than this are taken as rock when it is asked what lies inside. [m]"""
FACING = 0.5
"""A piece is a sheet when, in plan, this share of its area faces one way more than the other (assumed). [-]"""
_HOLE_SHARE = 0.5


class Side(IntEnum):
    """Where the rock of a piece is."""

    NOWHERE = 0  # A roof, a wire: only its surface is known.
    BELOW = 1
    WITHIN = 2
    AROUND = 3  # Open all round: by its winding number.


@dataclass(frozen=True, eq=False, kw_only=True)
class Solids:
    """Pieces of a mesh.

    Attributes
    ----------
    piece : (k,) int
        Of each triangle; -1 for one with the same corner twice.
    side : (p,) int
        `Side` of each piece.
    sense : (k,) int
        -1 where a triangle has to be turned over to face the same way as the rest of its piece, else 1.
    caps : (c, 3) int
        Triangles that bridge small holes, facing as their pieces do.
    cap_piece : (c,) int
    vertices : (n, 3) float
        Corners of the mesh and, after them, of the bridges. [m]
    rim : (r, 2) int
        Piece and corner of every border that no bridge closes.
    ground : int
        The largest open piece; -1 for none.
    turned : int
        Triangles with a sense of -1.
    """

    piece: Ints
    side: Ints
    sense: Ints
    caps: Ints
    cap_piece: Ints
    vertices: Floats
    rim: Ints
    ground: int
    turned: int

    @property
    def has_inside(self) -> bool:
        """Whether there is any rock to be in."""
        return bool(np.any(self.side != Side.NOWHERE))

    def bounds(self, terrain: Terrain) -> tuple[Floats, Floats]:
        """(p, 3) lowest and highest corner of each piece. [m]"""
        low, high = np.full((len(self.side), 3), np.inf), np.full((len(self.side), 3), -np.inf)
        mine = self.piece >= 0
        corners = terrain.vertices[terrain.faces[mine]]
        np.minimum.at(low, self.piece[mine], corners.min(axis=1))
        np.maximum.at(high, self.piece[mine], corners.max(axis=1))
        return low, high


def solids_of(terrain: Terrain, *, one_sheet: bool) -> Solids:
    """The pieces of a ground.

    Parameters
    ----------
    terrain : Terrain
    one_sheet : bool
        Whether it is known to have one height at each plan position: then it is one piece, with rock below.
    """
    faces, vertices = terrain.faces, terrain.vertices
    # A triangle without area may close the gap between two others, so it counts where it has three corners.
    solid = (faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 2] != faces[:, 0])
    if one_sheet:
        sense = plan_sense(vertices[faces])[0].astype(np.int64)
        return Solids(
            piece=np.where(solid, 0, -1), side=np.array([Side.BELOW]), sense=np.where(sense == 0, 1, sense),
            caps=np.zeros((0, 3), dtype=np.int64), cap_piece=np.zeros(0, dtype=np.int64), vertices=vertices,
            rim=np.zeros((0, 2), dtype=np.int64), ground=0, turned=0,
        )
    number = np.flatnonzero(solid)
    piece, sense = _oriented(faces[number])
    used = int(piece.max()) + 1 if len(piece) else 0
    all_piece, all_sense = np.full(len(faces), -1), np.ones(len(faces), dtype=np.int64)
    all_piece[number], all_sense[number] = piece, sense
    turned = np.where((sense < 0)[:, None], faces[number][:, ::-1], faces[number])
    longer, caps, cap_piece, rim = _bridged(vertices, turned, piece, used)
    open_piece = np.zeros(used, dtype=bool)
    open_piece[rim[:, 0]] = True
    corners = vertices[turned]
    normal = 0.5 * np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    up = np.bincount(piece, weights=normal[:, 2], minlength=used)
    plan = np.bincount(piece, weights=np.abs(normal[:, 2]), minlength=used)
    facing = up / np.maximum(plan, 1e-300)
    # The largest open piece is the ground: it faces up, and where it does not the whole file is inside out.
    largest = int(np.argmax(np.where(open_piece, plan, -1.0))) if used else 0
    if used and open_piece[largest] and facing[largest] < -FACING:
        facing, all_sense[number] = -facing, -all_sense[number]
        caps = caps[:, ::-1]
    side = np.full(used, Side.AROUND, dtype=np.int64)
    side[facing >= FACING] = Side.BELOW
    side[facing <= -FACING] = Side.NOWHERE
    side[~open_piece] = Side.WITHIN
    area = np.bincount(piece, weights=areas(vertices, faces[number]), minlength=used)
    side[(area == 0.0) | (np.bincount(piece, minlength=used) < 2)] = Side.NOWHERE
    return Solids(
        piece=all_piece, side=side, sense=all_sense, caps=caps, cap_piece=cap_piece, vertices=longer, rim=rim,
        ground=largest if used and open_piece[largest] else -1,
        turned=int(np.count_nonzero(all_sense[number] < 0)),
    )


def _edges(faces: Ints, count: int) -> tuple[Ints, Ints, NDArray[np.bool_]]:
    """Key of every side of every triangle, the triangle, and whether it runs from the lower corner to the higher."""
    sides = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    low, high = sides.min(axis=1), sides.max(axis=1)
    return low * count + high, np.tile(np.arange(len(faces)), 3), sides[:, 0] == low


def _oriented(faces: Ints) -> tuple[Ints, Ints]:
    """(k,) piece of each triangle, and the sense that makes those of one piece face the same way.

    Triangles belong together across an edge that exactly two of them share.  Of the two ways a piece can face, the one
    is taken that turns fewer triangles over.
    """
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    k = len(faces)
    if k == 0:
        return np.zeros(0, dtype=np.int64), np.zeros(0, dtype=np.int64)
    key, owner, rising = _edges(faces, int(faces.max()) + 1)
    order = np.argsort(key, kind="stable")
    key, owner, rising = key[order], owner[order], rising[order]
    first = np.flatnonzero(np.concatenate([[True], key[1:] != key[:-1]]))
    count = np.diff(np.append(first, len(key)))
    pair = first[count == 2]
    one, two, alike = owner[pair], owner[pair + 1], rising[pair] == rising[pair + 1]

    def joined(a: Ints, b: Ints, n: int) -> tuple[int, Ints]:
        found, label = connected_components(coo_matrix((np.ones(len(a), dtype=bool), (a, b)), shape=(n, n)), False)
        return int(found), label.astype(np.int64)

    patches, patch = joined(one[~alike], two[~alike], k)
    pieces, piece = joined(one, two, k)
    if patches == pieces:
        return piece, np.ones(k, dtype=np.int64)
    return piece, _turned(patch, patches, piece, one[alike], two[alike])


def _turned(patch: Ints, patches: int, piece: Ints, one: Ints, two: Ints) -> Ints:
    """(k,) sense of triangles in patches that face one way each, by the edges across which they face differently."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import breadth_first_order

    a, b = patch[one], patch[two]
    other = a != b  # A patch that meets itself the wrong way round, as on a Moebius strip, stays as it is.
    graph = coo_matrix((np.ones(int(other.sum())), (a[other], b[other])), shape=(patches, patches)).tocsr()
    graph = graph + graph.T
    sense = np.zeros(patches, dtype=np.int64)
    for start in range(patches):
        if sense[start] == 0:
            sense[start] = 1
            if graph.indptr[start + 1] > graph.indptr[start]:
                order, before = breadth_first_order(graph, start, directed=False)
                for each in order[1:].tolist():
                    sense[each] = -sense[before[each]]
    each = sense[patch]
    keep = np.bincount(piece, weights=each) >= 0.0
    return np.where(keep[piece], each, -each)


def _bridged(
    vertices: Floats, faces: Ints, piece: Ints, pieces: int
) -> tuple[Floats, Ints, Ints, Ints]:
    """Corners with the middles of small holes after them, triangles across those holes, their pieces, and piece and
    corner of the borders that are left."""
    from scipy.sparse import coo_matrix
    from scipy.sparse.csgraph import connected_components

    key, owner, _ = _edges(faces, len(vertices))
    own = piece[owner]
    order = np.lexsort((key, own))
    both = np.stack([own[order], key[order]], axis=1)
    first = np.flatnonzero(np.concatenate([[True], (both[1:] != both[:-1]).any(axis=1)])) if len(both) else order
    count = np.diff(np.append(first, len(both)))
    border = order[first[count % 2 == 1]]
    none = np.zeros((0, 3), dtype=np.int64)
    if len(border) == 0:
        return vertices, none, none[:, 0], none[:, :2]
    sides = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])[border]
    own = own[border]
    # Borders of one piece that hang together are one hole, or its outer rim.
    corner = np.unique(np.stack([np.repeat(own, 2), sides.ravel()], axis=1), axis=0, return_inverse=True)[1]
    corner = corner.reshape(-1, 2)
    n = int(corner.max()) + 1
    loops, label = connected_components(
        coo_matrix((np.ones(len(corner), dtype=bool), (corner[:, 0], corner[:, 1])), shape=(n, n)), False
    )
    loop = label[corner[:, 0]]
    low, high = np.full((loops, 3), np.inf), np.full((loops, 3), -np.inf)
    np.minimum.at(low, loop, vertices[sides[:, 0]])
    np.maximum.at(high, loop, vertices[sides[:, 0]])
    size = (high - low).max(axis=1)
    whole_low, whole_high = np.full((pieces, 3), np.inf), np.full((pieces, 3), -np.inf)
    np.minimum.at(whole_low, np.repeat(piece, 3), vertices[faces.ravel()])
    np.maximum.at(whole_high, np.repeat(piece, 3), vertices[faces.ravel()])
    whole = (whole_high - whole_low).max(axis=1)
    of = np.zeros(loops, dtype=np.int64)
    of[loop] = own
    small = (size < BRIDGED) & (size < _HOLE_SHARE * whole[of])
    chosen = small[loop]
    numbers = np.cumsum(small) - 1
    weight = np.bincount(loop, minlength=loops)[:, None]
    middle = np.stack([np.bincount(loop, weights=vertices[sides[:, 0], k], minlength=loops) for k in range(3)], 1)
    longer = np.concatenate([vertices, (middle / weight)[small]])
    caps = np.stack([sides[chosen, 1], sides[chosen, 0], len(vertices) + numbers[loop[chosen]]], axis=1)
    rim = np.stack([own[~chosen], sides[~chosen, 0]], axis=1).astype(np.int64)
    return longer, caps.astype(np.int64), own[chosen], rim


class WindingNumber:
    """Winding number of triangles that need not be closed, with clusters far away taken as one dipole each.

    Parameters
    ----------
    corners : (k, 3, 3) float
        Turned one way. [m]

    Notes
    -----
    A cluster seen from farther than `FAR` of its radii counts as its summed area at its middle; what that leaves out is
    a few thousandths of a turn, far from the half that decides.
    """

    FAR = 3.0
    FAN = 8

    def __init__(self, corners: Floats) -> None:
        middle = corners.mean(axis=1)
        low = middle.min(axis=0)
        cells = ((middle - low) * (1023.0 / max(float((middle.max(axis=0) - low).max()), 1e-9))).astype(np.int64)
        code = np.zeros(len(cells), dtype=np.int64)
        for bit in range(10):
            for axis in range(3):
                code |= ((cells[:, axis] >> bit) & 1) << (3 * bit + axis)
        self._corners: Floats = corners[np.argsort(code, kind="stable")]
        area = 0.5 * np.cross(self._corners[:, 1] - self._corners[:, 0], self._corners[:, 2] - self._corners[:, 0])
        size = np.sqrt((area**2).sum(axis=1))
        self._levels: list[tuple[Floats, Floats, Floats]] = []
        low, high = self._corners.min(axis=1), self._corners.max(axis=1)
        moment = size[:, None] * self._corners.mean(axis=1)
        while True:
            groups = np.arange(0, len(area), self.FAN)
            area, size, moment = (np.add.reduceat(each, groups, axis=0) for each in (area, size, moment))
            low, high = np.minimum.reduceat(low, groups, axis=0), np.maximum.reduceat(high, groups, axis=0)
            centre = moment / np.maximum(size, 1e-300)[:, None]
            radius = np.sqrt((np.maximum(high - centre, centre - low) ** 2).sum(axis=1))
            self._levels.append((centre, area, radius))
            if len(area) <= self.FAN:
                break

    def at(self, points: Floats) -> Floats:
        """Winding number at each point.

        Parameters
        ----------
        points : (n, 3) float
            [m]

        Returns
        -------
        (n,) float
        """
        result = np.zeros(len(points))
        for begin in range(0, len(points), 2000):
            result[begin : begin + 2000] = self._some(points[begin : begin + 2000])
        return result

    def _some(self, points: Floats) -> Floats:
        turns = np.zeros(len(points))
        top = len(self._levels[-1][2])
        position, cluster = np.repeat(np.arange(len(points)), top), np.tile(np.arange(top), len(points))
        for level in range(len(self._levels) - 1, -1, -1):
            centre, area, radius = self._levels[level]
            way = centre[cluster] - points[position]
            away = np.sqrt((way**2).sum(axis=1))
            far = away > self.FAR * radius[cluster]
            part = np.einsum("ij,ij->i", way[far], area[cluster[far]]) / away[far] ** 3
            turns += np.bincount(position[far], weights=part, minlength=len(points))
            below = len(self._levels[level - 1][2]) if level else len(self._corners)
            position = np.repeat(position[~far], self.FAN)
            cluster = (cluster[~far][:, None] * self.FAN + np.arange(self.FAN)).ravel()
            position, cluster = position[cluster < below], cluster[cluster < below]
        angle = _solid_angles(self._corners[cluster] - points[position][:, None])
        turns += np.bincount(position, weights=angle, minlength=len(points))
        return turns / (4.0 * np.pi)


def _solid_angles(ways: Floats) -> Floats:
    """(n,) solid angle of triangles seen from the origin, positive from behind: from within an outward one [2]_."""
    a, b, c = ways[:, 0], ways[:, 1], ways[:, 2]
    la, lb, lc = (np.sqrt((each**2).sum(axis=1)) for each in (a, b, c))
    over = np.einsum("ij,ij->i", a, np.cross(b, c))
    under = (
        la * lb * lc + np.einsum("ij,ij->i", a, b) * lc + np.einsum("ij,ij->i", b, c) * la
        + np.einsum("ij,ij->i", c, a) * lb
    )
    angle: Floats = 2.0 * np.arctan2(over, under)
    return angle

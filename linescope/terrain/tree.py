"""Triangles in boxes within boxes, and the search for the smallest distance of curves from them, in compiled loops.

Distance changes by at most the length walked.  So a stretch of curve about a point at distance d, with nothing farther
than h along it, is nowhere nearer than d - h: whole curves, then chords, then pieces of chords are left out, and what
remains is settled exactly, piece against triangle.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.compiled import compiled
from linescope.terrain.triangles import segment_to_triangle, to_triangle

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

LEAF = 4
"""Triangles in a box that holds no boxes, at most."""
DEEP = 64
"""Boxes that wait while one is looked into: one a level."""
_SHARE, _LEAST = 0.25, 0.05
"""Pieces of chord shorter than this share of their distance [-], than a box or than this length [m] are settled against
triangles."""
_SPREAD = (
    (32, 0x1F00000000FFFF), (16, 0x1F0000FF0000FF), (8, 0x100F00F00F00F00F), (4, 0x10C30C30C30C30C3),
    (2, 0x1249249249249249),
)  # fmt: skip
# Two zeros between every two bits of a number of 21 bits.
_CELLS = 2.0**21 - 1.0  # Along the longest side.
PLACE, NEAREST, VALUES = 1, 2, 5  # Of what is found for a group: distance, share of the chord, place on the ground.


@dataclass(frozen=True, eq=False, kw_only=True)
class Tree:
    """A mesh made ready; built once, never changed.

    Attributes
    ----------
    face : (k,) int
        Triangles in their order in space.
    corners : (k, 9) float
        Of the triangles in that order.  [m]
    starts : (l + 1,) int
        Where in that order each of the l smallest boxes begins; l is a power of two.
    boxes : (2 l - 1, 6) float
        Lowest and highest x, y, z; box i holds boxes 2 i + 1 and 2 i + 2, the last l hold triangles.  [m]
    cell : float
        Size of a smallest box: the diagonal that half of them have.  [m]
    """

    face: Ints
    corners: Floats
    starts: Ints
    boxes: Floats
    cell: float

    @classmethod
    def of(cls, vertices: Floats, faces: Ints) -> Tree:
        """The tree of a mesh.

        Parameters
        ----------
        vertices : (n, 3) float
            [m]
        faces : (k, 3) int
        """
        three = vertices[faces]
        face = in_order_of_place((three[:, 0] + three[:, 1] + three[:, 2]) / 3.0)
        corners = np.ascontiguousarray(three[face]).reshape(-1, 9)
        leaves = 1
        while leaves * LEAF < len(face):
            leaves *= 2
        starts = (np.arange(leaves + 1) * len(face)) // leaves
        boxes = np.empty((2 * leaves - 1, 6))
        ordered = corners.reshape(-1, 3, 3)
        a, b, c = ordered[:, 0], ordered[:, 1], ordered[:, 2]
        low, high = np.minimum(np.minimum(a, b), c), np.maximum(np.maximum(a, b), c)
        begins = np.minimum(starts[:-1], len(face) - 1)
        boxes[leaves - 1 :, :3] = np.minimum.reduceat(low, begins)
        boxes[leaves - 1 :, 3:] = np.maximum.reduceat(high, begins)
        sides = boxes[leaves - 1 :, 3:] - boxes[leaves - 1 :, :3]
        size = leaves
        while size > 1:
            children = boxes[size - 1 : 2 * size - 1].reshape(-1, 2, 6)
            size //= 2
            boxes[size - 1 : 2 * size - 1, :3] = children[:, :, :3].min(axis=1)
            boxes[size - 1 : 2 * size - 1, 3:] = children[:, :, 3:].max(axis=1)
        return cls(
            face=face, corners=corners, starts=starts, boxes=boxes,
            cell=float(np.median(np.sqrt((sides**2).sum(axis=1)))),
        )

    def distance(self, points: Floats) -> tuple[Floats, Floats, Ints]:
        """Distance of points (n, 3) [m], nearest places (n, 3) [m] and triangles (n,)."""
        distance, nearest = np.empty(len(points)), np.empty((len(points), 3))
        at = np.empty(len(points), dtype=np.int64)
        _all_near(self.boxes, self.starts, self.corners, np.ascontiguousarray(points), distance, nearest, at)
        return distance, nearest, self.face[at]

    def touched(self, low: Floats, high: Floats) -> Ints:
        """Triangles whose smallest box meets one of some boxes (m, 3), (m, 3) [m]."""
        found = np.zeros(len(self.face), dtype=np.bool_)
        _touched(self.boxes, self.starts, np.ascontiguousarray(low), np.ascontiguousarray(high), found)
        return self.face[found]


def in_order_of_place(p: Floats) -> Ints:
    """Order along a space-filling (Morton) curve, so that neighbours in the list are neighbours in space.

    Parameters
    ----------
    p : (n, 3) float
        [m]
    """
    low = p.min(axis=0)
    cells = ((p - low) * (_CELLS / max(float((p.max(axis=0) - low).max()), 1e-9))).astype(np.int64)
    for shift, mask in _SPREAD:
        cells = (cells | (cells << shift)) & mask
    return np.argsort(cells @ np.array([1, 2, 4]), kind="stable")


Box = tuple[float, float, float, float, float, float]
"""Lowest x, y and z, and highest; of a place both are the same. [m]"""


@compiled
def _apart(boxes: Floats, node: int, box: Box) -> float:
    """Squared distance of two boxes; 0 where they meet."""
    dx: float = max(boxes[node, 0] - box[3], 0.0, box[0] - boxes[node, 3])
    dy: float = max(boxes[node, 1] - box[4], 0.0, box[1] - boxes[node, 4])
    dz: float = max(boxes[node, 2] - box[5], 0.0, box[2] - boxes[node, 5])
    return dx * dx + dy * dy + dz * dz


@compiled
def _next_leaf(
    boxes: Floats, inner: int, box: Box, within: float, top: int, wait: Ints, far: Floats
) -> tuple[int, int]:
    """The next box of triangles that is nearer than `within`, squared, and how many boxes wait; -1 for none.

    Of two boxes the nearer one is gone into and the other one waits.
    """
    while top > 0:
        top -= 1
        node, gap = wait[top], far[top]
        while gap < within and node < inner:
            one, two = 2 * node + 1, 2 * node + 2
            gap, other = _apart(boxes, one, box), _apart(boxes, two, box)
            node, aside = one, two
            if other < gap:
                node, aside, gap, other = two, one, other, gap
            if other < within:
                wait[top], far[top] = aside, other
                top += 1
        if gap < within:
            return node - inner, top
    return -1, 0


@compiled
def near(
    boxes: Floats, starts: Ints, corners: Floats, x: float, y: float, z: float, within: float, guess: int, wait: Ints,
    far: Floats,
) -> tuple[float, int, float, float, float]:
    """The triangle nearest to a place.

    Parameters
    ----------
    boxes, starts, corners
        Of a `Tree`.
    x, y, z : float
        [m]
    within : float
        Only what is nearer matters; squared.  [m²]
    guess : int
        A triangle that may be near, in the order of the tree; costs nothing but time when it is wrong.
    wait : (DEEP,) int array
    far : (DEEP,) array
        Room to work in.

    Returns
    -------
    float
        Squared distance; `within` where nothing is nearer.  [m²]
    int
        Number of the triangle in the order of the tree; -1 where nothing is nearer.
    x, y, z : float
        The nearest place.  [m]
    """
    inner = len(starts) - 2
    at, nx, ny, nz = -1, 0.0, 0.0, 0.0
    d, tx, ty, tz = to_triangle(x, y, z, corners[guess])
    if d < within:
        within, at, nx, ny, nz = d, guess, tx, ty, tz
    box = (x, y, z, x, y, z)
    wait[0], far[0] = 0, _apart(boxes, 0, box)
    leaf, top = _next_leaf(boxes, inner, box, within, 1, wait, far)
    while leaf >= 0:
        for k in range(starts[leaf], starts[leaf + 1]):
            d, tx, ty, tz = to_triangle(x, y, z, corners[k])
            if d < within:
                within, at, nx, ny, nz = d, k, tx, ty, tz
        leaf, top = _next_leaf(boxes, inner, box, within, top, wait, far)
    return within, at, nx, ny, nz


@compiled
def _all_near(
    boxes: Floats, starts: Ints, corners: Floats, points: Floats, distance: Floats, nearest: Floats, at: Ints
) -> None:
    wait, far, j = np.empty(DEEP, dtype=np.int64), np.empty(DEEP), 0
    for k in range(len(points)):
        d, j, x, y, z = near(
            boxes, starts, corners, points[k, 0], points[k, 1], points[k, 2], np.inf, j, wait, far
        )
        distance[k], at[k] = math.sqrt(d), j
        nearest[k, 0], nearest[k, 1], nearest[k, 2] = x, y, z


@compiled
def _piece_near(
    boxes: Floats, starts: Ints, corners: Floats, p: Floats, q: Floats, within: float, wait: Ints, far: Floats
) -> tuple[float, int, float, float, float, float]:
    """The triangle nearest to a straight piece of line, as `near`; with the share of the piece before the place."""
    inner = len(starts) - 2
    at, share, nx, ny, nz = -1, 0.0, 0.0, 0.0, 0.0
    box = (
        min(p[0], q[0]), min(p[1], q[1]), min(p[2], q[2]), max(p[0], q[0]), max(p[1], q[1]), max(p[2], q[2])
    )
    wait[0], far[0] = 0, _apart(boxes, 0, box)
    leaf, top = _next_leaf(boxes, inner, box, within, 1, wait, far)
    while leaf >= 0:
        for k in range(starts[leaf], starts[leaf + 1]):
            d, s, tx, ty, tz = segment_to_triangle(p[0], p[1], p[2], q[0], q[1], q[2], corners[k])
            if d < within:
                within, at, share, nx, ny, nz = d, k, s, tx, ty, tz
        leaf, top = _next_leaf(boxes, inner, box, within, top, wait, far)
    return within, at, share, nx, ny, nz


@compiled
def _touched(boxes: Floats, starts: Ints, low: Floats, high: Floats, found: Flags) -> None:
    inner = len(starts) - 2
    wait = np.empty(DEEP, dtype=np.int64)
    for i in range(len(low)):
        box = (low[i, 0], low[i, 1], low[i, 2], high[i, 0], high[i, 1], high[i, 2])
        wait[0], top = 0, 1
        while top > 0:
            top -= 1
            node = wait[top]
            if _apart(boxes, node, box) > 0.0:
                continue
            if node < inner:
                wait[top], wait[top + 1] = 2 * node + 1, 2 * node + 2
                top += 2
            else:
                found[starts[node - inner] : starts[node - inner + 1]] = True


@compiled
def _offer(
    g: int, chord: int, share: float, distance: float, sagitta: float, at: int, x: float, y: float, z: float,
    value: Floats, chords: Ints, found: Floats, faces: Ints,
) -> None:
    """A place on a chord, taken where it beats the best of its group so far."""
    if distance - sagitta < value[g]:
        value[g], chords[g], faces[g] = distance - sagitta, chord, at
        found[g, 0], found[g, PLACE] = distance, share
        found[g, NEAREST], found[g, NEAREST + 1], found[g, NEAREST + 2] = x, y, z


@compiled
def _settle(
    boxes: Floats, starts: Ints, corners: Floats, cell: float, chord: int, length: float, sagitta: float, g: int,
    value: Floats, chords: Ints, found: Floats, faces: Ints, wait: Ints, far: Floats, room: Floats, pieces: Floats,
) -> None:
    """One chord, whose ends are in the last rows of `room`, in pieces short enough to have few triangles around."""
    a, b = room[2], room[3]
    pieces[0, 0], pieces[0, 1], top = 0.0, 1.0, 1
    while top > 0:
        top -= 1
        begin, end = pieces[top, 0], pieces[top, 1]
        half, middle = 0.5 * (end - begin) * length, 0.5 * (begin + end)
        limit = value[g] + sagitta + half
        if limit <= 0.0:
            continue
        d, at, x, y, z = near(
            boxes, starts, corners, a[0] + middle * (b[0] - a[0]), a[1] + middle * (b[1] - a[1]),
            a[2] + middle * (b[2] - a[2]), limit * limit, max(faces[g], 0), wait, far,
        )
        if at < 0:
            continue
        d = math.sqrt(d)
        _offer(g, chord, middle, d, sagitta, at, x, y, z, value, chords, found, faces)
        if d - half - sagitta >= value[g]:
            continue
        if half > max(cell, _LEAST, _SHARE * d) and top + 2 < len(pieces):
            pieces[top, 0], pieces[top, 1] = begin, middle
            pieces[top + 1, 0], pieces[top + 1, 1] = middle, end
            top += 2
            continue
        limit = max(value[g] + sagitta, 0.0)
        for k in range(3):
            room[0, k] = a[k] + begin * (b[k] - a[k])
            room[1, k] = a[k] + end * (b[k] - a[k])
        d, at, share, x, y, z = _piece_near(
            boxes, starts, corners, room[0], room[1], limit * limit, wait, far
        )
        if at >= 0:
            _offer(
                g, chord, begin + share * (end - begin), math.sqrt(d), sagitta, at, x, y, z, value, chords, found, faces
            )


@compiled
def _local(nodes: Floats, k: int, centre: Floats) -> tuple[float, float, float]:
    """A node in the frame of the tree.  [m]"""
    return nodes[k, 0] - centre[0], nodes[k, 1] - centre[1], nodes[k, 2] - centre[2]


@compiled
def search(
    boxes: Floats, starts: Ints, corners: Floats, cell: float, centre: Floats, nodes: Floats, first: Ints, edge: Ints,
    reached: Floats, sagitta: Floats, most: Floats, group: Ints, wanted: Flags, value: Floats, chords: Ints,
    found: Floats, faces: Ints,
) -> None:
    """Of each group of curves, where it comes nearest to the triangles, if nearer than its value.

    Parameters
    ----------
    boxes, starts, corners, cell
        Of a `Tree`.
    centre : (3,) array
        Origin of the tree.  [m]
    nodes : (n, 3) array
        [m]
    first : (m,) int array
        Node at which each chord starts; it ends at the next.
    edge : (c + 1,) int array
        First chord of each curve, and the end of the last.
    reached : (m + 1,) array
        Length of all chords before each.  [m]
    sagitta : (m,) array
        How far the true curve may lie from each chord; taken off.  [m]
    most : (c,) array
        The largest of each curve.  [m]
    group : (c,) int array
        Of each curve.
    wanted : (g,) bool array
        Groups to look at.
    value : (g,) array
        Smallest distances known, less sagitta; lowered in place.  [m]
    chords : (g,) int array
    found : (g, VALUES) array
    faces : (g,) int array
        What is found: the chord; its distance, the share of the chord before the place, the nearest place; and the
        number of the triangle in the order of the tree.  Left as they are where nothing is nearer.
    """
    wait, far = np.empty(DEEP, dtype=np.int64), np.empty(DEEP)
    room, pieces = np.empty((4, 3)), np.empty((4 * DEEP, 2))
    last = 0
    ranges = np.empty((2 * DEEP, 2), dtype=np.int64)
    # The middle of each curve first: then most of the others are soon known to be farther.
    for c in range(len(group)):
        g = group[c]
        if wanted[g]:
            k = (edge[c] + edge[c + 1]) // 2
            limit = value[g] + sagitta[k]
            if limit > 0.0:
                x, y, z = _local(nodes, first[k], centre)
                d, at, x, y, z = near(boxes, starts, corners, x, y, z, limit * limit, last, wait, far)
                if at >= 0:
                    last = at
                    _offer(g, k, 0.0, math.sqrt(d), sagitta[k], at, x, y, z, value, chords, found, faces)
    for c in range(len(group)):
        g = group[c]
        if not wanted[g]:
            continue
        ranges[0, 0], ranges[0, 1], top = edge[c], edge[c + 1], 1
        while top > 0:
            top -= 1
            begin, end = ranges[top, 0], ranges[top, 1]
            if end - begin == 1:
                for k in range(2):
                    room[2 + k, 0], room[2 + k, 1], room[2 + k, 2] = _local(nodes, first[begin] + k, centre)
                _settle(
                    boxes, starts, corners, cell, begin, reached[begin + 1] - reached[begin], sagitta[begin], g, value,
                    chords, found, faces, wait, far, room, pieces,
                )
                continue
            middle = (begin + end) // 2
            left, right = reached[middle] - reached[begin], reached[end] - reached[middle]
            limit = value[g] + most[c] + max(left, right)
            if limit <= 0.0:
                continue
            x, y, z = _local(nodes, first[middle], centre)
            d, at, x, y, z = near(boxes, starts, corners, x, y, z, limit * limit, last, wait, far)
            if at < 0:
                continue
            d, last = math.sqrt(d), at
            _offer(g, middle, 0.0, d, sagitta[middle], at, x, y, z, value, chords, found, faces)
            for a, b, way in ((begin, middle, left), (middle, end, right)):
                if d - way - most[c] < value[g]:
                    ranges[top, 0], ranges[top, 1] = a, b
                    top += 1


@compiled
def _worth_it(
    boxes: Floats, starts: Ints, corners: Floats, centre: Floats, points: Floats, sagitta: Floats, family: Ints,
    known: Floats, least: Floats, enough: Floats, beyond: float, start: Floats, along: Floats, near_end: float,
    far_end: float, begin: int, step: int, keep: Flags, middle: Floats, wait: Ints, far: Floats,
) -> None:
    m, last = points.shape[1] // 2, 0
    for c in range(begin, len(points), step):
        f = family[c]
        x, y, z = points[c, m, 0], points[c, m, 1], points[c, m, 2]
        middle[c, 0], middle[c, 1], middle[c, 2] = x, y, z
        if f < 0:
            continue
        reach = 0.0
        for k in range(points.shape[1]):
            dx, dy, dz = points[c, k, 0] - x, points[c, k, 1] - y, points[c, k, 2] - z
            reach = max(reach, dx * dx + dy * dy + dz * dz)
        reach = math.sqrt(reach)
        place = (x - start[0]) * along[0] + (y - start[1]) * along[1] + (z - start[2]) * along[2]
        if place - reach < near_end or place + reach > far_end:
            continue
        sag = 0.0
        for k in range(sagitta.shape[1]):
            sag = max(sag, sagitta[c, k])
        limit = max(min(max(least[f] + beyond, enough[f]), known[c]), 0.0) + reach + sag
        d, at, _, _, _ = near(
            boxes, starts, corners, x - centre[0], y - centre[1], z - centre[2], limit * limit, last, wait, far
        )
        keep[c] = at >= 0
        if at >= 0:
            last = at
            least[f] = min(least[f], math.sqrt(d))


@compiled
def worth(
    boxes: Floats, starts: Ints, corners: Floats, centre: Floats, points: Floats, sagitta: Floats, family: Ints,
    known: Floats, least: Floats, enough: Floats, beyond: float, start: Floats, along: Floats, near_end: float,
    far_end: float, keep: Flags, middle: Floats,
) -> None:
    """Which curves may come as near as matters, by how far their middles are and how far they reach from there.

    Parameters
    ----------
    boxes, starts, corners, centre
        Of a `Tree`, and its origin.
    points, sagitta : (c, m + 1, 3) and (c, m) array
        Of the curves.  [m]
    family : (c,) int array
        Of each; -1 for one that is kept in any case.
    known : (c,) array
        Smallest distance known of the group of each.  [m]
    least : (f,) array
        Smallest distance known of each family; lowered in place, never below the true smallest distance.  [m]
    enough : (f,) array
        Distance that matters in any case.  [m]
    beyond : float
        Beyond the smallest of a family nothing else matters.  [m]
    start, along : (3,) array
        Anchor A and the unit vector to anchor B.  [m, -]
    near_end, far_end : float
        Curves that may reach beyond these, from A, are kept.  [m]
    keep : (c,) bool array
        All true; made false where a curve lies farther off than matters.
    middle : (c, 3) array
        Their middles are put in.  [m]
    """
    wait, far = np.empty(DEEP, dtype=np.int64), np.empty(DEEP)
    some = 16  # Of every so many one first: then most of the others are soon known to be farther.
    for begin in range(some):
        _worth_it(
            boxes, starts, corners, centre, points, sagitta, family, known, least, enough, beyond, start, along,
            near_end, far_end, begin, some, keep, middle, wait, far,
        )

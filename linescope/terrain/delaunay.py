"""Neighbours in plan joined: Delaunay's triangles of many points, one point after the other.

Points stand on whole numbers, so that on which side of an edge one lies is exact.  Whether it lies within a circle is
told in floating point with a bound of its error; where that does not tell, both ways of joining four points on one
circle are as good.

References
----------
.. [1] C. L. Lawson, "Software for C1 surface interpolation", Mathematical Software III, Academic Press 1977, 161-194:
   an edge is turned until no circle round a triangle holds the point beyond it.
.. [2] J. R. Shewchuk, "Adaptive precision floating-point arithmetic and fast robust geometric predicates", Discrete
   Comput. Geom. 18 (1997) 305-363: the bound of the error, section 4.3.
.. [3] N. Amenta, S. Choi, G. Rote, "Incremental constructions con BRIO", Proc. 19th ACM Symp. Comput. Geom. (2003)
   211-219: rounds of points, in each of which they follow a curve.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.compiled import compiled

Ints = NDArray[np.int64]
Indices = NDArray[np.int32]

BITS = 22
"""Whole numbers go from 0 to 2 to this power: 0.1 mm over 500 m."""
_FAR = 1 << 28
_ERROR = (10.0 + 96.0 * 2.0**-53) * 2.0**-53
_ROUNDS = 8


def joined_in_plan(places: Ints) -> Indices:
    """Triangles between places that are neighbours.

    Parameters
    ----------
    places : (n, 2) int
        All different, from 0 to 2 ** `BITS`.

    Returns
    -------
    (k, 3) int
        Anticlockwise.  Along the outer border those may be missing that are flat as a line.
    """
    at = np.concatenate([places, [[-_FAR, -_FAR], [_FAR, -_FAR], [0, _FAR]]]).astype(np.int64)
    return _built(at, _order(places))


def _order(places: Ints) -> Ints:
    """Few points first and each round twice as many; within a round along a curve that fills the plane."""
    code = np.zeros(len(places), dtype=np.int64)
    for axis in (0, 1):
        each = places[:, axis].astype(np.int64)
        for shift, mask in ((16, 0x0000FFFF0000FFFF), (8, 0x00FF00FF00FF00FF), (4, 0x0F0F0F0F0F0F0F0F),
                            (2, 0x3333333333333333), (1, 0x5555555555555555)):  # fmt: skip
            each = (each | (each << shift)) & mask
        code |= each << axis
    chance = np.random.default_rng(0).random(len(places))
    turn = np.minimum(np.floor(-np.log2(np.maximum(chance, 1e-9))), _ROUNDS - 1).astype(np.int64)
    return np.lexsort((code, -turn))


@compiled
def _side(at: Ints, a: int, b: int, p: int) -> int:
    """Twice the area of a, b, p: above zero where p lies to the left of a to b."""
    area: int = (at[b, 0] - at[a, 0]) * (at[p, 1] - at[a, 1]) - (at[b, 1] - at[a, 1]) * (at[p, 0] - at[a, 0])
    return area


@compiled
def _within(at: Ints, a: int, b: int, c: int, p: int) -> bool:
    """Whether p lies within the circle through a, b, c (anticlockwise), for certain."""
    ax, ay = float(at[a, 0] - at[p, 0]), float(at[a, 1] - at[p, 1])
    bx, by = float(at[b, 0] - at[p, 0]), float(at[b, 1] - at[p, 1])
    cx, cy = float(at[c, 0] - at[p, 0]), float(at[c, 1] - at[p, 1])
    a2, b2, c2 = ax * ax + ay * ay, bx * bx + by * by, cx * cx + cy * cy
    det = a2 * (bx * cy - cx * by) + b2 * (cx * ay - ax * cy) + c2 * (ax * by - bx * ay)
    size = (
        a2 * (abs(bx * cy) + abs(cx * by)) + b2 * (abs(cx * ay) + abs(ax * cy)) + c2 * (abs(ax * by) + abs(bx * ay))
    )
    return det > _ERROR * size


@compiled
def _turned(beyond: NDArray[np.int32], triangle: int, old: int, new: int) -> None:
    """Let a triangle, if there is one, have another neighbour across the side where it had an old one."""
    if triangle < 0:
        return
    for k in range(3):
        if beyond[triangle, k] == old:
            beyond[triangle, k] = new
            return


@compiled
def _built(at: Ints, order: Ints) -> Indices:
    n = len(at) - 3
    most = 2 * n + 1
    corner = np.empty((most, 3), dtype=np.int32)
    beyond = np.full((most, 3), -1, dtype=np.int32)  # Across the side that faces this corner.
    corner[0, 0], corner[0, 1], corner[0, 2] = n, n + 1, n + 2
    used, now = 1, 0
    stack = np.empty(4096, dtype=np.int32)
    for number in range(n):
        p = order[number]
        # To the triangle that holds p: across any side that has it on its outer side.
        first = number % 3
        while True:
            moved = False
            for k in range(3):
                i = (first + k) % 3
                if _side(at, corner[now, (i + 1) % 3], corner[now, (i + 2) % 3], p) < 0:
                    now = beyond[now, i]
                    moved = True
                    break
            if not moved:
                break
            first = (first + 1) % 3
        # Three in place of one.  On an edge, one of them is flat until that edge is turned below.
        a, b, c = corner[now, 0], corner[now, 1], corner[now, 2]
        na, nb, nc = beyond[now, 0], beyond[now, 1], beyond[now, 2]
        t1, t2 = used, used + 1
        used += 2
        corner[now, 0], corner[now, 1], corner[now, 2] = p, b, c
        corner[t1, 0], corner[t1, 1], corner[t1, 2] = p, c, a
        corner[t2, 0], corner[t2, 1], corner[t2, 2] = p, a, b
        beyond[now, 0], beyond[now, 1], beyond[now, 2] = na, t1, t2
        beyond[t1, 0], beyond[t1, 1], beyond[t1, 2] = nb, t2, now
        beyond[t2, 0], beyond[t2, 1], beyond[t2, 2] = nc, now, t1
        _turned(beyond, nb, now, t1)
        _turned(beyond, nc, now, t2)
        stack[0], stack[1], stack[2] = now, t1, t2
        waiting = 3
        while waiting > 0:
            waiting -= 1
            t = stack[waiting]  # Its corner 0 is p.
            other = beyond[t, 0]
            if other < 0:
                continue
            u, v = corner[t, 1], corner[t, 2]
            k = 0
            while beyond[other, k] != t:
                k += 1
            q = corner[other, k]
            if not (_within(at, p, u, v, q) or _side(at, u, v, p) == 0):
                continue
            # p u v and q v u become p u q and p q v.
            beside, ahead = beyond[t, 1], beyond[t, 2]  # Beyond v p, and beyond p u.
            far_u = beyond[other, (k + 1) % 3]  # In the other triangle q, v, u: beyond u q.
            far_v = beyond[other, (k + 2) % 3]
            corner[t, 0], corner[t, 1], corner[t, 2] = p, u, q
            corner[other, 0], corner[other, 1], corner[other, 2] = p, q, v
            beyond[t, 0], beyond[t, 1], beyond[t, 2] = far_u, other, ahead
            beyond[other, 0], beyond[other, 1], beyond[other, 2] = far_v, beside, t
            _turned(beyond, far_u, other, t)
            _turned(beyond, beside, t, other)
            if waiting + 2 > len(stack):
                longer = np.empty(2 * len(stack), dtype=np.int32)
                longer[: len(stack)] = stack
                stack = longer
            stack[waiting], stack[waiting + 1] = t, other
            waiting += 2
    kept = 0
    for t in range(used):
        if corner[t, 0] < n and corner[t, 1] < n and corner[t, 2] < n:
            for k in range(3):
                corner[kept, k] = corner[t, k]
            kept += 1
    return corner[:kept].copy()

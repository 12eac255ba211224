"""Exact distances between points, segments and triangles, many pairs at a time (plain arrays in and out)."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_TINY = np.finfo(np.float64).tiny


def _dot(u: Floats, v: Floats) -> Floats:
    product: Floats = np.einsum("ij,ij->i", u, v)
    return product


def points_to_segments(p: Floats, a: Floats, b: Floats) -> Floats:
    """Nearest point of each segment to each point, pair by pair.

    Parameters
    ----------
    p, a, b : (n, 3) float
        Points, first and second ends of the segments. [m]

    Returns
    -------
    (n, 3) float
        Nearest points on the segments. [m]
    """
    ab = b - a
    t = np.clip(_dot(p - a, ab) / np.maximum(_dot(ab, ab), _TINY), 0.0, 1.0)
    nearest: Floats = a + t[:, None] * ab
    return nearest


def points_to_triangles(p: Floats, a: Floats, b: Floats, c: Floats) -> Floats:
    """Nearest point of each triangle to each point, pair by pair.

    Parameters
    ----------
    p : (n, 3) float
        Points. [m]
    a, b, c : (n, 3) float
        Corners; a triangle without area is treated as its edges. [m]

    Returns
    -------
    (n, 3) float
        Nearest points on the triangles. [m]

    Notes
    -----
    If the foot of the perpendicular is inside, it is the answer; if not, the nearest point lies on an edge.
    The foot comes from an orthogonal in-plane frame, whose rounding grows as 1/sine of the corner, not as
    its square; slivers are also offered their edges.  Coordinates should be centred for far-away frames.
    """
    ab, ac, ap = b - a, c - a, p - a
    length = np.maximum(_dot(ab, ab), _TINY)
    shear = _dot(ab, ac) / length
    across = ac - shear[:, None] * ab
    width, reach = _dot(across, across), _dot(ac, ac)
    flat = width > 1e-24 * reach
    w = np.where(flat, _dot(ap, across) / np.maximum(width, _TINY), -1.0)
    v = _dot(ap, ab) / length - w * shear
    inside = (v >= 0.0) & (w >= 0.0) & (v + w <= 1.0)
    nearest: Floats = a + v[:, None] * ab + w[:, None] * ac
    edges = np.flatnonzero(~inside | (width < 1e-6 * reach))
    if len(edges):
        on_edge = _nearest_on_edges(p[edges], a[edges], b[edges], c[edges])
        gap_edge, gap_face = p[edges] - on_edge, p[edges] - nearest[edges]
        keep = inside[edges] & (_dot(gap_face, gap_face) < _dot(gap_edge, gap_edge))
        nearest[edges] = np.where(keep[:, None], nearest[edges], on_edge)
    return nearest


def _nearest_on_edges(p: Floats, a: Floats, b: Floats, c: Floats) -> Floats:
    best = points_to_segments(p, a, b)
    d = p - best
    best_squared = _dot(d, d)
    for start, end in ((b, c), (c, a)):
        q = points_to_segments(p, start, end)
        d = p - q
        squared = _dot(d, d)
        closer = squared < best_squared
        best[closer] = q[closer]
        best_squared = np.where(closer, squared, best_squared)
    return best


def frames(a: Floats, b: Floats, c: Floats) -> Floats:
    """What `bounds_to_triangles` needs of each triangle.

    Parameters
    ----------
    a, b, c : (n, 3) float
        Corners. [m]

    Returns
    -------
    (n, 17) float
        First corner; directions that turn a place into the coordinates along a-b and across it, in shares of the
        triangle, and the height above its plane; the first coordinate's change with the second; heights of the
        triangle over b-c, c-a and a-b; and infinity for slivers, of which nothing is known, otherwise 0.
    """
    ab, ac = b - a, c - a
    length = np.maximum(_dot(ab, ab), _TINY)
    shear = _dot(ab, ac) / length
    across = ac - shear[:, None] * ab
    width = _dot(across, across)
    sliver = width < 1e-6 * _dot(ac, ac)
    normal = np.cross(ab, ac)
    double = np.sqrt(_dot(normal, normal))
    size = np.maximum(double, _TINY)
    sides = np.sqrt(np.maximum(np.stack([_dot(c - b, c - b), _dot(ac, ac), length]), _TINY))
    result = np.column_stack([
        a, ab / length[:, None], across / np.maximum(width, _TINY)[:, None], normal / size[:, None], shear,
        *(double / sides), np.zeros(len(a)),
    ])
    result[sliver, 3:] = 0.0
    result[sliver, -1] = np.inf
    return result


def bounds_to_triangles(p: Floats, frame: Floats) -> tuple[Floats, Floats]:
    """Bounds of the squared distance of each point to each triangle, pair by pair.

    Parameters
    ----------
    p : (n, 3) float
        Points. [m]
    frame : (n, 17) float
        Of `frames`.  [m, 1/m]

    Returns
    -------
    low, high : (n,) float
        Height above the plane, and how far the foot of the perpendicular lies beyond one of the sides.  `high` is the
        distance where the foot is inside, and infinite elsewhere. [m²]
    """
    along, w, height = np.einsum("nij,nj->in", frame[:, 3:12].reshape(-1, 3, 3), p - frame[:, :3])
    v = along - w * frame[:, 12]
    beside = np.maximum((v + w - 1.0) * frame[:, 13], np.maximum(-v * frame[:, 14], -w * frame[:, 15]))
    low = height * height
    high = np.where(beside <= 0.0, low + frame[:, 16], np.inf)
    return low + np.maximum(beside, 0.0) ** 2, high


def segments_to_segments(p: Floats, q: Floats, a: Floats, b: Floats) -> tuple[Floats, Floats]:
    """Parameters of the nearest points of segments p-q and a-b, pair by pair.

    Parameters
    ----------
    p, q, a, b : (n, 3) float
        Ends of the first and the second segments. [m]

    Returns
    -------
    s, t : (n,) float
        Nearest points are ``p + s (q - p)`` and ``a + t (b - a)``, both parameters within 0 and 1.

    References
    ----------
    .. [1] Ericson, *Real-Time Collision Detection*, 2005, section 5.1.9 (method from memory, tested by brute
           force).
    """
    u, v, r = q - p, b - a, p - a
    uu, vv, uv, ur, vr = _dot(u, u), _dot(v, v), _dot(u, v), _dot(u, r), _dot(v, r)
    det = uu * vv - uv * uv
    skew = det > 1e-14 * uu * vv
    s = np.where(skew, np.clip((uv * vr - ur * vv) / np.where(skew, det, 1.0), 0.0, 1.0), 0.0)
    t = (uv * s + vr) / np.maximum(vv, _TINY)
    t = np.clip(t, 0.0, 1.0)
    s = np.clip((uv * t - ur) / np.maximum(uu, _TINY), 0.0, 1.0)
    # One more sweep settles pairs whose first t was clipped or whose segments are parallel.
    t = np.clip((uv * s + vr) / np.maximum(vv, _TINY), 0.0, 1.0)
    return s, t


def segments_to_triangles(p: Floats, q: Floats, a: Floats, b: Floats, c: Floats) -> tuple[Floats, Floats, Floats]:
    """Smallest distance of each segment to each triangle, pair by pair.

    Parameters
    ----------
    p, q : (n, 3) float
        Ends of the segments; they may coincide. [m]
    a, b, c : (n, 3) float
        Corners of the triangles. [m]

    Returns
    -------
    distance : (n,) float
        Zero where the segment pierces the triangle. [m]
    s : (n,) float
        Where on the segment: ``p + s (q - p)``.
    nearest : (n, 3) float
        Nearest points on the triangles. [m]
    """
    n = len(p)
    best = np.full(n, np.inf)
    place = np.zeros(n)
    nearest = np.zeros((n, 3))

    def offer(s: Floats, on_triangle: Floats) -> None:
        gap = p + s[:, None] * (q - p) - on_triangle
        squared = _dot(gap, gap)
        better = squared < best
        best[better] = squared[better]
        place[better] = s[better]
        nearest[better] = on_triangle[better]

    offer(np.zeros(n), points_to_triangles(p, a, b, c))
    offer(np.ones(n), points_to_triangles(q, a, b, c))
    for start, end in ((a, b), (b, c), (c, a)):
        s, t = segments_to_segments(p, q, start, end)
        offer(s, start + t[:, None] * (end - start))
    # Piercing: ends on either side of the plane and the crossing point inside.
    normal = np.cross(b - a, c - a)
    hp, hq = _dot(p - a, normal), _dot(q - a, normal)
    crossing = (hp * hq <= 0.0) & (hp != hq)
    s = np.where(crossing, hp / np.where(crossing, hp - hq, 1.0), 0.0)
    at = p + s[:, None] * (q - p)
    foot = points_to_triangles(at, a, b, c)
    gap = at - foot
    size = np.maximum(_dot(b - a, b - a), _dot(c - a, c - a))
    pierced = crossing & (_dot(gap, gap) <= 1e-24 * np.maximum(size, 1.0))
    best[pierced] = 0.0
    place[pierced] = s[pierced]
    nearest[pierced] = foot[pierced]
    return np.sqrt(best), place, nearest


def covering_radius(a: Floats, b: Floats, c: Floats) -> Floats:
    """How far a point of a triangle can be from its nearest corner, at most.

    The circumradius of an acute triangle, half the longest edge of any other (a bound for obtuse ones).

    Parameters
    ----------
    a, b, c : (n, 3) float
        Corners. [m]

    Returns
    -------
    (n,) float
        Covering radius, never below half the longest edge. [m]
    """
    x, y, z = _dot(b - c, b - c), _dot(c - a, c - a), _dot(a - b, a - b)
    longest = np.maximum(np.maximum(x, y), z)
    cross = np.cross(b - a, c - a)
    area = 0.5 * np.sqrt(_dot(cross, cross))
    acute = 2.0 * longest < x + y + z
    radius = np.sqrt(x * y * z) / np.where(acute, np.maximum(4.0 * area, _TINY), 1.0)
    half: Floats = 0.5 * np.sqrt(longest)
    return np.where(acute, np.maximum(radius, half), half)

"""Exact distances between points, segments and triangles, one pair at a time in compiled loops."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from linescope.compiled import compiled

Floats = NDArray[np.float64]
Spot = tuple[float, float, float]
Nearest = tuple[float, float, float, float]

_TINY = float(np.finfo(np.float64).tiny)
_PIERCES = 1e-24


@compiled
def _to_segment(
    px: float, py: float, pz: float, ax: float, ay: float, az: float, bx: float, by: float, bz: float
) -> Nearest:
    """Squared distance of a point to a segment, and the nearest place on it."""
    ux, uy, uz = bx - ax, by - ay, bz - az
    t = ((px - ax) * ux + (py - ay) * uy + (pz - az) * uz) / max(ux * ux + uy * uy + uz * uz, _TINY)
    t = min(max(t, 0.0), 1.0)
    x, y, z = ax + t * ux, ay + t * uy, az + t * uz
    gx, gy, gz = px - x, py - y, pz - z
    return gx * gx + gy * gy + gz * gz, x, y, z


@compiled
def to_triangle(px: float, py: float, pz: float, corners: Floats) -> Nearest:
    """Squared distance of a point to a triangle, and the nearest place on it.

    If the foot of the perpendicular is inside, it is the answer; if not, the nearest place lies on an edge.  The foot
    comes from an orthogonal in-plane frame, whose rounding grows as 1/sine of the corner, not as its square; slivers
    are also offered their edges, and triangles without area are these.  Coordinates should be centred for far-away
    frames.

    Parameters
    ----------
    px, py, pz : float
        [m]
    corners : (9,) float
        x, y, z of each.  [m]
    """
    ax, ay, az = corners[0], corners[1], corners[2]
    ux, uy, uz = corners[3] - ax, corners[4] - ay, corners[5] - az
    vx, vy, vz = corners[6] - ax, corners[7] - ay, corners[8] - az
    rx, ry, rz = px - ax, py - ay, pz - az
    length = max(ux * ux + uy * uy + uz * uz, _TINY)
    shear = (ux * vx + uy * vy + uz * vz) / length
    wx, wy, wz = vx - shear * ux, vy - shear * uy, vz - shear * uz
    width, reach = wx * wx + wy * wy + wz * wz, vx * vx + vy * vy + vz * vz
    w = (rx * wx + ry * wy + rz * wz) / max(width, _TINY) if width > 1e-24 * reach else -1.0
    v = (rx * ux + ry * uy + rz * uz) / length - w * shear
    best, x, y, z = np.inf, ax, ay, az
    if v >= 0.0 and w >= 0.0 and v + w <= 1.0:
        x, y, z = ax + v * ux + w * vx, ay + v * uy + w * vy, az + v * uz + w * vz
        gx, gy, gz = px - x, py - y, pz - z
        best = gx * gx + gy * gy + gz * gz
        if width >= 1e-6 * reach:
            return best, x, y, z
    for k in range(3):
        i, j = 3 * k, 3 * ((k + 1) % 3)
        d, ex, ey, ez = _to_segment(
            px, py, pz, corners[i], corners[i + 1], corners[i + 2], corners[j], corners[j + 1], corners[j + 2]
        )
        if d < best:
            best, x, y, z = d, ex, ey, ez
    return best, x, y, z


@compiled
def _segments(
    px: float, py: float, pz: float, ux: float, uy: float, uz: float, ax: float, ay: float, az: float, vx: float,
    vy: float, vz: float,
) -> tuple[float, float]:
    """Where the segments p, p + u and a, a + v are nearest to each other: shares of u and v, 0 to 1.

    References
    ----------
    .. [1] Ericson, *Real-Time Collision Detection*, 2005, section 5.1.9 (method from memory, tested by brute
           force).
    """
    rx, ry, rz = px - ax, py - ay, pz - az
    uu, vv, uv = ux * ux + uy * uy + uz * uz, vx * vx + vy * vy + vz * vz, ux * vx + uy * vy + uz * vz
    ur, vr = ux * rx + uy * ry + uz * rz, vx * rx + vy * ry + vz * rz
    det = uu * vv - uv * uv
    s = min(max((uv * vr - ur * vv) / det, 0.0), 1.0) if det > 1e-14 * uu * vv else 0.0
    t = min(max((uv * s + vr) / max(vv, _TINY), 0.0), 1.0)
    s = min(max((uv * t - ur) / max(uu, _TINY), 0.0), 1.0)
    # One more sweep settles pairs whose first t was clipped or whose segments are parallel.
    t = min(max((uv * s + vr) / max(vv, _TINY), 0.0), 1.0)
    return s, t


@compiled
def segment_to_triangle(
    px: float, py: float, pz: float, qx: float, qy: float, qz: float, corners: Floats
) -> tuple[float, float, float, float, float]:
    """Squared distance of a segment to a triangle, the share of the segment and the place on the triangle.

    Parameters
    ----------
    px, py, pz, qx, qy, qz : float
        Ends of the segment; they may coincide.  [m]
    corners : (9,) float
        x, y, z of each.  [m]
    """
    ux, uy, uz = qx - px, qy - py, qz - pz
    best, x, y, z = to_triangle(px, py, pz, corners)
    place = 0.0
    d, ex, ey, ez = to_triangle(qx, qy, qz, corners)
    if d < best:
        best, place, x, y, z = d, 1.0, ex, ey, ez
    for k in range(3):
        i, j = 3 * k, 3 * ((k + 1) % 3)
        ax, ay, az = corners[i], corners[i + 1], corners[i + 2]
        vx, vy, vz = corners[j] - ax, corners[j + 1] - ay, corners[j + 2] - az
        s, t = _segments(px, py, pz, ux, uy, uz, ax, ay, az, vx, vy, vz)
        ex, ey, ez = ax + t * vx, ay + t * vy, az + t * vz
        gx, gy, gz = px + s * ux - ex, py + s * uy - ey, pz + s * uz - ez
        d = gx * gx + gy * gy + gz * gz
        if d < best:
            best, place, x, y, z = d, s, ex, ey, ez
    # Piercing: ends on either side of the plane and the crossing point inside.
    ax, ay, az = corners[0], corners[1], corners[2]
    vx, vy, vz = corners[3] - ax, corners[4] - ay, corners[5] - az
    wx, wy, wz = corners[6] - ax, corners[7] - ay, corners[8] - az
    nx, ny, nz = vy * wz - vz * wy, vz * wx - vx * wz, vx * wy - vy * wx
    hp = (px - ax) * nx + (py - ay) * ny + (pz - az) * nz
    hq = (qx - ax) * nx + (qy - ay) * ny + (qz - az) * nz
    if hp * hq <= 0.0 and hp != hq:
        s = hp / (hp - hq)
        d, ex, ey, ez = to_triangle(px + s * ux, py + s * uy, pz + s * uz, corners)
        size = max(vx * vx + vy * vy + vz * vz, wx * wx + wy * wy + wz * wz)
        if d <= _PIERCES * max(size, 1.0):
            best, place, x, y, z = 0.0, s, ex, ey, ez
    return best, place, x, y, z


@compiled
def _pairs(p: Floats, q: Floats, corners: Floats, distance: Floats, share: Floats, nearest: Floats) -> None:
    for k in range(len(p)):
        d, s, x, y, z = segment_to_triangle(p[k, 0], p[k, 1], p[k, 2], q[k, 0], q[k, 1], q[k, 2], corners[k])
        distance[k], share[k] = math.sqrt(d), s
        nearest[k, 0], nearest[k, 1], nearest[k, 2] = x, y, z


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
    distance, share, nearest = np.empty(n), np.empty(n), np.empty((n, 3))
    ends = np.ascontiguousarray(p, dtype=np.float64), np.ascontiguousarray(q, dtype=np.float64)
    _pairs(*ends, np.concatenate([a, b, c], axis=1).astype(np.float64), distance, share, nearest)
    return distance, share, nearest

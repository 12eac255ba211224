"""Named areas of the ground: a path, a road, a camp, where nobody stands; cut out of it exactly."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray

from linescope.errors import TerrainError
from linescope.terrain.between import cut
from linescope.terrain.located import Located
from linescope.terrain.model import Terrain, areas
from linescope.terrain.spec import NamedArea

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_NEAR = 1e-6
"""Corners so near to the outline, over its size, lie on it. [-]"""


def area_of(area: NamedArea, ground: Terrain, a: Floats, b: Floats, where: Located | None) -> Terrain:
    """The ground of a named area.

    Parameters
    ----------
    area : NamedArea
    ground : Terrain
    a, b : (3,) float
        Anchors. [m]
    where : Located or None
        The frame on the Earth, for an outline by latitude and longitude.

    Returns
    -------
    Terrain
        With its border.

    Raises
    ------
    TerrainError
        No area, an outline that crosses itself, no known ground in it, or a frame that is not known on the Earth.
    """
    if area.stations is not None:
        way = (b - a)[:2]
        run = float(np.hypot(*way))
        if run < 1e-9:
            raise TerrainError("the anchors stand one above the other", key=area.name, allowed="an outline")
        along = way / run
        low, high = (float(value) for value in area.stations)
        sides = [(a[:2] + low * along, along), (a[:2] + high * along, -along)]
        parts, lines = [sides], [(start, np.array([-way[1], way[0]]) * 1e4) for start, _ in sides]
    else:
        corners = _plan(area, where)
        parts = [list(_sides(each)) for each in _triangles(corners, area.name)]
        lines = list(zip(corners, np.roll(corners, -1, axis=0) - corners, strict=True))
    found = [_within(ground, sides) for sides in parts]
    vertices: list[Floats] = []
    faces: list[Ints] = []
    for some, triangles in found:
        faces.append(triangles + sum(len(each) for each in vertices))
        vertices.append(some)
    points, joined = np.concatenate(vertices), np.concatenate(faces)
    if len(joined) == 0:
        raise TerrainError(
            "no ground is known in this area", key=area.name, allowed="an area of which some lies on known ground"
        )
    return Terrain(
        vertices=points, faces=joined, source=area.name, kind="grid" if ground.is_height_field else "mesh", role="area",
        name=area.name, asked=math.nan if area.distance is None else area.distance, rim=_rim(points, joined, lines),
    )


def _plan(area: NamedArea, where: Located | None) -> Floats:
    """(n, 2) its corners in the frame. [m]"""
    assert area.corners is not None
    if not area.is_geographic:
        return area.corners
    if where is None:
        raise TerrainError(
            "nothing says where on the Earth this scene lies", key=area.name,
            allowed="corners in metres, or a ground with an origin, such as a site file",
        )
    latitude, longitude = area.corners.T
    height = np.full(len(latitude), where.origin.height)
    return np.asarray((where.origin.local(longitude, latitude, height) + where.zero)[:, :2])


def _cross(a: Floats, b: Floats, c: Floats) -> float:
    """Twice the area of a triangle in plan, above zero where it runs anticlockwise. [m²]"""
    return float((b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]))


def _triangles(corners: Floats, name: str) -> Iterator[Floats]:
    """A polygon in triangles, anticlockwise: corners that hold no other one are cut off, one after the other."""
    x, y = corners.T
    turned = float(x @ np.roll(y, -1) - np.roll(x, -1) @ y)
    if abs(turned) < 1e-6 or not np.isfinite(turned):
        raise TerrainError("the outline has no area", key=name, allowed="three corners or more that are not in line")
    left = list(range(len(corners)))[:: 1 if turned > 0.0 else -1]
    while len(left) > 2:
        for k in range(len(left)):
            i, j, n = left[k - 1], left[k], left[(k + 1) % len(left)]
            a, b, c = corners[i], corners[j], corners[n]
            area = _cross(a, b, c)
            if abs(area) <= 1e-9:
                del left[k]  # In line with its neighbours, or a spike.
                break
            if area > 0.0 and not any(
                bool(min(_cross(a, b, p), _cross(b, c, p), _cross(c, a, p)) >= 0.0)
                for p in (corners[m] for m in left if m not in (i, j, n))
                if not any(np.array_equal(p, own) for own in (a, b, c))
            ):
                yield np.stack([a, b, c])
                del left[k]
                break
        else:
            raise TerrainError("the outline crosses itself", key=name, allowed="corners in their order round the area")


def _sides(triangle: Floats) -> Iterator[tuple[Floats, Floats]]:
    """A point of each side and the direction to its inside."""
    for k in range(3):
        way = triangle[(k + 1) % 3] - triangle[k]
        yield triangle[k], np.array([-way[1], way[0]]) / float(np.hypot(*way))


def _within(ground: Terrain, sides: list[tuple[Floats, Floats]]) -> tuple[Floats, Ints]:
    """Triangles of the ground on the inner side of all sides."""
    vertices, faces = ground.vertices, ground.faces
    inner = [(vertices[:, :2] - start) @ inside for start, inside in sides]
    for side in inner:  # Most lie beyond one of them.
        faces = faces[(side[faces] > 0.0).any(axis=1)]
    used, renumbered = np.unique(faces, return_inverse=True)
    vertices, faces = vertices[used], renumbered.reshape(-1, 3).astype(np.int64)
    for start, inside in sides:
        vertices, faces = cut(vertices, faces, (vertices[:, :2] - start) @ inside)
    faces = faces[areas(vertices, faces) > 0.0]
    used, renumbered = np.unique(faces, return_inverse=True)
    return vertices[used], renumbered.reshape(-1, 3).astype(np.int64)


def _rim(points: Floats, faces: Ints, lines: list[tuple[Floats, Floats]]) -> Floats:
    """(m, 2, 3) edges that lie on the outline, on the ground. [m]"""
    edges = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    plan = points[:, :2]
    near = _NEAR * max(1.0, float(np.abs(plan).max()))
    found = []
    for start, way in lines:
        length = max(float(np.hypot(*way)), 1e-12)
        away = plan - start
        off = np.abs(away @ np.array([-way[1], way[0]])) / length
        at = away @ way / length
        on = (off <= near) & (at >= -near - (length if length > 1e3 else 0.0)) & (at <= length + near)
        found.append(edges[on[edges].all(axis=1)])
    both = np.concatenate(found)
    return np.asarray(points[both])

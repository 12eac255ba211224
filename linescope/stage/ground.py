"""The ground on the stage: its triangles, and how far down it is below points of the line."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from linescope.rig import Rig
from linescope.stage.items import Surface
from linescope.terrain import Terrain, thin
from linescope.terrain.plumb import PlumbIndex

Floats = NDArray[np.float64]
UP = np.array([0.0, 0.0, 1.0])


class Ground(Protocol):
    """Triangles in the rig's frame, as `linescope.terrain` makes them."""

    @property
    def vertices(self) -> Floats:
        """(n, 3) [m]"""

    @property
    def faces(self) -> NDArray[np.int64]:
        """(t, 3)"""


CORRIDOR = 5.0  # Half-width of the strip under the line whose triangles are kept for heights [m].
FOR_THE_EYE = 60_000  # Triangles of a picture.


@dataclass(frozen=True, eq=False, kw_only=True)
class Site:
    """Ground made ready for pictures.

    Attributes
    ----------
    near : Ground
        All triangles of a strip under the line, for heights and sections.
    picture : Ground
        The whole ground, thinned to look at.
    source : str
    water : tuple of Ground
        Levels of water, which are no ground.
    areas : tuple of Terrain
        Named parts of the ground.
    """

    near: Ground
    picture: Ground
    source: str = ""
    water: tuple[Ground, ...] = ()
    areas: tuple[Terrain, ...] = ()

    @property
    def water_levels(self) -> tuple[float, ...]:
        """Their heights.  [m]"""
        return tuple(float(np.asarray(each.vertices)[0, 2]) for each in self.water)

    def as_profile(self) -> Site:
        """As if it had been surveyed along the line alone: seen from the side and a little above, ground far behind the
        line is higher on the page than it is, and would look like a floor under it."""
        near = terrain_of(self.near)
        if near.kind == "profile":
            return self
        along = Terrain(vertices=near.vertices, faces=near.faces, source=near.source, kind="profile")
        return replace(self, near=along)


def site(ground: Ground, rig: Rig, triangles: int = FOR_THE_EYE) -> Site:
    """Ground made ready for pictures of a rig.

    Parameters
    ----------
    ground : Ground
    rig : Rig
    triangles : int
        At most so many in the picture.
    """
    whole = terrain_of(ground)
    water = tuple(each for each in whole.beside if each.role == "water")
    areas = tuple(each for each in whole.beside if each.role == "area")
    vertices, faces = whole.vertices, whole.faces
    along = plan_direction(rig)
    side = (vertices[:, :2] - rig.main_a[:2]) @ np.array([-along[1], along[0]])
    low, high = side < -CORRIDOR, side > CORRIDOR
    away = low[faces].all(axis=1) | high[faces].all(axis=1)
    if away.all():
        return Site(near=whole, picture=thin(whole, triangles), source=whole.source, water=water, areas=areas)
    used, renumbered = np.unique(faces[~away], return_inverse=True)
    near = Terrain(vertices=vertices[used], faces=renumbered.reshape(-1, 3), source=whole.source, kind=whole.kind)
    return Site(near=near, picture=thin(whole, triangles), source=whole.source, water=water, areas=areas)


def area_spot(area: Terrain) -> Floats:
    """(3,) a place of a named area's ground, as near to its middle as one of its corners is. [m]"""
    middle = 0.5 * (area.bounds[0] + area.bounds[1])
    spot: Floats = area.vertices[int(np.argmin(((area.vertices - middle)[:, :2] ** 2).sum(axis=1)))]
    return spot


def area_kind(rig: Rig, name: str) -> str:
    """What a named area of a rig's ground is: 'path', 'road', 'camp' or 'nobody'."""
    areas = () if rig.ground is None else rig.ground.areas
    return next((area.kind for area in areas if area.name == name), "path")


def surface(ground: Ground) -> Surface:
    """The ground as a lit surface."""
    faces = np.asarray(ground.faces)
    return Surface(
        name="ground",
        points=np.asarray(ground.vertices),
        triangles=faces,
        colours=("ground",),
        colour=np.zeros(len(faces), dtype=np.int64),
        smooth=False,
    )


def height_below(ground: Ground, points: Floats) -> Floats:
    """Height of the ground straight below points.

    Parameters
    ----------
    ground : Ground
    points : (n, 3) array
        [m]

    Returns
    -------
    (n,) array
        The highest ground at or below each point; nan where there is none.  A vertical distance to it is not
        the clearance, which may be smaller to the side.  [m]
    """
    result = np.full(len(points), -np.inf)
    known = np.flatnonzero(np.isfinite(points).all(axis=1))
    position, face = _plumb(terrain_of(ground)).candidates(points[known, :2])
    point = points[known[position]]
    a, b, c = (np.asarray(ground.vertices)[np.asarray(ground.faces)[face, k]] for k in range(3))
    ab, ac, ap = (b - a)[:, :2], (c - a)[:, :2], point[:, :2] - a[:, :2]
    area = ab[:, 0] * ac[:, 1] - ab[:, 1] * ac[:, 0]
    flat = np.abs(area) < 1e-12
    area = np.where(flat, 1.0, area)
    u = (ap[:, 0] * ac[:, 1] - ap[:, 1] * ac[:, 0]) / area
    v = (ab[:, 0] * ap[:, 1] - ab[:, 1] * ap[:, 0]) / area
    z = a[:, 2] + u * (b - a)[:, 2] + v * (c - a)[:, 2]
    under = ~flat & (u >= -1e-9) & (v >= -1e-9) & (u + v <= 1 + 1e-9) & (z <= point[:, 2] + 1e-6)
    np.maximum.at(result, known[position[under]], z[under])
    return np.where(np.isfinite(result), result, np.nan)


def terrain_of(ground: Ground) -> Terrain:
    """The same as a `Terrain`."""
    if isinstance(ground, Terrain):
        return ground
    return Terrain(vertices=ground.vertices, faces=ground.faces, source="the ground given")


@lru_cache(maxsize=2)
def _plumb(terrain: Terrain) -> PlumbIndex:
    """Triangles by plan position, kept for the next question about the same ground."""
    return PlumbIndex(terrain)


def plan_direction(rig: Rig) -> Floats:
    """Horizontal unit vector from anchor A towards anchor B."""
    flat = (rig.main_b - rig.main_a) * np.array([1.0, 1.0, 0.0])
    return np.asarray(flat / np.linalg.norm(flat))


def direction(rig: Rig, *, turn: float, tilt: float) -> Floats:
    """A direction of view with anchor A on the left: turned towards B, tilted down.  [rad]"""
    along = plan_direction(rig)
    across = np.cross(UP, along)
    level = math.cos(turn) * across + math.sin(turn) * along
    return np.asarray(math.cos(tilt) * level - math.sin(tilt) * UP)


def section(ground: Ground, rig: Rig, low: float, high: float, count: int = 1500) -> tuple[Floats, ...]:
    """The ground in the vertical plane through both anchors.

    Parameters
    ----------
    ground : Ground
    rig : Rig
    low, high : float
        Stations between which it is wanted, measured horizontally from anchor A.  [m]
    count : int
        Number of points.

    Returns
    -------
    tuple of (n, 3) array
        Runs of at least two points; where one ends and the next begins the ground is not known.  [m]
    """
    along = plan_direction(rig)
    points = rig.main_a + np.linspace(low, high, count)[:, None] * along
    points[:, 2] = float(np.asarray(ground.vertices)[:, 2].max()) + 1.0
    points[:, 2] = height_below(ground, points)
    known = np.isfinite(points[:, 2])
    runs = np.split(points, np.flatnonzero(known[1:] != known[:-1]) + 1)
    return tuple(run for run in runs if len(run) > 1 and np.isfinite(run[0, 2]))


def pools(run: Floats, level: float) -> tuple[Floats, ...]:
    """Where a run of ground lies below a level: the ends of each stretch, on the level.

    Parameters
    ----------
    run : (n, 3) array
        One after the other along the run.  [m]
    level : float
        [m]

    Returns
    -------
    tuple of (2, 3) array
        [m]
    """
    depth = level - run[:, 2]
    below = np.concatenate([[False], depth > 0.0, [False]])
    begins, ends_after = np.flatnonzero(below[1:] & ~below[:-1]), np.flatnonzero(below[:-1] & ~below[1:])
    found = []
    for first, after in zip(begins, ends_after, strict=True):
        ends = run[[first, after - 1]].copy()
        for k, (wet, dry) in enumerate(((first, first - 1), (after - 1, after))):
            if 0 <= dry < len(run):
                ends[k] += depth[wet] / (depth[wet] - depth[dry]) * (run[dry] - run[wet])
        ends[:, 2] = level
        found.append(ends)
    return tuple(found)

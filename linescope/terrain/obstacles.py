"""Boxes, posts and ropes typed by hand, as triangles that hold them."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from linescope.errors import TerrainError
from linescope.terrain.model import Terrain
from linescope.terrain.spec import Obstacle

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SIDES = 16
"""Of a post.  They stand outside the circle, so that no distance is too long: by 2 % of its radius at most. [-]"""


def terrain_of(obstacle: Obstacle) -> Terrain:
    """An obstacle as a closed body; a post without width as the segment that it is.

    Parameters
    ----------
    obstacle : Obstacle

    Raises
    ------
    TerrainError
        When it has no extent at all.
    """
    foot = np.asarray(obstacle.foot, dtype=np.float64)
    top = foot + np.array([0.0, 0.0, obstacle.height]) if obstacle.top is None else np.asarray(obstacle.top, np.float64)
    way = top - foot
    length = float(np.linalg.norm(way))
    if length < 1e-6:
        raise TerrainError(
            "an obstacle has no height", key=obstacle.name, allowed="a height, or a top away from its foot"
        )
    width, depth = (float(value) for value in obstacle.width)
    if obstacle.is_round and width <= 0.0:
        vertices, faces = np.stack([foot, top]), np.array([[0, 1, 1]])
    else:
        if obstacle.is_round:
            turn = (np.arange(SIDES) + 0.5) * (2.0 * math.pi / SIDES)
            ring = 0.5 * width / math.cos(math.pi / SIDES) * np.stack([np.cos(turn), np.sin(turn)], 1)
        else:
            c, s = math.cos(obstacle.turn), math.sin(obstacle.turn)
            corners = 0.5 * np.array([[-width, -depth], [width, -depth], [width, depth], [-width, depth]])
            ring = corners @ np.array([[c, s], [-s, c]])
        vertices, faces = _prism(ring, foot, way)
    return Terrain(
        vertices=vertices, faces=faces, source=obstacle.name, kind="mesh", name=obstacle.name, role=obstacle.role,
        survey_error=obstacle.survey_error,
    )


def _prism(ring: Floats, foot: Floats, way: Floats) -> tuple[Floats, Ints]:
    """A closed prism over a ring (n, 2) that runs anticlockwise about its way."""
    axis = way / np.linalg.norm(way)
    aside = np.array([1.0, 0.0, 0.0]) if abs(axis[2]) > 0.9 else np.cross([0.0, 0.0, 1.0], axis)
    aside = aside - (aside @ axis) * axis
    aside /= np.linalg.norm(aside)
    across = np.cross(axis, aside)
    base = foot + ring[:, :1] * aside + ring[:, 1:] * across
    n = len(ring)
    i, j = np.arange(n), (np.arange(n) + 1) % n
    vertices = np.concatenate([base, base + way, [foot, foot + way]])
    low, high = np.full(n, 2 * n), np.full(n, 2 * n + 1)
    faces = np.concatenate([
        np.stack([i, j, i + n], 1), np.stack([j, j + n, i + n], 1), np.stack([low, j, i], 1),
        np.stack([high, i + n, j + n], 1),
    ])
    return vertices, faces


def level(height: float, low: Floats, high: Floats) -> Terrain:
    """A water level over a plan.

    Parameters
    ----------
    height : float
        [m]
    low, high : (2,) float
        Of the plan. [m]
    """
    corners = [[x, y, height] for x in (low[0], high[0]) for y in (low[1], high[1])]
    return Terrain(
        vertices=np.array(corners), faces=np.array([[0, 2, 1], [1, 2, 3]]), source="water", kind="grid", role="water",
        name="water",
    )

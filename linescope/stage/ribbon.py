"""Webbing as a flat strip of true width and thickness with two faces, or a round cord for a rope."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from linescope.stage.items import Surface
from linescope.webbing import Webbing

Floats = NDArray[np.float64]


def frames(points: Floats) -> tuple[Floats, Floats]:
    """Directions across a strip that lies flat, its width level, and out of its upper face, along its centre line.

    Parameters
    ----------
    points : (n, 3) array
        Centre line.  [m]

    Returns
    -------
    across, out : (n, 3) arrays
        Unit vectors.
    """
    tangent = np.gradient(points, axis=0)
    tangent /= np.maximum(np.linalg.norm(tangent, axis=1, keepdims=True), 1e-12)
    across = np.cross(np.array([0.0, 0.0, 1.0]), tangent)
    length = np.linalg.norm(across, axis=1)
    plan = points[-1] - points[0]
    spare = np.array([-plan[1], plan[0], 0.0])
    spare = spare / np.linalg.norm(spare) if np.linalg.norm(spare) > 1e-9 else np.array([0.0, 1.0, 0.0])
    across = np.where(length[:, None] > 1e-6, across / np.maximum(length, 1e-12)[:, None], spare)
    across = np.where((across @ spare < 0)[:, None], -across, across)
    return across, np.asarray(np.cross(tangent, across))


def strip(
    points: Floats,
    *,
    width: float,
    thickness: float,
    name: str,
    top: str,
    under: str,
) -> Surface:
    """A strip of rectangular section round its centre line, closed at both ends.

    Parameters
    ----------
    points : (n, 3) array
        Centre line.  [m]
    width, thickness : float
        [m]
    name, top, under : str
        Name, and the colour roles of the upper face and of the rest.
    """
    across, out = frames(points)
    half_width, half_thick = across * width / 2, out * thickness / 2
    corners = np.stack(
        [
            points - half_width + half_thick,
            points + half_width + half_thick,
            points + half_width - half_thick,
            points - half_width - half_thick,
        ],
        axis=1,
    )
    return _swept(corners, name=name, colours=(top, under), side_colour=np.array([0, 1, 1, 1]))


def cord(points: Floats, *, diameter: float, name: str, colour: str, sides: int = 8) -> Surface:
    """A round rope of true diameter [m] round its centre line."""
    across, out = frames(points)
    around = np.arange(sides) * 2 * math.pi / sides
    ring = (
        diameter / 2 * (np.cos(around)[None, :, None] * across[:, None] + np.sin(around)[None, :, None] * out[:, None])
    )
    swept = _swept(points[:, None] + ring, name=name, colours=(colour,), side_colour=np.zeros(sides, dtype=int))
    return Surface(
        name=swept.name,
        points=swept.points,
        triangles=swept.triangles,
        colours=swept.colours,
        colour=swept.colour,
        smooth=True,
    )


def webbing(points: Floats, kind: Webbing, *, name: str, top: str, under: str) -> Surface:
    """A line as it is: strip for a webbing, cord for a rope."""
    if kind.is_rope:
        return cord(points, diameter=kind.width, name=name, colour=top)
    return strip(points, width=kind.width, thickness=kind.thickness, name=name, top=top, under=under)


def _swept(corners: Floats, *, name: str, colours: tuple[str, ...], side_colour: NDArray[np.int64]) -> Surface:
    """Skin between sections of m corners each: corners is (n, m, 3)."""
    n, m, _ = corners.shape
    index = np.arange(n * m).reshape(n, m)
    here, there = index[:-1], index[1:]
    side = np.arange(m)
    nxt = (side + 1) % m
    quads = np.stack([here[:, side], here[:, nxt], there[:, nxt], there[:, side]], axis=-1).reshape(-1, 4)
    triangles = np.concatenate([quads[:, [0, 1, 2]], quads[:, [0, 2, 3]]])
    colour = np.tile(side_colour, n - 1)
    fan = np.stack([np.zeros(m - 2, dtype=int), side[1:-1], side[2:]], axis=-1)
    triangles = np.concatenate([triangles, index[0][fan[:, ::-1]], index[-1][fan]])
    caps = np.full(2 * (m - 2), len(colours) - 1)
    return Surface(
        name=name,
        points=corners.reshape(-1, 3),
        triangles=triangles,
        colours=colours,
        colour=np.concatenate([colour, colour, caps]),
    )

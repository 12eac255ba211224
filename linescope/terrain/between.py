"""Ground between two upright planes across a direction: triangles cut exactly at both."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.terrain.model import Terrain

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def between(terrain: Terrain, start: Floats, along: Floats, low: float, high: float) -> Terrain | None:
    """The part of the ground whose place along a plan direction lies within two limits.

    Parameters
    ----------
    terrain : Terrain
    start, along : (2,) float
        Where places are counted from, and the unit vector they are counted along. [m, -]
    low, high : float
        [m]

    Returns
    -------
    Terrain or None
        None where nothing lies between.
    """
    vertices, faces = terrain.vertices, terrain.faces
    for sign, border in ((1.0, low), (-1.0, high)):
        vertices, faces = cut(vertices, faces, sign * ((vertices[:, :2] - start) @ along - border))
        if len(faces) == 0:
            return None
    return Terrain(vertices=vertices, faces=faces, source=terrain.source, kind=terrain.kind, notes=terrain.notes)


def cut(vertices: Floats, faces: Ints, side: Floats) -> tuple[Floats, Ints]:
    """Triangles where a number by vertex is not negative, cut where it is zero.

    Parameters
    ----------
    vertices : (n, 3) float
        [m]
    faces : (k, 3) int
    side : (n,) float
        [any unit of its own]

    Returns
    -------
    vertices : (m, 3) float
        Those given, and after them the new ones. [m]
    faces : (j, 3) int
    """
    inside = side[faces] >= 0.0
    count = inside.sum(axis=1)
    new, made = [vertices], [faces[count == 3]]
    begin = len(vertices)
    for wanted in (1, 2):
        mixed = np.flatnonzero(count == wanted)
        # Turned so that the corner that is alone on its side comes first.
        alone = np.argmax(inside[mixed] == (wanted == 1), axis=1)
        one, two, three = (faces[mixed, (alone + k) % 3] for k in range(3))
        cuts = []
        for other in (two, three):
            share = side[one] / (side[one] - side[other])
            new.append(vertices[one] + share[:, None] * (vertices[other] - vertices[one]))
            cuts.append(begin + np.arange(len(mixed)))
            begin += len(mixed)
        if wanted == 1:
            made.append(np.stack([one, cuts[0], cuts[1]], axis=1))
        else:
            made += [np.stack([cuts[0], two, three], axis=1), np.stack([cuts[0], three, cuts[1]], axis=1)]
    return np.concatenate(new), np.concatenate(made).astype(np.int64)

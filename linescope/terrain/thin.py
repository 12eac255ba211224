"""Fewer triangles for the picture.  Distances are never taken from thinned ground."""

from __future__ import annotations

import numpy as np

from linescope.errors import TerrainError
from linescope.notes import Severity
from linescope.terrain.model import Terrain, cleaned
from linescope.terrain.notes import GroundNote, ground_note


def thin(terrain: Terrain, max_triangles: int) -> Terrain:
    """Ground with at most so many triangles, to look at.

    Vertices in one cube of space become their mean; the cube grows until the triangles fit.

    Parameters
    ----------
    terrain : Terrain
    max_triangles : int
        At least 100.

    Returns
    -------
    Terrain
        The same object when it is small enough already; otherwise a note says that it is for the picture
        only.

    Raises
    ------
    TerrainError
        `max_triangles` below 100.
    """
    if max_triangles < 100:
        raise TerrainError("too few triangles for a picture", found=max_triangles, allowed="100 and more")
    if len(terrain.faces) <= max_triangles:
        return terrain
    low = terrain.bounds[0]
    a, b, c = (terrain.vertices[terrain.faces[:, corner]] for corner in range(3))
    area = 0.5 * float(np.sqrt((np.cross(b - a, c - a) ** 2).sum(axis=1)).sum())
    cell = float(np.sqrt(2.0 * area / max_triangles))
    while True:
        grid = np.floor((terrain.vertices - low) / cell).astype(np.int64)
        nx, ny = (grid.max(axis=0) + 1)[:2]
        _, owner = np.unique(grid[:, 0] + nx * (grid[:, 1] + ny * grid[:, 2]), return_inverse=True)
        count = np.bincount(owner)
        vertices = np.stack([np.bincount(owner, weights=terrain.vertices[:, k]) / count for k in range(3)], axis=1)
        faces = owner[terrain.faces]
        whole = (faces[:, 0] != faces[:, 1]) & (faces[:, 1] != faces[:, 2]) & (faces[:, 2] != faces[:, 0])
        faces = faces[whole]
        _, once = np.unique(np.sort(faces, axis=1), axis=0, return_index=True)
        faces = faces[np.sort(once)]
        if 0 < len(faces) <= max_triangles:
            break
        if len(faces) == 0:
            raise TerrainError("the ground cannot be thinned so far", file=terrain.source, found=max_triangles)
        cell *= 1.15
    note = ground_note(GroundNote.THINNED, Severity.LIMIT, total=len(terrain.faces), count=len(faces))
    return cleaned(vertices, faces, source=terrain.source, kind=terrain.kind, notes=(*terrain.notes, note))

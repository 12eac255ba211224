"""The ground as the program sees it: triangles in the rig's frame, with what was done to get them."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from linescope.errors import TerrainError
from linescope.terrain.spec import KINDS

MAX_TRIANGLES = 50_000_000
MAX_COORDINATE = 1e9
DEGENERATE_SINE = 1e-12
"""A triangle whose height over its longest edge is below this fraction of that edge has no area."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Terrain:
    """Triangulated ground in the rig's frame, z up.

    Parameters
    ----------
    vertices : (n, 3) float
        Corners. [m]
    faces : (k, 3) int
        Corner indices of each triangle, at least one triangle.
    source : str
        File name or other origin, for messages and captions.
    kind : {'mesh', 'grid', 'points', 'profile'}
        What it was read from.  All but 'mesh' have one height at each plan position.
    notes : tuple of str
        What was assumed, dropped or found odd on the way; shown with every result.

    Raises
    ------
    TerrainError
        No vertices or triangles, wrong shapes, not finite, an index out of range, too large.
    """

    vertices: NDArray[np.float64]
    faces: NDArray[np.int64]
    source: str
    kind: str = "mesh"
    notes: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise TerrainError("unknown kind of ground", file=self.source, found=self.kind, allowed=", ".join(KINDS))
        vertices = np.array(self.vertices, dtype=np.float64, order="C")
        faces = np.array(self.faces, dtype=np.int64, order="C")
        if vertices.ndim != 2 or vertices.shape[1] != 3 or len(vertices) == 0:
            raise TerrainError(
                "the ground has no usable vertices",
                file=self.source,
                found=vertices.shape,
                allowed="(n, 3), n >= 1",
            )
        if faces.ndim != 2 or faces.shape[1] != 3 or len(faces) == 0:
            raise TerrainError(
                "the ground has no triangles", file=self.source, found=faces.shape, allowed="(k, 3), k >= 1"
            )
        if len(faces) > MAX_TRIANGLES:
            raise TerrainError(
                "the ground is too large",
                file=self.source,
                found=len(faces),
                allowed=f"{MAX_TRIANGLES} triangles",
            )
        bad = ~np.isfinite(vertices).all(axis=1)
        if bad.any():
            raise TerrainError(
                f"{int(bad.sum())} vertices are not finite, the first is number {int(np.argmax(bad)) + 1}",
                file=self.source,
                allowed="finite coordinates",
            )
        reach = float(np.abs(vertices).max())
        if reach > MAX_COORDINATE:
            raise TerrainError(
                "coordinates are absurdly large",
                file=self.source,
                found=reach,
                allowed=f"up to {MAX_COORDINATE:g} m from the origin (check the unit)",
            )
        if faces.min() < 0 or faces.max() >= len(vertices):
            raise TerrainError(
                "a triangle names a vertex that is not there",
                file=self.source,
                found=int(faces.max() if faces.max() >= len(vertices) else faces.min()),
                allowed=f"0 to {len(vertices) - 1}",
            )
        vertices.setflags(write=False)
        faces.setflags(write=False)
        object.__setattr__(self, "vertices", vertices)
        object.__setattr__(self, "faces", faces)
        object.__setattr__(self, "notes", tuple(self.notes))

    @property
    def bounds(self) -> NDArray[np.float64]:
        """(2, 3) lowest and highest coordinates. [m]"""
        return np.stack([self.vertices.min(axis=0), self.vertices.max(axis=0)])

    @property
    def is_height_field(self) -> bool:
        """Whether each plan position has one height, by how it was made."""
        return self.kind in ("grid", "points", "profile")

    def with_notes(self, *notes: str) -> Terrain:
        """The same ground with further notes."""
        return replace(self, notes=(*self.notes, *notes))


def cleaned(
    vertices: NDArray[np.float64],
    faces: NDArray[np.int64],
    *,
    source: str,
    kind: str,
    notes: tuple[str, ...] = (),
) -> Terrain:
    """A `Terrain` without triangles that have no area and without vertices that no triangle uses.

    Parameters
    ----------
    vertices : (n, 3) float
        Corners. [m]
    faces : (k, 3) int
        Corner indices.
    source, kind, notes
        As for `Terrain`; a note says how many triangles were dropped.

    Returns
    -------
    Terrain

    Raises
    ------
    TerrainError
        As `Terrain`, and when no triangle has any area.
    """
    raw = Terrain(vertices=vertices, faces=faces, source=source, kind=kind, notes=notes)
    a, b, c = (raw.vertices[raw.faces[:, corner]] for corner in range(3))
    normal = np.cross(b - a, c - a)
    longest = np.max([((u - v) ** 2).sum(axis=1) for u, v in ((a, b), (b, c), (c, a))], axis=0)
    good = np.sqrt((normal**2).sum(axis=1)) > DEGENERATE_SINE * longest
    dropped = int((~good).sum())
    if dropped == len(good):
        raise TerrainError(
            f"all {dropped} triangles are without area",
            file=source,
            allowed="triangles with three separate corners",
        )
    kept = raw.faces[good]
    used = np.zeros(len(raw.vertices), dtype=bool)
    used[kept] = True
    renumber = np.cumsum(used) - 1
    added = (f"{dropped} of {len(good)} triangles without area were left out",) if dropped else ()
    return Terrain(vertices=raw.vertices[used], faces=renumber[kept], source=source, kind=kind, notes=(*notes, *added))

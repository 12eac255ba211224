"""The ground as the program sees it: triangles in the rig's frame, with what was done to get them."""

from __future__ import annotations

import functools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from linescope.errors import TerrainError
from linescope.notes import Note, Severity
from linescope.shown import Outlined
from linescope.terrain.notes import GroundNote, ground_note
from linescope.terrain.spec import KINDS

MAX_TRIANGLES = 50_000_000
MAX_COORDINATE = 1e9
DEGENERATE_SINE = 1e-12
"""A triangle whose height over its longest edge is below this fraction of that edge has no area."""
_BLOCK = 200_000
_FEW = 10_000


ROLES = ("ground", "vegetation", "obstacle", "water", "area")


@dataclass(frozen=True, eq=False, kw_only=True)
class Texture:
    """A picture laid over triangles.

    Attributes
    ----------
    image : bytes
        A whole PNG or JPEG file.
    kind : str
        "image/png" or "image/jpeg".
    corners : (k, 3, 2) float
        Place in the picture of every corner of every triangle, from its lower left, 0 to 1.  [-]
    """

    image: bytes
    kind: str
    corners: NDArray[np.float32]


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Terrain(Outlined):
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
    notes : tuple of Note
        What was assumed, dropped or found odd on the way; shown with every result.
    name : str
        What findings call it, such as "pillar"; empty for the only ground there is.
    role : {'ground', 'vegetation', 'obstacle', 'water', 'area'}
        What it is.
    survey_error : float or None
        Its own; None for that of the scene.  [m]
    texture : Texture or None
    pieces : tuple of Terrain
        What it was put together from, in the order of its triangles; empty for one ground.
    beside : tuple of Terrain
        What is no ground, and is measured apart: vegetation, water, named areas.
    asked : float
        Of a named area, the distance asked for; nan: it is drawn only.  [m]
    rim : (m, 2, 3) float or None
        Of a named area, pieces of its border.  [m]

    Raises
    ------
    TerrainError
        No vertices or triangles, wrong shapes, not finite, an index out of range, too large.
    """

    vertices: NDArray[np.float64]
    faces: NDArray[np.int64]
    source: str
    kind: str = "mesh"
    notes: tuple[Note, ...] = ()
    name: str = ""
    role: str = "ground"
    survey_error: float | None = None
    texture: Texture | None = None
    pieces: tuple[Terrain, ...] = ()
    beside: tuple[Terrain, ...] = ()
    asked: float = math.nan
    rim: NDArray[np.float64] | None = None

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise TerrainError("unknown kind of ground", file=self.source, found=self.kind, allowed=", ".join(KINDS))
        if self.role not in ROLES:
            raise TerrainError("unknown role of ground", file=self.source, found=self.role, allowed=", ".join(ROLES))
        vertices, faces = _own(self.vertices, np.float64), _own(self.faces, np.int64)
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
        reach = max(float(vertices.max()), -float(vertices.min()))
        if not math.isfinite(reach):
            bad = ~np.isfinite(vertices).all(axis=1)
            raise TerrainError(
                f"{int(bad.sum())} vertices are not finite, the first is number {int(np.argmax(bad)) + 1}",
                file=self.source,
                allowed="finite coordinates",
            )
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

    def is_under_water(self, point: NDArray[np.float64]) -> bool:
        """Whether a level of water stands over a place of the ground.

        Parameters
        ----------
        point : (3,) float
            [m]
        """
        for each in self.beside:
            low, high = each.bounds
            over = each.role == "water" and low[2] == high[2] > point[2]
            if over and (low[:2] <= point[:2]).all() and (point[:2] <= high[:2]).all():
                return True
        return False

    def with_notes(self, *notes: Note) -> Terrain:
        """The same ground with further notes."""
        noted = replace(self, notes=(*self.notes, *notes))
        noted.kept.update(self.kept)
        return noted

    @functools.cached_property
    def kept(self) -> dict[str, object]:
        """What was made of its triangles and is not to be made again."""
        return {}

    @property
    def all_pieces(self) -> tuple[Terrain, ...]:
        """What it was put together from, or itself."""
        return self.pieces or (self,)

    def piece_of(self, face: int) -> Terrain:
        """The piece that a triangle belongs to."""
        for piece in self.all_pieces:
            if face < len(piece.faces):
                return piece
            face -= len(piece.faces)
        raise IndexError(face)


def _own(values: Any, kind: type) -> NDArray[Any]:
    """A copy that nobody else can write; what is one already as it is, for grounds are made of each other."""
    if isinstance(values, np.ndarray) and values.dtype == kind and values.base is None and not values.flags.writeable:
        return values if values.flags.c_contiguous else np.array(values, order="C")
    return np.array(values, dtype=kind, order="C")


def together(pieces: Sequence[Terrain], notes: tuple[Note, ...] = ()) -> Terrain:
    """Several grounds as one.

    Parameters
    ----------
    pieces : sequence of Terrain
        At least one.
    notes : tuple of Note
        Of all of them; each keeps its own.

    Returns
    -------
    Terrain
        The only one as it is, when there are no notes.
    """
    if len(pieces) == 1:
        return pieces[0].with_notes(*notes)
    before = np.cumsum([0, *(len(piece.vertices) for piece in pieces[:-1])])
    return Terrain(
        vertices=np.concatenate([piece.vertices for piece in pieces]),
        faces=np.concatenate([piece.faces + start for piece, start in zip(pieces, before, strict=True)]),
        source=", ".join(dict.fromkeys(piece.source for piece in pieces)), kind="mesh", pieces=tuple(pieces),
        notes=(*dict.fromkeys(note for piece in pieces for note in piece.notes), *notes),
    )


def areas(vertices: NDArray[np.float64], faces: NDArray[np.int64]) -> NDArray[np.float64]:
    """(k,) area of triangles; exactly 0 of those that are but segments or points. [m²]"""
    if len(faces) > _BLOCK:  # Some at a time: millions of corners at once fill the memory.
        return np.concatenate([areas(vertices, faces[i : i + _BLOCK]) for i in range(0, len(faces), _BLOCK)])
    a, b, c = (vertices[faces[:, corner]].T for corner in range(3))
    u, v = b - a, c - a
    double = np.sqrt(_squared((u[1] * v[2] - u[2] * v[1], u[2] * v[0] - u[0] * v[2], u[0] * v[1] - u[1] * v[0])))
    longest = np.maximum(np.maximum(_squared(u), _squared(c - b)), _squared(v))
    return np.where(double > DEGENERATE_SINE * longest, 0.5 * double, 0.0)


def _squared(v: Sequence[NDArray[np.float64]] | NDArray[np.float64]) -> NDArray[np.float64]:
    """Of (3, n); component by component, as sums over three numbers at a time are slow."""
    return np.asarray(v[0] ** 2 + v[1] ** 2 + v[2] ** 2)


def has_area(vertices: NDArray[np.float64], faces: NDArray[np.int64]) -> bool:
    """Whether any triangle is more than a segment or a point."""
    return any(bool(areas(vertices, faces[i : i + _FEW]).any()) for i in range(0, len(faces), _FEW))


def cleaned(
    vertices: NDArray[np.float64],
    faces: NDArray[np.int64],
    *,
    source: str,
    kind: str,
    notes: tuple[Note, ...] = (),
) -> Terrain:
    """A `Terrain` without vertices that no triangle uses, nor a second triangle that is but the same segment or point.

    Parameters
    ----------
    vertices : (n, 3) float
        Corners. [m]
    faces : (k, 3) int
        Corner indices.  Triangles without area stay, as the segments and points that they are: wires and poles.
    source, kind, notes
        As for `Terrain`; a note says how many are without area.

    Returns
    -------
    Terrain

    Raises
    ------
    TerrainError
        As `Terrain`.
    """
    raw = Terrain(vertices=vertices, faces=faces, source=source, kind=kind, notes=notes)
    flat = areas(raw.vertices, raw.faces) == 0.0
    added: tuple[Note, ...] = ()
    kept = raw.faces
    if flat.any():
        # Grids and clouds have them by the way they are joined, where their neighbours hold the same places.
        thin = raw.faces[flat] if kind == "mesh" else raw.faces[:0]
        same = np.unique(np.sort(thin, axis=1), axis=0)
        kept = np.concatenate([raw.faces[~flat], same])
        what = GroundNote.FLAT if kind == "mesh" else GroundNote.LEFT_OUT
        added = (ground_note(what, Severity.LIMIT, count=int(flat.sum()), total=len(flat)),)
        if len(kept) == 0:
            raise TerrainError(
                f"all {len(flat)} triangles are without area", file=source,
                allowed="triangles with three separate corners",
            )
    used = np.zeros(len(raw.vertices), dtype=bool)
    used[kept] = True
    renumber = np.cumsum(used) - 1
    return Terrain(vertices=raw.vertices[used], faces=renumber[kept], source=source, kind=kind, notes=(*notes, *added))

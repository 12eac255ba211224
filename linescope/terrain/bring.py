"""Ground as riggers have it, brought under a line: any files, any coordinates, cropped to where the line can get to."""

from __future__ import annotations

import hashlib
import math
from collections.abc import Callable, Sequence
from contextlib import ExitStack, closing
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from linescope.errors import TerrainError
from linescope.notes import Note, Severity
from linescope.terrain import rasters
from linescope.terrain.anchors import Fix
from linescope.terrain.clouds import Cloud
from linescope.terrain.files import read_table
from linescope.terrain.geo import Corridor, Crs, Frame, Origin, corridor_radius
from linescope.terrain.meshes import joined, read_mesh, read_textured
from linescope.terrain.model import Terrain, Texture, cleaned, together
from linescope.terrain.notes import GroundNote, ground_note, metres
from linescope.terrain.plumb import PlumbIndex
from linescope.terrain.points import read_points, surface
from linescope.terrain.rasters import Raster, height_factor, origin_at, told_of
from linescope.terrain.sieve import Sieve
from linescope.terrain.site_file import SiteFile

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

CLOUDS = (".las", ".laz")
MESHES = (".obj", ".ply", ".stl", ".glb", ".gltf")
POINTS = (".xyz", ".csv", ".txt", ".npy")
_BLOCK = 200_000
_TO_Z_UP = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]])


def read_from() -> tuple[str, ...]:
    """Endings of files that can be brought."""
    return tuple(sorted({*rasters.ENDINGS, *CLOUDS, *MESHES, *POINTS}))


@dataclass(frozen=True, kw_only=True)
class Bring:
    """What is wanted of the files.

    Attributes
    ----------
    crs : str or None
        Of files that do not say theirs; it wins over what they say.
    unit : float or None
        Of heights, likewise. [m]
    radius : float or None
        How far to all sides of the line ground is read; None takes what the span asks for. [m]
    up : {"z", "y"} or None
        Axis of meshes that points up; None: y for glTF, else z.
    max_edge : float or None
        Longest plan edge that joins points; None: six times the median. [m]
    """

    crs: str | None = None
    unit: float | None = None
    radius: float | None = None
    up: str | None = None
    max_edge: float | None = None


def bring(
    files: Sequence[Path],
    anchors: tuple[Fix, Fix],
    wanted: Bring = Bring(),
    *,
    names: Sequence[str] = (),
    progress: Callable[[float, str], None] | None = None,
) -> SiteFile:
    """Ground of several files in one local frame at anchor A.

    Parameters
    ----------
    files : sequence of Path
    anchors : (Fix, Fix)
        A and B.
    wanted : Bring
    names : sequence of str
        Of the files, for findings; of one file alone none is needed.
    progress : callable, optional
        Told the share done, and the file that is read.

    Returns
    -------
    SiteFile

    Raises
    ------
    TerrainError
        A file that cannot be used, no coordinate system where one is needed, a line beside all that is known.
    """
    tell = progress or (lambda share, text: None)
    with ExitStack() as stack:
        opened: list[Any] = []
        for path in files:
            ending = path.suffix.lower()
            if ending in rasters.ENDINGS:
                opened.append(stack.enter_context(closing(Raster(path, wanted.crs))))
            elif ending in CLOUDS:
                opened.append(stack.enter_context(closing(Cloud(path, wanted.crs))))
            elif ending in (*MESHES, *POINTS):
                opened.append(_Plain(path, wanted))
            else:
                raise TerrainError(
                    "this file ending is not read as ground", file=path, found=ending, allowed=", ".join(read_from())
                )
        systems = [each.crs for each in opened]
        origin, ends, notes = _ends(anchors, opened, systems, wanted)
        span = float(np.linalg.norm(ends[1] - ends[0]))
        if span < 1e-3:
            raise TerrainError("the anchors are at one place", key="anchors", allowed="two places apart")
        corridor = Corridor(a=ends[0], b=ends[1], radius=wanted.radius or corridor_radius(span))
        pieces: list[Terrain] = []
        for number, each in enumerate(opened):
            tell(number / len(opened), each.path.name)
            name = names[number] if number < len(names) else each.path.stem if len(opened) > 1 else ""
            frame = _frame(each.crs, origin, anchors[0])
            pieces += _pieces(each, frame, corridor, wanted, name)
        tell(1.0, "done")
    cropped = ground_note(GroundNote.CROPPED, radius=metres(corridor.radius))
    pieces[0] = pieces[0].with_notes(cropped, *notes)
    system = next((crs.name for crs in systems if crs is not None), "")
    return SiteFile(
        pieces=tuple(pieces), anchors=ends, origin=origin, system=system,
        heights=next((crs.heights for crs in systems if crs is not None and crs.heights), ""),
        provenance={
            "files": [{"name": path.name, "sha256": digest(path)} for path in files], "radius": corridor.radius,
            "crs": wanted.crs, "unit": wanted.unit,
        },
    )


def digest(path: Path) -> str:
    """SHA-256 of a file."""
    with path.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _frame(crs: Crs | None, origin: Origin | None, a: Fix) -> Frame:
    if origin is None:
        return Frame(shift=(a.x, a.y, a.height))
    if crs is None:  # Metres in the anchors' own frame.
        return Frame()
    return Frame(crs=crs, origin=origin)


def _ends(
    anchors: tuple[Fix, Fix], opened: list[Any], systems: list[Crs | None], wanted: Bring
) -> tuple[Origin | None, Floats, list[Note]]:
    """Where the frame has its zero, both anchors in it, and what was assumed."""
    notes: list[Note] = []
    crs = Crs(4326) if anchors[0].geographic else Crs(wanted.crs) if wanted.crs else next(
        (each for each in systems if each is not None), None
    )
    located = crs is not None and (anchors[0].geographic or any(each is not None for each in systems))
    if anchors[0].geographic and not any(each is not None for each in systems):
        raise TerrainError(
            "anchors are given by latitude and longitude, and nothing says in what coordinates the ground is",
            file=opened[0].path, key="crs", allowed='a coordinate system, such as --crs "EPSG:25832"',
        )
    heights = []
    for label, fix in zip("AB", anchors, strict=True):
        height = fix.height
        if math.isnan(height):
            height = _ground_height(fix, crs if located else None, opened, wanted)
            notes.append(ground_note(GroundNote.HEIGHT_OF_GROUND, Severity.CHECK, anchor=label))
        heights.append(height)
    if not located or crs is None:
        a = np.array([anchors[0].x, anchors[0].y, heights[0]])
        b = np.array([anchors[1].x, anchors[1].y, heights[1]])
        anchors_at = np.stack([a - a, b - a])
        return None, anchors_at, notes
    origin = origin_at(crs, anchors[0].x, anchors[0].y, heights[0])
    frame = Frame(crs=crs, origin=origin)
    ends = frame.local(np.array([[fix.x, fix.y, height] for fix, height in zip(anchors, heights, strict=True)]))
    ends[0] = 0.0
    for each in opened:
        if each.crs is None:
            notes.append(ground_note(GroundNote.NO_SYSTEM, Severity.CHECK))
    return origin, ends, notes


def _ground_height(fix: Fix, crs: Crs | None, opened: list[Any], wanted: Bring) -> float:
    """Height of the ground at an anchor whose own is not told. [m]"""
    for each in opened:
        if crs is not None and each.crs is not None:
            origin = origin_at(crs, fix.x, fix.y, 0.0)
            frame = Frame(crs=each.crs, origin=origin)
        else:
            frame = Frame(shift=(fix.x, fix.y, 0.0))
        if isinstance(each, Raster):
            height = each.height_at(frame, np.zeros(3), wanted.unit)
        else:
            try:
                here = np.zeros(3)
                near = Corridor(a=here, b=here + np.array([0.1, 0.0, 0.0]), radius=8.0)
                index = PlumbIndex(together(_pieces(each, frame, near, wanted, "")[:1]))
                z = index.over(here[None, :2])[2]
                height = float(z.max()) if len(z) else math.nan
            except TerrainError:
                height = math.nan
        if math.isfinite(height):
            return height
    raise TerrainError(
        "an anchor has no height, and no ground is known there", key="anchors", found=fix.name or (fix.x, fix.y),
        allowed="a height, or ground at the anchor",
    )


class _Plain:
    """A mesh, or points, whose file knows of no coordinate system."""

    def __init__(self, path: Path, wanted: Bring) -> None:
        self.path = path
        self.crs = Crs(wanted.crs, str(path)) if wanted.crs else None
        self._wanted = wanted
        self._read: tuple[Floats, Ints | None, Texture | None] | None = None

    @property
    def content(self) -> tuple[Floats, Ints | None, Texture | None]:
        """Vertices, triangles (None: points) and picture."""
        if self._read is None:
            ending = self.path.suffix.lower()
            if ending in MESHES:
                vertices, faces, texture = read_textured(self.path)
                up = self._wanted.up or ("y" if ending in (".glb", ".gltf") else "z")
                self._read = (vertices @ _TO_Z_UP.T if up == "y" else vertices), faces, texture
            elif ending == ".npy":
                self._read = read_points(self.path), None, None
            else:
                self._read = read_table(self.path, 3, ("x", "y", "z")), None, None
        return self._read


def _pieces(each: Any, frame: Frame, corridor: Corridor, wanted: Bring, name: str) -> list[Terrain]:
    source = str(each.path)
    if isinstance(each, Raster):
        vertices, faces, notes = each.read(frame, corridor, wanted.unit)
        return [Terrain(
            vertices=vertices, faces=faces, source=source, kind="grid", name=name, notes=(*told_of(each.crs), *notes),
        )]
    if isinstance(each, Cloud):
        points, notes = each.read(frame, corridor, wanted.unit)
        return of_points(
            points, source, name, (*told_of(each.crs), *notes), wanted.max_edge, Sieve(corridor, flat=True).cells
        )
    vertices, triangles, texture = each.content
    factor, note = height_factor(each.crs, None, wanted.unit)
    scale = np.array([1.0, 1.0, factor]) if each.crs is not None else np.full(3, wanted.unit or 1.0)
    local = frame.local(vertices * scale)
    notes = (*told_of(each.crs), *(() if note is None else (note,)))
    if triangles is None:
        near = local[corridor.away(local) <= corridor.radius]
        if len(near) == 0:
            raise TerrainError("no point lies near the line", file=each.path, key="anchors")
        return of_points({"ground": near}, source, name, notes, wanted.max_edge)
    away = corridor.away(local)
    keep = away[triangles].min(axis=1) <= corridor.radius
    for begin in range(0, len(keep), _BLOCK):  # Those with all corners beyond, by how far they may reach.
        beyond = begin + np.flatnonzero(~keep[begin : begin + _BLOCK])
        corners = local[triangles[beyond]]
        longest = np.sqrt(((corners - np.roll(corners, 1, axis=1)) ** 2).sum(axis=2)).max(axis=1)
        keep[beyond] = away[triangles[beyond]].min(axis=1) - longest <= corridor.radius
    if not keep.any():
        raise TerrainError("no triangle of this mesh lies near the line", file=each.path, key="anchors")
    if texture is not None:
        texture = replace(texture, corners=texture.corners[keep])
    used, renumbered = np.unique(triangles[keep], return_inverse=True)
    vertices, faces = joined(local[used], renumbered.reshape(-1, 3))
    ground = cleaned(vertices, faces, source=source, kind="mesh", notes=notes)
    if texture is not None and len(ground.faces) != len(texture.corners):
        texture = None  # Triangles without area went with their place in the picture.
    return [replace(ground, name=name, texture=texture)]


def of_points(
    points: dict[str, Floats], source: str, name: str, notes: tuple[Note, ...], max_edge: float | None,
    cells: Callable[[Floats], Floats] | None = None,
) -> list[Terrain]:
    """Ground and water joined, everything else as the points that they are.

    Parameters
    ----------
    points : dict of str to (n, 3) float
        By role. [m]
    source, name : str
    notes : tuple of Note
        Of the file; the first piece has them.
    max_edge : float or None
        Longest plan edge that joins points; None: six times the median. [m]
    cells : callable, optional
        How wide the cells are in which points were thinned.
    """
    found = []
    for role, each in points.items():
        label = name if role == "ground" else f"{name} {role}".strip()
        if role in ("ground", "water") and len(each) >= 3:
            vertices, faces, more = surface(each, max_edge, source, cells)
            found.append(replace(
                cleaned(vertices, faces, source=source, kind="points", notes=(*notes, *more)), role=role, name=label
            ))
        else:
            faces = np.repeat(np.arange(len(each))[:, None], 3, axis=1)
            found.append(Terrain(vertices=each, faces=faces, source=source, kind="mesh", role=role, name=label))
        notes = ()
    return found


def read_raw(path: Path, origin: Origin, a: Floats, b: Floats, wanted: Bring) -> Terrain:
    """What a scene names as ground, read as `bring` reads it: in the scene's own frame.

    Parameters
    ----------
    path : Path
    origin : Origin
        Where the scene's frame has its zero.
    a, b : (3,) float
        Anchors in that frame. [m]
    wanted : Bring

    Returns
    -------
    Terrain
        Its pieces told apart.

    Raises
    ------
    TerrainError
    """
    ending = path.suffix.lower()
    opened: Any
    opened = Raster(path, wanted.crs) if ending in rasters.ENDINGS else (
        Cloud(path, wanted.crs) if ending in CLOUDS else _Plain(path, wanted)
    )
    try:
        if opened.crs is None:
            raise TerrainError(
                "nothing says in what coordinates this file is", file=path, key="crs",
                allowed='a coordinate system, such as crs = "EPSG:25832"',
            )
        corridor = Corridor(a=a, b=b, radius=wanted.radius or corridor_radius(float(np.linalg.norm(b - a))))
        pieces = _pieces(opened, Frame(crs=opened.crs, origin=origin), corridor, wanted, "")
    finally:
        if not isinstance(opened, _Plain):
            opened.close()
    return together(pieces, (ground_note(GroundNote.CROPPED, radius=metres(corridor.radius)),))


__all__ = ["Bring", "bring", "digest", "read_from", "read_mesh", "read_raw"]

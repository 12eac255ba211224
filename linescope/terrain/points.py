"""Point clouds (XYZ, CSV, NumPy, LAS, LAZ) joined to a surface in plan; long edges stay open as holes."""

from __future__ import annotations

import math
import struct
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from linescope.compiled import COMPILED
from linescope.errors import TerrainError
from linescope.notes import Note, Severity
from linescope.terrain.delaunay import BITS, joined_in_plan
from linescope.terrain.files import MAX_POINTS, read_table
from linescope.terrain.grids import read_npy_points
from linescope.terrain.notes import GroundNote, ground_note, metres

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_LAS_HEAD = 227  # Bytes of the shortest header.
EDGE_FACTOR = 6.0
"""Longest plan edge kept, in median edges, when the scene names none (assumed)."""
MANY = 30_000
"""Points that are joined by compiled loops: for fewer it takes longer to load them. [-]"""


def read_points(path: Path) -> Floats:
    """The points of a cloud, in the unit and axes of the file.

    Parameters
    ----------
    path : Path
        With an ending of `READERS`.

    Returns
    -------
    (n, 3) float

    Raises
    ------
    TerrainError
        Truncated, not numbers, or not finite.
    """
    points = READERS[path.suffix.lower()](path)
    bad = int((~np.isfinite(points).all(axis=1)).sum())
    if bad:
        raise TerrainError(f"{bad} of {len(points)} points are not finite", file=path, allowed="finite coordinates")
    return points


def surface(
    points: Floats, max_edge: float | None, source: str, cells: Callable[[Floats], Floats] | None = None
) -> tuple[Floats, Ints, tuple[Note, ...]]:
    """Triangles between points that are neighbours in plan (Delaunay), z up.

    Parameters
    ----------
    points : (n, 3) float
        In the rig's frame; of points at one plan position the highest is kept. [m]
    max_edge : float or None
        Longest plan edge of a triangle; None is `EDGE_FACTOR` times the median edge. [m]
    source : str
        For messages.
    cells : callable, optional
        How wide the cells are in which points, (n, 3), were thinned, (n,): longer edges are left there, as many times
        as wide. [m]

    Returns
    -------
    vertices : (m, 3) float
    faces : (k, 3) int
    notes : tuple of Note
        That heights between points are assumed, what was left open, what an overhang loses.

    Raises
    ------
    TerrainError
        Fewer than three places, all in one line, or no triangle short enough.
    """
    if len(points) > MAX_POINTS:
        raise TerrainError("too many points", file=source, found=len(points), allowed=f"up to {MAX_POINTS}")
    if len(points) == 0:
        raise TerrainError("there are no points", file=source, allowed="3 separate plan positions")
    low = points[:, :2].min(axis=0)
    step = max(float((points[:, :2].max(axis=0) - low).max()), 1e-9) / 2**BITS
    places = np.rint((points[:, :2] - low) / step).astype(np.int64)
    order = np.lexsort((-points[:, 2], places[:, 1], places[:, 0]))
    places = places[order]
    new = np.concatenate([[True], (np.diff(places, axis=0) != 0).any(axis=1)])
    vertices, places = points[order[new]], places[new]
    notes = [ground_note(GroundNote.BETWEEN_POINTS)]
    if len(vertices) < len(points):
        notes.append(ground_note(GroundNote.BELOW_ANOTHER, Severity.LIMIT, count=len(points) - len(vertices)))
    if len(vertices) < 3:
        raise TerrainError("too few points", file=source, found=len(vertices), allowed="3 separate plan positions")
    faces = _neighbours(vertices, places, source)
    xy = vertices[:, :2]
    edges = np.stack([np.hypot(*(xy[faces[:, i]] - xy[faces[:, j]]).T) for i, j in ((0, 2), (1, 0), (2, 1))], axis=1)
    limit = max_edge if max_edge is not None else EDGE_FACTOR * float(np.median(edges))
    longest = edges.max(axis=1)
    if cells is not None and max_edge is None:
        longest[longest <= EDGE_FACTOR * cells(vertices)[faces].max(axis=1)] = 0.0
    keep = longest <= limit
    if not keep.any():
        raise TerrainError(
            "no three points are close enough to be joined",
            file=source,
            key="max_edge",
            found=limit,
            allowed="a longer edge, or another unit",
        )
    notes.append(ground_note(
        GroundNote.LONG_EDGES, Severity.LIMIT, limit=metres(limit), how="asked" if max_edge else "assumed",
        count=int((~keep).sum()), total=len(keep),
    ))
    return vertices, faces[keep], tuple(notes)


def _neighbours(vertices: Floats, places: Ints, source: str) -> Ints:
    """Triangles between points that are neighbours in plan, (k, 3)."""
    if COMPILED and len(vertices) > MANY:
        return joined_in_plan(places).astype(np.int64)
    from scipy.spatial import Delaunay, QhullError

    try:
        return np.asarray(Delaunay(vertices[:, :2] - vertices[:, :2].mean(axis=0)).simplices.astype(np.int64))
    except QhullError as error:
        raise TerrainError(
            "the points make no surface in plan (all in one line?)",
            file=source,
            allowed="points to either side",
        ) from error


def check_las(path: Path) -> None:
    """Refuse a header that claims more than the file holds, before a reader believes it (LAS 1.4 R15, 2.4)."""
    size = path.stat().st_size
    with path.open("rb") as stream:
        head = stream.read(_LAS_HEAD)
    if len(head) < _LAS_HEAD or head[:4] != b"LASF":
        raise TerrainError("not a LAS file, or cut off in its header", file=path, allowed="LAS or LAZ, 1.0 to 1.4")
    begin, records, kind, length, count = struct.unpack("<IIBHI", head[96:111])
    if begin > size or 54 * records > begin:
        raise TerrainError(
            "the header claims more than the file holds", file=path, found=f"{records} records before byte {begin}",
            allowed=f"a whole file; this one has {size} bytes",
        )
    scaling = struct.unpack("<6d", head[131:179])
    if not all(map(math.isfinite, scaling)) or 0.0 in scaling[:3]:
        raise TerrainError(
            "scale and offset of its coordinates are no numbers", file=path, found=", ".join(map(str, scaling)),
            allowed="three scales other than zero, three offsets",
        )
    compressed = kind & 0xC0 != 0
    if not compressed and (length == 0 or begin + length * count > size):
        raise TerrainError(
            "the file is cut off", file=path, found=f"{size} bytes for {count} points of {length} bytes",
            allowed=f"{begin + length * count} bytes",
        )


def _read_las(path: Path) -> Floats:
    from linescope.terrain.clouds import Cloud

    with closing(Cloud(path)) as cloud:
        return np.concatenate(list(cloud.whole()[0].values()))


def _read_columns(path: Path) -> Floats:
    return read_table(path, 3, ("x", "y", "z"))


READERS: dict[str, Callable[[Path], Floats]] = {
    ".xyz": _read_columns,
    ".csv": _read_columns,
    ".txt": _read_columns,
    ".npy": read_npy_points,
    ".las": _read_las,
    ".laz": _read_las,
}
"""File ending -> reader of points (n, 3).  A new format of clouds is one line here."""

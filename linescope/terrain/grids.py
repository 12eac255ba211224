"""Elevation grids (ESRI ASCII, NumPy, GeoTIFF): two triangles between every four neighbouring heights."""

from __future__ import annotations

import difflib
import math
from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from linescope.errors import TerrainError
from linescope.notes import Note, Quantity, Severity
from linescope.terrain.arrays import load_numpy, numeric
from linescope.terrain.files import foreign_words, number, read_text
from linescope.terrain.model import MAX_TRIANGLES
from linescope.terrain.notes import GroundNote, ground_note
from linescope.terrain.spec import GroundSpec

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_ASC_KEYS = (
    "ncols", "nrows", "xllcorner", "yllcorner", "xllcenter", "yllcenter", "cellsize", "dx", "dy", "nodata_value",
)

MEAN_EARTH_RADIUS = 6_371_008.8
"""Mean radius of the Earth. [m]  (IUGG mean radius R1 of GRS 80; from memory)"""

_NPZ_ALLOWED = (
    "elevation (or z) with x and y of its columns and rows; or elevation with dx and dy; or elevation with"
    " xmin, xmax, ymin (of row 0) and ymax (of the last row)"
)


def read_grid(path: Path, spec: GroundSpec) -> tuple[Floats, Ints, tuple[Note, ...]]:
    """Vertices and triangles of an elevation grid, x east and y north, in the unit of the file.

    A height that is missing (no-data or NaN) leaves a hole: no triangle touches it.

    Parameters
    ----------
    path : Path
        With an ending of `READERS`.
    spec : GroundSpec
        Its `cell` and `degrees` are used here; horizontal degrees become metres about the middle of the grid.

    Returns
    -------
    vertices : (n, 3) float
    faces : (k, 3) int
    notes : tuple of Note

    Raises
    ------
    TerrainError
        Truncated, no height, fewer than 2 x 2 heights, spacing missing or not even, or looking like degrees.
    """
    x, y, z = READERS[path.suffix.lower()](path, spec)
    notes: list[Note] = []
    if z.shape[0] < 2 or z.shape[1] < 2:
        raise TerrainError("the grid is too small", file=path, found=z.shape, allowed="at least 2 x 2 heights")
    if 2 * z.size > MAX_TRIANGLES:
        raise TerrainError("the grid is too large", file=path, found=z.shape, allowed=f"{MAX_TRIANGLES} triangles")
    if np.isinf(z).any():
        raise TerrainError("a height is infinite", file=path, allowed="finite heights, or no-data for holes")
    for name, axis in (("x", x), ("y", y)):
        steps = np.diff(axis)
        if not np.all(np.isfinite(axis)) or not (np.all(steps > 0.0) or np.all(steps < 0.0)):
            raise TerrainError("columns and rows must follow one another", file=path, key=name, allowed="steady order")
    like_degrees = max(np.abs(x).max(), np.abs(y).max() * 2.0) <= 180.0 and abs(x[1] - x[0]) < 0.01
    if spec.degrees:
        x, y, note = _to_metres(x, y, path)
        x, y = x / spec.factor, y / spec.factor  # the factor still to come is for the heights
        notes.append(note)
    elif like_degrees and not spec.accept_odd:
        raise TerrainError(
            "the grid's spacing looks like degrees of longitude and latitude",
            file=path,
            key="degrees",
            found=float(abs(x[1] - x[0])),
            allowed="degrees = true, or a grid in metres or feet",
        )
    missing = int(np.isnan(z).sum())
    if missing == z.size:
        raise TerrainError("every height is missing (no-data)", file=path, allowed="at least one whole cell of heights")
    if missing:
        notes.append(ground_note(GroundNote.HOLES, Severity.LIMIT, count=missing, total=z.size))
    vertices, faces = grid_triangles(x, y, z)
    if len(faces) == 0:
        raise TerrainError("no four neighbouring heights are known", file=path, allowed="at least one whole cell")
    return vertices, faces, tuple(notes)


def grid_triangles(x: Floats, y: Floats, z: Floats) -> tuple[Floats, Ints]:
    """Two triangles between every four neighbouring known heights, facing up.

    Parameters
    ----------
    x : (c,) float
        Positions of the columns.  [unit of the file]
    y : (r,) float
        Positions of the rows.  [unit of the file]
    z : (r, c) float
        Heights; NaN where missing.  [unit of the file]

    Returns
    -------
    vertices : (r * c, 3) float
        Missing heights become 0 and are used by no triangle.
    faces : (k, 3) int
    """
    rows, columns = z.shape
    gx, gy = np.meshgrid(x, y)
    vertices = np.stack([gx.ravel(), gy.ravel(), np.nan_to_num(z, nan=0.0).ravel()], axis=1)
    i = (np.arange(rows - 1)[:, None] * columns + np.arange(columns - 1)[None, :]).ravel()
    first = np.stack([i, i + 1, i + columns], axis=1)
    second = np.stack([i + 1, i + columns + 1, i + columns], axis=1)
    if (x[1] > x[0]) != (y[1] > y[0]):
        first, second = first[:, ::-1], second[:, ::-1]
    faces = np.concatenate([first, second])
    known = ~np.isnan(z).ravel()
    return vertices, faces[known[faces].all(axis=1)]


def _to_metres(lon: Floats, lat: Floats, path: Path) -> tuple[Floats, Floats, Note]:
    if np.abs(lon).max() > 360.0 or np.abs(lat).max() > 90.0:
        raise TerrainError(
            "not longitude and latitude",
            file=path,
            key="degrees",
            found=float(max(np.abs(lon).max(), np.abs(lat).max())),
            allowed="longitude to 360, latitude to 90",
        )
    lon0, lat0 = 0.5 * (lon[0] + lon[-1]), 0.5 * (lat[0] + lat[-1])
    x = MEAN_EARTH_RADIUS * math.cos(math.radians(lat0)) * np.radians(lon - lon0)
    y = MEAN_EARTH_RADIUS * np.radians(lat - lat0)
    return x, y, ground_note(
        GroundNote.DEGREES, longitude=Quantity(math.radians(lon0), "angle", digits=8),
        latitude=Quantity(math.radians(lat0), "angle", digits=8),
        radius=Quantity(MEAN_EARTH_RADIUS, "length", digits=4),
    )


def _count(n: int) -> Floats:
    return np.arange(n, dtype=np.float64)


def _read_asc(path: Path) -> tuple[Floats, Floats, Floats]:
    words = read_text(path).split()
    header: dict[str, float] = {}
    at = 0
    while at + 1 < len(words) and words[at][0].isalpha() and words[at].lower() not in ("nan", "inf"):
        key = words[at].lower()
        if key not in _ASC_KEYS or key in header:
            near = difflib.get_close_matches(key, _ASC_KEYS, n=1, cutoff=0.7)
            wish = f"; did you mean {near[0]!r}?" if near and key not in header else ""
            problem = "this key is given twice" if key in header else f"there is no such key in a grid's header{wish}"
            raise TerrainError(problem, file=path, key=key, found=words[at], allowed=", ".join(_ASC_KEYS))
        nothing = key == "nodata_value" and words[at + 1].lower() == "nan"  # Heights that are NaN are missing anyway.
        header[key] = math.nan if nothing else number(words[at + 1], path, key)
        at += 2
    cell = header.get("cellsize")
    dx, dy = header.get("dx", cell), header.get("dy", cell)
    needed = [key for key in ("ncols", "nrows") if key not in header]
    needed += [f"{axis}llcorner" for axis in "xy" if not {f"{axis}llcorner", f"{axis}llcenter"} & header.keys()]
    if needed or dx is None or dy is None:
        raise TerrainError(
            "the grid header is not whole",
            file=path,
            key=(needed or ["cellsize"])[0],
            found=sorted(header),
            allowed="ncols, nrows, xllcorner, yllcorner, cellsize, NODATA_value",
        )
    for key in ("ncols", "nrows"):
        if header[key] != math.floor(header[key]) or abs(header[key]) > MAX_TRIANGLES:
            raise TerrainError(
                "no such count of columns or rows", file=path, key=key, found=header[key],
                allowed=f"a whole number from 2 to {MAX_TRIANGLES}",
            )
    columns, rows = int(header["ncols"]), int(header["nrows"])
    if columns < 2 or rows < 2 or dx <= 0.0 or dy <= 0.0:
        raise TerrainError(
            "the grid has no cells",
            file=path,
            found=f"{columns} x {rows} of {dx:g}",
            allowed="2 x 2 and more, cell > 0",
        )
    values = words[at:]
    if len(values) != columns * rows:
        raise TerrainError(
            "the count of heights is wrong (is the file cut off?)",
            file=path,
            found=len(values),
            allowed=f"{columns} x {rows} = {columns * rows}",
        )
    try:
        z = np.array(values, dtype=np.float64).reshape(rows, columns)
    except ValueError as error:
        for at, word in enumerate(values):
            number(word if word.lower() != "nan" else "0", path, f"height {at + 1}")
        raise TerrainError(
            f"a height is not a number ({foreign_words(error)})", file=path, allowed="numbers"
        ) from error
    z[z == header.get("nodata_value", -9999.0)] = np.nan
    x0 = header.get("xllcenter", header.get("xllcorner", 0.0) + 0.5 * dx)
    y0 = header.get("yllcenter", header.get("yllcorner", 0.0) + 0.5 * dy)
    if not np.isfinite(dx * columns + dy * rows):
        raise TerrainError(
            "cells of that size make no ground", file=path, key="cellsize", found=max(dx, dy), allowed="metres"
        )
    return x0 + dx * _count(columns), y0 + dy * _count(rows)[::-1], z


def read_npy_points(path: Path) -> Floats:
    """Rows of x, y, z from a NumPy file.

    Parameters
    ----------
    path : Path

    Returns
    -------
    (n, 3) float

    Raises
    ------
    TerrainError
        When it is not an array of real numbers in three columns.
    """
    array = numeric(load_numpy(path).get("", np.empty(0)), path, "array")
    if array.ndim != 2 or array.shape[1] != 3:
        raise TerrainError("not rows of x, y, z", file=path, found=array.shape, allowed="an array of shape (n, 3)")
    return array


def _read_npy(path: Path, spec: GroundSpec) -> tuple[Floats, Floats, Floats]:
    z = numeric(load_numpy(path).get("", np.empty(0)), path, "array")
    if z.ndim != 2:
        raise TerrainError(
            "not a grid of heights", file=path, found=z.shape, allowed="an array of shape (rows, columns)"
        )
    if spec.cell is None:
        raise TerrainError(
            "a bare array of heights has no spacing",
            file=path,
            key="cell",
            allowed="cell = column and row spacing (row 0 is north, the last row starts at 0, 0)",
        )
    dx, dy = (float(v) / spec.factor for v in spec.cell)
    return dx * _count(z.shape[1]), dy * _count(z.shape[0])[::-1], z


def _read_npz(path: Path) -> tuple[Floats, Floats, Floats]:
    data = load_numpy(path)
    name = "elevation" if "elevation" in data else "z"
    if name not in data:
        raise TerrainError("no heights in it", file=path, key="elevation", found=sorted(data), allowed=_NPZ_ALLOWED)
    z = numeric(data[name], path, name)
    if z.ndim != 2:
        raise TerrainError("not a grid of heights", file=path, key=name, found=z.shape, allowed="(rows, columns)")
    rows, columns = z.shape
    if "x" in data and "y" in data:
        x, y = numeric(data["x"], path, "x"), numeric(data["y"], path, "y")
        if x.shape != (columns,) or y.shape != (rows,):
            raise TerrainError(
                "x and y do not fit the heights",
                file=path,
                found=(x.shape, y.shape),
                allowed=f"({columns},), ({rows},)",
            )
        return x, y, z
    scalars = {}
    for key in ("dx", "dy", "xmin", "xmax", "ymin", "ymax"):
        if key in data:
            value = numeric(data[key], path, key)
            if value.size != 1 or not np.isfinite(value).all():
                raise TerrainError("not one finite number", file=path, key=key, allowed="one number")
            scalars[key] = float(value.reshape(()))
    if {"xmin", "xmax", "ymin", "ymax"} <= scalars.keys():
        # Outer borders of the grid, as in matplotlib's sample file: heights sit in the middle of their cells.
        x = scalars["xmin"] + (scalars["xmax"] - scalars["xmin"]) * (np.arange(columns) + 0.5) / columns
        y = scalars["ymin"] + (scalars["ymax"] - scalars["ymin"]) * (np.arange(rows) + 0.5) / rows
        return x, y, z
    if {"dx", "dy"} <= scalars.keys() and min(scalars["dx"], scalars["dy"]) > 0.0:
        return scalars["dx"] * _count(columns), scalars["dy"] * _count(rows)[::-1], z
    raise TerrainError("the spacing of the heights is not told", file=path, found=sorted(data), allowed=_NPZ_ALLOWED)


def _read_tiff(path: Path) -> tuple[Floats, Floats, Floats]:
    from linescope.terrain.rasters import Raster

    raster = Raster(path)
    try:
        return raster.whole()
    finally:
        raster.close()


GridReader = Callable[[Path, GroundSpec], tuple[Floats, Floats, Floats]]

READERS: dict[str, GridReader] = {
    ".asc": lambda path, spec: _read_asc(path),
    ".npy": _read_npy,
    ".npz": lambda path, spec: _read_npz(path),
    ".tif": lambda path, spec: _read_tiff(path),
    ".tiff": lambda path, spec: _read_tiff(path),
    ".vrt": lambda path, spec: _read_tiff(path),
    ".hgt": lambda path, spec: _read_tiff(path),
}
"""File ending -> reader of x (c,), y (r,) and heights (r, c).  A new format of grids is one line here."""

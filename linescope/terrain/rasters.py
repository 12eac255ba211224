"""Elevation rasters of every kind that GDAL reads, by the window that a line needs."""

from __future__ import annotations

import contextlib
import math
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from linescope.errors import TerrainError
from linescope.notes import Note, Severity, Verbatim
from linescope.terrain.files import foreign_words
from linescope.terrain.geo import Corridor, Crs, Frame, Origin
from linescope.terrain.notes import GroundNote, ground_note, metres
from linescope.terrain.plumb import plan_sense

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

ENDINGS = (".tif", ".tiff", ".vrt", ".hgt", ".asc", ".img", ".dem", ".bil", ".jp2")
MOST = 12_000_000
"""Heights in the window of a line: more are too many to join. [-]"""
MOST_WHOLE = 25_000_000
"""Heights of a raster that is read whole. [-]"""
US_FOOT = 1200.0 / 3937.0
"""The foot of US surveys until 2022 (NIST SP 811). [m]"""
FOOT = 0.3048
_UNITS = {
    "m": 1.0, "metre": 1.0, "metres": 1.0, "meter": 1.0, "meters": 1.0, "ft": FOOT, "foot": FOOT, "feet": FOOT,
    "international foot": FOOT, "us survey foot": US_FOOT, "us survey feet": US_FOOT, "us-ft": US_FOOT,
    "ftus": US_FOOT, "foot_us": US_FOOT, "us foot": US_FOOT, "ft_us": US_FOOT,
}  # fmt: skip

GDAL_NODATA = 42113


def height_factor(crs: Crs | None, told: str | None, unit: float | None) -> tuple[float, Note | None]:
    """Metres in one unit of height, and what was assumed.

    Parameters
    ----------
    crs : Crs or None
    told : str or None
        What the file calls the unit of its heights.
    unit : float or None
        Given by the user; it wins. [m]
    """
    if unit is not None:
        return unit, None
    if crs is not None and crs.height_unit is not None:
        return crs.height_unit, None
    if told and told.strip().lower() in _UNITS:
        return _UNITS[told.strip().lower()], None
    if crs is not None and crs.plan_unit != 1.0:
        factor = crs.plan_unit
        return factor, ground_note(GroundNote.HEIGHTS_AS_PLAN, Severity.CHECK, metre=metres(factor))
    return 1.0, ground_note(GroundNote.HEIGHTS_IN_METRES)


@contextlib.contextmanager
def _quietly() -> Iterator[None]:
    """What the reader of rasters says of its own insides is no business of the user's."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        yield


def _check_missing(path: Path) -> None:
    """Whether the missing value of a TIFF is a number; GDAL takes words for none, and holes would be deep ground.

    It stands in tag 42113 as text (GDAL's documentation of the GeoTIFF driver).
    """
    from PIL import TiffImagePlugin

    with path.open("rb") as file:
        head = file.read(8)
        if head[:4] not in TiffImagePlugin.PREFIXES:
            return
        tags = TiffImagePlugin.ImageFileDirectory_v2(head + (file.read(8) if b"+" in head[2:4] else b""))
        try:
            with _quietly():
                file.seek(tags.next)
                tags.load(file)
                text = str(tags.get(GDAL_NODATA, "nan")).strip("\0 ")
        except Exception:  # noqa: BLE001  what GDAL can read and this reader of tags cannot is left to GDAL
            return
    try:
        float(text)
    except ValueError as error:
        raise TerrainError(
            "the missing value is not a number", file=path, key="GDAL_NODATA", found=text[:40],
            allowed="a number, or nan",
        ) from error


class Raster:
    """An elevation raster that is open.

    Parameters
    ----------
    path : Path
    crs : str, optional
        In place of what the file says.

    Raises
    ------
    TerrainError
    """

    def __init__(self, path: Path, crs: str | None = None) -> None:
        import rasterio

        self.path = path
        try:
            with _quietly():
                self._file: Any = rasterio.open(path)
        except Exception as error:  # a foreign reader raises anything; the user gets one clear sentence
            raise TerrainError(
                f"cannot be read as a raster ({foreign_words(error)})", file=path, allowed="a whole, valid file",
            ) from error
        _check_missing(path)
        own = self._file.crs
        self.crs = Crs(crs, str(path)) if crs else Crs(own.to_wkt(), str(path)) if own else None
        if self._file.transform.is_identity and self._file.crs is None:
            raise TerrainError(
                "the raster does not say where it lies", file=path, allowed="a geotransform; or a grid as .npz"
            )

    def close(self) -> None:
        """Let the file go."""
        self._file.close()

    @property
    def middle(self) -> tuple[float, float]:
        """Plan coordinates of its middle. [unit of the file]"""
        x, y = self._plan(np.array([0.5 * self._file.width]), np.array([0.5 * self._file.height]))
        return float(x[0]), float(y[0])

    def _plan(self, column: Floats, row: Floats) -> tuple[Floats, Floats]:
        """Plan coordinates of columns and rows, counted from the outer corner."""
        a, b, c, d, e, f = tuple(self._file.transform)[:6]
        return np.asarray(a * column + b * row + c), np.asarray(d * column + e * row + f)

    def _cells(self, x: Floats, y: Floats) -> tuple[Floats, Floats]:
        """Columns and rows of plan coordinates."""
        a, b, c, d, e, f = tuple(self._file.transform)[:6]
        over = a * e - b * d
        return np.asarray((e * (x - c) - b * (y - f)) / over), np.asarray((a * (y - f) - d * (x - c)) / over)

    def read(
        self, frame: Frame, corridor: Corridor, unit: float | None = None
    ) -> tuple[Floats, Ints, tuple[Note, ...]]:
        """Heights within the corridor, joined cell by cell as they stand in the file: nothing is resampled.

        Parameters
        ----------
        frame : Frame
        corridor : Corridor
        unit : float, optional
            Of the heights, in place of what the file says. [m]

        Returns
        -------
        vertices : (n, 3) float
            Local. [m]
        faces : (k, 3) int
        notes : tuple of Note

        Raises
        ------
        TerrainError
            When the line lies beside the raster, or no height is known there.
        """
        z, rows, columns = self._window(frame, corridor)
        factor, note = height_factor(self.crs, self._file.units[0], unit)
        at = self._plan(columns + 0.5, rows + 0.5)
        vertices = frame.local(np.stack([at[0].ravel(), at[1].ravel(), np.nan_to_num(z).ravel() * factor], 1))
        inside = corridor.away(vertices).reshape(z.shape) <= corridor.radius
        known = np.isfinite(z)
        across = z.shape[1]
        i = (np.arange(z.shape[0] - 1)[:, None] * across + np.arange(across - 1)).ravel()
        first, second = np.stack([i, i + 1, i + across], 1), np.stack([i + 1, i + across + 1, i + across], 1)
        faces = np.concatenate([first, second])
        faces = faces[known.ravel()[faces].all(axis=1) & inside.ravel()[faces].any(axis=1)]
        missing = int((~known & inside).sum())
        notes = [] if note is None else [note]
        if missing:
            notes.append(ground_note(GroundNote.HOLES, Severity.LIMIT, count=missing, total=int(inside.sum())))
        if len(faces) == 0:
            raise TerrainError("no height is known near the line", file=self.path, allowed="heights below the line")
        down = plan_sense(vertices[faces])[0] < 0.0
        faces = np.where(down[:, None], faces[:, ::-1], faces)
        used, renumbered = np.unique(faces, return_inverse=True)
        return vertices[used], renumbered.reshape(-1, 3), tuple(notes)

    def whole(self) -> tuple[Floats, Floats, Floats]:
        """Positions of columns (c,) and rows (r,), and heights (r, c) with nan where unknown, as in the file.

        Raises
        ------
        TerrainError
            Turned or skewed, too large, or not heights.
        """
        a, b, c, d, e, f = tuple(self._file.transform)[:6]
        if b != 0.0 or d != 0.0 or not all(map(math.isfinite, (a, c, e, f))) or a == 0.0 or e == 0.0:
            raise TerrainError(
                "the raster does not lie along its own axes", file=self.path,
                allowed="one that does; or say where the scene lies with origin, or bring it with `linescope ground`",
            )
        if self._file.width * self._file.height > MOST_WHOLE:
            raise TerrainError(
                "the grid is too large", file=self.path, found=(self._file.height, self._file.width),
                allowed="a window of it: say where the scene lies with origin, or bring it with `linescope ground`",
            )
        z = self._heights(None)
        return a * (np.arange(z.shape[1]) + 0.5) + c, e * (np.arange(z.shape[0]) + 0.5) + f, z

    def _heights(self, window: Any) -> Floats:
        """Of a window, or all; nan where unknown. [m, or the unit of the file]"""
        try:
            with _quietly():
                band = self._file.read(1, window=window, masked=True)
        except Exception as error:  # a foreign reader raises anything; the user gets one clear sentence
            raise TerrainError(
                f"cannot be read as a raster ({foreign_words(error)})", file=self.path, allowed="a whole, valid file",
            ) from error
        if band.dtype.kind not in "iuf":
            raise TerrainError("not heights", file=self.path, found=str(band.dtype), allowed="integers or floats")
        z = np.ma.filled(band.astype(np.float64), np.nan) * self._file.scales[0] + self._file.offsets[0]
        z[~np.isfinite(z)] = np.nan
        return np.asarray(z)

    def _window(self, frame: Frame, corridor: Corridor) -> tuple[Floats, Floats, Floats]:
        """Heights, nan where unknown, and the row and column of each."""
        from rasterio.windows import Window

        outline = frame.file(corridor.outline())
        outline = outline[np.isfinite(outline).all(axis=1)]
        columns, rows = self._cells(outline[:, 0], outline[:, 1])
        first = np.floor([np.min(columns, initial=np.inf), np.min(rows, initial=np.inf)]) - 2.0
        last = np.ceil([np.max(columns, initial=-np.inf), np.max(rows, initial=-np.inf)]) + 2.0
        first = np.maximum(first, 0.0)
        last = np.minimum(last, [self._file.width, self._file.height])
        if not np.all(last - first >= 2.0):
            raise TerrainError(
                "the line lies beside this raster", file=self.path, key="anchors",
                found=[round(float(v), 6) for v in outline.mean(axis=0)] if len(outline) else None,
                allowed=f"places about {self.middle}",
            )
        width, height = (int(v) for v in last - first)
        if width * height > MOST:
            raise TerrainError(
                "the raster is too fine for a line so long", file=self.path, found=f"{width} x {height} heights",
                allowed=f"{MOST} heights",
            )
        window = Window(int(first[0]), int(first[1]), width, height)
        z = self._heights(window)
        row, column = np.mgrid[0:height, 0:width].astype(np.float64)
        return z, row + first[1], column + first[0]

    def height_at(self, frame: Frame, place: Floats, unit: float | None = None) -> float:
        """Height of the nearest cell to a local place, (3,) [m]; nan where none is known. [m]"""
        near = Corridor(a=place, b=place + np.array([1e-6, 0.0, 0.0]), radius=0.0)
        try:
            z, rows, columns = self._window(frame, near)
        except TerrainError:
            return math.nan
        x, y = frame.file(place[None])[0]
        column, row = self._cells(np.array([x]), np.array([y]))
        gap = np.hypot(rows + 0.5 - row[0], columns + 0.5 - column[0])
        gap[~np.isfinite(z)] = np.inf
        best = np.unravel_index(int(np.argmin(gap)), gap.shape)
        return float(z[best] * height_factor(self.crs, self._file.units[0], unit)[0]) if gap[best] < 2.0 else math.nan


def told_of(crs: Crs | None) -> tuple[Note, ...]:
    """What is said of a coordinate system."""
    if crs is None:
        return ()
    if crs.heights:
        return (ground_note(GroundNote.SYSTEM_WITH_HEIGHTS, system=Verbatim(crs.name), heights=Verbatim(crs.heights)),)
    return (ground_note(GroundNote.SYSTEM, system=Verbatim(crs.name)),)


def origin_at(crs: Crs, x: float, y: float, height: float) -> Origin:
    """The local frame's zero at a place in a file's coordinates, with its height in metres."""
    longitude, latitude = crs.geographic(np.array([x]), np.array([y]))
    return Origin(latitude=float(latitude[0]), longitude=float(longitude[0]), height=height)

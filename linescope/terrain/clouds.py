"""Laser clouds read a million points at a time: cropped first, then told apart by class."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from linescope.errors import TerrainError
from linescope.notes import Note, Severity
from linescope.terrain.files import foreign_words
from linescope.terrain.geo import Corridor, Crs, Frame
from linescope.terrain.notes import GroundNote, ground_note
from linescope.terrain.points import check_las
from linescope.terrain.rasters import height_factor

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

CHUNK = 1_000_000
GROUND, WATER = (2, 8), (9,)
VEGETATION = (3, 4, 5)
NOISE = (7, 18)
"""Classes of points (ASPRS LAS 1.4 R15, table 17)."""
UNCLASSIFIED = (0, 1)


class Cloud:
    """A LAS or LAZ file that is open.

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
        import laspy

        self.path = path
        check_las(path)
        try:
            self._file: Any = laspy.open(path)
            own = None if crs else self._file.header.parse_crs()
        except Exception as error:  # a foreign reader raises anything; the user gets one clear sentence
            raise _unreadable(path, error) from error
        self.crs = Crs(crs, str(path)) if crs else Crs(own, str(path)) if own is not None else None

    def close(self) -> None:
        """Let the file go."""
        self._file.close()

    @property
    def middle(self) -> tuple[float, float]:
        """Plan coordinates of its middle. [unit of the file]"""
        low, high = self._file.header.mins, self._file.header.maxs
        return float(0.5 * (low[0] + high[0])), float(0.5 * (low[1] + high[1]))

    def _chunks(self, bounds: Floats) -> Iterator[tuple[Floats, NDArray[np.uint8]]]:
        """Points and classes within plan bounds."""
        import laspy

        try:
            if self.path.name.lower().endswith(".copc.laz"):
                from laspy.copc import Bounds, CopcReader

                with CopcReader.open(self.path) as reader:
                    chunk = reader.query(Bounds(mins=bounds[0], maxs=bounds[1]))
                    yield self._of(chunk, bounds)
                return
            with laspy.open(self.path) as file:
                for chunk in file.chunk_iterator(CHUNK):
                    yield self._of(chunk, bounds)
        except TerrainError:
            raise
        except Exception as error:  # a foreign reader raises anything; the user gets one clear sentence
            raise _unreadable(self.path, error) from error

    @staticmethod
    def _of(chunk: Any, bounds: Floats) -> tuple[Floats, NDArray[np.uint8]]:
        # Whole numbers are compared first: scaling every point of a large tile takes longer than reading it.
        scale, offset = np.asarray(chunk.scales), np.asarray(chunk.offsets)
        low, high = (bounds - offset[:2]) / scale[:2]
        x, y = np.asarray(chunk.X), np.asarray(chunk.Y)
        near = np.flatnonzero((x >= low[0]) & (x <= high[0]) & (y >= low[1]) & (y <= high[1]))
        raw = np.stack([x[near], y[near], np.asarray(chunk.Z)[near]], axis=1)
        return raw * scale + offset, np.asarray(chunk.classification)[near].astype(np.uint8)

    def read(
        self, frame: Frame, corridor: Corridor, unit: float | None = None
    ) -> tuple[dict[str, Floats], tuple[Note, ...]]:
        """Points within the corridor by what they are: "ground", "vegetation", "obstacle", "water".

        Parameters
        ----------
        frame : Frame
        corridor : Corridor
        unit : float, optional
            Of the heights, in place of what the file says. [m]

        Returns
        -------
        points : dict of str to (n, 3) float
            Local; "ground" is always there. [m]
        notes : tuple of Note

        Raises
        ------
        TerrainError
            When no point lies near the line.
        """
        factor, note = height_factor(self.crs, None, unit)
        kept, classes = [np.zeros((0, 3))], [np.zeros(0, dtype=np.uint8)]
        bounds = corridor.bounds(frame)
        for points, kind in self._chunks(bounds):
            points[:, 2] *= factor
            local = frame.local(points)
            near = corridor.away(local) <= corridor.radius
            kept.append(local[near])
            classes.append(kind[near])
        points, kind = np.concatenate(kept), np.concatenate(classes)
        if len(points) == 0:
            raise TerrainError(
                "no point of this cloud lies near the line", file=self.path, key="anchors", found=self.middle,
                allowed="points below the line",
            )
        found, more = by_class(points, kind, self.path)
        return found, (*(() if note is None else (note,)), *more)

    def whole(self) -> tuple[dict[str, Floats], tuple[Note, ...]]:
        """All points by what they are, in the unit of the file, and what was left out."""
        everywhere = np.array([[-np.inf, -np.inf], [np.inf, np.inf]])
        parts = list(self._chunks(everywhere))
        if not parts:
            raise TerrainError("the file holds no points", file=self.path, allowed="at least 3 points")
        return by_class(np.concatenate([p for p, _ in parts]), np.concatenate([k for _, k in parts]), self.path)


def by_class(
    points: Floats, kind: NDArray[np.uint8], path: Path
) -> tuple[dict[str, Floats], tuple[Note, ...]]:
    """Points by what they are: "ground", "vegetation", "obstacle", "water".

    Parameters
    ----------
    points : (n, 3) float
        [unit of the file, or m]
    kind : (n,) int
        Their classes.
    path : Path
        For messages.

    Returns
    -------
    points : dict of str to (m, 3) float
        "ground" is always there.  [as given]
    notes : tuple of Note

    Raises
    ------
    TerrainError
        When nothing but noise is left.
    """
    notes = []
    noise = np.isin(kind, NOISE)
    if noise.any():
        notes.append(ground_note(GroundNote.NOISE, Severity.LIMIT, count=int(noise.sum())))
    points, kind = points[~noise], kind[~noise]
    if len(points) == 0:
        raise TerrainError("the file holds no points but noise", file=path, allowed="at least 3 points")
    if not np.isin(kind, GROUND).any():
        # A cloud that nobody has classified holds one class, or none: trees and wires are in it as ground.
        notes.append(ground_note(GroundNote.UNCLASSIFIED, Severity.CHECK, count=len(points)))
        return {"ground": points}, tuple(notes)
    found = {"ground": points[np.isin(kind, GROUND)]}
    green, water = np.isin(kind, VEGETATION), np.isin(kind, WATER)
    unknown = np.isin(kind, UNCLASSIFIED)
    other = ~(np.isin(kind, GROUND) | green | water | unknown)
    # What nobody has told apart may be a branch: it is kept from as vegetation is, and counted.
    for name, mine in (("vegetation", green | unknown), ("water", water), ("obstacle", other)):
        if mine.any():
            found[name] = points[mine]
    notes.append(ground_note(
        GroundNote.CLASSES, ground=len(found["ground"]), vegetation=int(green.sum()), water=int(water.sum()),
        other=int(other.sum()), unknown=int(unknown.sum()),
    ))
    return found, tuple(notes)


def _unreadable(path: Path, error: Exception) -> TerrainError:
    return TerrainError(f"cannot be read as LAS ({foreign_words(error)})", file=path, allowed="a whole, valid file")

"""Laser clouds read a million points at a time: cropped, told apart by class, and thinned far beside the line."""

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
from linescope.terrain.notes import GroundNote, ground_note, metres
from linescope.terrain.points import check_las
from linescope.terrain.rasters import height_factor
from linescope.terrain.sieve import Sieve

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

CHUNK = 1_000_000
CLASSES = {
    "ground": (2, 8), "vegetation": (3, 4, 5), "water": (9,), "noise": (7, 18), "unknown": (0, 1), "other": (),
}
"""Classes of points (ASPRS LAS 1.4 R15, table 17); all those not named are other things."""
_NUMBER = np.full(256, list(CLASSES).index("other"), dtype=np.uint8)
for _at, _mine in enumerate(CLASSES.values()):
    _NUMBER[list(_mine)] = _at


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
            wanted = laspy.DecompressionSelection.base() | laspy.DecompressionSelection.Z
            wanted |= laspy.DecompressionSelection.CLASSIFICATION
            with laspy.open(self.path, decompression_selection=wanted) as file:
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
        sieves = {name: Sieve(corridor, flat=name == "ground") for name in CLASSES}
        counts = dict.fromkeys(CLASSES, 0)
        bounds = corridor.bounds(frame)
        quick = frame.quick(bounds)
        for points, kind in self._chunks(bounds):
            points[:, 2] *= factor
            local = quick(points)
            away = corridor.away(local)
            for name, mine in _told_apart(kind):
                mine &= away <= corridor.radius
                counts[name] += int(mine.sum())
                if name != "noise":
                    sieves[name].add(local[mine], away[mine])
        if not any(counts.values()):
            raise TerrainError(
                "no point of this cloud lies near the line", file=self.path, key="anchors", found=self.middle,
                allowed="points below the line",
            )
        found, more = by_class({name: sieve.points() for name, sieve in sieves.items()}, counts, self.path)
        notes = [] if note is None else [note]
        left_out = sum(sieve.left_out for sieve in sieves.values())
        if left_out:
            sieve = sieves["ground"]
            notes.append(ground_note(
                GroundNote.SIEVED, Severity.LIMIT, count=left_out, near=metres(sieve.near), cell=metres(sieve.widest),
            ))
        return found, (*notes, *more)

    def whole(self) -> tuple[dict[str, Floats], tuple[Note, ...]]:
        """All points by what they are, in the unit of the file, and what was left out."""
        everywhere = np.array([[-np.inf, -np.inf], [np.inf, np.inf]])
        parts: dict[str, list[Floats]] = {name: [np.zeros((0, 3))] for name in CLASSES}
        for points, kind in self._chunks(everywhere):
            for name, mine in _told_apart(kind):
                parts[name].append(points[mine])
        found = {name: np.concatenate(some) for name, some in parts.items()}
        counts = {name: len(each) for name, each in found.items()}
        if not any(counts.values()):
            raise TerrainError("the file holds no points", file=self.path, allowed="at least 3 points")
        return by_class(found, counts, self.path)


def _told_apart(kind: NDArray[np.uint8]) -> Iterator[tuple[str, NDArray[np.bool_]]]:
    """Which points, (n,) by class, are of each kind of `CLASSES`."""
    number = _NUMBER[kind]
    for at, name in enumerate(CLASSES):
        yield name, number == at


def by_class(
    points: dict[str, Floats], counts: dict[str, int], path: Path
) -> tuple[dict[str, Floats], tuple[Note, ...]]:
    """Points by what they are: "ground", "vegetation", "obstacle", "water".

    Parameters
    ----------
    points : dict of str to (n, 3) float
        By name in `CLASSES`.  [unit of the file, or m]
    counts : dict of str to int
        How many there were in the file.
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
    if counts["noise"]:
        notes.append(ground_note(GroundNote.NOISE, Severity.LIMIT, count=counts["noise"]))
    total = sum(counts.values()) - counts["noise"]
    if total == 0:
        raise TerrainError("the file holds no points but noise", file=path, allowed="at least 3 points")
    if not counts["ground"]:
        # A cloud that nobody has classified holds one class, or none: trees and wires are in it as ground.
        notes.append(ground_note(GroundNote.UNCLASSIFIED, Severity.CHECK, count=total))
        return {"ground": np.concatenate([each for name, each in points.items() if name != "noise"])}, tuple(notes)
    found = {"ground": points["ground"]}
    # What nobody has told apart may be a branch: it is kept from as vegetation is, and counted.
    green = np.concatenate([points["vegetation"], points["unknown"]])
    for name, each in (("vegetation", green), ("water", points["water"]), ("obstacle", points["other"])):
        if len(each):
            found[name] = each
    notes.append(ground_note(
        GroundNote.CLASSES, ground=counts["ground"], vegetation=counts["vegetation"], water=counts["water"],
        other=counts["other"], unknown=counts["unknown"],
    ))
    return found, tuple(notes)


def _unreadable(path: Path, error: Exception) -> TerrainError:
    return TerrainError(f"cannot be read as LAS ({foreign_words(error)})", file=path, allowed="a whole, valid file")

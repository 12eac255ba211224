"""The ledger: friction work in fine bins along each face of either line, and at each tape.

What goes in comes out: every deposit is spread over bins by differences of its own running share, which begins at
exactly 0 and ends at exactly 1.  A face is a line and a side of it: the two sides of one webbing wear apart.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cached_property
from types import MappingProxyType
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from linescope.compiled import compiled
from linescope.rig.layout import Layout
from linescope.shown import Outlined

Floats = NDArray[np.float64]
LineName = Literal["main", "backup"]

BIN = 0.005  # Widest bin [m]: a fifth of a narrow tape.
WORST = 0.05  # Share of the length that counts as the worst.
STILL = 1e-4  # Movements below this share of the width are taken as one place.


class RubCause(StrEnum):
    """What rubs."""

    SLIDE = "slide"
    SWAY = "sway"
    STRAIN = "strain"
    RING = "ring"
    FALL = "fall"
    WRAP = "wrap"


class Face(StrEnum):
    """A side of a line; the backup hangs below the main."""

    MAIN_TOP = "main top"
    MAIN_UNDER = "main underside"
    BACKUP_TOP = "backup top"
    BACKUP_UNDER = "backup underside"

    @property
    def line(self) -> LineName:
        """The line it is of."""
        return "main" if self in (Face.MAIN_TOP, Face.MAIN_UNDER) else "backup"

    @classmethod
    def inner(cls, line: LineName) -> Face:
        """The side of a line that faces the other line."""
        return cls.MAIN_UNDER if line == "main" else cls.BACKUP_TOP

    @classmethod
    def outer(cls, line: LineName) -> Face:
        """The side of a line that faces away from the other."""
        return cls.MAIN_TOP if line == "main" else cls.BACKUP_UNDER


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Ledger(Outlined):
    """Work along one face, in n bins of equal width from anchor A.

    Attributes
    ----------
    face : Face
    edges : (n+1,) array
        Material coordinates: unstretched metres from anchor A.  [m]
    work : (n,) array
        [J]
    """

    face: Face
    edges: Floats
    work: Floats

    @property
    def bin(self) -> float:
        """Width of a bin.  [m]"""
        return float(self.edges[-1] / len(self.work))

    @property
    def length(self) -> float:
        """Of the line, unstretched.  [m]"""
        return float(self.edges[-1])

    @cached_property
    def middles(self) -> Floats:
        """(n,) middle of every bin.  [m]"""
        return _still(0.5 * (self.edges[:-1] + self.edges[1:]))

    @cached_property
    def per_metre(self) -> Floats:
        """(n,) work per unstretched metre.  [J/m]"""
        return _still(self.work / self.bin)

    @property
    def total(self) -> float:
        """[J]"""
        return float(self.work.sum())

    @cached_property
    def peak(self) -> float:
        """Largest work per metre.  [J/m]"""
        return float(self.per_metre.max())

    def concentration(self) -> float:
        """Share of the work on the worst `WORST` of the length; nan where there is no work.  [-]"""
        total = self.total
        if total <= 0.0:
            return math.nan
        ordered = np.sort(self.work)[::-1]
        full = int(WORST * len(ordered))
        rest = WORST * len(ordered) - full
        return float((ordered[:full].sum() + rest * ordered[min(full, len(ordered) - 1)]) / total)

    def half_length(self) -> float:
        """The shortest length that takes half of the work; nan where there is no work.  [m]"""
        total = self.total
        if total <= 0.0:
            return math.nan
        running = np.cumsum(np.sort(self.work)[::-1])
        k = int(np.searchsorted(running, 0.5 * total))
        before = running[k - 1] if k else 0.0
        return float((k + (0.5 * total - before) / (running[k] - before)) * self.bin)


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Tracks(Outlined):
    """Five tracks: work on each of four faces, and on the strip of each tape.

    Attributes
    ----------
    faces : mapping of Face to Ledger
    tapes : (t,) array
        [J]
    """

    faces: Mapping[Face, Ledger]
    tapes: Floats

    @property
    def total(self) -> float:
        """On all faces and tapes.  [J]"""
        return sum(ledger.total for ledger in self.faces.values()) + float(self.tapes.sum())

    @property
    def peak(self) -> float:
        """Largest work per metre on any face.  [J/m]"""
        return max(ledger.peak for ledger in self.faces.values())

    def plus(self, other: Tracks, factor: float = 1.0) -> Tracks:
        """These tracks with `factor` times others added."""
        return Tracks(
            faces=_faces({face: ledger.work + factor * other.faces[face].work for face, ledger in self.faces.items()},
                         {face: ledger.edges for face, ledger in self.faces.items()}),
            tapes=_still(self.tapes + factor * other.tapes),
        )

    def times(self, factor: float) -> Tracks:
        """These tracks, `factor` times."""
        return self.plus(self, factor - 1.0)


def _still(values: Floats) -> Floats:
    values = np.asarray(values)
    values.setflags(write=False)
    return values


def _faces(work: Mapping[Face, Floats], edges: Mapping[Face, Floats]) -> Mapping[Face, Ledger]:
    return MappingProxyType(
        {face: Ledger(face=face, edges=edges[face], work=_still(values)) for face, values in work.items()}
    )


class Book:
    """Tracks that are being filled.

    Parameters
    ----------
    layout : Layout
    widest : float
        Widest bin.  [m]
    """

    def __init__(self, layout: Layout, widest: float = BIN) -> None:
        grids = {"main": _still(grid(layout.main_length, widest)), "backup": _still(grid(layout.backup_length, widest))}
        self.edges = {face: grids[face.line] for face in Face}
        self.work = {face: np.zeros(len(edges) - 1) for face, edges in self.edges.items()}
        self.tapes = np.zeros(len(layout.tapes))

    def moving(self, face: Face, start: Floats, end: Floats, width: Floats | float, work: Floats) -> None:
        """Book work of things that rub while they move; see `deposit`."""
        self.work[face] += deposit(self.edges[face], start, end, width, work)

    def spread(self, face: Face, at: Floats, length: Floats | float, work: Floats) -> None:
        """Book work evenly over a length about places."""
        self.moving(face, at, at, length, work)

    def close(self) -> Tracks:
        """What has been booked."""
        return Tracks(
            faces=_faces({face: work.copy() for face, work in self.work.items()}, self.edges),
            tapes=_still(self.tapes.copy()),
        )


def empty(layout: Layout, widest: float = BIN) -> Tracks:
    """Tracks without work."""
    return Book(layout, widest).close()


def grid(length: float, widest: float = BIN) -> Floats:
    """(n+1,) edges of equal bins no wider than `widest`.  [m]"""
    return np.linspace(0.0, length, max(1, math.ceil(length / widest - 1e-9)) + 1)


@compiled
def ramp(y: float) -> float:
    """Integral of y held between 0 and 1."""
    inside = min(max(y, 0.0), 1.0)
    return 0.5 * inside * inside + max(y - 1.0, 0.0)


@compiled
def spread_out(size: float, start: Floats, end: Floats, width: Floats, work: Floats, out: Floats) -> None:
    """Deposits one after the other into bins of one size; see `deposit`."""
    n = len(out)
    length = n * size
    for d in range(len(work)):
        if work[d] == 0.0:
            continue
        half = 0.5 * min(width[d], length)
        a, b = min(max(start[d], half), length - half), min(max(end[d], half), length - half)
        low, high, w = min(a, b), max(a, b), 2.0 * half
        first = min(max(int((low - half) / size), 0), n - 1)
        last = min(max(math.ceil((high + half) / size), first + 1), n)
        way = (high - low) / w
        before = 0.0
        for k in range(first + 1, last + 1):
            passed, to_come = (k * size - low) / w + 0.5, (k * size - high) / w + 0.5
            if k == last:
                share = 1.0
            elif way > STILL:
                share = (ramp(passed) - ramp(to_come)) / way
            else:
                share = min(max(0.5 * (passed + to_come), 0.0), 1.0)
            out[k - 1] += work[d] * (share - before)
            before = share


def deposit(edges: Floats, start: Floats, end: Floats, width: Floats | float, work: Floats) -> Floats:
    """Work of things `width` wide that rub while they move along a line from `start` to `end`.

    Every bit of line takes work in proportion to how long it was under the moving thing.  A thing that does not
    move leaves its work evenly on its width.  Cutting a movement in two does not change the result.

    Parameters
    ----------
    edges : (n+1,) array
        Of equal bins.  [m]
    start, end : (d,) arrays
        Places of the thing's middle; moved to lie within the line with its whole width.  [m]
    width : float or (d,) array
        [m]
    work : (d,) array
        [J]

    Returns
    -------
    (n,) array
        Work in every bin; sums to that of the deposits.  [J]
    """
    result = np.zeros(len(edges) - 1)
    wide = np.ascontiguousarray(np.broadcast_to(np.asarray(width, dtype=float), np.shape(work)))
    spread_out(float(edges[-1]) / len(result), start, end, wide, work, result)
    return result

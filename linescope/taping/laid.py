"""A tape as it is cut and as it lies: the flat strip with its marks, where its end is, what its dry zone covers."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from linescope.taping.between import Between, of_both, of_slider
from linescope.taping.family import DryBy, TapeFamily, Wrapping
from linescope.taping.holds import Holds
from linescope.taping.section import Face, Section, lines_of
from linescope.taping.stock import TapeStock
from linescope.taping.turns import steps

Floats = NDArray[np.float64]

CLEAR_OF_EDGE = 0.008
"""An end underneath stays where it is when it lies at least this far from an edge.  Common practice, no
source. [m]"""


@dataclass(frozen=True, kw_only=True)
class Segment:
    """A part of the cut strip.

    Attributes
    ----------
    kind : {"sticky", "dry", "fold", "piece"}
        "fold" is folded back over the dry part that follows; "piece" is cut off and stuck on the dry part.
    start, end : float
        Along the strip. [m]
    """

    kind: Literal["sticky", "dry", "fold", "piece"]
    start: float
    end: float


@dataclass(frozen=True, kw_only=True)
class StripMark:
    """A line across the strip.

    Attributes
    ----------
    kind : {"lead", "fold", "cut", "turn"}
    at : float
        Along the strip. [m]
    label : str
    """

    kind: Literal["lead", "fold", "cut", "turn"]
    at: float
    label: str


@dataclass(frozen=True, kw_only=True)
class Finish:
    """Where the end of a strip comes to lie.

    Attributes
    ----------
    face : {"top", "side", "underside"}
    to_edge : float
        To the nearest edge of that face. [m]
    add, cut : float
        What to add, or to cut off, so that the end lies in the middle of the underside; `cut` is NaN where
        too little would be left. [m]
    """

    face: Face
    to_edge: float
    add: float
    cut: float

    @property
    def is_underneath(self) -> bool:
        """On the underside and clear of its edges."""
        return self.face == "underside" and self.to_edge >= CLEAR_OF_EDGE

    @property
    def nearest_change(self) -> float:
        """The smaller of adding (positive) and cutting (negative); 0 where the end may stay. [m]

        Where both are alike within a millimetre, cutting.
        """
        if self.is_underneath:
            return 0.0
        return self.add if math.isnan(self.cut) or self.add < self.cut - 0.001 else -self.cut


@dataclass(frozen=True, kw_only=True)
class Coverage:
    """What the dry zone leaves over, at each end, beyond the sliding line's face and edges.

    Attributes
    ----------
    needed : float
        Way round the sliding line that tape can touch. [m]
    zone : float
        Length of the dry zone on the strip. [m]
    before, after : float
        Dry beyond that, at the beginning and at the end; negative where sticky tape can touch the line. [m]
    margin : float
        What was asked for. [m]
    """

    needed: float
    zone: float
    before: float
    after: float
    margin: float

    @property
    def spare(self) -> float:
        """The smaller of `before` and `after`. [m]"""
        return min(self.before, self.after)

    @property
    def covers(self) -> bool:
        """Nothing sticky can touch the sliding line on the first turn."""
        return self.spare >= -1e-9

    @property
    def keeps_margin(self) -> bool:
        """It covers with the margin asked for."""
        return self.spare >= self.margin - 1e-9


@dataclass(frozen=True, eq=False, kw_only=True)
class LaidTape:
    """One tape: the strip as cut, and as it lies.

    Attributes
    ----------
    family : TapeFamily
    holds : Holds
    section : Section
    stock : TapeStock
    wrapping : Wrapping
    cut_length : float
        Strip to cut from the roll, without cross pieces. [m]
    path_length : float
        What goes between and round the lines. [m]
    segments : tuple of Segment
    marks : tuple of StripMark
    finish : Finish
    coverage : Coverage or None
        None where nothing slides.
    patch_length : float
        Of one cross piece, 0 without. [m]
    """

    family: TapeFamily
    holds: Holds
    section: Section
    stock: TapeStock
    wrapping: Wrapping
    cut_length: float
    path_length: float
    segments: tuple[Segment, ...]
    marks: tuple[StripMark, ...]
    finish: Finish
    coverage: Coverage | None
    patch_length: float

    @property
    def between(self) -> Between:
        """What it puts between the lines and round them."""
        width, thickness, wrapping = self.stock.width, self.stock.thickness, self.wrapping
        held, _ = lines_of(self.holds)
        if self.coverage is None:
            return of_both(width, glued=True)
        if wrapping.dry_by is DryBy.PIECE:
            return of_slider(
                self.holds, width, thickness, layers=1, covered=1.0, encloses=True, dry_edges=0.0, dry_outer=0.0
            )
        beyond = max(0.0, self.coverage.after)
        face = 2.0 * self.section.face_half(held)
        if wrapping.dry_by is DryBy.FOLD:
            return of_slider(
                self.holds, width, thickness, layers=2, covered=self.section.tuck / self.section.overlap,
                encloses=False, dry_edges=0.5, dry_outer=beyond / face,
            )
        return of_slider(
            self.holds, width, thickness, layers=0, covered=0.0, encloses=False, dry_edges=1.0,
            dry_outer=2.0 * beyond / face,
        )

    def path(self, step: float = 0.0005) -> tuple[Floats, NDArray[np.bool_]]:
        """The strip's middle layer as points, for drawing.

        Parameters
        ----------
        step : float
            Largest distance between points. [m]

        Returns
        -------
        points : (n, 2) array
            x across the line, y up from where the two lines meet. [m]
        dry : (n,) bool array
            Where the strip is dry.
        """
        stop = self.wrapping.start + self.wrapping.turns * self.section.outline.round
        places, heights, dry = steps(self.section, self.stock, self.wrapping, stop)
        points, flags = [], []
        if self.wrapping.tucked:
            first = self.section.outline.points(places[:1], heights[:1])[0]
            points.append(self.section.seam(lines_of(self.holds)[1], left=bool(first[0] < 0.0)))
            flags.append(np.ones(len(points[0]), dtype=bool))
        for k, height in enumerate(heights):
            low, high = places[k], places[k + 1]
            u = np.linspace(low, high, max(2, math.ceil((high - low) / step) + 1))
            inner = np.where(u >= high, np.nextafter(high, low), u)  # Stay on this side of the next corner.
            points.append(self.section.outline.points(inner, height))
            flags.append(np.full(u.size, bool(dry[k])))
        return np.concatenate(points), np.concatenate(flags)

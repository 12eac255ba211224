"""A strip laid round a section: how long it is, where its end comes to lie, what its dry zone covers.

The strip is followed along its middle layer.  Turn k (0, 1, ...) lies at height ``(k + 1/2) tt`` over the
bare outline, and higher by one tape thickness where a dry piece, fold or cross piece lies under it.  A
straight of the outline takes as much tape at any height; where the outline turns by an angle a, a strip at
height h takes ``a h`` more.  A whole turn therefore takes ``P + 2 pi h``, and n turns without a dry zone
``n P + pi tt n^2``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from linescope.errors import InputError
from linescope.taping.family import DryBy, Holds, TapeFamily, Wrapping
from linescope.taping.section import Face, Section, lines_of
from linescope.taping.stock import TapeStock

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
    def dry_length(self) -> float:
        """Of the dry zone along the strip, 0 without. [m]"""
        return sum(s.end - s.start for s in self.segments if s.kind == "dry")

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
        places, heights, dry = _steps(self.section, self.stock, self.wrapping, stop)
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


def _steps(
    section: Section, stock: TapeStock, wrapping: Wrapping, stop: float
) -> tuple[Floats, Floats, NDArray[np.bool_]]:
    """Places where the strip's height changes, the heights between them, and whether its first turn is dry
    there."""
    turn, tape = section.outline.round, stock.thickness
    layers = np.arange(math.ceil((stop - wrapping.start) / turn) + 1) * turn
    cuts = [section.outline.breaks(wrapping.start, stop), wrapping.start + layers]
    if wrapping.dry is not None:
        cuts += [wrapping.dry[0] + layers, wrapping.dry[1] + layers]
    places = np.unique(np.concatenate(cuts))
    places = places[(places >= wrapping.start) & (places <= stop)]
    places = places[np.concatenate([[True], np.diff(places) > 1e-12])]
    middle = 0.5 * (places[:-1] + places[1:])
    heights = (np.floor((middle - wrapping.start) / turn) + 0.5) * tape
    dry = np.zeros(middle.shape, dtype=bool)
    if wrapping.dry is not None:
        low, high = wrapping.dry
        over = (middle >= low) & (np.mod(middle - low, turn) < high - low)
        heights = heights + np.where(over, tape, 0.0)
        dry = over & (middle < high)
    return places, heights, dry


def _lengths(section: Section, stock: TapeStock, wrapping: Wrapping, stop: float) -> tuple[Floats, Floats]:
    """Places, and the length of strip from `wrapping.start` to each of them."""
    places, heights, _ = _steps(section, stock, wrapping, stop)
    pieces = section.outline.length_to(places[1:], heights) - section.outline.length_to(places[:-1], heights)
    return places, np.concatenate([[0.0], np.cumsum(pieces)])


def lay(family: TapeFamily, section: Section, stock: TapeStock, holds: Holds | None = None) -> LaidTape:
    """One tape of a family, cut as `stock.finish` asks.

    Parameters
    ----------
    family : TapeFamily
    section : Section
    stock : TapeStock
    holds : Holds, optional
        Which line it grips; the family's usual one when left out.

    Raises
    ------
    InputError
        When the family cannot be made to hold that line, or a strip is longer than a roll.
    """
    nominal = lay_whole_wraps(family, section, stock, holds)
    if stock.finish == "as wrapped" or nominal.finish.nearest_change == 0.0:
        return nominal
    return lay_length(family, section, stock, nominal.cut_length + nominal.finish.nearest_change, holds)


def lay_whole_wraps(
    family: TapeFamily, section: Section, stock: TapeStock, holds: Holds | None = None
) -> LaidTape:
    """One tape with the stock's number of wraps, wherever its end falls.  Parameters and errors as `lay`."""
    holds = holds or family.can_hold[0]
    if holds not in family.can_hold:
        raise InputError(
            f"a {family.key} cannot hold {holds.value}", key="holds", found=holds.value,
            allowed=", ".join(repr(h.value) for h in family.can_hold),
        )
    wrapping = family.recipe(section, stock, holds)
    needed = _first_turn(section, wrapping) - wrapping.start
    if wrapping.turns * section.outline.round < needed - 1e-9:
        more = needed / section.outline.round - wrapping.turns
        raise InputError(
            f"so few wraps of a {family.key} end on its dry zone", key="wraps", found=f"{stock.wraps:g}",
            allowed=f"at least {math.ceil(10.0 * (stock.wraps + more)) / 10.0:g}",
        )
    return _laid(family, section, stock, holds, wrapping)


def lay_length(
    family: TapeFamily, section: Section, stock: TapeStock, cut_length: float, holds: Holds | None = None
) -> LaidTape:
    """One tape of a strip cut to a given length [m].  Parameters and errors as `lay`."""
    nominal = lay_whole_wraps(family, section, stock, holds)
    wrapping, turn = nominal.wrapping, section.outline.round
    wanted = nominal.path_length + cut_length - nominal.cut_length - wrapping.tucked
    stop = wrapping.start + turn * (max(wrapping.turns, wanted / section.perimeter) + 1.0)
    places, lengths = _lengths(section, stock, wrapping, stop)
    least = float(np.interp(_first_turn(section, wrapping), places, lengths))
    if not least - 1e-6 <= wanted <= lengths[-1]:
        raise InputError(
            "the strip is too short to go round once beyond its dry zone", key="length",
            found=f"{cut_length:.3f} m",
            allowed=f"at least {cut_length - wanted + least:.3f} m",
        )
    turns = (float(np.interp(wanted, lengths, places)) - wrapping.start) / turn
    return _laid(family, section, stock, nominal.holds, replace(wrapping, turns=turns))


def _first_turn(section: Section, wrapping: Wrapping) -> float:
    """The place where a strip has gone round once and has left its dry zone: it ends there or further on."""
    once = wrapping.start + section.outline.round
    return once if wrapping.dry is None else max(once, wrapping.dry[1])


def _laid(
    family: TapeFamily, section: Section, stock: TapeStock, holds: Holds, wrapping: Wrapping
) -> LaidTape:
    """Everything that follows from how a strip goes round."""
    turn = section.outline.round
    stop = wrapping.start + wrapping.turns * turn
    places, lengths = _lengths(section, stock, wrapping, stop + 1.5 * turn)

    def at(u: float) -> float:
        return wrapping.tucked + float(np.interp(u, places, lengths))

    path = at(stop)
    dry = (at(wrapping.dry[0]), at(wrapping.dry[1])) if wrapping.dry is not None else (0.0, 0.0)
    segments, marks, shift = _strip(wrapping, path, dry)
    marks += [
        StripMark(kind="turn", at=shift + at(wrapping.start + k * turn), label=str(k))
        for k in range(1, math.floor(wrapping.turns + 1e-9) + 1)
        if shift + at(wrapping.start + k * turn) < shift + path - 0.001
    ]
    cut_length = max(segment.end for segment in segments)
    if cut_length > stock.roll:
        raise InputError(
            f"one strip of a {family.key} is longer than a roll of tape", key="roll",
            found=f"{stock.roll:g} m", allowed=f"at least {cut_length:.3f} m",
        )
    after, before = math.ceil(stop / turn - 1e-9) * turn, math.floor(stop / turn + 1e-9) * turn
    spare = _first_turn(section, wrapping) - 1e-9
    layer = (math.floor(wrapping.turns - 1e-9) + 0.5) * stock.thickness
    finish = Finish(
        face=section.face_at(stop), to_edge=section.to_edge(stop, layer), add=max(0.0, at(after) - path),
        cut=path - at(before) if before >= spare else math.nan,
    )
    return LaidTape(
        family=family, holds=holds, section=section, stock=stock, wrapping=wrapping, cut_length=cut_length,
        path_length=path, segments=tuple(segments),
        marks=tuple(sorted(marks, key=lambda m: m.at)), finish=finish,
        coverage=_coverage(section, stock, holds, wrapping, dry[1] - dry[0]),
        patch_length=stock.width + 2.0 * stock.margin if wrapping.patches else 0.0,
    )


def _strip(
    wrapping: Wrapping, path: float, dry: tuple[float, float]
) -> tuple[list[Segment], list[StripMark], float]:
    """The flat strip: its parts, its lines, and where on it the path begins."""
    length = dry[1] - dry[0]
    if wrapping.dry_by is DryBy.FOLD:
        length = dry[1]
        return [
            Segment(kind="fold", start=0.0, end=length),
            Segment(kind="dry", start=length, end=2.0 * length),
            Segment(kind="sticky", start=2.0 * length, end=length + path),
        ], [StripMark(kind="fold", at=length, label="fold")], length
    if wrapping.dry_by is DryBy.NOTHING:
        lead = StripMark(kind="lead", at=wrapping.lead, label="lead")
        return [Segment(kind="sticky", start=0.0, end=path)], [lead], 0.0
    segments = [
        Segment(kind="sticky", start=0.0, end=dry[0]),
        Segment(kind="dry", start=dry[0], end=dry[1]),
        Segment(kind="sticky", start=dry[1], end=path),
    ]
    marks = [StripMark(kind="lead", at=dry[0], label="lead")]
    if wrapping.dry_by is DryBy.PIECE:
        segments.append(Segment(kind="piece", start=path, end=path + length))
        marks.append(StripMark(kind="cut", at=path, label="cut off"))
    return segments, marks, 0.0


def _coverage(
    section: Section, stock: TapeStock, holds: Holds, wrapping: Wrapping, zone: float
) -> Coverage | None:
    """What the dry zone leaves over round the sliding line on the first turn."""
    if wrapping.dry is None:
        return None
    outline, turn = section.outline, section.outline.round
    _, sliding = lines_of(holds)
    height = 1.5 * stock.thickness
    first, last = section.contact(sliding)
    while first < wrapping.start - 1e-12:
        first, last = first + turn, last + turn
    while first - turn >= wrapping.start - 1e-12:
        first, last = first - turn, last - turn
    dry_end = min(wrapping.dry[1], wrapping.start + turn)
    before = outline.length(wrapping.dry[0], first, height) + wrapping.tucked
    return Coverage(
        needed=outline.length(first, last, height), zone=zone + wrapping.tucked, before=before,
        after=outline.length(last, dry_end, height), margin=stock.margin,
    )

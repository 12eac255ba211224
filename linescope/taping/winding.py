"""The true way of a strip round two lines, layer by layer.

The strip is followed along its middle layer.  Lines are hard and keep their shape, the strip lies tight and does not
stretch, and goes round the convex hull of what lies there.  With k layers of strip under it, it lies

    h = (k + 1/2) tt                                                                    (1)

over the bare outline, tt the tape's thickness.  A straight takes as much strip at any height; where the outline turns
by an angle a, strip at height h takes

    a h                                                                                 (2)

more than the bare corner.  So lengths depend on how many layers lie under each corner, and those are counted place by
place: one for every turn before, one where a dry tail, tab or cross piece lies, one where a strip that encloses the
held line lies on that line, and the wings of a cross piece, folded to its back, under every later turn.

In all, n turns of nothing but strip take n P + pi tt n^2 (P the bare way round), since turn k takes P + 2 pi (k +
1/2) tt.

A strip that encloses the held line first, equal flat webbings w by t, P = 2 w + 4 t, short end s.  Between the lines
lies one layer, so that the outline is P + 2 tt.  Turn 1 is counted from where the strip comes out from between the
lines on to the held line's outer face: that face, the edge, the dry tail's way round the sliding line, and up to the
middle of the corner where it comes on to the held face again.

    first loop, three corners at tt/2:        2 w + 2 t + (3 pi / 2)(tt / 2)
    down, under, and up to that middle:       w + 3 t + 2 tt + 2 (pi / 2)(3/2 tt) + (pi / 4)(5/2 tt)
    each further turn, k = 0, 1, ...:         P + 2 tt + pi (19/4 + 2 k) tt

(corners under the tail's far part carry the tail, those of the held line the first loop, one both).  Summed,

    L = s + w + t + n P + tt [pi (n^2 + 7 n / 4 + 1 / 8) + 2 n]                         (3)

which L = s + w + t + n P + tt (pi n^2 + 7.6 n) renders to 0.1 mm for n = 1 to 5 and tape up to 0.25 mm.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linescope.errors import InputError
from linescope.taping.beginnings import Beginning, Enclosing, Lead, Patch, Tab
from linescope.taping.holds import Holds
from linescope.taping.section import Section, lines_of

Floats = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True)
class Layer:
    """Strip that lies under the way round both.

    Attributes
    ----------
    low, high : float
        From where to where.  [m, see `Outline`]
    first, later : int
        Layers under the first turn, and under every turn after it.
    """

    low: float
    high: float
    first: int
    later: int


@dataclass(frozen=True, eq=False, kw_only=True)
class Winding:
    """A strip's way, without an end: `lay` says where it is cut.

    Attributes
    ----------
    section : Section
        With the gap that the strip between the lines makes.
    holds : Holds
    thickness : float
        Of the tape.  [m]
    beginning : Beginning
    before : float
        Strip used before it goes round both.  [m]
    start : float
        Place where that begins.  [m, see `Outline`]
    layers : tuple of Layer
    full : float
        Place where the first turn is full, as turns are counted.  [m, see `Outline`]
    dry : (float, float) or None
        Where the way round both is dry on its first turn.  [m, see `Outline`]
    between : float
        Strip between the lines, from the edge inwards.  [m]
    around : float
        Strip round the held line alone, without what lies between.  [m]
    over : float
        Strip along the sliding line's inner face, where that is the wider.  [m]
    """

    section: Section
    holds: Holds
    thickness: float
    beginning: Beginning
    before: float
    start: float
    layers: tuple[Layer, ...]
    full: float
    dry: tuple[float, float] | None
    between: float = 0.0
    around: float = 0.0
    over: float = 0.0

    @property
    def turn(self) -> float:
        """What a place grows by in one turn.  [m, see `Outline`]"""
        return self.section.outline.round

    @cached_property
    def _cuts(self) -> Floats:
        """Where the number of layers changes, in [start, start + turn)."""
        ends = [self.start, *(end for layer in self.layers for end in (layer.low, layer.high))]
        return np.unique([self.start + (end - self.start) % self.turn for end in ends])

    def steps(self, stop: float) -> tuple[Floats, Floats]:
        """Heights along the way round both.

        Parameters
        ----------
        stop : float
            Place where to stop.  [m, see `Outline`]

        Returns
        -------
        places : (n + 1,) array
            Ascending from `start`; between two of them nothing changes.  [m, see `Outline`]
        heights : (n,) array
            Of the strip's middle layer over the bare outline.  [m]
        """
        times = np.arange(math.ceil((stop - self.start) / self.turn) + 1) * self.turn
        cuts = [self.section.outline.breaks(self.start, stop), (self._cuts[:, None] + times).ravel()]
        places = np.unique(np.concatenate(cuts))
        places = places[(places >= self.start) & (places <= stop)]
        places = places[np.concatenate([[True], np.diff(places) > 1e-12])]
        middle = 0.5 * (places[:-1] + places[1:])
        time = np.floor((middle - self.start) / self.turn)
        under = time + 0.0
        for layer in self.layers:
            inside = np.mod(middle - layer.low, self.turn) < layer.high - layer.low
            under += np.where(inside, np.where(time > 0.0, layer.later, layer.first), 0.0)
        return places, (under + 0.5) * self.thickness

    def run(self, stop: float) -> tuple[Floats, Floats]:
        """Places up to `stop`, and the strip used at each, from its very beginning: two (n,) arrays.  [m]"""
        places, heights = self.steps(stop)
        outline = self.section.outline
        pieces = outline.length_to(places[1:], heights) - outline.length_to(places[:-1], heights)
        return places, self.before + np.concatenate([[0.0], np.cumsum(pieces)])

    def used(self, place: ArrayLike) -> Floats:
        """Strip used where it passes places on the way round both.

        Parameters
        ----------
        place : (n,) array
            [m, see `Outline`]

        Returns
        -------
        (n,) array
            [m]
        """
        wanted = np.asarray(place, dtype=float)
        places, lengths = self.run(float(np.max(wanted)))
        return np.asarray(np.interp(wanted, places, lengths))

    def reached(self, length: float) -> float:
        """The place where a strip of a length ends.

        Raises
        ------
        InputError
            When it does not get as far as round both.
        """
        if length < self.before:
            raise InputError(
                "the strip is too short to go round both lines", key="length", found=f"{length:.3f} m",
                allowed=f"more than {self.before:.3f} m",
            )
        turns = math.ceil((length - self.before) / self.section.perimeter) + 1
        places, lengths = self.run(self.start + turns * self.turn)
        return float(np.interp(length, lengths, places))

    def passing(self, place: float, after: float) -> float:
        """The first passing of a place that is not before another one.  [m, see `Outline`]"""
        return place + math.ceil((after - place) / self.turn - 1e-9) * self.turn

    def turns(self, stop: float) -> float:
        """Turns of a strip that ends at a place.  [-]"""
        return (stop - self.full) / self.turn + 1.0

    def stop(self, turns: float) -> float:
        """Where a strip of so many turns ends.  [m, see `Outline`]"""
        return self.full + (turns - 1.0) * self.turn


def wind(section: Section, thickness: float, holds: Holds, beginning: Beginning) -> Winding:
    """A strip wound round two lines.

    Parameters
    ----------
    section : Section
        The two lines on each other.
    thickness : float
        Of the tape.  [m]
    holds : Holds
        The line it grips.
    beginning : Beginning

    Raises
    ------
    InputError
        When the beginning does not fit the lines: too short to come out, or longer than once round.
    """
    if isinstance(beginning, Lead):
        full = section.outline.round
        return Winding(
            section=section, holds=holds, thickness=thickness, beginning=beginning, before=0.0, start=0.0, layers=(),
            full=full, dry=None,
        )
    if isinstance(beginning, Patch):
        return _patched(section, thickness, holds, beginning)
    if isinstance(beginning, Enclosing):
        return _enclosing(section.opened(thickness), thickness, holds, beginning)
    return _tabbed(section.opened(thickness), thickness, holds, beginning)


@dataclass(frozen=True, kw_only=True)
class Leaving:
    """Where strip comes out from between the lines, at the near edge: left of a held main, right of a held backup.

    Attributes
    ----------
    place : float
        Where it joins the outline of both.  [m, see `Outline`]
    over : float
        Way along the sliding line's inner face to there, where that line is the wider.  [m]
    sweep : float
        Turning there of strip that comes round the held line.  [rad]
    """

    place: float
    over: float
    sweep: float


def leaving(section: Section, holds: Holds) -> Leaving:
    """Where strip comes out from between two lines.

    Parameters
    ----------
    section : Section
        With the strip between them.
    holds : Holds
    """
    held, sliding = lines_of(holds)
    side = -1.0 if held == "main" else 1.0
    outline, wide = section.outline, section.seat(held) - section.seat(sliding)
    body = held if wide >= -1e-9 else sliding
    places = [u % outline.round for u in outline.places_of(side * section.seat(body), section.levels(body)[0])]
    if not places:  # Beside a thick rope: level with the held line's inner face.
        level = outline.rising_through(section.levels(held)[0])
        over = float(outline.points(np.array([level]))[0, 0]) - section.seat(held)
        return Leaving(place=level if side > 0.0 else outline.round - level, over=over, sweep=0.0)
    if body == sliding:
        return Leaving(place=min(places), over=-wide, sweep=0.0)
    corner = next((c for c in outline.corners if abs(c.start - min(places)) < 1e-9), None)
    return Leaving(place=max(places), over=0.0, sweep=0.0 if corner is None else corner.sweep)


def _upon(section: Section, held: str, start: float) -> tuple[float, float]:
    """The held line's part of the outline, within the turn from `start` on."""
    turn = section.outline.round
    side = section.outline.rising_through(0.0)
    low, high = (side, turn - side) if held == "main" else (-side, side)
    shift = math.ceil((start - low) / turn - 1e-9) * turn
    return low + shift, min(high + shift, start + turn)


def _walk(winding: Winding, distance: float, what: str) -> float:
    """Where a first layer from `start` on ends; refused when it does not come out, or goes round by itself."""
    places, lengths = winding.run(winding.start + winding.turn)
    if not 0.0 < distance < lengths[-1] - winding.before:
        least, most = winding.over + winding.between, winding.over + winding.between + lengths[-1] - winding.before
        raise InputError(
            f"this {what} does not go with these lines", key=what, found=f"{1e3 * (distance + least):.0f} mm",
            allowed=f"more than {1e3 * least:.0f} mm and less than {1e3 * most:.0f} mm",
        )
    return float(np.interp(winding.before + distance, lengths, places))


def _enclosing(section: Section, thickness: float, holds: Holds, beginning: Enclosing) -> Winding:
    """Between the lines, round the held one, on to the short end, and round both."""
    held, _ = lines_of(holds)
    out = leaving(section, holds)
    start, over, sweep = out.place, out.over, out.sweep
    width, half = section.width_of(held), 0.5 * thickness
    if section.is_round(held):
        between, around = 0.0, math.pi * (width + thickness)
    else:  # Three corners at tt/2; the fourth is where it goes on.
        between, around = width, width + 2.0 * section.thickness_of(held) + 1.5 * math.pi * half
    low, high = _upon(section, held, start)
    if over > 0.0:  # From the held line down to the sliding one's edge it lies on strip too, on a straight.
        high = start + section.outline.round
    upon = Layer(low=low, high=high, first=1, later=1)

    def made(layers: tuple[Layer, ...], dry: tuple[float, float] | None, inside: float = 0.0) -> Winding:
        return Winding(
            section=section, holds=holds, thickness=thickness, beginning=beginning,
            before=beginning.short + between + around + over + sweep * half, start=start, layers=layers,
            full=start, dry=dry, between=inside, around=around, over=over,
        )

    tip = _walk(made((upon,), None), beginning.short - over, "short end")
    tail = Layer(low=start, high=tip, first=1, later=1)
    wound = made((upon, tail), (start, tip), between)
    return replace(wound, full=wound.passing(section.face(held)[0], start))


def _tabbed(section: Section, thickness: float, holds: Holds, beginning: Tab) -> Winding:
    """The doubled tab from between the lines round the sliding one, and round both."""
    held, sliding = lines_of(holds)
    out = leaving(section, holds)
    start = out.place
    between = beginning.tuck + abs(section.seat(held) - section.seat(sliding))

    def made(layers: tuple[Layer, ...], dry: tuple[float, float] | None) -> Winding:
        return Winding(
            section=section, holds=holds, thickness=thickness, beginning=beginning,
            before=beginning.fold + between, start=start, layers=layers, full=start + section.outline.round, dry=dry,
            between=between,
        )

    tip = _walk(made((), None), beginning.fold - between, "tab")
    layers = [Layer(low=start, high=tip, first=1, later=1)]
    if out.over > 0.0:  # The tab lies on the sliding line's inner face; so does, on the tab, what comes down to it.
        _, high = _upon(section, held, start)
        layers.append(Layer(low=high, high=start + section.outline.round, first=1, later=1))
    return made(tuple(layers), (start, tip))


def _patched(section: Section, thickness: float, holds: Holds, beginning: Patch) -> Winding:
    """Round both, over a cross piece that is centred on the sliding line's outer face."""
    _, sliding = lines_of(holds)
    outline, turn = section.outline, section.outline.round
    middle, over = section.middle(sliding), 1.5 * thickness
    first = outline.walk(middle, -0.5 * beginning.zone, over)
    last = outline.walk(middle, 0.5 * beginning.zone, over)
    start = outline.walk(first, -beginning.lead, 0.5 * thickness)
    if last - first > turn:
        raise InputError(
            "this cross piece does not go with these lines", key="cross piece",
            found=f"{1e3 * beginning.zone:.0f} mm", allowed=f"less than {1e3 * outline.perimeter:.0f} mm, once round",
        )
    shift = -math.floor(start / turn) * turn
    first, last, start = first + shift, last + shift, start + shift
    return Winding(
        section=section, holds=holds, thickness=thickness, beginning=beginning, before=0.0, start=start,
        layers=(Layer(low=first, high=last, first=1, later=2),), full=start + turn, dry=(first, last),
    )

"""Lines and strip of one tape in the section, as they are drawn: thicknesses larger than they are, ends where they are.

Section coordinates of pictures are millimetres, as the tape is made: held line on top, the near edge, towards whoever
makes it, at negative x, y up.  Layers could not be told apart at their true thickness, so both lines and the strip are
drawn thicker, and the strip is wound anew round these by the same rules; widths are true, and so is how far every dry
part reaches on to the held line and where the strip ends.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from linescope.taping import Beginning, Enclosing, Holds, LaidTape, Lead, Patch, Section, Tab, Winding, wind
from linescope.taping.path import path
from linescope.taping.recipes import reaching
from linescope.taping.section import Body, lines_of

Floats = NDArray[np.float64]

LAYER = 0.95
"""Drawn thickness of a layer of strip. [mm]"""
THICKER = 1.75
"""Of flat lines. [-]"""
SMOOTH = 2.2
"""Way over which a strip climbs on to another layer. [mm]"""
STEP = 2.5e-4
"""Between two points of a way, before those that it can do without are left out. [m]"""


class Way:
    """A way in the section, built as one walks: straight on, or turning on an arc.

    Parameters
    ----------
    start : (2,) sequence
        [mm]
    heading : float
        Anticlockwise from the x axis.  [deg]
    """

    def __init__(self, start: Sequence[float] | Floats, heading: float) -> None:
        self._points: list[tuple[float, float]] = [(float(start[0]), float(start[1]))]
        self._heading = math.radians(heading)

    def on(self, length: float) -> Way:
        """Straight on.  [mm]"""
        x, y = self._points[-1]
        self._points.append((x + math.cos(self._heading) * length, y + math.sin(self._heading) * length))
        return self

    def turn(self, angle: float, radius: float) -> Way:
        """On an arc, to the left when the angle [deg] is positive; its radius [mm]."""
        count = max(2, math.ceil(abs(angle) / 7.0))
        step = math.radians(angle) / count
        for _ in range(count):
            self._heading += step / 2
            chord = 2 * radius * math.sin(abs(step) / 2)
            x, y = self._points[-1]
            self._points.append((x + math.cos(self._heading) * chord, y + math.sin(self._heading) * chord))
            self._heading += step / 2
        return self

    def along(self, points: Floats) -> Way:
        """Through points, going on as they end."""
        self._points += [(float(x), float(y)) for x, y in points]
        x1, y1 = self._points[-1]
        before = next(p for p in reversed(self._points) if math.hypot(x1 - p[0], y1 - p[1]) > 1e-4)
        self._heading = math.atan2(y1 - before[1], x1 - before[0])
        return self

    @property
    def points(self) -> Floats:
        """(n, 2) array, no point twice.  [mm]"""
        found: Floats = np.array(self._points)
        moves = np.hypot(*np.diff(found, axis=0).T) > 1e-6
        return np.compress(np.concatenate([[True], moves]), found, axis=0)


@dataclass(frozen=True, eq=False, kw_only=True)
class Shapes:
    """One tape as it is drawn.

    Attributes
    ----------
    tape : LaidTape
    section : Section
        Drawn, with what lies between the lines.  [m]
    winding : Winding
        Round the drawn lines.
    """

    tape: LaidTape
    section: Section
    winding: Winding

    @property
    def turned(self) -> float:
        """-1 where the section is turned by half a turn, to have the held line on top."""
        return -1.0 if self.tape.holds is Holds.BACKUP else 1.0

    @property
    def mirrored(self) -> float:
        """-1 where the strip would come from the far edge otherwise."""
        return 1.0 if isinstance(self.winding.beginning, (Enclosing, Tab)) else -1.0

    def shown(self, points: Floats) -> Floats:
        """Points of the section [m] as they are drawn [mm]."""
        scale = 1e3 * self.turned
        found: Floats = np.multiply(points, [scale * self.mirrored, scale])
        return found

    def body(self, held: bool) -> Body:
        """The line on top, or the one below."""
        both: tuple[Body, Body] = ("main", "backup")
        first, second = both if self.tape.holds is Holds.BOTH else lines_of(self.tape.holds)
        return first if held else second

    def half(self, held: bool) -> float:
        """Half the width of the line on top, or of the one below.  [mm]"""
        return 500.0 * self.section.width_of(self.body(held))

    def levels(self, held: bool) -> tuple[float, float]:
        """Inner and outer height of the line on top, or of the one below.  [mm]"""
        inner, outer = self.section.levels(self.body(held))
        return 1e3 * inner * self.turned, 1e3 * outer * self.turned

    def outline(self, held: bool) -> Floats:
        """(n, 2) array: a line's own outline, anticlockwise, its edges a little round.  [mm]"""
        half, (inner, outer) = self.half(held), self.levels(held)
        middle, high = (inner + outer) / 2, abs(outer - inner) / 2
        round_ = high if self.section.is_round(self.body(held)) else min(1.1, 0.4 * high)
        count = 12 if round_ == high else 3
        found = []
        for k, (sx, sy) in enumerate(((1, 1), (-1, 1), (-1, -1), (1, -1))):
            for angle in np.linspace(0, math.pi / 2, count) + k * math.pi / 2:
                x, y = sx * (half - round_) + round_ * math.cos(angle), sy * (high - round_) + round_ * math.sin(angle)
                found.append((x, y + middle))
        return np.array(found)

    def place(self, held: bool, share: float, turn: int) -> float:
        """A place on a line's outer face, a share of it from where the strip comes on to it, at so manieth passing.

        [m, see `Outline`]
        """
        low, high = self.section.face(self.body(held))
        return self.winding.passing(low + share * (high - low), self.winding.start) + turn * self.winding.turn

    def wound(self, start: float, stop: float, under: float = 0.0) -> Floats:
        """The strip round both between two places [m, see `Outline`], and so many layers lower.  [mm]"""
        count = max(8, math.ceil((stop - start) / STEP))
        u = np.linspace(start, stop, count)
        places, heights = self.winding.steps(max(stop, self.winding.start + 1e-4))
        height = heights[np.clip(np.searchsorted(places, u, side="right") - 1, 0, len(heights) - 1)]
        points = self.section.outline.points(u, height)
        run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
        height = _smoothed(height, run, 1e-3 * SMOOTH) - under * self.winding.thickness
        return _plain(self.shown(self.section.outline.points(u, height)))

    @cached_property
    def first_layer(self) -> Floats:
        """(n, 2) array: the innermost dry layer from where it comes out to its tip.  [mm]"""
        assert self.winding.dry is not None
        return self.wound(self.winding.dry[0], self.winding.dry[1], under=1.0)

    @cached_property
    def parts(self) -> dict[str, Floats]:
        """The parts of the strip before it goes round both, by kind.  [mm]"""
        runs = path(self.winding, self.winding.start + 0.5 * self.winding.turn, STEP)
        return {run.kind: _plain(self.shown(run.points)) for run in runs}

    @property
    def end(self) -> float:
        """The place where the strip ends, as truly on the same face.  [m, see `Outline`]"""
        true, drawn = self.tape.winding.section.outline, self.section.outline
        turns, rest = divmod(self.tape.stop, true.round)
        return drawn.matched(true, rest) + turns * drawn.round


def shapes_of(tape: LaidTape) -> Shapes:
    """One tape as it is drawn.

    Parameters
    ----------
    tape : LaidTape
    """
    true = tape.section.opened(0.0)
    drawn, layer = replace(true, main_thickness=_thicker(true.main_thickness)), 1e-3 * LAYER
    if not true.backup_is_rope:
        drawn = replace(drawn, backup_thickness=_thicker(true.backup_thickness))
    winding = wind(drawn, layer, tape.holds, _drawn_beginning(tape, drawn, layer))
    if isinstance(winding.beginning, Lead):  # Longer or shorter than meant, it begins elsewhere.
        start = winding.section.outline.matched(tape.winding.section.outline, tape.winding.start)
        winding = replace(winding, start=start, full=start + winding.turn)
    return Shapes(tape=tape, section=winding.section, winding=winding)


def _thicker(thickness: float) -> float:
    return max(THICKER * thickness, 0.0032)


def _drawn_beginning(tape: LaidTape, drawn: Section, layer: float) -> Beginning:
    """The same beginning for the drawn thicknesses: dry parts reach as far on to the held line as they truly do."""
    beginning = tape.winding.beginning
    held, sliding = lines_of(tape.holds)
    if isinstance(beginning, Patch):
        true = tape.winding.section
        more = drawn.outline.length(*drawn.contact(sliding)) - true.outline.length(*true.contact(sliding))
        return replace(beginning, zone=beginning.zone + more)
    if not isinstance(beginning, (Enclosing, Tab)):
        return beginning
    wanted, reach = _on_held(tape.winding), reaching(drawn, layer, tape.holds, 0.0)
    inside = 0.0
    if isinstance(beginning, Tab):
        inside = beginning.tuck + max(0.0, drawn.seat(held) - drawn.seat(sliding))
    made: Beginning = beginning
    for _ in range(4):  # On the face its end moves as far as it is longer.
        length = inside + reach
        made = Enclosing(short=length) if isinstance(beginning, Enclosing) else Tab(fold=length, tuck=beginning.tuck)
        reach += wanted - _on_held(wind(drawn, layer, tape.holds, made))
    return made


def _on_held(winding: Winding) -> float:
    """How far the dry part reaches on to the held line's outer face, along the bare line.  [m]"""
    assert winding.dry is not None
    held, _ = lines_of(winding.holds)
    face, tip = winding.section.face(held)[0], winding.dry[1]
    face += round((tip - face) / winding.turn) * winding.turn
    return winding.section.outline.length(face, tip)


def _smoothed(values: Floats, run: Floats, reach: float) -> Floats:
    """Values along a way without steps: their mean over a reach."""
    if run[-1] < 2.0 * reach:
        return values
    even = np.arange(0.0, run[-1], reach / 20.0)
    count = 21
    padded = np.pad(np.interp(even, run, values), count // 2, mode="edge")
    means: Floats = np.convolve(padded, np.ones(count) / count, "valid")
    return np.asarray(np.interp(run, even, means), dtype=float)


def _plain(points: Floats, tolerance: float = 0.02) -> Floats:
    """The same polyline with fewer points: none is farther from it than a tolerance [mm] (Douglas and Peucker 1973)."""
    keep = np.zeros(len(points), dtype=bool)
    keep[[0, -1]] = True
    stack = [(0, len(points) - 1)]
    while stack:
        first, last = stack.pop()
        if last - first < 2:
            continue
        along = points[last] - points[first]
        length = float(np.hypot(*along))
        rest = points[first + 1 : last] - points[first]
        off = np.abs(rest @ np.array([-along[1], along[0]])) / length if length > 1e-9 else np.hypot(*rest.T)
        worst = int(np.argmax(off))
        if off[worst] > tolerance:
            middle = first + 1 + worst
            keep[middle] = True
            stack += [(first, middle), (middle, last)]
    return points[keep]

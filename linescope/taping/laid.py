"""A tape as it is cut and as it lies: the flat strip with its marks, where its end is, what its dry part covers."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

from linescope.taping.beginnings import Enclosing, Lead, Patch, Tab
from linescope.taping.between import Between, of_both, of_slider
from linescope.taping.family import TapeFamily
from linescope.taping.holds import Holds
from linescope.taping.path import Run, path
from linescope.taping.section import Face, Section, lines_of
from linescope.taping.stock import Tape, TapeStock
from linescope.taping.winding import Winding

CLEAR_OF_EDGE = 0.008
"""An end stays where it is when it lies at least this far from an edge.  Common practice, no source. [m]"""
NARROW = 0.35
"""Where a face is too narrow for that on both sides, an end clears it in the middle 30 %: assumed. [-]"""

PartKind = Literal["lead", "short", "between", "around", "tail", "fold", "tab", "dry", "wound"]


@dataclass(frozen=True, kw_only=True)
class Segment:
    """A part of the cut strip.

    Attributes
    ----------
    kind : str
        "short" and "tail" stick to each other and make the dry tail, as "fold" and "tab" make the tab; "dry" is
        covered by cross pieces; "lead", "between", "around" and "wound" stick to the lines or to strip.
    start, end : float
        Along the strip. [m]
    """

    kind: PartKind
    start: float
    end: float


@dataclass(frozen=True, kw_only=True)
class StripMark:
    """A line across the strip.

    Attributes
    ----------
    kind : {"lead", "short", "fold", "turn"}
    at : float
        Along the strip. [m]
    number : int
        Of a turn; 0 else.
    """

    kind: Literal["lead", "short", "fold", "turn"]
    at: float
    number: int = 0


@dataclass(frozen=True, kw_only=True)
class Finish:
    """Where the end of a strip comes to lie.

    Attributes
    ----------
    face : {"top", "side", "underside"}
    past, rest : float
        From the edge that it came over on to that face, and on to the next one. [m]
    add, cut : float
        What to add, or to cut off, so that the end lies in the middle of the underside; `cut` is NaN where
        too little would be left. [m]
    clear : float
        How far from an edge an end underneath must lie to stay there. [m]
    """

    face: Face
    past: float
    rest: float
    add: float
    cut: float
    clear: float

    @property
    def to_edge(self) -> float:
        """To the nearest edge of the face. [m]"""
        return min(self.past, self.rest)

    @property
    def is_underneath(self) -> bool:
        """On the underside and clear of its edges."""
        return self.face == "underside" and self.to_edge >= self.clear

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
    """What the dry part leaves over beyond the sliding line's face and edges.

    Attributes
    ----------
    needed : float
        Way round the sliding line that tape can touch. [m]
    zone : float
        Dry length there. [m]
    before, after : float
        Dry beyond that, at the beginning and at the end; negative where sticky tape can touch the line.  A strip that
        comes out from between the lines is dry at its beginning whatever it does, and has NaN for `before`. [m]
    on_held : float
        How far the dry part reaches on to the held line's outer face; negative: not so far. [m]
    margin : float
        What was asked for. [m]
    """

    needed: float
    zone: float
    before: float
    after: float
    on_held: float
    margin: float

    @property
    def spare(self) -> float:
        """The smaller of `before` and `after`. [m]"""
        return self.after if math.isnan(self.before) else min(self.before, self.after)

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
    lines : Section
        The two lines by their given sizes.
    section : Section
        The same, corrected by what was measured.
    stock : TapeStock
    winding : Winding
    stop : float
        Place where it ends. [m, see `Outline`]
    cut_length : float
        Strip to cut from the roll, without cross pieces. [m]
    segments : tuple of Segment
    marks : tuple of StripMark
    finish : Finish
    coverage : Coverage or None
        None where nothing slides.
    """

    family: TapeFamily
    holds: Holds
    lines: Section
    section: Section
    stock: TapeStock
    winding: Winding
    stop: float
    cut_length: float
    segments: tuple[Segment, ...]
    marks: tuple[StripMark, ...]
    finish: Finish
    coverage: Coverage | None

    @property
    def tape(self) -> Tape:
        """The tape it is made of."""
        return self.family.tape(self.stock)

    @property
    def turns(self) -> float:
        """Round both lines; of a strip that encloses the held line, with the one in which it does.  [-]"""
        return self.winding.turns(self.stop)

    @property
    def first(self) -> float:
        """What is measured out first: lead, short end or tab.  [m]"""
        beginning = self.winding.beginning
        if isinstance(beginning, Lead):
            return beginning.length
        if isinstance(beginning, Patch):
            return beginning.lead
        return beginning.short if isinstance(beginning, Enclosing) else beginning.fold

    @property
    def pieces(self) -> int:
        """Cross pieces."""
        return self.winding.beginning.pieces if isinstance(self.winding.beginning, Patch) else 0

    @property
    def piece_length(self) -> float:
        """Of one cross piece, 0 without.  [m]"""
        return self.winding.beginning.piece if isinstance(self.winding.beginning, Patch) else 0.0

    @property
    def used(self) -> float:
        """Tape in it, cross pieces included.  [m]"""
        return self.cut_length + self.pieces * self.piece_length

    @cached_property
    def between(self) -> Between:
        """What it puts between the lines and round them."""
        winding, width = self.winding, self.tape.width
        if winding.dry is None or self.coverage is None:
            return of_both(width, glued=True)
        section, (held, sliding) = winding.section, lines_of(self.holds)
        face = section.face_length(held)
        beyond = max(0.0, self.coverage.on_held)
        dry_outer, dry_edges = beyond / face, float(beyond > 0.0) / 2.0
        if isinstance(winding.beginning, Enclosing):  # Its tail lies on strip there, not on the line.
            return of_slider(
                self.holds, width, winding.thickness, layers=1, covered=1.0, encloses=True, dry_edges=0.0,
                dry_outer=0.0
            )
        if isinstance(winding.beginning, Tab):
            seats = [seat for seat in (section.seat(held), section.seat(sliding)) if seat > 0.0]
            covered = winding.beginning.tuck / (2.0 * min(seats)) if len(seats) == 2 else 1.0 / 3.0
            return of_slider(
                self.holds, width, winding.thickness, layers=2, covered=min(1.0, covered), encloses=False,
                dry_edges=dry_edges, dry_outer=dry_outer,
            )
        return of_slider(
            self.holds, width, winding.thickness, layers=0, covered=0.0, encloses=False,
            dry_edges=min(1.0, 2.0 * dry_edges), dry_outer=min(1.0, 2.0 * dry_outer),
        )

    def path(self, step: float = 0.0005) -> tuple[Run, ...]:
        """Where every part of it lies in the section, for drawing.

        Parameters
        ----------
        step : float
            Largest distance between points. [m]
        """
        return path(self.winding, self.stop, step)

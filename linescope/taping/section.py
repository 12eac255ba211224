"""The section that a tape goes round: main on top, backup flat against it underneath, strip between them or not.

Places on the outline are the numbers ``u`` of `Outline`: 0 is the middle of the underside, growing
anticlockwise as drawn (from the underside to the right edge, over the top, down the left edge).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Literal

from linescope.errors import InputError
from linescope.taping.holds import Holds
from linescope.taping.outline import Outline, OutlineDisc

Face = Literal["top", "side", "underside"]
Body = Literal["main", "backup"]

_EIGHTH = 0.25 * math.pi
_FACES: tuple[tuple[Body, Face], ...] = (("main", "top"), ("backup", "underside"))


@dataclass(frozen=True, kw_only=True)
class Section:
    """Two lines stacked centred, main above backup; y = 0 is midway between their inner faces.

    Attributes
    ----------
    main_width, main_thickness : float
        Of the flat main. [m]
    backup_width, backup_thickness : float
        Of the flat backup; both its diameter for a rope. [m]
    backup_is_rope : bool
        A round backup.
    gap : float
        Between the two, where strip lies there. [m]

    Raises
    ------
    InputError
        When a size is not a positive finite number below half a metre.
    """

    main_width: float
    main_thickness: float
    backup_width: float
    backup_thickness: float
    backup_is_rope: bool = False
    gap: float = 0.0

    def __post_init__(self) -> None:
        for name in ("main_width", "main_thickness", "backup_width", "backup_thickness"):
            value = getattr(self, name)
            if not (math.isfinite(value) and 0.0 < value < 0.5):
                raise InputError(
                    "a line in the tape section has no usable size", key=name, found=f"{value:g} m",
                    allowed="more than 0 and less than 0.5 m",
                )
        if self.backup_is_rope and not math.isclose(self.backup_width, self.backup_thickness):
            raise InputError("a rope's width and thickness are its diameter", key="backup_thickness",
                             found=f"{self.backup_thickness:g} m", allowed=f"{self.backup_width:g} m")

    def opened(self, gap: float) -> Section:
        """The same lines with so much between them [m]."""
        return replace(self, gap=gap)

    def scaled(self, factor: float) -> Section:
        """All sizes of both lines times a factor [-]."""
        return replace(
            self, main_width=factor * self.main_width, main_thickness=factor * self.main_thickness,
            backup_width=factor * self.backup_width, backup_thickness=factor * self.backup_thickness,
        )

    @cached_property
    def outline(self) -> Outline:
        """The convex outline of the stack."""
        discs = list(self._discs("main")) + list(self._discs("backup"))
        return Outline(tuple(discs))

    @cached_property
    def main_alone(self) -> Outline:
        """The outline of the main by itself, where it lies."""
        return Outline(self._discs("main"))

    @cached_property
    def backup_alone(self) -> Outline:
        """The outline of the backup by itself, where it lies; a rope as a disc stretched by a thousandth of 1 mm."""
        discs = self._discs("backup")
        if self.backup_is_rope:  # Two discs, since an outline needs straights to begin and end on.
            (disc,) = discs
            discs = (replace(disc, x=-5e-7), replace(disc, x=5e-7))
        return Outline(discs)

    def alone(self, body: Body) -> Outline:
        """The outline of one line by itself."""
        return self.main_alone if body == "main" else self.backup_alone

    def _discs(self, body: Body) -> tuple[OutlineDisc, ...]:
        inner, outer = self.levels(body)
        if self.is_round(body):
            radius = 0.5 * self.backup_width
            return (OutlineDisc(x=0.0, y=inner - radius, radius=radius, body=body),)
        half = 0.5 * self.width_of(body)
        return tuple(OutlineDisc(x=x, y=y, radius=0.0, body=body) for x in (-half, half) for y in (inner, outer))

    def levels(self, body: Body) -> tuple[float, float]:
        """Heights of a line's inner and outer face. [m]"""
        up = 1.0 if body == "main" else -1.0
        return up * 0.5 * self.gap, up * (0.5 * self.gap + self.thickness_of(body))

    def is_round(self, body: Body) -> bool:
        """Whether a line is a rope."""
        return body == "backup" and self.backup_is_rope

    @property
    def height(self) -> float:
        """Of the stack. [m]"""
        return self.main_thickness + self.gap + self.backup_thickness

    @property
    def perimeter(self) -> float:
        """Of the bare outline. [m]"""
        return self.outline.perimeter

    def width_of(self, body: Body) -> float:
        """Width (or diameter) of one line. [m]"""
        return self.main_width if body == "main" else self.backup_width

    def thickness_of(self, body: Body) -> float:
        """Thickness (or diameter) of one line. [m]"""
        return self.main_thickness if body == "main" else self.backup_thickness

    def seat(self, body: Body) -> float:
        """Half the width with which a line lies on the other: nothing for a rope. [m]"""
        return 0.0 if self.is_round(body) else 0.5 * self.width_of(body)

    @property
    def overlap(self) -> float:
        """Width in which the two lines lie on each other.  [m]"""
        return min(self.main_width, self.backup_width)

    def middle(self, body: Body) -> float:
        """Place of the middle of a line's outer face: the top for the main, the underside for the backup."""
        return 0.5 * self.outline.round if body == "main" else 0.0

    def face(self, body: Body) -> tuple[float, float]:
        """Places where a tape comes on to a line's outer face and leaves it.

        Of a flat line the middles of its two outer corners; of a rope where its normal is 45 degrees from straight out,
        or where the tape leaves it before that.
        """
        half, middle, turn = 0.5 * self.width_of(body), self.middle(body), self.outline.round
        if self.is_round(body):
            reach = min(self.outline.where_normal(_EIGHTH), self._contact_half(body))
        else:
            places = self.outline.places_of(half, self.levels(body)[1])
            reach = abs(math.remainder(sum(places) / len(places) - middle, turn))
        return middle - reach, middle + reach

    def face_length(self, body: Body) -> float:
        """Of a line's outer face, along the bare outline; of a rope a quarter of its circumference. [m]"""
        return self.outline.length(*self.face(body))

    def contact(self, body: Body) -> tuple[float, float]:
        """First and last place where a tape round the stack can touch a line, its edges included."""
        half, middle = self._contact_half(body), self.middle(body)
        return middle - half, middle + half

    def _contact_half(self, body: Body) -> float:
        """Half the reach of a line's contact, as a difference of places."""
        turn, middle = self.outline.round, self.middle(body)
        if self.is_round(body):
            return float(self.outline.breaks(0.0, turn)[1])
        half = 0.5 * self.width_of(body)
        found = [u for y in self.levels(body) for u in self.outline.places_of(half, y)]
        return max(abs(math.remainder(u - middle, turn)) for u in found)

    def face_at(self, u: float) -> Face:
        """On which face a place lies."""
        turn = self.outline.round
        for body, name in _FACES:
            low, high = self.face(body)
            if (u - low + 1e-12) % turn <= high - low + 2e-12:
                return name
        return "side"

    def from_edges(self, u: float) -> tuple[float, float]:
        """From the edge that a strip came over on to the face where it is, and on to the next edge, bare. [m]"""
        turn, outline = self.outline.round, self.outline
        rest = u % turn
        ends = [end + shift for body, _ in _FACES for end in self.face(body) for shift in (-turn, 0.0, turn)]
        before, after = max(e for e in ends if e <= rest + 1e-12), min(e for e in ends if e > rest + 1e-12)
        return outline.length(before, rest), outline.length(rest, after)


def lines_of(holds: Holds) -> tuple[Body, Body]:
    """The line that is held and the one that slides (for a tape that holds both: backup, main)."""
    return ("main", "backup") if holds is Holds.MAIN else ("backup", "main")

"""The section that a tape goes round: main on top, backup flat against it underneath.

Places on the outline are the numbers ``u`` of `Outline`: 0 is the middle of the underside, growing
anticlockwise as drawn (from the underside to the right edge, over the top, down the left edge).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property
from typing import Literal

import numpy as np

from linescope.errors import InputError
from linescope.taping.holds import Holds
from linescope.taping.outline import Array, Disc, Outline

Face = Literal["top", "side", "underside"]
Body = Literal["main", "backup"]

_EIGHTH = 0.25 * math.pi


@dataclass(frozen=True, kw_only=True)
class Section:
    """Two lines stacked centred, main above backup.

    Attributes
    ----------
    main_width, main_thickness : float
        Of the flat main. [m]
    backup_width, backup_thickness : float
        Of the flat backup; both its diameter for a rope. [m]
    backup_is_rope : bool
        A round backup.

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

    @cached_property
    def outline(self) -> Outline:
        """The convex outline of the stack."""
        half, up = 0.5 * self.main_width, self.main_thickness
        discs = [Disc(x=x, y=y, radius=0.0, body="main") for x in (-half, half) for y in (0.0, up)]
        if self.backup_is_rope:
            radius = 0.5 * self.backup_width
            discs.append(Disc(x=0.0, y=-radius, radius=radius, body="backup"))
        else:
            half, down = 0.5 * self.backup_width, -self.backup_thickness
            discs += [Disc(x=x, y=y, radius=0.0, body="backup") for x in (-half, half) for y in (0.0, down)]
        return Outline(tuple(discs))

    @property
    def height(self) -> float:
        """Of the stack. [m]"""
        return self.main_thickness + self.backup_thickness

    @property
    def perimeter(self) -> float:
        """Of the bare outline. [m]"""
        return self.outline.perimeter

    def width_of(self, body: Body) -> float:
        """Width (or diameter) of one line. [m]"""
        return self.main_width if body == "main" else self.backup_width

    @property
    def overlap(self) -> float:
        """Width in which the two lines lie on each other.  [m]"""
        return min(self.main_width, self.backup_width)

    def middle(self, body: Body) -> float:
        """Place of the middle of a line's outer face: the top for the main, the underside for the backup."""
        return 0.5 * self.outline.round if body == "main" else 0.0

    def face_half(self, body: Body) -> float:
        """Half the outer face of a line, along the bare outline. [m]

        For a rope: half the arc that the tape touches.
        """
        if body == "backup" and self.backup_is_rope:
            return self.outline.length(0.0, self._contact_half("backup"))
        return 0.5 * self.width_of(body)

    def contact(self, body: Body) -> tuple[float, float]:
        """First and last place where a tape round the stack can touch a line, its edges included."""
        half, middle = self._contact_half(body), self.middle(body)
        return middle - half, middle + half

    def _contact_half(self, body: Body) -> float:
        """Half the reach of a line's contact, as a difference of places."""
        turn, middle = self.outline.round, self.middle(body)
        if body == "backup" and self.backup_is_rope:
            return float(self.outline.breaks(0.0, turn)[1])
        half = 0.5 * self.width_of(body)
        ends = (0.0, self.main_thickness) if body == "main" else (0.0, -self.backup_thickness)
        found = [u for y in ends for u in self.outline.places_of(half, y)]
        return max(abs(math.remainder(u - middle, turn)) for u in found)

    @property
    def tuck(self) -> float:
        """How far a tab goes in between the lines: a third of the narrower.  Assumed; it gives the
        practised length. [m]"""
        return min(self.main_width, self.backup_width) / 3.0

    def seam(self, body: Body, *, left: bool) -> Array:
        """The way of a tucked tab on a line's own surface, from its tip out to where a tape round both
        meets it.

        Parameters
        ----------
        body : {"main", "backup"}
            The line the tab goes round.
        left : bool
            Out to the left instead of the right.

        Returns
        -------
        (n, 2) array
            x across the line, y up from where the lines meet. [m]
        """
        own, other = self.width_of(body), self.width_of("backup" if body == "main" else "main")
        lower = self.main_thickness if body == "main" else -self.backup_thickness
        half = 0.0 if self.backup_is_rope else 0.5 * min(own, other)
        points = [(half - self.tuck, 0.0), (half, 0.0)]
        if self.backup_is_rope and body == "backup":
            radius, reach = 0.5 * self.backup_width, self.outline.length(0.0, self._contact_half("backup"))
            for angle in np.linspace(0.0, math.pi - reach / radius, 24)[1:]:
                points.append((radius * math.sin(angle), radius * (math.cos(angle) - 1.0)))
        else:
            if own > 2.0 * half:
                points.append((0.5 * own, 0.0))
            if not self.outline.places_of(0.5 * own, 0.0):
                points.append((0.5 * own, lower))
        return np.array(points) * ((-1.0, 1.0) if left else (1.0, 1.0))

    def face_at(self, u: float) -> Face:
        """On which face a place lies, by its normal: within 45 degrees of up or down, or neither."""
        turned = self.outline.normal_angle(u)
        if turned <= _EIGHTH or turned >= 7.0 * _EIGHTH:
            return "underside"
        return "top" if 3.0 * _EIGHTH <= turned <= 5.0 * _EIGHTH else "side"

    def to_edge(self, u: float, offset: float) -> float:
        """Way from a place to the nearest edge of the face it lies on, along the raised outline. [m]"""
        turn = self.outline.round
        rest = u % turn
        edges = [self.outline.where_normal(k * _EIGHTH) for k in (1, 3, 5, 7)]
        return min(
            abs(self.outline.length(rest, edge + shift, offset))
            for edge in edges
            for shift in (-turn, 0.0, turn)
        )


def lines_of(holds: Holds) -> tuple[Body, Body]:
    """The line that is held and the one that slides (for a tape that holds both: backup, main)."""
    return ("main", "backup") if holds is Holds.MAIN else ("backup", "main")

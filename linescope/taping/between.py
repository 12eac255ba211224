"""What lies between two taped lines, and what lies against every face of either: read off the winding.

Touch and rub ask this.  At a tape the lines lie together over the tape's width; whether line lies on line there, or
on the dry back of the strip, or in glue, is decided by how the tape is made, face by face:

- a strip that encloses the held line passes between the lines: one layer over the whole inner face, its glue on the
  held line and its back to the one that slides, which meets that back on every side;
- a folded tab reaches in between over a part of the face: there both lines meet its dry back, beside it each other;
- a cross piece goes round the sliding line's outer face and edges, and nothing lies between;
- a fixed wrap sticks to the outer faces and edges of both.

Shares are of the face of the line that is asked about, over the width in which the two lines lie on each other for
inner faces.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from types import MappingProxyType
from typing import Literal

from linescope.taping.holds import Holds

Body = Literal["main", "backup"]


class Against(Enum):
    """What lies against a face of a line."""

    LINE = "the other line"
    BACKING = "dry back of the strip"
    GLUE = "glue"


Shares = Mapping[Against, float]


def only(what: Against) -> Shares:
    """A face with one thing against all of it."""
    return MappingProxyType({what: 1.0})


def part(what: Against, share: float, rest: Against) -> Shares:
    """A face with one thing against a share of it, and another against the rest; of nothing there is no entry."""
    share = min(1.0, max(0.0, share))
    return MappingProxyType({k: v for k, v in ((what, share), (rest, 1.0 - share)) if v > 0.0})


@dataclass(frozen=True, kw_only=True)
class Covering:
    """What lies against one line at a tape.

    Attributes
    ----------
    inner : mapping of Against to float
        On the face towards the other line: shares of where the two lie on each other.  [-]
    edges, outer : mapping of Against to float
        On both edges together, and on the face away from the other line: shares.  [-]
    """

    inner: Shares
    edges: Shares
    outer: Shares

    @property
    def line_on_line(self) -> float:
        """Share of the inner face against which the other line lies bare.  [-]"""
        return self.inner.get(Against.LINE, 0.0)

    @property
    def sticks(self) -> bool:
        """Whether glue holds it."""
        return any(Against.GLUE in face for face in (self.inner, self.edges, self.outer))


@dataclass(frozen=True, kw_only=True)
class Between:
    """What a tape puts between two lines and round them.

    Attributes
    ----------
    holds : Holds
    layers : int
        Of the strip between the lines, where there are most.
    gap : float
        Between the lines' inner faces there.  [m]
    covered : float
        Share of the width in which the lines lie on each other that has strip in between.  [-]
    width : float
        Of the tape: the length of line over which all this holds.  [m]
    encloses : bool
        Whether the strip goes all round the held line alone, so that torn outside it is not dropped.
    main, backup : Covering
    """

    holds: Holds
    layers: int
    gap: float
    covered: float
    width: float
    encloses: bool
    main: Covering
    backup: Covering

    def of(self, body: Body) -> Covering:
        """What lies against one line."""
        return self.main if body == "main" else self.backup

    @property
    def held(self) -> Covering | None:
        """Of the line it grips; None where it grips both."""
        return None if self.holds is Holds.BOTH else self.of("main" if self.holds is Holds.MAIN else "backup")

    @property
    def sliding(self) -> Covering | None:
        """Of the line that slides; None where nothing does."""
        return None if self.holds is Holds.BOTH else self.of("backup" if self.holds is Holds.MAIN else "main")

    @property
    def lines_touch(self) -> bool:
        """Whether line lies on line at the tape, over a part of the face at least."""
        return self.covered < 1.0


def of_both(width: float, *, glued: bool) -> Between:
    """Both lines gripped: line on line, stuck outside by a tape, or tied together and bare.

    Parameters
    ----------
    width : float
        [m]
    glued : bool
    """
    outside = only(Against.GLUE) if glued else MappingProxyType({})
    each = Covering(inner=only(Against.LINE), edges=outside, outer=outside)
    return Between(
        holds=Holds.BOTH, layers=0, gap=0.0, covered=0.0, width=width, encloses=False, main=each, backup=each
    )


def of_slider(
    holds: Holds, width: float, thickness: float, *, layers: int, covered: float, encloses: bool,
    dry_edges: float, dry_outer: float,
) -> Between:
    """A tape that lets one line slide: that line meets nothing but dry strip, save where line lies on line.

    Parameters
    ----------
    holds : Holds
    width, thickness : float
        Of the tape.  [m]
    layers : int
    covered : float
        [-]
    encloses : bool
    dry_edges, dry_outer : float
        Shares of the held line's edges and outer face that the dry part of the strip reaches on to.  [-]
    """
    dry = only(Against.BACKING)
    slides = Covering(inner=part(Against.BACKING, covered, Against.LINE), edges=dry, outer=dry)
    inner = only(Against.GLUE) if encloses else slides.inner
    held = Covering(
        inner=inner, edges=part(Against.BACKING, dry_edges, Against.GLUE),
        outer=part(Against.BACKING, dry_outer, Against.GLUE),
    )
    main, backup = (held, slides) if holds is Holds.MAIN else (slides, held)
    return Between(
        holds=holds, layers=layers, gap=layers * thickness, covered=covered, width=width, encloses=encloses,
        main=main, backup=backup,
    )

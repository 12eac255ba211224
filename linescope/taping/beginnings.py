"""The ways to begin a tape: what a strip does before it goes round both lines.

A family is made of one of these; lengths are along the strip, in metres.  The strip's sticky face is its inner one,
so a part that must not stick is covered, and what covers it is always strip: its own short end, its own beginning
folded back, or a cross piece.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Lead:
    """Begun in the middle of the underside, sticky face to the lines: nothing slides.

    Attributes
    ----------
    length : float
        Laid over the upper line's edge and folded round to the middle of the underside.  [m]
    """

    length: float


@dataclass(frozen=True, kw_only=True)
class Enclosing:
    """Passed between the lines and round the held one, on to its own short end, sticky to sticky; that dry tail goes
    on.

    Attributes
    ----------
    short : float
        The short end, from the held line's edge.  [m]
    """

    short: float


@dataclass(frozen=True, kw_only=True)
class Tab:
    """Folded back on itself, sticky to sticky, its tip tucked between the lines; the dry tab goes round the sliding
    one.

    Attributes
    ----------
    fold : float
        Length of the tab; it takes twice that of the strip.  [m]
    tuck : float
        How far its tip reaches in where the lines lie on each other.  [m]
    """

    fold: float
    tuck: float


@dataclass(frozen=True, kw_only=True)
class Patch:
    """Pieces of the same tape laid across the strip, sticky to sticky, their wings folded round to its back.

    Attributes
    ----------
    lead : float
        From the strip's end to the first piece: what sticks to the held line's outer face.  [m]
    zone : float
        Dry length along the strip, centred on the sliding line.  [m]
    pieces : int
        Side by side.
    piece : float
        Length of each.  [m]
    """

    lead: float
    zone: float
    pieces: int
    piece: float


Beginning = Lead | Enclosing | Tab | Patch

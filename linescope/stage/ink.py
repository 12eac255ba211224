"""Drawings in ink: areas, lines, discs and text on a flat page, drawn in their order, for any kind of file.

Positions and sizes are pixels of a page of the picture's own size, x to the right and y down; colours are "#rrggbb".
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from linescope.stage.items import Panel
from linescope.stage.theme import SHAPES

Point = tuple[float, float]

LEADING = 1.22
"""From one line of text to the next, in heights of its letters.  [-]"""


@dataclass(frozen=True, kw_only=True)
class Area:
    """A filled outline.

    Attributes
    ----------
    points : tuple of Point
    colour : str
    edge : str
        Of its outline; "" for none.
    width : float
        Of its outline.  [px]
    """

    points: tuple[Point, ...]
    colour: str
    edge: str = ""
    width: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Line:
    """A stroke with round joints.

    Attributes
    ----------
    points : tuple of Point
    colour : str
    width : float
        [px]
    dash : float
        Length of dashes and of the gaps between them; 0: none.  [px]
    quiet : bool
        Labels may stand on it.
    """

    points: tuple[Point, ...]
    colour: str
    width: float
    dash: float = 0.0
    quiet: bool = False


@dataclass(frozen=True, kw_only=True)
class Disc:
    """A filled disc.

    Attributes
    ----------
    at : Point
    radius : float
        [px]
    colour : str
    """

    at: Point
    radius: float
    colour: str


@dataclass(frozen=True, kw_only=True)
class Text:
    """Text in lines no wider than asked for.

    Attributes
    ----------
    text : str
    at : Point
        Of the first line's top, at its left end, its middle or its right end.
    size : float
        [px]
    width : float
        Lines are broken so that none is wider; 0: one line.  [px]
    align : {"left", "middle", "right"}
    strong : bool
    colour : str
    plate : str
        Colour of a box behind it; "" for none.
    centred : bool
        `at` is at half the height of all lines.
    risen : bool
        `at` is at the bottom of the last line.
    most : int
        Lines; text that needs more is set smaller.  0: as many as it takes.
    halo : str
        Colour of a rim that parts it from what it stands on; "" for none.
    """

    text: str
    at: Point
    size: float
    width: float = 0.0
    align: Literal["left", "middle", "right"] = "left"
    strong: bool = False
    colour: str = "#15191c"
    plate: str = ""
    centred: bool = False
    risen: bool = False
    most: int = 0
    halo: str = ""


@dataclass(frozen=True, kw_only=True)
class Tag:
    """Text that belongs to a point and finds its own place beside it, off all that is drawn and off other text.

    Attributes
    ----------
    text : str
    at : Point
    size : float
        [px]
    others : tuple of Point
        Points that it belongs to as well (of a curve, say): the one is taken that it finds the best place at.
    towards : (x, y)
        Preferred direction, y up.
    offset : float
        Gap to the point.  [px]
    rank : int
        Low numbers are placed first.
    must : bool
        Searches all of its room before it is left out.
    strong : bool
    colour, halo : str
    width : float
        Lines are broken so that none is wider; 0: one line.  [px]
    room : (4,) tuple
        Left, top, right and bottom of where it may stand.  [px]
    """

    text: str
    at: Point
    size: float
    room: tuple[float, float, float, float]
    others: tuple[Point, ...] = ()
    towards: Point = (0.0, -1.0)
    offset: float = 8.0
    rank: int = 5
    must: bool = True
    strong: bool = False
    colour: str = "#15191c"
    halo: str = "#ffffff"
    width: float = 0.0


@dataclass(frozen=True, kw_only=True)
class Row:
    """Entries side by side, or one below the other: each a swatch and its text.

    Attributes
    ----------
    frame : (4,) tuple
        Left, top, right, bottom.  [px]
    entries : tuple of (ink, float, text)
        Of each its swatch, drawn at the origin, how wide that is [px], and its text, placed behind it.
    down : bool
        One below the other, from the frame's top; a text is as wide as the frame, in as many lines as it takes.
    gap : float
        Between two of them.  [px]
    """

    frame: tuple[float, float, float, float]
    entries: tuple[tuple[tuple[Ink, ...], float, Text], ...]
    down: bool = False
    gap: float = 60.0


@dataclass(frozen=True, eq=False, kw_only=True)
class Bitmap:
    """A picture of pixels, for ground that no lines can show.

    Attributes
    ----------
    frame : (4,) tuple
        Left, top, right, bottom.  [px]
    pixels : (h, w, 3) array
        Red, green and blue, 0 to 255.  [-]
    """

    frame: tuple[float, float, float, float]
    pixels: NDArray[np.uint8]


@dataclass(frozen=True, eq=False, kw_only=True)
class View:
    """A window into the world: ground as a bitmap, and on it lines, symbols and labels in ink.

    Attributes
    ----------
    frame : (4,) tuple
        Left, top, right, bottom.  [px]
    panel : Panel
        What is seen there.
    faded : bool
        Whether its ground fades to paper at the edges; a chart does not.
    """

    frame: tuple[float, float, float, float]
    panel: Panel
    faded: bool = True


@dataclass(frozen=True, kw_only=True)
class Keep:
    """A rectangle that labels had better leave free; nothing is drawn.

    Attributes
    ----------
    frame : (4,) tuple
        Left, top, right, bottom.  [px]
    firm : bool
        No label may stand there at all.
    """

    frame: tuple[float, float, float, float]
    firm: bool = False


@dataclass(frozen=True, kw_only=True)
class Window:
    """Ink that is seen through a rectangle only.

    Attributes
    ----------
    frame : (4,) tuple
        Left, top, right, bottom.  [px]
    ink : tuple of Ink
    disc : bool
        Seen through the largest ellipse in the rectangle instead.
    """

    frame: tuple[float, float, float, float]
    ink: tuple[Ink, ...]
    disc: bool = False


Ink = Area | Line | Disc | Text | Window | Tag | Keep | Row | Bitmap | View


@dataclass(frozen=True, kw_only=True)
class Drawing:
    """A page of ink.

    Attributes
    ----------
    name : str
    title : str
        For who cannot see it.
    size : (width, height)
        [px]
    paper : str
    ink : tuple of Ink
        Tags and views are for drawings of crew pictures only, which are laid out before they are written.
    """

    name: str
    title: str
    size: tuple[float, float]
    paper: str
    ink: tuple[Ink, ...]


def symbol(name: str, at: Point, half: float, colour: str) -> list[Ink]:
    """A symbol of the theme: its outlines filled, or a disc where it has no corners.

    Parameters
    ----------
    name : str
        Of `SHAPES`, or any other.
    at : Point
        [px]
    half : float
        Of its size.  [px]
    colour : str
    """
    if name not in SHAPES:
        return [Disc(at=at, radius=half, colour=colour)]
    return [
        Area(points=tuple((at[0] + half * x, at[1] + half * y) for x, y in shape), colour=colour)
        for shape in SHAPES[name]
    ]

"""Drawings in ink: areas, lines, discs and text on a flat page, drawn in their order, for any kind of file.

Positions and sizes are pixels of a page of the picture's own size, x to the right and y down; colours are "#rrggbb".
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Point = tuple[float, float]


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
    """

    points: tuple[Point, ...]
    colour: str
    width: float


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


@dataclass(frozen=True, kw_only=True)
class Window:
    """Ink that is seen through a rectangle only.

    Attributes
    ----------
    frame : (4,) tuple
        Left, top, right, bottom.  [px]
    ink : tuple of Ink
    """

    frame: tuple[float, float, float, float]
    ink: tuple[Ink, ...]


Ink = Area | Line | Disc | Text | Window


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
    """

    name: str
    title: str
    size: tuple[float, float]
    paper: str
    ink: tuple[Ink, ...]

"""A crew picture: its message, the ink under it, and a key; all four of them stand on two sheets of paper."""

from __future__ import annotations

import dataclasses
import datetime
import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from linescope import __version__
from linescope.notes import Verbatim
from linescope.stage.ink import (
    Area,
    Bitmap,
    Disc,
    Drawing,
    Ink,
    Keep,
    Line,
    Point,
    Row,
    Tag,
    Text,
    View,
    Window,
    symbol,
)
from linescope.stage.items import LegendEntry
from linescope.stage.page import Brief
from linescope.stage.theme import ROLES, Theme
from linescope.words import frame

Floats = NDArray[np.float64]
Frame = tuple[float, float, float, float]

WIDE = 2000.0  # Of a page [px].
EDGE = 60.0  # Left and right of everything [px].
TITLE, FIGURE, BODY, NOTE = 40.0, 32.0, 26.0, 24.0
"""Sizes of text [px of a page 2000 px wide]: the smallest is ten points on A4, lying."""
HEAD, FOOT = 146.0, 40.0  # Where the ink under the message begins; room of the key [px].
LINES = 2  # Of a message, at most.
LOWER, TIGHTER = 30.0, 30.0  # Row of what was tried, and the size of a message that stands above it [px].
LETTERS = 135  # Of what was tried, in one line, about.
AREAS = "zone_"  # How names of roles begin that stand for areas, not for symbols.
RIM = 2.5  # Of casing round a symbol [px].
HATCH = 13.0  # Between two strokes of a hatch [px].


@dataclass(frozen=True, eq=False, kw_only=True)
class Board:
    """One crew picture.

    Attributes
    ----------
    name : str
    title : str
        The message, a sentence.
    loud : bool
        Whether the message says that something is reached or tight.
    under : str
        One quiet line below it.
    height : float
        [px]
    ink : tuple of Ink
        Below the message, on the picture's own page.
    key : tuple of LegendEntry
        What is not labelled.
    """

    name: str
    title: str
    loud: bool
    under: str
    height: float
    ink: tuple[Ink, ...]
    key: tuple[LegendEntry, ...] = ()


def look(theme: Theme) -> Theme:
    """The theme with the sizes of crew pictures."""
    return dataclasses.replace(
        theme, heading=TITLE, figure=FIGURE, body=BODY, small=NOTE, main_width=7.0, backup_width=4.0, thin=1.8
    )


def whole(board: Board, brief: Brief) -> Board:
    """A board with its message above its ink, and its key below."""
    return replace(board, ink=(*_headed(board, brief), *board.ink, *_key(board, brief.theme)), key=())


def drawn(board: Board, brief: Brief) -> Drawing:
    """A whole board on a page of its own, with its foot."""
    foot = board.height + 40.0
    return Drawing(
        name=board.name, title=board.title, size=(WIDE, foot), paper=brief.theme.colours["paper"],
        ink=(*board.ink, _foot(brief, foot)),
    )


def sheet(boards: tuple[Board, ...], brief: Brief, height: float = WIDE / math.sqrt(2.0)) -> Drawing:
    """Whole boards one below the other on a sheet, with one foot."""
    room, ink = 0.0, list[Ink]()
    rule = brief.theme.colours["rule"]
    for k, board in enumerate(boards):
        ink += moved(board.ink, 0.0, room)
        room += board.height
        if k + 1 < len(boards):
            ink.append(Line(points=((EDGE, room), (WIDE - EDGE, room)), colour=rule, width=1.5, quiet=True))
    return Drawing(
        name="+".join(board.name for board in boards), title=boards[0].title, size=(WIDE, height),
        paper=brief.theme.colours["paper"], ink=(*ink, _foot(brief, height)),
    )


def _headed(board: Board, brief: Brief) -> tuple[Ink, ...]:
    """The message and the line below it; between them what was tried, for which the message makes room."""
    theme, wide = brief.theme, WIDE - 2 * EDGE
    colour = theme.colours["alarm" if board.loud else "state"]
    tried = frame.tried(brief.inputs, brief.measures, LETTERS)
    low = HEAD - 38.0 - (LOWER if tried else 0.0)
    said = Text(
        text=tried, at=(EDGE, low + 2.0), size=NOTE, width=wide, strong=True, colour=theme.colours["alarm"], most=1,
    )
    return (
        *((said,) if tried else ()),
        Text(
            text=board.title, at=(EDGE, low), size=TIGHTER if tried else TITLE, width=wide, strong=True,
            colour=colour, risen=True, most=LINES,
        ),
        Text(text=board.under, at=(EDGE, HEAD - 36.0), size=NOTE, width=wide, colour=theme.colours["quiet"], most=1),
    )


def _foot(brief: Brief, bottom: float) -> Text:
    """One caution, version and date."""
    date: datetime.date = brief.date
    return Text(
        text=brief.measures.say("crew-foot", name=Verbatim(brief.study.rig.name), version=__version__, date=date),
        at=(EDGE, bottom - 36.0), size=NOTE, colour=brief.theme.colours["quiet"], width=WIDE - 2 * EDGE, most=1,
    )


def _key(board: Board, theme: Theme) -> tuple[Ink, ...]:
    """What is not labelled, in one line at the foot."""
    if not board.key:
        return ()
    entries: list[tuple[tuple[Ink, ...], float, Text]] = []
    for entry in board.key:
        swatch: list[Ink] = []
        wide = 50.0
        if entry.symbol is not None and (ROLES[entry.colour].pattern or entry.colour.startswith(AREAS)):
            swatch = patterned((0.0, -11.0, wide, 11.0), entry.colour, theme)
        elif entry.symbol is not None:
            wide = 22.0
            swatch = glyph(entry.symbol, (0.5 * wide, 0.0), 20.0, entry.colour, theme)
        elif entry.width > 0:
            dash = 10.0 if entry.dashed else 0.0
            colour = theme.colours[entry.colour]
            ends = ((25.0, -10.0), (25.0, 10.0)) if entry.upright else ((0.0, 0.0), (50.0, 0.0))
            swatch = [Line(points=ends, colour=colour, width=entry.width, dash=dash, quiet=True)]
        text = Text(text=entry.text, at=(0.0, 0.0), size=NOTE, centred=True, colour=theme.colours["ink"])
        entries.append((tuple(swatch), wide + 12.0 if swatch else 0.0, text))
    return (Row(frame=(EDGE, board.height - FOOT, WIDE - EDGE, board.height), entries=tuple(entries)),)


# Pieces of ink


def patterned(box: Frame, role: str, theme: Theme) -> list[Ink]:
    """A box in a role's colour with the pattern that tells it without colour."""
    left, top, right, bottom = box
    if right - left < 1.0:
        return []
    look = ROLES[role]
    edge = theme.colours[look.casing] if look.casing else theme.colours["rule"]
    corners = ((left, top), (right, top), (right, bottom), (left, bottom))
    ink: list[Ink] = [Area(points=corners, colour=theme.colours[role])]
    if look.pattern:
        strokes = slanted(box, rising=True) + (slanted(box, rising=False) if look.pattern == "cross" else [])
        ink += [Line(points=ends, colour=edge, width=2.0, quiet=True) for ends in strokes]
    ink.append(Line(points=(*corners, corners[0]), colour=theme.colours["ink"], width=1.5, quiet=True))
    return ink


def glyph(name: str, at: Point, size: float, role: str, theme: Theme) -> list[Ink]:
    """A symbol on the page, with its casing."""
    half, colour, casing = 0.5 * size, theme.colours[role], theme.colours["casing"]
    shapes = symbol(name, at, half, colour)
    rims: list[Ink] = [
        Line(points=(*shape.points, shape.points[0]), colour=casing, width=2.0 * RIM, quiet=True)
        for shape in shapes if isinstance(shape, Area)
    ] or [Disc(at=at, radius=half + RIM, colour=casing)]
    hole = [Disc(at=at, radius=0.55 * half, colour=casing)] if name == "ring" else []
    return [*rims, *shapes, *hole]


def slanted(box: Frame, *, rising: bool) -> list[tuple[Point, Point]]:
    """Strokes at 45 degrees across a box."""
    left, top, right, bottom = box
    tall = bottom - top
    found = []
    for start in np.arange(left - tall + HATCH / 2, right, HATCH).tolist():
        low, high = max(start, left), min(start + tall, right)
        if high - low < 1.5:
            continue
        a, b = bottom - (low - start), bottom - (high - start)
        found.append(((low, a), (high, b)) if rising else ((low, top + bottom - a), (high, top + bottom - b)))
    return found


def measured(start: Point, end: Point, colour: str, bar: float = 9.0, width: float = 2.5) -> list[Ink]:
    """A measuring line with ticks at its ends."""
    (x0, y0), (x1, y1) = start, end
    length = math.hypot(x1 - x0, y1 - y0) or 1.0
    ax, ay = -(y1 - y0) / length * bar, (x1 - x0) / length * bar
    strokes = (((x0, y0), (x1, y1)), ((x0 - ax, y0 - ay), (x0 + ax, y0 + ay)), ((x1 - ax, y1 - ay), (x1 + ax, y1 + ay)))
    return [Line(points=points, colour=colour, width=width) for points in strokes]


def disc(at: Point, text: str, theme: Theme, size: float = 44.0, role: str = "state") -> list[Ink]:
    """A letter on a disc."""
    return [
        Disc(at=at, radius=0.5 * size + 3.0, colour=theme.colours["casing"]),
        Disc(at=at, radius=0.5 * size, colour=theme.colours[role]),
        Text(text=text, at=at, size=0.6 * size, align="middle", centred=True, strong=True,
             colour=theme.colours["on_state"]),
    ]  # fmt: skip


def stroke(points: Floats, colour: str, width: float, *, dash: float = 0.0, quiet: bool = False) -> Line:
    """A line through (n, 2) points of the page."""
    return Line(points=tuple((float(x), float(y)) for x, y in points), colour=colour, width=width, dash=dash,
                quiet=quiet)  # fmt: skip


def cased(points: Floats, role: str, width: float, theme: Theme, *, dash: float = 0.0) -> list[Ink]:
    """The same with its casing under it."""
    rim = stroke(points, theme.colours["casing"], width + 2 * theme.casing_width, quiet=True)
    return [rim, stroke(points, theme.colours[role], width, dash=dash)]


def moved(ink: tuple[Ink, ...], right: float, down: float) -> list[Ink]:
    """Ink at another place of the page."""
    return [_moved(item, right, down) for item in ink]


def _moved(item: Ink, right: float, down: float) -> Ink:
    def point(at: Point) -> Point:
        return at[0] + right, at[1] + down

    def frame(box: Frame) -> Frame:
        return box[0] + right, box[1] + down, box[2] + right, box[3] + down

    if isinstance(item, (Area, Line)):
        return replace(item, points=tuple(point(at) for at in item.points))
    if isinstance(item, (Disc, Text)):
        return replace(item, at=point(item.at))
    if isinstance(item, Tag):
        return replace(item, at=point(item.at), room=frame(item.room))
    if isinstance(item, Window):
        return replace(item, frame=frame(item.frame), ink=tuple(moved(item.ink, right, down)))
    assert isinstance(item, (Keep, Row, Bitmap, View))
    return replace(item, frame=frame(item.frame))


@dataclass(frozen=True, kw_only=True)
class Flat:
    """Metres in the plane of the line as pixels, true to scale: `at` along it from anchor A, height over anchor A.

    Attributes
    ----------
    scale : float
        [px/m]
    left, top : float
        Of the page where anchor A stands.  [px]
    """

    scale: float
    left: float
    top: float

    def page(self, at: Floats, height: Floats) -> Floats:
        """(n, 2) points of the page.  [px]"""
        return np.column_stack([self.left + self.scale * at, self.top - self.scale * height])

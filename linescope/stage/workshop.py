"""Workshop pictures: a verdict above the panels that show it, as few sentences beside them as will do, and a key.

They speak the language of the crew pictures; a record shows the same panels with inputs and tables beside them.
"""

from __future__ import annotations

import importlib
import math
from collections.abc import Sequence
from dataclasses import replace
from types import MappingProxyType

from linescope.stage import PAGE, board, crew, faces
from linescope.stage.board import BODY, EDGE, FOOT, HEAD, NOTE, WIDE, Board, Frame
from linescope.stage.ink import LEADING, Drawing, Ink, Row, Text, View
from linescope.stage.items import LegendEntry, Panel
from linescope.stage.page import Brief

WORKSHOP: MappingProxyType[str, str] = MappingProxyType({
    "friction": "linescope.topics.sliding.picture",
    "wear": "linescope.topics.wear.picture",
    "wind": "linescope.topics.wind.picture",
    "styles": "linescope.topics.styles.picture",
})
"""Name of a picture, and the module that has its `board`; what a board needs is what the record's picture of that
name needs."""
HIGH = float(PAGE[1])  # Of the page that panels are made for, which is as wide as a board [px].
TOP = HEAD / HIGH  # Where panels may begin under the message, as a share of that page.
FACE = 1.5 * NOTE  # Height of a face with its name beside it [px].
GAP = 14.0  # Between two sentences [px].
LETTER = 0.5  # Width of a letter, in heights of text: the mean of any text is less.


def fitted(brief: Brief) -> Brief:
    """The brief with the sizes of crew pictures, colours of rub, and a page as panels need it."""
    brief = crew.fitted(brief)
    return replace(brief, theme=faces.shaded(brief.theme), page=PAGE, findings=())


def picture(name: str, brief: Brief) -> Drawing:
    """One of them on a page of its own.

    Parameters
    ----------
    name : str
        Of `WORKSHOP`.
    brief : Brief
        Its solution is the rig as taped, with its walker; `fitted`.
    """
    made: Board = importlib.import_module(WORKSHOP[name]).board(brief)
    return board.drawn(board.whole(made, brief), brief)


def paneled(
    brief: Brief, *, name: str, title: str, under: str, panels: Sequence[Panel],
    said: Sequence[tuple[Frame, str, Sequence[str]]], key: tuple[LegendEntry, ...], height: float, loud: bool = False,
) -> Board:
    """A board of panels, each with its caption above it.

    Parameters
    ----------
    brief : Brief
    name, title, under : str
    panels : sequence of Panel
        Their frames are shares of a page 2000 by 1414.
    said : sequence of (frame, heading, sentences)
        Where sentences stand, as shares of that page; where there is little room the first ones stay.
    key : tuple of LegendEntry
    height : float
        Of the board, as a share of that page.  [-]
    loud : bool
    """
    ink: list[Ink] = [View(frame=_on_page(panel.frame), panel=panel, faded=False) for panel in panels]
    colour = brief.theme.colours["ink"]
    for panel in panels:  # Over the panels: their ground is opaque.
        left, top, right, _ = _on_page(panel.frame)
        start, end = max(left, EDGE), min(right, WIDE - EDGE)
        ink.append(Text(text=panel.caption, at=(start, top - 4.0), size=BODY, strong=True, colour=colour,
                        width=end - start, most=1))  # fmt: skip
    for place, heading, sentences in said:
        left, top, right, bottom = _on_page(place)
        texts = [Text(text=text, at=(0.0, 0.0), size=NOTE, colour=colour) for text in sentences]
        if heading:
            texts.insert(0, Text(text=heading, at=(0.0, 0.0), size=BODY, strong=True, colour=colour))
        ink.append(Row(
            frame=(max(left, EDGE), top, min(right, WIDE - EDGE), bottom), down=True, gap=GAP,
            entries=tuple(((), 0.0, text) for text in texts),
        ))
    return Board(
        name=name, title=title, loud=loud, under=under, height=height * HIGH + FOOT, ink=tuple(ink), key=key,
    )


def high(sentences: Sequence[str], wide: float, *, heading: bool = False) -> float:
    """How high a column of sentences is, at the most, as a share of the page panels are made for.

    Parameters
    ----------
    sentences : sequence of str
    wide : float
        Of the column, as a share of that page.  [-]
    heading : bool
        With one above it.
    """
    letters = wide * (WIDE - 2.0 * EDGE) / (LETTER * NOTE)
    lines = sum(math.ceil(len(text) / letters) for text in sentences)
    return (LEADING * NOTE * lines + GAP * len(sentences) + (LEADING * BODY + GAP) * (1.0 + heading)) / HIGH


def _on_page(frame: Frame) -> Frame:
    left, top, right, bottom = frame
    return left * WIDE, top * HIGH, right * WIDE, bottom * HIGH

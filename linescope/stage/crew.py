"""The four crew pictures, in the order in which a crew is briefed, and the two sheets that they stand on."""

from __future__ import annotations

import importlib
from dataclasses import replace
from types import MappingProxyType

from linescope.stage import board
from linescope.stage.board import Board
from linescope.stage.ink import Drawing
from linescope.stage.page import Brief

CREW: MappingProxyType[str, str] = MappingProxyType({
    "place": "linescope.topics.state.picture_place",
    "nobody-falls-here": "linescope.topics.falls.picture_here",
    "what-you-must-see": "linescope.topics.loops.picture_see",
    "meter-and-stop-rules": "linescope.topics.tension.picture_stop",
})
"""Name of a picture, and the module that has its `board`."""
ABOVE = "linescope.topics.clearance.picture_above"
"""That of the plan view, which is on no sheet."""
SHEETS = (("place", "nobody-falls-here"), ("what-you-must-see", "meter-and-stop-rules"))


def boards(brief: Brief) -> tuple[Board, ...]:
    """All four of a rig.

    Parameters
    ----------
    brief : Brief
        Its solution is the rig as taped, with its walker.
    """
    brief = fitted(brief)
    return tuple(_whole(module, brief) for module in CREW.values())


def from_above(brief: Brief) -> Board:
    """The plan view, for records.

    Parameters
    ----------
    brief : Brief
    """
    return _whole(ABOVE, fitted(brief))


def _whole(module: str, brief: Brief) -> Board:
    return board.whole(importlib.import_module(module).board(brief), brief)


def fitted(brief: Brief) -> Brief:
    """The brief with the sizes of crew pictures."""
    return replace(brief, theme=board.look(brief.theme))


def pictures(made: tuple[Board, ...], brief: Brief) -> tuple[Drawing, ...]:
    """Each on a page of its own."""
    return tuple(board.drawn(each, fitted(brief)) for each in made)


def sheets(made: tuple[Board, ...], brief: Brief) -> tuple[Drawing, ...]:
    """Two and two on a sheet of A4, lying."""
    named = {each.name: each for each in made}
    return tuple(board.sheet(tuple(named[name] for name in pair), fitted(brief)) for pair in SHEETS)

"""Tape styles under one another, one scale: which face rubs, what else differs, and what follows."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from linescope.contact.ledger import Face
from linescope.contact.styles import Comparison, Style
from linescope.contact.verdicts import StyleNote
from linescope.contact.wear import Wear
from linescope.notes import Quantity, Term, Verbatim
from linescope.report import grids
from linescope.stage import faces
from linescope.stage.board import Board
from linescope.stage.items import Panel, Stage, TextBox
from linescope.stage.page import LOW, Brief, furnish
from linescope.stage.workshop import FACE, TOP, high, paneled
from linescope.topics.styles import ROWS, STYLES

TITLED = (StyleNote.PARTS, StyleNote.HOLDS, StyleNote.NEVER_PARTS, StyleNote.NOTHING_SLIPS)
"""Notes that can be a picture's message."""


def build(brief: Brief) -> Stage:
    """A strip of faces for each style, a table of what differs, and what follows."""
    comparison = brief.study.compare
    assert comparison
    brief = replace(brief, theme=faces.shaded(brief.theme))
    words, found = brief.measures, _found(comparison)
    split = brief.top + (0.70 if len(found) > 3 else 0.60) * (LOW - brief.top)
    panels, most = _strips(brief, found, brief.top, split)
    table = grids.across(STYLES, ROWS, brief.study, words)
    boxes = (
        TextBox(
            name="styles", frame=(0.015, split + 0.006, 0.56, LOW - 0.006), heading=words.say("styles-picture-all"),
            table=() if table is None else (table.columns, *table.rows),
        ),
        TextBox(
            name="said", frame=(0.57, split + 0.006, 0.985, LOW - 0.006), heading=words.say("styles-picture-follows"),
            lines=tuple(each.text for each in words.sentences(comparison.notes)), rest=words.say("frame-cut-short"),
        ),
    )
    return furnish(
        brief, view="styles", question=words.say("styles-question"), panels=panels, boxes=boxes,
        legend=faces.legend(words, [wear for _, wear in found], most), state=_state(brief, comparison), base=False,
    )


def board(brief: Brief) -> Board:
    """The same strips and what follows; the message is the first of it."""
    comparison = brief.study.compare
    assert comparison
    words, found = brief.measures, _found(comparison)
    split, middle = 0.84, 0.50
    panels, most = _strips(brief, found, TOP, split, FACE)
    title = next(
        (words.say(note.kind.value, "title", **note.values) for note in comparison.notes if note.kind in TITLED),
        words.say("styles-question"),
    )
    said = [each.text for each in words.sentences(comparison.notes)]
    letters = np.cumsum([len(text) for text in said])
    half = int(np.argmin(np.abs(letters - 0.5 * letters[-1]))) + 1 if said else 0
    end = split + max(high(said[:half], middle, heading=True), high(said[half:], middle))
    return paneled(
        brief, name="styles", title=title, panels=panels, height=end + 0.01,
        under=words.say(
            "styles-under", name=Verbatim(brief.study.rig.name), state=_state(brief, comparison),
            most=Quantity(most, "line energy"),
        ),
        said=(
            ((0.0, split + 0.010, middle - 0.01, end), words.say("styles-picture-follows"), said[:half]),
            ((middle + 0.01, split + 0.010, 1.0, end), "", said[half:]),
        ),
        key=faces.key(words, [wear for _, wear in found]),
    )


def _found(comparison: Comparison) -> list[tuple[Style, Wear]]:
    return [(style, style.behaviour.wear) for style in comparison.styles if style.behaviour is not None]


def _state(brief: Brief, comparison: Comparison) -> str:
    use, words = comparison.use, brief.measures
    return words.say("styles-picture-state", crossings=use.crossings, wind=words.of(3600.0 * use.wind_hours, "time"))


def _strips(
    brief: Brief, found: list[tuple[Style, Wear]], top: float, split: float, least: float = faces.LEAST
) -> tuple[tuple[Panel, ...], float]:
    """A strip for each style between two heights of the page, and the largest rub on any.  [J/m]"""
    peaks = {face: max((wear.peak(face) for _, wear in found), default=0.0) for face in Face}
    axis = faces.AXIS / brief.panel_size((0.0, 0.0, 1.0, 1.0))[1]  # All strips as high, the last with the metres.
    edges = np.append(np.linspace(top, split - axis, len(found) + 1)[:-1], split)
    panels = []
    for k, (style, wear) in enumerate(found):
        frame = (0.0, float(edges[k]), 1.0, float(edges[k + 1]))
        panels.append(faces.strips(
            brief, wear, frame, peaks=peaks, name=style.name, caption=_caption(brief, style),
            axis=k == len(found) - 1, least=least,
        ))
    return tuple(panels), max(peaks.values())


def _caption(brief: Brief, style: Style) -> str:
    words, name = brief.measures, f"styles-picture-{style.name}"
    if style.planned and style.holds is not None:
        return words.say("styles-picture-planned", caption=Term(name))
    return words.say(name)

"""Tape styles under one another, one scale: which face rubs, what else differs, and what follows."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from linescope.contact.ledger import Face
from linescope.contact.styles import Style
from linescope.notes import Term
from linescope.report import grids
from linescope.stage import faces
from linescope.stage.items import Stage, TextBox
from linescope.stage.page import LOW, Brief, furnish
from linescope.topics.styles import ROWS, STYLES


def build(brief: Brief) -> Stage:
    """A strip of faces for each style, a table of what differs, and what follows."""
    comparison = brief.study.compare
    assert comparison
    brief = replace(brief, theme=faces.shaded(brief.theme))
    words = brief.measures
    found = [(style, style.behaviour.wear) for style in comparison.styles if style.behaviour is not None]
    peaks = {face: max((wear.peak(face) for _, wear in found), default=0.0) for face in Face}
    most = max(peaks.values())
    split = brief.top + (0.70 if len(found) > 3 else 0.60) * (LOW - brief.top)
    axis = faces.AXIS / brief.panel_size((0.0, 0.0, 1.0, 1.0))[1]  # All strips as high, the last with the metres.
    edges = np.append(np.linspace(brief.top, split - axis, len(found) + 1)[:-1], split)
    panels = []
    for k, (style, wear) in enumerate(found):
        frame = (0.0, float(edges[k]), 1.0, float(edges[k + 1]))
        panels.append(faces.strips(
            brief, wear, frame, peaks=peaks, name=style.name, caption=_caption(brief, style),
            axis=k == len(found) - 1,
        ))
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
    use = comparison.use
    state = words.say("styles-picture-state", crossings=use.crossings, wind=words.of(3600.0 * use.wind_hours, "time"))
    return furnish(
        brief, view="styles", question=words.say("styles-question"), panels=tuple(panels), boxes=boxes,
        legend=faces.legend(words, [wear for _, wear in found], most), state=state, base=False,
    )


def _caption(brief: Brief, style: Style) -> str:
    words, name = brief.measures, f"styles-picture-{style.name}"
    if style.planned and style.holds is not None:
        return words.say("styles-picture-planned", caption=Term(name))
    return words.say(name)

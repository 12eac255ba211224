"""Tape styles under one another, one scale: what differs is the face."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from linescope.contact.ledger import Face
from linescope.contact.styles import Style
from linescope.notes import Term
from linescope.stage import faces
from linescope.stage.items import Stage, TextBox
from linescope.stage.page import LOW, Brief, furnish
from linescope.taping import Holds

SHOWN = (Holds.BOTH, Holds.MAIN, Holds.BACKUP)


def build(brief: Brief) -> Stage:
    """Three strips of faces, a table of all styles, and what follows."""
    comparison = brief.study.compare
    assert comparison
    brief = replace(brief, theme=faces.shaded(brief.theme))
    words = brief.measures
    shown = [(holds, comparison.behaviour(holds)) for holds in SHOWN]
    found = [(holds, behaviour.wear) for holds, behaviour in shown if behaviour is not None]
    peaks = {face: max((wear.peak(face) for _, wear in found), default=0.0) for face in Face}
    most = max(peaks.values())
    split = brief.top + 0.72 * (LOW - brief.top)
    axis = faces.AXIS / brief.panel_size((0.0, 0.0, 1.0, 1.0))[1]  # All strips as high, the last with the metres.
    edges = np.append(np.linspace(brief.top, split - axis, len(found) + 1)[:-1], split)
    panels = []
    for k, (holds, wear) in enumerate(found):
        caption = words.say(f"styles-picture-{holds.value}")
        frame = (0.0, float(edges[k]), 1.0, float(edges[k + 1]))
        panels.append(faces.strips(
            brief, wear, frame, peaks=peaks, name=holds.value, caption=caption, axis=k == len(found) - 1,
        ))
    boxes = (
        TextBox(
            name="styles", frame=(0.015, split + 0.006, 0.60, LOW - 0.006), heading=words.say("styles-picture-all"),
            table=(_head(brief), *(_row(brief, style) for style in comparison.styles)),
        ),
        TextBox(
            name="said", frame=(0.61, split + 0.006, 0.985, LOW - 0.006), heading=words.say("styles-picture-follows"),
            lines=tuple(each.text for each in words.said(comparison.notes)), rest=words.say("frame-cut-short"),
        ),
    )
    use = comparison.use
    state = words.say("styles-picture-state", crossings=use.crossings, wind=words.of(3600.0 * use.wind_hours, "time"))
    return furnish(
        brief, view="styles", question=words.say("styles-question"), panels=tuple(panels), boxes=boxes,
        legend=faces.legend(words, [wear for _, wear in found], most), state=state, base=False,
    )


def _head(brief: Brief) -> tuple[str, ...]:
    names = (
        "styles-style", "styles-main-top", "styles-main-underside", "styles-backup-top", "styles-backup-underside",
        "styles-tape", "styles-picture-slip", "styles-tape-length",
    )
    return tuple(brief.measures.say(name) for name in names)


def _row(brief: Brief, style: Style) -> tuple[str, ...]:
    words = brief.measures
    name = words.named("tapes-family", style.family)
    name = words.say("styles-picture-name", family=name, holds=Term(f"wear-holds-{style.holds.value}"))
    tape = "–" if style.cut_list is None else words.length(style.cut_list.tape_total)
    found = style.behaviour
    if found is None:
        return (name, words.say("not-computed"), *("–",) * 5, tape)
    return (
        name, *(words.of(found.wear.peak(face), "line energy") for face in Face),
        words.of(found.wear.tape_peak(), "energy"), words.length(max(found.slip.values())), tape,
    )

"""What the loops become with one excess a zone, beside what was wanted."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from linescope.events.marks import Marks, zones_of_bays
from linescope.notes import Quantity, Range, Term, Verbatim
from linescope.report.writer import Writer
from linescope.rig import Rig
from linescope.study import Study
from linescope.words import Words


def kept_text(study: Study, marks: Marks, words: Words, name: str) -> str:
    """A line for each tape zone.

    Parameters
    ----------
    study : Study
        Of the scene as kept.
    marks : Marks
        As wanted, bay by bay.
    words : Words
    name : str
        Of the variant.
    """
    layout, depth = study.planned.layout, study.taped.bays.loop_depth
    owner = zones_of_bays(layout)
    writer = Writer()
    writer.set(words.say("marks-kept", name=Verbatim(name)))
    for zone in np.unique(owner).tolist():
        mine = owner == zone
        excess = float(np.median(layout.stated_excess[mine]))
        asked = marks.wanted[mine] if len(marks.wanted) == len(owner) else np.zeros(0)
        values = {
            "zone": zone + 1, "style": _style(study.rig, zone), "excess": Quantity(excess, "ratio", digits=3),
            "loops": Range(float(depth[mine].min()), float(depth[mine].max()), "length"),
        }
        if np.isfinite(asked).any():
            deep = asked[np.isfinite(asked)]
            writer.set(words.say(
                "marks-kept-zone", wanted=Range(float(deep.min()), float(deep.max()), "length"), **values
            ))
        else:
            writer.set(words.say("marks-kept-other", **values))
    return "\n".join(writer.lines) + "\n"


def kept_styles(rig: Rig, zones: Iterable[int], words: Words, name: str) -> str:
    """A line for each tape zone that was given a style.

    Parameters
    ----------
    rig : Rig
        As kept.
    zones : iterable of int
        From 1.
    words : Words
    name : str
        Of the variant.
    """
    writer = Writer()
    writer.set(words.say("marks-kept-styles", name=Verbatim(name)))
    for zone in sorted(zones):
        writer.set(words.say("marks-kept-style", zone=zone, style=_style(rig, zone - 1)))
    return "\n".join(writer.lines) + "\n"


def _style(rig: Rig, zone: int) -> Term:
    return Term(f"tapes-family-{rig.taping.zones[zone].family.replace(' ', '-')}")

"""Distances to the ground as text: verdict, worst places, what lies beside the anchors, and what was assumed."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from linescope.clearance.ranked import places
from linescope.notes import Kind, Stretches
from linescope.report import grids
from linescope.report.text import columns
from linescope.report.writer import Writer
from linescope.study import Study
from linescope.topics.clearance import CLEARANCE, IN_DRAWS, LISTED, NO_FALLS, PLACES, RUNS, ZONES
from linescope.topics.clearance.leading import verdict
from linescope.words import Words, frame

UNDER = ("cause", "others")
"""Figures of a place that stand in a line of their own below it."""


def clearance_text(study: Study, words: Words) -> str:
    """The worst places, no-fall zones, holes and what was assumed.

    Parameters
    ----------
    study : Study
        With a clearance.
    words : Words

    Returns
    -------
    str
        At most `LISTED` places, those that harm most first.
    """
    found = study.clearance
    writer = Writer()
    writer.lines.append(words.say("clearance", **CLEARANCE.values(study)))
    if tried := frame.tried(study.inputs, words):
        writer.set(tried, "! ")
    told = places(found or None)
    if any(not place.is_met for place in told):
        text, colour = verdict(study, study.taped, told, words)
        writer.set(text, "! " if colour == "alarm" else "")
    loud, quiet = _parted(study, words)
    for text in loud:
        writer.set(text, "! ")
    _places(study, words, writer)
    _zones(study, words, writer)
    if found:
        _falls(study, words, writer)
        drawn = grids.across(CLEARANCE, IN_DRAWS, study, words)
        if drawn is not None:
            writer.table(drawn)
    writer.lines.append("")
    for text in dict.fromkeys((*quiet, *frame.all_cautions(words))):
        writer.set(text)
    return "\n".join(writer.lines) + "\n"


def _parted(study: Study, words: Words) -> tuple[list[str], list[str]]:
    """What must be read first, and the rest."""
    said = words.sentences(CLEARANCE.notes(study))
    return [each.text for each in said if each.leads], [each.text for each in said if not each.leads]


def _places(study: Study, words: Words, writer: Writer) -> None:
    table = grids.across(CLEARANCE, PLACES, study, words)
    if table is None:
        return
    writer.title(table.title)
    under = len(UNDER)
    head, *rows = columns([row[:-under] for row in (table.columns, *table.rows[:LISTED])], right=(0, 2, 3))
    writer.lines.append("  " + head)
    for line, row in zip(rows, table.rows, strict=False):
        writer.lines.append("  " + line)
        cause, others = row[-under:]
        writer.set(cause, " " * 6)
        if others != words.say("clearance-nothing"):
            writer.set(f"{table.columns[-1]}: {others}", " " * 6)
    if rest := places(study.clearance or None)[LISTED:]:
        writer.set(words.say("clearance-more", count=len(rest), short=sum(not place.is_met for place in rest)))


def _zones(study: Study, words: Words, writer: Writer) -> None:
    table = grids.across(CLEARANCE, ZONES, study, words)
    if table is None:
        return
    writer.title(table.title)
    nothing = words.say("clearance-nothing")
    for anchor, length, *cells in table.rows:
        writer.set(f"{table.columns[0]} {anchor}, {table.columns[1]} {length}")
        for name, text in zip(table.columns[2:], cells, strict=True):
            if text != nothing:
                writer.set(f"{name}: {text}", " " * 6)


def _falls(study: Study, words: Words, writer: Writer) -> None:
    found = study.clearance
    assert found
    writer.title(words.say(NO_FALLS.title))
    if not len(found.walkers):
        writer.set(words.say("clearance-no-fall-not-looked"))
        return
    for text in unknown_falls(study, words):
        writer.set(text, "! ")
    table = grids.across(CLEARANCE, NO_FALLS, study, words)
    if table is not None:
        writer.lines += ["! " + line for line in columns([table.columns, *table.rows])]
    elif not len(found.unknown):
        writer.set(words.say("clearance-no-fall-none"))
    if found.runs is None:
        return
    ran = grids.across(CLEARANCE, RUNS, study, words)
    if ran is None:
        writer.set(words.say("clearance-runs-none", known="part" if len(found.unknown) else "all"))
        return
    writer.title(ran.title)
    writer.lines += ["! " + line for line in columns([ran.columns, *ran.rows])]


def unknown_falls(study: Study, words: Words) -> list[str]:
    """Where nobody can tell how a fall ends."""
    found = study.clearance
    if not found or not len(found.unknown):
        return []
    ends = Stretches(tuple((float(low), float(high)) for low, high in found.unknown))
    return [words.say("clearance-no-fall-unknown", stretches=ends)]


def alarms(study: Study, words: Words, leave: Collection[Kind] = ()) -> list[str]:
    """What must be read of the clearance before any distance: every note that leads, but for some kinds."""
    if not study.clearance:
        return []
    return [said.text for said in words.sentences(note for note in CLEARANCE.notes(study) if note.leads)
            if said.kind not in leave]


def clearance_json(study: Study) -> dict[str, Any]:
    """Everything found, as plain data.

    Parameters
    ----------
    study : Study
        With a clearance.

    Returns
    -------
    dict
        Lengths and places in metres, full figures; points are [x, y, z]; null: not known.
    """
    data: dict[str, Any] = {}
    grids.data([CLEARANCE], study, data)
    found: dict[str, Any] = data.get("clearance", {})
    for name in ("findings", "causes", "zones", "no_fall_zones", "strikes", "drags", "runs"):
        found.setdefault(name, [])
    return {**found, "cautions": list(frame.all_cautions(Words()))}

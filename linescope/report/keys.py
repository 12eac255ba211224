"""The keys of `linescope figures --json`: name, unit, meaning and where the value comes from, in one table each.

A key is documented because it stands in a table, and emitted because it stands there; the two cannot drift apart.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np

from linescope.events.bands import ResultBand
from linescope.events.crossing import Crossing
from linescope.events.excess import ExcessState
from linescope.events.friction import Creep
from linescope.events.let_go import LetGo
from linescope.notes import Note, Quantity, Term
from linescope.report import bands
from linescope.report.grids import documentation as documentation_of
from linescope.rig import InputNote, Rig
from linescope.statics import Solution
from linescope.topics import GROUPS
from linescope.units import DIMENSIONS
from linescope.words import Words
from linescope.words import plain as plain_value
from linescope.words.inputs import input_text


@dataclass(frozen=True, kw_only=True)
class Key:
    """One documented value.

    Attributes
    ----------
    name : str
    unit : str
        SI; "" for text, flags and pure numbers.
    text : str
        Meaning.
    get : callable
        From the result to the value.
    """

    name: str
    unit: str
    text: str
    get: Callable[[Any], Any]


def _key(name: str, unit: str, text: str, get: Callable[[Any], Any] | None = None) -> Key:
    return Key(name=name, unit=unit, text=text, get=get or (lambda result: getattr(result, name)))


RIG: tuple[Key, ...] = (
    _key("name", "", "Title of the scene.", lambda r: r.name),
    _key("span", "m", "Straight distance between the main's anchors.", lambda r: r.span),
    _key("slope", "", "Rise over horizontal run from A to B.", lambda r: r.slope),
    _key("main_a", "m", "Main anchor A: x, y, z."),
    _key("main_b", "m", "Main anchor B."),
    _key("backup_a", "m", "Backup anchor at A."),
    _key("backup_b", "m", "Backup anchor at B."),
    _key("origin", "m", "Add it to every point to have the scene's own frame (a national grid); else zero."),
)

def _given(value: Any) -> Any:
    """The value of an input: a number, text, or a list of them."""
    if isinstance(value, tuple):
        return [_given(each) for each in value]
    if isinstance(value, Note):
        return {"kind": value.kind.value, **{key: plain_value(each) for key, each in value.values.items()}}
    if isinstance(value, Term):
        return {"yes": True, "no": False}.get(value.id, value.id)
    return plain_value(value)


def _unit(note: InputNote) -> str:
    value = note.value[0] if isinstance(note.value, tuple) else note.value
    return DIMENSIONS[value.dimension].si if isinstance(value, Quantity) else ""


INPUT: tuple[Key, ...] = (
    _key("key", "", "Of the input in the scene file."),
    _key("value", "SI", "Its value: a number, text, or a list.", lambda note: _given(note.value)),
    _key("unit", "", "SI unit of that number; empty for a pure one and for text.", _unit),
    _key("low", "SI", "The least it may be; null: not given.", lambda note: _given(note.low)),
    _key("high", "SI", "The most it may be; null: not given.", lambda note: _given(note.high)),
    _key("known", "", "How it is known; assumed: nobody gave it; tried: in place of what the file says."),
    _key("file", "SI", "Of a tried one: value and known of the file's; null: none.", lambda note: (
        None if note.file is None else {"value": _given(note.file.value), "known": note.file.known}
    )),
    _key("text", "", "The same for people.", lambda note: input_text(note, Words("metric", "en"))),
)

LAYOUT: tuple[Key, ...] = (
    _key("main_length", "m", "Unstretched main, anchor to anchor."),
    _key("backup_length", "m", "Unstretched backup, anchor to anchor."),
    _key("marking_strain", "", "Strain of the main in the state that spacing and excess were stated for."),
    _key("tape_main", "m", "Material coordinate of every tape on the main, as taped."),
    _key("tape_backup", "m", "The same on the backup."),
    _key("tapes", "", "Number, kind, family, line held and zone of every tape.", lambda layout: [
        {"number": t.number, "kind": t.kind, "family": t.family, "holds": t.holds.value, "zone": t.zone + 1}
        for t in layout.tapes
    ]),
)

STATE: tuple[Key, ...] = (
    _key("state", "", "as taped, settled or friction-limited."),
    _key("tension_a", "N", "Main tension at anchor A."),
    _key("tension_b", "N", "Main tension at anchor B."),
    _key("main_tension_most", "N", "Largest main tension anywhere.", lambda s: max(
        s.main.tension_start.max(), s.main.tension_end.max()
    )),
    _key("backup_tension_most", "N", "Largest backup tension anywhere.", lambda s: max(
        s.backup.tension_start.max(), s.backup.tension_end.max()
    )),
    _key("walker_point", "m", "The walker's feet; null without one."),
    _key("tape_points", "m", "Where main and backup meet."),
    _key("tape_main", "m", "Material coordinate of the tapes on the main, in this state."),
    _key("tape_backup", "m", "The same on the backup."),
    _key("tape_slip", "m", "Slid since taped, unstretched, positive towards B."),
    _key("bay_length", "m", "Main in each bay, stretched.", lambda s: s.bays.length),
    _key("bay_main", "m", "Main in each bay, unstretched.", lambda s: s.bays.main_length),
    _key("loop_length", "m", "Backup in each bay, unstretched.", lambda s: s.bays.loop_length),
    _key("excess", "", "loop_length / bay_length - 1; below zero the backup carries load.", lambda s: s.bays.excess),
    _key("loop_depth", "m", "Largest distance from the tape-to-tape chord to the loop, along the load direction.",
         lambda s: s.bays.loop_depth),
    _key("loop_drop", "m", "Largest vertical distance from main to backup.", lambda s: s.bays.loop_drop),
    _key("bay_main_tension", "N", "Main tension, mean of the bay's two ends.", lambda s: s.bays.main_tension),
    _key("bay_backup_tension", "N", "Backup tension, likewise.", lambda s: s.bays.backup_tension),
    _key("backup_share", "", "Backup tension over the sum of both.", lambda s: s.bays.backup_share),
    _key("residual", "N", "Largest force out of balance.", lambda s: s.proof.residual),
    _key("relative_residual", "", "The same over the weight of all that hangs.", lambda s: s.proof.relative_residual),
    _key("closure", "m", "Largest gap between a piece's end and its node.", lambda s: s.proof.closure),
    _key("iterations", "", "Newton steps.", lambda s: s.proof.iterations),
    _key("stable", "", "Whether a small push returns to this state.", lambda s: s.proof.stable),
    _key("other_equilibria", "", "Other stable settled states found (not exhaustive); null when not looked for.",
         lambda s: s.proof.other_equilibria),
    _key("notes", "", "What must be said beside this state.", lambda s: list(s.notes)),
)

EXCESS: tuple[Key, ...] = (
    _key("bay", "m", "Main in the bay as stretched in this state."),
    _key("loop_length", "m", "Backup in the bay, unstretched."),
    _key("excess", "", "loop_length / bay - 1."),
    _key("by_formula", "", "(1 + slack excess) / (1 + strain) - 1, to compare."),
    _key("loop_depth", "m", "Depth of the loop."),
    _key("main_tension", "N", "Mean of the bay's ends."),
    _key("backup_tension", "N", "Mean of the bay's ends."),
    _key("backup_share", "", "Backup tension over the sum of both."),
    _key("tight", "", "Bays (from 1) with negative excess.", lambda e: list(e.tight)),
)

CREEP: tuple[Key, ...] = (
    _key("slope", "rad", "Of the main at every tape, positive uphill towards B."),
    _key("threshold", "rad", "Slope at which drag and friction are used up; null where nothing slides."),
    _key("zones", "", "Tapes (first, last), start and end [m from A] and steepest slope [rad] of every creep zone.",
         lambda c: [
             {"first": z.first, "last": z.last, "start": z.start, "end": z.end, "steepest": z.steepest}
             for z in c.zones
         ]),
)

LET_GO: tuple[Key, ...] = (
    _key("gone_empty", "", "Tapes (numbers) that let go before anyone steps on.", lambda h: list(h.gone_empty)),
    _key("slip_empty", "m", "What slid through every tape then, from as taped.", lambda h: h.empty.tape_slip),
    _key("loop_depth_empty", "m", "Loop depths then.", lambda h: h.empty.bays.loop_depth),
    _key("gone_walker", "", "The same with the walker then put where he stands.", lambda h: list(h.gone_walker)),
    _key("slip_walker", "m", "Likewise; null without a walker.",
         lambda h: None if h.walker is None else h.walker.tape_slip),
    _key("loop_depth_walker", "m", "Likewise.", lambda h: None if h.walker is None else h.walker.bays.loop_depth),
)

CROSSING: tuple[Key, ...] = (
    _key("level", "", "Which end of the hold bands."),
    _key("per_bay", "", "Steps in each bay."),
    _key("total_slip", "m", "Stretched length through each tape, both ways added."),
    _key("total_work", "J", "Friction work at each tape."),
    _key("walker", "m", "Material coordinate of the walker at every step."),
    _key("walker_point", "m", "The walker's feet at every step."),
    _key("tension_a", "N", "Main tension at A at every step."),
    _key("tension_b", "N", "Main tension at B at every step."),
    _key("deepest", "m", "Deepest each loop was.", lambda c: c.loop_depth.max(axis=0)),
    _key("shallowest", "m", "Shallowest each loop was.", lambda c: c.loop_depth.min(axis=0)),
    _key("loop_depth_after", "m", "Loop depths of the empty rig afterwards.", lambda c: c.after.bays.loop_depth),
    _key("slip_after", "m", "Where each sliding line ended, from as taped.", lambda c: c.after.tape_slip),
)

BAND: tuple[Key, ...] = tuple(_key(name, "", text) for name, text in bands.FIGURES)

# Section of the JSON output -> (type it is read from, its keys).
SECTIONS: dict[str, tuple[type, tuple[Key, ...]]] = {
    "rig": (Rig, RIG),
    "inputs[]": (InputNote, INPUT),
    "layout": (object, LAYOUT),
    "states.<name>": (Solution, STATE),
    "excess.<state>": (ExcessState, EXCESS),
    "creep": (Creep, CREEP),
    "let_go.<level>": (LetGo, LET_GO),
    "crossing.<level>": (Crossing, CROSSING),
    "bands.results.<key>": (ResultBand, BAND),
}


def plain(value: Any) -> Any:
    """Numbers, text, lists and None only: arrays become lists; what is not finite becomes None."""
    if isinstance(value, np.ndarray):
        return [plain(item) for item in value.tolist()]
    if isinstance(value, np.generic):
        return plain(value.item())
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    if isinstance(value, dict):
        return {key: plain(item) for key, item in value.items()}
    return value


def section(result: Any, keys: tuple[Key, ...]) -> dict[str, Any]:
    """One result as a dict of its documented keys."""
    return {key.name: plain(key.get(result)) for key in keys}


def documentation() -> str:
    """All keys with units and meanings, as text."""
    lines = [
        "Keys of `linescope figures --json`.  All numbers are SI and in full precision; null: not known, not finite",
        "or not asked for.  Points are [x, y, z].  Lists run from anchor A to anchor B.",
        "",
        'linescope             version of the program that wrote it',
        'cautions              what must be printed with the figures',
        'ground                what was found and assumed of the ground; in capitals: something is odd',
    ]
    for name, (_, keys) in SECTIONS.items():
        lines += ["", name]
        lines += [f"  {key.name:<20} {'[' + key.unit + ']' if key.unit else '':<6} {key.text}" for key in keys]
    lines += documentation_of(GROUPS)
    lines += [
        "", "excess.notes, bands.ranking (input, mean share),",
        "bands.not_varied, bands.notes",
        "", "Keys of scene files, and which ground files are read: a scene that `linescope start NAME` writes explains",
        "them all beside their values; `linescope schema` has the same for editors.",
    ]
    return "\n".join(lines) + "\n"

"""The lesson of winding a tape as one HTML file: the strip of every family from its beginning to its end, in space."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from linescope.atomic import write_text
from linescope.export.lesson_markup import buttons, lesson_html
from linescope.export.page_frame import json_text, safe
from linescope.notes import Quantity, Ruled, Term
from linescope.rig import Rig
from linescope.stage import lesson_turns as turns
from linescope.stage.lesson_turns import WoundTape, wound_tapes
from linescope.stage.tape_card import LINES
from linescope.stage.theme import LIGHT
from linescope.taping import Holds, Tab
from linescope.taping.slips import SlipKind
from linescope.topics.tapes import messages
from linescope.words import Words

NAME = "lessons-wind-a-tape"
MODES = {SlipKind.RIGHT: "right", SlipKind.ALONG: "along", SlipKind.ASIDE: "aside"}


def write_wind_page(path: str | Path, rig: Rig, words: Words) -> Path:
    """Write the page, whole or not at all.

    Parameters
    ----------
    path : str or Path
    rig : Rig
        Whose lines and tape are wound; its first zone's family is shown first.
    words : Words

    Raises
    ------
    InputError
        When the rig cannot be laid out.
    MissingViewerError
        When there is no viewer to show it with.
    OutputError
        When the file cannot be written.
    """
    say = words.say
    text = lesson_html(
        NAME, words, along=say(f"{NAME}-along"),
        setup=say(f"{NAME}-setup", width=Ruled(rig.section.width_of("main")), tape=Ruled(rig.taping.stock.width)),
        shown=f"""<div id="wound"><canvas id="solid" role="img" aria-label="{safe(say(f"{NAME}-spoken"))}"></canvas>
<canvas id="rows" aria-hidden="true"></canvas></div>""",
        knobs=f"""<fieldset id="knob"><legend>{safe(say(f"{NAME}-knob"))}</legend><div id="stops"></div></fieldset>
<fieldset id="slips"><legend>{safe(say(f"{NAME}-slipped"))}</legend><div id="modes"></div></fieldset>""",
        answer=f"""<p id="watched"></p>
<h2 id="sentence">{safe(say(f"{NAME}-say"))}</h2><p id="which"></p>""",
        rests=say(f"{NAME}-basis"), keys=say(f"{NAME}-keys"),
        data={"winding": json_text(wind_data(wound_tapes(rig), words)).encode()},
    )
    return write_text(path, text)


def wind_data(tapes: tuple[WoundTape, ...], words: Words) -> dict[str, Any]:
    """What the page shows: ways in tenths of a millimetre, and texts."""
    return {
        "tapes": [_tape(each, words) for each in tapes],
        "say": buttons(words),
        "modes": {mode: words.say(f"{NAME}-{mode}-mode", slipped=Ruled(turns.SLIPPED)) for mode in MODES.values()},
        "end": words.say("lessons-wind-a-tape-end"), "colours": dict(LIGHT.colours),
    }  # fmt: skip


def _tenths(values: Any) -> list[int]:
    return [round(10.0 * float(each)) for each in values.ravel()]


def _phases(each: WoundTape, words: Words) -> list[dict[str, Any]]:
    found = []
    for phase in each.phases:
        sides = [turns.sticky_side(each, phase, point) for point in range(len(phase.way))]
        found.append({
            "way": _tenths(phase.way), "strip": _tenths(phase.strip), "apart": phase.apart,
            "sides": [[at, words.say(f"{NAME}-sticky-{side}")] for at, side in turns.runs_of(sides)],
        })  # fmt: skip
    return found


def _met(holds: Holds, line: str) -> str:
    return "glued" if holds is Holds.BOTH or holds.value == line else "dry"


def _tape(each: WoundTape, words: Words) -> dict[str, Any]:
    tape, shapes = each.tape, each.shapes
    winding, values = tape.winding, messages.values_of(tape)
    lengths = messages.part_lengths(tape, words)
    slips = {MODES[slip.kind]: row for slip, row in zip(
        each.slips, messages.slip_rows(tape, each.slips, words), strict=True)}
    along = next((slip for slip in each.slips if slip.kind is SlipKind.ALONG), None)
    bare = [0.0, 0.0] if winding.dry is None else [1e3 * float(winding.used(place)) for place in winding.dry]
    name = words.say(tape.family.message)
    if len(tape.family.can_hold) > 1:
        name = words.say(f"{NAME}-holding", family=Term(tape.family.message), held=Term(
            "tapes-main" if tape.holds is Holds.MAIN else "tapes-backup"))
    notes = [words.say(f"{tape.family.message}-slides")]
    if isinstance(winding.beginning, Tab):  # Common practice, no source.
        notes.append(words.say("tapes-spoil-tab-left", left=Quantity(tape.coverage.spare, "length", "down")
                               if tape.coverage else Ruled(0.0), **values))
    if tape.holds is Holds.BACKUP:
        notes.append(words.say(f"{NAME}-turned"))
    return {
        "name": name, "wide": 1e3 * tape.tape.width, "length": 10.0 * 1e3 * tape.cut_length,
        "lines": [
            {"role": shapes.body(on_top), "colour": LINES[shapes.body(on_top)][0],
             "name": words.say(f"tapes-{shapes.body(on_top)}"), "outline": _tenths(shapes.outline(on_top)),
             "met": words.say(f"{NAME}-{_met(tape.holds, shapes.body(on_top))}")}
            for on_top in (True, False)
        ],
        "phases": _phases(each, words), "stickyRight": each.sticky_right,
        "along": _phases(turns.laid(along.tape), words) if along is not None and not each.pieces else [],
        "pieces": [_tenths(piece) for piece in each.pieces],
        "bare": [round(10.0 * value) for value in bare], "slipped": 1e3 * turns.SLIPPED,
        "parts": [
            {"end": round(1e4 * part.end), "name": messages.part_name(tape, part.kind, words),
             "length": lengths[number], "dry": part.kind == "dry"}
            for number, part in enumerate(tape.segments)
        ],
        "ends": words.say(f"{NAME}-ends", lies=messages.where_it_ends(tape, words)),
        "notes": " ".join(notes),
        "slips": {
            mode: words.say(f"{NAME}-slip-told", left=row[1], glue=row[2], end=row[3], becomes=row[4])
            for mode, row in slips.items() if mode != "right"
        },
    }  # fmt: skip

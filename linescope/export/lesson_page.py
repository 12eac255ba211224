"""A lesson as one HTML file that opens offline, for a projector or a telephone: solved states, and words for them."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np

from linescope.atomic import write_text
from linescope.contact.ledger import Face
from linescope.events.excess import depth_for_loop_length
from linescope.export.lesson_markup import buttons, lesson_html
from linescope.export.page_frame import json_text, safe
from linescope.lessons.shots import LessonRow, LessonShot
from linescope.lessons.takes import Play, telling
from linescope.stage import lesson_rows as rows
from linescope.stage.lesson_rub import about, most_of, spots
from linescope.stage.theme import LIGHT, tape_look
from linescope.words import Words

FINEST = 5e-4
"""Step of the places in the file, at least; they are whole numbers of two bytes. [m]"""


def write_lesson_page(path: str | Path, play: Play, words: Words) -> Path:
    """Write the page, whole or not at all.

    Parameters
    ----------
    path : str or Path
    play : Play
    words : Words

    Raises
    ------
    MissingViewerError
        When there is no viewer to show it with.
    OutputError
        When the file cannot be written.
    """
    data, states = packed(play, words)
    say, name = words.say, f"lessons-{play.name}"
    watched = f"{name}-watch-text" if words.has(f"{name}-watch-text") else f"{name}-show-text"
    knob = safe(say(f"{name}-knob"))
    text = lesson_html(
        name, words, setup=rows.setup(play, words), along=say("lessons-page-time"),
        shown=f"""<canvas id="rows" role="img" aria-label="{safe(say("lessons-page-spoken"))}"></canvas>""",
        knobs=f"""<fieldset id="knob"><legend>{knob}</legend><div id="stops"></div>
<input type="range" id="turn" min="0" step="1" aria-label="{knob}"><output id="turned"></output>
</fieldset>
<button type="button" id="through" aria-pressed="false">{safe(say("lessons-page-lens"))}</button>""",
        answer=f"""<p id="watched">{safe(say(watched))}</p>
<h2>{safe(rows.sentence(play, words))}</h2><p>{safe(rows.why(play, words))}</p>""",
        rests=" ".join(say(each) for each in rows.key_of(play)), keys=say("lessons-page-keys"),
        data={"lesson": json_text(data).encode(), "lesson-states": states},
    )
    return write_text(path, text)


def packed(play: Play, words: Words) -> tuple[dict[str, Any], bytes]:
    """What the page shows: words and settings, and the states as whole numbers of two bytes.

    Returns
    -------
    dict
        For JSON; texts are numbers into its "texts".
    bytes
        Row after row, state after state: points, material and slips in steps of the row, each less the state before it
        that has as many.
    """
    texts: dict[str, int] = {}

    def number(text: str) -> int:
        return texts.setdefault(text, len(texts))

    lens = rows.telltale(play)
    entries: list[dict[str, Any]] = []
    blob, takes, known = bytearray(), [], dict[bytes, int]()
    for take in play.takes:
        mine = []
        for track in rows.rows_of(play, take):
            entry, states = _row(play, track, words, number, lens)
            entry["name"] = rows.name_of(play, track, take, words)
            key = json.dumps(entry, sort_keys=True).encode() + states
            if key not in known:
                known[key] = len(entries)
                entries.append(entry)
                blob += states
            mine.append(known[key])
        takes.append(mine)
    moments = [[number(each) for each in rows.moments(play, take, words)] for take in play.takes]
    values = [rows.knob_value(play, take, words) for take in play.takes]
    shown = play.take.tracks[min(1, len(play.take.tracks) - 1)]
    end = shown.shots[-1]
    focus = float(end.tapes[min(max(end.deepest, 1), len(end.tapes)) - 1, 0]) if len(end.tapes) else 0.0
    data = {
        "name": play.name, "knob": {"values": values, "first": play.first}, "takes": takes, "rows": entries,
        "telling": [telling(play.name, take.tracks) for take in play.takes],
        "whole": [take.whole for take in play.takes],
        "moments": moments, "window": list(play.window), "bay": play.bay, "deep": rows.deepening(play),
        "gone": play.name == "ties",
        "rubMost": most_of(play) if play.name == "who-wears" else 0.0, "focus": focus,
        "colours": dict(LIGHT.colours), "lens": lens, "lensKey": words.say("lessons-page-lens-key"),
        "say": buttons(words), "texts": list(texts),
    }  # fmt: skip
    return data, bytes(blob)


def _slid(shot: LessonShot, tape: int) -> float:
    return abs(float(shot.slid[tape])) if len(shot.slid) > tape else 0.0


def _rub(shot: LessonShot, words: Words, number: Any) -> dict[str, Any] | None:
    """What glows of a state: face, place along the line and height, J/m and its text."""
    if shot.rub is None:
        return None
    faces = [face.value for face in Face]
    found = [
        [faces.index(spot.face.value), round(float(spot.at[0]), 3), round(float(spot.at[1]), 3),
         float(f"{spot.rub:.4g}"), number(about(spot.rub, words))]
        for spot in spots(shot, shot.rub, 0.0, lambda points: points)
    ]  # fmt: skip
    return {"even": [float(f"{each:.4g}") for each in shot.rub.even], "spots": found}


def _row(play: Play, track: LessonRow, words: Words, number: Any, lens: int) -> tuple[dict[str, Any], bytes]:
    """One row: what is told of it, and its states."""
    layout, shots = track.planned.layout, [rows.shown(play, each) for each in track.shots]
    far = max(max(np.abs(each.main).max(initial=0.0), np.abs(each.backup).max(), each.backup_at[-1]) for each in shots)
    step = max(FINEST, float(far) / 32000.0)
    parts, sizes = [], []
    before: dict[tuple[str, int], Any] = {}
    for each in shots:
        arrays = {
            "m": each.main,
            "a": each.main_at if len(each.main) else np.zeros(0),
            "b": each.backup,
            "c": each.backup_at,
            "t": each.tapes,
            "s": each.slid,
            "f": np.zeros(0) if each.feet is None else each.feet,
        }
        for key, values in arrays.items():
            whole = np.round(np.asarray(values, dtype=float).ravel() / step).astype(np.int64)
            less = before.get((key, len(whole)), 0)
            parts.append((whole - less).astype("<i2"))
            before[key, len(whole)] = whole
        sizes.append([len(each.main), len(each.backup), len(each.tapes), int(each.feet is not None)])
    ghost = 0.0
    if play.bay > 0:
        ghost = float(depth_for_loop_length(layout.bays_main[play.bay], layout.bays_backup[play.bay]))
    figures = [rows.figures(play, track, count, words) for count in range(len(shots))]
    family = rows.family_of(play, track)
    look = tape_look(family) if family else None
    entry = {
        "holds": "" if track.holds is None else track.holds.value,
        "mark": [look.symbol, look.colour] if look else [],
        "step": step,
        "sizes": sizes,
        "mainMade": layout.tape_main.tolist(),
        "backupMade": layout.tape_backup.tolist(),
        "ghost": ghost,
        "ties": [mark.kind == "tie" for mark in layout.tapes] if play.bay < 0 else [False, False],
        "lens": [number(words.of(_slid(each, lens), "length")) for each in shots],
        "told": [[[bay, number(text)] for bay, text, _ in each] for each in figures],
        "gone": [count for count, each in enumerate(figures) if any(gone for _, _, gone in each)],
        "rub": [_rub(each, words, number) for each in track.shots],
        "facts": [[number(text) for text in rows.facts(play, track, count, words)] for count in range(len(shots))],
    }
    return entry, b"".join(part.tobytes() for part in parts)

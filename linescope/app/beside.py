"""The figures beside the picture: rows of text rounded for people, what a change did to them, one loop or tape."""

from __future__ import annotations

from typing import Any

import numpy as np

from linescope.app.engine import SolvedRig
from linescope.notes import Quantity, Term
from linescope.stage.alarms import alarms
from linescope.stage.dimensions import deepest_bay
from linescope.statics import Solution
from linescope.topics.state import most, sag
from linescope.words import Words, frame
from linescope.words.inputs import input_text

Json = dict[str, Any]


def answers_of(picture: SolvedRig, measures: Words, before: dict[str, str], picked: tuple[str, int] | None) -> Json:
    """Everything said about a picture.

    Parameters
    ----------
    picture : SolvedRig
    measures : Words
    before : dict
        Figures before the last change, by key.
    picked : (kind, index) or None
        The loop or tape (from 0) to be looked at closely.

    Returns
    -------
    dict
        state, alarms, rows, depth and excess by bay, places, picked, doubtful, proof: plain data.
    """
    solution, rig = picture.solution, picture.rig
    where = measures.say("frame-nobody")
    if rig.walker is not None:
        where = measures.say("frame-walker-at", place=measures.place(rig.walker.at))
    state = Term(f"frame-state-{solution.state.replace(' ', '-')}")
    shown = [
        {**row, "was": before[row["key"]] if before.get(row["key"], row["value"]) != row["value"] else ""}
        for row in rows(picture, measures)
    ]
    return {
        "state": measures.say("page-state", state=state, where=where, air=air(picture, measures)),
        "alarms": list(alarms(solution, measures)),
        "rows": shown,
        "depth": solution.bays.loop_depth.tolist(),
        "excess": solution.bays.excess.tolist(),
        "places": _places(solution, measures),
        "picked": None if picked is None else _picked(solution, measures, *picked),
        "doubtful": [
            {"path": note.key, "text": input_text(note, measures), "known": note.known}
            for note in (*picture.inputs.tried, *picture.inputs.guessed, *picture.inputs.assumed)
        ],
        "proof": frame.balance(solution, measures),
        "summary": frame.summary(solution, measures),
        "caution": frame.cautions(measures, "plan")[0],
        "ground": (
            measures.notes(picture.ground.notes) if picture.ground is not None else [measures.say("frame-no-ground")]
        ),
    }


def rows(picture: SolvedRig, measures: Words) -> list[Json]:
    """The main figures: key, label, text, and the number behind it for comparing variants."""
    solution, layout, bays = picture.solution, picture.planned.layout, picture.solution.bays
    backup = most(solution.backup)
    found: list[tuple[str, float, str]] = [
        ("tension_a", solution.tension_a, "force"),
        ("tension_b", solution.tension_b, "force"),
        ("backup_most", backup, "force"),
        ("sag", sag(solution), "length"),
        ("deepest", float(bays.loop_depth.max()), "length"),
        ("shallowest", float(bays.loop_depth.min()), "length"),
        ("drop", float(bays.loop_drop.max()), "length"),
        ("excess_least", float(bays.excess.min()), "ratio"),
        ("excess_most", float(bays.excess.max()), "ratio"),
        ("tight", float((bays.excess < 0.0).sum()), ""),
        ("tapes", float(len(layout.tapes)), ""),
        ("main_length", layout.main_length, "place"),
        ("backup_length", layout.backup_length, "place"),
        ("stretch", float(bays.length.sum() / layout.main_length - 1.0), "ratio"),
    ]
    return [
        {
            "key": key, "label": measures.say(f"page-row-{key.replace('_', '-')}"),
            "value": _shown(value, dimension, measures), "number": value,
        }
        for key, value, dimension in found
    ]


def compared(first: SolvedRig, second: SolvedRig, words: Words) -> list[list[str]]:
    """The main figures of two variants: label, first, second, and what the second is against the first."""
    found = []
    for one, two in zip(rows(first, words), rows(second, words), strict=True):
        change = words.say("page-same")
        if one["value"] != two["value"]:
            share = (two["number"] - one["number"]) / abs(one["number"]) if one["number"] else float("nan")
            way = "more" if share > 0.0 else "less"
            change = words.say("page-changed")
            if np.isfinite(share):
                change = words.say(f"page-changed-{way}", share=Quantity(abs(float(share)), "ratio"))
        found.append([one["label"], one["value"], two["value"], change])
    return found


def _shown(value: float, dimension: str, words: Words) -> str:
    if not dimension:
        return words.count(round(value))
    return words.place(value) if dimension == "place" else words.of(value, dimension)


def air(picture: SolvedRig, words: Words) -> str:
    """The air of a picture."""
    wind, asked = picture.rig.wind, picture.asked
    if asked.air == "still" or wind is None:
        return words.say("page-air-still")
    speed = wind.speed * (wind.gust_factor if asked.air == "gust" else 1.0)
    text = words.say(f"page-air-{asked.air}", speed=Quantity(speed, "speed"))
    return text if asked.side == "as given" else words.say("page-air-other-side", air=text)


def _places(solution: Solution, measures: Words) -> list[Json]:
    bays = solution.bays
    deep, least = deepest_bay(solution), int(np.argmin(bays.excess))
    places = [
        {"bay": deep, "text": measures.say(
            "page-place-deepest", depth=Quantity(float(bays.loop_depth[deep]), "length"), bay=deep + 1
        )},
        {"bay": least, "text": measures.say(
            "page-place-least", excess=Quantity(float(bays.excess[least]), "ratio"), bay=least + 1
        )},
    ]
    if len(solution.tape_slip) and float(np.abs(solution.tape_slip).max()) > 0.005:
        tape = int(np.argmax(np.abs(solution.tape_slip)))
        slid = Quantity(float(abs(solution.tape_slip[tape])), "length")
        places.append({
            "bay": tape, "tape": tape + 1, "text": measures.say("page-place-slid", tape=tape + 1, distance=slid)
        })
    return places


def _picked(solution: Solution, words: Words, kind: str, index: int) -> Json:
    bays, layout = solution.bays, solution.layout
    ends = np.concatenate(([0.0], np.cumsum(bays.length)))
    if kind == "loop":
        text = [
            ("from-a", words.between(float(ends[index]), float(ends[index + 1]))),
            ("depth", words.length(float(bays.loop_depth[index]))),
            ("drop", words.length(float(bays.loop_drop[index]))),
            ("excess", words.share(float(bays.excess[index]))),
            ("bay", words.length(float(bays.length[index]))),
            ("length", words.length(float(bays.loop_length[index]))),
            ("main", words.force(float(bays.main_tension[index]))),
            ("backup", words.force(float(bays.backup_tension[index]))),
            ("share", words.share(float(bays.backup_share[index]))),
        ]
        total = len(bays.excess)
    else:
        tape, total = layout.tapes[index], len(layout.tapes)
        shear = float(solution.backup.tension_start[index + 1] - solution.backup.tension_end[index])
        drag, style = tape.hold.drag, words.named("tapes-family", tape.family)
        held = words.force(drag.value)
        if drag.low != drag.high:
            held = words.say("with-band", value=held, band=words.band(drag.low, drag.high, "force"))
        text = [
            ("style", words.say("page-tape-style-holds", style=style, line=Term(f"frame-holds-{tape.holds.value}"))),
            ("zone", words.count(tape.zone + 1)),
            ("from-a", words.place(float(ends[index + 1]))),
            ("mark-main", words.place(float(layout.tape_main[index]))),
            ("mark-backup", words.place(float(layout.tape_backup[index]))),
            ("slid", words.length(float(solution.tape_slip[index]))),
            ("pull", words.force(abs(shear))),
            ("hold", held),
        ]
    return {
        "kind": kind, "index": index, "name": words.say(f"page-{kind}-name", number=index + 1, total=total),
        "rows": [[words.say(f"page-{kind}-{name}"), value] for name, value in text],
    }

"""The figures beside the picture: rows of text rounded for people, what a change did to them, one loop or tape."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from linescope.app.engine import Picture, air_words
from linescope.stage import words
from linescope.stage.dimensions import deepest_bay
from linescope.stage.words import Measures
from linescope.statics import Solution
from linescope.units import format_si

Json = dict[str, Any]

_MARKS = {"assumed": "ASSUMED", "guess": "GUESS"}


def of(picture: Picture, measures: Measures, before: dict[str, str], picked: tuple[str, int] | None) -> Json:
    """Everything said about a picture.

    Parameters
    ----------
    picture : Picture
    measures : Measures
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
    where = f"walker at {measures.place(rig.walker.at)}" if rig.walker is not None else "nobody on the line"
    shown = [
        {**row, "was": before[row["key"]] if before.get(row["key"], row["value"]) != row["value"] else ""}
        for row in rows(picture, measures)
    ]
    return {
        "state": f"{solution.state}, {where}, {air_words(rig, picture.asked, measures.system)}",
        "alarms": list(words.alarms(solution, measures)),
        "rows": shown,
        "depth": solution.bays.loop_depth.tolist(),
        "excess": solution.bays.excess.tolist(),
        "places": _places(solution, measures),
        "picked": None if picked is None else _picked(solution, measures, *picked),
        "doubtful": [
            {"path": note.key, "text": note.text, "mark": _MARKS[note.known]}
            for note in (*picture.inputs.guessed, *picture.inputs.assumed)
        ],
        "proof": f"Forces balance to {solution.proof.relative_residual:.0e} of the weight; rounded to two figures.",
        "summary": words.summary(solution, measures),
        "ground": list(picture.ground.notes) if picture.ground is not None else ["No ground in this scene."],
    }


def rows(picture: Picture, measures: Measures) -> list[Json]:
    """The main figures: key, label, text, and the number behind it for comparing variants."""
    solution, layout, bays = picture.solution, picture.planned.layout, picture.solution.bays
    backup = float(max(solution.backup.tension_start.max(), solution.backup.tension_end.max()))
    found: list[tuple[str, str, float, Callable[[float], str]]] = [
        ("tension_a", "Main tension at A", solution.tension_a, measures.force),
        ("tension_b", "Main tension at B", solution.tension_b, measures.force),
        ("backup_most", "Backup tension, most", backup, measures.force),
        ("sag", "Main below the straight line, most", _sag(solution), measures.length),
        ("deepest", "Deepest loop", float(bays.loop_depth.max()), measures.loop),
        ("shallowest", "Shallowest loop", float(bays.loop_depth.min()), measures.loop),
        ("drop", "Backup below main, most", float(bays.loop_drop.max()), measures.loop),
        ("excess_least", "Least excess", float(bays.excess.min()), measures.share),
        ("excess_most", "Most excess", float(bays.excess.max()), measures.share),
        ("tight", "Bays without slack", float((bays.excess < 0.0).sum()), _count),
        ("tapes", "Tapes and ties", float(len(layout.tapes)), _count),
        ("main_length", "Main, unstretched", layout.main_length, measures.place),
        ("backup_length", "Backup, unstretched", layout.backup_length, measures.place),
        ("stretch", "Stretch of the main, mean", float(bays.length.sum() / layout.main_length - 1.0), measures.share),
    ]
    return [
        {"key": key, "label": label, "value": show(value), "number": value} for key, label, value, show in found
    ]


def _count(value: float) -> str:
    return f"{value:.0f}"


def _sag(solution: Solution) -> float:
    rig, points = solution.rig, solution.main.sample(4).points
    run = rig.main_b - rig.main_a
    share = (points - rig.main_a)[:, :2] @ run[:2] / float(run[:2] @ run[:2])
    return float(np.max(rig.main_a[2] + share * run[2] - points[:, 2]))


def _places(solution: Solution, measures: Measures) -> list[Json]:
    bays = solution.bays
    deep, least = deepest_bay(solution), int(np.argmin(bays.excess))
    places = [
        {"bay": deep, "text": f"Deepest loop: {measures.loop(float(bays.loop_depth[deep]))} in bay {deep + 1}"},
        {"bay": least, "text": f"Least excess: {measures.share(float(bays.excess[least]))} in bay {least + 1}"},
    ]
    if len(solution.tape_slip) and float(np.abs(solution.tape_slip).max()) > 0.005:
        tape = int(np.argmax(np.abs(solution.tape_slip)))
        slid = measures.length(float(abs(solution.tape_slip[tape])))
        places.append({"bay": tape, "tape": tape + 1, "text": f"Slid farthest: tape {tape + 1}, {slid}"})
    return places


def _picked(solution: Solution, measures: Measures, kind: str, index: int) -> Json:
    bays, layout = solution.bays, solution.layout
    ends = np.concatenate(([0.0], np.cumsum(bays.length)))
    if kind == "loop":
        text = [
            (
                "From A, along the main",
                f"{measures.place(float(ends[index]))} to {measures.place(float(ends[index + 1]))}",
            ),
            ("Loop depth", measures.loop(float(bays.loop_depth[index]))),
            ("Backup below main", measures.loop(float(bays.loop_drop[index]))),
            ("Excess", measures.share(float(bays.excess[index]))),
            ("Bay on the stretched main", measures.length(float(bays.length[index]))),
            ("Loop, unstretched", measures.length(float(bays.loop_length[index]))),
            ("Main tension", measures.force(float(bays.main_tension[index]))),
            ("Backup tension", measures.force(float(bays.backup_tension[index]))),
            ("Backup's share of the load", measures.share(float(bays.backup_share[index]))),
        ]
        name = f"Loop {index + 1} of {len(bays.excess)}"
    else:
        tape = layout.tapes[index]
        shear = float(solution.backup.tension_start[index + 1] - solution.backup.tension_end[index])
        text = [
            ("Style", f"{tape.family}, holds {_held(tape.holds.value)}"),
            ("Zone", str(tape.zone + 1)),
            ("From A, along the main", measures.place(float(ends[index + 1]))),
            ("Mark on the slack main", measures.place(float(layout.tape_main[index]))),
            ("Mark on the backup", measures.place(float(layout.tape_backup[index]))),
            ("Slid since taped", measures.length(float(solution.tape_slip[index]))),
            ("Pull of the backup along it", measures.force(abs(shear))),
            ("Hold, drag", _band(tape.hold.drag.low, tape.hold.drag.value, tape.hold.drag.high, "force", measures)),
        ]
        name = f"Tape {index + 1} of {len(layout.tapes)}"
    return {"kind": kind, "index": index, "name": name, "rows": [list(row) for row in text]}


def _held(what: str) -> str:
    return "both lines" if what == "both" else f"the {what}"


def _band(low: float, value: float, high: float, dimension: str, measures: Measures) -> str:
    low_text, text, high_text = (format_si(v, dimension, system=measures.system) for v in (low, value, high))
    return text if low == high else f"{text} ({low_text} to {high_text})"

"""Results as CSV for programs: full figures in SI, units in the headers, one file for each kind of result."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Sequence
from pathlib import Path

import numpy as np

from linescope.atomic import folder, write_text
from linescope.clearance import Clearance
from linescope.contact import Rub, Touching
from linescope.export.sheet_walk import below_chord, main_stations
from linescope.report import grids
from linescope.report.sliding import HOLD
from linescope.report.tapes import tape_csv
from linescope.study import Study
from linescope.topics import TOPICS
from linescope.words import Words
from linescope.words.inputs import input_text

Cell = str | float | int | bool | None


def write_tables(
    out_dir: str | Path,
    study: Study,
) -> list[Path]:
    """Write every table there is, each whole or not at all.

    Parameters
    ----------
    out_dir : str or Path
        Made when missing.
    study : Study

    Returns
    -------
    list of Path

    Raises
    ------
    OutputError
        When a file cannot be written; those written before are complete.
    """
    texts = table_texts(study)
    place = folder(out_dir)
    return [write_text(place / f"{name}.csv", text) for name, text in texts.items()]


def table_texts(study: Study) -> dict[str, str]:
    """CSV texts by name: loops, tensions, tapes, falls, main_gone, wind, clearances, touches, rub, inputs.

    Tables without any row are left out.
    """
    texts = {
        "loops": _loops(study),
        "tensions": _tensions(study),
        "tapes": tape_csv(study.cuts),
        **{name: grids.csv_text(group, study) for topic in TOPICS.values() for name, group in topic.csv.items()},
        "clearances": _clearances(study.clearance or None),
        "touches": _touches(study.touch or None),
        "rub": _rub(study.rub or None),
        "inputs": _table(
            ("key", "text", "known"),
            ((note.key, input_text(note, Words("metric", "en")), note.known) for note in study.inputs.notes),
        ),
    }
    return {name: text for name, text in texts.items() if text.count("\n") > 1}


def _table(columns: Sequence[str], rows: Iterable[Sequence[Cell]]) -> str:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(columns)
    for row in rows:
        writer.writerow([_cell(value) for value in row])
    return out.getvalue()


def _cell(value: Cell) -> str:
    """A number in as many digits as it has, nothing for what is not known, text that no spreadsheet runs."""
    if value is None:
        return ""
    if isinstance(value, (bool, np.bool_)):
        return "yes" if value else "no"
    if isinstance(value, str):
        text = "".join(letter if letter.isprintable() else " " for letter in value)
        formula = text[:1] in "=@" or (text[:1] in "+-" and not text[1:2].isdigit())
        return f"'{text}" if text and formula else text
    if isinstance(value, (int, np.integer)):
        return str(int(value))
    return repr(float(value)) if math.isfinite(value) else ""


def _loops(study: Study) -> str:
    edges = main_stations(study)
    rows: list[Sequence[Cell]] = []
    for state in study.excess.states:
        for k in range(len(state.bay)):
            rows.append(
                (
                    state.name, k + 1, edges[k], edges[k + 1], state.bay[k], state.loop_length[k], state.excess[k],
                    state.loop_depth[k], state.main_tension[k], state.backup_tension[k], state.backup_share[k],
                )
            )  # fmt: skip
    shown = [("as taped", study.taped), ("settled", study.settled)]
    for level, found in (study.let_go or {}).items():
        hold = HOLD[level].removeprefix("the ")
        shown.append((f"standing, {hold}", found.empty))
        if found.walker is not None:
            shown.append((f"walker, {hold}", found.walker))
    for name, solution in shown:
        bays = solution.bays
        for k in range(len(bays.length)):
            rows.append(
                (
                    name, k + 1, edges[k], edges[k + 1], bays.length[k], bays.loop_length[k],
                    bays.excess[k], bays.loop_depth[k], bays.main_tension[k], bays.backup_tension[k],
                    bays.backup_share[k],
                )
            )  # fmt: skip
    columns = (
        "state", "bay", "from A, standing [m]", "to, standing [m]", "bay length [m]", "loop unstretched [m]",
        "excess [-]", "loop depth [m]", "main tension [N]", "backup tension [N]", "backup share [-]",
    )  # fmt: skip
    return _table(columns, rows)


def _tensions(study: Study) -> str:
    rows: list[Sequence[Cell]] = []
    for solution in (study.standing, *study.walked, study.settled):
        walker, point = solution.rig.walker, solution.walker_point
        rows.append(
            (
                solution.state,
                None if walker is None else walker.at,
                solution.tension_a,
                solution.tension_b,
                float(solution.backup.tension_start[0]),
                float(solution.backup.tension_end[-1]),
                float(solution.bays.excess.min()),
                None if point is None else below_chord(solution, point),
                *((None, None, None) if point is None else (float(x) for x in point)),
                solution.proof.relative_residual,
            )
        )
    columns = (
        "state", "walker from A [m]", "main at A [N]", "main at B [N]", "backup at A [N]", "backup at B [N]",
        "least excess [-]", "feet below chord [m]", "feet x [m]", "feet y [m]", "feet z [m]",
        "residual over weight [-]",
    )  # fmt: skip
    return _table(columns, rows)


def _clearances(clearance: Clearance | None) -> str:
    rows: list[Sequence[Cell]] = [
        (
            one.rank, one.kind, one.cause, one.distance, one.vertical, one.required, one.needed, one.remainder,
            one.is_met, one.station, one.walker, *one.point, *one.nearest,
        )
        for one in (clearance.findings if clearance is not None else ())
    ]  # fmt: skip
    columns = (
        "rank", "kind", "cause", "distance [m]", "straight down [m]", "required [m]", "needed [m]", "remainder [m]",
        "met", "station from A [m]", "walker from A [m]",
        *(f"{name} {axis} [m]" for name in ("place", "nearest ground") for axis in "xyz"),
    )  # fmt: skip
    return _table(columns, rows)


def _touches(touching: Touching | None) -> str:
    columns = (
        "cause", "tape", "first bay", "last bay", "main from [m]", "main to [m]", "backup from [m]", "backup to [m]",
        "length [m]", "pressed with [N]", "force from",
    )
    return _table(columns, (
        (at.cause, at.tape, *at.bays, *at.main, *at.backup, at.length, at.normal, at.normal_from)
        for at in (touching.touches if touching is not None else ())
    ))


def _rub(rub: Rub | None) -> str:
    """The worst places, worst first: crossings and gust cycles as counted in the rub."""
    columns = (
        "rank", "line", "tape", "at [m]", "from [m]", "to [m]", "most [J/m]", "most with low hold [J/m]",
        "most with high hold [J/m]", "work [J]", "share of swings [-]", "cause",
    )
    return _table(columns, (
        (rank, at.line, at.tape, at.at, at.start, at.end, at.peak, at.low, at.high, at.work, at.swing_share, at.cause)
        for rank, at in enumerate(rub.places if rub is not None else (), 1)
    ))

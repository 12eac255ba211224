"""Results as CSV for programs: full figures in SI, units in the headers, one file for each kind of result."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Sequence
from pathlib import Path

import numpy as np

from linescope.atomic import folder, write_text
from linescope.report import grids
from linescope.study import Study
from linescope.topics import TOPICS
from linescope.topics.tapes.data import tape_csv
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
    """CSV texts by name: tapes, tensions, loops, falls, main_gone, wind, touches, wear, wear_tapes,
    clearances, inputs.

    Tables without any row are left out.
    """
    texts = {
        "tapes": tape_csv(study.cuts),
        **{name: grids.csv_text(group, study) for topic in TOPICS.values() for name, group in topic.csv.items()},
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



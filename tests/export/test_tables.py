"""CSV for programs: full figures, SI, units in the headers."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

import numpy as np
import pytest

from linescope.contact import find_touches
from linescope.errors import OutputError
from linescope.export.tables import table_texts, write_tables
from linescope.notes import Verbatim
from linescope.rig import InputNote, Inputs
from tests.export import gathered
from tests.stage import rigs

WORDS = {
    "state", "bay", "number", "family", "holds", "zone", "from end", "cross pieces", "side of the bracket", "line",
    "side", "can come above", "can wrap", "rank", "kind", "cause", "met", "key", "text", "known",
    "tape", "first bay", "last bay", "force from",
    "loaded", "above", "wrap",
    "first_bay", "last_bay", "first_tape", "last_tape", "how", "face",
    "where", "is_met", "ground", "role",
}  # fmt: skip


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def texts(name: str = "windy") -> dict[str, str]:
    study = gathered.study(name)
    found = {"clearance": gathered.clearance(), "touch": find_touches(study.taped), "wear": gathered.wear(name)}
    return table_texts(rigs.changed(study, walked=(), **found))


def test_every_number_has_a_unit_and_none_is_nan() -> None:
    found = texts()
    assert list(found) == [
        "tapes", "tensions", "loops", "clearances", "falls", "main_gone", "wind", "touches", "wear", "wear_tapes",
        "inputs",
    ]
    for name, text in found.items():
        table = rows(text)
        assert len(table) >= 1, name
        for column in table[0]:
            assert column in WORDS or re.search(r" \[(m|N|-|rad|J|J/m|m/s|m\*\*2)\]$", column), (name, column)
        assert not re.search(r"(?i)\b(nan|inf|none)\b", text), name


def test_figures_are_those_of_the_results_in_full() -> None:
    found, study = texts(), gathered.study("windy")
    taped = [row for row in rows(found["loops"]) if row["state"] == "as taped"]
    assert [float(row["loop_depth [m]"]) for row in taped] == study.taped.bays.loop_depth.tolist()
    assert [float(row["backup_tension [N]"]) for row in taped] == study.taped.bays.backup_tension.tolist()
    fall = rows(found["falls"])
    assert [float(row["peak_force [N]"]) for row in fall] == study.fall_places.low.peak_force.tolist()
    gone = [row for row in rows(found["main_gone"]) if row["side"] == "ties hold"]
    lowest = [float(row["lowest_depth [m]"]) for row in gone]
    assert lowest == study.gone_places.ties_hold.lowest.depth.tolist()
    blown = [row for row in rows(found["wind"]) if row["loaded"] == "walker" and row["side"] == "opposite"]
    case = study.wind.case("walker", "opposite")
    assert [float(row["gust_swing [rad]"]) for row in blown] == case.gust_swing.tolist()
    assert [row["wrap"] == "yes" for row in blown] == [k + 1 in case.wrap for k in range(len(case.reach))]


def test_columns_agree_with_each_other() -> None:
    """Excess is loop over bay less one; a bay ends where the next begins; a remainder is distance less need.

    Not in the end bays, where this rig's backup has anchors of its own to bridge to.
    """
    found = texts()
    last = max(int(row["bay"]) for row in rows(found["loops"]))
    for row in rows(found["loops"]):
        if row["bay"] in ("1", str(last)):
            continue
        ratio = float(row["loop_length [m]"]) / float(row["bay [m]"]) - 1.0
        assert float(row["excess [-]"]) == pytest.approx(ratio, abs=1e-12)
    slack = [row for row in rows(found["loops"]) if row["state"] == "slack"]
    ends = np.array([[float(row[f"{name} [m]"]) for name in ("start", "end")] for row in slack])
    assert np.array_equal(ends[1:, 0], ends[:-1, 1])
    for row in rows(found["clearances"]):
        left = float(row["distance (bound) [m]"]) - float(row["needed [m]"])
        assert float(row["remainder (bound) [m]"]) == pytest.approx(left)
        assert (row["is_met"] == "yes") == (left >= 0)


def test_rub_is_a_list_for_inspection_and_touches_lie_on_the_lines() -> None:
    found, wear = texts(), gathered.wear("windy")
    listed = rows(found["wear"])
    assert [row["face"] for row in listed] == [str(place.face) for place in wear.places]
    most = [float(row["peak [J/m]"]) for row in listed]
    assert most == sorted(most, reverse=True) and most[0] == wear.places[0].peak
    assert {int(row["number"]) for row in rows(found["wear_tapes"])} <= {tape.number for tape in wear.tapes}
    length = gathered.study("windy").planned.layout.main_length
    for row in rows(found["touches"]):
        assert 0.0 <= float(row["main_from [m]"]) <= float(row["main_to [m]"]) <= length


def test_what_there_is_not_has_no_file_and_no_cell() -> None:
    found = table_texts(gathered.study("short"))
    assert list(found) == ["tapes", "tensions", "loops", "inputs"]
    assert rows(found["tensions"])[0]["walker_at [m]"] == ""


def test_a_spreadsheet_runs_nothing() -> None:
    study = gathered.study("trap")
    keys = ("=1+1", "@SUM(A1)", "+cmd|' /C calc'!A0", "-2 m", 'a,"b"\n\0')
    notes = tuple(InputNote(key="key", value=Verbatim(text), known="stated") for text in keys)
    named = rigs.changed(study, inputs=Inputs(notes=notes), walked=())
    cells = [row["text"] for row in rows(table_texts(named)["inputs"])]
    assert cells == ["'=1+1", "'@SUM(A1)", "'+cmd|' /C calc'!A0", "-2 m", 'a,"b"  ']


def test_files_are_written_and_refused(tmp_path: Path) -> None:
    files = write_tables(tmp_path / "out", gathered.study("trap"))
    assert [file.name for file in files] == [
        "tapes.csv",
        "tensions.csv",
        "loops.csv",
        "falls.csv",
        "main_gone.csv",
        "inputs.csv",
    ]
    assert all(file.read_bytes().count(b"\r") == 0 for file in files)
    (tmp_path / "file").write_text("x")
    with pytest.raises(OutputError):
        write_tables(tmp_path / "file", gathered.study("trap"))

"""Tables of the cut list, its JSON and its CSV."""

from __future__ import annotations

import csv
import io
import json
import re

import pytest

from linescope.taping import CutList, Holds
from linescope.topics.tapes.data import CSV_COLUMNS, tape_csv, tape_json
from linescope.topics.tapes.tables import slip_table, tape_rows
from linescope.units import on_ruler
from linescope.words import PSEUDO, Words
from tests.taping.kinds import one_of_every_kind


@pytest.fixture(scope="module")
def cut_list() -> CutList:
    return one_of_every_kind()


@pytest.mark.parametrize(
    ("metres", "metric", "feet"),
    [
        (0.254, "254 mm", "10 in"),
        (0.0635, "64 mm", "2 1/2 in"),
        (0.0127, "13 mm", "1/2 in"),
        (0.0, "0 mm", "0 in"),
        (float("nan"), "-", "-"),
    ],
)
def test_lengths_as_laid_on_a_ruler(metres: float, metric: str, feet: str) -> None:
    """By hand: 25.4 mm to the inch."""
    assert (on_ruler(metres, "metric"), on_ruler(metres, "feet")) == (metric, feet)


@pytest.mark.parametrize("units", ["metric", "feet"])
def test_every_row_has_every_column(cut_list: CutList, units: str) -> None:
    for table in tape_rows(cut_list, Words(units)).values():  # type: ignore[arg-type]
        assert table.rows
        assert {len(row) for row in table.rows} == {len(table.columns)}
        assert "safe" not in str(table).lower()


def test_feet_and_metres_say_the_same(cut_list: CutList) -> None:
    """0.3048 m to the foot, exactly."""
    metric, feet = tape_rows(cut_list, Words())["tapes"], tape_rows(cut_list, Words("feet"))["tapes"]
    for a, b in zip(metric.rows, feet.rows, strict=True):
        assert float(a[4]) == pytest.approx(0.3048 * float(b[4]), abs=0.007)


def test_the_state_it_lies_in_has_its_own_column_when_tensioned(cut_list: CutList) -> None:
    from dataclasses import replace

    slack = tape_rows(cut_list, Words())["tapes"]
    tight = tape_rows(replace(cut_list, lying_strain=0.012), Words())["tapes"]
    assert len(tight.columns) == len(slack.columns) + 1
    assert float(tight.rows[-2][5]) == pytest.approx(1.012 * cut_list.main_mark[-1], abs=0.006)
    assert float(tight.rows[-1][5]) == pytest.approx(1.012 * cut_list.main_length, abs=0.006)


def test_a_strip_that_does_not_end_underneath_says_what_moves_it(cut_list: CutList) -> None:
    """Four whole turns of thin tape end at the held line's edge: 45 mm more, or 19 less, end under the backup."""
    row = next(r for r in tape_rows(cut_list, Words())["kinds"].rows if r[0] == "main-held slider")
    assert "underside" in row[6]
    assert "top, 0 mm from the nearer edge" in row[7] and "cut 19 mm or add 45 mm" in row[7]


@pytest.mark.parametrize("units", ["metric", "feet"])
def test_no_table_holds_words_from_anywhere_but_the_message_files(cut_list: CutList, units: str) -> None:
    """In the pseudo-language what stands outside the brackets is a number, a unit, the user's own, or a mark."""
    words = Words(units, PSEUDO)  # type: ignore[arg-type]
    tables = [*tape_rows(cut_list, words).values(), *(slip_table(tape, words) for tape in cut_list.tapes.values())]
    for table in tables:
        for text in (table.title, *table.columns, *(cell for row in table.rows for cell in row)):
            bare = re.sub(r"⟦[^⟧]*⟧|⟪[^⟫]*⟫", " ", text)
            assert not set(re.findall(r"[A-Za-z]{3,}", bare)) - {"min"}, text


def test_slips_say_when_a_style_becomes_another(cut_list: CutList) -> None:
    """The short end of 30 mm, rims beside each other, off square: a fixed wrap; 35 and 55 mm still run."""
    rows = {row[0]: row for row in slip_table(cut_list.tapes["main-held slider", Holds.MAIN], Words()).rows}
    assert rows["short end 35 mm instead of 45 mm"][1] == "4.6 mm"
    assert rows["short end 35 mm instead of 45 mm"][4] == rows["short end 55 mm instead of 45 mm"][4] == "the line runs"
    for wrong in ("short end 30 mm or less", "rims 5 mm beside each other", "1° off square", "2° off square"):
        assert rows[wrong][4].startswith("a fixed wrap")


def test_json_carries_full_figures_and_no_nan(cut_list: CutList) -> None:
    data = json.loads(json.dumps(tape_json(cut_list), allow_nan=False))
    assert data["tapes"][0]["main_m"] == cut_list.main_mark[0]
    assert len(data["kinds"]) == len(cut_list.tapes)
    assert data["kinds"][0]["dry"] is None
    assert sum(t["strip_m"] for t in data["tapes"]) == pytest.approx(data["totals"]["strips_m"])


def test_csv_reads_back(cut_list: CutList) -> None:
    rows = list(csv.reader(io.StringIO(tape_csv(cut_list.reversed()))))
    assert tuple(rows[0]) == CSV_COLUMNS
    assert [int(row[0]) for row in rows[1:-1]] == list(range(len(cut_list.number), 0, -1))
    assert float(rows[1][5]) == pytest.approx(40.0 - cut_list.main_mark[-1], abs=1e-6)
    assert rows[-2][2] == cut_list.holds[0].value
    assert rows[-1][:2] == ["", "anchor A"] and float(rows[-1][9]) == pytest.approx(cut_list.backup_length, abs=1e-6)

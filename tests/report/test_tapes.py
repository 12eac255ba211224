"""Tables of the cut list, its JSON and its CSV."""

from __future__ import annotations

import csv
import io
import json

import pytest

from linescope.report.tapes import CSV_COLUMNS, short_length, tape_csv, tape_json, tape_rows
from linescope.taping import CutList
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
    assert (short_length(metres, "metric"), short_length(metres, "feet")) == (metric, feet)


@pytest.mark.parametrize("units", ["metric", "feet"])
def test_every_row_has_every_column(cut_list: CutList, units: str) -> None:
    for table in tape_rows(cut_list, units).values():  # type: ignore[arg-type]
        assert table.rows
        assert {len(row) for row in table.rows} == {len(table.columns)}
        assert "safe" not in str(table).lower()


def test_feet_and_metres_say_the_same(cut_list: CutList) -> None:
    """0.3048 m to the foot, exactly."""
    metric, feet = tape_rows(cut_list)["tapes"], tape_rows(cut_list, "feet")["tapes"]
    for a, b in zip(metric.rows, feet.rows, strict=True):
        assert float(a[4]) == pytest.approx(0.3048 * float(b[4]), abs=0.007)


def test_the_state_it_lies_in_has_its_own_column_when_tensioned(cut_list: CutList) -> None:
    from dataclasses import replace

    slack, tight = tape_rows(cut_list)["tapes"], tape_rows(replace(cut_list, lying_strain=0.012))["tapes"]
    assert len(tight.columns) == len(slack.columns) + 1
    assert float(tight.rows[-2][5]) == pytest.approx(1.012 * cut_list.main_mark[-1], abs=0.006)
    assert float(tight.rows[-1][5]) == pytest.approx(1.012 * cut_list.main_length, abs=0.006)


def test_a_strip_ending_on_top_says_what_moves_it(cut_list: CutList) -> None:
    row = next(r for r in tape_rows(cut_list)["kinds"].rows if r[0] == "backup-held slider")
    assert "underside" in row[6]
    assert "top" in row[7] and "cut 33 mm or add 33 mm" in row[7]


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

"""`linescope advise`: text in both systems of units, JSON, and a plan kept in the file."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

import linescope
from linescope.cli import main
from linescope.statics import solve
from tests.advise.lines import scene_of, wish

QUICK = ("--draws", "4", "--plans", "2")


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "wished.toml"
    path.write_text(scene_of(wish("sag with the walker", at_most="1.2 m")).text, encoding="utf-8")
    return path


def test_a_plan_is_kept_and_keeps_its_wishes(file: Path, capsys):
    before = file.read_text(encoding="utf-8")
    assert main(["advise", str(file), *QUICK, "--keep", "a", "--name", "tighter", "--units", "feet"]) == 0
    said = capsys.readouterr().out
    assert "Draws, 4 a plan" in said and "in a leash fall" not in said
    # No figure in metres: the scene's name and commands apart.
    assert not re.search(r"\d (?:m|cm|kN|N)\b", said.replace(str(file), ""))
    assert file.read_text(encoding="utf-8").startswith(before)
    rig = linescope.load(file, "tighter").rig
    assert rig.below_anchors(solve(rig).walker_point) <= 1.2 + 0.02
    assert main(["keep", str(file)]) == 0
    assert capsys.readouterr().out.startswith("tighter: ")


def test_its_json_has_what_the_text_says(file: Path, capsys):
    assert main(["advise", str(file), *QUICK, "--json", "--wish", "tapes <= 9"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["verdict"] == "found" and found["draws"] == 4
    figures = [each["figure"] for each in found["wishes"]]
    assert figures == ["sag with the walker", "tapes", "excess with the walker"]
    now, first = found["plans"][0], found["plans"][1]
    assert (now["plan"], first["plan"]) == ("now", "a")
    assert first["is_met"] and not now["is_met"]
    tried = linescope.Scene.read(file).what_if(first["tried"])
    assert tried.rig.main_plan.tension == pytest.approx(first["pull"], rel=1e-6)
    assert {"lever", "now", "value", "low", "high", "zone"} == set(first["levers"][0])
    assert all(0.0 <= each["share"] <= 1.0 for each in first["wishes"])


def test_where_nothing_is_found_it_says_what_stands_in_the_way(file: Path, capsys):
    given = ["--set", "limits.pull=1.9 kN, 2.1 kN", "--set", "wishes[1].at_most=50 cm", "--draws", "0"]
    assert main(["advise", str(file), *given]) == 3
    said = capsys.readouterr().out
    assert "sag with the walker: if this alone gave" in said
    assert "pull +0.0500 kN beyond your limit gives" in said or "pull +50.0 N beyond your limit gives" in said


def test_where_no_wish_alone_is_in_the_way_each_says_how_far_it_is_short(file: Path, capsys):
    """Both ask for what no pull within the limits gives; figures are those of the nearest line's own row."""
    given = ["--set", "limits.pull=1.9 kN, 2.1 kN", "--set", "wishes[1].at_most=50 cm", "--draws", "0"]
    assert main(["advise", str(file), *given, "--wish", "tension with the walker <= 1 kN", "--json"]) == 3
    found = json.loads(capsys.readouterr().out)
    assert {each["by"] for each in found["gives"]} == {None}
    assert main(["advise", str(file), *given, "--wish", "tension with the walker <= 1 kN"]) == 3
    said = " ".join(capsys.readouterr().out.split())
    assert "No one of these alone is in the way" in said
    nearest = next(plan for plan in found["plans"] if plan["plan"] == "nearest")
    most = {each["figure"]: each["most"] for each in nearest["wishes"]}
    sag, pull = most["sag with the walker"] - 0.5, most["tension with the walker"] - 1000.0
    text = re.search(r"together: sag with the walker by ([\d.]+) m and tension with the walker by ([\d.]+) kN", said)
    assert text is not None
    for shown, needed in ((float(text[1]), sag), (float(text[2]) * 1e3, pull)):
        assert needed * (1.0 - 1e-6) <= shown <= 1.1 * needed  # Two figures, rounded up: what must give is no less.


@pytest.mark.parametrize(("given", "key"), [
    (["--wish", "tapes"], "--wish"), (["--wish", "zebras >= 3"], "--wish"), (["--name", "mine"], "--name"),
    (["--wish", "line over ground >= 1 m"], "wishes"), (["--plans", "9"], "--plans"),
])
def test_what_cannot_be_asked_is_named(file: Path, capsys, given: list[str], key: str):
    text = file.read_text(encoding="utf-8")
    try:
        status = main(["advise", str(file), *given])
    except SystemExit as end:
        status = end.code
    assert status == 2 and key in capsys.readouterr().err
    assert file.read_text(encoding="utf-8") == text

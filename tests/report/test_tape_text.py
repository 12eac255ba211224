"""The cut list as text, from a scene to marks: what the rigger reads."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

import linescope
from linescope.cli import main
from linescope.events import marks_for
from linescope.statics import cut_list, plan, solve
from linescope.topics.tapes.text import tape_text
from linescope.words import Words, frame

SCENES = Path(__file__).parents[2] / "scenes"


def test_rigged_marks_are_arc_lengths_of_the_standing_main() -> None:
    """Against the sampled standing curve (sum of fine chords), 1e-4 m."""
    rig = linescope.load(SCENES / "ptarmigan_step.toml").rig
    planned = plan(rig)
    cuts = cut_list(planned)
    curve = solve(rig.without_walker(), planned=planned).main.sample(400)
    arc = np.concatenate(([0.0], np.cumsum(np.linalg.norm(np.diff(curve.points, axis=0), axis=1))))
    np.testing.assert_allclose(cuts.rigged, np.interp(planned.layout.tape_main, curve.coordinate, arc), atol=1e-4)


def test_text_has_every_tape_and_the_practice_mark() -> None:
    rig = linescope.load(SCENES / "ptarmigan_step.toml").rig
    planned = plan(rig)
    text = tape_text(cut_list(planned), rig.name, Words())
    assert len(planned.layout.tapes) == 16
    assert text.count("fixed wrap ") >= 7
    assert "Common practice, no source." in text
    assert "safe" not in text.lower()


def test_wanted_depth_in_marks_out(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """`linescope tapes --depth` gives the marks with which every loop has that depth under the walker (1 mm)."""
    rig = linescope.load(SCENES / "heron_gap.toml").rig
    marked = marks_for(rig, depth=0.37).rig
    np.testing.assert_allclose(solve(marked).bays.loop_depth, 0.37, atol=1e-3)
    target = tmp_path / "cuts.csv"
    assert main(["tapes", str(SCENES / "heron_gap.toml"), "--depth", "37 cm", "--csv", str(target)]) == 0
    rows = [line.split(",") for line in target.read_text(encoding="utf-8").splitlines()]
    backup = rows[0].index("backup slack [m]")
    layout = plan(marked).layout
    marks = [*layout.tape_backup, layout.backup_length]
    np.testing.assert_allclose([float(row[backup]) for row in rows[1:]], marks, atol=1e-5)
    said = capsys.readouterr().out
    assert "cuts.csv" in said and f"Backup {layout.backup_length:.2f} m" in said
    assert re.search(r"reached\s+37 cm", said) and "excess to mark on" in said
    assert {row[3] for row in rows[1:-1]} == {"zone 1"} and rows[-1][:2] == ["", "anchor B"]


def test_a_slip_in_the_wanted_depth_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    """4 m for 40 cm: on bays of 3 m (2.96 m slack) a loop is 4 m deep at an excess of over 170 %."""
    assert main(["tapes", str(SCENES / "heron_gap.toml"), "--depth", "4 m"]) == 2
    said = capsys.readouterr().err
    assert "--depth" in said and "found '4 m" in said and "at most 100 % excess" in said


def test_the_far_anchor_has_a_row_on_both_ends(capsys: pytest.CaptureFixture[str]) -> None:
    layout = plan(linescope.load(SCENES / "heron_gap.toml").rig).layout
    for extra, end in (((), "B"), (("--reversed",), "A")):
        assert main(["tapes", str(SCENES / "heron_gap.toml"), *extra]) == 0
        (row,) = [line for line in capsys.readouterr().out.splitlines() if f"  anchor {end}  " in line]
        assert f"{layout.backup_length:.2f}" in row and f"{layout.main_length:.2f}" in row


def test_what_is_tried_stands_on_top_of_list_plan_and_card(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    scene = str(SCENES / "heron_gap.toml")
    for more in ((), ("--print", str(tmp_path / "plan.pdf"))):
        assert main(["tapes", scene, *more]) == 0
        assert "Tried" not in capsys.readouterr().out
        assert main(["tapes", scene, "--set", "main.tension=2.4 kN", *more]) == 0
        lines = capsys.readouterr().out.replace("\u00a0", " ").splitlines()
        assert "! Tried, not the file's: main.tension 2.4 kN (file: 1.8 kN)" in lines[:3]


@pytest.mark.parametrize(("key", "value", "file"), [
    ("main.webbing", "polyester 25 mm", "(file: figures of its own)"),
    ("walker.leash", "1.4 m", "(not in the file, else 5.25 ft assumed)"),
    ("main.length", "49 m", "(not in the file)"),
])  # fmt: skip
def test_tried_beside_a_table_an_assumption_and_nothing(key: str, value: str, file: str) -> None:
    scene = linescope.load(SCENES / "heron_gap.toml")
    told = frame.tried(scene.what_if(key, value).inputs, Words("feet")).replace("\u00a0", " ")
    assert told.startswith(f"Tried, not the file's: {key} ") and told.endswith(file)
    assert frame.tried(scene.inputs, Words("feet")) == ""

"""The command line as a user meets it: exit statuses, whole files, errors that name file and key."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

from linescope import console
from linescope.cli import main
from linescope.study import Study
from linescope.words import Words

SCENES = Path(__file__).parents[1] / "scenes"
HERON = str(SCENES / "heron_gap.toml")


def test_figures_prints_text(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["figures", HERON]) == 0
    shown = capsys.readouterr().out
    assert shown.startswith("Heron Gap")
    assert Words().say("loops") in shown


def test_figures_prints_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["figures", HERON, "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["states"]["as taped"]["relative_residual"] < 1e-8
    assert data["rig"]["span"] == 48.0


def test_figures_say_first_that_an_anchor_is_inside_the_rock(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """An anchor typed 20 m too low, and ground in the wrong place: figures do not need it, and say so."""
    text = Path(HERON).read_text(encoding="utf-8")
    assert '"48 m", "0 m", "0 m"' in text and '"-20 m"' not in text.split("[ground]")[0]
    scene = tmp_path / "low.toml"
    scene.write_text(text.replace('"48 m", "0 m", "0 m"', '"48 m", "0 m", "-20 m"'), encoding="utf-8")
    assert main(["figures", str(scene)]) == 0
    head = capsys.readouterr().out.split("Tension and sag")[0]
    assert "! Anchor B is 19 m below the ground there" in head
    assert main(["figures", str(scene), "--json"]) == 0
    assert any(note["kind"] == "ground-anchor-below" for note in json.loads(capsys.readouterr().out)["ground"])
    (tmp_path / "far.csv").write_text("500,-20\n600,-20\n", encoding="utf-8")
    head, _, rest = text.partition("[ground]")
    rest = rest[rest.index("\n[") :]
    scene.write_text(f'{head}[ground]\nkind = "profile"\nfile = "far.csv"\n{rest}', encoding="utf-8")
    assert main(["figures", str(scene)]) == 0
    assert "! The ground cannot be used: " in capsys.readouterr().out


def test_keys_explains_the_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["keys"]) == 0
    assert "loop_depth" in capsys.readouterr().out


def test_schema_is_json(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["schema"]) == 0
    assert json.loads(capsys.readouterr().out)["$schema"].endswith("2020-12/schema")


def test_start_writes_a_scene_that_runs(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["start"]) == 0
    names = capsys.readouterr().out.split()
    assert names
    for name in names:
        target = tmp_path / f"{name}.toml"
        assert main(["start", name, "-o", str(target)]) == 0
        assert main(["figures", str(target)]) == 0
        assert main(["start", name, "-o", str(target)]) == 2


@pytest.mark.parametrize(
    ("change", "key"),
    [
        (("48 m", "48 kg"), "anchors.b"),
        (('every = "3 m"', 'every = "3,5 m"'), "taping.zones[1].spacing.every"),
        (('excess = "3 %"', 'excesss = "3 %"'), "excesss"),
        (('style = "fixed wrap"', 'style = "magic wrap"'), "taping.zones[1].style"),
    ],
)
def test_a_mistake_names_file_and_key(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], change: tuple[str, str], key: str
) -> None:
    text = Path(HERON).read_text(encoding="utf-8")
    assert change[0] in text
    scene = tmp_path / "bad.toml"
    scene.write_text(text.replace(*change), encoding="utf-8")
    assert main(["figures", str(scene)]) == 2
    said = capsys.readouterr().err
    assert "bad.toml" in said
    assert key in said
    assert "Traceback" not in said


def test_a_plan_that_does_not_fit_names_the_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = Path(HERON).read_text(encoding="utf-8").replace(
        'style = "fixed wrap"\nspacing = { every = "3 m" }',
        'style = "fixed wrap"\nspacing = { listed = ["3 m", "60 m"] }',
    )
    scene = tmp_path / "far.toml"
    scene.write_text(text, encoding="utf-8")
    assert main(["figures", str(scene)]) == 2
    said = capsys.readouterr().err
    assert "far.toml" in said
    assert "listed" in said


def test_a_missing_scene(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["figures", "nowhere.toml"]) == 2
    assert "nowhere.toml" in capsys.readouterr().err


def test_an_unwritable_folder(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("in the way", encoding="utf-8")
    assert main(["brief", HERON, "-o", str(blocked / "out")]) == 2
    assert "file" in capsys.readouterr().err


def test_unknown_words_exit_2() -> None:
    with pytest.raises(SystemExit) as stop:
        main(["dance"])
    assert stop.value.code == 2


@pytest.mark.long  # `tests/broken/test_children.py` asks by default, of a reader that has left already.
def test_a_reader_that_leaves_is_no_error() -> None:
    """`linescope figures ... | head -1` ends quietly."""
    run = subprocess.run(
        f"{sys.executable} -m linescope figures {HERON} --json | head -c 10", shell=True, capture_output=True,
        text=True, check=False, env={**os.environ, "PYTHONWARNINGS": "error"},
    )
    assert run.returncode == 0
    assert run.stderr == ""


def test_a_long_command_says_how_far_it_is_without_a_terminal(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """With a clock that runs 7 s at every look, lines come on standard error and the JSON is whole."""
    ticks = iter(range(0, 10**9, 7))
    monkeypatch.setattr("linescope.console.time.monotonic", lambda: float(next(ticks)))
    assert main(["clearance", HERON, "--json"]) in (0, 3)
    shown = capsys.readouterr()
    json.loads(shown.out)
    lines = shown.err.splitlines()
    assert len(lines) >= 2
    shares = [int(line.split("linescope: ")[1].split(" % after ")[0]) for line in lines]
    assert shares == sorted(shares) and shares[-1] < 100
    said = {Words().named("doing", name) for name in Study.RESULTS}
    assert {line.rpartition(" s: ")[2] for line in lines} <= said


def test_what_tells_nothing_of_itself_is_told_all_the_same(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A file that takes long to read has no steps to count; once the command has ended nothing more is said."""
    monkeypatch.setattr(console, "EVERY", 0.02)
    said: list[str] = []

    def command() -> int:
        tell = console.progress()
        assert tell is not None
        tell(0.0, "ground")
        for _ in range(500):
            time.sleep(0.02)
            said.append(capsys.readouterr().err)
            if "".join(said).count(Words().named("doing", "ground")) >= 2:
                return 0
        return 1

    assert console.run(command, as_process=False) == 0
    capsys.readouterr()
    time.sleep(0.2)
    assert capsys.readouterr().err == ""


def test_an_unlikely_input_stands_before_the_distances(capsys: pytest.CaptureFixture[str]) -> None:
    main(["clearance", HERON, "--set", "walker.mass=7.5 kg", "--units", "feet"])
    assert capsys.readouterr().out.startswith("! Unlikely input, check it: walker.mass is 17 lb")

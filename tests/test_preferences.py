"""The user's own file, what a shell completes, and the line of progress on a terminal."""

from __future__ import annotations

import os
import pty
import re
import subprocess
import sys
from pathlib import Path

import pytest

import linescope
from linescope.cli import main
from linescope.preferences import VARIABLE, Preferences, preferences_file, read_preferences
from tests.advise.lines import GROUND, scene_of

HERON = str(Path(__file__).parents[1] / "scenes" / "heron_gap.toml")


@pytest.fixture
def own(tmp_path, monkeypatch):
    file = tmp_path / "preferences.toml"
    monkeypatch.setenv(VARIABLE, str(file))
    return file


def test_units_are_as_preferred_until_others_are_asked_for(own, capsys):
    assert main(["tapes", HERON]) == 0
    metric = capsys.readouterr().out
    own.write_text('units = "feet"\n', encoding="utf-8")
    assert main(["tapes", HERON]) == 0
    feet = capsys.readouterr().out
    assert "ft" in feet and feet != metric
    assert main(["tapes", HERON, "--units", "metric"]) == 0
    assert capsys.readouterr().out == metric


def test_paper_is_as_preferred(own, tmp_path):
    import shutil

    own.write_text('paper = "Letter"\n', encoding="utf-8")
    assert main(["tapes", HERON, "--print", str(tmp_path / "plan.pdf")]) == 0
    if shutil.which("pdfinfo") is None:
        pytest.skip("pdfinfo is missing: the size of the page is not read")
    told = subprocess.run(["pdfinfo", str(tmp_path / "plan.pdf")], capture_output=True, text=True, check=True).stdout
    assert re.search(r"Page size:\s+(612 x 792|792 x 612)", told)


@pytest.mark.parametrize(("text", "key", "found", "allowed"), [
    ('units = "furlongs"', "units", "furlongs", "metric or feet"),
    ('paper = "A3"', "paper", "A3", "A4 or Letter"),
    ("club = 7", "club", "7", "text of up to 80 letters"),
    ('club = "a\\u001b[2J"', "club", "x1b", "text of up to 80 letters"),
    ('colour = "red"', "colour", "", "units, paper, club or webbings"),
    ("webbings = 3", "webbings", "3", "tables"),
    ("[webbings]\nred = 3", "webbings.red", "3", "keys of main.webbing"),
    ("units = ", "", "Invalid value", ""),
])
def test_a_wrong_file_is_named_with_what_is_allowed(own, capsys, text, key, found, allowed):
    own.write_text(text, encoding="utf-8")
    assert main(["tapes", HERON]) == 2
    error = capsys.readouterr().err
    assert str(own) in error and key in error and found in error and allowed in error
    assert main(["doctor"]) in (0, 5)  # What needs no preference is not held up by them.


def test_without_a_file_nothing_is_preferred_and_the_command_says_where_it_would_be(own, monkeypatch, capsys):
    assert read_preferences() == Preferences()
    assert main(["preferences"]) == 0
    shown = capsys.readouterr().out
    assert str(own) in shown
    own.write_text(shown, encoding="utf-8")  # What it prints is a file that can be used.
    assert read_preferences() == Preferences()
    monkeypatch.setenv(VARIABLE, "")
    assert preferences_file() is None


def test_bash_completes_commands_options_and_files(tmp_path, capsys):
    assert main(["completion", "bash"]) == 0
    script = tmp_path / "complete.bash"
    script.write_text(capsys.readouterr().out, encoding="utf-8")
    (tmp_path / "my_rig.toml").touch()

    def completes(*words):
        typed = " ".join(f"'{word}'" for word in words)
        run = (
            f"source {script}; COMP_WORDS=({typed}); COMP_CWORD={len(words) - 1}; _shtab_linescope; "
            "echo ${COMPREPLY[@]}"
        )
        done = subprocess.run(["bash", "-c", run], capture_output=True, text=True, check=True, cwd=tmp_path)
        return done.stdout.split()

    assert completes("linescope", "clea") == ["clearance"]
    assert "--variant" in completes("linescope", "figures", "--v")
    assert completes("linescope", "figures", "my_") == ["my_rig.toml"]


@pytest.mark.parametrize("plain", [False, True])
def test_a_terminal_sees_how_far_it_is_and_the_line_goes_before_the_result(plain, tmp_path):
    """Under a pseudo-terminal; with NO_COLOR no colour is sent, and the cursor is never hidden."""
    text, scene = scene_of(GROUND).text, tmp_path / "line.toml"
    nobody = text[: text.index("[walker]")] + text[text.index("[ground]"):]  # Nobody falls: distances are found sooner.
    scene.write_text(nobody, encoding="utf-8")
    given = {key: value for key, value in os.environ.items() if key not in ("NO_COLOR", "FORCE_COLOR")}
    given |= {"TERM": "xterm", "COLUMNS": "100"} | ({"NO_COLOR": "1"} if plain else {})
    ours, theirs = pty.openpty()
    with subprocess.Popen(
        [sys.executable, "-m", "linescope", "clearance", str(scene)], stdout=theirs, stderr=theirs, env=given
    ) as run:
        os.close(theirs)
        seen = b""
        while True:
            try:
                part = os.read(ours, 65536)
            except OSError:  # The other side has gone.
                break
            if not part:
                break
            seen += part
    os.close(ours)
    assert run.returncode in (0, 3)
    text = seen.decode("utf-8")
    assert re.search(r"\d+%", text)
    assert "\x1b[?25l" not in text
    assert bool(re.search(r"\x1b\[[0-9;]*[1-9][0-9;]*m", text)) is not plain
    last = text.rpartition("\x1b[2K")[2]
    assert "Distances to the ground" in last and "%" not in last.partition("Distances")[0]


def test_a_webbing_of_ones_own_is_written_out_in_the_scene_that_begins_with_it(own, tmp_path, monkeypatch, capsys):
    """So that the scene gives the same figures on a machine without that file."""
    own.write_text(
        '[webbings."red, second season"]\nlike = "nylon 25 mm"\nmass = { value = "61 g/m", known = "measured" }\n'
        '[webbings.green]\nlike = "polyester 25 mm"\nbreaking_strength = "29 kN"\n', encoding="utf-8",
    )
    scene = tmp_path / "mine.toml"
    begin = ["start", "level", "-o", str(scene), "--main", "red, second season", "--backup"]
    assert main([*begin, "grey"]) == 2
    told = capsys.readouterr().err
    assert "'grey'" in told and "'green'" in told and "'nylon 25 mm'" in told and not scene.exists()
    assert main([*begin, "green"]) == 0
    monkeypatch.setenv(VARIABLE, "")
    rig = linescope.load(scene).rig
    assert (rig.main.name, rig.main.mass, rig.backup.breaking_strength) == ("red, second season", 0.061, 29e3)
    assert linescope.load(scene).inputs.get("main.webbing.mass").known == "measured"


@pytest.mark.parametrize(("line", "key"), [
    ('like = "nylon 25 mm"\nmass = "61 kN"', "webbings.red.mass"), ('colour = "red"', "webbings.red.colour"),
    ("rope = 3", "webbings.red.rope"), ('mass = "61 g/m"', "webbings.red.width"),
])
def test_a_wrong_key_of_ones_own_webbing_is_named_and_nothing_is_written(own, tmp_path, capsys, line, key):
    own.write_text(f'[webbings.red]\n{line}\n', encoding="utf-8")
    assert main(["start", "level", "-o", str(tmp_path / "mine.toml"), "--main", "red"]) == 2
    error = capsys.readouterr().err
    assert str(own) in error and key in error and not (tmp_path / "mine.toml").exists()

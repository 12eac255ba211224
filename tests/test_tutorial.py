"""The tutorial in `assets` is run word by word: its files are written, its commands are typed."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

from linescope.cli import main

TEXT = (Path(__file__).parents[1] / "assets" / "TUTORIAL.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```(\w+)(?: (\S+))?\n(.*?)^```$", TEXT, re.M | re.S)
ENDS = {"clearance": {0, 3}}  # It may find something that is not kept.


def test_the_tutorial_comes_to_the_crews_sheets(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    printed = {}
    for kind, name, text in BLOCKS:
        if kind in ("python", "toml"):
            (tmp_path / name).write_text(text, encoding="utf-8")
            continue
        for line in text.splitlines():
            program, *arguments = shlex.split(line)
            if program == "python":
                subprocess.run([sys.executable, *arguments], check=True)
            else:
                assert program == "linescope"
                assert main(arguments) in ENDS.get(arguments[0], {0}), line
                printed[line] = capsys.readouterr().out
    (ground,) = (text for line, text in printed.items() if " ground " in line)
    given = (tmp_path / "rig.toml").read_text(encoding="utf-8")
    for line in ground.partition("For the scene")[2].splitlines()[2:]:
        assert line in given, "the scene of the tutorial is not what its ground prints"
    as_planned, tighter = (text for line, text in printed.items() if " clearance " in line)
    assert as_planned != tighter and "tried" in tighter
    assert {path.name for path in (tmp_path / "briefing").iterdir()} >= {"crew.pdf", "tape-card.pdf", "page.html"}
    assert (tmp_path / "plan.pdf").stat().st_size > 10_000


def test_every_block_is_one_that_the_test_knows():
    assert {kind for kind, _, _ in BLOCKS} == {"python", "toml", "sh"}
    assert TEXT.count("```") == 2 * len(BLOCKS)
    with pytest.raises(SystemExit):
        main(["no-such-command"])

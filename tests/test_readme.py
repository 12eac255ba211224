"""The README is true: its commands exist, its scene loads, its pictures are there, CI runs its test command."""

from __future__ import annotations

import re
from pathlib import Path

import linescope
from linescope.cli import _parser
from linescope.scenefile import from_text
from linescope.statics import solve

ROOT = Path(__file__).parents[1]
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_job_comes_first() -> None:
    first = README.split("\n\n")[1]
    for word in ("main", "backup", "tapes", "loops", "rigger", "briefs the crew"):
        assert word in first


def test_ci_runs_the_readmes_test_command() -> None:
    commands = re.findall(r"^    (bash \.ci/setup.*)$", README, re.MULTILINE)
    assert len(commands) == 2
    assert commands[1] in (ROOT / ".ci" / "run").read_text(encoding="utf-8")


def test_every_command_named_exists_and_every_command_is_named() -> None:
    named = set(re.findall(r"`linescope (\w+)", README))
    known = set(next(action for action in _parser()._actions if action.choices).choices)
    assert named - {"COMMAND"} == known


def test_the_scene_shown_solves() -> None:
    scene = re.search(r"```toml\n(.*?)```", README, re.DOTALL)
    assert scene is not None
    solution = solve(from_text(scene[1], file="README.md", folder=ROOT).rig)
    assert solution.bays.excess.max() < 0.0


def test_the_names_shown_are_public() -> None:
    code = re.search(r"```python\n(.*?)```", README, re.DOTALL)
    assert code is not None
    for name in re.findall(r"linescope\.(\w+)\(", code[1]):
        assert name in linescope.__all__


def test_what_the_first_lines_print_is_true() -> None:
    """Each `print` of the Python example against the comment beside it."""
    code = re.search(r"```python\n(.*?)```", README, re.DOTALL)
    assert code is not None
    names: dict[str, object] = {"linescope": linescope, "print": str}
    shown = re.findall(r"^(rig = .*|solution = .*|study = .*|print\(.*\)) *(?:# (.*))?$", code[1], re.MULTILINE)
    prints = [(line, said) for line, said in shown if line.startswith("print")]
    assert len(prints) == 3
    rig = linescope.load(ROOT / re.search(r'load\("([^"]+)"', code[1])[1])  # type: ignore[index]
    names |= {"solution": solve(rig), "study": linescope.Study(rig)}
    for line, said in prints:
        assert said.split(", metres")[0] == eval(line.strip(), names)


def test_pictures_are_there() -> None:
    pictures = re.findall(r"!\[[^\]]*\]\(([^)]+)\)", README)
    assert len(pictures) >= 3  # what the program draws is seen before it is installed
    for picture in pictures:
        assert (ROOT / picture).is_file(), picture

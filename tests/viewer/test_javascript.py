"""The viewer's JavaScript: its unit tests by node's own runner, and its types by the TypeScript checker."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

from linescope.viewer import ROOM, build

SOURCES = sorted((ROOM / "src").rglob("*.js"))


def run(workshop: Path, *command: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [str(build.node()), *command], cwd=workshop, capture_output=True, text=True, check=False, timeout=600
    )


def test_unit_tests_pass(workshop: Path) -> None:
    found = run(workshop, "--test")
    assert found.returncode == 0, found.stdout[-4000:]
    count = re.search(r"pass (\d+)", found.stdout)
    assert count and int(count[1]) >= 14, found.stdout[-500:]


def test_types_are_right(workshop: Path) -> None:
    found = run(workshop, "node_modules/typescript/bin/tsc", "-p", ".")
    assert found.returncode == 0, found.stdout[-4000:]


def test_the_checker_finds_a_wrong_type(workshop: Path, tmp_path: Path) -> None:
    """Else the test above could not fail."""
    wrong = workshop / "src" / "wrong.js"
    wrong.write_text('import { clamp } from "./model/numbers.js";\nclamp("one", 2, 3);\n', encoding="utf-8")
    try:
        found = run(workshop, "node_modules/typescript/bin/tsc", "-p", ".")
    finally:
        wrong.unlink()
    assert found.returncode != 0
    assert "wrong.js" in found.stdout


def test_modules_hold_no_words_and_no_figures_for_people() -> None:
    """What a reader sees comes with the scene: scripts write no sentence and round no number for people."""
    assert len(SOURCES) > 15
    for source in SOURCES:
        text = re.sub(r"/\*.*?\*/|//[^\n]*", "", source.read_text(encoding="utf-8"), flags=re.S)
        for literal in re.findall(r'"([^"\n]*)"', text):
            sentence = re.search(r"[A-Za-z]{2,} [a-z]{2,} [a-z]{2,}", literal)
            assert not sentence or "glTF" in literal, (source.name, literal)
        assert not re.search(r"toFixed\(\d\)\}? ?(m|cm|kN|ft|lbf)\b", text), source.name
        assert "toLocaleString" not in text and "Intl." not in text, source.name

"""Scenes for the tests of the page: shipped beginnings, and one with a hundred tapes."""

from __future__ import annotations

import re
import shutil
from pathlib import Path
from typing import Any

from linescope.scenefile import start_text

SCENES = Path(__file__).parents[2] / "scenes"


def hundred_tapes(style: str = "fixed wrap") -> str:
    """A level line of 101 m with a tape every metre."""
    text = start_text("level").replace('every = "3 m"', 'every = "1 m"').replace('"50 m", "0 m"', '"101 m", "0 m"')
    assert '"101 m"' in text
    return text.replace('style = "fixed wrap"', f'style = "{style}"')


def written(folder: Path, text: str, name: str = "line.toml") -> Path:
    """A scene file in a folder."""
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def shipped(folder: Path, name: str) -> Path:
    """A copy of a shipped scene, with its ground file beside it."""
    text = (SCENES / f"{name}.toml").read_text(encoding="utf-8")
    ground = re.search(r'^file = "([^"]+)"', text, re.MULTILINE)
    if ground is not None:
        shutil.copy(SCENES / ground[1], folder)
        text = text.replace(ground[1], Path(ground[1]).name)
    return written(folder, text, f"{name}.toml")


def errors_of(sections: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Path and words of every error in a form."""
    found = [{"path": s["path"], "text": s["error"]} for s in sections if s["error"]]
    return found + [{"path": f["path"], "text": f["error"]} for s in sections for f in s["fields"] if f["error"]]

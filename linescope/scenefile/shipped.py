"""The invented scenes that come with linescope: in an installed copy inside the package, in its sources beside it."""

from __future__ import annotations

import difflib
from pathlib import Path

from linescope.atomic import folder, whole_file
from linescope.errors import InputError, OutputError

_INSTALLED = Path(__file__).parent / "data" / "shipped"
_SOURCES = Path(__file__).parents[2] / "scenes"


def shipped() -> dict[str, str]:
    """The text of every shipped scene, by name."""
    home = _INSTALLED if _INSTALLED.is_dir() else _SOURCES
    return {file.stem: file.read_text(encoding="utf-8") for file in sorted(home.glob("*.toml"))}


def lesson_file(name: str) -> Path:
    """The scene of a lesson.

    Raises
    ------
    InputError
        When there is no such lesson.
    """
    home = (_INSTALLED if _INSTALLED.is_dir() else _SOURCES) / "lessons"
    names = [file.stem.replace("_", "-") for file in sorted(home.glob("*.toml"))]
    if name not in names:
        raise InputError("there is no such lesson", key="LESSON", found=name, allowed=", ".join(names))
    return home / f"{name.replace('-', '_')}.toml"


def write_shipped(path: str | Path, name: str) -> Path:
    """Write the shipped scenes into a folder; files of theirs that are there already stay as they are.

    Parameters
    ----------
    path : str or Path
        The folder, made if it is missing.
    name : str
        The scene wanted.

    Returns
    -------
    Path
        The file of the scene wanted.

    Raises
    ------
    InputError
        When none is called so.
    OutputError
        When one cannot be written, or a file of that name holds something else.
    """
    texts = shipped()
    if name not in texts:
        near = difflib.get_close_matches(name, texts, n=1, cutoff=0.5)
        wish = f"; did you mean {near[0]!r}?" if near else ""
        raise InputError(f"no scene of that name is shipped{wish}", found=name, allowed=", ".join(texts))
    home = folder(path)
    for each, text in texts.items():
        file = home / f"{each}.toml"
        if file.exists():
            if each == name and file.read_text(encoding="utf-8", errors="replace") != text:
                raise OutputError(
                    "this was changed and is not overwritten", file=file, allowed="another folder, or `linescope brief`"
                )
            continue
        with whole_file(file) as draft:
            draft.write_text(text, encoding="utf-8", newline="\n")
    return home / f"{name}.toml"

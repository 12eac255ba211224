"""Read a scene file: from disk with every mishap named, then key by key."""

from __future__ import annotations

import os
import re
import stat
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from linescope.errors import SceneError
from linescope.rig import Given, InputNote
from linescope.scenefile.build import build
from linescope.scenefile.keys import SCENE
from linescope.scenefile.reading import Reader, join

LARGEST = 5_000_000  # Bytes; a scene is text typed by people.
_LINE = re.compile(r"at line (\d+)")
_KEY = re.compile(r"""^\s*(?:\[+\s*)?([A-Za-z0-9_.\-"' ]{1,200}?)\s*(?:=|\])""")
_TABLE = re.compile(r"^\s*(\[{1,2})([A-Za-z0-9_.\- ]{1,200})\]")
_QUOTED = re.compile(r"'([^']{1,80})'")
MOST_PARTS = 40
_PART = r"""(?:[\w-]++|"[^"\n]{0,99}+"|'[^'\n]{0,99}+')[ \t]*+\.[ \t]*+"""
_DEEP_KEY = re.compile(rf"""(?<![\w"'.-])(?:{_PART}){{{MOST_PARTS}}}""")


def from_text(text: str, *, file: str, folder: str | Path) -> Given:
    """A rig and its inputs from the text of a scene.

    Parameters
    ----------
    text : str
        TOML.
    file : str
        Its name in messages.
    folder : str or Path
        Where its ground file is sought.

    Returns
    -------
    Given
        The rig in SI units, and every input with how it is known.

    Raises
    ------
    SceneError
        Naming file, key, what was found and what is allowed.
    """
    return from_mapping(tables_of(text, file), file=file, folder=folder)


def from_mapping(
    data: Mapping[str, Any], *, file: str, folder: str | Path, tried: Mapping[str, InputNote | None] | None = None
) -> Given:
    """A rig and its inputs from the tables of a scene, as `tomllib` gives them.

    Parameters
    ----------
    data : mapping
    file : str
        Name of the file, for messages.
    folder : str or Path
        Where files that the scene names are looked for.
    tried : mapping of str to InputNote or None, optional
        Keys whose values stand in for the file's, and what the file says of them.

    Returns
    -------
    Given
        The rig in SI units, and every input with how it is known.

    Raises
    ------
    SceneError
        Naming file, key, what was found and what is allowed.
    """
    reader = Reader(file=file, folder=Path(folder), tried=tried or {})
    return build(SCENE.read(data, "", reader, "stated"), reader)


def text_of(path: str | Path) -> str:
    """The text of a scene file.

    Parameters
    ----------
    path : str or Path
        A TOML file of at most 5 MB.

    Raises
    ------
    SceneError
        When it is missing, no ordinary file, too large or not UTF-8.
    """
    if not isinstance(path, str | os.PathLike):
        raise SceneError("a scene is named by its path", found=path, allowed="text or a Path")
    path = Path(path)

    def refuse(problem: str, found: object = None) -> SceneError:
        return SceneError(
            problem, file=path, found=found, allowed="a scene file in TOML, UTF-8, at most 5 MB"
        )

    try:
        mode = path.stat().st_mode
        if stat.S_ISDIR(mode):
            raise refuse("this is a folder, not a scene file")
        if not stat.S_ISREG(mode):
            raise refuse("this is not an ordinary file")
        if path.stat().st_size > LARGEST:
            raise refuse("the file is too large for a scene", found=f"{path.stat().st_size / 1e6:.1f} MB")
        with path.open("rb") as stream:
            data = stream.read(LARGEST + 1)
        if b"\0" in data[:4]:
            raise refuse("the file is not UTF-8 text", found="zero bytes, as in UTF-16 or UTF-32")
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise refuse(
            "the file is not UTF-8 text", found=f"byte {error.start + 1} is {error.object[error.start]:#x}"
        ) from error
    except (FileNotFoundError, NotADirectoryError) as error:
        raise refuse("there is no such file") from error
    except (OSError, ValueError) as error:
        raise refuse(f"the file cannot be read ({getattr(error, 'strerror', None) or error})") from error


def tables_of(text: str, file: str) -> dict[str, Any]:
    """The tables of a scene as TOML has them; their keys are not looked at yet.

    Parameters
    ----------
    text, file : str
        The file's name is for messages.

    Raises
    ------
    SceneError
        When it is not TOML, naming line and key.
    """
    too_deep = "the file is nested too deeply"
    allowed = 'lines such as: tension = "1.8 kN"'
    if _DEEP_KEY.search(text):  # The parser's time grows with the square of a key's parts.
        raise SceneError(too_deep, file=file, allowed=f"keys of at most {MOST_PARTS} parts")
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        raise SceneError(too_deep, file=file, allowed="a scene file in TOML") from error
    except ValueError as error:  # TOMLDecodeError, and numbers too long to convert
        problem = str(error)
        place = _LINE.search(problem)
        number = int(place[1]) if place else 0
        lines = text.split("\n")
        line = lines[number - 1].strip() if 0 < number <= len(lines) else ""
        key = _key_at(lines, number) if line else None
        if any(word in problem for word in ("overwrite", "declare", "mutate", "Duplicate")):
            inner = _QUOTED.search(problem) if "Duplicate" in problem else None
            what = f"'{inner[1]}' is given twice in it" if inner else "this key or table is given twice"
            problem = f"{what} (line {number})"
        else:
            problem = f"this is not TOML ({problem})"
        raise SceneError(problem, file=file, key=key, found=line or None, allowed=allowed) from error


def _key_at(lines: list[str], number: int) -> str | None:
    """The whole key that a line (counted from 1) gives, with the table it stands in."""
    own = _KEY.match(lines[number - 1])
    if own is None:
        return None
    name = own[1].strip()
    if lines[number - 1].lstrip().startswith("["):
        return name
    lists: dict[str, int] = {}
    table = ""
    for line in lines[: number - 1]:
        header = _TABLE.match(line)
        if header:
            table = header[2].strip()
            if header[1] == "[[":
                lists[table] = lists.get(table, 0) + 1
    for listed, count in lists.items():
        if table == listed or table.startswith(f"{listed}."):
            table = f"{listed}[{count}]{table[len(listed):]}"
    return join(table, name)

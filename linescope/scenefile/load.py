"""Read a scene file: from disk with every mishap named, then key by key."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from linescope.errors import SceneError
from linescope.rig import Rig
from linescope.scenefile.build import build
from linescope.scenefile.keys import SCENE
from linescope.scenefile.reading import Reader

LARGEST = 5_000_000  # Bytes; a scene is text typed by people.
_LINE = re.compile(r"at line (\d+)")
_KEY = re.compile(r"""^\s*(?:\[+\s*)?([A-Za-z0-9_.\-"' ]+?)\s*(?:=|\])""")


def load(path: str | Path) -> Rig:
    """Read one scene.

    Parameters
    ----------
    path : str or Path
        A TOML file of at most 5 MB.

    Returns
    -------
    Rig
        Checked, in SI units; `inputs` lists every input and how it is known, `bands` those with low and high.

    Raises
    ------
    SceneError
        Naming file, key, what was found and what is allowed.
    """
    path = Path(path)
    return from_text(_text_of(path), file=str(path), folder=path.parent)


def from_text(text: str, *, file: str, folder: str | Path) -> Rig:
    """A rig from the text of a scene.

    Parameters
    ----------
    text : str
        TOML.
    file : str
        Its name in messages.
    folder : str or Path
        Where its ground file is sought.

    Raises
    ------
    SceneError
        Naming file, key, what was found and what is allowed.
    """
    return from_mapping(_parsed(text, file), file=file, folder=folder)


def from_mapping(data: Mapping[str, Any], *, file: str, folder: str | Path) -> Rig:
    """A rig from the tables of a scene, as `tomllib` gives them.

    Parameters
    ----------
    data : mapping
    file : str
        Name of the file, for messages.
    folder : str or Path
        Where files that the scene names are looked for.

    Raises
    ------
    SceneError
        Naming file, key, what was found and what is allowed.
    """
    reader = Reader(file=file, folder=Path(folder))
    return build(SCENE.read(data, "", reader, "stated"), reader)


def _text_of(path: Path) -> str:
    def refuse(problem: str, found: object = None) -> SceneError:
        return SceneError(
            problem, file=path, found=found, allowed="a scene file in TOML, UTF-8, at most 5 MB"
        )

    try:
        if path.is_dir():
            raise refuse("this is a folder, not a scene file")
        if not path.exists():
            raise refuse("there is no such file")
        if not path.is_file():
            raise refuse("this is not an ordinary file")
        if path.stat().st_size > LARGEST:
            raise refuse("the file is too large for a scene", found=f"{path.stat().st_size / 1e6:.1f} MB")
        return path.read_bytes().decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise refuse(
            "the file is not UTF-8 text", found=f"byte {error.start + 1} is {error.object[error.start]:#x}"
        ) from error
    except (OSError, ValueError) as error:
        raise refuse(f"the file cannot be read ({getattr(error, 'strerror', None) or error})") from error


def _parsed(text: str, file: str) -> dict[str, Any]:
    try:
        return tomllib.loads(text)
    except RecursionError as error:
        raise SceneError(
            "the file is nested too deeply", file=file, allowed="a scene file in TOML"
        ) from error
    except ValueError as error:  # TOMLDecodeError, and numbers too long to convert
        place = _LINE.search(str(error))
        line = (
            text.splitlines()[int(place[1]) - 1]
            if place and int(place[1]) <= len(text.splitlines())
            else None
        )
        key = _KEY.match(line) if line else None
        problem = str(error)
        if "overwrite" in problem or "declare" in problem or "mutate" in problem:
            problem = f"this key or table is given twice ({error})"
        else:
            problem = f"this is not TOML ({error})"
        raise SceneError(
            problem,
            file=file,
            key=key[1].strip() if key else None,
            found=line.strip() if line else None,
            allowed='lines such as: tension = "1.8 kN"',
        ) from error

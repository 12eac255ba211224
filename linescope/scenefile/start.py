"""Commented scenes to begin from, written out of the table of keys and a few shipped starting values."""

from __future__ import annotations

import difflib
import json
import os
import re
import secrets
import textwrap
import tomllib
from collections.abc import Mapping
from contextlib import suppress
from importlib import resources
from pathlib import Path
from typing import Any

from linescope.errors import InputError, OutputError
from linescope.scenefile.fields import Either, Key, Variants
from linescope.scenefile.groups import KeyGroup, Repeat
from linescope.scenefile.keys import SCENE
from linescope.scenefile.keys.lines import WEBBING_TABLE
from linescope.scenefile.lines import webbing_of
from linescope.scenefile.reading import Reader, join
from linescope.webbing import library

_WIDTH = 100
_KEPT = re.compile(r'"[^"]*"|\d (?:%|[a-zA-Z]+/?[a-z]*\b)')  # Not broken across lines.
_HEAD = """\
A scene of linescope.  Begin by changing what is below to your own rig.

Every quantity is text with its unit: "48 m", "62 g/m", "1.8 kN", "2.5 in", "5 %".  Write decimals with a
point.
Any quantity may say how it is known and between what it lies:
    tension = { value = "1.8 kN", known = "measured", low = "1.6 kN", high = "2.0 kN" }
known is "measured", "sheet" (a data sheet) or "guess"; a table may say known = ... for all its values.
A line that begins with "#" is not read.  Keys that are left out take the default shown, and every output
lists it as assumed.
"""


def starts() -> tuple[str, ...]:
    """Names of the scenes one can begin from."""
    folder = resources.files("linescope.scenefile") / "data"
    return tuple(
        sorted(file.name.removesuffix(".toml") for file in folder.iterdir() if file.name.endswith(".toml"))
    )


def start_text(
    name: str, *, main: str = "", backup: str = "", own: Mapping[str, Mapping[str, Any]] | None = None
) -> str:
    """A commented scene, which loads as it stands.

    Parameters
    ----------
    name : str
        One of `starts()`.
    main, backup : str, optional
        Webbings instead of those it begins with: a name among `own`, or a class of the library.
    own : mapping of str to mapping, optional
        The user's own webbings by name, each as a table ``main.webbing`` of a scene; written out in the scene.

    Raises
    ------
    InputError
        When there is no scene or webbing of that name, or a key of an own webbing cannot be used.
    """
    if name not in starts():
        near = difflib.get_close_matches(name, starts(), n=1, cutoff=0.5)
        wish = f"; did you mean {near[0]!r}?" if near else ""
        raise InputError(
            f"there is no scene of that name to begin from{wish}", found=name, allowed=", ".join(starts())
        )
    source = resources.files("linescope.scenefile") / "data" / f"{name}.toml"
    data = tomllib.loads(source.read_text(encoding="utf-8"))
    for line, wanted in (("main", main), ("backup", backup)):
        if wanted:
            data[line]["webbing"] = _webbing(wanted, own or {})
    lines = [f"# {line}".rstrip() for line in _HEAD.splitlines()]
    lines += _table(SCENE, data, "", commented=False, explained=True)
    return "\n".join(lines).replace("\n\n\n", "\n\n").rstrip() + "\n"


def _webbing(name: str, own: Mapping[str, Mapping[str, Any]]) -> Any:
    """What a scene says of a webbing: a table of the user's own, or the name of a class of the library."""
    if name in own:
        table = {"name": name, **own[name]}
        reader = Reader(file="", folder=Path())
        at = f"webbings.{name}"
        webbing_of(WEBBING_TABLE.read(table, at, reader, "stated"), at, reader)
        return table
    if name not in library():
        known = ", ".join(repr(each) for each in (*own, *library()))
        near = difflib.get_close_matches(name, (*own, *library()), n=1, cutoff=0.5)
        wish = f"; did you mean {near[0]!r}?" if near else ""
        raise InputError(f"there is no webbing of that name{wish}", found=name, allowed=known)
    return name


def start(
    name: str, path: str | Path, *, main: str = "", backup: str = "", own: Mapping[str, Mapping[str, Any]] | None = None
) -> Path:
    """Write a commented scene to a new file.

    Parameters
    ----------
    name : str
        One of `starts()`.
    path : str or Path
    main, backup, own : optional
        See `start_text`.

    Raises
    ------
    InputError
        See `start_text`.
    OutputError
        When the file exists already, or cannot be written; nothing half-written is left.

    Examples
    --------
    >>> import linescope
    >>> file = linescope.start("level", folder / "mine.toml")
    >>> linescope.load(file).rig.span > 10.0
    True
    """
    text = start_text(name, main=main, backup=backup, own=own)
    if not isinstance(path, str | os.PathLike) or not str(path):
        raise OutputError("the new scene needs a file name", found=path, allowed=f"such as {name}.toml")
    path = Path(path)
    try:
        if path.is_dir():
            raise OutputError("this is a folder, not a file", file=path, allowed="the name of a file")
        draft = path.with_name(f".{path.stem[:100]}-{secrets.token_hex(4)}{path.suffix}")
        try:
            draft.write_text(text, encoding="utf-8", newline="\n")
            os.link(draft, path)  # Unlike a rename, this fails when the file exists.
        finally:
            with suppress(OSError):
                draft.unlink()
    except FileExistsError as error:
        raise OutputError(
            "the file exists already and is not overwritten", file=path, allowed="a name that is free"
        ) from error
    except (OSError, ValueError) as error:
        raise OutputError(
            f"the file cannot be written ({getattr(error, 'strerror', None) or error})",
            file=path,
            allowed="a folder that exists and may be written to",
        ) from error
    return path


def _table(group: KeyGroup, data: Mapping[str, Any], at: str, *, commented: bool, explained: bool) -> list[str]:
    """Lines of one table: its plain keys first, then the tables inside it."""
    mark = "# " if commented else ""
    lines: list[str] = []
    below: list[str] = []
    for name, kind in group.fields.items():
        path = join(at, name)
        value = data.get(name)
        table = _as_table(kind, value)
        if isinstance(kind, Variants):
            below += ["", *_comment(kind.help)]
            for each, tried in kind.example.items():
                below.append(f"# [{path}.{_toml(each)}]")
                below += [f"# {_toml(key)} = {_toml(text)}" for key, text in tried.items()]
        elif isinstance(kind, Repeat):
            below += _repeat(kind, value, path, commented=commented)
        elif table is not None and not table.inline:
            hidden = commented or (value is None and not kind.required)
            below += ["", *_comment(kind.help), f"{'# ' if hidden else ''}[{path}]"]
            below += _table(table, value or {}, path, commented=hidden, explained=True)
        else:
            if explained:
                lines += ["", *_explained(kind)]
            if value is not None:
                lines.append(f"{mark}{name} = {_toml(value)}")
            elif explained:
                lines.append(f"# {name} = {_toml(_sample(kind))}")
    return lines + below


def _repeat(kind: Repeat, items: list[Mapping[str, Any]] | None, path: str, *, commented: bool) -> list[str]:
    lines = ["", *_comment(kind.help)]
    hidden = commented or not items
    for i, item in enumerate(items or [{}]):
        lines += [] if i == 0 else [""]
        lines.append(f"{'# ' if hidden else ''}[[{path}]]")
        lines += _table(kind.item, item, path, commented=hidden, explained=i == 0)
    return lines


def _as_table(kind: Key, value: object) -> KeyGroup | None:
    """The table a key holds, if it holds one here."""
    if isinstance(kind, KeyGroup):
        return kind
    if isinstance(kind, Either) and isinstance(kind.second, KeyGroup) and isinstance(value, Mapping):
        return kind.second
    return None


def _sample(kind: Key) -> Any:
    """A value to show for a key that is not used."""
    if kind.default is not None:
        return kind.default
    if kind.example is None and isinstance(kind, KeyGroup):
        return {name: _sample(part) for name, part in kind.fields.items() if not isinstance(part, KeyGroup)}
    return kind.example


def _explained(kind: Key) -> list[str]:
    brief = kind.brief()
    text = f"{kind.help}  {brief[0].upper()}{brief[1:]}."
    if kind.default is not None and kind.default != "":
        text += f"  Default: {_toml(kind.default)}."
    return _comment(text + ("  Needed." if kind.required else ""))


def _comment(text: str) -> list[str]:
    joined = _KEPT.sub(lambda found: found[0].replace(" ", "\0"), text)
    lines = textwrap.wrap(joined, _WIDTH, break_long_words=False, break_on_hyphens=False)
    return [f"# {line}".replace("\0", " ") for line in lines]


def _toml(value: Any) -> str:
    """One value as TOML, on one line."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, list):
        return "[" + ", ".join(_toml(each) for each in value) + "]"
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{name} = {_toml(each)}" for name, each in value.items()) + " }"
    return str(value)

"""The scene as text that is being edited: comments stay, every edit can be undone, files are written whole."""

from __future__ import annotations

import os
import tomllib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import Item

from linescope import atomic
from linescope.errors import InputError, OutputError, SceneError
from linescope.scene.paths import KeyStep, at
from linescope.scenefile.load import tables_of, text_of

MOST_UNDONE = 200


class Document:
    """One scene file being edited.

    Parameters
    ----------
    text : str
        TOML.
    path : Path
        The file it came from and is saved to.

    Attributes
    ----------
    data : dict
        The text as plain tables.
    saved_text : str
        What the file held when it was read or written last.

    Raises
    ------
    SceneError
        When the text is not TOML.
    """

    def __init__(self, text: str, path: Path) -> None:
        self.path = path
        self._toml, self.data = _parsed(text, path)
        self.text = text
        self.saved_text = text
        self._past: list[tuple[str, str]] = []
        self._future: list[tuple[str, str]] = []
        self._gesture = ""
        self._saved: tuple[str, dict[str, Any]] | None = None

    @classmethod
    def read(cls, path: str | Path) -> Document:
        """Read a scene file that need not be right, only TOML."""
        path = Path(path).absolute()
        return cls(text_of(path), path)

    def copy(self) -> Document:
        """The same document with the same way back, edited apart from now on."""
        other = Document(self.text, self.path)
        other.saved_text = self.saved_text
        other._past, other._future = list(self._past), list(self._future)
        return other

    @property
    def saved_data(self) -> dict[str, Any]:
        """What the file held when it was read or written last, as plain tables."""
        if self._saved is None or self._saved[0] != self.saved_text:
            self._saved = (self.saved_text, tomllib.loads(self.saved_text))
        return self._saved[1]

    @property
    def is_dirty(self) -> bool:
        """Whether there is something to save."""
        return self.text != self.saved_text

    @property
    def undo_label(self) -> str:
        """What undo takes back; "" for nothing."""
        return self._past[-1][1] if self._past else ""

    @property
    def redo_label(self) -> str:
        """What redo brings back; "" for nothing."""
        return self._future[-1][1] if self._future else ""

    @contextmanager
    def edit(self, label: str, gesture: str = "") -> Iterator[tomlkit.TOMLDocument]:
        """Change the document inside a `with`; one undo takes back all edits of one gesture.

        Raises
        ------
        InputError
            When the edit cannot be written as TOML; the document is as before.
        """
        before = self.text
        try:
            yield self._toml
            after = tomlkit.dumps(self._toml)
            data = tomllib.loads(after)
            if data != self._toml.unwrap():
                raise InputError("this edit cannot be written into the file", found=label)
        except (TOMLKitError, InputError, TypeError, ValueError, KeyError, IndexError) as error:
            self._toml = tomlkit.parse(before)
            if isinstance(error, InputError):
                raise
            raise InputError(f"this edit cannot be written into the file ({error})", found=label) from error
        if data == self.saved_data and after != self.saved_text:  # Back to what the file holds, letter by letter.
            self._toml, after = tomlkit.parse(self.saved_text), self.saved_text
        if after == before:
            return
        self.text, self.data = after, data
        if not (gesture and gesture == self._gesture and self._past):
            self._past.append((before, label))
            del self._past[:-MOST_UNDONE]
        self._gesture = gesture
        self._future.clear()

    def undo(self) -> str:
        """Take back the last edit; returns its label, "" when there is none."""
        return self._step(self._past, self._future)

    def redo(self) -> str:
        """Bring back what was undone last; returns its label, "" when there is none."""
        return self._step(self._future, self._past)

    def _step(self, source: list[tuple[str, str]], target: list[tuple[str, str]]) -> str:
        if not source:
            return ""
        text, label = source.pop()
        target.append((self.text, label))
        self.text, self._gesture = text, ""
        self._toml, self.data = _parsed(text, self.path)
        return label

    def take(self, text: str, label: str) -> None:
        """Replace the whole text, as one edit that can be undone.

        Raises
        ------
        SceneError
            When it is not TOML; the document is as before.
        """
        fresh, data = _parsed(text, self.path)
        if text != self.text:
            self._past.append((self.text, label))
            self._future.clear()
        self._toml, self.data, self.text, self._gesture = fresh, data, text, ""

    def reload(self) -> bool:
        """Take the file as it now is on disk; False when it holds what is known already."""
        text = text_of(self.path)
        if text == self.saved_text:
            return False
        self.take(text, "file changed on disk")
        self.saved_text = text
        return True

    def save(self) -> Path:
        """Write the text to its file.

        Raises
        ------
        OutputError
            When the file was changed by somebody else, or cannot be written.
        """
        on_disk = text_of(self.path) if self.path.exists() else self.saved_text
        if on_disk not in (self.saved_text, self.text):
            raise OutputError(
                "the file was changed on disk meanwhile and is not overwritten",
                file=self.path,
                allowed="take the file as it is on disk, or save under another name",
            )
        atomic.write_text(os.path.realpath(self.path), self.text)
        self.saved_text = self.text
        return self.path

    def save_as(self, path: str | Path) -> Path:
        """Write the text to a new file, which is edited from then on.

        Raises
        ------
        OutputError
            When the file exists already, or cannot be written.
        """
        path = Path(path).expanduser().absolute()
        if path.suffix.lower() != ".toml":
            raise OutputError("a scene file ends in .toml", file=path, found=path.suffix, allowed=".toml")
        if path.exists():
            raise OutputError(
                "the file exists already and is not overwritten", file=path, allowed="a name that is free"
            )
        atomic.write_text(path, self.text)
        self.path, self.saved_text = path, self.text
        return path

    def raw(self, steps: tuple[KeyStep, ...]) -> Any:
        """The plain value at a path, None where there is none."""
        return at(self.data, steps)


def put(toml: tomlkit.TOMLDocument, steps: tuple[KeyStep, ...], value: Any, inline: bool = False) -> None:
    """Set a value, making the tables on the way.

    Parameters
    ----------
    toml : TOMLDocument
    steps : tuple
        From `paths.steps_of`.
    value : object
        Plain value.
    inline : bool
        Write new tables on the way on one line.
    """
    place: Any = toml
    for k, step in enumerate(steps[:-1]):
        if isinstance(step, str) and step not in place:
            place[step] = tomlkit.inline_table() if inline and k else tomlkit.table()
        place = place[step]
    last = steps[-1]
    place[last] = as_item(value)


def drop(toml: tomlkit.TOMLDocument, steps: tuple[KeyStep, ...]) -> None:
    """Remove what stands at a path, if anything does."""
    place = at(toml, steps[:-1])
    if place is None:
        return
    if isinstance(steps[-1], int) or steps[-1] in place:
        del place[steps[-1]]


def as_item(value: Any) -> Any:
    """A plain value as TOML, small tables on one line; what is TOML already stays so."""
    if isinstance(value, Item):
        return value
    if isinstance(value, Mapping):
        table = tomlkit.inline_table()
        for name, part in value.items():
            table[name] = as_item(part)
        return table
    if isinstance(value, list | tuple):
        array = tomlkit.array()
        for part in value:
            array.append(as_item(part))
        return array
    return tomlkit.item(value)


def _parsed(text: str, path: Path) -> tuple[tomlkit.TOMLDocument, dict[str, Any]]:
    data = tables_of(text, str(path))
    try:
        return tomlkit.parse(text), data
    except (TOMLKitError, ValueError, RecursionError) as error:
        raise SceneError(
            f"this is not TOML ({error})", file=path, allowed='lines such as: tension = "1.8 kN"'
        ) from error

"""The scene being edited: comments stay, what is tried lies beside, every edit can be undone, files are whole."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from types import MappingProxyType
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import Array, Item, Trivia, Whitespace

from linescope import atomic
from linescope.errors import InputError, OutputError, SceneError
from linescope.notes import Kind, Note, Severity, Value, Verbatim
from linescope.scene.paths import KeyStep, steps_of, value_in
from linescope.scene.scene import Scene, write
from linescope.scene.tried import lost_from, with_tried
from linescope.scene.typed import shown
from linescope.scenefile.load import tables_of, text_of

MOST_UNDONE = 200
_State = tuple[str, Mapping[str, str], str]
"""Text, what is tried, and the name under which that is kept."""


class EditNote(Kind):
    """What an edit did, for the names of undo steps."""

    VARIANT = "page-edit-variant"
    OWN = "page-edit-own"
    ON_DISK = "page-edit-on-disk"
    ADD = "page-edit-add"
    TAKE_OUT = "page-edit-take-out"
    OF = "page-edit-of"
    BY = "page-edit-by"
    MESH = "page-edit-mesh"


def edit_note(kind: EditNote, **names: str) -> Note:
    """An edit by what it did, and to what."""
    return Note(kind=kind, severity=Severity.BASIS, values={key: Verbatim(name) for key, name in names.items()})


class Document:
    """One scene file being edited.

    Parameters
    ----------
    text : str
        TOML.
    path : Path
        The file it came from and is saved to.
    tried : mapping of str to str, optional
        Values tried in place of the text's own, by dotted path.
    variant : str
        Name under which they are kept in the file; "" for none.

    Attributes
    ----------
    data : dict
        The text as plain tables, without what is tried.
    saved_text : str
        What the file held when it was read or written last.

    Raises
    ------
    SceneError
        When the text is not TOML.
    """

    def __init__(
        self, text: str, path: Path, tried: Mapping[str, str] = MappingProxyType({}), variant: str = ""
    ) -> None:
        self.path = path
        self._toml, self.data = _parsed(text, path)
        self.text = text
        self.saved_text = text
        self.tried: Mapping[str, str] = dict(tried)
        self.variant = variant
        self._past: list[tuple[_State, Value]] = []
        self._future: list[tuple[_State, Value]] = []
        self._gesture = ""
        self._saved: tuple[str, dict[str, Any]] | None = None
        self._scene: Scene | None = None

    @classmethod
    def read(cls, path: str | Path) -> Document:
        """Read a scene file that need not be right, only TOML."""
        path = Path(path).absolute()
        return cls(text_of(path), path)

    @classmethod
    def of(cls, scene: Scene) -> Document:
        """A scene that need not be right, with what is tried in it."""
        return cls(scene.text, scene.path.absolute(), scene.tried, scene.variant)

    @property
    def scene(self) -> Scene:
        """The scene as it is now; its rig is read when it is asked for."""
        known = self._scene
        if known is None or (known.text, known.path, known.tried, known.variant) != (
            self.text, self.path, self.tried, self.variant
        ):
            self._scene = known = Scene(text=self.text, path=self.path, tried=self.tried, variant=self.variant)
        return known

    def copy(self) -> Document:
        """The same document with the same way back, edited apart from now on."""
        other = Document(self.text, self.path, self.tried, self.variant)
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
        """Whether there is something to save: an edit, or values tried that are kept nowhere."""
        return self.text != self.saved_text or bool(self.tried and not self.variant)

    @property
    def undo_label(self) -> Value | None:
        """What undo takes back; None for nothing."""
        return self._past[-1][1] if self._past else None

    @property
    def redo_label(self) -> Value | None:
        """What redo brings back; None for nothing."""
        return self._future[-1][1] if self._future else None

    @contextmanager
    def edit(self, label: Value, gesture: str = "", forget: Sequence[str] = ()) -> Iterator[tomlkit.TOMLDocument]:
        """Change the text inside a `with`; one undo takes back all edits of one gesture.

        Parameters
        ----------
        label : Value
            Of the undo step, for people.
        gesture : str
            Name of a drag, "" for none.
        forget : sequence of str
            Paths at which nothing is tried any more; those that mean nothing any more go by themselves.

        Raises
        ------
        InputError
            When the edit cannot be written as TOML; the document is as before.
        """
        before, state = self.text, self._state
        try:
            yield self._toml
            after = tomlkit.dumps(self._toml)
            data = tomllib.loads(after)
            if data != self._toml.unwrap():
                raise InputError("this edit cannot be written into the file")
        except (TOMLKitError, InputError, TypeError, ValueError, KeyError, IndexError) as error:
            self._toml = tomlkit.parse(before)
            if isinstance(error, InputError):
                raise
            raise InputError(f"this edit cannot be written into the file ({error})") from error
        if data == self.saved_data and after != self.saved_text:  # Back to what the file holds, letter by letter.
            self._toml, after = tomlkit.parse(self.saved_text), self.saved_text
        self.text, self.data = after, data
        kept = {key: value for key, value in self.tried.items() if key not in forget and _means(data, key, value)}
        if kept != self.tried:
            self.tried, self.variant = kept, ""
        self._done(state, label, gesture)

    def try_values(self, values: Mapping[str, str], label: Value, gesture: str = "") -> None:
        """Try values in place of the text's own, which stays as it is; one that equals its own is tried no more.

        Parameters
        ----------
        values : mapping of str to str
            Dotted path to text.
        label, gesture
            See `edit`.

        Raises
        ------
        InputError
            When a path means no value.
        """
        state, scene = self._state, self.scene.what_if(values)
        self.tried, self.variant = scene.tried, ""
        self._done(state, label, gesture)

    def use_variant(self, name: str) -> None:
        """Try what is kept in the file under a name; "" goes back to the file's own values.

        Raises
        ------
        InputError
            When there is no such variant, or a value in it is not right.
        """
        state = self._state
        scene = self.scene.with_variant(name) if name else self.scene.untried
        self.tried, self.variant = scene.tried, scene.variant
        self._done(state, edit_note(EditNote.VARIANT, name=name) if name else edit_note(EditNote.OWN), "")

    def adopt(self, values: Mapping[str, str], stem: str) -> str:
        """Try values alone in place of the text's own, and keep them in the text as a variant; one edit.

        Parameters
        ----------
        values : mapping of str to str
            Dotted path to text.
        stem : str
            Of the variant's name, which is a free one.

        Returns
        -------
        str
            The name.

        Raises
        ------
        InputError
            When a path means no value, or nothing differs from the text's own.
        """
        state, scene = self._state, self.scene.untried.what_if(values)
        same = next((name for name, kept in scene.variants.items() if kept == dict(scene.tried)), None)
        kept = scene.keep(same or scene.free_name(stem))
        self._toml, self.data = _parsed(kept.text, self.path)
        self.text, self.tried, self.variant = kept.text, kept.tried, kept.variant
        self._done(state, edit_note(EditNote.VARIANT, name=kept.variant), "")
        return kept.variant

    @property
    def _state(self) -> _State:
        return self.text, self.tried, self.variant

    def _done(self, before: _State, label: Value, gesture: str) -> None:
        """Remember the way back from an edit."""
        if self._state == before:
            return
        if not (gesture and gesture == self._gesture and self._past):
            self._past.append((before, label))
            del self._past[:-MOST_UNDONE]
        self._gesture = gesture
        self._future.clear()

    def undo(self) -> Value | None:
        """Take back the last edit; returns its label, None when there is none."""
        return self._step(self._past, self._future)

    def redo(self) -> Value | None:
        """Bring back what was undone last; returns its label, None when there is none."""
        return self._step(self._future, self._past)

    def _step(self, source: list[tuple[_State, Value]], target: list[tuple[_State, Value]]) -> Value | None:
        if not source:
            return None
        state, label = source.pop()
        target.append((self._state, label))
        (self.text, self.tried, self.variant), self._gesture = state, ""
        self._toml, self.data = _parsed(self.text, self.path)
        return label

    def take(self, text: str, label: Value) -> None:
        """Replace the whole text, as one edit that can be undone.

        Raises
        ------
        SceneError
            When it is not TOML; the document is as before.
        """
        fresh, data = _parsed(text, self.path)
        state = self._state
        self._toml, self.data, self.text = fresh, data, text
        kept = {key: value for key, value in self.tried.items() if _means(data, key, value)}
        if kept != self.tried or self.variant not in self.scene.variants:
            self.tried, self.variant = kept, ""
        self._done(state, label, "")

    def reload(self) -> bool:
        """Take the file as it now is on disk; False when it holds what is known already."""
        text = text_of(self.path)
        if text == self.saved_text:
            return False
        self.take(text, edit_note(EditNote.ON_DISK))
        self.saved_text = text
        return True

    def save(self, name: str = "") -> Path:
        """Write the text to its file, and what is tried under a name behind it.

        What the file holds as measured, or from a data sheet, is still in it afterwards.

        Parameters
        ----------
        name : str
            Of the variant; "" takes a free one.

        Raises
        ------
        InputError
            When a value that is measured would be lost, or the name cannot be had.
        OutputError
            When the file was changed by somebody else, or cannot be written.
        """
        lost = lost_from(self.saved_data, self.data)
        if lost:
            raise InputError(
                "not saved: this value is measured, or from a data sheet, and would be lost from the file", key=lost[0],
                found=shown(value_in(self.saved_data, steps_of(lost[0]))),
                allowed="put it back, or save as another scene",
            )
        scene = self._kept(name)
        write(self.path, scene.text, self.saved_text)
        self._take_saved(scene)
        return self.path

    def _kept(self, name: str) -> Scene:
        """The scene with what is tried kept in its text."""
        scene = self.scene
        return scene.keep(name or scene.free_name()) if scene.tried and (name or not scene.variant) else scene

    def _take_saved(self, scene: Scene) -> None:
        state = self._state
        self.text, self.variant = scene.text, scene.variant
        self._toml, self.data = _parsed(self.text, self.path)
        self.saved_text = self.text
        self._done(state, "save", "")

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
        scene = self._kept("")
        atomic.write_text(path, scene.text)
        self.path = path
        self._take_saved(scene)
        return path

    def raw(self, steps: tuple[KeyStep, ...]) -> Any:
        """The plain value at a path, None where there is none."""
        return value_in(self.data, steps)


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
    place = value_in(toml, steps[:-1])
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
        parts: list[Item] = [part for each in value for part in (Whitespace(", "), as_item(each))]
        return Array(parts[1:], Trivia())  # Appended one by one, each would number all of them anew.
    return tomlkit.item(value)


def _means(data: Mapping[str, Any], key: str, value: str) -> bool:
    """Whether a tried value still has a place in the tables."""
    try:
        with_tried(data, {key: value})
    except InputError:
        return False
    return True


def _parsed(text: str, path: Path) -> tuple[tomlkit.TOMLDocument, dict[str, Any]]:
    data = tables_of(text, str(path))
    try:
        return tomlkit.parse(text), data
    except (TOMLKitError, ValueError, RecursionError) as error:
        raise SceneError(
            f"this is not TOML ({error})", file=path, allowed='lines such as: tension = "1.8 kN"'
        ) from error

"""What is carried along while a scene is read: its name, and the notes and bands collected on the way."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import Any

from linescope.errors import InputError, SceneError
from linescope.notes import Note, Quantity
from linescope.rig import Band, InputNote, Inputs, InputValue, Known

USER_KNOWN: tuple[Known, ...] = ("measured", "sheet", "guess")
_WEAKEST_FIRST: tuple[Known, ...] = ("assumed", "guess", "stated", "sheet", "measured")


@dataclass(kw_only=True)
class Reader:
    """One reading of one scene.

    Attributes
    ----------
    file : str
        Name for messages.
    folder : Path
        Relative paths in the scene start here.
    notes : list of InputNote
        Every input met.
    bands : dict
        Low, value and high by dotted key.  [SI]
    tried : mapping of str to InputNote or None
        What the file says of the inputs that are tried, by dotted key; None where it says nothing.
    """

    file: str
    folder: Path
    notes: list[InputNote] = field(default_factory=list)
    bands: dict[str, Band] = field(default_factory=dict)
    tried: Mapping[str, InputNote | None] = field(default_factory=dict)

    def refusal(
        self, problem: str, *, key: str | None, found: object = None, allowed: str | None = None
    ) -> SceneError:
        """An error that names this scene's file."""
        return SceneError(problem, file=self.file, key=key, found=found, allowed=allowed)

    def list_of(self, values: object, problem: str, *, key: str, count: tuple[int, int], allowed: str) -> list[Any]:
        """The same values, once they are a list that is neither too short nor too long.

        Parameters
        ----------
        values : object
        problem : str
            What is said of something that is no list.
        key : str
        count : (int, int)
            The least and the most items.
        allowed : str

        Raises
        ------
        SceneError
        """
        if not isinstance(values, list):
            raise self.refusal(problem, key=key, found=values, allowed=allowed)
        if not count[0] <= len(values) <= count[1]:
            size = "short" if len(values) < count[0] else "long"
            raise self.refusal(f"{problem}; this one is too {size}", key=key, found=len(values), allowed=allowed)
        return values

    def blame(self, error: InputError, *, key: str | None = None) -> SceneError:
        """Another room's error, with this scene's file and a key put in front."""
        return SceneError(
            error.problem, file=self.file, key=key or error.key, found=error.found, allowed=error.allowed
        )

    def note(
        self, key: str, value: InputValue, known: Known, *, unit: str = "", low: Quantity | None = None,
        high: Quantity | None = None, basis: Note | None = None,
    ) -> None:
        """List an input; see `InputNote`."""
        file = self.tried.get(key)
        how: Known = "tried" if key in self.tried else known
        self.notes.append(
            InputNote(key=key, value=value, known=how, unit=unit, low=low, high=high, basis=basis, file=file)
        )

    def inputs(self, tables: tuple[str, ...]) -> Inputs:
        """What was collected, table by table."""
        place = {name: i for i, name in enumerate(tables)}
        notes = sorted(self.notes, key=lambda note: place[note.key.partition(".")[0].partition("[")[0]])
        return Inputs(notes=tuple(notes), bands=MappingProxyType(dict(self.bands)))

    def band(self, key: str, value: float) -> Band:
        """The band noted for a key, or one without width."""
        return self.bands.get(key, Band(low=value, value=value, high=value))


def join(at: str, name: str) -> str:
    """Dotted path of a key inside a table."""
    return f"{at}.{name}" if at else name


def known_of(raw: Mapping[str, object], at: str, reader: Reader, otherwise: Known) -> Known:
    """What a table says about how its values are known."""
    if "known" not in raw:
        return otherwise
    found = raw["known"]
    for known in USER_KNOWN:
        if found == known:
            return known
    raise reader.refusal(
        "this does not say how the value is known",
        key=join(at, "known"),
        found=found,
        allowed=", ".join(f'"{known}"' for known in USER_KNOWN),
    )


def weakest(knowns: list[Known]) -> Known:
    """The least trustworthy of several."""
    return min(knowns, key=_WEAKEST_FIRST.index)

"""Inputs of a rig, beside it: as given or as assumed, how each is known, and what has a low and a high.

A `Rig` holds the values it is computed with and nothing else.  Where they come from is told by what it is derived
from, a `RigSource` such as a scene: change a rig in Python, and nothing is known of its inputs any more.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Protocol, runtime_checkable

from linescope.notes import Kind, Note, Quantity, Severity, Value
from linescope.rig.model import Rig
from linescope.rig.parts import Band, Known
from linescope.rig.readings import Reading


class InputPhrase(Kind):
    """What stands in place of a value, or behind it."""

    AS = "inputs-as"
    STANDING_TENSION = "inputs-standing-tension"
    POINTS = "inputs-points"
    AT = "inputs-at"
    LIBRARY = "inputs-library"
    SEA_LEVEL = "inputs-sea-level"
    GUESS = "inputs-guess"
    UNWORKED = "inputs-unworked"


InputValue = Value | Note | tuple[Value | Note, ...]


def phrase(kind: InputPhrase, **values: Value) -> Note:
    """Words in place of a value, or behind it.

    Parameters
    ----------
    kind : InputPhrase
    values : Value
        What its message names.
    """
    return Note(kind=kind, severity=Severity.BASIS, values=values)


@dataclass(frozen=True, kw_only=True)
class InputNote:
    """One input as the user gave it, or as it was assumed.

    Attributes
    ----------
    key : str
        Dotted path in the scene file.
    value : Quantity, Term, Verbatim, Note, int, or a tuple of them
        A quantity has as many figures as were typed.  [SI]
    known : {"measured", "sheet", "guess", "assumed", "stated", "tried"}
        "tried": a what-if in place of the file's value; "stated" when the user gave it without saying how it is known.
    unit : str
        As typed; "" for a pure number, and where nobody typed one.
    low, high : Quantity or None
        Between what it lies, where that was given or follows from a guess.  [SI]
    basis : Note or None
        What it rests on, when nobody gave it; of a guess, how much was taken to either side.
    file : InputNote or None
        Of a tried value: what stands in the file; None where nothing does.
    """

    key: str
    value: InputValue
    known: Known
    unit: str = ""
    low: Quantity | None = None
    high: Quantity | None = None
    basis: Note | None = None
    file: InputNote | None = None


@dataclass(frozen=True, kw_only=True)
class Inputs:
    """What is known of the inputs of one rig; empty for a rig made in Python.

    Attributes
    ----------
    notes : tuple of InputNote
        Every input, as given or as assumed, in the order of the scene file's tables.
    bands : mapping of str to Band
        Inputs that have a low and a high, by their key.  [SI]
    variant : str
        Name of the tried values that were kept in the file; "" for none.
    readings : tuple of Reading
        What was measured once the line stood.  No inputs: nothing is computed with them but what they tell.
    """

    notes: tuple[InputNote, ...] = ()
    bands: Mapping[str, Band] = field(default_factory=lambda: MappingProxyType({}))
    variant: str = ""
    readings: tuple[Reading, ...] = ()

    @property
    def assumed(self) -> tuple[InputNote, ...]:
        """The inputs nobody gave."""
        return tuple(note for note in self.notes if note.known == "assumed")

    @property
    def guessed(self) -> tuple[InputNote, ...]:
        """The inputs marked as guesses."""
        return tuple(note for note in self.notes if note.known == "guess")

    @property
    def tried(self) -> tuple[InputNote, ...]:
        """The inputs that are tried in place of the file's."""
        return tuple(note for note in self.notes if note.known == "tried")

    def known(self, *keys: str) -> tuple[Known, ...]:
        """How the inputs with these keys are known, as far as there are any."""
        return tuple(note.known for note in self.notes if note.key in keys)

    def get(self, key: str) -> InputNote | None:
        """The input with this key; None where there is none."""
        return next((note for note in self.notes if note.key == key), None)


@runtime_checkable
class RigSource(Protocol):
    """What a rig is derived from, and what tells of its inputs: a scene."""

    @property
    def rig(self) -> Rig:
        """The rig."""

    @property
    def inputs(self) -> Inputs:
        """Its inputs."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Given:
    """A rig and its inputs, as they were read together.

    Attributes
    ----------
    rig : Rig
    inputs : Inputs
    """

    rig: Rig
    inputs: Inputs = field(default_factory=Inputs)

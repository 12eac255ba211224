"""Inputs for people: in the reader's units, with as many figures as were typed, and with how each is known."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from linescope.notes import Note, Quantity, Term
from linescope.rig import InputNote, InputValue, Known
from linescope.units import system_of
from linescope.words import Words

FEWEST = 3
"""Figures of an input that was typed in units of the other system: it is data, not a result."""
DOUBT: tuple[Known, ...] = ("tried", "assumed", "guess", "stated", "sheet", "measured")
"""The least known first."""
_LONG, _HEAD = 12, 6
_ZEROS = re.compile(r"(?<=\d)([.,]\d*?)0+(?=\D*$)")


def input_text(note: InputNote, words: Words) -> str:
    """The value of an input with its low and high and what it rests on."""
    more = []
    if note.low is not None or note.high is not None:
        ends = [note.value if end is None else end for end in (note.low, note.high)]
        low, high = (input_value(end, note.unit, words) for end in ends)
        if note.basis is None:
            more.append(words.say("inputs-range", low=low, high=high))
    if note.basis is not None:
        more.append(words.note(note.basis))
    if note.file is not None:
        how = Term(f"frame-known-{note.file.known}")
        more.append(words.say("inputs-file", value=input_text(note.file, words), known=how))
    elif note.known == "tried":
        more.append(words.say("inputs-not-in-file"))
    text = input_value(note.value, note.unit, words)
    return words.say("inputs-with", value=text, more="; ".join(more)) if more else text


def input_value(value: InputValue, unit: str, words: Words) -> str:
    """The bare value of an input.

    Parameters
    ----------
    value : InputValue
    unit : str
        As typed: kept where the reader's system has it.
    words : Words
    """
    if isinstance(value, Quantity):
        return _quantity(value, unit, words)
    if isinstance(value, Note):
        return words.say(value.kind.value, **{name: _part(each, words) for name, each in value.values.items()})
    if isinstance(value, tuple):
        parts = [input_value(each, unit, words) for each in value]
        if len(parts) > _LONG:
            first = ", ".join(parts[:_HEAD])
            return words.say("inputs-many", first=first, last=parts[-1], count=len(parts))
        return ", ".join(parts)
    return words.value(value)


def _part(value: Any, words: Words) -> Any:
    return _quantity(value, "", words) if isinstance(value, Quantity) else value


def most_doubtful(hows: Iterable[Known]) -> Known:
    """The most doubtful of several ways to be known."""
    return min(hows, key=DOUBT.index, default="stated")


def _quantity(value: Quantity, unit: str, words: Words) -> str:
    if unit and system_of(unit, value.dimension) in (words.system, None):
        return words.quantity(value, unit)
    shown = replace(value, digits=max(value.digits, FEWEST))
    return _ZEROS.sub(lambda found: found[1].rstrip(".,"), words.quantity(shown))

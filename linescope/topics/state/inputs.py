"""Inputs for programs: value in SI, low, high, how each is known, and the same for people."""

from __future__ import annotations

from typing import Any

from linescope.figures import Figure
from linescope.notes import Note, Quantity, Term
from linescope.rig import InputNote
from linescope.units import DIMENSIONS
from linescope.words import Words, plain
from linescope.words.inputs import input_text


def _given(value: Any) -> Any:
    """The value of an input: a number, text, or a list of them."""
    if isinstance(value, tuple):
        return [_given(each) for each in value]
    if isinstance(value, Note):
        return {"kind": value.kind.value, **{key: plain(each) for key, each in value.values.items()}}
    if isinstance(value, Term):
        return {"yes": True, "no": False}.get(value.id, value.id)
    return plain(value)


def _unit(note: InputNote) -> str:
    value = note.value[0] if isinstance(note.value, tuple) else note.value
    return DIMENSIONS[value.dimension].si if isinstance(value, Quantity) else ""


INPUT: tuple[Figure, ...] = (
    Figure(key="key", meaning="Of the input in the scene file."),
    Figure(
        key="value", meaning="Its value in SI: a number, text, or a list.",
        get=lambda note, study: _given(note.value),
    ),
    Figure(
        key="unit", meaning="SI unit of that number; empty for a pure one and for text.",
        get=lambda note, study: _unit(note),
    ),
    Figure(key="low", meaning="The least it may be; null: not given.", get=lambda note, study: _given(note.low)),
    Figure(key="high", meaning="The most it may be; null: not given.", get=lambda note, study: _given(note.high)),
    Figure(
        key="known", meaning="How it is known; assumed: nobody gave it; tried: in place of what the file says.",
    ),
    Figure(
        key="file", meaning="Of a tried one: value and known of the file's; null: none.",
        get=lambda note, study: None
        if note.file is None else {"value": _given(note.file.value), "known": note.file.known},
    ),
    Figure(
        key="text", meaning="The same for people.",
        get=lambda note, study: input_text(note, Words("metric", "en")),
    ),
)

"""A scene as it is solved while values are tried.

A value tried outside its low and high is solved without them; a file that holds it so would not load, and is not
written.
"""

from __future__ import annotations

import tomllib
from typing import Any

import tomlkit

from linescope.app import form
from linescope.errors import InputError
from linescope.scene.document import Document
from linescope.scene.paths import at, steps_of
from linescope.scene.tried import field_at
from linescope.scene.typed import is_outside, limits_of


def outside(document: Document) -> list[str]:
    """Paths of values that are tried outside their low and high."""
    found = []
    for path, raw in form.leaves(document.data):
        if not limits_of(raw):
            continue
        try:
            kind, steps = field_at(path), steps_of(path)
        except InputError:
            continue
        if is_outside(kind, raw, at(document.saved_data, steps)):
            found.append(path)
    return found


def solvable(document: Document) -> tuple[str, dict[str, Any]]:
    """Text and plain tables of a document as they are solved: without low and high that a tried value left."""
    paths = outside(document)
    if not paths:
        return document.text, document.data
    toml = tomlkit.parse(document.text)
    for path in paths:
        table: Any = at(toml, steps_of(path))
        for name in ("low", "high"):
            if name in table:
                del table[name]
    text = tomlkit.dumps(toml)
    return text, tomllib.loads(text)

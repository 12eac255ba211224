"""JSON Schema of scene files, for editors."""

from __future__ import annotations

from linescope.scenefile.fields import Schema
from linescope.scenefile.keys import SCENE
from linescope.scenefile.reading import USER_KNOWN
from linescope.units import DIMENSIONS, NUMBER, UNIT, Dimension


def schema() -> Schema:
    """The schema (draft 2020-12) of a scene file.

    Returns
    -------
    dict
        It describes forms: keys, choices, quantities as text with a unit.  Dimensions, ranges and what keys
        mean together are checked on loading only.

    Examples
    --------
    >>> import linescope
    >>> "anchors" in linescope.schema()["properties"]
    True
    """
    out: Schema = {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "linescope scene",
        "description": SCENE.help,
    }
    out |= SCENE.form()
    out["$defs"] = _definitions()
    return out


def _pattern(kind: Dimension) -> str:
    number = NUMBER.replace("[-+]?", "[-+\u2212]?", 1)
    if kind.closed:
        names = sorted((unit for unit in kind.units if unit), key=len, reverse=True)
        unit = "(?:" + "|".join(names) + ")" + ("?" if kind.bare else "")
    else:
        unit = UNIT
    return rf"^\s*{number}\s*{unit}\s*$"


def _definitions() -> Schema:
    """For every dimension: the plain value, and the value that may say how it is known."""
    out: Schema = {}
    for kind in DIMENSIONS.values():
        name = kind.name.replace(" ", "_")
        text: Schema = {
            "type": "string",
            "pattern": _pattern(kind),
            "description": f"Such as {kind.examples}.",
            "maxLength": 80,
        }
        out[name] = {"anyOf": [text, {"type": "number"}]} if kind.bare else text
        share = {"anyOf": [{"$ref": f"#/$defs/{name}"}, {"$ref": "#/$defs/ratio"}]}
        for suffix, value in (("", {"$ref": f"#/$defs/{name}"}), ("_or_share", share)):
            out[f"plain_{name}{suffix}"] = {"anyOf": [value, _table(value, ("value",))]}
        value = {"$ref": f"#/$defs/{name}"}
        out[f"banded_{name}"] = {"anyOf": [value, _table(value, ("value", "low", "high"))]}
    return out


def _table(value: Schema, names: tuple[str, ...]) -> Schema:
    properties: Schema = dict.fromkeys(names, value)
    properties["known"] = {"enum": list(USER_KNOWN), "description": "How the value is known."}
    return {"type": "object", "properties": properties, "required": ["value"], "additionalProperties": False}

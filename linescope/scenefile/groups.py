"""Tables of keys, and lists of such tables."""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from linescope.rig import Known
from linescope.scenefile.fields import Key, Schema
from linescope.scenefile.reading import USER_KNOWN, Reader, join, known_of


@dataclass(frozen=True, kw_only=True)
class KeyGroup(Key):
    """A table with a fixed set of keys.

    Attributes
    ----------
    fields : mapping of str to Key
        In the order of commented scenes.
    exactly_one, at_most_one : tuple of tuples of str
        Sets of keys that exclude one another.
    needs : mapping of str to str
        A key, and the other key without which it means nothing (its default is then not taken either).
    when_absent : {"nothing", "defaults"}
        What a missing table stands for.
    inline : bool
        Written on one line in commented scenes.
    """

    fields: Mapping[str, Key]
    exactly_one: tuple[tuple[str, ...], ...] = ()
    at_most_one: tuple[tuple[str, ...], ...] = ()
    needs: Mapping[str, str] = field(default_factory=dict)
    when_absent: str = "nothing"
    inline: bool = False

    def read(self, raw: object, at: str, reader: Reader, known: Known) -> dict[str, Any]:
        if not isinstance(raw, Mapping):
            raise reader.refusal("a table is needed here", key=at or None, found=raw, allowed=self.allowed())
        self._check_names(raw, at, reader)
        known = known_of(raw, at, reader, known)
        self._check_sets(raw, at, reader)
        out: dict[str, Any] = {}
        for name, kind in self.fields.items():
            where = join(at, name)
            if name in raw:
                out[name] = kind.read(raw[name], where, reader, known)
            elif kind.required:
                raise reader.refusal("this key is missing", key=where, allowed=kind.allowed())
            elif kind.default is not None and (name not in self.needs or self.needs[name] in raw):
                out[name] = kind.read(kind.default, where, reader, "assumed")
            elif isinstance(kind, KeyGroup) and kind.when_absent == "defaults":
                out[name] = kind.read({}, where, reader, "assumed")
            else:
                out[name] = None
        return out

    def _check_names(self, raw: Mapping[str, object], at: str, reader: Reader) -> None:
        names = [*self.fields, "known"]
        for name in raw:
            if name not in names:
                near = difflib.get_close_matches(str(name), names, n=1, cutoff=0.6)
                wish = f"; did you mean '{near[0]}'?" if near else ""
                raise reader.refusal(
                    f"there is no such key{wish}",
                    key=join(at, str(name)),
                    found=raw[name],
                    allowed=", ".join(names),
                )

    def _check_sets(self, raw: Mapping[str, object], at: str, reader: Reader) -> None:
        for names in (*self.exactly_one, *self.at_most_one):
            given = [name for name in names if name in raw]
            listed = ", ".join(f"'{name}'" for name in names)
            if len(given) > 1:
                raise reader.refusal(
                    "these keys exclude one another",
                    key=join(at, given[1]),
                    found=" and ".join(given),
                    allowed=f"one of {listed}",
                )
            if not given and names in self.exactly_one:
                raise reader.refusal(
                    f"one of the keys {listed} is needed",
                    key=join(at, names[0]),
                    found="none of them",
                    allowed=self.fields[names[0]].allowed(),
                )
        for name, other in self.needs.items():
            if name in raw and other not in raw:
                raise reader.refusal(
                    f"this key means nothing without '{other}'",
                    key=join(at, name),
                    found=raw[name],
                    allowed=f"both, or neither; '{other}' is {self.fields[other].allowed()}",
                )

    def allowed(self) -> str:
        return "a table with the keys " + ", ".join(self.fields)

    def form(self) -> Schema:
        properties: Schema = {name: kind.schema() for name, kind in self.fields.items()}
        properties["known"] = {
            "description": "How the values of this table are known, unless they say so themselves.",
            "enum": list(USER_KNOWN),
        }
        out: Schema = {"type": "object", "properties": properties, "additionalProperties": False}
        if required := [name for name, kind in self.fields.items() if kind.required]:
            out["required"] = required
        rules: list[Schema] = [{"oneOf": [{"required": [n]} for n in names]} for names in self.exactly_one]
        rules += [
            {"not": {"required": [one, other]}}
            for names in self.at_most_one
            for i, one in enumerate(names)
            for other in names[i + 1 :]
        ]
        if rules:
            out["allOf"] = rules
        if self.needs:
            out["dependentRequired"] = {name: [other] for name, other in self.needs.items()}
        return out


@dataclass(frozen=True, kw_only=True)
class Repeat(Key):
    """A list of tables of one kind."""

    item: KeyGroup
    shortest: int = 0
    longest: int = 200

    def read(self, raw: object, at: str, reader: Reader, known: Known) -> list[dict[str, Any]]:
        count = (self.shortest, self.longest)
        tables = reader.list_of(raw, "a list of tables is needed here", key=at, count=count, allowed=self.allowed())
        return [self.item.read(each, f"{at}[{i}]", reader, known) for i, each in enumerate(tables, 1)]

    def allowed(self) -> str:
        return f"{self.shortest} to {self.longest} times {self.item.allowed()}"

    def form(self) -> Schema:
        return {
            "type": "array",
            "items": self.item.form(),
            "minItems": self.shortest,
            "maxItems": self.longest,
        }

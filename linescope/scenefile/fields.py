"""Kinds of keys: each knows how to read a value, what it allows, and its JSON Schema.

The table in `linescope.scenefile.keys` is made of these and of the kinds in `quantities` and `groups`.
Loader, schema and commented scenes all derive from it.
"""

from __future__ import annotations

import difflib
import unicodedata
from abc import ABC, abstractmethod
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from linescope.errors import SceneError
from linescope.notes import Term, Verbatim
from linescope.rig import Known
from linescope.scenefile.reading import Reader, join

Schema = dict[str, Any]
_UNSEEN = ("Cc", "Cs", "Cf")  # Unicode categories: control, surrogate, format (such as writing backwards).


@dataclass(frozen=True, kw_only=True)
class Key(ABC):
    """One key.

    Attributes
    ----------
    help : str
        What it means, a sentence or two.
    example : object
        A value as TOML would give it, for commented scenes.
    default : object
        Value taken when the key is missing, as TOML would give it; None for none.
    required : bool
    note_default : bool
        Whether the default is listed among the assumed inputs.
    """

    help: str
    example: Any = None
    default: Any = None
    required: bool = False
    note_default: bool = True

    @abstractmethod
    def read(self, raw: object, at: str, reader: Reader, known: Known) -> Any:
        """The checked value of `raw`, which stands at the dotted path `at`; raises SceneError."""

    @abstractmethod
    def allowed(self) -> str:
        """What may stand here, for messages and comments."""

    @abstractmethod
    def form(self) -> Schema:
        """JSON Schema of the value, without description and default."""

    def brief(self) -> str:
        """What may stand here, for comments that are read where examples stand beside."""
        return self.allowed()

    def schema(self) -> Schema:
        """JSON Schema of the key."""
        out: Schema = {"description": f"{self.help} Allowed: {self.allowed()}."}
        if self.default is not None:
            out["default"] = self.default
        return out | self.form()

    def quiet(self, raw: object, at: str, known: Known) -> bool:
        """Whether a value is a default that need not be listed."""
        return known == "assumed" and not self.note_default


@dataclass(frozen=True, kw_only=True)
class FreeText(Key):
    """Free text."""

    longest: int = 200
    empty: bool = False

    def read(self, raw: object, at: str, reader: Reader, known: Known) -> str:
        if not isinstance(raw, str):
            raise reader.refusal("text is needed here", key=at, found=raw, allowed=self.allowed())
        if len(raw) > self.longest or not (raw.strip() or self.empty):
            raise reader.refusal(
                "the text is empty" if not raw.strip() else f"the text has {len(raw)} characters",
                key=at,
                found=raw,
                allowed=self.allowed(),
            )
        odd = next((letter for letter in raw if not (letter.isprintable() or letter in "\n\t\u3000")), None)
        if odd is not None and unicodedata.category(odd) in _UNSEEN:
            raise reader.refusal(
                "the text holds a character that is not for reading",
                key=at,
                found=odd,
                allowed=self.allowed() + ", without control characters",
            )
        return raw.strip()

    def allowed(self) -> str:
        return f"text of at most {self.longest} characters"

    def form(self) -> Schema:
        return {"type": "string", "maxLength": self.longest} | ({} if self.empty else {"minLength": 1})


@dataclass(frozen=True, kw_only=True)
class OneOf(Key):
    """One of a few words."""

    options: tuple[str, ...]

    def read(self, raw: object, at: str, reader: Reader, known: Known) -> str:
        if not isinstance(raw, str) or raw not in self.options:
            near = difflib.get_close_matches(str(raw), self.options, n=1, cutoff=0.6)
            wish = f"; did you mean '{near[0]}'?" if near else ""
            raise reader.refusal(
                f"this is not one of the choices{wish}", key=at, found=raw, allowed=self.allowed()
            )
        if not self.quiet(raw, at, known):
            reader.note(at, Verbatim(raw), known)
        return raw

    def allowed(self) -> str:
        return ", ".join(f'"{option}"' for option in self.options)

    def form(self) -> Schema:
        return {"enum": list(self.options)}


@dataclass(frozen=True, kw_only=True)
class Flag(Key):
    """Yes or no."""

    def read(self, raw: object, at: str, reader: Reader, known: Known) -> bool:
        if not isinstance(raw, bool):
            raise reader.refusal("yes or no is needed here", key=at, found=raw, allowed=self.allowed())
        if not self.quiet(raw, at, known):
            reader.note(at, Term("yes" if raw else "no"), known)
        return raw

    def allowed(self) -> str:
        return "true or false"

    def form(self) -> Schema:
        return {"type": "boolean"}


@dataclass(frozen=True, kw_only=True)
class Whole(Key):
    """A whole number."""

    low: int
    high: int

    def read(self, raw: object, at: str, reader: Reader, known: Known) -> int:
        if isinstance(raw, bool) or not isinstance(raw, int) or not self.low <= raw <= self.high:
            raise reader.refusal("a whole number is needed here", key=at, found=raw, allowed=self.allowed())
        if not self.quiet(raw, at, known):
            reader.note(at, raw, known)
        return raw

    def allowed(self) -> str:
        return f"{self.low} to {self.high}" if self.low < self.high else str(self.low)

    def form(self) -> Schema:
        return {"type": "integer", "minimum": self.low, "maximum": self.high}


@dataclass(frozen=True, kw_only=True)
class Variants(Key):
    """Named sets of values to try, which are read only when somebody asks for one."""

    def read(self, raw: object, at: str, reader: Reader, known: Known) -> None:
        if not isinstance(raw, Mapping):
            raise reader.refusal("a table is needed here", key=at, found=raw, allowed=self.allowed())
        for name, values in raw.items():
            if not isinstance(values, Mapping):
                raise reader.refusal("a table is needed here", key=join(at, str(name)), found=values,
                                     allowed=self.allowed())
            for key, value in values.items():
                if isinstance(value, bool) or not isinstance(value, str | int | float):
                    raise reader.refusal(
                        "a value to try is text, as it would be typed", key=f"{join(at, str(name))}: {key}",
                        found=value, allowed='such as "main.tension" = "6 kN" (the key in quotes)',
                    )

    def allowed(self) -> str:
        return 'tables such as [variants."windy day"], each with keys in quotes: "wind.speed" = "12 m/s"'

    def form(self) -> Schema:
        value = {"type": ["string", "number"]}
        return {"type": "object", "additionalProperties": {"type": "object", "additionalProperties": value}}


@dataclass(frozen=True, kw_only=True)
class Either(Key):
    """One of two forms, told apart by a look at the raw value."""

    first: Key
    second: Key
    is_first: Callable[[object], bool]

    def read(self, raw: object, at: str, reader: Reader, known: Known) -> Any:
        try:
            return (self.first if self.is_first(raw) else self.second).read(raw, at, reader, known)
        except SceneError as error:
            if error.key != at:
                raise
            raise reader.refusal(error.problem, key=at, found=error.found, allowed=self.allowed()) from error

    def allowed(self) -> str:
        return f"{self.first.allowed()}; or {self.second.allowed()}"

    def brief(self) -> str:
        return f"{self.first.brief()}; or {self.second.brief()}"

    def form(self) -> Schema:
        return {"anyOf": [self.first.form(), self.second.form()]}

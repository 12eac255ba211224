"""Keys that hold numbers with units: single ones, lists, points and profiles."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any, ClassVar

from linescope.errors import SceneError
from linescope.notes import Quantity as Number
from linescope.rig import Band, InputPhrase, Known, phrase
from linescope.scenefile.fields import Key, Schema
from linescope.scenefile.reading import USER_KNOWN, Reader, join, known_of, weakest
from linescope.units import DIMENSIONS, NUMBER, to_si

_TYPED = re.compile(rf"\s*({NUMBER})\s*(.*?)\s*$", re.DOTALL)


def as_typed(raw: object, dimension: str) -> tuple[Number, str]:
    """A quantity that was read already, with as many figures as were typed, and its unit as typed.

    Parameters
    ----------
    raw : str, int or float
    dimension : str
        A key of `linescope.units.DIMENSIONS`.
    """
    found = _TYPED.match(str(raw).replace("\u2212", "-"))
    figures = "" if found is None else found[1].lstrip("+-").lower().partition("e")[0].replace(".", "").lstrip("0")
    unit = "" if found is None else " ".join(found[2].split())
    return Number(to_si(raw, dimension), dimension, digits=min(max(len(figures), 1), 9)), unit


def _bare(raw: Any) -> Any:
    """A value without what is said of it."""
    return raw["value"] if isinstance(raw, Mapping) else raw


def _common(units: Iterable[str]) -> str:
    """The one unit that all have; "" when they differ."""
    names = set(units)
    return names.pop() if len(names) == 1 else ""


@dataclass(frozen=True)
class ShareOf:
    """A value given as a share of something else."""

    value: float


@dataclass(frozen=True, kw_only=True)
class Measure(Key):
    """A number with its unit: text, or a table with value, how it is known, low and high.

    Attributes
    ----------
    dimension : str
        A key of `linescope.units.DIMENSIONS`.
    low, high : str
        Smallest and largest accepted value, as text.
    banded : bool
        Whether low and high may be given.
    spread : float
        Half-width assumed for a guess without low and high, as a share of the value; 0 for none.  [-]
    share : str
        Largest share accepted ("100 %") where the value may also be a percentage of something; "" for none.
    usual : tuple of str
        Low and high that come with the default.
    """

    dimension: str
    low: str
    high: str
    banded: bool = True
    spread: float = 0.0
    share: str = ""
    usual: tuple[str, str] | None = None

    def number(self, raw: object, at: str, reader: Reader) -> float | ShareOf:
        """One number, its range checked."""
        if self.share and isinstance(raw, str) and raw.strip().endswith("%"):
            value = self._read(raw, "ratio", at, reader)
            if not 0.0 <= value <= to_si(self.share, "ratio"):
                raise reader.refusal("the share is out of range", key=at, found=raw, allowed=self.allowed())
            return ShareOf(value)
        value = self._read(raw, self.dimension, at, reader)
        if not to_si(self.low, self.dimension) <= value <= to_si(self.high, self.dimension):
            raise reader.refusal("the value is out of range", key=at, found=raw, allowed=self.allowed())
        return value

    def _read(self, raw: object, dimension: str, at: str, reader: Reader) -> float:
        try:
            return to_si(raw, dimension, error=SceneError)
        except SceneError as error:
            raise reader.refusal(error.problem, key=at, found=raw, allowed=self.allowed()) from error

    def plain(self, raw: object, at: str, reader: Reader) -> float:
        """One number that cannot be a share."""
        value = self.number(raw, at, reader)
        if isinstance(value, ShareOf):
            raise reader.refusal("a share cannot stand here", key=at, found=raw, allowed=self.allowed())
        return value

    def read(self, raw: object, at: str, reader: Reader, known: Known) -> float | ShareOf:
        value, _ = self.read_known(raw, at, reader, known, noted=True)
        return value

    def read_known(
        self, raw: object, at: str, reader: Reader, known: Known, *, noted: bool
    ) -> tuple[float | ShareOf, Known]:
        """The value and how it is known; its band goes to the reader, its note too when `noted`."""
        if not isinstance(raw, Mapping):
            value, plain = self.number(raw, at, reader), raw
            limits: dict[str, float] = {}
        else:
            parts = {"value", "known"} | ({"low", "high"} if self.banded else set())
            for name in raw:
                if name not in parts:
                    raise reader.refusal(
                        "there is no such key",
                        key=join(at, str(name)),
                        found=raw[name],
                        allowed=", ".join(sorted(parts)),
                    )
            if "value" not in raw:
                raise reader.refusal("the value is missing", key=join(at, "value"), allowed=self.allowed())
            known = known_of(raw, at, reader, known)
            value = self.number(raw["value"], join(at, "value"), reader)
            plain, limits = raw["value"], {}
            for name in ("low", "high"):
                if name in raw:
                    limits[name] = self.plain(raw[name], join(at, name), reader)
            if limits and not isinstance(value, ShareOf):
                low, high = limits.get("low", value), limits.get("high", value)
                if not low <= value <= high:
                    raise reader.refusal("low, value and high must rise", key=at, found=dict(raw))
                reader.bands[at] = Band(low=low, value=value, high=high)
        basis = None
        if known == "assumed" and self.usual is not None and not isinstance(value, ShareOf):
            limits = dict(zip(("low", "high"), (to_si(end, self.dimension) for end in self.usual), strict=True))
            reader.bands[at] = Band(**limits, value=value)
        if known == "guess" and not limits and self.spread and not isinstance(value, ShareOf):
            width = self.spread * abs(value)
            limits = {"low": value - width, "high": value + width}
            reader.bands[at] = Band(**limits, value=value)
            basis = phrase(InputPhrase.GUESS, spread=Number(self.spread, "ratio"))
        if noted and not self.quiet(raw, at, known):
            shown, unit = as_typed(plain, "ratio" if isinstance(value, ShareOf) else self.dimension)
            ends = {
                name: as_typed(raw[name], self.dimension)[0]
                if isinstance(raw, Mapping) and name in raw and at not in reader.tried  # Those were typed by nobody.
                else Number(end, self.dimension, digits=max(shown.digits, 2))
                for name, end in limits.items()
            }
            reader.note(at, shown, known, unit=unit, low=ends.get("low"), high=ends.get("high"), basis=basis)
        return value, known

    def allowed(self) -> str:
        kind = DIMENSIONS[self.dimension]
        text = f"{kind.article} {self.dimension} such as {kind.examples}, from {self.low} to {self.high}"
        return text + (f", or a share up to {self.share}" if self.share else "")

    def brief(self) -> str:
        text = f"{self.dimension}, {self.low} to {self.high}"
        return text + (f", or a share up to {self.share}" if self.share else "")

    def form(self) -> Schema:
        name = ("banded " if self.banded else "plain ") + self.dimension + (" or share" if self.share else "")
        return {"$ref": f"#/$defs/{name.replace(' ', '_')}"}


@dataclass(frozen=True, kw_only=True)
class Margin(Key):
    """How far off something else may be: a share of it, or a number of its own dimension."""

    DIMENSIONS: ClassVar[tuple[str, ...]] = ("force", "length", "time")

    def read(self, raw: object, at: str, reader: Reader, known: Known) -> tuple[str, float]:
        """Dimension ("ratio" for a share) and value.  [SI]"""
        if isinstance(raw, str):
            names = ("ratio",) if raw.strip().endswith("%") else self.DIMENSIONS
            for name in names:
                try:
                    value = to_si(raw, name, error=SceneError)
                except SceneError:
                    continue
                if 0.0 < value <= (0.5 if name == "ratio" else 1e4):
                    return name, value
        raise reader.refusal("this is no error of a reading", key=at, found=raw, allowed=self.allowed())

    def allowed(self) -> str:
        return 'a share above 0 and up to 50 % such as "5 %", or in the unit of what was read such as "3 cm"'

    def form(self) -> Schema:
        return {"anyOf": [{"$ref": f"#/$defs/{name}"} for name in ("ratio", *self.DIMENSIONS)]}


@dataclass(frozen=True, kw_only=True)
class Series(Key):
    """A list of quantities of one kind, or a table with that list as value and how it is known."""

    item: Measure
    shortest: int = 1
    longest: int = 5000

    def read(self, raw: object, at: str, reader: Reader, known: Known) -> tuple[float, ...]:
        bare, known = _unwrapped(raw, at, reader, known)
        count = (self.shortest, self.longest)
        values = reader.list_of(bare, "a list is needed here", key=at, count=count, allowed=self.allowed())
        numbers = [self.item.plain(value, f"{at}[{i}]", reader) for i, value in enumerate(values, 1)]
        reader.note(at, tuple(as_typed(value, self.item.dimension)[0] for value in map(_bare, values)), known)
        return tuple(numbers)

    def allowed(self) -> str:
        return f"a list of {self.shortest} to {self.longest}, each {self.item.allowed()}"

    def brief(self) -> str:
        return f"list of {self.shortest} to {self.longest}, each {self.item.brief()}"

    def form(self) -> Schema:
        item = {"$ref": f"#/$defs/{self.item.dimension.replace(' ', '_')}"}
        bare = {"type": "array", "items": item, "minItems": self.shortest, "maxItems": self.longest}
        return {"anyOf": [bare, _wrapped(bare)]}


@dataclass(frozen=True, kw_only=True)
class Point(Key):
    """Three coordinates, each a length; each may say how it is known."""

    low: str = "-10000 km"
    high: str = "10000 km"

    @property
    def coordinate(self) -> Measure:
        """What one number of it is."""
        return Measure(help=self.help, dimension="length", low=self.low, high=self.high)

    def read(self, raw: object, at: str, reader: Reader, known: Known) -> tuple[float, float, float]:
        values, known = _unwrapped(raw, at, reader, known)
        if not isinstance(values, list) or len(values) != 3:
            raise reader.refusal("a list of three is needed here", key=at, found=raw, allowed=self.allowed())
        read = [
            self.coordinate.read_known(value, f"{at}.{axis}", reader, known, noted=False)
            for axis, value in zip("xyz", values, strict=True)
        ]
        x, y, z = (value for value, _ in read if not isinstance(value, ShareOf))
        how = weakest([each for _, each in read])
        if not self.quiet(raw, at, how):
            shown = [as_typed(value, "length") for value in map(_bare, values)]
            reader.note(at, tuple(value for value, _ in shown), how, unit=_common(unit for _, unit in shown))
        return x, y, z

    def allowed(self) -> str:
        return f"[x, y, z], z up, each {self.coordinate.allowed()}"

    def brief(self) -> str:
        return f"[x, y, z], each {self.coordinate.brief()}"

    def form(self) -> Schema:
        bare = {"type": "array", "items": self.coordinate.form(), "minItems": 3, "maxItems": 3}
        return {"anyOf": [bare, _wrapped(bare)]}


@dataclass(frozen=True, kw_only=True)
class Corners(Key):
    """A list of places in plan, each a pair: x and y, or latitude and longitude."""

    is_geographic: bool = False
    shortest: int = 3
    longest: int = 200

    @property
    def coordinate(self) -> Measure:
        """What one number of it is."""
        if self.is_geographic:
            return Measure(help=self.help, dimension="angle", low="-360 deg", high="360 deg")
        return Measure(help=self.help, dimension="length", low="-10000 km", high="10000 km")

    @property
    def _pair(self) -> str:
        return "[latitude, longitude]" if self.is_geographic else "[x, y]"

    def read(self, raw: object, at: str, reader: Reader, known: Known) -> tuple[tuple[float, float], ...]:
        bare, known = _unwrapped(raw, at, reader, known)
        count = (self.shortest, self.longest)
        values = reader.list_of(bare, "a list of pairs is needed here", key=at, count=count, allowed=self.allowed())
        found: list[tuple[float, float]] = []
        for i, pair in enumerate(values, 1):
            where = f"{at}[{i}]"
            if not isinstance(pair, list) or len(pair) != 2:
                raise reader.refusal(f"a pair {self._pair} is needed here", key=where, found=pair)
            first, second = (self.coordinate.plain(text, where, reader) for text in pair)
            found.append((first, second))
        reader.note(at, tuple(
            tuple(as_typed(_bare(value), self.coordinate.dimension)[0] for value in pair) for pair in values
        ), known)
        return tuple(found)

    def allowed(self) -> str:
        return (
            f"a list of {self.shortest} to {self.longest} pairs {self._pair}, in their order round the area, "
            f"each {self.coordinate.allowed()}"
        )

    def brief(self) -> str:
        return f"{self.shortest} to {self.longest} pairs {self._pair}, in their order round the area"

    def form(self) -> Schema:
        pair = {
            "type": "array", "items": {"$ref": f"#/$defs/{self.coordinate.dimension}"}, "minItems": 2, "maxItems": 2,
        }
        bare = {"type": "array", "items": pair, "minItems": self.shortest, "maxItems": self.longest}
        return {"anyOf": [bare, _wrapped(bare)]}


@dataclass(frozen=True, kw_only=True)
class Profile(Key):
    """A list of [station, height] pairs with rising stations."""

    shortest: int = 2
    longest: int = 5000

    @property
    def coordinate(self) -> Measure:
        """What one number of it is."""
        return Measure(help=self.help, dimension="length", low="-10 km", high="10 km")

    def read(self, raw: object, at: str, reader: Reader, known: Known) -> tuple[tuple[float, float], ...]:
        bare, known = _unwrapped(raw, at, reader, known)
        count = (self.shortest, self.longest)
        values = reader.list_of(bare, "a list of pairs is needed here", key=at, count=count, allowed=self.allowed())
        points: list[tuple[float, float]] = []
        for i, pair in enumerate(values, 1):
            where = f"{at}[{i}]"
            if not isinstance(pair, list) or len(pair) != 2:
                raise reader.refusal("a pair [station, height] is needed here", key=where, found=pair)
            station, height = (self.coordinate.plain(text, where, reader) for text in pair)
            if points and station <= points[-1][0]:
                raise reader.refusal(
                    "stations must rise from point to point",
                    key=where,
                    found=pair[0],
                    allowed=f"more than {points[-1][0]:g} m (give a wall a few centimetres)",
                )
            points.append((station, height))
        first, last = (as_typed(_bare(values[k][0]), "length")[0] for k in (0, -1))
        reader.note(at, phrase(InputPhrase.POINTS, count=len(points), first=first, last=last), known)
        return tuple(points)

    def allowed(self) -> str:
        return (
            f"a list of {self.shortest} to {self.longest} pairs [station, height], stations rising, "
            f"each {self.coordinate.allowed()}"
        )

    def brief(self) -> str:
        return f"{self.shortest} to {self.longest} pairs [station, height], stations rising"

    def form(self) -> Schema:
        pair = {"type": "array", "items": {"$ref": "#/$defs/length"}, "minItems": 2, "maxItems": 2}
        bare = {"type": "array", "items": pair, "minItems": self.shortest, "maxItems": self.longest}
        return {"anyOf": [bare, _wrapped(bare)]}


def _unwrapped(raw: object, at: str, reader: Reader, known: Known) -> tuple[object, Known]:
    """A list, and how it is known, from the list itself or from {value = [...], known = ...}."""
    if not isinstance(raw, Mapping):
        return raw, known
    for name in raw:
        if name not in ("value", "known"):
            raise reader.refusal(
                "there is no such key", key=join(at, str(name)), found=raw[name], allowed="value, known"
            )
    if "value" not in raw:
        raise reader.refusal("the value is missing", key=join(at, "value"))
    return raw["value"], known_of(raw, at, reader, known)


def _wrapped(bare: Schema) -> Schema:
    return {
        "type": "object",
        "properties": {"value": bare, "known": {"enum": list(USER_KNOWN)}},
        "required": ["value"],
        "additionalProperties": False,
    }

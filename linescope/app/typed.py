"""What a person typed, as TOML would give it, and back: sources, low and high stay with their values."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Any

from linescope.errors import InputError
from linescope.scenefile.fields import Either, Field, Flag, Whole
from linescope.scenefile.quantities import Point, Profile, Quantity, Series
from linescope.units import DIMENSIONS, NUMBER, to_si

Json = dict[str, Any]

NUMBER_AND_UNIT = re.compile(rf"\s*({NUMBER})\s*(.*)", re.DOTALL)


def raw_from(kind: Field, text: str, old: Any) -> Any:
    """What a person typed, as TOML would give it; how it is known, low and high stay as they were.

    Parameters
    ----------
    kind : Field
    text : str
    old : object
        The value so far.

    Raises
    ------
    InputError
        When the text cannot be split into what the key needs.
    """
    plain = old["value"] if isinstance(old, Mapping) and "value" in old else old
    fresh = _typed(kind, text.strip(), plain)
    if isinstance(old, Mapping) and "value" in old:
        return _band_moved(kind, {**old, "value": fresh}, plain)
    return fresh


def _typed(kind: Field, text: str, old: Any) -> Any:
    if isinstance(kind, Flag):
        return text == "yes"
    if isinstance(kind, Whole):
        return int(text) if re.fullmatch(r"[-+]?[0-9]{1,12}", text) else text
    if isinstance(kind, Profile):
        return [_listed(line) for line in re.split(r"[;\n]", text) if line.strip()]
    if isinstance(kind, Series | Point):
        return _kept(_listed(text), old)
    if isinstance(kind, Either) and isinstance(kind.first, Series) and ("," in text or isinstance(old, list)):
        return _kept(_listed(text), old)
    if isinstance(kind, Quantity) and DIMENSIONS[kind.dimension].bare and re.fullmatch(NUMBER, text):
        number = float(text)
        return int(number) if number.is_integer() and abs(number) < 1e6 and "." not in text else number
    return text


def _listed(text: str) -> list[Any]:
    return [part.strip() for part in text.split(",") if part.strip()]


def _kept(parts: list[Any], old: Any) -> list[Any]:
    """Parts whose text did not change keep how they are known."""
    before = old if isinstance(old, list) else []
    return [
        before[k] if k < len(before) and isinstance(before[k], Mapping) and shown(before[k]) == part else part
        for k, part in enumerate(parts)
    ]


def _band_moved(kind: Field, raw: Json, before: Any) -> Json:
    """Low and high go along with a value that leaves them, at the same shares of it."""
    if not isinstance(kind, Quantity) or not ({"low", "high"} & set(raw)):
        return raw
    try:
        value = to_si(raw["value"], kind.dimension)
        limits = {name: to_si(raw[name], kind.dimension) for name in ("low", "high") if name in raw}
    except InputError:
        return raw
    low, high = limits.get("low", -math.inf), limits.get("high", math.inf)
    if low <= value <= high or value <= 0.0:
        return raw
    try:
        old = to_si(before, kind.dimension)
    except InputError:
        old = math.nan
    if not low <= old <= high:
        old = sum(limits.values()) / len(limits)
    if old <= 0.0:
        return raw
    for name, end in limits.items():
        raw[name] = raw["value"] if end == old else scaled(raw[name], value / old)
    return raw


def scaled(raw: Any, factor: float) -> Any:
    """A typed number times a factor, in its unit, to four figures."""
    found = NUMBER_AND_UNIT.fullmatch(str(raw))
    if found is None:
        return raw
    number = float(f"{float(found[1]) * factor:.4g}")
    return number if not isinstance(raw, str) else f"{number:g} {found[2]}".strip()


def shown(raw: Any) -> str:
    """A raw value as it stands in a field."""
    if raw is None:
        return ""
    if isinstance(raw, Mapping):
        return shown(raw.get("value")) if "value" in raw else ""
    if isinstance(raw, bool):
        return "yes" if raw else "no"
    if isinstance(raw, list):
        deep = any(isinstance(part, list) for part in raw)
        return ("\n" if deep else ", ").join(shown(part) for part in raw)
    return str(raw)

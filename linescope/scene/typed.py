"""What a person typed, as TOML would give it, and back."""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from typing import Any

from linescope.errors import InputError
from linescope.scenefile.fields import Either, Flag, Key, Whole
from linescope.scenefile.quantities import Measure, Point, Profile, Series
from linescope.units import DIMENSIONS, NUMBER, to_si

NUMBER_AND_UNIT = re.compile(rf"\s*({NUMBER})\s*(.*)", re.DOTALL)
SURE = ("measured", "sheet")
"""What is known so is not written over: another value is tried beside it."""


def raw_from(kind: Key, text: str, old: Any) -> Any:
    """What a person typed, as TOML would give it; how it is known, low and high stay as they were.

    Parameters
    ----------
    kind : Key
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
        return {**old, "value": fresh}
    return fresh


def _typed(kind: Key, text: str, old: Any) -> Any:
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
    if isinstance(kind, Measure) and DIMENSIONS[kind.dimension].bare and re.fullmatch(NUMBER, text):
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


def same_value(kind: Key, one: Any, other: Any) -> bool:
    """Whether two raw values mean the same, how they are known and low and high apart."""
    first, second = (raw["value"] if isinstance(raw, Mapping) and "value" in raw else raw for raw in (one, other))
    if isinstance(kind, Measure):
        try:
            return math.isclose(to_si(first, kind.dimension), to_si(second, kind.dimension), rel_tol=1e-9)
        except InputError:
            pass
    return bool(first == second)


def limits_of(raw: Any) -> dict[str, Any]:
    """Low and high of a raw value, as far as it has them."""
    return {name: raw[name] for name in ("low", "high") if name in raw} if isinstance(raw, Mapping) else {}

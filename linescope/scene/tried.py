"""Values tried in place of a file's own: which key each means, and the low and high that it is given.

A tried value has no low and high of its own.  It takes the file's: as wide as they are, and never narrower in
proportion; so trying a value never makes anything better known than it is.
"""

from __future__ import annotations

import difflib
import math
import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from linescope.errors import InputError
from linescope.scene.paths import KeyStep, covers, steps_of, value_in
from linescope.scene.typed import NUMBER_AND_UNIT, SURE, limits_of, raw_from, same_value, shown
from linescope.scenefile.fields import Either, Key
from linescope.scenefile.groups import KeyGroup, Repeat
from linescope.scenefile.keys import SCENE
from linescope.scenefile.quantities import Measure
from linescope.scenefile.reading import join
from linescope.units import Side, from_si, significant, to_si

FIGURES = 4
"""Of a low or high that is written in the unit of the value tried."""
_NUMBER = re.compile(r"\[\d+\]")
READINGS = "readings"
"""Table of what was measured on the line: measured, whatever it says."""


def field_at(path: str) -> Key:
    """The key of the table of keys that a path means.

    Raises
    ------
    InputError
        When there is none; `allowed` has the keys beside it.
    """
    kind: Key = SCENE
    for step in steps_of(path):
        if isinstance(kind, Either):
            kind = kind.second
        if isinstance(step, int) and isinstance(kind, Repeat):
            kind = kind.item
        elif isinstance(step, str) and isinstance(kind, KeyGroup) and step in kind.fields:
            kind = kind.fields[step]
        else:
            names = list(kind.fields) if isinstance(kind, KeyGroup) else []
            near = difflib.get_close_matches(str(step), names, n=1, cutoff=0.6)
            wish = f"; did you mean '{near[0]}'?" if near else ""
            raise InputError(f"there is no such key{wish}", key=path, allowed=", ".join(names) or None)
    return kind


def value_at(path: str) -> Key:
    """The same, for a path that means a value and no table.

    Raises
    ------
    InputError
    """
    kind = field_at(path)
    if isinstance(kind, KeyGroup | Repeat):
        raise InputError("this is a table, not a value", key=path)
    if covers(READINGS, path):
        raise InputError("a reading is what was measured, and nothing is tried in its place", key=path)
    return kind


def leaf(kind: Key, raw: object) -> Key:
    """Of a key that may have either of two forms, the one that a raw value has."""
    while isinstance(kind, Either):
        kind = kind.first if kind.is_first(raw) else kind.second
    return kind


def with_tried(data: Mapping[str, Any], tried: Mapping[str, str]) -> dict[str, Any]:
    """Plain tables of a file with values tried; what they exclude is left out, the file's tables are not touched.

    Parameters
    ----------
    data : mapping
        From `tables_of`.
    tried : mapping of str to str
        Dotted path to text.

    Raises
    ------
    InputError
        Naming the path that is no value, or lies in a table of a list that is not there.
    """
    out = dict(data)
    for path, text in tried.items():
        kind, steps = value_at(path), steps_of(path)
        raw = _raw(kind, text, value_in(data, steps), known_at(data, steps))
        for other in excluded_by(path, out):
            out = _without(out, steps_of(other))
        out = _with(out, steps, raw, path)
    return out


def excluded_by(path: str, data: Mapping[str, Any]) -> list[str]:
    """Paths of values that a value at `path` leaves no room for, and of those that mean nothing without them."""
    parent, _, name = path.rpartition(".")
    group = field_at(parent) if parent else SCENE
    group = group.second if isinstance(group, Either) else group
    table = value_in(data, steps_of(parent)) if parent else data
    if not isinstance(group, KeyGroup) or not isinstance(table, Mapping):
        return []
    sets = [names for names in (*group.exactly_one, *group.at_most_one) if name in names]
    gone = [other for names in sets for other in names if other != name and other in table]
    for orphan, needed in group.needs.items():
        if needed in gone and orphan in table:
            gone.append(orphan)
    return [join(parent, other) for other in gone]


def known_at(data: Any, steps: Sequence[KeyStep]) -> str:
    """How the file says a value is known, itself or by a table around it; "stated" when it does not say."""
    known = "stated"
    for count in range(len(steps) + 1):
        table = value_in(data, steps[:count])
        if isinstance(table, Mapping):
            known = str(table.get("known", known))
    return known


def ends_of(kind: Key, raw: object, known: str) -> tuple[float, float, float] | None:
    """Low, value and high of a raw value as the loader takes them; None where it has no low and high.  [SI]"""
    if raw is None:
        raw, known = kind.default, "assumed"
    kind = leaf(kind, raw)
    if raw is None or not isinstance(kind, Measure) or not kind.banded:
        return None
    try:
        value = to_si(raw["value"] if isinstance(raw, Mapping) else raw, kind.dimension)
        ends = {name: to_si(end, kind.dimension) for name, end in limits_of(raw).items()}
    except (InputError, KeyError):
        return None
    if not ends and known == "guess" and kind.spread:
        ends = {"low": value - kind.spread * abs(value), "high": value + kind.spread * abs(value)}
    return (ends.get("low", value), value, ends.get("high", value)) if ends else None


def _raw(kind: Key, text: str, own: object, known: str) -> Any:
    """A tried value as TOML would give it, with the low and high that the file's make for it."""
    fresh = raw_from(kind, text, own["value"] if isinstance(own, Mapping) and "value" in own else own)
    fresh = fresh["value"] if isinstance(fresh, Mapping) and "value" in fresh else fresh
    limits = limits_for(kind, fresh, own, known)
    return {"value": fresh, **limits} if limits else fresh


def limits_for(kind: Key, fresh: object, own: object, known: str) -> dict[str, str]:
    """Low and high that a value takes over from the one it stands in for; empty where there are none.

    What was taken for a guess is a share of the value, and stays that share.

    Parameters
    ----------
    kind : Key
    fresh : object
        The value, as TOML would give it.
    own : object
        The raw value of the file; None where its default holds.
    known : str
        How the file says that is known.
    """
    ends, form = ends_of(kind, own, known), leaf(kind, fresh)
    if ends is None or not isinstance(form, Measure):
        return {}
    try:
        value = to_si(fresh, form.dimension)
        least, most = (to_si(end, form.dimension) for end in (form.low, form.high))
    except InputError:
        return {}  # The loader says what is wrong with it.
    if not least <= value <= most:
        return {}
    low, middle, high = ends
    share = abs(value / middle) if middle else 1.0
    guessed = own is not None and not limits_of(own)
    down, up = (width * (share if guessed else max(share, 1.0)) for width in (middle - low, high - middle))
    return {
        "low": _written(max(value - down, least), value, str(fresh), form, "down"),
        "high": _written(min(value + up, most), value, str(fresh), form, "up"),
    }


def _written(end: float, value: float, typed: str, kind: Measure, towards: Side) -> str:
    """A low or high in the unit of the value that was typed, rounded away from it."""
    found = NUMBER_AND_UNIT.fullmatch(typed)
    unit = found[2].strip() if found is not None else ""
    if math.isclose(end, value, rel_tol=1e-9):
        return typed
    number = significant(from_si(end, unit, kind.dimension), FIGURES, towards)
    text = f"{number.rstrip('0').rstrip('.') if '.' in number else number} {unit}".strip()
    least, most = (to_si(limit, kind.dimension) for limit in (kind.low, kind.high))
    if least <= to_si(text, kind.dimension) <= most:
        return text
    return f"{from_si(end, unit, kind.dimension)!r} {unit}".strip()


def sure_values(data: Any, path: str = "", known: str = "stated") -> Iterator[tuple[str, object]]:
    """Path and raw value of all that a file says is measured, or from a data sheet."""
    if isinstance(data, Mapping):
        known = str(data.get("known", known))
        if "value" in data:
            if known in SURE:
                yield path, data["value"]
            return
        for name, part in data.items():
            if name != "known":
                how = "measured" if not path and name == READINGS else known
                yield from sure_values(part, join(path, str(name)), how)
    elif isinstance(data, list) and any(isinstance(part, Mapping | list) for part in data):
        for k, part in enumerate(data, 1):
            yield from sure_values(part, f"{path}[{k}]", known)
    elif known in SURE and path:
        yield path, data


def is_sure(data: Mapping[str, Any], path: str) -> bool:
    """Whether something at a path, or in the table there, is measured or from a data sheet."""
    return any(covers(path, key) for key, _ in sure_values(data))


def lost_from(before: Mapping[str, Any], after: Mapping[str, Any]) -> list[str]:
    """Paths of what was measured, or from a data sheet, and is no more; tables of a list may change their places."""
    left = [(_NUMBER.sub("[]", path), value) for path, value in sure_values(after)]
    lost = []
    for path, value in sure_values(before):
        each = (_NUMBER.sub("[]", path), value)
        if each in left:
            left.remove(each)
        else:
            lost.append(path)
    return lost


def _with(data: Any, steps: tuple[KeyStep, ...], value: Any, path: str) -> Any:
    """Plain tables with one value changed; what is not on the way there is shared."""
    first, rest = steps[0], steps[1:]
    if isinstance(first, int):
        items = data if isinstance(data, list) else []
        if first >= len(items):
            raise InputError(
                "there is no such table in this list", key=path, found=first + 1, allowed=f"1 to {len(items)}"
            )
        return [*items[:first], _with(items[first], rest, value, path) if rest else value, *items[first + 1 :]]
    inner = data if isinstance(data, Mapping) else {}
    return {**inner, first: _with(inner.get(first), rest, value, path) if rest else value}


def _without(data: Any, steps: tuple[KeyStep, ...]) -> Any:
    first, rest = steps[0], steps[1:]
    if isinstance(first, int):
        return [*data[:first], _without(data[first], rest), *data[first + 1 :]]
    if rest:
        return {**data, first: _without(data[first], rest)}
    return {name: part for name, part in data.items() if name != first}


def retyped(kind: Key, text: str, old: Any, saved: Any, known: str = "stated") -> Any:
    """What a person typed, as TOML would give it, in place of a value that is neither measured nor from a data sheet.

    Parameters
    ----------
    kind : Key
    text : str
    old, saved : object
        The raw value so far, and that in the file: a value put back is the file's, whose low and high an edit takes
        over as `limits_for` says.
    known : str
        How the file says its value is known.

    Raises
    ------
    InputError
        When the text cannot be split into what the key needs.
    """
    fresh = raw_from(kind, text, old)
    if saved is None and old is None:  # It stands in for a default, whose low and high it takes over.
        limits = limits_for(kind, fresh, None, "assumed")
        return {"value": fresh, **limits} if limits else fresh
    form = leaf(kind, saved)
    if saved is not None and same_value(form, fresh, saved):
        plain = shown(fresh) == shown(saved) and limits_of(old) in ({}, limits_of(saved), limits_of(fresh))
        if plain or not isinstance(fresh, Mapping):
            return saved if shown(fresh) == shown(saved) else fresh
    if not isinstance(fresh, Mapping) or not limits_of(fresh):
        return fresh
    value, base = shown(old), saved
    derived = isinstance(saved, Mapping) and limits_of(old) == limits_for(kind, value, saved, known)
    if saved is None or not (derived or limits_of(old) == limits_of(saved)):
        base = old  # Low and high were typed since.
    return {**fresh, **(limits_for(kind, fresh["value"], base, known) or limits_of(fresh))}

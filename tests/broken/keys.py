"""Each key of the scene table x each way to get it wrong; a key added to the table is covered by itself."""

from __future__ import annotations

import copy
import datetime
import math
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from linescope.errors import SceneError
from linescope.scenefile.fields import Either, Flag, FreeText, Key, OneOf, Whole
from linescope.scenefile.groups import KeyGroup, Repeat
from linescope.scenefile.keys import SCENE
from linescope.scenefile.quantities import Measure, Point, Profile, Series
from linescope.scenefile.reading import Reader
from linescope.units import DIMENSIONS
from tests.broken import scaffold
from tests.broken.case import Case

HAIR = 1e-9  # Beyond a limit by so much of it is beyond.
DAY = datetime.date(2026, 5, 1)
MISSING = object()
DEEP: list[Any] = []
for _ in range(150):
    DEEP = [DEEP]


def cases() -> Iterator[Case]:
    """All of them."""
    for place in scaffold.places():
        for name, inner, value in wrongs(place.kind):
            yield _case(place, name, inner, value)
        yield _case(place, "misspelt", (), MISSING)
        yield _twice(place)
        if place.kind.required:
            yield _case(place, "left out", (), None)


def _case(place: scaffold.Place, name: str, inner: scaffold.Path, value: Any) -> Case:
    key = place.key

    def make(folder: Path) -> list[str]:
        scene = copy.deepcopy(scaffold.scene_with(place.path))
        holder: Any = scene
        for step in place.path[:-1]:
            holder = holder[step]
        last = place.path[-1]
        if name == "left out":
            del holder[last]
        elif name == "misspelt":
            holder[f"{last}_x"] = holder.pop(last)
        else:
            scaffold.replaced(scene, (*place.path, *inner), value)
        (folder / "scene.toml").write_text(scaffold.document(scene), encoding="utf-8")
        return ["figures", str(folder / "scene.toml")]

    return Case(kind="keys", name=f"{key}: {name}", make=make, file="scene.toml", key=key)


def _twice(place: scaffold.Place) -> Case:
    """The key given a second time, in the text."""

    def make(folder: Path) -> list[str]:
        scene = scaffold.scene_with(place.path)
        top, *rest = place.path
        if not rest:
            text = scaffold.document(scene) + f"{scaffold.toml({str(top): scene[str(top)]})[1:-1]}\n"
        else:
            marked: Any = scene
            for step in place.path[:-1]:
                marked = marked[step]
            last = str(place.path[-1])
            value = marked.pop(last)
            again = scaffold.toml({last: value})[1:-1]
            marked["=twice="] = 0
            text = scaffold.document(scene).replace("=twice= = 0", f"{again}, {again}")
        (folder / "scene.toml").write_text(text, encoding="utf-8")
        return ["figures", str(folder / "scene.toml")]

    # The text's own error knows the line, which begins with the outermost key.
    return Case(
        kind="keys", name=f"{place.key}: given twice", make=make, file="scene.toml", key=str(place.path[0]),
        words=("twice",),
    )


def wrongs(kind: Key) -> Iterator[tuple[str, scaffold.Path, Any]]:
    """Ways to get a value of a kind wrong: a name, where inside the value, and what to put there."""
    yield from ((name, (), value) for name, value in _of_wrong_type(kind))
    yield from _special(kind)


def _special(kind: Key) -> Iterator[tuple[str, scaffold.Path, Any]]:
    if isinstance(kind, Measure):
        yield from ((name, (), value) for name, value in _quantity(kind))
    elif isinstance(kind, FreeText):
        yield "too long", (), "x" * (kind.longest + 1)
        yield "a control character", (), "a\x1b[31mred"
        yield "a NUL", (), "a\x00b"
        if not kind.empty:
            yield "empty", (), ""
            yield "blank", (), " \t "
    elif isinstance(kind, OneOf):
        word = kind.options[0]
        for name, value in (
            ("empty", ""), ("no such word", "magic"), ("in capitals", f"{word.upper()}!"), ("padded", f" {word}"),
            ("a letter more", f"{word}x"), ("look-alike letters", f"{word}\u0430"), ("two words", f"{word}, {word}"),
        ):
            yield name, (), value
    elif isinstance(kind, Flag):
        for value in (0, 1, "yes", "true", "True", 1.0):
            yield f"{value!r}", (), value
    elif isinstance(kind, Whole):
        for value in (kind.low - 1, kind.high + 1, 10**30, -(10**30), kind.low + 0.5, float(kind.low), str(kind.low)):
            yield f"{value!r}", (), value
    elif isinstance(kind, Series):
        yield from _series(kind)
    elif isinstance(kind, Point):
        yield from _point(kind)
    elif isinstance(kind, Profile):
        yield from _profile()
    elif isinstance(kind, Repeat):
        good = scaffold.sample(kind)
        yield "one table", (), good[0]
        yield "too many", (), good * (kind.longest + 1)
        yield "a word among them", (), ["x"]
        if kind.shortest:
            yield "too few", (), good[: kind.shortest - 1]
    elif isinstance(kind, KeyGroup):
        yield "an unknown key", (), scaffold.sample(kind) | {"zzz": 1}
        yield "unknown kind of knowledge", (), scaffold.sample(kind) | {"known": "maybe"}
    elif isinstance(kind, Either):
        for form in (kind.first, kind.second):
            for name, inner, value in _special(form):
                if not _fits_other(kind, form, value):
                    yield f"{name} ({type(form).__name__})", inner, value


def _fits_other(kind: Either, form: Key, value: Any) -> bool:
    """Whether a wrong value of one form is a right one of the other."""
    other = kind.second if form is kind.first else kind.first
    try:
        other.read(value, "", Reader(file="", folder=Path()), "stated")
    except SceneError:
        return False
    return True


def _of_wrong_type(kind: Key) -> Iterator[tuple[str, Any]]:
    forms = (kind, *(part for part in (getattr(kind, "first", None), getattr(kind, "second", None)) if part))

    def may(*kinds: type[Key]) -> bool:
        return any(isinstance(form, kinds) for form in forms)

    bare = any(isinstance(form, Measure) and DIMENSIONS[form.dimension].bare for form in forms)
    if not may(Flag):
        yield "true", True
    yield "a date", DAY
    yield "not a number", math.nan
    yield "infinite", math.inf
    yield "minus infinite", -math.inf
    if not (bare or may(Whole)):
        yield "a bare whole number", 7
        yield "a bare number", 7.5
    yield "a list in a list", [[1]]
    yield "deeply nested", DEEP
    yield "an empty list", [] if not (may(Repeat) and all(
        form.shortest == 0 for form in forms if isinstance(form, Repeat))) else [[]]
    yield "a table of nothing known", {"zzz": 1}
    if not may(FreeText):
        yield "a word", "zebra"
        yield "nothing", ""


def _quantity(kind: Measure) -> Iterator[tuple[str, Any]]:
    dimension = DIMENSIONS[kind.dimension]
    number, unit = _parts(kind.low)
    high, high_unit = _parts(kind.high)
    shown = f" {unit}" if unit else ""
    below = number - HAIR * abs(number) if number else -1e-12
    above = high + HAIR * abs(high) if high else 1e-12
    good = kind.high
    yield "a hair below", f"{below!r}{shown}"
    yield "a hair above", f"{above!r} {high_unit}".rstrip()
    yield "absurdly large", f"1e300{shown}"
    yield "absurdly negative", f"-1e300{shown}"
    yield "beyond floats", f"1e999{shown}"
    for word in ("nan", "inf", "-Infinity"):
        yield word, f"{word}{shown}"
    yield "a decimal comma", f"1,5{shown}"
    yield "grouped digits", f"1 000{shown}"
    yield "underscored digits", f"1_000{shown}"
    yield "a fraction", f"1/2{shown}"
    yield "hexadecimal", f"0x10{shown}"
    yield "other digits", f"\u0663{shown}"
    yield "full-width digits", f"\uff15{shown}"
    yield "two quantities", f"{good} {good}"
    yield "no number", unit or "%%"
    yield "no known unit", f"{high!r} zorks"
    yield "a unit of something else", f"{high!r} {'kg' if kind.dimension != 'mass' else 'm'}"
    yield "a formula for a unit", f"{high!r} m**999999999"
    yield "code for a unit", f"{high!r} __import__('os')"
    yield "too long", f"{'9' * 90}{shown}"
    yield "a newline", f"{high!r}\n{high_unit}\nx"
    if not dimension.bare:
        yield "no unit", f"{high!r}"
    yield "no value", {"known": "guess"}
    yield "unknown kind of knowledge", {"value": good, "known": "maybe"}
    yield "knowledge of a wrong type", {"value": good, "known": ["guess"]}
    yield "an unknown part", {"value": good, "hi": good}
    if kind.banded:
        yield "low above the value", {"value": kind.low, "low": good}
        yield "high below the value", {"value": good, "high": kind.low}
        yield "low out of range", {"value": good, "low": f"-1e300{shown}"}
        yield "high without a value", {"high": good}
    else:
        yield "a band where there is none", {"value": good, "low": kind.low}
    if kind.share:
        yield "a hair above the whole", f"{_parts(kind.share)[0] * (1 + HAIR)!r} %"
        yield "a negative share", "-1e-9 %"
        yield "a share that is no number", "nan %"


def _parts(text: str) -> tuple[float, str]:
    found = re.fullmatch(r"(\S+?)\s*([^\s\d.].*)?", text)
    assert found is not None
    return float(found[1]), found[2] or ""


def _series(kind: Series) -> Iterator[tuple[str, scaffold.Path, Any]]:
    good = kind.item.high
    if kind.shortest > 1:
        yield "too short", (), [good] * (kind.shortest - 1)
    yield "too long", (), [good] * (kind.longest + 1)
    yield "no list as value", (), {"value": good, "known": "guess"}
    yield "no value", (), {"known": "guess"}
    yield "a band", (), {"value": [good] * kind.shortest, "low": [good]}
    for name, value in _quantity(kind.item):
        if not isinstance(value, dict):
            yield f"first item {name}", (), [value] + [good] * (kind.shortest - 1)


def _point(kind: Point) -> Iterator[tuple[str, scaffold.Path, Any]]:
    zero = "0 m"
    yield "two coordinates", (), [zero, zero]
    yield "four coordinates", (), [zero] * 4
    yield "one text", (), "0 m, 0 m, 0 m"
    yield "a table", (), {"x": zero, "y": zero, "z": zero}
    for i, axis in enumerate("xyz"):
        few = ("a hair above", "nan", "no unit", "a unit of something else", "low above the value")
        for name, value in _quantity(kind.coordinate):
            if axis != "x" and name not in few:
                continue
            yield f"{axis} {name}", (), [zero] * i + [value] + [zero] * (2 - i)


def _profile() -> Iterator[tuple[str, scaffold.Path, Any]]:
    a, b = ["0 m", "-5 m"], ["50 m", "-5 m"]
    for name, value in (
        ("one point", [a]), ("a point twice", [a, b, b]), ("going back", [b, a]), ("a point of one", [a, ["50 m"]]),
        ("a point of three", [a, [*b, "1 m"]]), ("no list inside", ["0 m", "1 m"]), ("bare numbers", [a, [50, -5]]),
        ("a height not finite", [a, ["50 m", "nan m"]]), ("a station infinite", [a, ["inf m", "-5 m"]]),
        ("a height of another kind", [a, ["50 m", "-5 kg"]]), ("a hair beyond", [a, ["10000.00001 m", "-5 m"]]),
        ("too many", [[f"{i} m", "-5 m"] for i in range(5001)]), ("a table inside", [a, {"value": b}]),
        ("a comma", [a, ["50 m", "-5,0 m"]]),
    ):
        yield name, (), value


def limits() -> Iterator[tuple[scaffold.Place, str]]:
    """Every quantity of the table at its lowest and its highest value, which are allowed."""
    for place in scaffold.places():
        for form in (place.kind, getattr(place.kind, "first", None), getattr(place.kind, "second", None)):
            if isinstance(form, Measure):
                yield place, form.low
                yield place, form.high


__all__ = ["SCENE", "cases", "limits", "wrongs"]

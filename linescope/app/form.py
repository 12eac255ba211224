"""The rig as a form, derived from the table of keys: every key of a scene file is a field, with the loader's words."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Any

from linescope.errors import InputError, SceneError
from linescope.notes import Term
from linescope.rig import InputNote
from linescope.scene.paths import covers, steps_of, value_in
from linescope.scene.tried import known_at, with_tried
from linescope.scene.typed import NUMBER_AND_UNIT, shown
from linescope.scenefile.fields import Either, Flag, FreeText, Key, OneOf, Variants, Whole
from linescope.scenefile.groups import KeyGroup, Repeat
from linescope.scenefile.keys import SCENE
from linescope.scenefile.quantities import Measure, Point, Profile, Series
from linescope.scenefile.reading import Reader, join
from linescope.units import from_si, to_si
from linescope.words import Words
from linescope.words.inputs import input_text

Json = dict[str, Any]

OWN = "own figures"
"""Choice that stands for a table of one's own instead of a class of the library."""

_SLIDERS = re.compile(
    r"main\.(tension|length)|backup\.(excess|loop_length|loop_depth|total_length)|walker\.(at|mass)|wind\.speed"
    r"|taping\.zones\[\d+\]\.(excess|spacing\.every)|hold\.(drag|friction)"
)
_TITLES = {
    "": "Name",
    "taping": "Tape plan",
    "tape": "Tape as bought and wound",
    "hold": "Hold of a tape",
    "clearance": "Clearance asked for",
}


def form_of(
    data: Mapping[str, Any],
    *,
    saved: Mapping[str, Any],
    notes: tuple[InputNote, ...],
    blamed: SceneError | InputError | None = None,
    tried: Mapping[str, str] = MappingProxyType({}),
    words: Words | None = None,
) -> list[Json]:
    """The form of a scene, section by section.

    Parameters
    ----------
    data, saved : mapping
        The scene as it is now, and as it was saved last: fields that differ are marked.
    notes : tuple of InputNote
        How the inputs of the last good state are known.
    blamed : InputError, optional
        What loader or solver refuse; shown beside the field whose key it names.
    tried : mapping of str to str
        Values that are tried in place of those of `data`, by dotted path.
    words : Words, optional

    Returns
    -------
    list of dict
        Sections with path, title, help, present, optional, removable, level, error and fields; fields with path,
        label, help, allowed, kind, text, options, known, low, high, error and slider (plain data for the page).
    """
    known = {note.key: note for note in notes}
    sections: list[Json] = []
    shown_data = with_tried(data, tried) if tried else data
    _group(SCENE, "", shown_data, saved, known, sections, level=0, title=_TITLES[""], optional=False)
    for field in (field for section in sections for field in section["fields"] if field["path"] in tried):
        field["changed"], field["what_if"] = True, in_file(data, field["path"], words or Words())
    if blamed is not None:
        _blame(sections, blamed)
    return sections


def words_of(error: InputError) -> str:
    """An error as it stands beside its field, where file and key need no naming."""
    return str(InputError(error.problem, found=error.found, allowed=error.allowed))


def in_file(data: Mapping[str, Any], path: str, words: Words) -> str:
    """What the file says of a value that is tried."""
    own = value_in(data, steps_of(path))
    if own is None:
        return words.say("inputs-not-in-file")
    known = Term(f"frame-known-{known_at(data, steps_of(path))}")
    return words.say("inputs-file", value=words.verbatim(shown(own)), known=known)


def label_of(name: str) -> str:
    """A key in plain words."""
    return name.replace("_", " ")


def _section(
    path: str, title: str, text: str, *, present: bool = True, optional: bool = False, removable: bool = False,
    level: int = 0,
) -> Json:
    return {
        "path": path, "title": title, "help": text, "present": present, "optional": optional,
        "removable": removable, "level": level, "error": "", "fields": [], "adds": [],
    }


def _group(
    group: KeyGroup,
    path: str,
    data: Any,
    saved: Any,
    known: dict[str, InputNote],
    sections: list[Json],
    *,
    level: int,
    title: str,
    optional: bool,
    removable: bool = False,
) -> None:
    """A table as a section, then the tables inside it."""
    present = isinstance(data, Mapping)
    section = _section(path, title, group.help, present=present, optional=optional, removable=removable, level=level)
    sections.append(section)
    if not present and (optional and group.when_absent == "nothing"):
        return
    data, saved = (part if isinstance(part, Mapping) else {} for part in (data, saved))
    hidden = _not_chosen(group, data)
    for name, kind in group.fields.items():
        where = join(path, name)
        if name in hidden or isinstance(kind, Variants) or (not path and name == "format" and name not in data):
            continue
        if isinstance(kind, Repeat):
            _repeat(kind, where, data.get(name), saved.get(name), known, sections, section, level=level)
        elif isinstance(kind, KeyGroup):
            _group(
                kind, where, data.get(name), saved.get(name), known, sections, level=level + 1,
                title=_TITLES.get(where, _title(path, name, title)), optional=not kind.required,
            )
        elif isinstance(kind, Either) and isinstance(kind.second, KeyGroup):
            section["fields"].append(_field(group, kind, where, name, data, saved, known))
            if isinstance(data.get(name), Mapping):
                _group(
                    kind.second, where, data[name], saved.get(name), known, sections, level=level + 1,
                    title=f"{title}: own figures of the {label_of(name)}", optional=False,
                )
        else:
            section["fields"].append(_field(group, kind, where, name, data, saved, known))


def _title(path: str, name: str, title: str) -> str:
    return f"{title}: {label_of(name)}" if path else label_of(name).capitalize()


def _repeat(
    kind: Repeat, path: str, data: Any, saved: Any, known: dict[str, InputNote], sections: list[Json],
    section: Json, *, level: int,
) -> None:
    items = data if isinstance(data, list) else []
    before = saved if isinstance(saved, list) else []
    word = {"zones": "zone", "joints": "joint"}.get(path.rpartition(".")[2], path)
    if not path.count("."):
        section = _section(path, label_of(path).capitalize(), kind.help)
        sections.append(section)
    section["adds"].append({"path": path, "label": f"Add a {word}"})
    for k, item in enumerate(items):
        title = f"{word.capitalize()} {k + 1}"
        if word == "zone":
            start = shown(item.get("from")) or (shown(items[k - 1].get("to")) if k else "anchor A")
            title += f": {start} to {shown(item.get('to')) or 'anchor B'}"
        _group(
            kind.item, f"{path}[{k + 1}]", item, before[k] if k < len(before) else None, known, sections,
            level=level + 1, title=title, optional=False, removable=len(items) > kind.shortest,
        )


def _not_chosen(group: KeyGroup, data: Mapping[str, Any]) -> set[str]:
    """Keys that others exclude, or that mean nothing without one that is missing."""
    hidden: set[str] = set()
    for names in group.exactly_one:
        chosen = next((name for name in names if name in data), names[0])
        hidden |= set(names) - {chosen}
    for names in group.at_most_one:
        given = [name for name in names if name in data]
        hidden |= set(names) - set(given) if given else set()
    hidden -= {name for name in hidden if name in data}
    return hidden | {name for name, other in group.needs.items() if other not in data and name not in data}


def _field(
    group: KeyGroup, kind: Key, path: str, name: str, data: Mapping[str, Any], saved: Mapping[str, Any],
    known: dict[str, InputNote],
) -> Json:
    raw = data.get(name)
    mapping = raw if isinstance(raw, Mapping) and "value" in raw else {}
    bands = isinstance(kind, Measure) and kind.banded
    note = known.get(path)
    alternatives = next((names for names in group.exactly_one if name in names), ())
    field: Json = {
        "path": path,
        "label": label_of(name),
        "help": kind.help or group.help,
        "allowed": kind.brief(),
        "kind": _kind(kind),
        "text": _text(kind, raw),
        "placeholder": _placeholder(kind, note) if raw is None else "",
        "options": _options(kind),
        "alternatives": [{"name": each, "label": label_of(each)} for each in alternatives],
        "required": kind.required or name in alternatives,
        "present": raw is not None,
        "known": note.known if note is not None else ("" if raw is None else "stated"),
        "own_known": str(mapping.get("known", "")),
        "can_be_known": isinstance(kind, Measure | Series | Point) and raw is not None,
        "banded": bands and raw is not None,
        "low": shown(mapping.get("low")),
        "high": shown(mapping.get("high")),
        "changed": raw != saved.get(name),
        "what_if": "",
        "error": "",
        "slider": None,
    }
    if raw is None:
        if field["required"]:
            field["error"] = f"this key is missing; allowed: {kind.allowed()}"
        return field
    try:
        kind.read(raw, path, Reader(file="", folder=Path()), "stated")
    except SceneError as error:
        # What is wrong inside a table of its own stands beside the fields in there.
        if not (isinstance(kind, Either) and isinstance(kind.second, KeyGroup) and error.key != path):
            field["error"] = words_of(error)
    if isinstance(kind, Measure) and _SLIDERS.fullmatch(path) and not field["error"]:
        field["slider"] = _slider(kind, raw, saved.get(name))
    return field


def _kind(kind: Key) -> str:
    if isinstance(kind, Either):
        return "choice" if isinstance(kind.second, KeyGroup) else "text"
    names: tuple[tuple[type[Key], str], ...] = (
        (OneOf, "choice"), (Flag, "flag"), (Measure, "quantity"), (Profile, "lines"), (Whole, "whole"),
    )
    if isinstance(kind, FreeText) and kind.longest > 300:
        return "lines"
    return next((name for each, name in names if isinstance(kind, each)), "text")


def _options(kind: Key) -> list[str]:
    if isinstance(kind, Either) and isinstance(kind.first, OneOf):
        return [*kind.first.options, *([OWN] if isinstance(kind.second, KeyGroup) else [])]
    if isinstance(kind, OneOf):
        return list(kind.options)
    return ["yes", "no"] if isinstance(kind, Flag) else []


def _text(kind: Key, raw: Any) -> str:
    if isinstance(kind, Either) and isinstance(kind.second, KeyGroup) and isinstance(raw, Mapping):
        return OWN
    return shown(raw).strip() if isinstance(kind, FreeText) else shown(raw)


def _placeholder(kind: Key, note: InputNote | None) -> str:
    if note is not None:
        return input_text(note, Words())
    return shown(kind.default) if kind.default is not None else ""


def _slider(kind: Measure, raw: Any, saved: Any) -> Json | None:
    """Range of a slider in the unit as typed: from half to one and a half times the value saved last."""
    text = raw.get("value") if isinstance(raw, Mapping) else raw
    base = saved.get("value") if isinstance(saved, Mapping) else saved
    found = NUMBER_AND_UNIT.fullmatch(str(text))
    if found is None:
        return None
    unit = found[2].strip()
    if kind.share and unit == "%":
        return {"low": 1.0, "high": 99.0, "step": 0.5, "value": float(found[1]), "unit": "%"}
    now = to_si(text, kind.dimension)
    try:
        middle = to_si(base, kind.dimension)
    except InputError:
        middle = now
    middle = middle if middle > 0.0 else max(now, to_si(kind.low, kind.dimension), 1e-3)
    low = max(min(0.5 * middle, now), to_si(kind.low, kind.dimension))
    high = min(max(1.5 * middle, now), to_si(kind.high, kind.dimension))
    ends = [from_si(value, unit, kind.dimension) for value in (low, high)]
    span = ends[1] - ends[0]
    if span <= 0.0:
        return None
    step = 10.0 ** math.floor(math.log10(span / 50.0))
    return {"low": ends[0], "high": ends[1], "step": step, "value": float(found[1]), "unit": unit}


def _blame(sections: list[Json], error: InputError) -> None:
    """Put an error of loader or solver beside the field or section that it names."""
    if not error.key:
        return
    fields = [field for section in sections for field in section["fields"]]
    if any(field["error"] and covers(field["path"], error.key) for field in fields):
        return
    inside = [field for field in fields if covers(field["path"], error.key)]
    if inside:
        max(inside, key=lambda field: len(field["path"]))["error"] = words_of(error)
        return
    outer = [section for section in sections if section["path"] and covers(section["path"], error.key)]
    if outer:
        max(outer, key=lambda section: len(section["path"]))["error"] = words_of(error)


def leaves(data: Any, path: str = "") -> Iterator[tuple[str, Any]]:
    """Every value of a scene with its path, tables of value and known counted as one."""
    if isinstance(data, Mapping) and "value" not in data:
        for name, part in data.items():
            yield from leaves(part, join(path, str(name)))
    elif isinstance(data, list) and data and all(isinstance(part, Mapping) and "value" not in part for part in data):
        for k, part in enumerate(data, 1):
            yield from leaves(part, f"{path}[{k}]")
    else:
        yield path, data

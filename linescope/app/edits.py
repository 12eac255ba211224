"""Edits of a scene that a person makes in the form: typed values, sources, limits, choices, tables put in or out."""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import numpy as np
import tomlkit

from linescope.app import form
from linescope.app.engine import SolvedRig
from linescope.errors import InputError
from linescope.events.excess import depth_for_loop_length
from linescope.notes import Verbatim
from linescope.scene.document import Document, EditNote, as_item, drop, edit_note, put
from linescope.scene.paths import steps_of, value_in
from linescope.scene.tried import excluded_by, field_at, is_sure, known_at, retyped
from linescope.scene.typed import NUMBER_AND_UNIT, raw_from, shown
from linescope.scenefile.fields import Either, Key
from linescope.scenefile.groups import KeyGroup, Repeat
from linescope.scenefile.keys import AS_MAIN
from linescope.scenefile.quantities import Measure, Point, Series
from linescope.scenefile.reading import USER_KNOWN, join
from linescope.units import NUMBER, from_si, to_si

LONGEST_TEXT = 20_000  # Characters in one field.


def typed(document: Document, path: str, text: str, gesture: str = "") -> None:
    """A value as a person typed it; empty text takes out what need not be there.

    What is measured, or from a data sheet, stays as it is: what is typed over it is tried.

    Raises
    ------
    InputError
        When the path means no key, or the text cannot be written.
    """
    if len(text) > LONGEST_TEXT:
        raise InputError("the text is too long", key=path, found=f"{len(text)} characters")
    kind, steps = field_at(path), steps_of(path)
    if isinstance(kind, KeyGroup | Repeat):
        raise InputError("this is a table, not a value", key=path)
    old = document.raw(steps)
    text = _with_unit(kind, text, document.tried.get(path) or shown(old))
    empty = not text.strip() and not kind.required
    if empty and path in document.tried:
        with document.edit(named(path), forget=(path,)):
            return
    if not empty and text != form.OWN and is_tried_over(document, path):
        document.try_values({path: text}, named(path), gesture)
        return
    with document.edit(named(path), gesture) as toml:
        if isinstance(kind, Either) and isinstance(kind.second, KeyGroup):
            put(toml, steps, _own_figures(document, old) if text == form.OWN else text)
        elif empty:
            drop(toml, steps)
            _drop_meaningless(toml, path.rpartition(".")[0])
        else:
            saved = value_in(document.saved_data, steps)
            fresh = retyped(kind, text, old, saved, known_at(document.saved_data, steps))
            put(toml, steps, fresh, inline=_inline(path))


def _with_unit(kind: Key, text: str, before: str) -> str:
    """A bare number takes the unit that its field shows; where it shows none, that of the key's example."""
    if not isinstance(kind, Measure) or not re.fullmatch(rf"\s*{NUMBER}\s*", text):
        return text
    for each in (before, shown(kind.default), shown(kind.example)):
        found = NUMBER_AND_UNIT.fullmatch(each)
        if found is not None:
            return f"{text.strip()} {found[2].strip()}".strip()
    return text


def is_tried_over(document: Document, path: str) -> bool:
    """Whether a value typed at a path would be tried, since what stands there may not be written over."""
    sure = any(is_sure(document.data, each) for each in (path, *excluded_by(path, document.data)))
    return sure or path in document.tried


def known(document: Document, path: str, how: str) -> None:
    """How a value is known: measured, sheet, guess, or "" for not said.

    Raises
    ------
    InputError
        When there is no such word, or no value to say it of.
    """
    if how and how not in USER_KNOWN:
        raise InputError("no such source", key=path, found=how, allowed=", ".join(USER_KNOWN))
    _part(document, path, "known", how)


def limit(document: Document, path: str, name: str, text: str) -> None:
    """The low or high end of a value; empty text takes it out.

    Raises
    ------
    InputError
        When `name` is neither, the text is wrong, or there is no value to say it of.
    """
    if name not in ("low", "high"):
        raise InputError("no such end", key=path, found=name, allowed="low, high")
    _part(document, path, name, text.strip())


def _part(document: Document, path: str, name: str, text: str) -> None:
    kind, steps = field_at(path), steps_of(path)
    old = document.raw(steps)
    if path in document.tried:
        raise InputError(
            "this value is tried: what the file says of its own value stays as it is", key=path, found=name,
            allowed="the value as it was, or a new measurement written into the file by hand",
        )
    if old is None or not isinstance(kind, Measure | Series | Point | Either):
        raise InputError("there is no value to say this of", key=path)
    table: dict[str, Any] = dict(old) if isinstance(old, Mapping) else {"value": old}
    table.pop(name, None)
    if text:
        table[name] = raw_from(kind, text, None) if name != "known" else text
    with document.edit(edit_note(EditNote.OF, what=label(path), name=name)) as toml:
        put(toml, steps, table["value"] if set(table) == {"value"} else table)


def chosen(document: Document, path: str, name: str, picture: SolvedRig | None) -> None:
    """Give a thing by another of the keys that exclude one another, with the value it has now where that is known.

    Raises
    ------
    InputError
        When the two keys do not exclude one another.
    """
    group_path, _, old = path.rpartition(".")
    kind = field_at(group_path)
    kind = kind.second if isinstance(kind, Either) else kind
    assert isinstance(kind, KeyGroup)
    names = next((each for each in kind.exactly_one if old in each and name in each), None)
    if names is None:
        raise InputError("these keys do not exclude one another", key=path, found=name)
    if name == old:
        return
    new_path = join(group_path, name)
    if is_tried_over(document, new_path) or path in document.tried:
        document.try_values({new_path: shown(_as_now(new_path, kind.fields[name], picture))}, named(new_path))
        return
    with document.edit(edit_note(EditNote.BY, what=label(group_path), name=form.label_of(name))) as toml:
        for each in names:
            drop(toml, steps_of(join(group_path, each)))
        _drop_meaningless(toml, group_path)
        put(toml, steps_of(new_path), _as_now(new_path, kind.fields[name], picture))


def _drop_meaningless(toml: tomlkit.TOMLDocument, group_path: str) -> None:
    """Take out keys of a table that mean nothing without another one that is no longer there."""
    if not group_path:
        return
    kind = field_at(group_path)
    kind = kind.second if isinstance(kind, Either) else kind
    table = value_in(toml, steps_of(group_path))
    if not isinstance(kind, KeyGroup) or not isinstance(table, Mapping):
        return
    while orphans := [name for name, other in kind.needs.items() if name in table and other not in table]:
        for name in orphans:
            drop(toml, steps_of(join(group_path, name)))


def _as_now(path: str, kind: Key, picture: SolvedRig | None) -> Any:
    """The value a key has in the solved rig; else its example, marked as a guess."""
    if picture is not None:
        rig, layout = picture.rig, picture.planned.layout
        bays, excess = layout.stated_bays, layout.stated_excess
        values: dict[str, tuple[float, str]] = {
            "main.length": (layout.main_length, "m"),
            "main.tension": (float(picture.planned.standing.state.segments.tension_start[0]), "kN"),
            "backup.excess": (float(np.mean(excess)), "%"),
            "backup.loop_length": (float(np.mean(layout.bays_backup)), "m"),
            "backup.total_length": (layout.backup_length, "m"),
            "backup.loop_depth": (float(np.mean(depth_for_loop_length(bays, bays * (1.0 + excess)))), "cm"),
        }
        if path in values:
            value, unit = values[path]
            assert isinstance(kind, Measure)
            return f"{from_si(value, unit, kind.dimension):.5g} {unit}"
        zone = re.fullmatch(r"taping\.zones\[(\d+)\]\.spacing\.(every|pattern|listed)", path)
        if zone is not None:
            index = int(zone[1]) - 1
            ends = np.cumsum(bays)
            inside = [k for k, tape in enumerate(layout.tapes) if tape.zone == index and tape.kind == "tape"]
            if inside and rig.taping.zones:
                mean = f"{float(np.mean(bays[inside])):.3g} m"
                listed = [f"{ends[k]:.2f} m" for k in inside]
                return {"every": mean, "pattern": [mean], "listed": listed}[zone[2]]
    return _guessed(kind)


def _guessed(kind: Key) -> Any:
    example = kind.example if kind.example is not None else kind.default
    if isinstance(kind, Measure) and not isinstance(example, Mapping):
        return {"value": example, "known": "guess"}
    return example


def added(document: Document, path: str) -> None:
    """Put in a table that is not there, or one more zone or joint; what it needs is marked as a guess.

    Raises
    ------
    InputError
        When the table is there already, or the path is that of a value.
    """
    kind, steps = field_at(path), steps_of(path)
    old = document.raw(steps)
    with document.edit(edit_note(EditNote.ADD, what=label(path))) as toml:
        if isinstance(kind, Repeat):
            items = list(old) if isinstance(old, list) else []
            place = _new_item(kind.item, items, path)
            if not isinstance(old, list):
                value_in(toml, steps[:-1])[steps[-1]] = tomlkit.aot()
            target: Any = value_in(toml, steps)
            if path == "taping.zones" and items:
                _close_last_zone(target[len(items) - 1], items, document)
            new = _table(place)
            new.add(tomlkit.nl())
            target.append(new)
        elif isinstance(kind, KeyGroup):
            if isinstance(old, Mapping):
                raise InputError("this table is there already", key=path)
            put(toml, steps, _table(_needed(kind)) if not kind.inline else _needed(kind))
        else:
            raise InputError("this is a value, not a table", key=path)


def _table(values: Mapping[str, Any]) -> Any:
    table = tomlkit.table()
    for name, value in values.items():
        table[name] = as_item(value)
    return table


def _needed(group: KeyGroup) -> dict[str, Any]:
    """What a table cannot do without: examples, marked as guesses."""
    out: dict[str, Any] = {}
    for name, kind in group.fields.items():
        first = any(names[0] == name for names in group.exactly_one)
        if kind.required or first:
            out[name] = _needed(kind) if isinstance(kind, KeyGroup) else _guessed(kind)
    if not out and group.fields:
        name, kind = next(iter(group.fields.items()))
        out[name] = _guessed(kind)
    return out


def _new_item(group: KeyGroup, items: list[Any], path: str) -> dict[str, Any]:
    """One more zone like the last one, or one more joint."""
    if path == "taping.zones" and items:
        last = {name: part for name, part in items[-1].items() if name not in ("from", "to")}
        return dict(last)
    return _needed(group)


def _close_last_zone(zone: Any, items: list[Any], document: Document) -> None:
    """The zone that reached to anchor B ends half way, so that another can follow."""
    if "to" in zone:
        return
    before = items[-2].get("to") if len(items) > 1 else None
    start = 0.0
    if isinstance(before, str):
        start = to_si(before, "length")
    anchors = document.data.get("anchors", {})
    ends = []
    for name in ("a", "b"):
        point = anchors.get(name)
        point = point.get("value") if isinstance(point, Mapping) else point
        if not isinstance(point, list):
            return
        ends.append([to_si(p["value"] if isinstance(p, Mapping) else p, "length") for p in point])
    length = float(np.linalg.norm(np.subtract(ends[1], ends[0])))
    zone["to"] = f"{0.5 * (start + length):.3g} m"


def removed(document: Document, path: str) -> None:
    """Take out a table, a zone or a joint.

    Raises
    ------
    InputError
        When it is not there, or a scene needs it.
    """
    kind, steps = field_at(path), steps_of(path)
    if document.raw(steps) is None:
        raise InputError("there is nothing to take out", key=path)
    if kind.required and not isinstance(steps[-1], int):
        raise InputError("a scene needs this table", key=path)
    if path.startswith("taping.zones[") and len(document.data["taping"]["zones"]) == 1:
        raise InputError("this is the only zone", key=path, allowed="another zone first, or all of [taping]")
    with document.edit(edit_note(EditNote.TAKE_OUT, what=label(path))) as toml:
        drop(toml, steps)
        if path.startswith("taping.zones["):
            zones: Any = toml["taping"]
            last = zones["zones"][-1]
            if "to" in last:
                del last["to"]


def walker_to(document: Document, share: float, span: float, gesture: str = "") -> None:
    """Move the walker to a share of the straight line A to B, in the unit his place was typed in.

    Raises
    ------
    InputError
        When the rig has no walker.
    """
    if document.raw(("walker",)) is None:
        raise InputError("the rig has no walker to move", key="walker")
    if not np.isfinite(share):
        raise InputError("this is no place on the line", key="walker", found=share, allowed="a share from 0 to 1")
    share = min(max(float(share), 0.001), 0.999)
    raw = document.raw(("walker", "at"))
    text = shown(raw)
    unit = re.sub(r"^[\s\d.eE+-]+", "", text) or "%"
    if unit == "%":
        value = f"{100.0 * share:.1f} %"
    else:
        value = f"{from_si(share * span, unit, 'length'):.2f} {unit}"
    typed(document, "walker.at", value, gesture)


def ground_from(document: Document, mesh: str) -> None:
    """Take a mesh the user named as the ground; the loader says where it may lie."""
    path = Path(mesh).expanduser()
    folder = document.path.parent
    text = mesh
    if path.is_absolute():
        text = os.path.relpath(path, folder).replace(os.sep, "/")
    with document.edit(edit_note(EditNote.MESH)) as toml:
        drop(toml, ("ground",))
        put(toml, ("ground",), _table({"kind": "mesh", "file": text}))


def _own_figures(document: Document, old: Any) -> dict[str, Any]:
    """Own figures begin as those of the library class chosen so far."""
    if isinstance(old, Mapping):
        return dict(old)
    base = old
    if old == AS_MAIN or not isinstance(old, str):
        main = document.raw(("main", "webbing"))
        if isinstance(main, Mapping):
            return dict(main)
        base = main
    return {"like": base}


def _inline(path: str) -> bool:
    """Whether the table a key stands in is written on one line."""
    parent = path.rpartition(".")[0]
    if not parent:
        return False
    kind = field_at(parent)
    return isinstance(kind, KeyGroup) and kind.inline


def named(path: str) -> Verbatim:
    """The name of an undo step at a path."""
    return Verbatim(label(path))


def label(path: str) -> str:
    """A path as its keys are written in the file, in plain words."""
    return path.replace("taping.zones", "zone").replace(".", " ").replace("_", " ").replace("[", " ").replace("]", "")

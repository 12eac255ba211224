"""For every key of the scene table, a scene that is whole and uses it; derived from the table itself."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from linescope.scenefile.fields import Key
from linescope.scenefile.groups import KeyGroup, Repeat
from linescope.scenefile.keys import SCENE

Path = tuple[str | int, ...]


@dataclass(frozen=True, kw_only=True)
class Place:
    """One key of the table: where it stands in the scene made for it, and what kind it is."""

    path: Path
    kind: Key

    @property
    def key(self) -> str:
        """As messages spell it, list items counted from 1."""
        text = ""
        for step in self.path:
            text += f"[{step + 1}]" if isinstance(step, int) else f".{step}" if text else step
        return text


def places(kind: KeyGroup = SCENE, path: Path = ()) -> Iterator[Place]:
    """Every key of the table, tables and lists of tables among them; where two forms are allowed, also inside both."""
    for name, field in kind.fields.items():
        here = (*path, name)
        yield Place(path=here, kind=field)
        if isinstance(field, Repeat):
            yield from places(field.item, (*here, 0))
        else:
            for part in (field, *(getattr(field, form, None) for form in ("first", "second"))):
                if isinstance(part, KeyGroup):
                    yield from places(part, here)


def sample(kind: Key) -> Any:
    """A value of a key by its own example or default."""
    if isinstance(kind, Repeat):
        return [sample(kind.item)]
    if isinstance(kind, KeyGroup) and kind.example is None:
        return {name: sample(field) for name, field in kind.fields.items() if needed(kind, name)}
    return kind.example if kind.example is not None else kind.default


def needed(group: KeyGroup, name: str) -> bool:
    """Whether a table cannot do without a key (of keys that exclude one another, the first)."""
    return group.fields[name].required or any(name == names[0] for names in group.exactly_one)


def scene_with(path: Path) -> dict[str, Any]:
    """A whole scene in which the key at a path stands with a value that is allowed."""
    scene: dict[str, Any] = sample(SCENE)
    group: Key = SCENE
    node: Any = scene
    for step in path:
        if isinstance(group, Repeat):
            group = group.item
        elif not isinstance(group, KeyGroup):
            group = next(part for part in (getattr(group, "first", None), getattr(group, "second", None))
                         if isinstance(part, KeyGroup) and step in part.fields)
        if isinstance(step, int):
            node = node[step]
            continue
        assert isinstance(group, KeyGroup)
        field = group.fields[step]
        _make_room(node, group, step)
        if step not in node or not isinstance(node[step], dict | list):
            node[step] = sample(field)
        if step != path[-1] and not isinstance(node[step], dict | list):
            node[step] = sample(field.second)  # type: ignore[attr-defined]
        group, node = field, node[step]
    return scene


def _make_room(node: dict[str, Any], group: KeyGroup, name: str) -> None:
    """Drop what excludes a key, and add what it needs."""
    for names in (*group.exactly_one, *group.at_most_one):
        if name in names:
            for other in names:
                if other != name:
                    node.pop(other, None)
    other = group.needs.get(name)
    if other is not None and other not in node:
        _make_room(node, group, other)
        node[other] = sample(group.fields[other])


def replaced(scene: dict[str, Any], path: Path, value: Any) -> dict[str, Any]:
    """The same scene (changed in place) with another value at a path; the path may lead into lists and points."""
    node: Any = scene
    for step in path[:-1]:
        node = node[step]
    node[path[-1]] = value
    return scene


def toml(value: Any) -> str:
    """A value as TOML on one line; text is written as it is, so that a caller may break it."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, list):
        return "[" + ", ".join(toml(each) for each in value) + "]"
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{name} = {toml(each)}" for name, each in value.items()) + "}"
    return str(value)


def document(scene: Mapping[str, Any]) -> str:
    """A scene as TOML text, one table or value a line."""
    return "".join(f"{name} = {toml(value)}\n" for name, value in scene.items())

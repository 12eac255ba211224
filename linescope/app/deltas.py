"""What the page already has: only parts of pictures and fields of the form that changed are sent again."""

from __future__ import annotations

from typing import Any

from linescope.app.frames import Parcel, fingerprint

Json = dict[str, Any]


class Sent:
    """The newest pictures and form, whole for tabs that are opened later, and what changed in them.

    Attributes
    ----------
    pictures : dict
        By variant: name, meta and all parts as bytes.
    form : dict
        Order of the sections, sections and fields by path.
    """

    def __init__(self) -> None:
        self.pictures: dict[str, Json] = {}
        self.form: Json = {"order": [], "sections": {}, "fields": {}}
        self._marks: dict[str, dict[str, str]] = {}

    def picture(self, name: str, frame: Parcel, ground: dict[str, bytes] | None, revision: int) -> Json:
        """A message with the parts of a variant's picture that differ from what was sent last."""
        parts = frame.parts if ground is None else {**frame.parts, **ground}
        marks = self._marks.setdefault(name, {})
        fresh = {}
        for part, data in parts.items():
            mark = fingerprint(data)
            if marks.get(part) != mark:
                marks[part] = mark
                fresh[part] = data
        whole = self.pictures.setdefault(name, {"name": name, "parts": {}})
        whole["parts"].update(parts)
        whole["meta"] = {**frame.meta, "revision": revision}
        return {"name": name, "meta": whole["meta"], "parts": fresh}

    def copied(self, source: str, target: str) -> Json | None:
        """The whole picture of one variant as that of another that begins as its copy."""
        if source not in self.pictures or target in self.pictures:
            return None
        whole = self.pictures[source]
        self.pictures[target] = {**whole, "name": target, "parts": dict(whole["parts"])}
        self._marks[target] = dict(self._marks[source])
        return self.pictures[target]

    def keep_only(self, names: set[str]) -> None:
        """Drop the pictures of variants that are gone."""
        for name in set(self.pictures) - names:
            del self.pictures[name], self._marks[name]

    def form_change(self, sections: list[Json]) -> Json | None:
        """A message with the sections and fields that changed; None when none did."""
        tables = {
            section["path"]: {**section, "fields": [field["path"] for field in section["fields"]]}
            for section in sections
        }
        fields = {field["path"]: field for section in sections for field in section["fields"]}
        order = [section["path"] for section in sections]
        old, self.form = self.form, {"order": order, "sections": tables, "fields": fields}
        change = {
            "order": order if order != old["order"] else None,
            "sections": {path: table for path, table in tables.items() if old["sections"].get(path) != table},
            "fields": {path: field for path, field in fields.items() if old["fields"].get(path) != field},
        }
        return change if any(change.values()) else None

"""Scenes allowed key by key that would keep a machine busy for hours: a slip in a figure or a unit."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tests.broken import scaffold
from tests.broken.case import Case

COMMANDS = ("figures", "brief", "clearance", "film", "tapes", "compare")
SPACING = ("taping", "zones", 0, "spacing")
END = ("anchors", "b", 0)
OF_ZONE = "taping.zones[1].spacing"
SLIPS: tuple[tuple[str, dict[scaffold.Path, Any], str], ...] = (
    ("spacing of a millimetre", {(*SPACING, "every"): "1 mm"}, OF_ZONE),
    ("decimetres for metres on a long line", {END: "950 m", (*SPACING, "every"): "3 dm"}, OF_ZONE),
    ("a kilometre at 10 cm", {END: "1 km", (*SPACING, "every"): "10 cm"}, OF_ZONE),
    ("the longest line at the least spacing", {END: "5 km", (*SPACING, "every"): "10 cm"}, OF_ZONE),
    ("the same, irregular", {END: "5 km", SPACING: {"every": "10 cm", "spread": "50 %"}}, OF_ZONE),
    ("the same, as a pattern", {END: "5 km", SPACING: {"pattern": ["10 cm", "11 cm"]}}, OF_ZONE),
    ("the same, loops by depth", {END: "5 km", SPACING: {"every": "10 cm"}, ("backup",): {
        "webbing": "as main", "loop_depth": "1 cm"}}, OF_ZONE),
    ("too many listed", {END: "5 km", SPACING: {"listed": [f"{k} m" for k in range(1, 4500)]}}, OF_ZONE),
    ("far too many listed", {SPACING: {"listed": [f"{k} mm" for k in range(20, 49000)]}}, f"{OF_ZONE}.listed"),
    ("a second zone that is too fine", {END: "1 km", ("taping", "zones"): [
        {"style": "fixed wrap", "to": "500 m", "spacing": {"every": "3 m"}},
        {"style": "fixed wrap", "spacing": {"every": "10 cm"}}]}, "taping.zones[2].spacing"),
    ("very many zones", {("taping", "zones"): [
        *({"style": "fixed wrap", "to": f"{k} mm", "spacing": {"every": "3 m"}} for k in range(20, 20020)),
        {"style": "fixed wrap", "spacing": {"every": "3 m"}}]}, "taping.zones"),
    ("very many ties", {("ties",): {"at": [f"{k} mm" for k in range(20, 49000)]}}, "ties.at"),
    ("a span of a thousand kilometres", {END: "1e6 m"}, "anchors"),
    ("a main of a thousand kilometres", {("main",): {"webbing": "polyester 25 mm", "length": "1e6 m"}}, "main.length"),
    ("a backup of a thousand kilometres", {("backup",): {"webbing": "as main", "total_length": "1e6 m"}},
     "backup.total_length"),
)


def cases() -> Iterator[Case]:
    """Every slip, with every command that computes."""
    for name, changes, key in SLIPS:
        for command in COMMANDS:
            yield Case(
                kind="sizes", name=f"{name}: {command}", file="scene.toml", key=key, words=("found", "allowed"),
                make=lambda folder, changes=changes, command=command: _written(folder, changes, command),
            )


def scene(changes: dict[scaffold.Path, Any]) -> str:
    """A scene that every command can work on, with some of its values changed."""
    made = copy.deepcopy(scaffold.scene_with(("walker", "mass")))  # Not the examples of the table themselves.
    made["walker"]["at"] = "50 %"
    made["ground"] = {"kind": "profile", "profile": [["-20 m", "-30 m"], ["6000 m", "-30 m"]]}
    made["clearance"] = {"line": "1 m", "loop": "1 m", "body": "3 m"}
    for path, value in changes.items():
        scaffold.replaced(made, path, value)
    return scaffold.document(made)


def _written(folder: Path, changes: dict[scaffold.Path, Any], command: str) -> list[str]:
    path = folder / "scene.toml"
    path.write_text(scene(changes), encoding="utf-8")
    out = {"brief": ["-o", str(folder / "out")], "film": ["-o", str(folder / "out.gif")]}
    return [command, str(path), *out.get(command, [])]

"""Every mistake in a scene is named: file, key, what was found, what is allowed."""

from __future__ import annotations

import copy
import tomllib
from pathlib import Path
from typing import Any

import pytest

from linescope.errors import SceneError
from linescope.scene import load
from linescope.scenefile import from_mapping, from_text

GOOD = """
title = "Invented"
[anchors]
a = ["0 m", "0 m", "0 m"]
b = ["50 m", "0 m", "-1 m"]
[main]
webbing = "polyester 25 mm"
tension = "2.5 kN"
end = "A"
[backup]
excess = "5 %"
[backup.webbing]
name = "mine"
width = "25 mm"
thickness = "2 mm"
mass = "52 g/m"
breaking_strength = "30 kN"
stretch = { tension = ["2 kN", "5 kN"], elongation = ["1 %", "2.4 %"] }
[taping]
measured_on = "slack"
[[taping.zones]]
to = "10 m"
style = "fixed wrap"
spacing = { every = "1.5 m" }
[[taping.zones]]
style = "tucked-tab slider"
holds = "main"
spacing = { every = "3 m", spread = "20 %" }
[hold]
friction = { low = 0.1, value = 0.2, high = 0.3 }
[walker]
mass = "75 kg"
[wind]
speed = "8 m/s"
from = "left"
[ground]
kind = "profile"
profile = [["0 m", "-1 m"], ["25 m", "-20 m"], ["50 m", "-2 m"]]
[clearance]
line = "1 m"
loop = "0.5 m"
body = "3 m"
"""
DELETE = object()
ZONES = ("taping", "zones")

# Where to change the good scene, the new value, the key the message names, and a word of it.
MISTAKES: list[tuple[tuple[str | int, ...], Any, str, str]] = [
    (("title",), DELETE, "title", "missing"),
    (("title",), "  ", "title", "empty"),
    (("title",), 5, "title", "text"),
    (("titel",), "x", "titel", "did you mean 'title'"),
    (("format",), 2, "format", "allowed: 1"),
    (("anchors",), DELETE, "anchors", "missing"),
    (("anchors",), [1, 2], "anchors", "table"),
    (("anchors", "c"), ["0 m", "0 m", "0 m"], "anchors.c", "no such key"),
    (("anchors", "b"), ["50 m", "0 m"], "anchors.b", "list of three"),
    (("anchors", "b"), ["50 m", "0 m", "7"], "anchors.b.z", "unit is missing"),
    (("anchors", "b"), ["50", "0 m", "0 m"], "anchors.b.x", "unit is missing"),
    (("anchors", "b"), ["50,0 m", "0 m", "0 m"], "anchors.b.x", "comma"),
    (("anchors", "b"), ["20000 km", "0 m", "0 m"], "anchors.b.x", "out of range"),
    (("anchors", "b"), ["20 km", "0 m", "0 m"], "anchors", "further apart"),
    (("anchors", "b"), ["0 m", "0 m", "-50 m"], "anchors", "vertical"),
    (("anchors", "b"), ["0.1 m", "0 m", "0 m"], "anchors", "closer"),
    (("main", "webbing"), "polyestr 25 mm", "main.webbing", "did you mean 'polyester 25 mm'"),
    (("main", "webbing"), 3, "main.webbing", "table"),
    (("main", "webbing"), "as main", "main.webbing", "choices"),
    (("main", "tension"), "2,5 kN", "main.tension", "comma"),
    (("main", "tension"), "10 kn", "main.tension", "did you mean 'kN'"),
    (("main", "tension"), "5 Nm", "main.tension", "not a unit of force"),
    (("main", "tension"), "nan kN", "main.tension", "not finite"),
    (("main", "tension"), "-2 kN", "main.tension", "from 50 N to 100 kN"),
    (("main", "tension"), "200 kN", "main.tension", "out of range"),
    (("main", "tension"), 2500, "main.tension", "unit"),
    (("main", "tension"), True, "main.tension", "force is needed"),
    (("main", "tension"), ["2.5 kN"], "main.tension", "force is needed"),
    (("main", "tension"), "31 kN", "main.tension", "breaking strength"),
    (("main", "tension"), DELETE, "main.tension", "needed"),
    (("main",), {"webbing": "nylon 25 mm", "length": "49 m", "end": "B"}, "main.end", "without 'tension'"),
    (("main", "length"), "49 m", "main.length", "exclude one another"),
    (("main", "end"), "C", "main.end", '"A", "B"'),
    (("main", "tension"), {"known": "guess"}, "main.tension.value", "missing"),
    (("main", "tension"), {"value": "2 kN", "known": "maybe"}, "main.tension.known", "measured"),
    (("main", "tension"), {"value": "2 kN", "hi": "3 kN"}, "main.tension.hi", "no such key"),
    (("main", "tension"), {"value": "2 kN", "low": "3 kN"}, "main.tension", "must rise"),
    (("main", "tension"), {"value": "2 kN", "low": "1.5 m"}, "main.tension.low", "but of length"),
    (("main", "stiffness_factor"), "0 %", "main.stiffness_factor", "out of range"),
    (("backup", "excess"), 5, "backup.excess", "out of range"),
    (("backup", "excess"), "5 deg", "backup.excess", "not a unit of ratio"),
    (("backup", "excess"), DELETE, "backup.excess", "needed"),
    (("backup", "loop_depth"), "40 cm", "backup.loop_depth", "exclude"),
    (("backup", "webbing", "mass"), DELETE, "backup.webbing.mass", "missing"),
    (("backup", "webbing", "mass"), "52 g", "backup.webbing.mass", "did you mean 'g/m'"),
    (("backup", "webbing", "aged_strength"), "31 kN", "backup.webbing.aged_strength", "above"),
    (("backup", "webbing", "rope"), True, "backup.webbing.thickness", "rope"),
    (("backup", "webbing", "rope"), "yes", "backup.webbing.rope", "true or false"),
    (("backup", "webbing", "like"), "hemp", "backup.webbing.like", "choices"),
    (("backup", "webbing", "stretch", "tension"), ["2 kN"], "backup.webbing.stretch.tension", "equally many"),
    (
        ("backup", "webbing", "stretch", "tension"),
        DELETE,
        "backup.webbing.stretch.tension",
        "needs its tensions",
    ),
    (
        ("backup", "webbing", "stretch", "tension"),
        ["5 kN", "2 kN"],
        "backup.webbing.stretch.elongation",
        "rises",
    ),
    (
        ("backup", "webbing", "stretch", "elongation"),
        ["1 %", "x"],
        "backup.webbing.stretch.elongation[2]",
        "number",
    ),
    (
        ("backup", "webbing", "stretch"),
        {"elongation": "4 %"},
        "backup.webbing.stretch.at",
        "tension it was read at",
    ),
    (("backup", "webbing", "stretch"), {"at": "4 kN"}, "backup.webbing.stretch.elongation", "needed"),
    (
        ("backup", "webbing", "stretch"),
        {"stiffness": "4 m"},
        "backup.webbing.stretch.stiffness",
        "but of length",
    ),
    (("taping", "measured_on"), DELETE, "taping.measured_on", "missing"),
    (("taping", "measured_on"), "wet", "taping.measured_on", '"slack", "tensioned"'),
    (("taping", "tension"), "300 N", "taping.tension", "contradicts"),
    (ZONES, [], "taping.zones", "list of tables"),
    (ZONES, {"style": "fixed wrap"}, "taping.zones", "list of tables"),
    ((*ZONES, 0, "style"), "fixed warp", "taping.zones[1].style", "did you mean 'fixed wrap'"),
    ((*ZONES, 0, "to"), DELETE, "taping.zones[1].to", "last zone"),
    ((*ZONES, 0, "to"), "0 m", "taping.zones[1].to", "before it begins"),
    ((*ZONES, 0, "from"), "2 m", "taping.zones[1].from", "gap or overlap"),
    ((*ZONES, 0, "holds"), "main", "taping.zones[1].holds", "cannot hold that"),
    ((*ZONES, 1, "from"), "12 m", "taping.zones[2].from", "gap or overlap"),
    ((*ZONES, 1, "to"), "30 m", "taping.zones[2].to", "anchor B"),
    ((*ZONES, 1, "spacing"), DELETE, "taping.zones[2].spacing", "missing"),
    ((*ZONES, 1, "spacing"), {}, "taping.zones[2].spacing.every", "needed"),
    ((*ZONES, 1, "spacing", "every"), "1 cm", "taping.zones[2].spacing.every", "out of range"),
    ((*ZONES, 1, "spacing", "pattern"), ["2 m"], "taping.zones[2].spacing.pattern", "exclude"),
    ((*ZONES, 1, "spacing", "seed"), 1.5, "taping.zones[2].spacing.seed", "whole number"),
    ((*ZONES, 1, "spacing"), {"seed": 1, "every": "2 m"}, "taping.zones[2].spacing.seed", "without 'spread'"),
    ((*ZONES, 1, "spacing"), {"listed": ["9 m", "5 m"]}, "taping.zones[2].spacing.listed", "in order"),
    ((*ZONES, 1, "spacing"), {"listed": []}, "taping.zones[2].spacing.listed", "list"),
    ((*ZONES, 1, "hold"), {"drag": "-1 N"}, "taping.zones[2].hold.drag", "out of range"),
    (("hold", "friction"), {"low": 0.3, "value": 0.2}, "hold.friction", "must rise"),
    (("hold", "friction"), "0.2 N", "hold.friction", "not a unit of number"),
    (("tape",), {"wraps": 0}, "tape.wraps", "out of range"),
    (("joints",), [{"mass": "1 g"}], "joints[1].at", "missing"),
    (("ties",), {"at": "5 m"}, "ties.at", "list"),
    (("walker", "mass"), "75", "walker.mass", "unit is missing"),
    (("walker", "at"), "60 m", "walker.at", "outside the line"),
    (("walker", "at"), "120 %", "walker.at", "share"),
    (("walker", "leash"), "90 cm", "walker.leash", "tie-in height, 1.00 m"),
    (("walker", "at"), {"value": "50 %", "low": "40 %"}, "walker.at.low", "no such key"),
    (("wind", "from"), "north", "wind.from", '"left", "right"; or an angle'),
    (("wind", "from"), 90, "wind.from", "unit"),
    (("wind", "speed"), "8 m", "wind.speed", "but of length"),
    (("wind", "altitude"), "90 km", "wind.altitude", "out of range"),
    (("ground", "kind"), "mesh", "ground.kind", "profile"),
    (("ground", "profile"), [["0 m", "-1 m"]], "ground.profile", "list of pairs"),
    (("ground", "profile"), [["0 m", "1 m"], ["0 m", "2 m"]], "ground.profile[2]", "rise"),
    (("ground", "profile"), [["0 m", "1 m"], ["1 m"]], "ground.profile[2]", "pair"),
    (("ground", "file"), "x.obj", "ground.file", "exclude"),
    (("ground",), {"kind": "mesh", "file": "nowhere.obj"}, "ground.file", "no such file"),
    (("ground",), {"kind": "mesh", "file": "/etc/passwd"}, "ground.file", "leads away"),
    (("ground",), {"kind": "mesh", "file": "a/../../../x.obj"}, "ground.file", "leads away"),
    (("ground",), {"kind": "mesh", "file": "..\\..\\x.obj"}, "ground.file", "leads away"),
    (("ground",), {"kind": "mesh", "file": "C:/x.obj"}, "ground.file", "leads away"),
    (("ground",), {"kind": "mesh", "file": "."}, "ground.file", "folder"),
    (
        ("ground",),
        {"kind": "mesh", "file": "x.obj", "half_width": "3 m"},
        "ground.half_width",
        "only a profile",
    ),
    (("ground", "up"), "z", "ground.up", "without 'file'"),
    (("clearance", "body"), DELETE, "clearance.body", "missing"),
    (("clearance", "line"), "-1 m", "clearance.line", "out of range"),
]


def changed(path: tuple[str | int, ...], value: Any) -> dict[str, Any]:
    data = copy.deepcopy(tomllib.loads(GOOD))
    place: Any = data
    for step in path[:-1]:
        place = place[step]
    if value is DELETE:
        del place[path[-1]]
    else:
        place[path[-1]] = value
    return data


def test_the_good_scene_loads() -> None:
    assert from_text(GOOD, file="good.toml", folder=".").rig.name == "Invented"


@pytest.mark.parametrize(("path", "value", "key", "word"), MISTAKES)
def test_a_mistake_is_named(
    path: tuple[str | int, ...], value: Any, key: str, word: str, tmp_path: Path
) -> None:
    with pytest.raises(SceneError) as caught:
        from_mapping(changed(path, value), file="bad.toml", folder=tmp_path)
    message = str(caught.value)
    assert message.startswith(f"bad.toml: key '{key}': ")
    assert word in message
    assert caught.value.exit_status == 2


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (GOOD.replace('end = "A"', 'tension = "3 kN"').encode(), ("given twice", "key 'main.tension'")),
        ((GOOD + '[main]\nend = "A"\n').encode(), ("given twice", "key 'main'")),
        (GOOD.replace('"2.5 kN"', "2.5 kN").encode(), ("not TOML", "key 'main.tension'", "2.5 kN")),
        (b'title = "never closed\n', ("not TOML", "key 'title'")),
        (b"x = " + b"[" * 100_000, ("nested too deeply",)),
        (b"format = " + b"1" * 5000, ("not TOML",)),
        (GOOD.encode("utf-16"), ("not UTF-8",)),
        ('title = "Gr\u00fcn"'.encode("latin-1"), ("not UTF-8", "0xfc")),
        (b"\x89PNG\r\n\x1a\n\x00\x00", ("not UTF-8",)),
        (b"title = \x00", ("not TOML",)),
        (b"", ("key 'title'", "missing")),
        (b"#" * 5_000_001, ("too large", "5.0 MB")),
        (b'{"title": "json"}', ("not TOML",)),
    ],
)
def test_a_file_that_is_no_scene(content: bytes, words: tuple[str, ...], tmp_path: Path) -> None:
    path = tmp_path / "bad.toml"
    path.write_bytes(content)
    with pytest.raises(SceneError) as caught:
        load(path)
    assert str(caught.value).startswith(f"{path}: ")
    for word in words:
        assert word in str(caught.value)


def test_no_file_or_a_folder(tmp_path: Path) -> None:
    with pytest.raises(SceneError, match="no such file"):
        load(tmp_path / "none.toml")
    with pytest.raises(SceneError, match="folder"):
        load(tmp_path)
    with pytest.raises(SceneError, match=r"cannot be read|no such file"):
        load("nul\0.toml")


def test_a_ground_file_may_lie_in_the_folder_or_beside_it(tmp_path: Path) -> None:
    (tmp_path / "scenes" / "deep").mkdir(parents=True)
    (tmp_path / "ground").mkdir()
    for place in ("scenes/deep/a.obj", "ground/b.obj"):
        (tmp_path / place).write_text("v 0 0 0\n")
    for file, unit in (("deep/a.obj", "ft"), ("../ground/b.obj", "m")):
        data = changed(("ground",), {"kind": "mesh", "file": file, "unit": unit, "turn": "90 deg"})
        rig = from_mapping(data, file="a.toml", folder=tmp_path / "scenes").rig
        assert rig.ground is not None and rig.ground.path is not None
        assert rig.ground.path.is_file() and rig.ground.path.suffix == ".obj"
        assert rig.ground.factor == pytest.approx(0.3048 if unit == "ft" else 1.0, rel=1e-15)

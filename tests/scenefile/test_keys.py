"""What the table of keys promises: readable examples and defaults, known and bands, schema, beginnings."""

from __future__ import annotations

import subprocess
import sys
import tomllib
from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from linescope.errors import InputError, OutputError
from linescope.notes import Quantity
from linescope.rig import InputPhrase, Walker, Wind
from linescope.scene import load
from linescope.scenefile import from_mapping, from_text, schema, start, start_text, starts
from linescope.scenefile.fields import Either, Key
from linescope.scenefile.groups import KeyGroup, Repeat
from linescope.scenefile.keys import SCENE
from linescope.scenefile.reading import Reader, join
from linescope.taping import TapeStock
from linescope.terrain.formats import ENDINGS
from linescope.words import Words
from linescope.words.inputs import input_text
from tests.scenefile.test_bad_scenes import GOOD, MISTAKES, changed


def leaves(group: KeyGroup, at: str = "") -> Iterator[tuple[str, Key]]:
    for name, kind in group.fields.items():
        inner = kind.item if isinstance(kind, Repeat) else kind
        if isinstance(inner, Either) and isinstance(inner.second, KeyGroup):
            yield from leaves(inner.second, join(at, name))
        if isinstance(inner, KeyGroup):
            yield from leaves(inner, join(at, name))
        else:
            yield join(at, name), kind


LEAVES = dict(leaves(SCENE))


@pytest.mark.parametrize("path", sorted(LEAVES))
def test_each_key_has_help_and_a_sample_that_can_be_read(path: str) -> None:
    kind = LEAVES[path]
    assert (len(kind.help) > 5 and kind.help.endswith((".", '".'))) or isinstance(kind, Either)
    assert kind.allowed() and kind.brief()
    sample = kind.example if kind.default is None else kind.default
    assert sample is not None
    reader = Reader(file="sample.toml", folder=Path())
    kind.read(sample, path, reader, "stated")
    validator = jsonschema.Draft202012Validator(schema() | {"properties": {}, "required": [], "allOf": []})
    assert validator.evolve(schema={"$defs": schema()["$defs"]} | kind.form()).is_valid(sample)


def test_defaults_are_those_of_the_rig() -> None:
    rig = from_text(GOOD, file="good.toml", folder=".").rig
    stock = TapeStock()
    for each in fields(stock):
        expected = getattr(stock, each.name)
        if isinstance(expected, float):
            expected = pytest.approx(expected, rel=1e-12)
        assert getattr(rig.taping.stock, each.name) == expected
    assert rig.walker == Walker(mass=75.0, at=rig.span / 2)
    assert rig.wind == Wind(speed=8.0, towards=(0.0, -1.0))


def note(rig_inputs: tuple[Any, ...], key: str) -> Any:
    return next(each for each in rig_inputs if each.key == key)


def test_how_a_value_is_known_is_kept() -> None:
    data = changed(("main", "tension"), {"value": "2.5 kN", "known": "measured", "low": "2 kN"})
    data["backup"]["webbing"]["known"] = "sheet"
    data["walker"] = {"mass": {"value": "75 kg", "known": "guess"}}
    given = from_mapping(data, file="a.toml", folder=".")
    assert note(given.inputs.notes, "main.tension").known == "measured"
    assert (given.inputs.bands["main.tension"].low, given.inputs.bands["main.tension"].high) == (2000.0, 2500.0)
    assert note(given.inputs.notes, "backup.webbing.mass").known == "sheet"
    assert given.inputs.bands["walker.mass"].high == pytest.approx(82.5)
    mass = note(given.inputs.notes, "walker.mass")
    assert (mass.value, mass.unit, mass.basis.kind) == (Quantity(75.0, "mass"), "kg", InputPhrase.GUESS)
    assert input_text(mass, Words()) == "75 kg (±10 % taken for a guess)"
    assert input_text(mass, Words("feet")) == "165 lb (±10 % taken for a guess)"
    assert note(given.inputs.notes, "walker.leash").known == "assumed"
    assert note(given.inputs.notes, "taping.measured_on").known == "stated"
    assert {"main.webbing.stretch", "tape.width"} <= {each.key for each in given.inputs.assumed}
    assert "from memory" in input_text(note(given.inputs.notes, "main.webbing.stretch"), Words())


def test_the_range_of_stiffness_follows_from_the_elongation() -> None:
    stretch = {"elongation": {"value": "16 %", "low": "12.8 %", "high": "20 %"}, "at": "10 kN"}
    given = from_mapping(changed(("backup", "webbing", "stretch"), stretch), file="a.toml", folder=".")
    band = given.inputs.bands["backup.stiffness_factor"]
    assert (band.low, band.value, band.high) == (pytest.approx(0.8), 1.0, pytest.approx(1.25))
    low = given.rig.backup.with_stiffness(band.low / band.value)
    assert low.stretch.strain_at(10e3) == pytest.approx(0.2)


def test_a_stiffness_factor_stiffens() -> None:
    data = changed(("main", "stiffness_factor"), "200 %")
    data["backup"]["webbing"] = "as main"
    given = from_mapping(data, file="a.toml", folder=".")
    plain = from_text(GOOD, file="a.toml", folder=".").rig
    strain = plain.main.stretch.strain_at(2e3)
    assert given.rig.main.stretch.strain_at(2e3) == pytest.approx(strain / 2, rel=1e-12)
    assert given.rig.backup.stretch.strain_at(2e3) == pytest.approx(strain, rel=1e-12)
    assert given.inputs.bands["main.stiffness_factor"].low == pytest.approx(1.6)
    assert given.inputs.bands["backup.stiffness_factor"].low == pytest.approx(0.8)


def test_a_guessed_table_of_elongations_has_a_range() -> None:
    data = changed(("backup", "webbing", "known"), "guess")
    given = from_mapping(data, file="a.toml", folder=".")
    assert given.inputs.bands["backup.stiffness_factor"].low == pytest.approx(1 / 1.2)


def test_weather_as_a_share_of_the_mass() -> None:
    data = changed(("weather",), {"main_added": "20 %", "backup_added": "15 g/m"})
    rig = from_mapping(data, file="a.toml", folder=".").rig
    assert rig.weather.main_added == pytest.approx(0.2 * rig.main.mass)
    assert rig.weather.backup_added == pytest.approx(0.015)


def test_the_schema_is_a_schema() -> None:
    jsonschema.Draft202012Validator.check_schema(schema())
    assert jsonschema.Draft202012Validator(schema()).is_valid(tomllib.loads(GOOD))


FORM = (
    "no such key",
    "missing",
    "comma",
    "exclude",
    "without '",
    "table",
    "choices",
    "list",
    "whole",
    "true or",
)


@pytest.mark.parametrize(
    ("path", "value"),
    [m[:2] for m in MISTAKES if any(word in m[3] for word in FORM) and m[2] not in ("backup.webbing.mass",)],
)
def test_the_schema_refuses_wrong_forms(path: tuple[str | int, ...], value: Any) -> None:
    if path == ("taping", "zones", 0, "to") or value == ["2 kN"]:
        pytest.skip("what keys mean together is checked on loading only")
    assert not jsonschema.Draft202012Validator(schema()).is_valid(changed(path, value))


@pytest.mark.parametrize("name", starts())
def test_a_scene_to_begin_from_names_every_ground_file_and_its_columns(name: str) -> None:
    said = " ".join(line.lstrip("# ") for line in start_text(name).splitlines())
    for kind, endings in ENDINGS.items():
        assert f"{kind}: {', '.join(endings)} (" in said
    assert "station,height" in said and "decimals have a point" in said


@pytest.mark.parametrize("name", starts())
def test_a_scene_to_begin_from_loads_and_explains_every_key(name: str, tmp_path: Path) -> None:
    path = start(name, tmp_path / "mine.toml")
    rig = load(path).rig
    text = path.read_text(encoding="utf-8")
    assert text == start_text(name)
    assert rig.walker is not None
    assert all(len(line) <= 170 for line in text.splitlines())
    keys = {
        path.rpartition(".")[2]
        for path in LEAVES
        if not path.startswith(("main.webbing.", "backup.webbing.", "ground.origin.", "grounds."))
    }
    keys -= {"every", "spread", "seed", "pattern", "listed", "drag", "friction", "strip", "past_middle", "variants"}
    assert '\n# [variants."tighter"]\n# "main.tension" = "6 kN"\n' in text
    for key in keys:
        assert f"\n{key} = " in text or f"\n# {key} = " in text
    jsonschema.validate(tomllib.loads(text), schema())


def test_a_scene_to_begin_from_never_overwrites(tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    path.write_text("precious")
    with pytest.raises(OutputError, match="exists already"):
        start("level", path)
    assert path.read_text() == "precious"
    with pytest.raises(OutputError, match="cannot be written"):
        start("level", tmp_path / "none" / "mine.toml")
    with pytest.raises(InputError, match="did you mean 'level'"):
        start("levle", tmp_path / "other.toml")
    assert [each.name for each in tmp_path.iterdir()] == ["mine.toml"]


def test_loading_needs_neither_pint_nor_any_drawing_library() -> None:
    code = (
        "import sys; from linescope.scenefile import from_text, start_text;"
        "from_text(start_text('level'), file='a', folder='.');"
        "print([m for m in ('pint', 'vtk', 'pyvista', 'matplotlib', 'jsonschema') if m in sys.modules])"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "[]"

"""Tried values kept under a name: beside the file's own, which stay as they are to the last byte."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import linescope
from linescope.cli import main
from linescope.errors import InputError, OutputError, SceneError
from linescope.scene import Scene
from linescope.scene.tried import value_at
from linescope.scenefile.fields import Either, OneOf
from linescope.scenefile.quantities import Measure

SCENES = sorted((Path(__file__).parents[2] / "scenes").glob("*.toml"))


def keys_of(path: Path) -> dict[str, str]:
    """Every quantity of a shipped scene by its key, as typed."""
    found: dict[str, str] = {}

    def walk(data: object, at: str) -> None:
        if isinstance(data, dict) and "value" not in data:
            for name, part in data.items():
                walk(part, f"{at}.{name}" if at else name)
        elif isinstance(data, list) and data and isinstance(data[0], dict):
            for k, part in enumerate(data, 1):
                walk(part, f"{at}[{k}]")
        elif at.rpartition(".")[2] != "known":
            raw = data["value"] if isinstance(data, dict) else data
            if isinstance(value_at(at), Measure | Either | OneOf) and not isinstance(raw, list):
                found[at] = str(raw)

    walk(tomllib.loads(path.read_text(encoding="utf-8")), "")
    return found


KEYS = {path: keys_of(path) for path in SCENES}


@st.composite
def changes(draw: st.DrawFn) -> tuple[Path, dict[str, str]]:
    """Some keys of a shipped scene, each with a number a little off."""
    path = draw(st.sampled_from(SCENES))
    keys = draw(st.lists(st.sampled_from(sorted(KEYS[path])), min_size=1, max_size=6, unique=True))
    values = {}
    for key in keys:
        number, _, unit = KEYS[path][key].partition(" ")
        try:
            values[key] = f"{float(number) * draw(st.floats(0.97, 0.999)):.5g} {unit}".strip()
        except ValueError:
            values[key] = KEYS[path][key]
    return path, values


names = st.text(st.characters(codec="utf-8", exclude_categories=("C", "Z")), min_size=1, max_size=20)


@settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(changes(), names, st.sampled_from(["\n", "\r\n"]), st.booleans())
def test_a_kept_variant_comes_back_and_the_file_stays_byte_for_byte(
    tmp_path_factory: pytest.TempPathFactory, change: tuple[Path, dict[str, str]], name: str, end: str, mark: bool
) -> None:
    shipped, values = change
    path = tmp_path_factory.mktemp("kept") / shipped.name
    text = shipped.read_text(encoding="utf-8").replace("\n", end)
    before = (b"\xef\xbb\xbf" if mark else b"") + text.encode("utf-8")
    path.write_bytes(before)
    scene = Scene.read(path)
    tried = scene.what_if(values)
    if not tried.tried:
        with pytest.raises(InputError, match="nothing is tried"):
            tried.keep(name)
        return
    tried.keep(name).save(scene)
    assert path.read_bytes().startswith(before)
    again = Scene.read(path)
    assert again.untried.data == {**scene.data, "variants": {name: dict(tried.tried)}}
    assert again.with_variant(name).tried == tried.tried
    assert again.with_variant(name).tried_data["main"] == tried.tried_data["main"]
    second = again.what_if(values).keep(f"{name}2")
    assert second.text.startswith(again.text) and set(second.variants) == {name, f"{name}2"}


def test_variants_change_nothing_of_the_file_s_own_rig(tmp_path: Path) -> None:
    text = SCENES[0].read_text(encoding="utf-8")
    path = tmp_path / SCENES[0].name
    path.write_text(text + '\n[variants.odd]\n"main.tension" = "2.5 kN"\n', encoding="utf-8")
    own, odd = linescope.load(path), linescope.load(path, "odd")
    assert own.rig.main_plan.tension == 1800.0 and odd.rig.main_plan.tension == 2500.0
    assert own.inputs == linescope.load(SCENES[0]).inputs
    assert odd.inputs.variant == "odd" and [note.key for note in odd.inputs.tried] == ["main.tension"]


def test_a_variant_is_never_overwritten_and_needs_a_name() -> None:
    scene = Scene.read(SCENES[0]).what_if("walker.mass", "70 kg").keep("light")
    assert scene.keep("light").text == scene.text  # The same values once more.
    with pytest.raises(InputError, match="is not overwritten"):
        scene.what_if("walker.mass", "60 kg").keep("light")
    for name in ("", "  ", "x" * 61, "two\nlines"):
        with pytest.raises(InputError, match="needs a name"):
            scene.what_if("walker.mass", "60 kg").keep(name)
    assert scene.free_name("light") == "light 1"


def test_variants_on_one_line_are_added_to(tmp_path: Path) -> None:
    text = 'variants = { a = { "walker.mass" = "70 kg" } } # mine\n' + SCENES[0].read_text(encoding="utf-8")
    path = tmp_path / "line.toml"
    path.write_text(text, encoding="utf-8")
    kept = Scene.read(path).what_if("walker.mass", "60 kg").keep("b c")
    assert kept.variants == {"a": {"walker.mass": "70 kg"}, "b c": {"walker.mass": "60 kg"}}
    assert kept.text.split("\n", 1)[1] == text.split("\n", 1)[1]


def test_a_file_changed_meanwhile_is_not_overwritten(tmp_path: Path) -> None:
    path = tmp_path / "line.toml"
    path.write_bytes(SCENES[0].read_bytes())
    scene = Scene.read(path)
    path.write_bytes(SCENES[0].read_bytes() + b"\n# somebody else\n")
    with pytest.raises(OutputError, match="was changed on disk"):
        scene.what_if("walker.mass", "60 kg").keep("light").save(scene)


@pytest.mark.parametrize(
    ("block", "words"),
    [
        ('[variants]\nodd = "6 kN"\n', "a table is needed"),
        ('[variants.odd]\n"main.tension" = ["6 kN"]\n', "a value to try is text"),
        ('[variants.odd]\nmain.tension = "6 kN"\n', "a value to try is text"),
    ],
)
def test_variants_of_another_form_are_refused_with_their_key(block: str, words: str, tmp_path: Path) -> None:
    path = tmp_path / "line.toml"
    path.write_text(f"{SCENES[0].read_text(encoding='utf-8')}\n{block}", encoding="utf-8")
    with pytest.raises(SceneError, match=words) as caught:
        linescope.load(path)
    assert caught.value.key is not None and caught.value.key.startswith("variants.odd")


def test_a_wrong_key_in_a_variant_is_named_when_it_is_asked_for(tmp_path: Path) -> None:
    path = tmp_path / "line.toml"
    block = '\n[variants.odd]\n"main.tensoin" = "6 kN"\n'
    path.write_text(SCENES[0].read_text(encoding="utf-8") + block, encoding="utf-8")
    linescope.load(path)
    with pytest.raises(SceneError, match="did you mean 'tension'") as caught:
        linescope.load(path, "odd")
    assert caught.value.key == "variants.odd: main.tensoin"


def test_the_command_keeps_and_lists(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "line.toml"
    path.write_bytes(SCENES[0].read_bytes())
    assert main(["keep", str(path), "light", "--set", "walker.mass=60 kg", "--set", "main.tension=2 kN"]) == 0
    assert path.read_bytes().startswith(SCENES[0].read_bytes())
    capsys.readouterr()
    assert main(["keep", str(path)]) == 0
    assert capsys.readouterr().out == 'light: walker.mass="60 kg", main.tension="2 kN"\n'
    assert main(["keep", str(path), "bad", "--set", "walker.mass=60 N"]) == 2
    assert main(["keep", str(path), "none"]) == 2
    assert linescope.load(path, "light").rig.main_plan.tension == 2000.0
    assert set(Scene.read(path).variants) == {"light"}

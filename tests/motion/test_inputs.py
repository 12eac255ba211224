"""What motion depends on: keys of a scene, with ranges and how they are known."""

from __future__ import annotations

import pytest

from linescope.errors import SceneError
from linescope.motion.inputs import KEYS, MotionInputs, inputs_of_rig
from linescope.rig import Band
from linescope.scene import load
from linescope.study import Study
from tests.test_layers import PACKAGE

SCENE = (PACKAGE.parent / "scenes" / "heron_gap.toml").read_text(encoding="utf-8")


@pytest.fixture
def scene(tmp_path):
    def written(more):
        file = tmp_path / "scene.toml"
        file.write_text(f"{SCENE}\n{more}\n", encoding="utf-8")
        return load(file)

    return written


def test_without_a_table_all_has_its_usual_range_and_is_listed_as_assumed(scene):
    plain = scene("")
    found, usual = inputs_of_rig(plain.rig, plain.inputs), MotionInputs()
    assert found == usual
    listed = Study(plain, in_time=True).inputs
    assert {key for key in KEYS.values() if listed.get(key).known == "assumed"} == set(KEYS.values())
    assert listed.get("motion.tape_strength").high.value == pytest.approx(1200.0)


def test_a_given_value_has_no_range_but_its_own(scene):
    given = scene('[motion]\ntape_strength = "900 N"\nleaving = {value = "0.2 s", low = "0.1 s", high = "0.4 s"}\n'
                  'breaks_at = "12 m"')
    found = inputs_of_rig(given.rig, given.inputs)
    assert found.tape_strength == Band(low=900.0, value=900.0, high=900.0)
    assert found.leaving == Band(low=0.1, value=0.2, high=0.4)
    assert found.air == MotionInputs().air
    assert given.rig.motion.breaks_at == pytest.approx(12.0)


def test_a_leash_of_webbing_is_stiffer_than_one_of_rope(scene):
    webbing = load_with(scene, 'leash_kind = "webbing"')
    assert inputs_of_rig(webbing.rig, webbing.inputs).leash_modulus == Band(low=50e3, value=100e3, high=200e3)
    measured = load_with(scene, 'leash_kind = "webbing"\nleash_modulus = "70 kN"')
    assert inputs_of_rig(measured.rig, measured.inputs).leash_modulus == Band(low=70e3, value=70e3, high=70e3)


def load_with(scene, lines):
    """The scene with more lines in its table of the walker."""
    file = scene("").path
    file.write_text(SCENE.replace("[walker]", f"[walker]\n{lines}"), encoding="utf-8")
    return load(file)


@pytest.mark.parametrize("breaks_at", ['"in the middle"', '"70 m"', "3"])
def test_a_main_parts_on_the_line_or_at_a_place_with_a_name(scene, breaks_at):
    with pytest.raises(SceneError, match=r"motion\.breaks_at"):
        _ = scene(f"[motion]\nbreaks_at = {breaks_at}").rig

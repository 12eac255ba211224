"""Values tried in place of a file's own: marked everywhere, low and high no narrower, what is measured left alone."""

from __future__ import annotations

import argparse
import io
import json
from contextlib import redirect_stdout
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import linescope
from linescope.cli import _parser, main
from linescope.errors import InputError, SceneError
from linescope.notes import Quantity
from linescope.report.figures import figures_json
from linescope.report.people import figures_text
from linescope.scene import Scene
from linescope.words import Words
from linescope.words.inputs import input_text

SCENES = Path(__file__).parents[2] / "scenes"
HERON = SCENES / "heron_gap.toml"
LEDGE = SCENES / "larkspur_ledge.toml"  # Its tension is measured: 3.0 kN, 2.7 to 3.3 kN.


def plain(text: str) -> str:
    """Without line ends, which a narrow page puts anywhere."""
    return " ".join(text.split())


@pytest.fixture(scope="module")
def tighter() -> Scene:
    return linescope.load(LEDGE).what_if("main.tension", "6 kN")


@pytest.fixture(scope="module")
def printed(tighter: Scene) -> linescope.Study:
    return linescope.Study(tighter, leave=linescope.Study.SLOW)


def test_a_tried_tension_is_the_one_that_is_computed_and_the_one_that_is_listed(printed: linescope.Study) -> None:
    """The figure, the input beside it and its low and high are of one and the same value."""
    data = figures_json(printed)
    note = next(each for each in data["inputs"] if each["key"] == "main.tension")
    assert note["value"] == 6000.0 and note["known"] == "tried" and note["unit"] == "N"
    assert note["file"] == {"value": 3000.0, "known": "measured"}
    assert (note["low"], note["high"]) == (pytest.approx(5400.0), pytest.approx(6600.0))
    assert data["states"]["standing"]["tension_a"] == pytest.approx(6000.0, rel=1e-4)
    assert printed.bands
    band = next(each for each in printed.bands.results if each.outcome.key == "tension_a")
    assert band.low < band.value < band.high and band.shares[0].input in ("main.tension", "main.stiffness_factor")


def test_text_says_what_is_tried_and_what_the_file_says(printed: linescope.Study) -> None:
    metric, feet = (plain(figures_text(printed, system)) for system in ("metric", "feet"))
    assert "main.tension = 6 kN (5.4 kN to 6.6 kN; in the file: 3.0 kN (2.7 kN to 3.3 kN), measured)" in metric
    assert "main.tension = 1350 lbf (1210 lbf to 1480 lbf; in the file: 674 lbf (607 lbf to 742 lbf)" in feet


def test_a_rig_changed_in_python_knows_nothing_of_inputs() -> None:
    """So that a new tension can stand beside neither the old one nor its bands nor "measured"."""
    rig = linescope.load(LEDGE).rig
    changed = replace(rig, main_plan=replace(rig.main_plan, tension=6000.0))
    found = linescope.Study(changed, leave=linescope.Study.SLOW)
    data = figures_json(found)
    assert data["inputs"] == [] and found.inputs.bands == {}
    text = figures_text(found)
    assert "measured" not in text and "3.0 kN" not in text


def test_solve_takes_a_scene_or_its_rig(tighter: Scene) -> None:
    assert linescope.solve(tighter).tension_a == linescope.solve(tighter.rig).tension_a


def test_what_is_tried_last_counts_and_what_equals_the_file_is_tried_no_more() -> None:
    scene = linescope.load(LEDGE)
    both = scene.what_if({"main.tension": "6 kN", "walker.mass": "70 kg"}).what_if("main.tension", "5 kN")
    assert both.tried == {"walker.mass": "70 kg", "main.tension": "5 kN"}
    assert both.what_if({"main.tension": "3000 N", "walker.mass": "80 kg"}).tried == {}
    assert scene.what_if("hold.friction", 0.5).rig.hold.friction.value == 0.5
    assert scene.tried == {}  # A new scene each time.


def test_a_key_that_excludes_another_takes_its_place() -> None:
    scene = linescope.load(LEDGE).what_if("main.length", "92 m")
    assert scene.rig.main_plan.length == 92.0 and scene.rig.main_plan.tension is None
    assert "main.tension" not in scene.inputs.bands
    note = scene.inputs.get("main.length")
    assert note is not None and note.known == "tried" and note.file is None
    assert "not in the file" in input_text(note, Words())
    assert "tension" in scene.data["main"]


@given(st.floats(0.2, 5.0), st.sampled_from(["main.tension", "wind.speed", "hold.drag", "hold.friction"]))
def test_trying_makes_nothing_better_known(factor: float, key: str) -> None:
    """Low and high as wide as the file's, and no narrower in proportion, as far as the key's own limits allow."""
    scene = Scene.read(LEDGE)
    own = scene.inputs.bands[key]
    unit = {"main.tension": "N", "wind.speed": "m/s", "hold.drag": "N", "hold.friction": ""}[key]
    tried = scene.what_if(key, f"{own.value * factor:.6g} {unit}".strip())
    band = tried.inputs.bands[key]
    assert band.low <= band.value <= band.high
    slack = 1e-3 * (band.high + own.high)
    share = factor if key == "wind.speed" else max(factor, 1.0)  # What was taken for a guess was taken as a share.
    for new, old in ((band.high - band.value, own.high - own.value), (band.value - band.low, own.value - own.low)):
        assert new >= min(old * share, band.value) - slack or band.high in (1.5, 100e3, 5e3)


def test_a_guess_without_ends_keeps_what_was_taken_for_a_guess() -> None:
    scene = linescope.load(LEDGE)
    assert scene.inputs.bands["wind.speed"].high == pytest.approx(6.5)  # 5 m/s, a guess: 30 % to either side.
    band = scene.what_if("wind.speed", "8 m/s").inputs.bands["wind.speed"]
    assert (band.low, band.high) == (pytest.approx(5.6), pytest.approx(10.4))


def test_stretch_tried_keeps_the_range_of_stiffness() -> None:
    scene = linescope.load(LEDGE)
    own = scene.inputs.bands["main.stiffness_factor"]
    band = scene.what_if("main.webbing.stretch.elongation", "6 %").inputs.bands["main.stiffness_factor"]
    assert (band.low, band.high) == (pytest.approx(own.low, rel=1e-3), pytest.approx(own.high, rel=1e-3))


@pytest.mark.parametrize(
    ("key", "value", "words"),
    [
        ("main.tensoin", "6 kN", "did you mean 'tension'"),
        ("main", "6 kN", "a table, not a value"),
        ("taping.zones[9].excess", "5 %", "no such table in this list"),
        ("a key", "1", "not the path of a key"),
        ("main.tension", ["6 kN"], "as it would be typed"),
    ],
)
def test_what_cannot_be_tried_is_named(key: str, value: object, words: str) -> None:
    with pytest.raises(InputError, match=words):
        linescope.load(LEDGE).what_if({key: value})


def test_a_wrong_value_is_refused_by_file_and_key_with_what_is_allowed() -> None:
    for value in ("6 kg", "six", "1 MN", "6,5 kN"):
        with pytest.raises(SceneError) as caught:
            _ = linescope.load(LEDGE).what_if("main.tension", value).rig
        assert caught.value.key == "main.tension" and caught.value.found == value
        assert str(LEDGE) in str(caught.value) and "from 50 N to 100 kN" in str(caught.value)


def commands() -> dict[str, argparse.ArgumentParser]:
    """Every command that takes a scene."""
    choices = next(action.choices for action in _parser()._actions if action.choices)
    assert isinstance(choices, dict)
    return {
        name: each for name, each in choices.items()
        if any(action.dest == "scene" for action in each._actions)
    }


@pytest.mark.parametrize("name", sorted(commands()))
def test_every_command_that_takes_a_scene_tries_values_and_says_which_is_wrong(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    more, first = {"keep": ["tried"]}.get(name, []), {"teach": ["pen-marks"]}.get(name, [])
    assert main([name, *first, str(LEDGE), *more, "--set", 'main.tensoin=6 kN']) == 2
    said = capsys.readouterr().err
    assert "--set main.tensoin" in said and "did you mean 'tension'" in said
    if name != "stage":  # Which shows on the page what is wrong.
        assert main([name, *first, str(LEDGE), *more, "--set", "main.tension=60 N", "--set", "walker.mass=1 g"]) == 2
        said = capsys.readouterr().err
        assert "larkspur_ledge.toml" in said and "walker.mass" in said and "1 g" in said
    assert main([name, *first, str(LEDGE), *more, "--variant", "none such"]) == 2
    assert "there is no such variant" in capsys.readouterr().err


def test_the_command_line_and_python_give_the_same_rig() -> None:
    out = io.StringIO()
    with redirect_stdout(out):
        assert main(["tapes", str(HERON), "--json", "--set", "taping.zones[1].spacing.every=4 m"]) == 0
    planned = linescope.plan(linescope.load(HERON).what_if("taping.zones[1].spacing.every", "4 m"))
    tapes = json.loads(out.getvalue())["tapes"]
    assert [tape["main_m"] for tape in tapes] == pytest.approx(planned.layout.tape_main)
    assert len(tapes) == 11  # Every 4 m of 48 m of slack main, a little less than 48 m, and none at an anchor.


def test_pictures_mark_what_is_tried(tighter: Scene) -> None:
    from linescope.words.frame import inputs

    text = "\n".join(inputs(linescope.solve(tighter), Words(), tighter.inputs))
    assert "6.0 kN (tried)" in text and "in the file: 3.0 kN" in text
    feet = "\n".join(inputs(linescope.solve(tighter), Words(system="feet"), tighter.inputs))
    assert "kN" not in feet


def test_figures_of_inputs_are_those_typed() -> None:
    note = linescope.load(SCENES / "larkspur_ledge.toml").inputs.get("anchors.b")
    assert note is not None
    assert note.value == (Quantity(91.73, "length", digits=4), Quantity(0.0, "length", digits=1),
                          Quantity(-7.0, "length", digits=1))
    assert input_text(note, Words()) == "91.73 m, 0 m, -7 m"

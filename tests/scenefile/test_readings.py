"""Readings in a scene and in a table: read alike, never changed, and kept apart from the inputs."""

from __future__ import annotations

from pathlib import Path

import pytest

from linescope.cli import main
from linescope.errors import InputError, SceneError
from linescope.scene import Scene, load
from linescope.scene.built import kept_as_built
from linescope.scene.tried import lost_from
from linescope.scenefile import from_text
from linescope.scenefile.readings import readings_from_csv
from linescope.statics import plan

SCENES = Path(__file__).parents[2] / "scenes"
READ = """
[[readings]]
tension = "1.9 kN"
end = "B"
error = "4 %"
taken = "2026-05-03 14:20"

[[readings]]
sag = "3.1 m"
weight = "75 kg"
at = "25 %"
error = "2 cm"

[[readings]]
loop = "12 cm"
number = 3
"""
TABLE = """what,value,end,error,weight,at,number,taken
tension,1.9 kN,B,4 %,,,,2026-05-03 14:20
sag,3.1 m,,2 cm,75 kg,25 %,,
loop,12 cm,,,,,3,
"""


def heron(more: str = READ) -> str:
    return (SCENES / "heron_gap.toml").read_text(encoding="utf-8") + more


def test_scene_and_table_say_the_same(tmp_path):
    given = from_text(heron(), file="scene", folder=SCENES)
    file = tmp_path / "read.csv"
    file.write_text(TABLE, encoding="utf-8")
    table = readings_from_csv(file, given.rig.span)
    for one, other in zip(given.inputs.readings, table, strict=True):
        assert (one.what, one.value, one.error, one.end, one.number, one.mass, one.at, one.taken) == (
            other.what, other.value, other.error, other.end, other.number, other.mass, other.at, other.taken
        )
    tension, sag, loop = given.inputs.readings
    assert (tension.value, tension.error, tension.end) == (1900.0, 76.0, "B")
    assert (sag.at, sag.mass, sag.error) == (12.0, 75.0, 0.02)
    assert (loop.error, loop.assumed) == (0.015, True)


def test_readings_are_no_inputs():
    """The plan, its inputs and its bands are what they are without readings."""
    plain, read = (from_text(heron(more), file="scene", folder=SCENES) for more in ("", READ))
    assert read.inputs.notes == plain.inputs.notes and dict(read.inputs.bands) == dict(plain.inputs.bands)


@pytest.mark.parametrize(("block", "key", "said"), [
    ('loop = "12 cm"', "readings[1].number", "told by its number"),
    ('sag = "3 m"\nnumber = 3', "readings[1].number", "has no number"),
    ('tension = "2 kN"\nerror = "3 cm"', "readings[1].error", "share or a force"),
    ('period = "2 s"', "readings[1].weight", "somebody"),
    ('tension = "2 kN"\nat = "10 m"', "readings[1].at", "nobody is on the line"),
    ('sag = "3 m"\nat = "60 m"', "readings[1].at", "outside the line"),
    ('sag = "3 m"\nloop = "1 m"', "readings[1].loop", "exclude one another"),
    ('sag = "3 m"\nerror = "80 %"', "readings[1].error", "no error of a reading"),
])
def test_wrong_readings_name_their_key(block, key, said):
    with pytest.raises(SceneError, match=said) as error:
        from_text(heron(f"\n[[readings]]\n{block}\n"), file="scene.toml", folder=SCENES)
    assert error.value.key == key and str(error.value.file) == "scene.toml"


@pytest.mark.parametrize(("text", "key", "said"), [
    ("", None, "empty"),
    ("what,size\nsag,3 m\n", "row 1", "no such column"),
    ("what\nsag\n", "row 1", "what and value"),
    ("what,value\nsagg,3 m\n", "row 2", "not a kind of reading"),
    ("what,value\nsag,3 kg\n", "row 2, value", "length"),
    ("what,value,number\nloop,3 cm,x\n", "row 2, number", "whole number"),
    ("what,value\nsag,\n", "row 2", "value is missing"),
    ("what,value\nsag,3 m,9\n", "row 2", "more cells"),
])
def test_wrong_tables_name_file_and_row(text, key, said, tmp_path):
    file = tmp_path / "read.csv"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(SceneError, match=said) as error:
        readings_from_csv(file, 48.0)
    assert error.value.key == key and error.value.file == file


def test_nothing_is_tried_in_place_of_a_reading_and_none_is_lost():
    scene = Scene(text=heron(), path=SCENES / "read.toml")
    with pytest.raises(InputError, match="nothing is tried in its place"):
        scene.what_if("readings[1].tension", "2 kN")
    changed = Scene(text=heron(READ.replace("1.9 kN", "2.0 kN")), path=scene.path)
    assert "readings[1].tension" in lost_from(scene.data, changed.data)


def test_the_line_as_built_is_kept_beside_the_plan(tmp_path, capsys):
    file = tmp_path / "read.toml"
    file.write_text(heron(), encoding="utf-8")
    before = plan(load(file).rig)
    assert main(["readings", str(file), "--keep"]) == 0
    said = capsys.readouterr().out
    assert "as built" in said and "measure" in said.lower()
    text = file.read_text(encoding="utf-8")
    assert text.startswith(heron())
    built = load(file, "as built")
    after = plan(built.rig)
    assert len(after.layout.tapes) == len(before.layout.tapes)
    assert built.rig.main_plan.tension != before.rig.main_plan.tension
    kept = file.read_text(encoding="utf-8")
    assert main(["readings", str(file), "--keep"]) == 0 and file.read_text(encoding="utf-8") == kept
    assert main(["readings", str(file), "--keep", "--set", "walker.at=20 m"]) == 2  # Not written over.
    assert file.read_text(encoding="utf-8") == kept
    capsys.readouterr()


def test_a_table_beside_the_scene_and_a_scene_without_readings(tmp_path, capsys):
    file, table = tmp_path / "plain.toml", tmp_path / "read.csv"
    file.write_text(heron(""), encoding="utf-8")
    table.write_text(TABLE, encoding="utf-8")
    assert main(["readings", str(file), "--csv", str(table), "--json"]) == 0
    assert '"standing_a"' in capsys.readouterr().out
    assert main(["readings", str(file)]) == 2
    said = capsys.readouterr().err
    assert "plain.toml" in said and "readings" in said


def test_tapes_of_zones_are_kept_where_they_lie():
    scene = load(SCENES / "ptarmigan_step.toml")
    from linescope.events.rig_draws import frozen

    kept = kept_as_built(scene, frozen(plan(scene.rig)), {"main.tension": 2345.0})
    again = plan(kept.with_variant("as built").rig)
    assert len(again.layout.tapes) == len(plan(scene.rig).layout.tapes)

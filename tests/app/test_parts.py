"""The page's longer answers, part by part."""

from __future__ import annotations

from pathlib import Path

from linescope.app.parts import PARTS, parts, study_of
from linescope.report import bands as band_rows
from linescope.rig import Given, Inputs, Reading
from linescope.scene import load
from linescope.study import Study
from linescope.taping import Holds
from linescope.words import Words
from tests.contact.making import walked_rig
from tests.statics.random_rigs import plain_rig


def test_every_part_arrives_where_tapes_slide():
    """Rub twice: at once as a first answer that says so, then whole."""
    told = list(parts(study_of(walked_rig(Holds.MAIN, span=12.0), "as taped"), Words()))
    found = dict(told)
    assert tuple(found) == PARTS
    assert told[0][0] == "rub"
    early, whole = (part for name, part in told if name == "rub")
    assert early["first"] and not whole["first"]
    assert "first answer" in early["notes"][0] and "First answer" in early["places"][0]["text"]
    assert not any("first answer" in text.lower() for text in (*whole["notes"], whole["places"][0]["text"]))
    assert found["rub"]["rows"] and found["rub"]["places"]


def test_clearance_comes_twice_at_once_as_a_first_answer():
    rig = load(Path(__file__).parents[2] / "scenes" / "heron_gap.toml").rig
    told = list(parts(Study(rig, leave=("wear", "first_wear", "deeper"), positions=8), Words()))
    early, whole = (part for name, part in told if name == "clearance")
    assert early["first"] and "first answer" in early["notes"][0]
    assert not whole.get("first") and not any("first answer" in text.lower() for text in whole["notes"])
    kinds = [row[0] for row in early["rows"]]
    assert sorted(kinds) == ["body", "leash", "line", "loop"]
    assert all(len(row) == len(early["head"]) for row in early["rows"])
    # Nothing of it is nearer than needed: the whole answer says so as well, and no alarm was raised for it.
    assert not early["alarms"] and not any(place["alarm"] for place in whole["places"])


def test_bands_of_the_main_figures_are_a_part_as_other_surfaces_tell_them():
    scene = load(Path(__file__).parents[2] / "scenes" / "heron_gap.toml")
    study, words = Study(scene), Words()
    found = dict(parts(study, words, ("bands",)))["bands"]
    table = band_rows.table(study, words)
    assert found["head"] == table.columns and [tuple(row) for row in found["rows"]] == list(table.rows)
    assert {"5 %", "50 %", "95 %"} <= set(found["head"])
    told = [*found["alarms"], *found["notes"]]
    assert any(text.startswith("2,048 draws of all inputs") for text in told), told
    plain = dict(parts(study_of(plain_rig(), "as taped", frozenset({"bands"})), words, ("bands",)))["bands"]
    assert not plain["rows"] and plain["notes"] == [words.say("stage-no-bands")]


def test_what_readings_tell_is_a_part_and_a_wrong_loop_a_place_to_look_at():
    rig = plain_rig(span=32.0, every=4.0, excess=0.06, tension=1800.0)
    depths = {3: 0.5, 4: 0.5, 5: 0.8, 6: 0.5}
    loops = tuple(Reading(what="loop", value=depth, error=0.015, number=bay) for bay, depth in depths.items())
    study = Study(Given(rig=rig, inputs=Inputs(readings=loops)))
    found = next(part for name, part in parts(study, Words()) if name == "readings")
    assert len(found["rows"]) == len(study.readings.foretold) - 1  # Settled is as taped.
    assert [place["bay"] for place in found["places"]] == [4] and found["alarms"]

"""The page's longer answers, part by part."""

from __future__ import annotations

from linescope.app.parts import PARTS, parts, study_of
from linescope.rig import Given, Inputs, Reading
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


def test_what_readings_tell_is_a_part_and_a_wrong_loop_a_place_to_look_at():
    rig = plain_rig(span=32.0, every=4.0, excess=0.06, tension=1800.0)
    depths = {3: 0.5, 4: 0.5, 5: 0.8, 6: 0.5}
    loops = tuple(Reading(what="loop", value=depth, error=0.015, number=bay) for bay, depth in depths.items())
    study = Study(Given(rig=rig, inputs=Inputs(readings=loops)))
    found = next(part for name, part in parts(study, Words()) if name == "readings")
    assert len(found["rows"]) == len(study.readings.foretold) - 1  # Settled is as taped.
    assert [place["bay"] for place in found["places"]] == [4] and found["alarms"]

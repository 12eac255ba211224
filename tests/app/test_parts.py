"""The page's longer answers, part by part."""

from __future__ import annotations

from linescope.app.parts import PARTS, parts, study_of
from linescope.taping import Holds
from linescope.words import Words
from tests.contact.making import walked_rig


def test_every_part_arrives_where_tapes_slide():
    found = dict(parts(study_of(walked_rig(Holds.MAIN, span=12.0), "as taped"), Words()))
    assert tuple(found) == PARTS
    assert found["rub"]["rows"] and found["rub"]["places"]

"""The page's longer answers, part by part."""

from __future__ import annotations

from linescope.app.study import PARTS, study
from linescope.stage.words import Measures
from linescope.taping import Holds
from tests.contact.making import walked_rig


def test_every_part_arrives_where_tapes_slide():
    parts = dict(study(walked_rig(Holds.MAIN, span=12.0), "as taped", Measures()))
    assert tuple(parts) == PARTS
    assert parts["rub"]["rows"] and parts["rub"]["places"]

"""What is said of motion in time: alarms only where there is something to act on."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pytest

from linescope.motion.notes import MotionNote, deeper, trust
from linescope.notes import Severity, Spot
from linescope.words import Words

AT = np.array([0.5, 5.0, 24.0])


def test_feet_that_come_lower_than_the_balance_are_told_with_their_places():
    (note,) = deeper(AT, np.array([4.5, 5.9, 7.9]), np.array([3.9, 6.1, 7.88]))
    assert note.kind is MotionNote.DEEPER and note.severity is Severity.CHECK
    assert note.values["places"] == (Spot(0.5),)
    assert note.values["by"].value == pytest.approx(0.6)
    assert deeper(AT, np.array([3.9, 5.9, 7.9]), np.array([3.9, 6.1, 7.9])) == ()


def test_they_read_as_sentences():
    words = Words()
    text = words.note(deeper(AT, np.array([4.5, 6.9, 7.9]), np.array([3.9, 6.1, 7.88]))[0])
    assert "0.5 m" in text and "5 m" in text and "80 cm lower" in text
    assert "30 %" in words.note(trust())


def test_a_ring_that_runs_is_told_from_end_to_end():
    """The topic's figure is the way of the ring in the run that it is read from."""
    from linescope.motion.expected import expected
    from linescope.study import Study
    from linescope.topics import TOPICS
    from tests.motion.test_runs import rig

    rig_ = rig(rise=-3.0)
    plain = Study(rig_)
    found = expected(plain.planned, AT[2:], what="main gone", depth="middle", seconds=1.5)
    study = Study(rig_, in_time=True, given={"planned": plain.planned, "main_gone_in_time": found})
    figure = next(f for g in TOPICS["motion"].groups for f in g.figures if f.key == "ring_run")
    ((low, high),) = figure.value(found, study)
    motion = found.happened[0].motion
    x = motion.points[:, motion.mesh.model.slots] @ (rig_.main_b - rig_.main_a) / rig_.span
    assert (low, high) == pytest.approx((x.min(), x.max()))
    assert high - low > 0.05


@pytest.mark.parametrize(("parts", "told"), [("anchor A", "motion-parts-a"), (12.0, 12.0)])
def test_json_says_where_the_main_parts(parts, told):
    """A word goes by the id of its message, a place in metres: nothing else is JSON."""
    from linescope.motion.expected import expected
    from linescope.report import grids
    from linescope.study import Study
    from linescope.topics import TOPICS
    from tests.motion.test_runs import rig

    rig_ = rig(rise=-3.0)
    plain = Study(rig_)
    found = expected(
        plain.planned, AT[2:], what="main gone", depth="middle", seconds=0.3, parts_at=parts,
    )
    study = Study(
        rig_, in_time=True, leave=(Study.SLOW | {"bands", "fall_in_time"}) - {"main_gone_in_time"},
        given={"planned": plain.planned, "main_gone_in_time": found},
    )
    data = json.loads(json.dumps(grids.data([TOPICS["motion"]], study, {}), allow_nan=False))
    assert data["in_time"]["main_gone"]["parts_at"] == [told]


def test_json_has_each_happening_by_itself_with_what_it_cannot_be_trusted_for(monkeypatch):
    """The fall's figures are not those of the loss of the main, and each says what it cannot be trusted for."""
    from linescope.motion import expected as module
    from linescope.report import grids
    from linescope.study import Study
    from linescope.topics import TOPICS
    from tests.motion.test_runs import rig

    plain = Study(rig())
    fall = module.expected(plain.planned, AT[2:], depth="middle", seconds=0.8)
    gone = module.expected(plain.planned, AT[1:], what="main gone", depth="middle", seconds=0.3)
    asked = []
    monkeypatch.setattr(module, "expected", lambda planned, at, **more: asked.append(at) or gone)
    given = {"planned": plain.planned, "fall_in_time": fall}
    study = Study(rig(), in_time=True, losses_along=True, given=given, leave={"gust_in_time"})
    data = json.loads(json.dumps(grids.data([TOPICS["motion"]], study, {}), allow_nan=False))["in_time"]
    assert data["leash_fall"]["at"] == AT[2:].tolist() and data["main_gone"]["at"] == AT[1:].tolist()
    np.testing.assert_array_equal(asked[0], study.fall_places.at)  # At all stated places, since that was asked for.
    assert len(data["bounce"]["amplitudes"]) == len(study.bounce_in_time.stated)
    for happening in data.values():
        assert MotionNote.TRUST in {note["kind"] for note in happening["notes"]}


@pytest.mark.parametrize(
    ("what", "begins"), [("leash fall", "In a leash fall"), ("main gone", "In the loss of the main")]
)
def test_alarms_name_the_happening_that_they_are_of(what, begins):
    """Both stand in one list: tapes that go as the main parts are none that go in falls."""
    from linescope.motion.expected import RangeAlong, expected
    from linescope.motion.notes import notes_of
    from linescope.statics import plan
    from tests.motion.test_runs import rig

    found = expected(plan(rig()), AT[2:], what=what, depth="middle", seconds=0.3)
    every = np.array([float(len(found.happened[0].motion.tape_time))])
    strong = np.array([2.0 * found.rig.backup.strength])
    found = replace(
        found, tapes_gone=RangeAlong(low=every, value=every, high=every),
        backup_b=RangeAlong(low=strong, value=strong, high=strong),
    )
    told = {note.kind: Words().note(note) for note in notes_of(found)}
    assert told[MotionNote.ALL_GO].startswith(begins) and told[MotionNote.OVERLOAD].startswith(begins)

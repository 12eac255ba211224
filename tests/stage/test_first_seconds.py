"""The picture of a fall's first seconds against the run it shows."""

from __future__ import annotations

import numpy as np
import pytest

from linescope.motion.expected import expected
from linescope.rig import Given, Inputs
from linescope.stage import brief_of
from linescope.stage.moving import moment
from linescope.study import Study
from linescope.topics.motion import picture
from tests.stage import rigs


@pytest.fixture(scope="module")
def shown():
    rig = rigs.heron(0.07, measured_on="tensioned")
    plain = Study(rig)
    found = expected(plain.planned, np.array([rig.walker.at]), seconds=3.2)
    study = Study(
        Given(rig=rig, inputs=Inputs()), in_time=True, leave=Study.SLOW - {"fall_in_time", "fall_course"} | {"bands"},
        given={"planned": plain.planned, "fall_in_time": found},
    )
    return study, picture.build(brief_of(study.taped, study=study))


def test_four_instants_are_those_of_the_run(shown):
    study, stage = shown
    motion = study.fall_course.motion  # As it is drawn: without ground here, in more frames than the figures'.
    times = picture.instants(study.fall_course)
    assert list(times) == ["stands", "tight", "lowest", "back"]
    assert times["stands"] == 0.0 < times["tight"] < times["lowest"] < times["back"] <= 3.0
    for name, time in times.items():
        panel = stage.panel(name)
        now = moment(motion, time)
        main = next(wire.points for wire in panel.wires if wire.name == "main")
        near = np.argmin(np.abs(motion.frame_time - time))
        slots = motion.points[near, : motion.mesh.model.main]  # Between them the drawn line is round.
        assert np.linalg.norm(main[:, None] - slots, axis=2).min(axis=0).max() < 0.3
        assert panel.labels[0].at == pytest.approx(now.foot)
        assert np.linalg.norm(now.tie_in - now.ring) < study.rig.walker.leash + 0.4
    lowest = moment(motion, times["lowest"])
    assert lowest.foot[2] == pytest.approx(study.fall_in_time.foot_lowest.value[0], abs=0.02)
    assert lowest.taut and not moment(motion, 0.0).taut


def test_the_curve_is_the_force_over_time_with_its_range(shown):
    study, stage = shown
    motion, panel = study.fall_in_time.happened[0].motion, stage.panel("force")
    for name, force in picture.forces_of(motion).items():
        drawn = next(wire.points for wire in panel.wires if wire.name == name)
        until = motion.leash.time <= picture.SHOWN
        assert len(drawn) == until.sum()
        # Paper heights fall with force, evenly.
        assert np.corrcoef(drawn[:, 2], force[until])[0, 1] == pytest.approx(1.0, abs=1e-9)
    texts = " ".join(label.text for label in panel.labels)
    assert texts.count(" to ") == 3
    trust = next(box for box in stage.boxes if box.name == "trust")
    assert "Not to be trusted" in " ".join(trust.lines)

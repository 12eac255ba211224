"""Frames of motion as JSON: the places and forces of the runs, for whoever draws them."""

from __future__ import annotations

import json

import numpy as np
import pytest

from linescope.export.frames_file import write_frames
from linescope.motion import leash_fall_in_time
from linescope.motion.expected import expected
from linescope.motion.notes import trust
from linescope.rig import Given, Inputs
from linescope.study import Study
from linescope.words import Words
from tests.stage import rigs


def test_the_file_has_the_states_of_the_run(tmp_path):
    rig = rigs.heron(0.07, measured_on="tensioned")
    planned = Study(rig).planned
    found = expected(planned, np.array([rig.walker.at]), depth="middle", seconds=1.0)
    leave = {"main_gone_in_time", "bounce_in_time", "gust_in_time"}
    study = Study(
        Given(rig=rig, inputs=Inputs()), in_time=True, leave=leave, given={"planned": planned, "fall_in_time": found}
    )
    data = json.loads(write_frames(tmp_path / "frames.json", study).read_text())
    assert list(data) == ["fall_in_time"]
    told, choice = data["fall_in_time"], found.happened[0].choice
    run = leash_fall_in_time(planned, rig.walker.at, choice=choice, seconds=1.0)
    motion, n = run.motion, run.motion.mesh.model.slots
    assert np.array(told["time"]) == pytest.approx(motion.frame_time, abs=1e-4)
    both = np.concatenate((told["main"], told["backup"]), axis=1)
    assert np.abs(both - motion.points[:, :n]).max() < 1e-4
    assert np.abs(np.array(told["tie_in"]) - motion.points[:, n + 1]).max() < 1e-4
    assert max(told["forces"]["leash"]) == pytest.approx(motion.leash.most, abs=0.1)
    assert len(told["tapes"]["point"]) == len(told["tapes"]["gone"]) == len(planned.layout.tapes)
    assert told["parted"] is None
    assert told["limits"] == Words().note(trust())

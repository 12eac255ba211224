"""Nothing that is printed depends on how many places a sweep tries: twice as many, and every figure is compared."""

from __future__ import annotations

from pathlib import Path

import pytest

import linescope
from linescope.report.figures import figures_json
from linescope.report.people import figures_text
from linescope.study import Study
from tests.long import rest_is_long

SCENES = Path(__file__).parents[2] / "scenes"
# Drawn, walked and asked for elsewhere: no sweep over places along the line.
LEFT = {
    "bands", "compare", "wear", "touch_states", "clearance", "first_clearance", "place_gaps", "fall_gaps", "deeper",
    "mends", "rest_mends", "drawn_needs", "crossing_low", "crossing_value", "crossing_high", "fall_in_time",
    "main_gone_in_time", "bounce_in_time", "gust_in_time", "fall_course", "gone_course", "gust_course", "first_wear",
}


@pytest.mark.parametrize("name", rest_is_long(["heron_gap", "ptarmigan_step", "larkspur_ledge"], "ptarmigan_step"))
def test_twice_the_places_change_no_figure(name: str) -> None:
    scene = linescope.load(SCENES / f"{name}.toml")
    told = []
    for places in (15, 30):
        study = Study(scene, leave=LEFT, places=places)
        assert len(study.fall_sweep.at) == places and study.main_gone_sweep
        data = figures_json(study)
        for sweep in ("leash_fall_sweep", "main_gone_sweep"):  # Curves for programs: as many entries as places.
            data.pop(sweep)
        told.append((figures_text(study).splitlines(), data))
    assert told[0][0] == told[1][0]
    assert told[0][1] == told[1][1]

"""In how many draws required clearances are kept: counted, and counted rightly.

A figure that moves one way with one input crosses its value in half of the draws, since an input lies as often below
its value as above; so a need of just that much is kept in half.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from linescope import Study
from linescope.advise.drawn_needs import drawn_needs, draws_for
from linescope.notes import Severity
from linescope.report import grids
from linescope.rig import Band, ClearanceNeeds, Given
from linescope.topics.clearance import CLEARANCE, IN_DRAWS, DrawnNote
from linescope.words import Words
from tests.advise.lines import scene_of

FLOOR = """
[ground]
kind = "profile"
half_width = "10 m"
profile = [["-3 m", "-0.3 m"], ["0.8 m", "-0.4 m"], ["1.2 m", "-16 m"], ["22.8 m", "-16 m"], ["23.4 m", "-0.4 m"],
           ["28 m", "-0.3 m"]]
"""
NEEDS = """
[clearance]
line = "1 m"
loop = "1 m"
body = "1 m"
survey_error = "0 m"
margin = "0 m"
anchor_zone = "4 m"
"""
DRAWS = 16


@pytest.fixture(scope="module")
def study() -> Study:
    scene = scene_of(NEEDS, FLOOR)
    pull = Band(low=1600.0, value=2000.0, high=2400.0)
    return Study(Given(rig=scene.rig, inputs=replace(scene.inputs, bands={"main.tension": pull})), positions=9)


def drawn(study: Study, **needs: float):
    rig = replace(study.rig, needs=ClearanceNeeds(survey_error=0.0, margin=0.0, anchor_zone=4.0, **needs))
    given = Given(rig=rig, inputs=study.inputs)
    return drawn_needs(given, replace(study.planned, rig=rig), study.index, study.clearance, draws=DRAWS)


@pytest.fixture(scope="module")
def loose(study):
    return drawn(study, line=1.0, loop=1.0, body=1.0)


def test_what_is_needed_by_far_less_is_kept_in_all_and_by_far_more_in_none(study, loose):
    assert {each.figure for each in loose.needs} == {
        "line over ground", "loops over ground", "feet over ground in a leash fall",
        "feet over ground if the main goes",
    }
    assert all(each.kept == DRAWS for each in loose.needs) and loose.kept == DRAWS and loose.lost == 0
    none = drawn(study, line=30.0, loop=30.0, body=30.0)
    assert all(each.kept == 0 for each in none.needs) and none.kept == 0


def test_a_need_of_just_the_planned_figure_is_kept_in_half_of_the_draws(study, loose):
    value = {each.figure: each.value for each in loose.needs}
    line, fall = value["line over ground"], value["feet over ground in a leash fall"]
    found = {each.figure: each for each in drawn(study, line=line, loop=1.0, body=fall).needs}
    for figure in ("line over ground", "feet over ground in a leash fall"):
        assert found[figure].kept == pytest.approx(DRAWS / 2, abs=1), figure
        assert found[figure].low < value[figure] < found[figure].high


def test_the_tables_say_of_how_many_and_no_promise(study, loose):
    known = {name: study.get(name) for name in ("planned", "clearance", "index")}
    told = Study(study.scene, given={**known, "drawn_needs": loose})
    words = Words("metric", "en")
    table = grids.across(CLEARANCE, IN_DRAWS, told, words)
    assert {row[-1] for row in table.rows} == {f"{DRAWS} of {DRAWS}"}
    data = {}
    grids.data([CLEARANCE], told, data)
    assert [row["kept"] for row in data["clearance"]["drawn"]] == [DRAWS] * 4
    basis = next(note for note in CLEARANCE.notes(told) if note.kind is DrawnNote.BASIS)
    assert "no promise" in words.note(basis) and basis.severity is Severity.BASIS
    # Not computed, not shown: nothing is slower for whom nobody asked.
    assert grids.across(CLEARANCE, IN_DRAWS, Study(study.scene, given=known), words) is None


def test_what_is_kept_as_planned_and_in_too_few_draws_is_said_at_the_head(study, loose):
    first = loose.needs[0]
    few = replace(loose, needs=(replace(first, kept=10), *loose.needs[1:]))
    known = {name: study.get(name) for name in ("planned", "clearance", "index")}
    notes = CLEARANCE.notes(Study(study.scene, given={**known, "drawn_needs": few}))
    assert [note.values["kept"] for note in notes if note.kind is DrawnNote.FEW and note.leads] == [10]


def test_long_lines_and_ties_get_fewer_draws_and_none_too_few(study):
    counts = [draws_for(study.rig, tapes) for tapes in (10, 60, 400)]
    assert counts == sorted(counts, reverse=True) and all(np.log2(count).is_integer() for count in counts)
    tied = replace(study.rig, ties=(12.0,))
    assert draws_for(tied, 10) < draws_for(study.rig, 10) and draws_for(tied, 400) >= 16

"""A reading that a model can be fitted to, and papers that do not accept it: two questions, two answers.

That loops are accepted a fifth either way is common practice, no source; that a reading outside a stop rule stops the
crew whatever else is known is what a stop rule means.
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest

from linescope import Study, load
from linescope.events.accepted import accepted_of, usual_depth
from linescope.events.fitted import FittedNote, fit_readings
from linescope.export.sheet_tables import acceptance
from linescope.report import grids
from linescope.rig import Band, Given, Reading
from linescope.topics.readings import TOPIC, AcceptNote, ReadingVerdict, _verdict
from linescope.words import Words
from tests.events.made_lines import read_off, truth_of

SCENES = Path(__file__).parents[2] / "scenes"


@pytest.fixture(scope="module")
def heron():
    study = Study(load(SCENES / "heron_gap.toml"))
    return study, study.meter, study.to_see


def read_of(study: Study, *readings: Reading) -> Study:
    """The same line, read."""
    inputs = replace(study.inputs, readings=readings)
    known = {name: study.get(name) for name in ("planned", "standing", "meter", "let_go")}
    return Study(Given(rig=study.rig, inputs=inputs), given=known)


def test_what_fits_and_is_not_accepted_is_told_as_both(heron):
    """A line pulled to a third more than planned: a model fits it at once, and the papers say stop."""
    study, strip, _ = heron
    high = Reading(what="tension", value=1.06 * float(strip.high[0, 0]), error=130.0, end="A", key="readings[1]")
    good = Reading(what="tension", value=float(strip.value[0, 1]), error=130.0, end="B", key="readings[2]")
    other = Reading(what="sag", value=3.1, error=0.05, mass=75.0, at=24.0, key="readings[3]")
    read = read_of(study, high, good, other)
    checks = read.readings.readings
    assert all(each.used for each in checks)
    assert [_verdict(each, read).kind for each in checks] == [
        ReadingVerdict.STOP, ReadingVerdict.ACCEPTED, ReadingVerdict.FITS,
    ]
    note = next(note for note in TOPIC.notes(read) if note.kind is AcceptNote.OUTSIDE)
    assert note.leads and "stop and look" in Words("metric", "en").note(note).lower()
    data = {}
    grids.data([TOPIC], read, data)
    rows = data["readings"]["read"]
    assert [row["accepted"] for row in rows] == [False, True, None]
    assert rows[0]["accepted_low"] == strip.low[0, 0] and rows[0]["accepted_high"] == strip.high[0, 0]


def test_a_loop_is_accepted_where_both_papers_accept_it(heron):
    """Whatever is accepted lies in the range of the crew picture and of the sheet's row for that bay."""
    study, strip, seen = heron
    usual = usual_depth(seen.bays.loop_depth, seen.bays.excess)
    sheet = {row[0]: row[3] for row in acceptance(study, Words("metric", "en")).rows}
    assert len(sheet) == 5 and usual is not None
    for bay, depth in enumerate(seen.bays.loop_depth.tolist(), 1):
        said = accepted_of(Reading(what="loop", value=depth, error=0.01, number=bay), strip, seen)
        if not usual[0] <= depth <= usual[1]:
            continue
        assert said is not None and said.ok
        assert said.low >= max(usual[0], 0.8 * depth) - 1e-12 and said.high <= min(usual[1], 1.2 * depth) + 1e-12
        beyond = Reading(what="loop", value=said.high + 1e-6, error=0.01, number=bay)
        assert not accepted_of(beyond, strip, seen).ok
        name = Words("metric", "en").say("frame-bay", number=bay)
        if name in sheet:  # The sheet's row for a bay is that range itself.
            low, high = (float(end) for end in re.match(r"([\d.]+) to ([\d.]+) cm", sheet[name]).groups())
            assert (low, high) == pytest.approx((100.0 * said.low, 100.0 * said.high), rel=0.03)


def test_where_the_papers_give_no_range_nothing_is_called_accepted(heron):
    _, strip, seen = heron
    stranger = Reading(what="tension", value=2400.0, error=100.0, mass=95.0, at=24.0)
    elsewhere = replace(stranger, mass=75.0, at=30.0)
    loaded = Reading(what="loop", value=0.01, error=0.01, number=4, mass=75.0, at=24.0)
    bay = Reading(what="bay", value=3.0, error=0.02, number=4)
    assert [accepted_of(each, strip, seen) for each in (stranger, elsewhere, loaded, bay)] == [None] * 4
    assert accepted_of(replace(stranger, mass=75.0, value=9000.0), strip, seen).ok is False  # Mid-span is on the sheet.
    none = replace(strip, low=strip.value, high=strip.value)
    assert accepted_of(Reading(what="tension", value=1800.0, error=90.0), none, seen) is None


def test_a_stiffness_outside_its_planned_range_is_named(heron):
    """Readings of a line that is stiffer by three tenths, whose plan thinks of three hundredths."""
    study, *_ = heron
    band = Band(low=0.97, value=1.0, high=1.03)
    inputs = replace(study.inputs, bands={**study.inputs.bands, "main.stiffness_factor": band})
    built = truth_of(study.rig, study.planned, main__stiffness_factor=1.3, backup__stiffness_factor=1.3)
    one = Reading(what="sag", value=0.0, error=0.01, mass=75.0, at=24.0, key="readings[1]")
    meter = Reading(what="tension", value=0.0, error=20.0, key="readings[3]")
    readings = read_off(built, (one, replace(one, mass=150.0, key="readings[2]"), meter))
    found = fit_readings(Given(rig=study.rig, inputs=inputs), readings, planned=study.planned, draws=16)
    assert all(each.used for each in found.readings)
    stiffness = next(each for each in found.known if each.key == "main.stiffness_factor")
    assert stiffness.is_beyond and stiffness.built > band.high
    note = next(note for note in found.notes if note.kind is FittedNote.BEYOND)
    text = Words("metric", "en").note(note)
    assert note.leads and "main.stiffness_factor" in text and "0.970 to 1.03" in text
    # The tension is as planned, and not named.
    assert "main.tension" not in text

"""As built beside planned: what the picture shows is what was fitted and what was read."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from linescope.rig import Given, Inputs, Reading
from linescope.stage import build
from linescope.statics import plan
from linescope.study import Study
from tests.events.catch_rigs import Walker
from tests.statics.random_rigs import plain_rig


@pytest.fixture(scope="module")
def study() -> Study:
    rig = plain_rig(span=32.0, every=4.0, excess=0.06, tension=1800.0, walker=Walker(mass=75.0, at=16.0))
    planned = plan(rig)
    loop = float(np.median(planned.layout.stated_bays)) * 0.14
    readings = (
        Reading(what="tension", value=2050.0, error=60.0), Reading(what="loop", value=loop, error=0.015, number=3),
        Reading(what="loop", value=loop, error=0.015, number=5),
        Reading(what="loop", value=loop + 0.3, error=0.015, number=6),
    )
    return Study(Given(rig=rig, inputs=Inputs(readings=readings)), given={"planned": planned}, leave={"bands"})


def test_bars_readings_and_figures_are_those_of_the_fit(study):
    found = study.readings
    assert found
    stage = build(study.taped, view="as-built", study=study, size=(700, 495))
    loops, figures = stage.panel("loops"), stage.panel("figures")
    bars = [surface for surface in loops.surfaces if surface.name.startswith("loop ")]
    assert len(bars) == len(found.planned.layout.tapes) + 1
    tops = {round(float(bar.points[:, 2].max()), 6) for bar in bars}
    assert len(tops) == 1
    top = tops.pop()
    deep = {int(bar.name.split()[1]): top - float(bar.points[:, 2].min()) for bar in bars}
    read = {each.reading.number: each for each in found.readings if each.reading.what == "loop"}
    for symbols in loops.symbols:
        number = int(symbols.name.split()[1])
        down = top - float(symbols.points[0, 2])
        # One scale for bars and readings: what is read deeper is drawn deeper by so much.
        assert down / deep[number] == pytest.approx(read[number].reading.value / read[number].built, rel=0.02)
        papers = study.accepted.get(read[number].reading)
        stops = papers is not None and not papers.ok  # What the crew's papers do not accept is red as well.
        assert (symbols.colour == "alarm") == (stops or not read[number].used)
        assert (symbols.symbol == "diamond") == (not read[number].used)
    assert [each.used for each in found.readings] == [True, True, True, False]
    assert stage.alarms and any("bay 6" in text for text in stage.alarms)
    shown = [surface.name for surface in figures.surfaces]
    assert "left tension_a" in shown and "left gone_floor" in shown
    line = stage.panel("line")
    planned, built = (next(wire for wire in line.wires if wire.name == name) for name in ("planned", "main"))
    assert planned.points[:, 2].min() < built.points[:, 2].min()  # It was pulled harder.


def test_without_readings_there_is_no_such_picture(study):
    from linescope.errors import InputError

    bare = Study(replace(study.rig), leave={"bands"})
    with pytest.raises(InputError, match="readings"):
        build(bare.taped, view="as-built", study=bare, size=(700, 495))

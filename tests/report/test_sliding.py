"""What lets go by itself is said of every hold, and what the crew is told to see is the line after it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from linescope.export import sheet_tables
from linescope.report.figures import figures_json
from linescope.report.people import figures_text
from linescope.report.sliding import let_go_words
from linescope.scenefile import from_text
from linescope.stage.words import Measures
from linescope.study import Study

SCENE = """
title = "uneven bays"
[anchors]
a = ["0 m", "0 m", "0 m"]
b = ["40 m", "0 m", "1 m"]
[main]
tension = "3 kN"
webbing = { like = "polyester 25 mm", aged_strength = "20 kN" }
[backup]
webbing = "polyester 25 mm"
excess = "6 %"
[taping]
measured_on = "slack"
[[taping.zones]]
style = "main-held slider"
spacing = { pattern = ["2 m", "4 m"] }
[hold]
drag = { value = "0.5 N", low = "0.1 N", high = "3 N" }
friction = { value = "0.25", low = "0.15", high = "0.35" }
[walker]
mass = "78 kg"
at = "40 %"
"""


@pytest.fixture(scope="module")
def uneven() -> Study:
    return Study(from_text(SCENE, file="uneven.toml", folder=Path()), leave=Study.SLOW | {"ground", "bands"})


def test_every_hold_is_said_the_one_given_loudly(uneven: Study) -> None:
    given, *_, low, high = let_go_words(uneven)
    found = uneven.let_go["value"]
    assert found.gone_empty and given.startswith("TAPES LET GO by themselves with the hold as given")
    assert low.startswith("With low hold, on the empty line: tapes") and high == "With high hold none does."
    text = figures_text(uneven)
    assert "! TAPES LET GO" in text and "standing, empty, hold as given" in text
    assert "no tape is on a slope" not in text
    deepest = 100.0 * found.empty.bays.loop_depth.max()
    assert f"{deepest:.0f} cm" in given
    assert figures_json(uneven, "1")["let_go"]["value"]["gone_empty"] == list(found.gone_empty)


def test_the_crew_is_told_to_see_what_is_there(uneven: Study) -> None:
    """The sheet's acceptance follows the hold as given, with the loop as taped and both ends of hold beside it."""
    assert uneven.to_see is uneven.let_go["value"].empty
    table = sheet_tables.acceptance(uneven, Measures())
    assert table.columns[2] == "depth to see, hold as given" and "as taped" in table.columns
    seen = uneven.to_see.bays.loop_depth
    assert np.abs(seen - uneven.standing.bays.loop_depth).max() > 0.02
    for row in table.rows:
        bay = int(row[0].split()[1]) - 1
        assert row[2] == f"{Measures().depth(float(seen[bay]))} cm"


def test_peaks_stand_beside_both_lines_strengths_and_say_what_is_rigid(uneven: Study) -> None:
    """Shares by hand: tension over the strength given, rounded up to two figures."""
    text = " ".join(figures_text(uneven).split())
    assert uneven.fall is not None
    share = 100.0 * float(uneven.fall.figures.peak_main_tension[0]) / 20e3
    assert f"({int(np.ceil(share))} % of its aged strength, 20 kN) in the main" in text
    assert "of its strength as new, 30 kN) in the backup" in text
    assert "on the ring (bound: leash and body rigid)" in text


def test_one_unit_in_a_column_of_loops(uneven: Study) -> None:
    """In feet loops of 9 inches and of 18 stand in one unit."""
    for line in figures_text(uneven, "feet").splitlines():
        assert not (" in," in line and " ft," in line)
    rows = sheet_tables.loops(uneven, Measures(system="feet"))
    for column, name in enumerate(rows.columns):
        if name.startswith("depth"):
            assert len({row[column].split()[-1] for row in rows.rows}) == 1

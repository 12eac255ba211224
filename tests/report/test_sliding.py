"""What lets go by itself is said of every hold, and what the crew is told to see is the line after it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from linescope.events.let_go import SlidingNote, let_go_notes
from linescope.export import sheet_tables
from linescope.notes import Bays, Quantity, Severity, Term
from linescope.report.bays import by_bay
from linescope.report.figures import figures_json
from linescope.report.people import figures_text
from linescope.scenefile import from_text
from linescope.study import Study
from linescope.topics import LOOPS
from linescope.words import Words

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
    given, *_, low, high = let_go_notes(uneven.let_go, standing=uneven.standing, taped=uneven.taped)
    found = uneven.let_go["value"]
    assert found.gone_empty
    assert (given.kind, given.severity) == (SlidingNote.LET_GO, Severity.CHECK)
    assert given.values["tapes"] == Bays(found.gone_empty)
    assert given.values["loops"].high == found.empty.bays.loop_depth.max()
    assert given.values["before"].high == uneven.standing.bays.loop_depth.max()
    assert given.values["slip"] == Quantity(float(abs(found.empty.tape_slip).max()), "length", "up")
    assert (low.kind, low.values["hold"], low.values["walker"]) == (SlidingNote.LEVEL, "low", "no")
    assert (high.kind, high.values["hold"]) == (SlidingNote.LEVEL_NONE, "high")
    text = " ".join(figures_text(uneven).split())
    assert f"! {Words().note(given)}" in text
    assert Words().say("state-standing-held") in text
    assert figures_json(uneven)["let_go"]["value"]["gone_empty"] == list(found.gone_empty)


def test_the_crew_is_told_to_see_what_is_there(uneven: Study) -> None:
    """The sheet's acceptance follows the hold as given, with the loop as taped and both ends of hold beside it."""
    assert uneven.to_see is uneven.let_go["value"].empty
    table = sheet_tables.acceptance(uneven, Words())
    assert Words().say("sheet-accept-taped") in table.columns
    assert Words().say("sheet-accept-depth", state=Term("frame-state-friction-limited")) in table.columns
    seen = uneven.to_see.bays.loop_depth
    assert np.abs(seen - uneven.standing.bays.loop_depth).max() > 0.02
    for row in table.rows:
        bay = int(row[0].split()[1]) - 1
        assert float(row[2].split()[0]) == pytest.approx(100.0 * seen[bay], abs=0.5)


def test_peaks_stand_beside_both_lines_strengths_and_say_what_is_rigid(uneven: Study) -> None:
    """Shares by hand: tension over the strength given, to two figures; an estimate is no bound."""
    text = figures_text(uneven)
    assert uneven.fall
    # Terminations leave four fifths where the scene says nothing.
    share = 100.0 * float(uneven.fall.figures.low.peak_main_tension[0]) / (0.8 * 20e3)
    main = next(line for line in text.splitlines() if "tension in the main over its aged strength" in line)
    assert f" {round(share)} %" in main and "≤" not in main
    # Its loops hang: what they carry is no share of a catch.
    low = uneven.fall.figures.low
    assert low.peak_backup_tension.max() < 100.0 and low.least_excess.min() > 0.0
    assert "tension in the backup" not in text
    assert "stretch along with the line" in " ".join(text.split())


def test_one_unit_in_a_column_of_loops(uneven: Study) -> None:
    """In feet loops of 9 inches and of 18 stand in one unit."""
    table = by_bay(LOOPS, uneven, Words("feet"), every=True)
    depths = [[cell.partition(",")[0] for cell in column] for column in list(zip(*table.rows, strict=True))[4:]]
    for column in depths:
        assert len({cell.split()[-1] for cell in column if cell != Words().say("loops-no-slack")}) == 1

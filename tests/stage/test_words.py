"""What the pictures say."""

from __future__ import annotations

import dataclasses
import datetime

import numpy as np
import pytest

from linescope.notes import Quantity
from linescope.rig import InputNote, Inputs, Wind
from linescope.stage import VIEWS, alarms, build
from linescope.statics import solve
from linescope.statics.results import StateNote
from linescope.words import Words, frame
from tests.stage import rigs

METRIC = Words()


def all_text(stage) -> list[str]:
    text = [stage.title, stage.question, stage.state, *stage.alarms, stage.footer]
    for box in stage.boxes:
        text += [box.heading, *box.lines, *(entry.text for entry in box.legend)]
        text += [cell for row in box.table for cell in row]
    for panel in stage.panels:
        text += [panel.caption, *(label.text for label in panel.labels), *(d.text for d in panel.dimensions)]
    return text


def test_the_state_says_what_and_where() -> None:
    assert frame.state_label(rigs.solved("heron"), METRIC) == "as taped, walker at 24 m"
    assert frame.state_label(rigs.solved("short"), METRIC) == "as taped, nobody on the line"
    assert frame.state_label(rigs.solved("heron"), Words(system="feet")) == "as taped, walker at 79 ft"


def test_a_rig_with_wind_says_that_still_air_is_shown() -> None:
    solution = rigs.solved("heron")
    windy = dataclasses.replace(solution, rig=dataclasses.replace(solution.rig, wind=Wind(speed=5.0, towards=(0, 1))))
    assert frame.state_label(windy, METRIC).endswith("still air")
    loads = np.array(windy.loads)
    loads[:, 1] = 0.3
    assert frame.state_label(dataclasses.replace(windy, loads=loads), METRIC).endswith("in wind")


def test_how_each_input_is_known_is_marked() -> None:
    lines = frame.inputs(rigs.solved("heron"), METRIC, rigs.INPUTS["heron"])
    text = "\n".join(lines)
    assert "Standing tension 1.8 kN (measured) at A" in text
    assert "7.0 % (guessed) longer than the main in each bay" in text
    assert "leash 1.6 m (assumed)" in text
    assert "75 kg," in text  # stated: no mark
    assert lines[-1].startswith("Not given, so assumed (3): ")
    for given in ("leash 1.6 m", "friction 0.2", "drag 0.5 N"):
        assert given in lines[-1]


def test_a_tight_backup_is_the_first_thing_said() -> None:
    solution = rigs.solved("trap")
    (tight,) = [note for note in solution.notes if note.kind is StateNote.TIGHT]
    assert (tight.values["count"], tight.values["total"]) == (16, 16)
    assert alarms.alarms(solution, METRIC)[0] == METRIC.note(tight)
    assert alarms.alarms(rigs.solved("heron"), METRIC) == ()


@pytest.mark.parametrize("view", VIEWS)
@pytest.mark.parametrize("name", ["trap", "incline", "short"])
def test_every_picture_carries_its_state_inputs_cautions_version_and_date(view: str, name: str) -> None:
    if view not in rigs.drawable(name):
        return
    stage = build(rigs.solved(name), view=view, date=datetime.date(2026, 3, 1), study=rigs.study(name))
    text = "\n".join(all_text(stage))
    assert (stage.question if stage.message else stage.title).startswith(rigs.solved(name).rig.name)
    assert stage.state
    assert stage.state == stage.metadata["State"]
    if stage.message:  # Inputs stand once, on the sheet: here are verdict, state, version, date and one caution.
        assert stage.state in stage.question
        assert "a plan, not a permission" in stage.footer
        assert "2026-03-01" in stage.footer and stage.metadata["Version"] in stage.footer
        return
    if VIEWS[view].per_state:
        assert stage.state.startswith("as taped")
    assert "not permission" in text
    assert "Measure tension and loop depth on the real line" in text
    assert "2026-03-01" in stage.footer
    assert stage.metadata["Version"] in stage.footer
    assert {box.name for box in stage.boxes} >= {"inputs", "legend", "cautions"}
    for word in ("safe", "Safe", "SAFE", "✓", "✔"):
        assert word not in text


def test_the_legend_lists_the_styles_that_occur_and_no_others() -> None:
    stage = build(rigs.solved("incline"), view="elevation")
    (legend,) = [box for box in stage.boxes if box.name == "legend"]
    entries = [entry for entry in legend.legend if entry.symbol and entry.symbol != "walker"]
    shown = {entry.text.split(",")[0] for entry in entries}
    assert shown == {"cloth-patch slider", "main-held slider", "fixed wrap", "tie"}
    assert sum(int(e.text.split("(")[1][:-1]) for e in entries) == len(
        rigs.solved("incline").layout.tapes
    )


def test_findings_join_the_alarms() -> None:
    stage = build(rigs.solved("heron"), view="elevation", findings=("Body reaches the ground at 12 m from A.",))
    assert stage.alarms[-1] == "Body reaches the ground at 12 m from A."


def test_feet_and_inches() -> None:
    stage = build(rigs.solved("heron"), view="closeup", system="feet")
    text = " ".join(all_text(stage))
    assert "1.5 ft deep" in text  # 0.461 m / 0.3048
    assert " cm" not in text.replace("ASSUMED", "")


def test_a_long_list_of_assumptions_is_grouped() -> None:
    parts = (InputNote(key=f"hold.part_{k}", value=Quantity(k, "length"), known="assumed") for k in range(9))
    given = Inputs(notes=tuple(parts))
    assert frame.inputs(rigs.solved("heron"), METRIC, given)[-1].count("hold") == 1


def test_a_crowded_line_says_that_not_every_tape_is_drawn() -> None:
    long = rigs.long()
    zones = tuple(dataclasses.replace(z, spacing=dataclasses.replace(z.spacing, every=1.5)) for z in long.taping.zones)
    solution = solve(dataclasses.replace(long, taping=dataclasses.replace(long.taping, zones=zones)))
    stage = build(solution, view="elevation")
    (legend,) = [box for box in stage.boxes if box.name == "legend"]
    (note,) = [entry.text for entry in legend.legend if "is drawn" in entry.text]
    every = int(note.split()[5])
    drawn = sum(len(mark.points) for mark in stage.panel("profile").symbols if not mark.text)
    assert len(solution.layout.tapes) / every <= drawn - 2 <= len(solution.layout.tapes) / every + 4


@pytest.mark.parametrize(
    ("system", "limit", "length", "text"),
    [
        ("metric", 7.0, 5.0, "5 m"),
        ("metric", 0.3, 0.2, "20 cm"),
        ("metric", 20.0, 20.0, "20 m"),
        ("feet", 7.0, 20 * 0.3048, "20 ft"),
        ("feet", 200.0, 500 * 0.3048, "500 ft"),
    ],
)
def test_scale_bars_have_round_lengths(system: str, limit: float, length: float, text: str) -> None:
    assert Words(system=system).round_length(limit) == (pytest.approx(length), text)


def test_places_can_be_found() -> None:
    assert METRIC.length(0.3149) == "31 cm"
    assert METRIC.length(3.41) == "3.4 m"
    assert METRIC.place(24.0) == "24 m"
    assert METRIC.place(123.46) == "123.5 m"

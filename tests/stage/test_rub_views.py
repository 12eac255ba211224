"""Pictures of touch, rub and styles: what is drawn is what was computed, on one scale for both lines."""

from __future__ import annotations

import datetime
import functools
from dataclasses import replace

import numpy as np
import pytest

from linescope.contact import Comparison, Rub, compare, find_rub, find_touches
from linescope.stage import brief_of
from linescope.stage.items import Stage
from linescope.stage.views import compare as compare_view
from linescope.stage.views import rub as rub_view
from linescope.stage.views import touch as touch_view
from linescope.stage.views.page import Brief
from linescope.statics import solve
from linescope.taping import Holds
from tests.contact.making import walked_rig
from tests.stage import rigs

SLIDING = walked_rig(Holds.MAIN, span=24.0)


@functools.cache
def rub() -> Rub:
    return find_rub(SLIDING, most=5, levels=("low", "value"))


@functools.cache
def comparison() -> Comparison:
    return compare(SLIDING, most=5, levels=("value",))


def brief(theme: str = "light", system: str = "metric", solution=None) -> Brief:
    found = solve(SLIDING) if solution is None else solution
    return brief_of(found, theme=theme, system=system, date=datetime.date(2024, 5, 1))


def words(stage: Stage) -> str:
    said = [stage.question, stage.state, *stage.alarms]
    for panel in stage.panels:
        said += [panel.caption, *(label.text for label in panel.labels), *(d.text for d in panel.dimensions)]
    for box in stage.boxes:
        said += [box.heading, *box.lines, *(entry.text for entry in box.legend), *(c for row in box.table for c in row)]
    return " ".join(said)


def test_classes_share_one_scale_and_hold_every_value():
    density = np.array([0.0, 0.01, 0.05, 0.2, 0.3, 0.9, 1.0])
    assert rub_view.classes(density, 1.0).tolist() == [0, 1, 2, 3, 4, 5, 5]
    assert rub_view.classes(np.zeros(3), 0.0).tolist() == [0, 0, 0]
    assert len(rub_view.class_words(1.0, brief().measures)) == len(rub_view.ROLES)


@pytest.mark.parametrize("theme", ("light", "dark"))
def test_rub_is_painted_on_both_ribbons_where_it_was_booked(theme):
    stage = rub_view.build(brief(theme), rub())
    assert set(rub_view.ROLES) <= set(stage.theme.colours)
    near = stage.panel("near")
    assert [surface.name for surface in near.surfaces] == ["main", "backup"]
    counted = rub().counted()
    most = max(counted.main.peak, counted.backup.peak)
    for surface in near.surfaces:
        ledger = counted.of(surface.name)
        assert surface.colours == rub_view.ROLES
        assert len(surface.colour) == len(surface.triangles)
        # The widest class on the ribbon is that of the largest rub near the tape.
        tape = rub().places[0].tape - 1
        mark = rub().layout.tape_main[tape] if surface.name == "main" else rub().layout.tape_backup[tape]
        close = np.abs(ledger.middles - mark) < rub_view.REACH
        assert surface.colour.max() == rub_view.classes(ledger.per_metre[close], most).max()


def test_charts_draw_both_lines_to_one_scale():
    stage = rub_view.build(brief(), rub())
    for name, pairs in (("crossing", rub().slide()), ("gust", rub().swing)):
        heights = {
            line: max((np.ptp(s.points[:, 2]) for s in stage.panel(name).surfaces if s.name == line), default=0.0)
            for line in ("main", "backup")
        }
        assert heights["main"] / heights["backup"] == pytest.approx(pairs.main.peak / pairs.backup.peak, rel=0.02)


def test_a_chart_without_rub_says_so():
    nothing = rub().slide().times(0.0)
    panel = rub_view.chart(brief(), nothing, rub().layout, (0.0, 0.1, 1.0, 0.4), name="none", caption="")
    assert "no rub" in [label.text for label in panel.labels]


@pytest.mark.parametrize("system", ("metric", "feet"))
def test_the_list_of_places_stands_on_the_picture(system):
    stage = rub_view.build(brief(system=system), rub())
    table = next(box.table for box in stage.boxes if box.name == "places")
    assert len(table) == 1 + min(rub_view.ROWS, len(rub().places))
    assert table[1][1] == rub().places[0].line
    said = words(stage).lower()
    assert "safe" not in said
    assert "ranks" in said
    assert ("ft" in table[1][2]) == (system == "feet")


def test_touching_part_has_its_colour_and_its_length():
    solution = solve(SLIDING)
    touching = find_touches(solution)
    stage = touch_view.build(brief(solution=solution), touching)
    number = touch_view.shown_tape(touching)
    touch = touching.at_tape(number)
    near = stage.panel("near")
    assert near.dimensions[0].value == pytest.approx(float(np.linalg.norm(touch.points[1] - touch.points[0])))
    for surface in near.surfaces:
        painted = surface.points[np.unique(surface.triangles[surface.colour == 2])]
        along = (SLIDING.main_b - SLIDING.main_a) / SLIDING.span
        spread = np.ptp(painted @ along)
        assert spread == pytest.approx(near.dimensions[0].value, rel=0.4)
    bars = [surface for surface in stage.panel("along").surfaces if surface.name == "contact"]
    assert len(bars) == len(solution.layout.tapes)


def test_the_backup_is_drawn_under_the_main_and_bars_stand_on_an_axis():
    """Paper's z is up the page: what hangs lower is lower; a bar ends where the axis says its length is."""
    touching = find_touches(solve(SLIDING))
    stage = touch_view.build(brief(solution=touching.solution), touching)
    wires = {wire.name: wire.points for wire in stage.panel("gap").wires}
    assert wires["gap"][:, 2].max() <= wires["main"][:, 2].min() + 1e-9
    assert wires["reach"][0, 2] < wires["main"][0, 2]
    panel = stage.panel("along")
    level = next(wire.points[0, 2] for wire in panel.wires if wire.name == "level")
    floor = next(wire.points[0, 2] for wire in panel.wires if wire.name == "line")
    said = next(label.text for label in panel.labels if label.at[2] == level)
    value, unit = said.split()
    longest = max(touch.length for touch in touching.touches if touch.cause == "tape" and touch.tape)
    top = max(surface.points[:, 2].max() for surface in panel.surfaces if surface.name == "contact")
    metres = float(value) * {"cm": 0.01, "mm": 0.001}[unit]
    assert (level - floor) / (top - floor) == pytest.approx(metres / longest, rel=1e-6)


def test_tight_bays_are_said_and_drawn_to_touch_all_along():
    solution = rigs.solved("trap")
    stage = touch_view.build(brief(solution=solution), find_touches(solution))
    assert "touch all along" in words(stage)
    assert any(surface.name == "whole bay" for surface in stage.panel("along").surfaces)
    assert stage.panel("near").dimensions == ()


def test_styles_on_one_page_share_the_scale_of_their_row():
    stage = compare_view.build(brief(), comparison())
    table = next(box.table for box in stage.boxes if box.name == "styles")
    assert len(table) == 1 + len(comparison().styles)
    crossing = {holds: stage.panel(f"{holds.value} crossing") for holds in Holds}
    drawn = {
        (holds, line): max((np.ptp(s.points[:, 2]) for s in panel.surfaces if s.name == line), default=0.0)
        for holds, panel in crossing.items() for line in ("main", "backup")
    }
    assert drawn[Holds.BOTH, "main"] == drawn[Holds.BOTH, "backup"] == 0.0
    assert drawn[Holds.MAIN, "main"] > drawn[Holds.MAIN, "backup"] > 0.0
    assert drawn[Holds.BACKUP, "backup"] > drawn[Holds.BACKUP, "main"] > 0.0
    gust = stage.panel("both gust cycle")
    heights = [
        max(np.ptp(s.points[:, 2]) for s in gust.surfaces if s.name == line) for line in ("main", "backup")
    ]
    assert heights[0] == pytest.approx(heights[1], rel=0.35)  # Bins cut the two lines differently.
    assert "safe" not in words(stage).lower()


@pytest.mark.parametrize("view", ("rub", "touch", "compare"))
def test_pictures_can_be_drawn_with_all_labels(view):
    pytest.importorskip("pyvista")
    from linescope.export import driver, picture

    driver.probe()
    solution = solve(SLIDING)
    stage = {
        "rub": lambda: rub_view.build(brief(), rub()),
        "touch": lambda: touch_view.build(brief(solution=solution), find_touches(solution)),
        "compare": lambda: compare_view.build(brief(), comparison()),
    }[view]()
    drawing = picture.compose(stage, (1000, 707))
    assert drawing.image.size == (1000, 707)
    assert drawing.left_out == ()
    assert len(np.unique(np.asarray(drawing.image).reshape(-1, 3), axis=0)) > 50


def test_where_no_tape_has_a_contact_of_its_own_bars_say_how_hard_each_presses():
    solution = rigs.solved("trap")
    found = find_touches(solution)
    touches = []
    for touch in found.touches:
        point = {"main": (touch.main[0],) * 2, "backup": (touch.backup[0],) * 2, "towards_a": 0.0, "towards_b": 0.0}
        touches.append(replace(touch, **point) if touch.cause == "tape" else touch)
    whole = replace(found, touches=tuple(touches))
    panel = touch_view.build(brief(solution=solution), whole).panel("along")
    bars = [float(np.ptp(surface.points[:, 2])) for surface in panel.surfaces if surface.name == "contact"]
    forces = np.array([touch.normal for touch in whole.touches if touch.cause == "tape" and touch.normal > 0.0])
    np.testing.assert_allclose(np.array(bars) / max(bars), forces / forces.max(), rtol=1e-6)
    assert panel.caption.startswith("Force that presses")

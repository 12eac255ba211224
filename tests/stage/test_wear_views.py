"""Pictures of touch, rub and styles: what is drawn is what was computed, on one scale for all faces."""

from __future__ import annotations

import datetime
import functools

import numpy as np
import pytest

from linescope.contact import Comparison, Face, Wear, compare, find_touches, find_wear
from linescope.contact.verdicts import rows_of
from linescope.contact.wear import alike
from linescope.rig import Use
from linescope.stage import brief_of, faces
from linescope.stage.items import Stage
from linescope.stage.page import Brief
from linescope.statics import solve
from linescope.study import Study
from linescope.taping import Holds
from linescope.topics.styles import picture as styles
from linescope.topics.touch import picture as touch
from linescope.topics.wear import picture as wear
from linescope.words import Words
from tests.contact.making import tight_rig, walked_rig
from tests.stage import rigs

SLIDING = walked_rig(Holds.BACKUP, span=24.0)
USE = Use(crossings=3, wind_hours=2.0)


@functools.cache
def found() -> Wear:
    return find_wear(SLIDING, USE, per_bay=3, levels=("low", "value"))


@functools.cache
def comparison() -> Comparison:
    return compare(SLIDING, use=USE, per_bay=3, levels=("value",))


def brief(theme: str = "light", system: str = "metric", solution=None, rubbed: Wear | None = None) -> Brief:
    shown = solve(SLIDING) if solution is None else solution
    given = {"wear": found() if rubbed is None else rubbed, "touch": find_touches(shown)}
    study = Study(shown.rig, given=given, leave=Study.SLOW | {"bands"})
    return brief_of(shown, theme=theme, system=system, date=datetime.date(2024, 5, 1), study=study)


def compared() -> Brief:
    study = Study(SLIDING, given={"compare": comparison()}, leave=Study.SLOW | {"bands"})
    return brief_of(solve(SLIDING), date=datetime.date(2024, 5, 1), study=study)


def words(stage: Stage) -> str:
    said = [stage.question, stage.state, *stage.alarms]
    for panel in stage.panels:
        said += [panel.caption, *(label.text for label in panel.labels), *(d.text for d in panel.dimensions)]
    for box in stage.boxes:
        said += [box.heading, *box.lines, *(entry.text for entry in box.legend), *(c for row in box.table for c in row)]
    return " ".join(said)


def bars(panel, face: Face) -> dict[str, float]:
    """Height of the tallest bar of a face [px], its parts put on each other, and which way it stands."""
    parts = [surface for surface in panel.surfaces if surface.name.startswith(f"{face.value}:")]
    by_column: dict[float, list[np.ndarray]] = {}
    for surface in parts:
        by_column.setdefault(round(float(surface.points[:, 0].min()), 3), []).append(surface.points[:, 2])
    return {x: float(np.ptp(np.concatenate(z))) for x, z in by_column.items()}


def test_classes_share_one_scale_and_hold_every_value():
    density = np.array([0.0, 0.01, 0.05, 0.2, 0.3, 0.9, 1.0])
    assert faces.classes(density, 1.0).tolist() == [0, 1, 2, 3, 4, 5, 5]
    assert faces.classes(np.zeros(3), 0.0).tolist() == [0, 0, 0]
    assert len(faces.class_words(1.0, brief().measures)) == len(faces.ROLES)


def test_bars_stand_on_their_face_to_one_scale():
    stage = wear.build(brief())
    panel = stage.panel("faces")
    peaks = {face: found().peak(face) for face in Face}
    tall = {face: max(bars(panel, face).values(), default=0.0) for face in Face}
    worst = max(Face, key=lambda face: peaks[face])
    scale = tall[worst] / peaks[worst]
    for face in Face:
        if peaks[face] * scale > 3.0:
            assert tall[face] == pytest.approx(peaks[face] * scale, rel=0.05, abs=2.0)
    # The main's top stands above its line, the backup's underside below its own.
    lines = {surface.name: surface.points[:, 2] for surface in panel.surfaces if surface.name.endswith(" line")}
    for face, above in ((Face.MAIN_TOP, True), (Face.BACKUP_UNDER, False)):
        for surface in panel.surfaces:
            if surface.name.startswith(f"{face.value}:"):
                line = lines[f"{face.line} line"]
                assert surface.points[:, 2].min() >= line.max() - 1e-9 if above else (
                    surface.points[:, 2].max() <= line.min() + 1e-9
                )


def test_three_styles_stand_on_one_scale():
    stage = styles.build(compared())
    assert [panel.name for panel in stage.panels] == ["backup", "both", "main"]  # The rig as planned first.
    tall, peaks = [], []
    for holds in (Holds.BOTH, Holds.MAIN, Holds.BACKUP):
        rubbed = comparison().behaviour(holds).wear
        face = max(Face, key=lambda each: rubbed.peak(each))
        tall.append(max(bars(stage.panel(holds.value), face).values()))
        peaks.append(rubbed.peak(face))
    assert np.array(tall) / np.array(peaks) == pytest.approx(np.full(3, tall[0] / peaks[0]), rel=0.05)
    table = next(box.table for box in stage.boxes if box.name == "styles")
    assert len(table[0]) == 1 + len(comparison().styles)
    assert len(table) == 1 + len(rows_of(comparison().styles)[0])


def test_tapes_stand_where_they_are_over_where_they_were():
    panel = wear.build(brief()).panel("faces")
    groups = {group.name: group for group in panel.symbols}
    moved = [tape for tape in found().tapes if abs(tape.places[-1] - tape.places[0]) > 0.005]
    assert moved
    now = groups["backup-held slider"].points[:, 0]
    assert len(now) == len(found().tapes)
    ghosts = groups["backup-held slider, before"]
    assert ghosts.colour == "rule" and 0 < len(ghosts.points) <= len(now)


@pytest.mark.parametrize("theme", ("light", "dark"))
def test_every_class_of_rub_has_a_colour_and_words(theme):
    shaded = faces.shaded(brief(theme).theme)
    assert set(faces.ROLES) <= set(shaded.colours)
    most = max(found().peak(face) for face in Face)
    classes = faces.classes(np.array([0.0, 0.02, 0.05, 0.2, 0.4, 1.0]) * most, most)
    assert classes.tolist() == [0, 1, 2, 3, 4, 5]
    assert len(faces.class_words(most, Words())) == len(faces.ROLES)


@pytest.mark.parametrize("system", ("metric", "feet"))
def test_the_lists_stand_on_the_picture(system):
    stage = wear.build(brief(system=system))
    table = next(box.table for box in stage.boxes if box.name == "places")
    assert len(table) == 1 + min(wear.ROWS, len(found().places))
    said = words(stage).lower()
    assert "safe" not in said
    assert "say nothing about how long webbing lasts" in said
    assert ("ft" in table[1][2]) == (system == "feet")


def test_what_rubs_beside_a_tape_is_one_bar_with_the_tape_in_its_middle():
    """At 5 px a metre all that swings beside a tape is within half a bar of it."""
    rubbed = find_wear(SLIDING, Use(crossings=0, wind_hours=2.0), per_bay=3, levels=("value",))
    marks, stations = (5.0 * each for each in faces.stations_of(rubbed)["main"])
    ledger = rubbed.day.value.faces[Face.MAIN_TOP]
    place = np.interp(5.0 * ledger.middles, marks, stations)
    edges, parts = faces.columns(rubbed, Face.MAIN_TOP, place, stations[1:-1])
    assert edges + 0.5 * faces.COLUMN == pytest.approx(stations[1:-1], abs=1e-9)
    assert sum(parts.values()).max() == pytest.approx(ledger.peak, rel=1e-9)


def test_tapes_that_wear_alike_stand_in_one_row():
    table = next(box.table for box in wear.build(brief()).boxes if box.name == "tapes")
    worn = [tape for tape in found().tapes if tape.work > 0.0]
    groups = alike(worn)
    listed = alike([tape for tape in found().tapes if tape.work > 0.0 or tape.slip_high > 0.0])
    assert len(groups) < len(worn) and len(table) == 1 + min(wear.ROWS, len(listed))
    assert sorted(tape.number for group in groups for tape in group) == sorted(tape.number for tape in worn)
    assert all(max(t.work for t in group) <= 1.5 * min(t.work for t in group) * (1.0 + 1e-12) for group in groups)


def test_a_line_without_rub_says_so():
    nothing = find_wear(SLIDING, Use(crossings=0, wind_hours=0.0), per_bay=3, levels=("value",))
    assert words(wear.build(brief(rubbed=nothing))).count("no rub") == 4


def test_touching_part_has_its_colour_and_its_length():
    solution = solve(SLIDING)
    touching = find_touches(solution)
    stage = touch.build(brief(solution=solution))
    number = touch.shown_tape(touching)
    at_tape = touching.at_tape(number)
    near = stage.panel("near")
    assert near.dimensions[0].value == pytest.approx(float(np.linalg.norm(at_tape.points[1] - at_tape.points[0])))
    for surface in near.surfaces:
        painted = surface.points[np.unique(surface.triangles[surface.colour == 2])]
        along = (SLIDING.main_b - SLIDING.main_a) / SLIDING.span
        assert np.ptp(painted @ along) == pytest.approx(near.dimensions[0].value, rel=0.4)
    drawn = [surface for surface in stage.panel("along").surfaces if surface.name == "contact"]
    assert len(drawn) == len(solution.layout.tapes)


def test_who_presses_is_said_by_the_sign():
    loose, tight = (solve(maker(Holds.BACKUP, span=24.0)) for maker in (walked_rig, tight_rig))
    assert "hangs in the strip" in words(touch.build(brief(solution=loose)))
    assert "pressed on" in words(touch.build(brief(solution=tight)))


def test_the_backup_is_drawn_under_the_main_and_bars_stand_on_an_axis():
    """Paper's z is up the page: what hangs lower is lower; a bar ends where the axis says its length is."""
    touching = find_touches(solve(SLIDING))
    stage = touch.build(brief(solution=touching.solution))
    wires = {wire.name: wire.points for wire in stage.panel("gap").wires}
    assert wires["gap"][:, 2].max() <= wires["main"][:, 2].min() + 1e-9
    assert wires["reach"][0, 2] < wires["main"][0, 2]
    panel = stage.panel("along")
    level = next(wire.points[0, 2] for wire in panel.wires if wire.name == "level")
    floor = next(wire.points[0, 2] for wire in panel.wires if wire.name == "line")
    said = next(label.text for label in panel.labels if label.at[2] == level)
    value, unit = said.split()
    longest = max(each.length for each in touching.touches if each.cause == "tape" and each.tape)
    top = max(surface.points[:, 2].max() for surface in panel.surfaces if surface.name == "contact")
    metres = float(value) * {"cm": 0.01, "mm": 0.001}[unit]
    assert (level - floor) / (top - floor) == pytest.approx(metres / longest, rel=1e-6)


def test_tight_bays_are_said_and_drawn_to_touch_all_along():
    solution = rigs.solved("trap")
    stage = touch.build(brief(solution=solution))
    assert "touch all along" in words(stage)
    assert any(surface.name == "whole bay" for surface in stage.panel("along").surfaces)
    assert stage.panel("near").dimensions == ()

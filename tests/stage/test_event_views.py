"""Numbers in the pictures of events: what is drawn is what was found, at its true size.  Falls are apart."""

from __future__ import annotations

import numpy as np
import pytest

from linescope.errors import InputError
from linescope.stage import dimensions
from linescope.stage.ground import site
from linescope.study import StudyNote
from linescope.topics.loops import picture as loops
from linescope.topics.sliding import picture as friction
from linescope.topics.tapes import picture as strip_map
from linescope.topics.wind import picture as wind
from linescope.words import Words
from tests.stage import rigs
from tests.stage.drawn import brief_for, picture, texts, wire


@pytest.mark.parametrize("name", ["heron", "incline", "long"])
def test_the_meter_reads_what_statics_by_hand_gives(name: str) -> None:
    # Walker's weight W at share s of a level span L: his dip d under the chord gives H = W s (1 - s) L / d, as far
    # as the lines' own weight can be left out (general cable theorem; Irvine 1981, ch. 2).  With that weight added
    # as a beam's moment the figure must agree within 4 %; a sag drawn 10 % wrong does not.
    strip = rigs.study(name).meter
    rig = strip.rig
    stage = picture(name, "tension")
    (inputs,) = [box for box in stage.boxes if box.name == "inputs"]
    assert any(line.startswith("Walker ") for line in inputs.lines)
    line = 9.80665 * (rig.main.mass + rig.backup.mass) * 1.06
    run = float(np.linalg.norm((rig.main_b - rig.main_a)[:2]))
    for k in range(1, 4):
        drawn = wire(stage.panel(f"line {k}"), "main")
        dip = rig.below_anchors(drawn)
        low = int(np.argmin(np.linalg.norm(drawn - strip.states[k].walker_point, axis=1)))
        at = strip.at[k] / rig.span * run
        moment = 9.80665 * rig.walker.mass * at * (run - at) / run + line * at * (run - at) / 2
        slope = (drawn[1] - drawn[0]) / np.linalg.norm(drawn[1] - drawn[0])
        reading = moment / dip[low] / np.hypot(slope[0], slope[1])
        assert reading == pytest.approx(strip.value[k, 0], rel=0.04)
        assert moment / (1.1 * dip[low]) / np.hypot(slope[0], slope[1]) != pytest.approx(strip.value[k, 0], rel=0.04)


def test_the_meter_chart_draws_value_and_range() -> None:
    strip, panel = rigs.study("heron").meter, picture("heron", "tension").panel("meter")
    marks = {mark.name: mark.points[0, 0] for mark in panel.symbols}
    boxes = {surface.name: surface.points[:, 0] for surface in panel.surfaces}
    scale = (marks["A 1"] - marks["A 0"]) / (strip.value[1, 0] - strip.value[0, 0])
    for k in range(4):
        for end in (0, 1):
            name = f"{'AB'[end]} {k}"
            assert marks[name] - marks["A 0"] == pytest.approx(
                scale * (strip.value[k, end] - strip.value[0, 0]), abs=1e-6
            )
            left, right = boxes[f"range {name}"].min(), boxes[f"range {name}"].max()
            assert left <= marks[name] <= right
    assert "A 1.8 kN" in texts(panel)  # T0 as given to the rig


def test_an_empty_rig_has_one_reading() -> None:
    stage = picture("short", "tension", ground=None)
    assert [panel.name for panel in stage.panels] == ["line 0", "meter"]


def test_tape_places_are_the_tapes_places() -> None:
    brief = brief_for("heron").showing(rigs.study("heron").standing)
    laid, rigged = strip_map.as_laid(brief), strip_map.as_rigged(brief)
    # Spacing 3 m, stated for the tensioned main: 3 m apart as it lies pulled, and as rigged.
    np.testing.assert_allclose(np.diff(laid), 3.0, rtol=1e-9)
    np.testing.assert_allclose(np.diff(rigged), 3.0, rtol=2e-3)
    panel = picture("heron", "tape-map").panel("map")
    assert sum(len(mark.points) for mark in panel.symbols if mark.name.startswith("tape")) >= len(laid)
    for number, place in enumerate(laid, 1):
        assert str(number) in texts(panel)
        assert f"{place:.2f}" in texts(panel)


def test_sections_under_the_tape_map_are_the_tapes_true_to_one_scale() -> None:
    stage = picture("incline", "tape-map")
    rig = rigs.solved("incline").rig
    kinds = [panel for panel in stage.panels if panel.name.startswith("kind")]
    tapes = [tape for tape in rigs.solved("incline").layout.tapes if tape.kind != "tie"]
    assert len(kinds) == len({(tape.family, tape.holds) for tape in tapes})
    widths = []
    for panel in kinds:
        (wide, tall), (under, _) = (np.ptp(surface.points[:, [0, 2]], axis=0) for surface in panel.surfaces)
        widths.append(wide)
        assert wide / tall == pytest.approx(rig.main.width / rig.main.thickness)
        assert under / wide == pytest.approx(rig.backup.width / rig.main.width)
        size = (panel.frame[2] - panel.frame[0]) * 2000, (panel.frame[3] - panel.frame[1]) * 1414
        for strip in panel.wires:
            page = panel.camera.project(strip.points, size)
            assert np.all((page[:, :2] > 0) & (page[:, :2] < np.array(size)))
    assert np.ptp(widths) == pytest.approx(0.0, abs=1e-9)
    (box,) = [box for box in stage.boxes if box.name == "to bring"]
    assert box.lines[0].startswith(f"Tapes: {len(tapes)};")


def test_rows_of_the_tape_map_cover_all_bays() -> None:
    for count in (1, 3, 12, 40, 101, 400):
        rows = strip_map.rows_of(count, 2000.0)
        assert [bay for a, b in rows for bay in range(a, b)] == list(range(count + 1))
        assert len(rows) <= strip_map.MOST_ROWS


@pytest.mark.parametrize("name", ["heron", "incline", "short"])
def test_stations_seen_from_a_carry_their_depths(name: str) -> None:
    stage = picture(name, "loops-from-a", ground=None)
    standing = rigs.study(name).to_see  # What lets go by itself is seen.
    details = [panel for panel in stage.panels if panel.name.startswith("station")]
    assert len(details) == 5
    assert len({panel.camera.half_height for panel in details}) == 1
    for panel in details:
        (measured,) = panel.dimensions
        bay = int(measured.name.split()[-1]) - 1
        assert measured.value == standing.bays.loop_depth[bay]
        assert np.linalg.norm(measured.end - measured.start) == pytest.approx(measured.value, rel=2e-3)
    photo = stage.panel("photo")
    size = (2000.0, (photo.frame[3] - photo.frame[1]) * 1414)
    rig = standing.rig
    seen = photo.camera.project(np.array([rig.main_a, rig.main_b, *dimensions.loops(standing)[0].points]), size)
    assert np.all((seen[:, 0] > 0) & (seen[:, 0] < size[0]) & (seen[:, 1] > 30) & (seen[:, 1] < size[1]))
    assert np.linalg.norm(photo.camera.eye - rig.main_a) == pytest.approx(
        np.linalg.norm([loops.BESIDE, loops.ABOVE, loops.BEHIND]), rel=1e-9
    )


@pytest.mark.parametrize("name", ["heron", "incline", "long"])
def test_ghosts_hang_where_the_wind_holds_them(name: str) -> None:
    case = rigs.study(name).wind.case()
    panel = picture(name, "wind").panel("ghosts")
    for bay in wind.shown_bays(case):
        np.testing.assert_array_equal(wire(panel, f"sudden {bay + 1}"), case.swung[bay])
        blown = wire(panel, f"gust {bay + 1}")
        # At rest in a gust the loop's plane holds its load: its sag is along the load on the backup.
        sag = blown[len(blown) // 2] - (blown[0] + blown[-1]) / 2
        load = case.gust.loads[1]
        cosine = sag @ load / np.linalg.norm(sag) / np.linalg.norm(load)
        assert cosine > 0.97
    kinds = {s.name.split()[-1] for s in picture(name, "wind").panel("bays").surfaces}
    assert ("zone_hit" in kinds) == any(c.wrap for c in rigs.study(name).wind.cases)


def test_friction_rows_share_one_scale_and_draw_true_depths() -> None:
    stage = picture("incline", "friction")
    found = friction.states(brief_for("incline"))
    assert len(found) == 4
    stretches = {panel.stretch for panel in stage.panels}
    assert len(stretches) == 1 and stretches <= set(friction.STRETCHES)
    for panel, (_, state) in zip(stage.panels, found, strict=True):
        main = wire(panel, "main")
        scale = (main[1, 0] - main[0, 0]) / state.bays.length.sum()
        for bay, depth in enumerate(state.bays.loop_depth):
            drawn = -wire(panel, f"loop {bay + 1}")[:, 2].min() - -main[0, 2]
            assert drawn / scale / panel.stretch == pytest.approx(depth, rel=0.02, abs=2e-3)


def test_loops_too_small_to_be_seen_are_bars_on_a_scale_of_their_own() -> None:
    # On 410 m loops drawn as loops could not be seen: each is a bar on a scale of depth, the same in all rows.
    stage = picture("long", "friction")
    found = friction.states(brief_for("long"))
    scales = []
    for panel, (_, state) in zip(stage.panels[: len(found)], found, strict=True):
        assert panel.stretch == 1.0 and "too large" not in panel.caption
        far = [w for w in panel.wires if w.name == "depth"][-1]
        (tick,) = [label for label in panel.labels if label.at[2] == far.points[0, 2]]
        metre = (wire(panel, "main")[0, 2] - far.points[0, 2]) / (float(tick.text.split()[0]) / 100)
        scales.append(metre)
        for bay, depth in enumerate(state.bays.loop_depth):
            bar = wire(panel, f"bar {bay + 1}")
            assert (bar[0, 2] - bar[1, 2]) / metre == pytest.approx(depth, rel=1e-6, abs=1e-9)
    assert np.ptp(scales) == pytest.approx(0.0, abs=1e-6)


def test_the_loops_that_change_most_are_drawn_true_to_scale() -> None:
    stage = picture("long", "friction")
    found = friction.states(brief_for("long"))
    taped, settled = found[0][1], found[-1][1]
    change = settled.bays.loop_depth - taped.bays.loop_depth
    for what, bay in (("loses", int(np.argmin(change))), ("gains", int(np.argmax(change)))):
        panel = stage.panel(what)
        assert f"bay {bay + 1}," in panel.caption
        for name, state in (("taped", taped), ("settled", settled)):
            loop, main = wire(panel, f"{name} {bay + 1}"), wire(panel, f"main {name}")
            scale = (main[1, 0] - main[0, 0]) / state.bays.length[bay]
            assert (main[0, 2] - loop[:, 2].min()) / scale == pytest.approx(state.bays.loop_depth[bay], rel=0.01)



def test_views_without_their_data_say_what_is_missing() -> None:
    for name, view, why in (
        ("heron", "wear", StudyNote.NOT_ASKED), ("heron", "friction", StudyNote.NO_SLIDERS),
        ("trap", "wind", StudyNote.NO_WIND), ("short", "no-fall", StudyNote.NO_WALKER),
    ):
        with pytest.raises(InputError) as caught:
            picture(name, view)
        assert caught.value.found == Words().say(why)


def test_a_million_triangles_are_thinned_for_the_eye_but_not_for_heights() -> None:
    solution = rigs.solved("heron")
    fine = rigs.gorge(solution.rig, count=600)
    whole = site(fine, solution.rig, triangles=20_000)
    assert len(whole.picture.faces) <= 20_000 < len(fine.faces)
    side_of = np.abs(whole.near.vertices[:, 1])
    assert side_of.max() < 8.0
    assert len(whole.near.faces) > 0.05 * len(fine.faces)

"""Change anything, see it at once: typing, dragging, undo, variants, films, picks; and what is known when."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import numpy as np

from linescope.notes import Quantity
from linescope.scene import load
from linescope.statics import solve
from linescope.words import Words
from tests.app.rigs import hundred_tapes, shipped, written
from tests.browser.app.served import Seen


def test_the_first_picture_is_that_of_the_solver(seen: Seen, scene: Path) -> None:
    solution = solve(load(scene).rig)
    assert seen.figure("tension_a") == Words().force(solution.tension_a)
    assert seen.figure("deepest") == Words().value(Quantity(float(solution.bays.loop_depth.max()), "length"))
    feet = seen.tab.evaluate("() => linescope.shape.feet")
    run = load(scene).rig.main_b - load(scene).rig.main_a
    along = run[:2] / np.hypot(*run[:2])
    point = solution.walker_point - load(scene).rig.main_a
    assert np.allclose(feet, [point[:2] @ along, 0.0, point[2]], atol=0.005)
    assert seen.tab.locator("#verdict").inner_text().strip()
    assert seen.problems == []


def test_typing_changes_picture_and_figures_and_says_what_they_were(seen: Seen) -> None:
    picture, tension = seen.pixels(), seen.figure("tension_a")
    seen.drawer("rig")
    seen.type("main.tension", "4.4")  # The unit of the field.
    assert seen.box("main.tension").input_value() == "4.4 kN"
    assert seen.box("main.tension").get_attribute("data-known") == "tried"  # What was measured is not written over.
    assert seen.figure("tension_a") != tension
    assert "4.4 kN" in seen.tab.locator("#said").inner_text()
    seen.drawer("answers")
    assert f"was {tension}" in seen.tab.locator("#changed").inner_text()
    assert seen.pixels() != picture
    seen.tab.keyboard.press("Control+z")
    seen.rest()
    assert seen.figure("tension_a") == tension


def test_a_wrong_input_never_blanks_the_picture(seen: Seen) -> None:
    tension = seen.figure("tension_a")
    seen.drawer("rig")
    seen.type("main.tension", "3,4 kN")
    assert seen.box("main.tension").get_attribute("aria-invalid") == "true"
    assert "comma" in seen.tab.locator("#wrong").inner_text()
    assert "last good state" in seen.tab.locator("#wrong").inner_text()
    assert seen.figure("tension_a") == tension
    assert seen.tab.locator("#save").is_disabled()
    seen.type("main.tension", "3.4 kN")
    assert seen.tab.locator("#wrong").is_hidden()


def test_sliders_and_arrow_keys_follow_and_one_undo_takes_the_gesture_back(seen: Seen) -> None:
    tension = seen.figure("tension_a")
    seen.drawer("rig")
    box = seen.box("main.tension")
    box.focus()
    for _ in range(5):
        box.press("ArrowUp")
    seen.rest()
    assert box.input_value() == "3.5 kN"
    assert seen.figure("tension_a") != tension
    box.press("Enter")
    seen.press("Undo")
    assert seen.figure("tension_a") == tension
    seen.tab.locator("#sections summary", has_text=re.compile("^Main$")).click()
    slider = seen.tab.get_by_role("slider", name="Main: tension, slider")
    slider.focus()
    slider.press("End")
    seen.rest()
    assert seen.box("main.tension").input_value() == "4.50 kN"
    assert seen.figure("tension_a") != tension


def test_several_fast_changes_settle_on_the_last_one(seen: Seen, scene: Path) -> None:
    seen.tab.evaluate(
        "() => { for (const kg of [61, 72, 83, 94, 66, 77]) linescopeLive.act('edit', 'walker.mass', `${kg} kg`); }"
    )
    seen.rest()
    seen.drawer("rig")
    assert seen.box("walker.mass").input_value() == "77 kg"
    seen.tab.keyboard.press("Control+s")
    seen.toml(scene, '"77 kg"')
    assert seen.figure("tension_a") == Words().force(solve(load(scene).rig).tension_a)


def test_the_walker_is_a_viewpoint_and_the_plan_does_not_change(seen: Seen) -> None:
    """Dragged by hand before and after all places are known; by keys; by the strip; nothing of it is to be saved."""
    x, y = seen.point("feet")
    seen.drag((x, y - 12), (-180.0, -14.0))
    assert seen.now("at") < 40.0
    seen.known("first")
    x, y = seen.point("feet")
    seen.drag((x, y - 12), (120.0, 6.0))
    assert seen.now("at") > 38.0
    at = seen.now("at")
    seen.tab.locator("#strip").focus()
    seen.tab.keyboard.press("ArrowLeft")
    seen.rest()
    assert abs(seen.now("at") - at + 1.0) < 0.02
    assert not seen.tab.evaluate("() => linescopeLive.status.dirty")
    assert seen.tab.evaluate("() => linescopeLive.status.plan") == 0


def test_what_is_known_comes_in_steps_and_what_is_old_says_so(open_scene: Callable[..., Seen], tmp_path: Path) -> None:
    """Before and after an edit that is taken back: what comes then is of a third plan, of the first one's values."""
    seen = open_scene(shipped(tmp_path, "heron_gap"))
    assert "not known yet" in seen.tab.locator("#stale").inner_text()
    seen.known("exact")
    assert "before the last change" not in seen.tab.locator("#stale").inner_text()
    tabs = seen.tab.locator("#states button").all_inner_texts()
    assert [text.splitlines()[0] for text in tabs] == ["Empty", "Walker", "Leash fall", "Main gone"]
    worst = seen.tab.evaluate("() => linescope.model.data.worst.length")
    assert worst > 0
    seen.drawer("rig")
    seen.type("main.tension", "2.1 kN")
    assert "before the last change" in seen.tab.locator("#stale").inner_text()
    assert "before the last change" in seen.tab.locator('#states [data-state="fall"]').inner_text()
    assert seen.tab.evaluate("() => linescope.model.data.worst.every((one) => one.old)")
    seen.press("Undo")
    assert "before the last change" in seen.tab.locator("#stale").inner_text()
    seen.known("exact")
    assert not seen.tab.evaluate("() => linescope.model.data.worst.some((one) => one.old)")
    assert "before the last change" not in seen.tab.locator("#stale").inner_text()
    assert "before the last change" not in seen.tab.locator("#states").inner_text()
    assert seen.problems == []


def test_what_is_of_before_the_last_change_says_so_in_the_headline(
    open_scene: Callable[..., Seen], tmp_path: Path
) -> None:
    """After an edit and after undo, of a state that is not computed anew yet; and while no answer has come at all."""
    seen = open_scene(shipped(tmp_path, "heron_gap"))
    seen.known("exact")
    seen.tab.locator('#states [data-state="fall"]').click()
    seen.rest()
    before = seen.tab.locator("#verdict").inner_text()
    assert "Before the last change" not in before
    seen.drawer("rig")
    seen.type("main.tension", "2.1 kN")
    old = f"Before the last change: {before[0].upper()}{before[1:]}"
    assert seen.tab.locator("#verdict").inner_text() == old
    seen.shut()
    seen.press("Undo")
    assert seen.tab.locator("#verdict").inner_text() == old
    # An answer that never comes: what the program would say is kept from the page.
    seen.tab.locator('#states [data-state="walker"]').click()
    seen.rest()
    assert "Before the last change" not in seen.tab.locator("#verdict").inner_text()
    seen.tab.evaluate("() => { linescopeLive.link.ask = () => new Promise(() => {}); linescopeLive.act('undo'); }")
    seen.until("document.querySelector('#verdict').textContent.startsWith('Before the last change')")


def test_the_walker_stays_where_he_is_looked_at_through_edits_undo_and_variants(
    open_scene: Callable[..., Seen], tmp_path: Path
) -> None:
    seen = open_scene(shipped(tmp_path, "larkspur_ledge"))
    seen.known("first")
    seen.tab.locator("#strip").focus()
    for _ in range(9):
        seen.tab.keyboard.press("ArrowLeft")
    seen.rest()
    at = seen.now("at")
    assert abs(at - 46.0) > 8.0
    seen.tab.locator("#variants").click()
    seen.rest()
    assert abs(seen.now("at") - at) < 0.02
    seen.drawer("rig")
    seen.type("main.tension", "4.5 kN")
    assert abs(seen.now("at") - at) < 0.02
    feet = seen.tab.evaluate("() => linescope.shape.feet[0]")
    assert abs(feet - at) < 0.6  # Under an inclined line feet are not straight below their place on the chord.
    seen.press("Undo")
    assert abs(seen.now("at") - at) < 0.02
    seen.type("walker.at", "30 m")  # Where he is put he is looked at.
    assert abs(seen.now("at") - 30.0) < 0.02


def test_a_click_on_a_tape_restyles_it(open_scene: Callable[..., Seen], tmp_path: Path) -> None:
    """Two actions: click the tape, choose the style."""
    seen = open_scene(shipped(tmp_path, "heron_gap"))
    seen.tab.mouse.click(*seen.point("tapes[4]"))
    seen.rest()
    assert "Tape 5 of" in seen.tab.locator("#card h2").inner_text()
    seen.tab.locator("#card select").select_option("main-held slider")
    seen.rest()
    families = seen.tab.evaluate("() => [...new Set(linescope.state.tapes.map((tape) => tape.family))]")
    assert families == ["main-held slider"]
    seen.press("Undo")
    assert "main-held slider" not in seen.tab.evaluate("() => linescope.state.tapes.map((tape) => tape.family)")


def test_tapes_loops_and_anchors_are_dragged_and_pushed(open_scene: Callable[..., Seen], tmp_path: Path) -> None:
    seen = open_scene(shipped(tmp_path, "larkspur_ledge"))
    seen.tab.mouse.click(*seen.point("tapes[6]"))
    seen.rest()
    scale = seen.tab.evaluate("() => linescope.scale")
    before = seen.tab.evaluate("() => linescope.shape.tapes[6][0]")
    seen.drag(seen.point("tapes[6]"), (1.2 * scale, 0.0))
    after = seen.tab.evaluate("() => linescope.shape.tapes[6][0]")
    assert 0.7 < after - before < 1.7
    seen.tab.keyboard.press("+")
    seen.rest()
    assert seen.tab.evaluate("() => linescope.shape.tapes[6][0]") > after + 0.02
    seen.press("Undo")
    seen.press("Undo")
    assert abs(seen.tab.evaluate("() => linescope.shape.tapes[6][0]") - before) < 0.01
    seen.tab.keyboard.press("Escape")

    for _ in range(3):
        seen.tab.keyboard.press("n")
    seen.rest()
    assert "Loop 3 of" in seen.tab.locator("#card h2").inner_text()
    depth = seen.tab.evaluate("() => linescope.shape.depths[2]")
    x, y, _ = seen.tab.evaluate("() => linescope.project(linescopeLive.card.spot())")
    seen.drag((x, y), (0.0, 14.0))
    assert seen.tab.evaluate("() => linescope.shape.depths[2]") > depth + 0.05
    seen.press("Undo")
    assert abs(seen.tab.evaluate("() => linescope.shape.depths[2]") - depth) < 0.006
    seen.tab.keyboard.press("Escape")

    seen.tab.keyboard.press("a")
    seen.tab.keyboard.press("a")
    seen.rest()
    assert "Anchor B" in seen.tab.locator("#card h2").inner_text()
    drop = seen.tab.evaluate("() => linescope.model.drop")
    seen.tab.keyboard.press("+")
    seen.rest()
    assert abs(seen.tab.evaluate("() => linescope.model.drop") - (drop - 0.1)) < 0.002
    assert seen.problems == []


def test_two_points_are_measured_and_the_ground_is_cut(seen: Seen) -> None:
    seen.known("ground")
    seen.press("Measure")
    seen.tab.mouse.click(*seen.point("tapes[3]"))
    seen.tab.mouse.click(*seen.point("tapes[9]"))
    seen.rest()
    a, b = seen.tab.evaluate("() => linescope.marked")
    apart = Words().length(float(np.linalg.norm(np.subtract(a, b))))
    assert apart in seen.tab.evaluate("() => linescopeLive.hands.text[0]")
    seen.press("Measure")
    picture = seen.pixels()
    ways = [seen.tab.evaluate("() => linescope.stage.ground.uniforms.cut.value")]
    for hidden in ("beyond", "before"):
        seen.press("Cut ground")
        assert seen.pixels() != picture
        assert hidden in seen.tab.locator("#said").inner_text()
        ways.append(seen.tab.evaluate(
            "() => [linescope.stage.ground.uniforms.cut.value, linescope.stage.ground.uniforms.aside.value]"))
    assert ways[1][0] < 100.0 and ways[2][1] == 0.0 and ways[2][0] == ways[0]
    seen.press("Cut ground")
    assert seen.tab.evaluate("() => linescope.stage.ground.uniforms.aside.value") < -1e6


def test_the_worst_place_is_looked_at_with_its_body_and_gap(open_scene: Callable[..., Seen], tmp_path: Path) -> None:
    """One action from the picture, two from the answers."""
    seen = open_scene(shipped(tmp_path, "heron_gap"))
    seen.known("exact")
    seen.drawer("answers")
    seen.tab.locator("#worst button").first.click()
    seen.rest()
    chosen = seen.now("chosen")
    assert chosen["rank"] == 1 and chosen["gap"]
    assert chosen["text"] in seen.tab.locator("#verdict").inner_text().replace("\u00a0", " ") or seen.tab.locator(
        "#verdict").inner_text()
    assert seen.now("view") == "place"
    # Its film, where it is of a fall or of the main's loss: one action more.
    listed = seen.tab.evaluate(
        "() => linescope.model.data.worst.findIndex((one) => ['fall', 'gone'].includes(one.state))")
    assert listed >= 0
    seen.tab.locator("#worst button").nth(listed).click()
    seen.rest()
    place = seen.now("chosen")
    seen.tab.locator("#job button:not(#right-here)").click()
    # The plan's own film of a loss, where the walker of the file stands, may come meanwhile: it is not waited for.
    seen.until(f"linescope.state.kind === 'film' && linescope.now.state === '{place['state']}'"
               f" && Math.abs((linescope.state.at ?? -1e9) - {place['at']}) < 0.05")


def test_rub_is_seen_on_the_faces_and_the_day_tells_progress_and_stops(
    open_scene: Callable[..., Seen], tmp_path: Path
) -> None:
    """Where rub collects: one action, the layer; and the list of its places leads there."""
    seen = open_scene(shipped(tmp_path, "heron_gap"))
    seen.known("all")
    seen.tab.locator("#layers label", has_text="Rub").click()
    seen.rest()
    assert seen.tab.evaluate("() => linescope.stage.ribbons.object.visible && linescope.faced")
    assert "over an assumed day" in seen.tab.locator("#legend").inner_text()
    seen.drawer("answers")
    part = seen.tab.locator('[data-part="rub"]')
    part.locator("summary").click()
    part.get_by_role("button", name="Work out the whole day").click()
    seen.tab.locator("#job progress").wait_for()
    seen.tab.locator("#job button").click()
    seen.until("document.querySelector('#job').hidden")
    assert "stopped" in seen.tab.locator("#said").inner_text()
    assert seen.problems == []


def test_a_fall_is_filmed_where_the_walker_is_and_a_crossing_is_played(
    open_scene: Callable[..., Seen], tmp_path: Path
) -> None:
    seen = open_scene(shipped(tmp_path, "heron_gap"))
    seen.known("all")
    seen.tab.locator("#strip").focus()
    for _ in range(6):
        seen.tab.keyboard.press("ArrowRight")
    seen.rest()
    seen.tab.locator('#states [data-state="fall"]').click()
    seen.rest()
    at = seen.tab.evaluate("() => linescopeLive.film().at")
    assert at is not None and abs(at - 30.0) < 0.2
    seen.tab.locator("#job button").click()
    seen.until("linescope.state.at > 29 && linescope.state.kind === 'film'")
    feet = seen.tab.evaluate("() => [...linescope.state.shape.feet.values.slice(0, 3)]")
    assert abs(feet[0] - at) < 0.5
    seen.press("Play")
    seen.until("linescope.now.time > 0.2")
    seen.drawer("file")
    seen.tab.locator("#cross").click()
    seen.until("linescope.now.state === 'crossing'")
    seen.tab.locator("#play").click()
    seen.until("linescope.now.time > 1")
    assert seen.problems == []


def test_two_variants_stand_above_one_another_with_their_difference(
    open_scene: Callable[..., Seen], tmp_path: Path
) -> None:
    """Three actions: two variants, the rig, a value."""
    seen = open_scene(shipped(tmp_path, "larkspur_ledge"))
    first = seen.figure("tension_a")
    seen.tab.locator("#variants").click()
    seen.rest()
    seen.drawer("rig")
    seen.type("main.tension", "4.5 kN")
    assert seen.figure("tension_a") != first
    assert "higher" in seen.tab.locator("#verdict").inner_text()
    own, other = seen.tab.evaluate("() => [linescope.rows.own, linescope.rows.other]")
    assert own > 100 and other == 0  # What is edited stands below.
    assert seen.tab.evaluate("() => linescope.other.states.length") >= 1
    seen.drawer("answers")
    cells = seen.tab.locator("#compared td").all_inner_texts()
    assert cells[0].replace("\u00a0", " ") == first.replace("\u00a0", " ") and cells[2].startswith("+")
    seen.shut()
    seen.tab.locator("#variants").click()
    seen.press("Go on with the first")
    assert seen.figure("tension_a") == first
    assert seen.tab.evaluate("() => linescope.other") is None
    assert seen.problems == []


def test_wind_and_settled_are_looked_at(open_scene: Callable[..., Seen], tmp_path: Path) -> None:
    seen = open_scene(shipped(tmp_path, "larkspur_ledge"))
    seen.drawer("file")
    seen.tab.locator('#drawer-file [data-focus="air"]').select_option("gust")
    seen.rest()
    assert "held by a gust" in seen.tab.locator("#sub").inner_text()
    swung = seen.tab.evaluate("() => Math.max(...linescope.shape.backup.map((p) => Math.abs(p[1])))")
    assert swung > 0.2
    seen.press("Figures in feet")
    assert seen.figure("tension_a").endswith("lbf")


def test_every_value_of_the_scene_can_be_said_more_of(seen: Seen, scene: Path) -> None:
    seen.drawer("rig")
    seen.tab.locator("#sections summary", has_text=re.compile("^Walker$")).click()
    seen.press("More about Walker: mass")
    seen.tab.get_by_label("Walker: mass, known from").select_option("measured")
    seen.rest()
    seen.tab.get_by_label("Walker: mass, low").fill("76 kg")
    seen.tab.get_by_label("Walker: mass, low").press("Enter")
    seen.rest()
    seen.tab.locator("#save").click()
    seen.toml(scene, 'known = "measured", low = "76 kg"')
    band = load(scene).inputs.bands["walker.mass"]
    assert (band.low, band.value) == (76.0, 80.0)


def test_what_nobody_measured_leads_to_its_value_and_tapes_are_shown_how(
    open_scene: Callable[..., Seen], tmp_path: Path
) -> None:
    seen = open_scene(written(tmp_path, hundred_tapes()))
    seen.drawer("answers")
    seen.tab.locator('[data-key="assumed"] summary').click()
    seen.tab.locator('[data-key="assumed"] .link', has_text="tape.wraps").click()
    seen.rest()
    assert seen.tab.evaluate("document.activeElement.dataset.path") == "tape.wraps"
    seen.shut()
    seen.drawer("tapes")
    seen.until("document.querySelector('#inside-tapes img').naturalWidth > 0")
    assert len(str(seen.tab.locator("#inside-tapes img").first.get_attribute("alt"))) > 100

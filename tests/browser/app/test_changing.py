"""Change anything, see it at once: typing, sliders, dragging, undo, variants, crossing, views, picks."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

from linescope.notes import Quantity
from linescope.scene import load
from linescope.statics import solve
from linescope.words import Words
from tests.app.rigs import hundred_tapes, shipped, written
from tests.browser.app.served import Seen


def test_figures_on_the_page_are_those_of_the_solver(seen: Seen, scene: Path) -> None:
    solution = solve(load(scene).rig)
    assert seen.figure("tension_a") == Words().force(solution.tension_a)
    assert seen.figure("deepest") == Words().value(Quantity(float(solution.bays.loop_depth.max()), "length"))
    assert seen.problems == []


def test_typing_changes_picture_and_figures_and_says_what_they_were(seen: Seen) -> None:
    picture, tension = seen.pixels(), seen.figure("tension_a")
    seen.type("main.tension", "4.4 kN")
    assert seen.figure("tension_a") != tension
    assert f"was {tension}" in seen.tab.locator('tr[data-key="tension_a"]').inner_text()
    assert seen.tab.locator('tr[data-key="tapes"] small').count() == 0
    assert seen.pixels() != picture
    assert "not saved" in seen.tab.locator('[data-path="main.tension"]').inner_text()


def test_numbers_may_be_typed_in_feet_and_figures_shown_in_feet(seen: Seen) -> None:
    seen.type("main.tension", "900 lbf")
    assert seen.figure("tension_a").endswith("kN")
    seen.press("Figures in feet")
    assert seen.figure("tension_a").endswith("lbf")
    assert seen.box("main.tension").input_value() == "900 lbf"


def test_a_wrong_input_never_blanks_the_picture(seen: Seen) -> None:
    tension = seen.figure("tension_a")
    seen.type("main.tension", "3,4 kN")
    field = seen.tab.locator('[data-path="main.tension"]')
    assert "a comma in a number is refused" in field.locator(".ls-error").inner_text()
    assert seen.box("main.tension").get_attribute("aria-invalid") == "true"
    assert "Old picture" in seen.tab.locator(".ls-oldmark").inner_text()
    assert "comma" in seen.tab.locator(".ls-oldmark").inner_text()
    assert seen.figure("tension_a") == tension
    assert len(seen.pixels()) > 5000
    assert seen.tab.get_by_role("button", name="Save").is_disabled()
    seen.type("main.tension", "3.4 kN")
    assert seen.tab.locator(".ls-oldmark").count() == 0


def test_sliders_follow_the_hand_and_one_undo_takes_the_drag_back(seen: Seen) -> None:
    tension, text = seen.figure("tension_a"), seen.box("main.tension").input_value()
    slider = seen.tab.get_by_role("slider", name="Main: tension, slider")
    slider.scroll_into_view_if_needed()
    box = slider.bounding_box()
    y = box["y"] + box["height"] / 2
    seen.tab.mouse.move(box["x"] + box["width"] * 0.5, y)
    seen.tab.mouse.down()
    for k in range(30):
        seen.tab.mouse.move(box["x"] + box["width"] * (0.5 + 0.012 * k), y)
    seen.tab.mouse.up()
    seen.rest()
    assert seen.figure("tension_a") != tension
    seen.press("Undo")
    assert seen.figure("tension_a") == tension
    assert seen.box("main.tension").input_value() == text
    assert seen.tab.get_by_role("button", name="Undo").is_disabled()
    seen.press("Redo")
    assert seen.figure("tension_a") != tension


def test_several_fast_changes_settle_on_the_last_one(seen: Seen, scene: Path) -> None:
    seen.tab.evaluate(
        """() => { for (const kg of [61, 72, 83, 94, 105, 66, 77]) {
             window.trame.trigger('linescope_act', ['edit', 'walker.mass', `${kg} kg`]); } }"""
    )
    seen.until("document.querySelector('[data-path=\"walker.mass\"] > input').value === '77 kg'")
    seen.tab.wait_for_timeout(1200)
    seen.press("Save")
    seen.toml(scene, '"77 kg"')
    assert seen.figure("tension_a") == Words().force(solve(load(scene).rig).tension_a)


def test_the_walker_is_dragged_along_the_line(seen: Seen, scene: Path) -> None:
    seen.press("walker")
    seen.press("side")
    at = seen.box("walker.at").input_value()
    assert at == "50 %"
    spot = seen.tab.locator(".ls-labels .walker").bounding_box()
    x, y = spot["x"] + spot["width"] / 2, spot["y"] + spot["height"] + 9
    seen.tab.mouse.move(x, y)
    seen.tab.mouse.down()
    for k in range(1, 13):
        seen.tab.mouse.move(x - 15 * k, y)
    seen.tab.mouse.up()
    seen.rest()
    moved = float(seen.box("walker.at").input_value().split()[0])
    assert 5.0 < moved < 42.0
    label = seen.tab.locator(".ls-labels .walker")
    assert label.inner_text() == f"walker at {Words().place(moved / 100 * load(scene).rig.span)}"
    assert abs(label.bounding_box()["x"] + spot["width"] / 2 - (x - 180)) < 40


def test_the_walker_moves_by_keyboard(seen: Seen) -> None:
    slider = seen.tab.get_by_role("slider", name="Walker, share of the way from A to B")
    slider.focus()
    for _ in range(6):
        slider.press("ArrowLeft")
    seen.rest()
    assert seen.box("walker.at").input_value() == "47.0 %"


def test_style_spacing_and_excess_by_zone(open_scene: Callable[..., Seen], tmp_path: Path) -> None:
    seen = open_scene(shipped(tmp_path, "heron_gap"))
    before = seen.figure("tapes")
    seen.box("taping.zones[1].style").select_option("main-held slider")
    seen.rest()
    seen.press("Add a zone")
    seen.box("taping.zones[2].style").select_option("fixed wrap")
    seen.rest()
    seen.type("taping.zones[2].excess", "9 %")
    seen.type("taping.zones[2].spacing.every", "1.5 m")
    assert int(seen.figure("tapes")) > int(before)
    assert float(seen.figure("excess_most").split()[0]) > float(seen.figure("excess_least").split()[0]) + 3.0
    state = seen.tab.get_by_label("State of the sliders")
    state.select_option("settled")
    seen.rest()
    assert seen.tab.locator(".ls-state").inner_text().startswith("settled")


def test_wind_and_hold_change_the_state_shown(seen: Seen) -> None:
    picture = seen.pixels()
    seen.tab.get_by_label("Air", exact=True).select_option("gust")
    seen.rest()
    assert "held by a gust of 7.5 m/s" in seen.tab.locator(".ls-state").inner_text()
    assert seen.pixels() != picture
    seen.tab.locator("summary", has_text="Hold of a tape").click()
    seen.type("hold.drag", "3 N")
    assert seen.tab.locator('[data-path="hold.drag"] .ls-error').count() == 0


def test_two_variants_stand_side_by_side(seen: Seen) -> None:
    first = seen.figure("tension_a")
    seen.press("Compare")
    assert seen.tab.locator("canvas").count() == 2
    seen.type("main.tension", "4.5 kN")
    assert seen.figure("tension_a") != first
    row = seen.tab.locator("table", has=seen.tab.locator("caption", has_text="Side by side")).locator("tr").nth(1)
    cells = [cell.replace("\u00a0", " ") for cell in row.locator("td").all_inner_texts()]
    assert cells[:2] == [first, seen.figure("tension_a")]
    assert cells[2].startswith("+")
    assert seen.pixels(0) != seen.pixels(1)
    seen.press("Edit first")
    assert seen.figure("tension_a") == first
    seen.press("Compare")
    assert seen.tab.locator("canvas").count() == 1


def test_the_crossing_steps_and_plays_without_changing_the_scene(seen: Seen) -> None:
    state = seen.tab.locator(".ls-state")
    before = state.inner_text()
    seen.press("Step")
    assert state.inner_text() != before
    seen.tab.get_by_role("button", name="Play the crossing").click()
    seen.tab.wait_for_timeout(1000)
    seen.tab.get_by_role("button", name="Stop", exact=True).click()
    seen.rest()
    place = float(re.search(r"walker at ([\d.]+)", state.inner_text())[1])  # type: ignore[index]
    assert place > 47.9
    assert "not saved" not in seen.tab.locator("h1").inner_text()
    seen.press("Back to the scene's place")
    assert state.inner_text() == before
    seen.press("Step")
    seen.press("Leave the walker here")
    assert "not saved" in seen.tab.locator("h1").inner_text()


def test_a_day_of_rub_tells_progress_stops_and_comes_whole(
    open_scene: Callable[..., Seen], tmp_path: Path
) -> None:
    seen = open_scene(shipped(tmp_path, "ptarmigan_step"))
    day = seen.tab.get_by_role("button", name="Work out the whole day", exact=True)
    day.wait_for()
    day.click()
    seen.tab.get_by_role("button", name="Stop the job").click()
    seen.until("document.querySelector('.ls-job').innerText.includes('stopped')")
    assert day.is_enabled()
    seen.tab.evaluate("""() => {
        window.shares = [];
        const job = document.querySelector('.ls-job');
        new MutationObserver(() => {
            const bar = job.querySelector('progress');
            if (bar) window.shares.push(bar.value);
        }).observe(job, { attributes: true, childList: true, subtree: true });
    }""")
    day.click()
    seen.until("document.querySelector('.ls-job').innerText.includes('done')")
    shares = seen.tab.evaluate("window.shares")
    assert len(set(shares)) > 3 and max(shares) > 0.5
    day.wait_for(state="detached")  # The first answer gives way to the whole day.


def test_a_crossing_with_friction_is_played_from_the_second_process(
    open_scene: Callable[..., Seen], tmp_path: Path
) -> None:
    seen = open_scene(shipped(tmp_path, "heron_gap"))
    seen.tab.get_by_role("button", name="Cross with friction").click()
    seen.tab.wait_for_selector(".ls-friction")
    first, picture = seen.tab.locator(".ls-friction p").inner_text(), seen.pixels()
    for _ in range(3):
        seen.tab.get_by_role("button", name="Step", exact=True).click()
        seen.tab.wait_for_timeout(150)
    assert seen.tab.locator(".ls-friction p").inner_text() != first
    assert "Tension at A" in seen.tab.locator(".ls-friction dl").inner_text()
    assert seen.pixels() != picture
    seen.press("End of crossing")
    assert seen.tab.locator(".ls-friction").count() == 0


def test_views_by_name_differ(seen: Seen) -> None:
    seen.press("Next loop")
    pictures = set()
    for name in ("overview", "side", "plan", "from A", "from B", "walker", "picked", "ground"):
        seen.press(name)
        pictures.add(seen.pixels())
    assert len(pictures) == 8


def test_a_click_in_the_picture_picks_what_is_there(seen: Seen) -> None:
    """The label of the deepest loop stands 8 px below the middle of its loop."""
    label = seen.tab.locator(".ls-labels .loop", has_text="deepest").bounding_box()
    seen.tab.mouse.click(label["x"] + label["width"] / 2, label["y"] - 7)
    seen.rest()
    picked = seen.tab.locator(".ls-picked caption").first.inner_text()
    assert re.match(r"(Tape|Loop) 1[1-6] of 2[56]", picked)
    assert "From A, along the main" in seen.tab.locator(".ls-picked").inner_text()
    seen.press("Pick none")
    assert seen.tab.locator(".ls-picked").count() == 0


def test_worst_places_lead_to_the_picture(seen: Seen) -> None:
    # The first answer has no places; the whole one leads with them.
    seen.until("document.querySelector('.ls-places button')?.innerText.includes('reaches the ground')")
    place = seen.tab.locator(".ls-places button").first
    picture = seen.pixels()
    place.click()
    seen.rest()
    assert seen.pixels() != picture
    assert seen.tab.locator(".ls-picked").count() == 1


def test_longer_answers_arrive_and_are_marked_while_worked_out_anew(seen: Seen) -> None:
    seen.until("document.querySelectorAll('[data-part] .ls-help').length === 0")
    text = seen.tab.locator(".ls-right").inner_text()
    for words in (
        "slack, as marked", "at the lowest point of a leash fall", "Falls and loss of the main", "Rub", "from memory",
    ):
        assert words in text
    assert "safe" not in text.lower()
    seen.box("main.tension").fill("4.1 kN")
    seen.box("main.tension").press("Enter")
    seen.until("document.querySelector('[data-part=rub]').innerText.includes('From before the last change')")
    seen.until("!document.querySelector('.ls-right').innerText.includes('From before the last change')")


def test_assumed_and_guessed_inputs_are_shown_and_lead_to_their_fields(
    open_scene: Callable[..., Seen], tmp_path: Path
) -> None:
    seen = open_scene(written(tmp_path, hundred_tapes()))
    assert "guess" in seen.tab.locator('[data-path="main.tension"] .ls-mark').first.inner_text()
    summary = seen.tab.locator("summary", has_text="Not measured:").inner_text()
    guessed, assumed = (int(n) for n in re.findall(r"\d+", summary))
    assert guessed >= 1
    assert assumed > 10
    seen.tab.locator(".ls-link", has_text="tape.wraps").click()
    assert seen.tab.evaluate("document.activeElement.closest('[data-path]').dataset.path") == "tape.wraps"


def test_low_high_and_source_are_typed_behind_the_field(seen: Seen, scene: Path) -> None:
    seen.press("More about Walker: mass")
    seen.tab.get_by_label("Walker: mass, known from").select_option("measured")
    seen.rest()
    seen.tab.get_by_label("Walker: mass, low").fill("76 kg")
    seen.tab.get_by_label("Walker: mass, low").press("Enter")
    seen.rest()
    seen.press("Save")
    seen.toml(scene, 'known = "measured", low = "76 kg"')
    band = load(scene).inputs.bands["walker.mass"]
    assert (band.low, band.value) == (76.0, 80.0)


def test_how_each_tape_is_made_is_drawn_when_it_is_opened(seen: Seen) -> None:
    """A picture of the steps and one of the slips for each kind in use, each loaded and told in words."""
    seen.tab.locator("[data-cards=tapes] > summary").click()
    cards = seen.tab.locator("[data-cards=tapes] details")
    cards.first.wait_for(state="attached")
    cards.first.locator("summary").click()
    seen.tab.wait_for_function("() => document.querySelector('img.ls-card').naturalWidth > 0")
    assert cards.count() >= 2 and cards.count() % 2 == 0
    assert len(str(seen.tab.locator("img.ls-card").first.get_attribute("alt"))) > 100

"""The pages of lessons in a real browser, opened from a file without network: asked, shown, turned, answered."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

import linescope
from linescope.export.lesson_page import write_lesson_page
from linescope.export.lesson_wind_page import write_wind_page
from linescope.scenefile.shipped import lesson_file
from linescope.words import Words
from tests.browser.app.served import CHROMIUM, MISSING
from tests.lessons.solved import shipped

pytestmark = [pytest.mark.skipif(CHROMIUM is None, reason=MISSING), pytest.mark.usefixtures("built")]

LAPTOP, PHONE = (1366, 768), (390, 844)
NAME = "uneven-spacing"
TURN = """(position) => {
    const turn = document.querySelector("#turn");
    turn.value = position;
    turn.dispatchEvent(new Event("input"));
}"""


@pytest.fixture(params=[LAPTOP, PHONE], ids=["laptop", "telephone"])
def opened(request: pytest.FixtureRequest, browser: Any, tmp_path: Path) -> Iterator[Any]:
    """A page, and that nothing went wrong on it."""
    width, height = request.param
    context = browser.new_context(viewport={"width": width, "height": height}, offline=True)
    page = context.new_page()
    page.set_default_timeout(120_000)
    wrong: list[str] = []
    page.on("pageerror", lambda error: wrong.append(str(error)))
    page.on("console", lambda said: wrong.append(said.text) if said.type == "error" else None)
    yield page
    context.close()
    assert not wrong


def goto(page: Any, file: Path) -> None:
    page.goto(file.as_uri())
    page.wait_for_selector("html[data-ready]", state="attached")


def inked(page: Any) -> int:
    """Points of the picture that are not paper."""
    # Not `wait_for_function`: it makes script of text in the page, which the page's policy forbids.
    page.evaluate("""() => new Promise((done) => {
        const look = () => { if (window.lesson.asked) requestAnimationFrame(look); else done(); };
        look(); })""")
    found: int = page.evaluate("""() => {
        const {canvas} = window.lesson.pen.context, g = canvas.getContext("2d");
        const points = g.getImageData(0, 0, canvas.width, canvas.height).data;
        return points.filter((value, k) => k % 4 === 3 && value > 0).length; }""")
    return found


def test_a_lesson_asks_shows_and_answers(opened: Any, tmp_path: Path) -> None:
    found, words = shipped(NAME, 7), Words()
    goto(opened, write_lesson_page(tmp_path / "lesson.html", found, words))
    assert opened.inner_text("h1") == words.say("lessons-uneven-spacing-question")
    assert inked(opened) > 2000, "the first picture is there"
    width = opened.evaluate("document.documentElement.scrollWidth")
    assert width <= opened.viewport_size["width"], "nothing stands beside the page"

    def hidden(which: str) -> bool:
        return bool(opened.evaluate(f"getComputedStyle(document.querySelector('{which}')).visibility === 'hidden'"))

    assert hidden("#answer h2") and hidden("#knob") and hidden("#bar")
    assert opened.inner_text("#told") == "", "nothing is told before it is asked for"
    opened.keyboard.press("ArrowUp")
    assert opened.evaluate("window.lesson.now.take") == found.first, "no knob before the answer is asked for"

    opened.keyboard.press(" ")
    assert opened.evaluate("window.lesson.now.step") == 1 and hidden("#answer h2") and not hidden("#knob")
    opened.keyboard.press("ArrowRight")
    count = opened.evaluate("window.lesson.now.count")
    opened.keyboard.press("ArrowRight")
    assert opened.evaluate("window.lesson.now.count") == min(count + 1, opened.evaluate("window.lesson.last"))
    opened.keyboard.press("PageDown")
    assert not hidden("#answer h2") and opened.evaluate("window.lesson.now.step") == 2
    assert opened.inner_text("#answer h2") == words.say("lessons-uneven-spacing-say")
    opened.keyboard.press("PageUp")
    assert hidden("#answer h2")
    opened.keyboard.press("0")
    assert opened.evaluate("window.lesson.now.step") == 0 and opened.evaluate("window.lesson.now.count") == 0


def test_the_knob_shows_the_state_that_was_solved_for_it(opened: Any, tmp_path: Path) -> None:
    found, words = shipped(NAME, 7), Words()
    goto(opened, write_lesson_page(tmp_path / "lesson.html", found, words))
    opened.keyboard.press(" ")
    for number, take in enumerate(found.takes):
        opened.evaluate(TURN, number)
        shown = opened.evaluate("""() => window.lesson.rows.map((row) =>
            Array.from(row.shots[Math.min(window.lesson.now.count, row.shots.length - 1)].backup))""")
        for track, points in zip(take.tracks, shown, strict=True):
            assert points == pytest.approx(track.shots[-1].backup.ravel().tolist(), abs=2e-3)
        assert opened.inner_text("#turned") != ""
    opened.keyboard.press("ArrowUp")
    opened.keyboard.press("ArrowDown")
    assert opened.evaluate("window.lesson.whole"), "arrows go from stop to stop"


def test_a_strip_is_wound_and_followed(opened: Any, tmp_path: Path) -> None:
    words = Words()
    rig = linescope.load(lesson_file("wind-a-tape")).rig
    goto(opened, write_wind_page(tmp_path / "wind.html", rig, words))
    assert inked(opened) > 2000
    assert opened.evaluate("document.documentElement.scrollWidth") <= opened.viewport_size["width"]
    opened.keyboard.press(" ")
    opened.evaluate("window.lesson.set({playing: false, at: 100})")
    laid = opened.evaluate("window.lesson.laid")
    assert laid == pytest.approx(0.25 * opened.evaluate("window.lesson.tape.length"))
    assert words.say("lessons-wind-a-tape-sticky-down") in opened.inner_text("#watched")
    opened.keyboard.press("s")
    opened.keyboard.press("s")
    assert opened.evaluate("window.lesson.now.mode") == "aside"
    opened.keyboard.press("ArrowUp")
    assert opened.evaluate("window.lesson.now.tape") == 1 and opened.evaluate("window.lesson.now.mode") == "right"
    opened.keyboard.press(" ")
    assert opened.inner_text("#answer h2") == words.say("lessons-wind-a-tape-say")
    assert words.say("tapes-lies-underside") in opened.inner_text("#which")

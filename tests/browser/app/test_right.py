"""A red place offers what would put it right: sought beside the page, stopped at once, adopted in one action."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.advise.lines import scene_of, wish
from tests.advise.test_its_clearance import SHELF
from tests.browser.app.served import Seen
from tests.browser.app.test_reach import faults

SOUGHT = "linescopeLive.job.running && linescopeLive.job.kind === 'advice'"


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    """The loop beside A lies in the shelf there."""
    path = tmp_path / "made.toml"
    path.write_text(scene_of(SHELF, excess="11 %").text, encoding="utf-8")
    return path


@pytest.mark.long
def test_plans_are_sought_beside_the_page_and_adopted(open_scene: Callable[..., Seen], scene: Path) -> None:
    """Sought once, then looked at on three sizes of screen, and adopted on the smallest; all as a user has it."""
    seen = open_scene(scene, alone=True, viewport={"width": 1440, "height": 900})
    seen.known("exact")
    seen.drawer("answers")
    assert seen.tab.locator('#worst [data-met="false"]').count()
    seen.tab.locator("#ask-right").click()
    seen.until(SOUGHT)
    # The page goes on: the walker is moved, and his figures come, while plans are sought.
    before = seen.tab.evaluate("linescopeLive.status.revision")
    seen.tab.evaluate("linescopeLive.act('preview_walker', 0.4)")
    seen.until(f"linescopeLive.status.revision > {before}")
    assert seen.tab.evaluate(SOUGHT)
    assert seen.tab.locator("#job progress").count() == 1
    seen.until(f"!({SOUGHT}) && document.querySelector('#right .plan')")
    seen.tab.evaluate("() => document.querySelectorAll('#right details').forEach((d) => { d.open = true; })")
    for width, height in ((1440, 900), (1024, 768), (390, 844)):
        seen.tab.set_viewport_size({"width": width, "height": height})
        seen.rest()
        assert seen.tab.evaluate("document.documentElement.scrollWidth") <= width
        assert faults(seen) == []
    plan = seen.tab.locator('#right [data-plan="a"]')
    assert "Its clearance: kept" in plan.inner_text() and plan.locator("table tbody tr").count() > 8
    plan.get_by_role("button", name="Try plan a as a variant").click()
    seen.until("linescopeLive.status.kept_as === 'advised 1'")
    seen.known("exact")
    assert seen.tab.locator('#worst [data-met="false"]').count() == 0
    assert not seen.tab.locator('#right [data-focus="adopt-a"]').is_disabled()
    assert '[variants."advised 1"]' not in scene.read_text(encoding="utf-8")
    seen.tab.keyboard.press("Control+s")
    seen.toml(scene, '[variants."advised 1"]')
    assert seen.problems == []


def test_it_is_offered_at_the_place_and_stops_at_once(open_scene: Callable[..., Seen], scene: Path) -> None:
    seen = open_scene(scene)
    seen.known("exact")
    seen.drawer("answers")
    seen.tab.locator('#worst [data-met="false"]').first.click()
    seen.rest()
    seen.tab.locator("#right-here").click()
    seen.until(SOUGHT)
    assert "Being sought" in seen.tab.locator("#right").inner_text()
    seen.tab.locator("#right").get_by_role("button", name="Stop the job").click()
    seen.until(f"!({SOUGHT})")
    seen.until("document.querySelector('#right').innerText.includes('Not sought to the end: stopped')")
    assert seen.tab.locator("#ask-right").is_enabled()
    assert seen.problems == []


LEVERS = """
[limits]
bay = ["3 m", "3 m"]
leash = ["1.6 m", "1.6 m"]
"""


def test_levers_are_turned_and_what_surfaces_say_stands_there_at_once(
    open_scene: Callable[..., Seen], tmp_path: Path
) -> None:
    """On a large screen and a telephone: marked as an estimate, moved by hand, kept in one action and solved then."""
    path = tmp_path / "wished.toml"
    path.write_text(scene_of(wish("sag with the walker", at_most="1.2 m"), LEVERS).text, encoding="utf-8")
    seen = open_scene(path, alone=True, viewport={"width": 1440, "height": 900})
    seen.tab.evaluate("linescopeLive.putRight()")
    seen.until(f"!({SOUGHT}) && document.querySelector('#levers')")
    levers = seen.tab.locator("#levers")
    levers.locator("summary").click()
    seen.until("document.querySelector('#levers table')")
    assert "Estimates, from surfaces" in levers.inner_text()
    assert levers.locator("input[type=range]").count() == 2
    before = levers.locator("tbody").inner_text()
    revision = seen.tab.evaluate("linescopeLive.status.revision")
    first = levers.locator("input").first
    first.evaluate("(one) => { one.value = '2500'; one.dispatchEvent(new Event('input', { bubbles: true })); }")
    seen.until("document.querySelector('#levers label').innerText.includes('2.50 kN')")
    seen.until(f"document.querySelector('#levers tbody').innerText !== {json.dumps(before)}")
    assert seen.tab.evaluate("linescopeLive.status.revision") == revision  # Nothing was solved.
    assert levers.locator("tbody td").first.inner_text().startswith("about")
    first.focus()
    seen.tab.keyboard.press("ArrowRight")
    seen.until("document.querySelector('#levers label').innerText.includes('2.55 kN')")
    for width, height in ((1440, 900), (390, 844)):
        seen.tab.set_viewport_size({"width": width, "height": height})
        seen.rest()
        assert seen.tab.evaluate("document.documentElement.scrollWidth") <= width
        assert faults(seen) == []
        levers.scroll_into_view_if_needed()
        seen.tab.screenshot(path=str(tmp_path / f"levers-{width}.png"))
    seen.tab.locator("#adopt-levers").click()
    seen.until("linescopeLive.status.kept_as === 'advised 1'")
    assert seen.problems == []

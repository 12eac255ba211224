"""The page in a real browser, opened from a file without network: turned, pinched, pressed, looked at."""

from __future__ import annotations

import dataclasses
import io
import itertools
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from linescope.export.page_file import write_page
from linescope.stage import LIGHT
from linescope.terrain import Terrain
from tests.export import gathered
from tests.stage import rigs

pytest.importorskip("playwright.sync_api", reason="playwright is not installed")
PROGRAM = next(
    (found for name in ("chromium", "chromium-browser", "google-chrome") if (found := shutil.which(name))), None
)
pytestmark = pytest.mark.skipif(PROGRAM is None, reason="no Chromium on this system")

DESK, PHONE = (1280, 900), (390, 844)
TITLE = "<script>window.hacked = 1</script><img src=x onerror='window.hacked = 2'> & \"Gap\""


@pytest.fixture(scope="module")
def file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    found = gathered.study("windy")
    named = rigs.changed(found, rig=dataclasses.replace(found.rig, name=TITLE))
    ground = Terrain(**vars(rigs.gorge(found.rig)), source="invented")
    return write_page(tmp_path_factory.mktemp("page") / "p.html", named, ground=ground)


class Opened:
    """A page with what went wrong on it."""

    def __init__(self, browser: Any, file: Path, size: tuple[int, int]) -> None:
        self.context = browser.new_context(
            viewport={"width": size[0], "height": size[1]}, has_touch=size == PHONE, offline=True
        )
        self.page = self.context.new_page()
        self.wrong: list[str] = []
        self.asked: list[str] = []
        self.page.on("console", lambda message: self.wrong.append(message.text))
        self.page.on("pageerror", lambda error: self.wrong.append(str(error)))
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.page.goto(file.as_uri())
        self.page.wait_for_selector("canvas[data-yaw]")

    def drawn(self) -> Image.Image:
        self.page.evaluate("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")
        return Image.open(io.BytesIO(self.page.locator("#view").screenshot())).convert("RGB")

    def painted(self) -> str:
        """The canvas alone, to the last pixel."""
        self.drawn()
        return str(self.page.evaluate("document.querySelector('#view canvas').toDataURL()"))

    def camera(self, name: str) -> float:
        return float(self.page.locator("#view canvas").get_attribute(f"data-{name}"))

    def press(self, group: str, name: str) -> None:
        self.page.click(f"[data-{group}={name}]")
        self.drawn()

    def drag(self, dx: int, dy: int) -> None:
        box = self.page.locator("#view").bounding_box()
        x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
        mouse = self.page.mouse
        mouse.move(x, y)
        mouse.down()
        mouse.move(x + dx / 2, y + dy / 2, steps=4)
        mouse.move(x + dx, y + dy, steps=4)
        mouse.up()


@pytest.fixture
def opened(browser: Any, file: Path, request: pytest.FixtureRequest) -> Iterator[Opened]:
    page = Opened(browser, file, getattr(request, "param", DESK))
    yield page
    page.context.close()


both = pytest.mark.parametrize("opened", [DESK, PHONE], indirect=True, ids=["desk", "phone"])


def changed(one: Image.Image, other: Image.Image) -> float:
    """Share of pixels that differ clearly."""
    a, b = (np.asarray(image, dtype=int) for image in (one, other))
    return float((np.abs(a - b).max(axis=2) > 24).mean())


@both
def test_it_opens_from_a_file_without_a_word_of_complaint(opened: Opened) -> None:
    picture = opened.drawn()
    assert opened.wrong == []
    assert len(opened.asked) == 1
    assert opened.asked[0].startswith("file:")
    assert len(picture.getcolors(1_000_000)) > 50
    wide = opened.page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
    assert wide[0] <= wide[1]


def test_a_hostile_title_is_text(opened: Opened) -> None:
    assert opened.page.locator("h1").inner_text() == TITLE
    assert opened.page.evaluate("window.hacked") is None
    assert opened.page.locator("img").count() == 0


@both
def test_dragging_turns_the_rig_and_dragging_back_turns_it_back(opened: Opened) -> None:
    before, yaw, pitch = opened.drawn(), opened.camera("yaw"), opened.camera("pitch")
    painted = opened.painted()
    opened.drag(160, 60)
    turned = opened.drawn()
    # 0.0075 rad a pixel, less the first pixels that tell a drag from a tap.
    assert opened.camera("yaw") - yaw == pytest.approx(160 * 0.0075, abs=0.2)
    assert opened.camera("pitch") - pitch == pytest.approx(60 * 0.0075, abs=0.1)
    assert changed(before, turned) > 0.05
    opened.press("look", "whole")
    assert opened.camera("yaw") == yaw
    assert opened.painted() == painted


@pytest.mark.parametrize("opened", [PHONE], indirect=True)
def test_two_fingers_come_nearer_and_one_finger_turns(opened: Opened) -> None:
    opened.page.locator("#view").scroll_into_view_if_needed()
    box = opened.page.locator("#view").bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    session = opened.context.new_cdp_session(opened.page)

    def touch(kind: str, *points: tuple[float, float]) -> None:
        fingers = [{"x": a, "y": b, "id": k} for k, (a, b) in enumerate(points)]
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": fingers})

    before, far, scrolled = opened.drawn(), opened.camera("far"), opened.page.evaluate("scrollY")
    touch("touchStart", (x - 30, y), (x + 30, y))
    for gap in (45, 60, 75, 90):
        touch("touchMove", (x - gap, y), (x + gap, y))
    touch("touchEnd")
    nearer = opened.drawn()
    # Fingers went from 60 to 180 px apart.
    assert opened.camera("far") == pytest.approx(far * 60 / 180, rel=0.01)
    assert changed(before, nearer) > 0.02
    yaw = opened.camera("yaw")
    touch("touchStart", (x, y))
    for step in (20, 40, 60, 80):
        touch("touchMove", (x + step, y))
    touch("touchEnd")
    opened.drawn()
    assert opened.camera("yaw") - yaw == pytest.approx(80 * 0.0075, abs=0.1)
    assert opened.page.evaluate("scrollY") == scrolled


@both
def test_labels_stay_inside_and_apart_in_every_view_of_every_state(opened: Opened) -> None:
    states = [button.get_attribute("data-state") for button in opened.page.locator("[data-state]:not(canvas)").all()]
    assert states == ["taped", "standing", "settled", "wind", "back", "fall", "gone"]
    seen = 0
    for state in states:
        opened.press("state", state)
        for look in ("whole", "side", "a", "b", "above", "loops"):
            opened.press("look", look)
            frame, boxes = opened.page.evaluate(
                """(() => {
                    const box = e => {
                        const r = e.getBoundingClientRect();
                        return [r.left, r.top, r.right, r.bottom];
                    };
                    return [box(document.getElementById("view")),
                            [...document.querySelectorAll(".label")].filter(e => !e.hidden).map(box)];
                })()"""
            )
            seen += len(boxes)
            where = (state, look)
            for left, top, right, bottom in boxes:
                assert left >= frame[0] - 0.5 and top >= frame[1] - 0.5, where
                assert right <= frame[2] + 0.5 and bottom <= frame[3] + 0.5, where
            for a, b in itertools.combinations(boxes, 2):
                assert a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1], where
    assert seen > 100
    assert opened.wrong == []


LINE = """(colour) => {
    const canvas = document.querySelector("#view canvas"), g = canvas.getContext("2d");
    const { width, height } = canvas, pixels = g.getImageData(0, 0, width, height).data, found = [1e9, 1e9, -1, -1];
    for (let y = 0; y < height; y++) for (let x = 0; x < width; x++) {
        const k = 4 * (y * width + x);
        if (colour.every((part, j) => Math.abs(pixels[k + j] - part) < 2)) {
            found[0] = Math.min(found[0], x); found[1] = Math.min(found[1], y);
            found[2] = Math.max(found[2], x); found[3] = Math.max(found[3], y);
        }
    }
    return [found[0] / width, found[1] / height, found[2] / width, found[3] / height];
}"""


@both
def test_the_whole_line_fills_the_picture_whatever_its_shape(opened: Opened) -> None:
    # The main and the anchors are of one colour; seen from the side a line on a telephone is as long as that is wide.
    opened.press("look", "whole")
    left, top, right, bottom = opened.page.evaluate(LINE, list(LIGHT.rgb("main")))
    box = opened.page.locator("#view").bounding_box()
    assert left < 0.12 and right > 0.88
    assert abs((left + right) / 2 - 0.5) < 0.03  # In the middle, not to one side.
    assert left > 0.0 and right < 1.0 and top > 0.0 and bottom < 1.0
    if box["height"] > box["width"]:
        assert bottom - top > 0.6


@pytest.mark.parametrize("opened", [PHONE], indirect=True)
def test_on_a_telephone_picture_and_slider_are_seen_without_scrolling(opened: Opened) -> None:
    view, slider = (opened.page.locator(name).bounding_box() for name in ("#view", "#walker"))
    assert view["height"] > 0.5 * PHONE[1]
    assert slider["y"] > view["y"] + view["height"] and slider["y"] + slider["height"] < PHONE[1]


def test_states_and_the_walker_change_picture_and_figures(opened: Opened) -> None:
    pictures, said = [], []
    for state in ("taped", "settled", "wind", "fall", "gone"):
        opened.press("state", state)
        opened.press("look", "side")
        pictures.append(opened.drawn())
        said.append(opened.page.locator("#figures").inner_text())
        assert opened.page.locator("#view canvas").get_attribute("data-state") == state
        assert opened.page.locator(f"[data-state={state}]:not(canvas)").get_attribute("aria-pressed") == "true"
    assert len(set(said)) == len(said)
    for one, other in itertools.combinations(pictures, 2):
        assert changed(one, other) > 0.0005
    opened.press("state", "taped")
    title = opened.page.locator("#what").inner_text()
    before = opened.drawn()
    opened.page.locator("#walker").fill("2")
    assert changed(before, opened.drawn()) > 0.001
    assert opened.page.locator("#what").inner_text() != title


def test_lines_are_as_thin_as_they_are_in_every_state(opened: Opened) -> None:
    """The backup (#d55e00) from afar is a stroke of a few pixels: on no picture does it cover 2 % of the view."""
    for state in ("taped", "settled", "fall", "gone"):
        opened.press("state", state)
        opened.press("look", "side")
        pixels = np.asarray(opened.drawn(), dtype=int)
        share = (np.abs(pixels - (0xD5, 0x5E, 0x00)).max(axis=2) < 40).mean()
        assert 0.0001 < share < 0.02, (state, share)


def test_loops_are_stepped_through_tapped_and_turned_by_keys(opened: Opened) -> None:
    opened.press("look", "loops")
    first = opened.page.locator("#bay").inner_text()
    assert first.startswith("Bay ")
    opened.page.click("[data-step='1']")
    opened.drawn()
    second = opened.page.locator("#bay").inner_text()
    number = [int(text.split()[1]) for text in (first, second)]
    assert number[1] == number[0] + 1
    found = gathered.study("windy").taped.bays
    assert f"of {len(found.length)}: loop " in second
    yaw = opened.camera("yaw")
    opened.page.locator("#view canvas").focus()
    opened.page.keyboard.press("ArrowRight")
    opened.drawn()
    assert opened.camera("yaw") == pytest.approx(yaw + 20 * 0.0075, abs=1e-3)


def test_tables_are_there_without_scripts(browser: Any, file: Path) -> None:
    context = browser.new_context(java_script_enabled=False, offline=True)
    page = context.new_page()
    page.goto(file.as_uri())
    assert page.locator("table").count() >= 8
    assert page.get_by_text("NO-FALL").count() == 0
    assert page.get_by_text("Loss of the main along the line: two cases").count() == 1
    context.close()

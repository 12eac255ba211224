"""The page in a real browser, opened from a file without network: turned, walked on, played, asked, looked at."""

from __future__ import annotations

import dataclasses
import importlib.resources
import io
import itertools
import re
import tomllib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image

from linescope.clearance.ranked import places
from linescope.export.page_file import write_page
from linescope.scene import load
from linescope.scenefile.readings import readings_from_csv
from linescope.stage import DARK, LIGHT
from linescope.stage.ground import site
from linescope.study import Study
from tests.browser.app.served import CHROMIUM, MISSING, said
from tests.long import rest_is_long

pytestmark = [pytest.mark.skipif(CHROMIUM is None, reason=MISSING), pytest.mark.usefixtures("built")]

DESK, TABLET, PHONE = (1440, 900), (1024, 768), (390, 844)
SCENE = Path(__file__).parents[2] / "scenes" / "heron_gap.toml"
TITLE = "<script>window.hacked = 1</script><img src=x onerror='window.hacked = 2'> & \"Gap\""
NEEDED = {"fall_sweep", "clearance", "running", "fall_gaps", "main_gone_sweep", "fall_course", "gone_course", "touch"}
"""Of the slow results, what the page shows."""
AXE = importlib.resources.files("axe_playwright_python") / "axe.min.js"


@pytest.fixture(scope="module")
def study() -> Study:
    """A short line over its ground, in few steps: with falls and a loss of the main in time."""
    found = Study(load(SCENE), places=9, positions=7, leave=Study.SLOW - NEEDED)
    found.rig = dataclasses.replace(found.rig, name=TITLE)
    return found


@pytest.fixture(scope="module")
def file(study: Study, tmp_path_factory: pytest.TempPathFactory) -> Path:
    assert study.ground
    return write_page(tmp_path_factory.mktemp("page") / "p.html", study, ground=site(study.ground, study.rig))


class Opened:
    """A page with what went wrong on it."""

    def __init__(self, browser: Any, file: Path, size: tuple[int, int], **more: Any) -> None:
        before = more.pop("before", "")
        self.size = size
        self.context = browser.new_context(
            viewport={"width": size[0], "height": size[1]}, has_touch=size == PHONE, offline=True, **more
        )
        self.page = self.context.new_page()
        self.page.set_default_timeout(120_000)
        self.wrong: list[str] = []
        self.asked: list[str] = []
        self.page.on("console", lambda message: self.wrong.append(message.text) if said(message) else None)
        self.page.on("pageerror", lambda error: self.wrong.append(str(error)))
        self.page.on("request", lambda request: self.asked.append(request.url))
        if before:
            self.page.add_init_script(before)
        self.page.goto(file.as_uri())
        self.page.wait_for_selector("html[data-ready]")
        self.rest()
        self.first = self.page.evaluate("({ ...linescope.now })")

    def until(self, condition: str) -> None:
        """Asked from outside, since the page's own policy lets nothing be evaluated inside."""
        for _ in range(4000):
            if self.page.evaluate(condition):
                return
            self.page.wait_for_timeout(30)
        raise AssertionError(condition)

    def rest(self) -> None:
        """Until no flight is under way and what was asked for is painted."""
        self.until("!linescope.flight.flying")
        self.page.evaluate("new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")
        self.until("!linescope.asked")

    def again(self) -> None:
        """As it was opened."""
        self.page.mouse.move(5, 300)
        self.page.evaluate(
            "first => { linescope.tall = 1; linescope.set({ ...first, drawer: '', playing: false, picked: null,"
            "chosen: null, pointer: null }); document.activeElement?.blur(); linescope.fly('whole', true); }",
            self.first,
        )
        self.rest()

    def seen(self) -> Image.Image:
        """As fine as it is at rest."""
        self.rest()
        self.until("!linescope.rough")
        return Image.open(io.BytesIO(self.page.screenshot())).convert("RGB")

    def now(self, name: str) -> Any:
        return self.page.evaluate(f"linescope.now.{name}")

    def eye(self) -> np.ndarray:
        return np.array(self.page.evaluate("linescope.camera.position.toArray()"))

    def text(self, which: str) -> str:
        return str(self.page.locator(which).inner_text())

    def key(self, name: str) -> None:
        self.page.keyboard.press(name)
        self.rest()

    def to(self, key: str) -> None:
        """A state by its key; a film that begins to play is taken to its end."""
        self.page.keyboard.press(key)
        self.page.evaluate("linescope.now.playing && linescope.scrub(linescope.end)")
        self.rest()

    def click(self, which: str) -> None:
        self.page.click(which)
        self.rest()

    def on_page(self, point: str) -> tuple[float, float]:
        """Where a point of the scene, as JavaScript, is seen."""
        x, y, _ = self.page.evaluate(f"linescope.project({point})")
        return x, y

    def drag(self, start: tuple[float, float], end: tuple[float, float]) -> None:
        mouse = self.page.mouse
        mouse.move(*start)
        mouse.down()
        for share in (0.25, 0.5, 0.75, 1.0):
            mouse.move(*(a + share * (b - a) for a, b in zip(start, end, strict=True)))
        mouse.up()
        self.rest()


@pytest.fixture(scope="module")
def pages(browser: Any, file: Path) -> Iterator[Callable[[tuple[int, int]], Opened]]:
    """One page of each size, opened when a test asks for it: it takes seconds to open one."""
    found: dict[tuple[int, int], Opened] = {}

    def of(size: tuple[int, int]) -> Opened:
        if size not in found:
            found[size] = Opened(browser, file, size)
        return found[size]

    yield of
    for page in found.values():
        page.context.close()


@pytest.fixture
def opened(pages: Callable[[tuple[int, int]], Opened], request: pytest.FixtureRequest) -> Iterator[Opened]:
    page = pages(getattr(request, "param", DESK))
    page.again()
    yield page
    assert page.wrong == []


sizes = pytest.mark.parametrize(
    "opened", rest_is_long([DESK, TABLET, PHONE], DESK, PHONE), indirect=True, ids=["desk", "tablet", "phone"]
)
phone = pytest.mark.parametrize("opened", [PHONE], indirect=True, ids=["phone"])


def changed(one: Image.Image, other: Image.Image) -> float:
    """Share of pixels that differ clearly."""
    a, b = (np.asarray(image, dtype=int) for image in (one, other))
    return float((np.abs(a - b).max(axis=2) > 24).mean())


@sizes
def test_it_opens_from_a_file_alone_with_everything_in_the_first_screen(opened: Opened) -> None:
    assert {url.split(":")[0] for url in opened.asked} <= {"file", "blob"}
    width, height = opened.size
    assert opened.page.evaluate("[document.documentElement.scrollWidth, document.documentElement.scrollHeight]") == [
        width, height
    ]
    for which in ("#verdict", "#caution", "#strip", "#states [aria-selected=true]", "#layers", "nav", "#gl"):
        box = opened.page.locator(which).bounding_box()
        assert box["x"] >= 0 and box["y"] >= 0, which
        assert box["y"] + box["height"] <= height + 1, which
    picture = opened.page.evaluate("linescope.area()")
    assert picture["h"] > 0.4 * height
    assert len(opened.seen().getcolors(1_000_000)) > 500
    assert opened.text("#verdict") == opened.page.evaluate("linescope.model.data.verdict.text")


LOOK = """() => {
  const app = linescope, { stage, canvas } = app, { width: w, height: h } = canvas, gl = stage.renderer.getContext();
  const look = () => {
    const found = new Uint8Array(4 * w * h);
    app.rough = true;
    app.paint();
    gl.readPixels(0, 0, w, h, gl.RGBA, gl.UNSIGNED_BYTE, found);
    return found;
  };
  const off = (one, other) => one.reduce((sum, value, k) => sum + (Math.abs(value - (other?.[k] ?? 0)) > 2), 0);
  look();  // While the eye moves nothing is kept.
  const reused = look(), kept = stage.kept, before = window.before;
  stage.kept = "";
  const renewed = look();
  window.before = reused;
  return { kept, off: off(reused, renewed), changed: off(reused, before), same: kept === stage.kept };
}"""
RENEWED = {
    "eye": "linescope.camera.position.x += 4, linescope.camera.updateMatrixWorld()",
    "layer": "linescope.set({ layer: 'tension' })",
    "cut": "linescope.stage.ground.cutAt(0.4 * linescope.model.span, false)",
    "cut along": "linescope.stage.ground.cutAt(0, true)",
    "uncut": "linescope.stage.ground.cutAt(null, false)",
    "colours": "document.querySelector('#dark').click()",
    "colours back": "document.querySelector('#dark').click()",
    "heights": "linescope.stretch(3)",
    "another frame": "linescope.stage.ground.stand({ x: 2, y: 1, z: -3, angle: 0.1 })",
    "that of the line": "linescope.stage.ground.stand(null)",
}


def test_ground_that_is_kept_is_drawn_anew_when_it_must_be(opened: Opened) -> None:
    """Pixels over what was kept are those of a picture for which nothing was."""
    page = opened.page
    page.evaluate("window.before = null")
    last = page.evaluate(LOOK)
    assert last["off"] == 0 and last["same"]
    page.evaluate("linescope.set({ at: linescope.now.at + 3 })")
    walked = page.evaluate(LOOK)
    assert walked["kept"] == last["kept"], "a walker changes no ground"
    assert walked["off"] == 0 and walked["changed"] > 100
    for what, change in RENEWED.items():
        page.evaluate(f"() => {{ {change}; }}")
        found = page.evaluate(LOOK)
        assert found["kept"] != last["kept"] and found["changed"] > 1000, what
        assert found["off"] == 0 and found["same"], what
        last = found
    page.evaluate("linescope.settle()")


@sizes
def test_what_was_drawn_in_haste_becomes_fine_at_rest(opened: Opened) -> None:
    opened.page.evaluate("linescope.set({ at: linescope.now.at + 2 })")
    assert opened.page.evaluate("linescope.rough")
    first = opened.seen()
    assert not opened.page.evaluate("linescope.stage.coarse")
    opened.page.evaluate("linescope.settle()")
    assert changed(first, opened.seen()) == 0.0


def test_a_hostile_title_is_text(opened: Opened) -> None:
    assert TITLE in opened.page.locator("#sub").text_content()
    assert opened.page.evaluate("window.hacked") is None
    assert opened.page.locator("img").count() == 0


@sizes
def test_the_whole_line_fills_what_header_and_foot_leave(opened: Opened) -> None:
    area = opened.page.evaluate("linescope.area()")
    places = [opened.on_page(f"linescope.model.data.anchors[{k}].p") for k in (0, 1)]
    for x, y in places:
        assert area["x"] < x < area["x"] + area["w"]
        assert area["y"] < y < area["y"] + area["h"]
    assert places[1][0] - places[0][0] > 0.7 * area["w"]


@sizes
def test_words_stand_apart_from_the_lens_and_inside_the_page(opened: Opened) -> None:
    for key in ("1", "2", "3", "4"):
        opened.to(key)
        taken = opened.page.evaluate("linescope.pen.taken")
        assert len(taken) > 10
    lens = opened.page.locator("#lens").bounding_box()
    header = opened.page.locator("header").bounding_box()
    apart = lens["y"] >= header["y"] + header["height"] - 1 or lens["x"] >= header["x"] + header["width"] - 1
    assert apart


def test_turning_by_hand_and_back_to_the_whole_line(opened: Opened) -> None:
    before, eye = opened.seen(), opened.eye()
    opened.drag((720, 560), (880, 600))
    assert np.linalg.norm(opened.eye() - eye) > 5.0
    assert opened.now("view") == "own"
    assert changed(before, opened.seen()) > 0.05
    opened.click("#home")
    assert opened.eye() == pytest.approx(eye, abs=1e-6)


@phone
def test_two_fingers_come_nearer_one_turns_and_one_walks(opened: Opened) -> None:
    session = opened.context.new_cdp_session(opened.page)

    def touch(kind: str, *points: tuple[float, float]) -> None:
        fingers = [{"x": a, "y": b, "id": k} for k, (a, b) in enumerate(points)]
        session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": fingers})

    far = opened.page.evaluate("linescope.camera.position.distanceTo(linescope.control.target)")
    x, y = 200, 520
    touch("touchStart", (x - 30, y), (x + 30, y))
    for gap in (45, 60, 75, 90):
        touch("touchMove", (x - gap, y), (x + gap, y))
    touch("touchEnd")
    opened.rest()
    assert opened.page.evaluate("linescope.camera.position.distanceTo(linescope.control.target)") < 0.6 * far
    eye = opened.eye()
    touch("touchStart", (x, y))
    for step in (20, 40, 60):
        touch("touchMove", (x + step, y))
    touch("touchEnd")
    opened.rest()
    assert np.linalg.norm(opened.eye() - eye) > 1.0
    box = opened.page.locator("#strip").bounding_box()
    middle = box["y"] + box["height"] / 2
    touch("touchStart", (box["x"] + 0.5 * box["width"], middle))
    touch("touchMove", (box["x"] + 0.25 * box["width"], middle))
    touch("touchEnd")
    opened.rest()
    reach = opened.page.evaluate("linescope.reach")
    share = (0.25 * box["width"] - reach["left"]) / (reach["right"] - reach["left"])
    assert opened.now("at") == pytest.approx(share * opened.page.evaluate("linescope.model.span"), abs=0.2)


def test_the_knob_walks_by_pointer_and_by_keys(opened: Opened) -> None:
    box = opened.page.locator("#strip").bounding_box()
    reach, span = opened.page.evaluate("linescope.reach"), opened.page.evaluate("linescope.model.span")
    before = opened.seen()
    opened.page.mouse.click(box["x"] + reach["left"] + 0.25 * (reach["right"] - reach["left"]), box["y"] + 50)
    opened.rest()
    assert opened.now("at") == pytest.approx(0.25 * span, abs=0.1)
    assert changed(before, opened.seen()) > 0.005
    at = opened.now("at")
    strip = opened.page.locator("#strip")
    strip.focus()
    for name, step in (("ArrowRight", 1.0), ("ArrowLeft", -1.0), ("Shift+ArrowRight", 0.1), ("PageUp", 10.0)):
        opened.key(name)
        assert opened.now("at") == pytest.approx(at + step, abs=1e-9)
        at += step
    # What is read aloud names the computed place nearest to the knob, and what a fall leaves there.
    spoken = strip.get_attribute("aria-valuetext")
    nearest = opened.page.evaluate("linescope.state.x.reduce((a, b) => Math.abs(b - linescope.now.at) < "
                                   "Math.abs(a - linescope.now.at) ? b : a)")
    place = float(re.match(r"[\d.]+", spoken)[0])
    assert place == pytest.approx(nearest, abs=0.06)
    assert opened.page.evaluate("linescope.state.verdict.length") > 30
    assert opened.text("#verdict") in opened.page.evaluate("linescope.state.verdict.map(each => each.text)")


def test_the_person_is_dragged_along_the_line(opened: Opened) -> None:
    start = opened.on_page("[linescope.shape.feet[0], 0, linescope.shape.feet[2] + 0.9]")
    end = opened.on_page("[12, 0, -1]")
    eye = opened.eye()
    opened.drag(start, end)
    assert opened.now("at") == pytest.approx(12.0, abs=1.5)
    assert opened.eye() == pytest.approx(eye)  # The picture stays.


def test_every_state_has_its_picture_words_and_figures(opened: Opened, study: Study) -> None:
    opened.click("[data-drawer-of=answers]")
    pictures, said = [], []
    keys = opened.page.evaluate("linescope.model.states.map(each => each.key)")
    assert keys == ["empty", "walker", "fall", "gone"]
    for number, key in enumerate(keys, 1):
        opened.page.keyboard.press(str(number))
        if key in ("fall", "gone"):
            for playing in (True, False, True):
                assert opened.now("playing") is playing
                opened.page.click("#play")
            opened.page.evaluate("linescope.scrub(1.0)")
        opened.rest()
        pictures.append(opened.seen())
        said.append((opened.text("#verdict"), opened.text("#figures")))
        assert opened.page.locator(f"#states [data-state={key}]").get_attribute("aria-selected") == "true"
    assert len(set(said)) == len(said)
    for one, other in itertools.combinations(pictures, 2):
        assert changed(one, other) > 0.002
    # The lines stand where they were computed, to the step in which they are kept.
    opened.key("1")
    drawn = np.array(opened.page.evaluate("linescope.shape.tapes"))
    standing = study.standing.tape_points - study.rig.main_a
    along = standing[:, :2] @ (study.rig.main_b - study.rig.main_a)[:2] / study.rig.span
    assert drawn[:, 0] == pytest.approx(along, abs=0.01)
    assert drawn[:, 2] == pytest.approx(standing[:, 2], abs=0.01)


def test_a_film_keeps_its_time_and_ends_where_the_computation_does(opened: Opened) -> None:
    opened.page.click("#states [data-state=fall]")
    opened.until("linescope.now.time > 0.1")
    start = opened.page.evaluate("[performance.now(), linescope.now.time]")
    opened.until("linescope.now.time > 0.6")
    end = opened.page.evaluate("[performance.now(), linescope.now.time]")
    assert end[1] - start[1] == pytest.approx(0.5 * (end[0] - start[0]) / 1000.0, abs=0.5)  # At half speed.
    opened.page.evaluate("linescope.scrub(linescope.end - 0.2)")
    opened.page.click("#play")
    assert opened.now("playing")
    opened.until("!linescope.now.playing")
    opened.rest()
    assert opened.now("time") == pytest.approx(opened.page.evaluate("linescope.end"), abs=1e-6)
    assert opened.text("#play") == "Again"
    box, reach = opened.page.locator("#strip").bounding_box(), opened.page.evaluate("linescope.reach")
    opened.page.mouse.click(box["x"] + (reach["left"] + reach["right"]) / 2, box["y"] + 50)
    opened.rest()
    half = opened.page.evaluate("linescope.state.seconds") / 2
    assert opened.now("time") == pytest.approx(min(half, opened.page.evaluate("linescope.end")), rel=0.02)
    body = opened.page.evaluate("linescope.shape.tie")
    assert body[2] < opened.page.evaluate("linescope.model.states[1].shape.feet.values[2]") + 5.0


def test_who_asks_for_no_motion_gets_none(browser: Any, file: Path) -> None:
    opened = Opened(browser, file, DESK, reduced_motion="reduce")
    opened.click("#states [data-state=fall]")
    assert not opened.now("playing")
    opened.page.click("#play")
    assert opened.page.evaluate("linescope.now.playing || linescope.now.time > 0")
    opened.context.close()


@sizes
def test_a_worst_place_is_one_tap_away_with_body_and_gap(opened: Opened, study: Study) -> None:
    before = opened.seen()
    opened.click("#pins button:visible >> nth=0")
    rank = opened.page.evaluate("linescope.now.chosen.rank")
    finding = places(study.clearance)[rank - 1]
    assert opened.text("#verdict") == " ".join(opened.page.evaluate("linescope.now.chosen.text").split())
    point = np.array(opened.page.evaluate("linescope.now.chosen.point"))
    gap = np.array(opened.page.evaluate("linescope.now.chosen.nearest")) - point
    assert np.linalg.norm(gap) == pytest.approx(abs(finding.distance), abs=0.01)
    area = opened.page.evaluate("linescope.area()")
    for name in ("point", "nearest"):
        x, y = opened.on_page(f"linescope.now.chosen.{name}")
        assert area["x"] < x < area["x"] + area["w"] and area["y"] < y < area["y"] + area["h"]
    assert changed(before, opened.seen()) > 0.05
    opened.key("Escape")
    assert opened.now("chosen") is None
    assert opened.now("view") == "whole"


def test_captions_of_before_a_change_are_quiet_and_say_so(opened: Opened) -> None:
    """As the live page marks them: captions of worst places, of bodies and of the chosen place's gap."""
    opened.page.evaluate(
        "(() => { linescope.model.words.old = 'of before'; linescope.model.words['was-so'] = 'Before: { $text }';"
        "for (const one of [...linescope.model.data.worst, ...linescope.model.states]) one.old = true; })()"
    )
    for steps in ("linescope.choose('walker')", "linescope.choose('fall', false); linescope.scrub(1)",
                  "linescope.look(linescope.model.data.worst[0])"):
        opened.page.evaluate(f"(() => {{ {steps}; }})()")
        opened.rest()
        said, alarm = opened.page.evaluate(
            "(() => { const { pen } = linescope, said = [], say = pen.say;"
            "pen.say = function (text, x, y, size, look) { said.push([text, look?.colour ?? '']);"
            "return say.call(this, text, x, y, size, look); }; linescope.paint(); delete pen.say;"
            "return [said, pen.colours.alarm]; })()"
        )
        assert "of before" in " ".join(text for text, _ in said), steps
        assert [text for text, colour in said if colour == alarm] == []
        assert opened.text("#verdict").startswith("Before: ")
    opened.page.evaluate(
        "for (const one of [...linescope.model.data.worst, ...linescope.model.states]) one.old = false"
    )


def test_layers_change_line_and_legend(opened: Opened) -> None:
    pictures, legends = [], []
    for key, name in (("g", "left"), ("t", "tension"), ("l", "depth"), ("c", "touch")):
        opened.key(key)
        assert opened.now("layer") == name
        assert opened.page.locator(f"#layers input[value={name}]").is_checked()
        pictures.append(opened.seen())
        legends.append(opened.text("#legend"))
    assert len(set(legends)) == len(legends)
    assert changed(pictures[0], pictures[1]) > 0.005
    # Bars of tension: 0.8 m for each kN, upright on the line.
    opened.key("t")
    run, pull = opened.page.evaluate(
        "(() => { const all = linescope.stage.bars.places.array;"
        "return [[...all.slice(0, 6)], linescope.shape.pulls.main[0]]; })()"
    )
    assert run[5] - run[2] == pytest.approx(0.8 * pull / 1000.0, rel=1e-4)


def test_the_lens_shows_true_size_and_leaves_when_the_picture_is_as_near(opened: Opened) -> None:
    assert opened.page.locator("#lens").is_visible()
    size = opened.page.locator("#lens").bounding_box()["width"]
    metre = opened.page.evaluate(
        "(() => { const p = linescope.lens.at, a = linescope.camera.position.clone().set(...p), b = a.clone();"
        "b.x += 1; a.project(linescope.lens.camera); b.project(linescope.lens.camera);"
        f"return (b.x - a.x) / 2 * {size}; }})()"
    )
    assert metre == pytest.approx(size / 5.0, rel=0.02)  # 5 m across.
    opened.key("w")
    assert opened.page.locator("#lens").is_hidden()
    opened.key("o")
    assert opened.page.locator("#lens").is_visible()


def test_a_loop_and_a_tape_tell_their_figures_when_clicked(opened: Opened) -> None:
    opened.key("w")
    x, y = opened.on_page("linescope.shape.tapes[8]")
    opened.page.mouse.click(x, y)
    opened.rest()
    assert opened.now("picked") == {"kind": "tape", "index": 8}
    assert "9" in opened.page.locator("#picked").text_content()
    per = opened.page.evaluate("(linescope.shape.backup.length - 1) / linescope.model.data.bays")
    x, y = opened.on_page(f"linescope.shape.backup[{round(9.5 * per)}]")
    opened.page.mouse.click(x, y)
    opened.rest()
    assert opened.now("picked") == {"kind": "loop", "index": 9}
    assert "kN" in opened.page.locator("#picked").text_content()


def test_the_line_is_seen_from_either_end_from_the_side_and_from_above(opened: Opened) -> None:
    """By the list and by its key; from anchor A the eye is behind A, from above it is above all."""
    anchors = np.array(opened.page.evaluate("linescope.model.data.anchors.map(each => each.p)"))
    for name in ("side", "a", "b", "above"):
        opened.page.select_option("#from", name)
        opened.rest()
        assert opened.now("view") == name
        x, y, z = opened.eye()
        if name == "side":
            assert y < -20.0 and anchors[0, 0] < x < anchors[1, 0]
        if name in "ab":
            assert (x < anchors[0, 0] - 5.0) if name == "a" else (x > anchors[1, 0] + 5.0)
        if name == "above":
            assert z > 20.0
        area = opened.page.evaluate("linescope.area()")
        for k in (0, 1):
            u, v = opened.on_page(f"linescope.model.data.anchors[{k}].p")
            assert area["x"] < u < area["x"] + area["w"] and area["y"] < v < area["y"] + area["h"]
    opened.drag((720, 560), (760, 580))
    assert opened.page.locator("#from").input_value() == ""
    opened.key("o")
    assert opened.page.locator("#from").input_value() == "whole"
    opened.key("f")
    assert opened.now("view") == "a"


def test_heights_are_stretched_and_said_to_be(opened: Opened) -> None:
    """Three times as high against as long as before, on the page's pixels."""
    def slope() -> float:
        (ax, ay), (bx, by) = (opened.on_page(f"[{x}, 0, {z}]") for x, z in ((10.0, 0.0), (10.0, -2.0)))
        (cx, cy), (dx, dy) = (opened.on_page(f"[{x}, 0, 0]") for x in (10.0, 12.0))
        return float(np.hypot(bx - ax, by - ay) / np.hypot(dx - cx, dy - cy))

    opened.page.select_option("#from", "side")
    opened.rest()
    before = slope()
    opened.click("#tall")
    assert slope() / before == pytest.approx(3.0, rel=0.02)
    assert "3 times as high" in opened.text("#legend")
    opened.key("e")
    assert slope() / before == pytest.approx(1.0, rel=0.02)
    assert "3 times as high" not in opened.text("#legend")


def test_the_strip_is_a_chart_of_loops_in_the_layer_of_their_depth(opened: Opened) -> None:
    opened.key("1")
    opened.key("l")
    boxes = opened.page.evaluate(
        "(() => { const g = linescope.stripPen.context, found = [], fill = g.fillRect;"
        "g.fillRect = function (...box) { found.push(box); return fill.apply(this, box); };"
        "linescope.footer(); delete g.fillRect; return found; })()"
    )
    depths = np.array(opened.page.evaluate("linescope.shape.depths"))
    bars = np.array([box for box in boxes if box[1] == 18])
    assert len(bars) == np.isfinite(depths).sum()
    assert bars[:, 3] / bars[:, 3].max() == pytest.approx(depths / depths.max(), abs=1e-3)


def test_dark_follows_the_machine_until_the_reader_chooses(browser: Any, file: Path) -> None:
    opened = Opened(browser, file, DESK, color_scheme="dark")
    theme = "document.documentElement.dataset.theme"
    assert opened.page.evaluate(theme) == "dark"
    pixels = np.asarray(opened.seen(), dtype=int)
    assert np.median(pixels) < 60
    assert (np.abs(pixels - DARK.rgb("main")).max(axis=2) < 24).sum() > 300
    opened.page.emulate_media(color_scheme="light")
    opened.rest()
    assert opened.page.evaluate(theme) == "light"
    opened.click("#dark")
    assert opened.page.evaluate(theme) == "dark"
    opened.page.emulate_media(color_scheme="dark")
    opened.key("d")
    assert opened.page.evaluate(theme) == "light"
    assert np.median(np.asarray(opened.seen(), dtype=int)) > 200
    opened.page.reload()
    opened.page.wait_for_selector("html[data-ready]")
    assert opened.page.evaluate(theme) == "light"
    assert opened.wrong == []
    opened.context.close()


def test_double_click_stands_on_the_ground_and_looks(opened: Opened) -> None:
    x, y = opened.on_page("[1 - 2, 1, 0]")
    opened.page.mouse.dblclick(x, y)
    opened.rest()
    assert opened.now("view") == "own"
    assert opened.page.evaluate("linescope.camera.fov") == pytest.approx(55.0)


def test_nothing_is_drawn_at_rest(opened: Opened) -> None:
    opened.seen()
    drawn = opened.page.evaluate("linescope.stage.drawn")
    opened.page.wait_for_timeout(400)
    assert opened.page.evaluate("linescope.stage.drawn") == drawn


def test_plain_mode_shows_the_same_line_without_the_renderer(opened: Opened) -> None:
    opened.seen()
    drawn = opened.page.evaluate("linescope.stage.drawn")
    opened.click("#plain")
    opened.key("ArrowRight")
    assert opened.page.evaluate("linescope.stage.drawn") == drawn
    pixels = np.asarray(opened.seen(), dtype=int)
    for role in ("main", "ground_edge"):
        assert (np.abs(pixels - LIGHT.rgb(role)).max(axis=2) < 24).sum() > 500, role


@pytest.mark.parametrize("opened", rest_is_long([DESK, PHONE], DESK), indirect=True, ids=str)
def test_a_machine_without_webgl_has_the_plain_picture(browser: Any, file: Path, opened: Opened) -> None:
    none = (
        "const get = HTMLCanvasElement.prototype.getContext;"
        "HTMLCanvasElement.prototype.getContext = function (kind, ...more) {"
        "return /webgl/.test(kind) ? null : get.call(this, kind, ...more); };"
    )
    plain = Opened(browser, file, opened.size, before=none)
    assert plain.now("plain")
    assert plain.text("#verdict") == opened.text("#verdict")
    pixels = np.asarray(plain.seen(), dtype=int)
    assert (np.abs(pixels - LIGHT.rgb("main")).max(axis=2) < 24).sum() > 300
    plain.page.keyboard.press("3")
    assert plain.now("state") == "fall"
    plain.context.close()


def test_faces_of_the_lines_are_painted_bay_by_bay(opened: Opened) -> None:
    """The class of each bay's tension, against the colours that stand at the ribbons' corners."""
    opened.key("t")
    pieces, places, colours = opened.page.evaluate(
        "(() => { const { ribbons } = linescope.stage, { places, colours } = ribbons;"
        "return [ribbons.geometry.drawRange.count / 36, [...places.array], [...colours.array]]; })()"
    )
    run, pulls, layer = opened.page.evaluate(
        "[linescope.shape.main[0], linescope.shape.pulls.main, linescope.model.data.layers.tension]"
    )
    corners = np.array(places).reshape(-1, 2, 8, 3)[: int(pieces)]
    first = int(np.argmin(np.diff(corners[:, 0, :, 0].mean(axis=1)))) + 1  # The backup ends at B, the main begins at A.
    start, end = corners[first:, 0].mean(axis=1), corners[first:, 1].mean(axis=1)
    points, per = np.array(run), (len(run) - 1) // len(pulls)
    begin, stop = (np.abs(points[:, None, 0] - each[:, 0]).argmin(axis=0) for each in (start, end))
    assert start[:, :2] == pytest.approx(points[begin, :2], abs=1e-4)
    assert (start[:, 2] > points[begin, 2]).all()  # Lifted, so that the backup shows below it.
    assert begin[0] == 0 and stop[-1] == len(run) - 1 and (begin[1:] == stop[:-1]).all()
    of_bay = np.searchsorted(layer["scale"], pulls, side="right")
    shades = np.array([[int(one["colour"][k : k + 2], 16) for k in (1, 3, 5)] for one in layer["legend"]]) / 255.0
    # IEC 61966-2-1, sRGB to linear.
    linear = np.where(shades <= 0.04045, shades / 12.92, ((shades + 0.055) / 1.055) ** 2.4)
    wanted = np.repeat(linear[of_bay], per, axis=0)
    drawn = np.array(colours).reshape(-1, 16, 3)[first : int(pieces)]
    for one, a, b in zip(drawn, begin, stop, strict=True):  # A piece may stand for several, all of one colour.
        assert one == pytest.approx(np.broadcast_to(wanted[a], (16, 3)), abs=2e-3)
        assert (wanted[a:b] == wanted[a]).all()
    opened.key("g")
    assert not opened.page.evaluate("linescope.stage.ribbons.object.visible")
    assert opened.page.evaluate("linescope.stage.main.object.visible")


@phone
def test_every_stretch_that_a_fall_reaches_has_its_words_on_a_telephone(opened: Opened) -> None:
    reached = opened.page.evaluate(
        "linescope.model.data.noFall.filter(zone => zone.grade === 'reached').map(zone => zone.short)"
    )
    said = opened.page.evaluate(
        "(() => { const pen = linescope.stripPen, said = [], say = pen.say; pen.heldFrom = '';"  # Nothing kept.
        "pen.say = function (text, ...more) {"
        "said.push(text); return say.call(this, text, ...more); }; linescope.footer(); delete pen.say;"
        "return said; })()"
    )
    assert reached and set(reached) <= set(said)


@pytest.mark.parametrize("opened", rest_is_long([DESK, TABLET, PHONE], DESK), indirect=True, ids=str)
def test_axe_finds_no_serious_fault(opened: Opened) -> None:
    """axe-core as its wheel for Playwright ships it, all of its rules, impact serious and critical."""
    opened.page.evaluate(AXE.read_text(encoding="utf-8"))
    for drawer in ("", "answers", "rig", "tapes", "measured", "dark", "measured", "tapes", "rig", "answers"):
        if drawer == "dark":
            opened.click("#drawer-measured .close")
            opened.click("#dark")
        elif drawer:
            opened.click(f"[data-drawer-of={drawer}]")
        found = opened.page.evaluate("() => axe.run(document, { resultTypes: ['violations'] })")
        serious = [
            (each["id"], [node["html"][:120] for node in each["nodes"]][:3])
            for each in found["violations"] if each["impact"] in ("serious", "critical")
        ]
        assert serious == [], drawer
    opened.page.keyboard.press("d")


def test_readings_are_typed_on_a_telephone_and_the_program_takes_them(
    browser: Any, file: Path, study: Study, tmp_path: Path
) -> None:
    """By touch alone at 390 x 844: kept on the device, refused where they cannot be, given out as the table that
    `linescope readings --csv` reads and as text for the scene file."""
    opened = Opened(browser, file, PHONE)
    page, keep = opened.page, "#reading [type=submit]"
    page.tap("[data-drawer-of=measured]")
    for kind, fields in (
        ("tension", {"value": "2,4"}), ("loop", {"value": "38.5", "number": "3"}),
        ("period", {"value": "21.3", "weight": "78", "at": "10"}),
    ):
        page.select_option("[name=what]", kind)
        for name, text in fields.items():
            page.fill(f"#reading [name={name}]", text)
        page.tap(keep)
        assert page.locator("#told").inner_text() == "Kept on this device."
    page.select_option("[name=what]", "bay")
    page.fill("#reading [name=value]", "3.04")
    page.fill("#reading [name=number]", "99")
    page.tap(keep)
    bays = len(study.planned.layout.tapes) + 1
    assert f"{bays} bays" in page.locator("#told").inner_text() and page.locator("#taken li").count() == 3
    assert page.get_attribute("#reading [name=number]", "aria-invalid") == "true"
    small = page.evaluate(
        "[...document.querySelectorAll('#reading :is(input, select, button, summary), #taken button, #give button')]"
        ".filter(e => e.offsetParent && e.getBoundingClientRect().height < 44).map(e => e.outerHTML)"
    )
    assert small == []
    assert page.evaluate("document.documentElement.scrollWidth") == PHONE[0]
    page.reload()
    page.wait_for_selector("html[data-ready]", state="attached")
    page.tap("[data-drawer-of=measured]")
    assert page.locator("#taken li").count() == 3
    table = tmp_path / "readings.csv"
    table.write_text(page.input_value("#given"), encoding="utf-8")
    found = readings_from_csv(table, study.rig.span)
    assert [(each.what, each.value, each.number, each.mass) for each in found] == [
        ("tension", 2400.0, 0, 0.0), ("loop", pytest.approx(0.385), 3, 0.0), ("period", pytest.approx(2.13), 0, 78.0),
    ]
    assert found[2].at == pytest.approx(10.0) and all(each.taken and each.assumed for each in found)
    page.tap("[data-give=toml]")
    assert len(tomllib.loads(page.input_value("#given"))["readings"]) == 3
    page.tap("#taken li:first-child button")
    assert page.locator("#taken li").count() == 2
    assert opened.wrong == [] and len(opened.asked) == 2  # Nothing is sent anywhere.
    opened.context.close()


@sizes
def test_what_is_pressed_is_large_enough(opened: Opened) -> None:
    """44 px: W3C, Web Content Accessibility Guidelines 2.2, success criterion 2.5.5, target size (enhanced)."""
    small = opened.page.evaluate(
        "[...document.querySelectorAll('nav button, #views button, #layers label, #states button, #play, #speed')]"
        ".filter(e => e.offsetParent && e.getBoundingClientRect().height < 44).map(e => e.id || e.textContent)"
    )
    assert small == []


@pytest.mark.parametrize("size", [DESK, PHONE], ids=["desk", "phone"])
def test_everything_is_there_in_words_without_scripts(browser: Any, file: Path, size: tuple[int, int]) -> None:
    context = browser.new_context(
        java_script_enabled=False, offline=True, viewport={"width": size[0], "height": size[1]}
    )
    page = context.new_page()
    page.goto(file.as_uri())
    assert page.locator("table").count() >= 8
    assert page.locator("h1").inner_text()
    assert page.get_by_text("Before you use it").is_visible()
    assert page.get_by_text("The picture needs JavaScript").is_visible()
    context.close()

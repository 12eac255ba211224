"""The page served by a process of its own, and a headless Chromium to look at it."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

CHROMIUM = os.environ.get("LINESCOPE_CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
MISSING = "Chromium or playwright is missing: NO BROWSER TEST OF THE PAGE RAN"
LONGEST = 180.0
"""What is to happen happens within this, on a machine that does other work besides.  [s]"""
FLAGS = ["--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"]
LAUNCH = (
    "import sys; from linescope.app import serve;"
    "serve(sys.argv[1], open_browser=False, ready=lambda url: print(url, flush=True))"
)


@contextmanager
def serving(scene: Path) -> Iterator[tuple[str, subprocess.Popen[str]]]:
    """Serve a scene; gives its address with the key, and the process."""
    child = subprocess.Popen([sys.executable, "-c", LAUNCH, str(scene)], stdout=subprocess.PIPE, text=True)
    try:
        assert child.stdout is not None
        url = child.stdout.readline().strip()
        assert url.startswith("http://127.0.0.1:"), url
        yield url, child
    finally:
        child.terminate()
        try:
            child.wait(10)
        except subprocess.TimeoutExpired:
            child.kill()
            child.wait()
        if child.stdout is not None:
            child.stdout.close()


@contextmanager
def browsing() -> Iterator[Any]:
    """A headless Chromium; skips loudly when there is none."""
    if CHROMIUM is None:
        pytest.skip(MISSING)
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        pytest.skip(MISSING)
    with sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield browser
        browser.close()


class Seen:
    """A tab on the page, with what the tests do on it."""

    def __init__(self, tab: Any, url: str) -> None:
        self.tab = tab
        self.problems: list[str] = []
        self.asked: list[str] = []
        tab.on("pageerror", lambda error: self.problems.append(str(error)))
        tab.on("console", lambda m: self.problems.append(m.text) if m.type in ("error", "warning") else None)
        tab.on("request", lambda request: self.asked.append(request.url))
        tab.set_default_timeout(LONGEST * 1000)
        tab.goto(url)
        tab.wait_for_selector("html[data-ready]")
        self.rest()

    def until(self, condition: str, limit: float = LONGEST) -> None:
        """Wait for a JavaScript condition; asked from outside, since its policy lets nothing be evaluated."""
        end = time.monotonic() + limit
        while not self.tab.evaluate(f"() => {{ try {{ return Boolean({condition}); }} catch {{ return false; }} }}"):
            assert time.monotonic() < end, condition
            self.tab.wait_for_timeout(50)

    def rest(self) -> None:
        """Wait until nothing is asked of the program and the picture was painted."""
        for _ in range(2):  # A painting may ask for more, such as the figures of what was picked.
            self.until("(document.documentElement.dataset.busy ?? '0') === '0' && !(window.linescope?.asked)")
            self.tab.wait_for_timeout(120)

    def known(self, stage: str = "all") -> None:
        """Wait until what takes longer has come for the plan that is edited."""
        stages = ["ground", "first", "exact", "all"]
        later = stages[stages.index(stage):]
        self.until(
            "(() => { const live = window.linescopeLive, whole = live.pieces[live.status.active].whole;"
            f" return whole.plan === live.status.plan && {later}.includes(whole.stage); }})()",
            4.0 * LONGEST,
        )
        self.rest()

    def drawer(self, name: str) -> None:
        """Open a drawer."""
        self.tab.locator(f'[data-drawer-of="{name}"]').click()
        self.rest()

    def shut(self) -> None:
        """Close the drawer that is open."""
        self.tab.locator("aside:not([hidden]) > .close").click()
        self.rest()

    def box(self, path: str) -> Any:
        """The box of a value in the rig's sentences, or in the form below them."""
        return self.tab.locator(f'#drawer-rig [data-path="{path}"]').first

    def type(self, path: str, text: str) -> None:
        """Type into a box of the open drawer and press Enter."""
        self.box(path).fill(text)
        self.box(path).press("Enter")
        self.rest()

    def press(self, name: str) -> None:
        """Press a button by its name."""
        self.tab.get_by_role("button", name=name, exact=True).locator("visible=true").first.click()
        self.rest()

    def figure(self, key: str) -> str:
        """A figure of the answers."""
        rows = self.tab.evaluate("() => linescopeLive.answers.rows.map((row) => [row.key, row.value])")
        return str(dict(rows)[key])

    def now(self, name: str) -> Any:
        """What the picture shows."""
        return self.tab.evaluate(f"() => linescope.now.{name}")

    def point(self, what: str) -> tuple[float, float]:
        """Where a point of the picture is on the page: an expression of `linescope.shape`."""
        x, y, _ = self.tab.evaluate(f"() => linescope.project(linescope.shape.{what})")
        return x, y

    def drag(self, start: tuple[float, float], by: tuple[float, float], steps: int = 8) -> None:
        """Drag with the mouse, as slowly as a hand."""
        self.tab.mouse.move(*start)
        self.tab.mouse.down()
        for k in range(1, steps + 1):
            self.tab.mouse.move(start[0] + by[0] * k / steps, start[1] + by[1] * k / steps)
            self.tab.wait_for_timeout(60)
        self.rest()
        self.tab.mouse.up()
        self.rest()

    def pixels(self) -> bytes:
        """The picture, as PNG."""
        return bytes(self.tab.screenshot())

    def toml(self, scene: Path, want: str, limit: float = LONGEST) -> None:
        """Wait until a file holds a text."""
        end = time.monotonic() + limit
        while not scene.exists() or want not in scene.read_text(encoding="utf-8"):
            assert time.monotonic() < end, f"{want!r} never came into {scene.name}"
            time.sleep(0.05)

"""The page served by a process of its own or by one of many pages, and a headless Chromium to look at it."""

from __future__ import annotations

import json
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
FLAGS = [
    "--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader",
    # Where a processor draws in place of a graphics card, what is no WebGL takes it half the time without OpenGL.
    "--disable-gpu-compositing",
]
READ_BACK = "GPU stall due to ReadPixels"
"""What the browser says of itself then: it fetches the WebGL picture.  No module of the viewer reads pixels."""
ROOT = Path(__file__).parents[3]
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


class Pages:
    """One process for many pages, each with a session of its own: see `tests.browser.app.pages`.

    Parameters
    ----------
    falls : Path
        Where falls in time are kept that any process computed in this run.
    """

    def __init__(self, falls: Path) -> None:
        self._child = subprocess.Popen(
            [sys.executable, "-m", "tests.browser.app.pages", str(falls)], cwd=ROOT, text=True,
            stdin=subprocess.PIPE, stdout=subprocess.PIPE,
        )

    @contextmanager
    def serving(self, scene: Path, upto: Path) -> Iterator[str]:
        """Serve a scene, and what takes longer up to the stage that a file holds; gives the address with the key."""
        url = self._asked(str(scene), str(upto))
        assert url.startswith("http://127.0.0.1:"), url
        try:
            yield url
        finally:
            assert self._asked(url) == "ended"

    def _asked(self, *what: str) -> str:
        assert self._child.stdin is not None and self._child.stdout is not None
        self._child.stdin.write(json.dumps(what) + "\n")
        self._child.stdin.flush()
        return self._child.stdout.readline().strip()

    def close(self) -> None:
        """End the process."""
        for pipe in (self._child.stdin, self._child.stdout):
            assert pipe is not None
            pipe.close()
        self._child.terminate()
        self._child.wait()


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


def said(message: Any, *types: str) -> bool:
    """Whether a message of the console, of these types or of any, is one of the page."""
    return (not types or message.type in types) and READ_BACK not in message.text


class Seen:
    """A tab on the page, with what the tests do on it.

    Parameters
    ----------
    tab : playwright.sync_api.Page
    url : str
    upto : Path, optional
        Of a page whose longer answers come as far as this file says.
    """

    def __init__(self, tab: Any, url: str, upto: Path | None = None) -> None:
        self.tab, self._upto = tab, upto
        self.problems: list[str] = []
        self.asked: list[str] = []
        tab.on("pageerror", lambda error: self.problems.append(str(error)))
        tab.on("console", lambda m: self.problems.append(m.text) if said(m, "error", "warning") else None)
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
            self.tab.evaluate("() => new Promise((on) => requestAnimationFrame(() => requestAnimationFrame(on)))")

    def known(self, stage: str = "all") -> None:
        """Wait until what takes longer has come for the plan that is edited."""
        if self._upto is not None:
            self._upto.write_text(stage, encoding="utf-8")
        stages = ["ground", "first", "exact", "all"]
        later = stages[stages.index(stage):]
        self.until(
            "(() => { const live = window.linescopeLive, whole = live.pieces[live.status.active].whole;"
            f" return whole.plan === live.status.plan && {later}.includes(whole.stage); }})()",
            4.0 * LONGEST,
        )
        if self._upto is not None:  # Of the next plan nothing comes before it is waited for.
            self._upto.write_text("", encoding="utf-8")
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
        """The picture as fine as it is at rest, as PNG."""
        self.until("!window.linescope?.rough")
        return bytes(self.tab.screenshot())

    def toml(self, scene: Path, want: str, limit: float = LONGEST) -> None:
        """Wait until a file holds a text."""
        end = time.monotonic() + limit
        while not scene.exists() or want not in scene.read_text(encoding="utf-8"):
            assert time.monotonic() < end, f"{want!r} never came into {scene.name}"
            time.sleep(0.05)

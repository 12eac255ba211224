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
        tab.wait_for_selector(".ls-now")
        self.rest()

    def rest(self) -> None:
        """Wait until nothing is asked of the server and the picture was drawn."""
        self.tab.wait_for_function(
            "() => document.querySelector('.ls-page').dataset.busy === '0' && window.linescopeLog.length > 0"
        )
        self.tab.wait_for_timeout(120)

    def box(self, path: str) -> Any:
        """The input of a field."""
        return self.tab.locator(
            f'[data-path="{path}"] > input[type=text], [data-path="{path}"] > select, [data-path="{path}"] > textarea'
        )

    def type(self, path: str, text: str) -> None:
        """Type into a field and press Enter."""
        self.box(path).fill(text)
        self.box(path).press("Enter")
        self.rest()

    def press(self, name: str) -> None:
        """Press a button by its name."""
        self.tab.get_by_role("button", name=name, exact=True).click()
        self.rest()

    def figure(self, key: str) -> str:
        """A figure of the answers, without what it was before."""
        cell = self.tab.locator(f'tr[data-key="{key}"] td')
        return str(cell.evaluate("cell => cell.firstChild.textContent")).strip()

    def until(self, condition: str, limit: float = LONGEST) -> None:
        """Wait for a JavaScript condition."""
        body = f"() => {{ try {{ return {condition}; }} catch {{ return false; }} }}"
        self.tab.wait_for_function(body, timeout=limit * 1000)

    def pixels(self, index: int = 0) -> bytes:
        """The canvas as a PNG data address."""
        return str(self.tab.locator("canvas").nth(index).evaluate("c => c.toDataURL()")).encode()

    def toml(self, scene: Path, want: str, limit: float = LONGEST) -> None:
        """Wait until a file holds a text."""
        end = time.monotonic() + limit
        while want not in scene.read_text(encoding="utf-8"):
            assert time.monotonic() < end, f"{want!r} never came into {scene.name}"
            time.sleep(0.05)

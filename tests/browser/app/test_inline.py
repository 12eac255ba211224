"""The page inside a notebook: a frame in a page of another port, served by a thread of this process."""

from __future__ import annotations

import threading
from collections.abc import Iterator
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from typing import Any

import pytest

from linescope.app import inline
from linescope.errors import SceneError
from tests.app.rigs import shipped, written


@pytest.fixture
def notebook() -> Iterator[Any]:
    """A page like a notebook's, on another port; its `html` is what a cell shows."""

    class Page(BaseHTTPRequestHandler):
        html = ""

        def do_GET(self) -> None:
            self.send_response(200)
            self.send_header("Content-Type", "text/html")
            self.end_headers()
            self.wfile.write(f"<!doctype html><title>notebook</title>{Page.html}".encode())

        def log_message(self, format: str, *args: Any) -> None:
            """Say nothing."""

    server = ThreadingHTTPServer(("localhost", 0), Page)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    yield Page, f"http://localhost:{server.server_port}/"
    server.shutdown()
    server.server_close()
    thread.join()


def test_a_notebook_shows_the_stage_in_a_frame(browser: Any, notebook: Any, tmp_path: Path) -> None:
    page, address = notebook
    shown = inline(shipped(tmp_path, "larkspur_ledge"))
    try:
        page.html = shown._repr_html_()
        tab = browser.new_page(viewport={"width": 1300, "height": 900})
        tab.goto(address)
        frame = tab.frame_locator("iframe")
        frame.locator(".ls-now").wait_for()
        assert "Larkspur Ledge" in frame.locator("h1").inner_text()
        cell = frame.locator('tr[data-key="tension_a"] td')
        before = cell.inner_text()
        box = frame.locator('[data-path="main.tension"] > input[type=text]')
        box.fill("4.4 kN")
        box.press("Enter")
        frame.locator('tr[data-key="tension_a"] small').wait_for()
        assert cell.inner_text() != before
        tab.close()
    finally:
        shown.close()


def test_a_wrong_file_is_refused_at_once(tmp_path: Path) -> None:
    with pytest.raises(SceneError, match="not TOML"):
        inline(written(tmp_path, "title = "))

"""Fixtures: one server and tab for each test."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest

from tests.app.rigs import shipped
from tests.browser.app.served import Seen, serving


@pytest.fixture
def open_scene(browser: Any, built: Any, tmp_path: Path) -> Iterator[Callable[..., Seen]]:
    with ExitStack() as stack:

        def opened(scene: Path, **context: Any) -> Seen:
            url, _ = stack.enter_context(serving(scene))
            settings = {"viewport": {"width": 1440, "height": 900}, "reduced_motion": "reduce", **context}
            tabs = browser.new_context(**settings)
            stack.callback(tabs.close)
            return Seen(tabs.new_page(), url)

        yield opened


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    return shipped(tmp_path, "larkspur_ledge")


@pytest.fixture
def seen(open_scene: Callable[..., Seen], scene: Path) -> Seen:
    return open_scene(scene)

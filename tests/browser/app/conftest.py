"""Fixtures: one session and tab for each test."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack
from pathlib import Path
from typing import Any

import pytest

from tests.app.rigs import shipped
from tests.browser.app.served import Pages, Seen, serving


@pytest.fixture(scope="session")
def pages(built: Any, falls_in_time_folder: Path) -> Iterator[Pages]:
    """One process that serves the pages of all tests of a process."""
    found = Pages(falls_in_time_folder)
    yield found
    found.close()


@pytest.fixture
def open_scene(browser: Any, pages: Pages, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[..., Seen]]:
    """Opens a scene in a tab; `alone` served as a user has it, by processes of its own that compute all from nothing.

    Else what takes longer comes as far as the test waits for it, and no further.
    """
    with ExitStack() as stack:

        def opened(scene: Path, *, alone: bool = False, **context: Any) -> Seen:
            upto = None
            if alone:
                url, _ = stack.enter_context(serving(scene))
            else:
                upto = tmp_path_factory.mktemp("upto") / "stage"
                upto.touch()
                url = stack.enter_context(pages.serving(scene, upto))
            settings = {"viewport": {"width": 1440, "height": 900}, "reduced_motion": "reduce", **context}
            tabs = browser.new_context(**settings)
            stack.callback(tabs.close)
            return Seen(tabs.new_page(), url, upto)

        yield opened


@pytest.fixture
def scene(tmp_path: Path) -> Path:
    return shipped(tmp_path, "larkspur_ledge")


@pytest.fixture
def seen(open_scene: Callable[..., Seen], scene: Path) -> Seen:
    return open_scene(scene)

"""Browser tests drive a second program that answers in its own time: one that fails is tried again, loudly."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.browser.app.served import browsing

HERE = Path(__file__).parent
TRIES_AGAIN = 2


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """One browser for all tests of a process: two engines in one would not start."""
    with browsing() as found:
        yield found


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if HERE in item.path.parents:
            item.add_marker(pytest.mark.flaky(reruns=TRIES_AGAIN, reruns_delay=2))

"""Browser tests drive a second program that answers in its own time: they wait for what is to happen, and long."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest

from tests.browser.app.served import browsing


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """One browser for all tests of a process: two engines in one would not start."""
    with browsing() as found:
        yield found


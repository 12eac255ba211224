"""Browser tests drive a second program that answers in its own time: one that fails is tried again, loudly."""

from __future__ import annotations

from pathlib import Path

import pytest

HERE = Path(__file__).parent
TRIES_AGAIN = 2


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    for item in items:
        if HERE in item.path.parents:
            item.add_marker(pytest.mark.flaky(reruns=TRIES_AGAIN, reruns_delay=2))

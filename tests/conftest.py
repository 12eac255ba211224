"""What every test may use."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

DATA = Path(__file__).parent / "data"


@pytest.fixture(scope="session")
def published() -> dict[str, dict[str, Any]]:
    """Published check values by id, from `tests/data/checks.toml`."""
    entries = tomllib.loads((DATA / "checks.toml").read_text(encoding="utf-8"))["check"]
    return {entry["id"]: entry for entry in entries}

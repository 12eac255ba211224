"""What tests of the viewer share: its sources with all that they need, installed once."""

from __future__ import annotations

from pathlib import Path

import pytest

from linescope.viewer import build


@pytest.fixture(scope="session")
def workshop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the viewer's room with its packages and the type checker."""
    try:
        return build.workshop(tmp_path_factory.mktemp("viewer"), with_checker=True)
    except build.NotBuiltError as error:
        pytest.skip(f"NO TEST OF THE VIEWER'S JAVASCRIPT RAN: {error}")

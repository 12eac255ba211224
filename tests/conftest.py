"""What every test may use."""

from __future__ import annotations

import importlib
import os
import warnings
from collections.abc import Callable, Generator, Iterator
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from hypothesis import HealthCheck, settings

from linescope.preferences import VARIABLE
from tests.validation import record

os.environ[VARIABLE] = ""  # Whoever runs the tests may have a file of their own.

# A busy machine makes no test fail.
settings.register_profile("any machine", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("any machine")

ROWS_MADE = pytest.StashKey[record.Agrees]()
TESTS = Path(__file__).parent
LIGHT = {
    "broken", "rig", "scenefile", "taping", "terrain", "webbing", "words", "test_docstrings.py", "test_layers.py",
    "test_names.py", "test_spoken.py", "test_units.py",
}
"""Folders and files of many tests that take little each, and that solve next to nothing."""


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Light tests last, where processes share the work.

    Of two processes the second begins with them, while the first one compiles the loops that both need: so they are
    compiled once, not in each of them.
    """
    if "PYTEST_XDIST_WORKER" in os.environ:
        items.sort(key=lambda item: item.path.is_relative_to(TESTS) and item.path.relative_to(TESTS).parts[0] in LIGHT)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: Any) -> Any:
    """Each process gets tests that stand beside each other, so that what a file's tests share is computed once."""
    if config.getoption("dist") != "load":  # Something else was asked for.
        return None
    from xdist.scheduler import WorkStealingScheduling

    return WorkStealingScheduling(config, log)


@pytest.fixture(scope="session")
def published() -> dict[str, dict[str, Any]]:
    """Published check values by id, from `tests/data/checks.toml`."""
    return record.published()


@pytest.fixture(scope="session")
def falls_in_time_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Where falls in time are kept that any process of this run computed."""
    base = tmp_path_factory.getbasetemp()
    folder = (base.parent if "PYTEST_XDIST_WORKER" in os.environ else base) / "falls-in-time"
    folder.mkdir(exist_ok=True)
    return folder


@pytest.fixture(scope="session", autouse=True)
def _falls_in_time_once(falls_in_time_folder: Path) -> Iterator[None]:
    """Falls in time of a line are computed once for all tests that draw or print it: see `tests.once`."""
    from linescope.events import deeper
    from tests import once

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(deeper, "find_deeper", once.falls_in_time(falls_in_time_folder))
        patch.setattr(once, "folder", falls_in_time_folder)
        yield


@pytest.fixture(scope="session")
def built() -> Any:
    """The viewer, built with this environment once."""
    from linescope.viewer import bundle, folder, letters
    from linescope.viewer.build import NotBuiltError, build

    if not folder().is_dir():
        try:
            build(folder())
        except NotBuiltError as error:
            pytest.skip(f"NO TEST OF THE VIEWER RAN: {error}")
        letters.built.cache_clear()  # Something may have been drawn before.
    return bundle()


@pytest.fixture
def agrees(request: pytest.FixtureRequest) -> record.Agrees:
    """Asserts that our figure agrees with one from outside, and keeps the row: see `tests.validation.record`."""
    made = record.Agrees(request.node.nodeid, getattr(request.module, "OUTSIDE", {}))
    request.node.stash[ROWS_MADE] = made
    return made


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call(item: pytest.Item) -> Generator[None, object, object]:
    """A test with outside checks that passed must have made just its rows of the validation page."""
    result = yield
    made = item.stash.get(ROWS_MADE, None)
    if made is None:
        return result
    recording = item.config.stash.get(record.RECORDING, None)
    if recording is not None:
        recording.extend(made.rows)
    else:
        difference = record.changed(made.rows, [row for row in record.load() if row.test == made.test])
        if difference:
            pytest.fail(f"the validation page is out of date: {difference}; run {record.COMMAND}", pytrace=False)
    return result


@pytest.fixture
def peer(request: pytest.FixtureRequest) -> Callable[[str, str], ModuleType]:
    """`peer(module, untested)` imports another program; where it is missing the test is skipped and says what is lost.

    With LINESCOPE_PEERS=required, as in CI, a missing peer fails.
    """
    assert request.node.get_closest_marker("peer"), "a test that asks a peer has to be marked: pytest.mark.peer"

    def imported(module: str, untested: str) -> ModuleType:
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")  # The peer's own.
                return importlib.import_module(module)
        except ImportError:
            message = f"PEER MISSING: {module} is not installed; NOT TESTED: {untested}"
            if os.environ.get("LINESCOPE_PEERS") == "required":
                pytest.fail(message, pytrace=False)
            pytest.skip(message)

    return imported

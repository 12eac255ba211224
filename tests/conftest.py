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
LEFT_OUT = pytest.StashKey[int]()
TESTS = Path(__file__).parent
LIGHT = {
    "broken", "rig", "scenefile", "taping", "terrain", "webbing", "words", "test_docstrings.py", "test_layers.py",
    "test_names.py", "test_spoken.py", "test_units.py",
}
"""Folders and files of many tests that take little each, and that solve next to nothing."""


def pytest_addoption(parser: pytest.Parser) -> None:
    """`--long` runs all there is."""
    parser.addoption("--long", action="store_true", help="run the tests marked long as well")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave long tests out unless they are asked for; light tests last, where processes share the work.

    Of two processes the second begins with light ones, while the first one compiles the loops that both need: so they
    are compiled once, not in each of them.
    """
    asked = config.getoption("long") or config.getoption("markexpr") or any("::" in each for each in config.args)
    left = [] if asked else [item for item in items if item.get_closest_marker("long")]
    config.stash[LEFT_OUT] = len(left)
    if left:
        config.hook.pytest_deselected(items=left)
        items[:] = [item for item in items if not item.get_closest_marker("long")]
    if "PYTEST_XDIST_WORKER" in os.environ:
        items.sort(key=lambda item: item.path.is_relative_to(TESTS) and item.path.relative_to(TESTS).parts[0] in LIGHT)


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Of several processes each tells the first one what it left out, which is the same in all."""
    if hasattr(session.config, "workeroutput"):
        session.config.workeroutput["left out"] = session.config.stash.get(LEFT_OUT, 0)


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: Any) -> None:
    """A process has ended."""
    if hasattr(node, "workeroutput"):
        node.config.stash[LEFT_OUT] = node.workeroutput.get("left out", 0)


def pytest_terminal_summary(terminalreporter: Any, config: pytest.Config) -> None:
    """What did not run is said."""
    if count := config.stash.get(LEFT_OUT, 0):
        terminalreporter.write_line(f"{count} long tests were left out: --long runs them as well")


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
    """Falls in time of a line, and lessons, are computed once for all tests that show them: see `tests.once`."""
    from linescope.events import deeper
    from linescope.lessons import plays
    from linescope.stage import lessons
    from tests import once

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(deeper, "find_deeper", once.falls_in_time(falls_in_time_folder))
        kept = once.lessons(falls_in_time_folder)
        patch.setattr(plays, "play", kept)
        patch.setattr(lessons, "play", kept)
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

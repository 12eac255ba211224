"""Runs every outside check and writes the validation page: `python -m tests.validation`.

`--check` writes nothing and says whether the page is current; its exit status is 1 when it is not.
"""

from __future__ import annotations

import argparse
import os
import sys

import pytest

from tests.validation.record import COMMAND, RECORDING, ROOT, Row, load, on_page, render, write


class Recorder:
    """Lets the tests with outside checks run alone, takes the rows of those that passed and counts those left out."""

    def __init__(self, comparing: bool) -> None:
        self.comparing = comparing
        self.rows: list[Row] = []
        self.skipped = 0

    def pytest_configure(self, config: pytest.Config) -> None:
        if not self.comparing:
            config.stash[RECORDING] = self.rows

    def pytest_collection_modifyitems(self, items: list[pytest.Item]) -> None:
        items[:] = [item for item in items if "agrees" in getattr(item, "fixturenames", ())]

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self.skipped += report.skipped


def files() -> list[str]:
    """The test files that ask for `agrees`."""
    tests = sorted((ROOT / "tests").rglob("test_*.py"))
    return [str(file.relative_to(ROOT)) for file in tests if "agrees" in file.read_text(encoding="utf-8")]


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(prog=COMMAND, description=__doc__)
    parser.add_argument("--check", action="store_true", help="write nothing; say whether the page is current")
    check = parser.parse_args(arguments).check
    os.chdir(ROOT)
    os.environ["LINESCOPE_PEERS"] = "required"
    recorder = Recorder(comparing=check)
    status = pytest.main(["-q", "-p", "no:cacheprovider", *files()], plugins=[recorder])
    if status != 0:
        sys.stderr.write("The page was not written: not every check passed.\n" if not check else "NOT current.\n")
        return 1
    if check:
        current = on_page() == render(load())
        sys.stdout.write("The page is current.\n" if current else f"The page is NOT current: run {COMMAND}\n")
        return 0 if current else 1
    if recorder.skipped:
        sys.stderr.write("The page was not written: some checks were skipped.\n")
        return 1
    write(recorder.rows)
    sys.stdout.write(f"{len(recorder.rows)} rows written.\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

"""The validation page of EVIDENCE.md is current, and nothing on file is left unused in silence.

That each test still makes just its rows of the page is seen to by `tests/conftest.py`, test by test.
"""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import replace

import pytest

from tests.validation import record
from tests.validation.__main__ import files

ROW = record.Row(
    test="t", area="statics", source="s", what="w", unit="m", known="read", printed=2.0, ours=2.01, low=0.1, high=0.1,
    points=1,
)  # fmt: skip


def test_the_page_shows_the_rows_on_file() -> None:
    assert record.on_page() == record.render(record.load()), f"run {record.COMMAND}"


def test_every_row_belongs_to_a_test_that_is_still_there() -> None:
    command = [sys.executable, "-m", "pytest", "--collect-only", "-q", "-p", "no:cacheprovider", *files()]
    plain = {key: value for key, value in os.environ.items() if key != "PYTEST_ADDOPTS"}  # Such as -v.
    listed = subprocess.run(command, cwd=record.ROOT, capture_output=True, text=True, check=True, env=plain)
    gone = {row.test for row in record.load()} - set(listed.stdout.splitlines())
    assert not gone, f"no longer tested: {gone}; run {record.COMMAND}"


def test_every_entry_on_file_is_used_or_says_why_not() -> None:
    entries = record.published()
    used = {row.check for row in record.load()} - {""}
    told = {key for key, entry in entries.items() if entry.get("not_used")}
    assert used <= set(entries)
    assert used | told == set(entries), f"neither used nor explained: {set(entries) - used - told}"
    assert not used & told, f"used after all: {used & told}"


def test_rejected_prints_are_refused_and_nothing_else_is() -> None:
    rejected = {key for key, entry in record.published().items() if entry.get("status") == "rejected"}
    assert {row.check for row in record.load() if row.known == "rejected"} == rejected


def test_the_page_can_be_read() -> None:
    lines = [line for line in record.on_page().splitlines() if line.startswith("| ")]
    assert len(lines) <= 200
    assert max(len(line) for line in lines) < 400


def test_a_difference_beyond_what_is_allowed_fails() -> None:
    agrees = record.Agrees("t", {"area": "statics", "source": "s", "known": "read"})
    agrees("within", 1.01, 1.0, rel=0.02)
    agrees("within, worst of three", [1.0, 1.01, 1.0], 1.0, rel=0.02)
    assert (agrees.rows[1].ours, agrees.rows[1].points) == (1.01, 3)
    for ours, side in ((1.03, "both"), (0.99, "above"), (1.01, "below"), (float("nan"), "both")):
        with pytest.raises(AssertionError, match="beyond"):
            agrees("beyond", ours, 1.0, rel=0.02, side=side)
    with pytest.raises(AssertionError, match="agrees with the rejected"):
        agrees.refuses("wrong", 2.504, 2.5, entry={"id": "x"}, unit="m")
    assert len(agrees.rows) == 2


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"ours": 2.06}, "ours is 2.06"), ({"printed": 2.0001}, "printed is 2.0001"), ({"what": "v"}, "of t is"),
        ({"known": "from memory"}, "of t is"), ({"low": 0.01, "high": 0.01}, "of what is allowed"),
    ],
)  # fmt: skip
def test_a_row_that_changed_is_told(change, said) -> None:
    assert record.changed([ROW], [ROW]) == ""
    assert record.changed([replace(ROW, ours=2.011)], [ROW]) == ""
    assert said in record.changed([replace(ROW, **change)], [ROW])
    assert "no longer checked" in record.changed([], [ROW])
    many = replace(ROW, points=3)
    assert "ours is 1.94" in record.changed([replace(many, ours=1.94)], [many]), "also where it comes nearer"


@pytest.mark.peer
def test_a_missing_peer_is_loud(peer, monkeypatch) -> None:
    monkeypatch.delenv("LINESCOPE_PEERS", raising=False)
    with pytest.raises(pytest.skip.Exception, match=r"PEER MISSING: no_such_peer .* NOT TESTED: whole rigs"):
        peer("no_such_peer", "whole rigs")
    monkeypatch.setenv("LINESCOPE_PEERS", "required")
    with pytest.raises(pytest.fail.Exception, match="NOT TESTED: whole rigs"):
        peer("no_such_peer", "whole rigs")

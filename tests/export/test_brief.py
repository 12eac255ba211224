"""The brief as a set of files."""

from __future__ import annotations

import dataclasses
import os
from pathlib import Path

import pytest

from linescope.errors import InputError, OutputError
from linescope.export import brief
from tests.stage import rigs

SIZE = (600, 424)


def test_it_writes_every_view_of_every_state_and_tells_how_far_it_is(tmp_path: Path) -> None:
    told: list[tuple[float, str]] = []
    files = brief.write_brief(
        [rigs.solved("short"), rigs.solved("short", "settled")],
        ("Something to read first.",),
        tmp_path / "out",
        SIZE,
        "dark",
        lambda share, name: told.append((share, name)),
    )
    assert [file.name for file in files] == [
        "1-overview-as-taped-empty.png",
        "2-elevation-as-taped-empty.png",
        "3-closeup-as-taped-empty.png",
        "1-overview-settled-empty.png",
        "2-elevation-settled-empty.png",
        "3-closeup-settled-empty.png",
    ]
    assert sorted(os.listdir(tmp_path / "out")) == sorted(file.name for file in files)
    assert [name for _, name in told] == [file.name for file in files]
    assert [share for share, _ in told] == pytest.approx([k / 6 for k in range(1, 7)])


def test_states_that_would_overwrite_each_other_are_refused_before_anything_is_written(
    tmp_path: Path,
) -> None:
    with pytest.raises(InputError, match="same name"):
        brief.write_brief([rigs.solved("short"), rigs.solved("short")], (), tmp_path / "out", SIZE)
    with pytest.raises(InputError, match="no solved state"):
        brief.write_brief([], (), tmp_path / "out", SIZE)
    with pytest.raises(InputError, match="out of range"):
        brief.write_brief([rigs.solved("short")], (), tmp_path / "out", (10, 10))
    with pytest.raises(InputError, match="theme"):
        brief.write_brief([rigs.solved("short")], (), tmp_path / "out", SIZE, "neon")
    assert not (tmp_path / "out").exists()


def test_walkers_at_different_places_have_different_files() -> None:
    solution = rigs.solved("heron")
    moved = dataclasses.replace(solution, rig=solution.rig.with_walker_at(12.5))
    assert brief.file_names(moved)[0] == "1-overview-as-taped-walker-at-12-5-m.png"
    assert set(brief.file_names(moved)).isdisjoint(brief.file_names(solution))


def test_an_output_folder_that_is_a_file_is_named(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("a file")
    with pytest.raises(OutputError, match="output folder"):
        brief.write_brief([rigs.solved("short")], (), tmp_path / "out", SIZE)

"""The brief as a set of files."""

from __future__ import annotations

import dataclasses
import os
from pathlib import Path

import pytest
from PIL import Image

from linescope.errors import InputError, OutputError
from linescope.export import brief, picture
from linescope.stage import VIEWS
from linescope.study import Study, StudyNote
from linescope.words import Words
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
        study=Study(rigs.MAKERS["short"](), leave=set(Study.RESULTS) - {"planned", "taped", "settled"}),
    )
    assert [file.name for file in files] == [
        "01-overview-as-taped-empty.png",
        "01-overview-settled-empty.png",
        "02-elevation-as-taped-empty.png",
        "02-elevation-settled-empty.png",
        "05-closeup-as-taped-empty.png",
        "05-closeup-settled-empty.png",
    ]
    assert sorted(os.listdir(tmp_path / "out")) == sorted(file.name for file in files)
    skipped = [text for share, text in told if share == 0.0]
    assert [text for _, text in told[len(skipped) :]] == [file.name for file in files]
    assert [share for share, _ in told[len(skipped) :]] == pytest.approx([k / 6 for k in range(1, 7)])
    events = [view for view in VIEWS if not VIEWS[view].per_state]
    assert [text.split(":")[0] for text in skipped] == [f"no picture {view}" for view in events]
    assert all(len(text.split(": ")[1]) > 10 for text in skipped)


def test_pictures_of_events_are_written_once_and_missing_ones_are_named(tmp_path: Path) -> None:
    study = rigs.study("heron")
    missing = brief.left_out(rigs.solved("heron"), study=study)
    assert missing["friction"] == Words().say(StudyNote.NO_SLIDERS)
    assert "wind" in brief.left_out(rigs.solved("trap"), study=rigs.study("trap"))
    files = brief.write_brief(
        [rigs.solved("heron")], (), tmp_path, SIZE, study=study, views=["wind", "no-fall", "friction"]
    )
    assert [file.name for file in files] == ["07-no-fall.png", "11-wind.png"]
    with pytest.raises(InputError, match="no such view"):
        brief.write_brief([rigs.solved("heron")], (), tmp_path, SIZE, views=["sideways"])


def test_a_disk_that_fills_up_leaves_whole_files_only(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = picture.write

    def full(drawing, scene, path, dpi=None):
        if scene.view == "elevation":
            raise OutputError("the file cannot be written (No space left on device)", file=path)
        return real(drawing, scene, path, dpi)

    monkeypatch.setattr(picture, "write", full)
    with pytest.raises(OutputError, match="No space left"):
        brief.write_brief([rigs.solved("short")], (), tmp_path, SIZE)
    for name in os.listdir(tmp_path):
        with Image.open(tmp_path / name) as image:
            image.load()
        assert not name.startswith(".")


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
    assert brief.file_name("overview", moved) == "01-overview-as-taped-walker-at-12-5-m.png"
    assert brief.file_name("overview", moved) != brief.file_name("overview", solution)
    assert brief.file_name("no-fall", moved) == "07-no-fall.png"


def test_an_output_folder_that_is_a_file_is_named(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("a file")
    with pytest.raises(OutputError, match="output folder"):
        brief.write_brief([rigs.solved("short")], (), tmp_path / "out", SIZE)

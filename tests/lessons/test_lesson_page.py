"""The page and the film of a lesson: the states in the file are those that were solved, and the browser shows them."""

from __future__ import annotations

import html
import re
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from linescope.cli import main
from linescope.errors import InputError, OutputError
from linescope.export.lesson_film import FPS, timeline, write_lesson_film
from linescope.export.lesson_page import packed, write_lesson_page
from linescope.lessons.plays import PLAYS, play
from linescope.lessons.takes import BETWEEN, Play
from linescope.stage import lesson_rows as rows
from linescope.words import Words
from tests.lessons.solved import rig_of, shipped

LARGEST = 1.5e6
"""Of a page. [bytes]"""
LARGE = ("ten-grams", "where-slack-goes")
"""Lessons with the largest pages."""


def with_knob(name: str) -> Play:
    """As a page has it; of lessons whose pages are far from the limit, which takes long to compute, the stops alone."""
    return shipped(name, BETWEEN if name in LARGE else 0)


def unpacked(data: dict, states: bytes) -> list[list[dict[str, np.ndarray]]]:  # type: ignore[type-arg]
    """As the page reads it: whole numbers of two bytes, each less the state before that has as many."""
    raw, at, found = np.frombuffer(states, "<i2").astype(int), 0, []
    for row in data["rows"]:
        before, shots = {}, []
        for mains, backups, tapes, feet in row["sizes"]:
            shot = {}
            for key, count in zip(
                "mabctsf", (2 * mains, mains, 2 * backups, backups, 2 * tapes, tapes, 2 * feet), strict=True
            ):
                if key == "f" and not feet:
                    before[key, 0] = np.zeros(0, dtype=int)
                    continue
                whole = raw[at : at + count] + before.get((key, count), 0)
                before[key, count], at = whole, at + count
                shot[key] = whole * row["step"]
            shots.append(shot)
        found.append(shots)
    assert at == len(raw)
    return found


@pytest.mark.parametrize("name", PLAYS)
def test_states_in_the_page_are_those_that_were_solved(name: str) -> None:
    found = shipped(name)
    data, states = packed(found, Words())
    read = unpacked(data, states)
    for take, numbers in zip(found.takes, data["takes"], strict=True):
        for track, number in zip(rows.rows_of(found, take), numbers, strict=True):
            step = data["rows"][number]["step"]
            assert len(read[number]) == len(track.shots)
            for shot, solved in zip(read[number], track.shots, strict=True):
                seen = rows.shown(found, solved)
                assert shot["b"].reshape(-1, 2) == pytest.approx(seen.backup, abs=0.51 * step)
                assert shot["m"].reshape(-1, 2) == pytest.approx(seen.main, abs=0.51 * step)
                assert shot["s"] == pytest.approx(seen.slid, abs=0.51 * step)
    assert max(row["step"] for row in data["rows"]) < 0.005


@pytest.mark.parametrize("name", PLAYS)
def test_figures_told_are_those_of_the_state(name: str) -> None:
    found, words = shipped(name), Words()
    data, _ = packed(found, words)
    tracks = rows.rows_of(found, found.take)
    for track, number in zip(tracks, data["takes"][found.first], strict=True):
        row = data["rows"][number]
        for count, shot in enumerate(track.shots):
            for bay, text in row["told"][count]:
                depth = shot.depth[found.bay if found.bay > 0 else bay]
                wanted = words.of(float(depth), "length") if name != "ties" else "feet"
                assert wanted in data["texts"][text]


@pytest.mark.parametrize("name", PLAYS)
def test_a_page_is_small_and_loads_nothing(name: str, tmp_path: Path) -> None:
    text = write_lesson_page(tmp_path / "page.html", with_knob(name), Words()).read_text("utf-8")
    assert len(text.encode()) <= LARGEST
    head = html.unescape(text[: text.index("<script")])
    assert "default-src 'none'" in head and "script-src 'sha256-" in head
    assert not re.search(r"(src|href)=|@import|url\((?!\"?data:)", head)


def test_the_command_writes_page_and_film(tmp_path: Path) -> None:
    for suffix in (".html", ".gif"):
        out = tmp_path / f"ties{suffix}"
        assert main(["teach", "ties", "-o", str(out)]) == 0 and out.stat().st_size > 10_000
    assert sorted(file.name for file in tmp_path.iterdir()) == ["ties.gif", "ties.html"]


def test_a_film_has_every_part_and_the_states_in_order(tmp_path: Path) -> None:
    found = shipped("where-slack-goes")
    order = timeline(found)
    assert len(order) / FPS == pytest.approx(20.0)
    passing = [state for part, state in order if part == "show"]
    assert passing == sorted(passing) and set(passing) == set(range(len(found.take.tracks[0].shots)))
    with Image.open(write_lesson_film(tmp_path / "film.gif", found, Words())) as film:
        assert film.size == (1280, 720) and film.n_frames > len(set(passing))  # type: ignore[attr-defined]
    with pytest.raises(OutputError, match="no film"):
        write_lesson_film(tmp_path / "film.avi", found, Words())


def test_lessons_without_rows_say_so() -> None:
    with pytest.raises(InputError, match="no such lesson"):
        play("wind-a-tape", rig_of("wind-a-tape"))

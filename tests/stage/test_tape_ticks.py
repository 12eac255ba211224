"""The tape card: every tape once with its box and marks, ten points, nothing on anything else, its size on paper."""

from __future__ import annotations

import dataclasses
import re
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest

import linescope
from linescope.export import layout
from linescope.export.tape_cards import tick_drawings, write_ticks
from linescope.stage.ink import Area, Line, Text
from linescope.stage.tape_ticks import PER_MM, SIZE
from linescope.study import Study
from linescope.taping import CutList
from linescope.words import Words, frame
from tests.stage import rigs

SCENES = Path(__file__).parents[2] / "scenes"
POINT = SIZE[0] / 210 * 25.4 / 72  # Pixels of a point on A4 standing.
NAMES = ("larkspur_ledge", "ptarmigan_step", "sable_tarn")


def cuts(name: str) -> CutList:
    return Study(linescope.load(SCENES / f"{name}.toml")).cuts


@pytest.mark.parametrize("system", ["metric", "feet"])
@pytest.mark.parametrize("name", NAMES)
def test_every_tape_has_a_box_and_its_marks(name: str, system: str) -> None:
    words, found = Words(system), cuts(name)  # type: ignore[arg-type]
    pages = tick_drawings(found, words, name)
    texts = [text for page in pages for text in page.ink if isinstance(text, Text)]
    strokes = [np.array(item.points) for page in pages for item in page.ink if isinstance(item, Line)]
    boxes = sum(len(stroke) == 5 and round(float(np.ptp(stroke[:, 0]))) == 26 for stroke in strokes)
    assert boxes == len(found.number)
    numbers = [int(text.text.split()[0]) for text in texts if text.strong and re.match(r"[0-9]+( |$)", text.text)]
    assert numbers == [int(number) for number in found.number]
    marks = [text.text for text in texts if not text.strong and re.fullmatch(r"[0-9.]+", text.text)]
    assert marks[:2] == [words.mark(float(found.main_mark[0])), words.mark(float(found.backup_mark[0]))]
    assert len(marks) == 2 * len(found.number) + 2  # And the far anchor's.


@pytest.mark.parametrize("name", NAMES)
def test_text_is_large_enough_inside_the_page_and_on_no_other_text(name: str) -> None:
    for page in tick_drawings(cuts(name), Words(), name):
        found = layout.boxes(page.ink)
        assert min(text.size for text, _ in found) >= 10 * POINT - 0.3
        assert all(text.text != layout.MORE for text, _ in found)
        for text, box in found:
            assert box.left > 0.0 and box.top > 0.0 and box.right < SIZE[0] and box.bottom < SIZE[1], text.text
        for (one, a), (other, b) in combinations(found, 2):
            apart = a.right <= b.left or b.right <= a.left or a.bottom - 5 <= b.top + 5 or b.bottom - 5 <= a.top + 5
            assert apart, (one.text, other.text)


def test_a_hundred_and_one_tapes_are_one_page() -> None:
    assert len(tick_drawings(cuts("sable_tarn"), Words(), "x")) == 1


def test_the_webbing_is_as_wide_on_paper_as_in_the_hand() -> None:
    found = cuts("sable_tarn")
    page = tick_drawings(found, Words(), "x")[0]
    wide = max(np.ptp(np.array(item.points)[:, 0]) for item in page.ink if isinstance(item, Area)
               and item.colour in ("#00395c", "#d55e00"))  # fmt: skip
    assert wide / PER_MM == pytest.approx(1000.0 * max(found.section.main_width, found.section.backup_width), abs=0.1)


def test_the_file_is_a_standing_page_and_the_same_each_time(tmp_path: Path) -> None:
    found = cuts("larkspur_ledge")
    one, other = (write_ticks(tmp_path / name, found, name="Ledge").read_bytes() for name in ("a.pdf", "b.pdf"))
    assert one == other
    assert re.search(rb"MediaBox \[ 0 0 595\.\d+ 841\.\d+ \]", one)
    assert b"/Lang (en)" in one


@pytest.mark.parametrize("system", ["metric", "feet"])
def test_what_is_tried_stands_on_every_page_and_on_nothing_else(system: str) -> None:
    words = Words(system)  # type: ignore[arg-type]
    told = frame.tried(rigs.TRIED, words)
    assert told
    found = cuts("larkspur_ledge")
    for page in tick_drawings(found, words, "x", told):
        texts = layout.boxes(page.ink)
        assert sum(text.text == told for text, _ in texts) == 1
        for (one, a), (other, b) in combinations(texts, 2):
            tight = [dataclasses.replace(box, top=box.top + 5.0, bottom=box.bottom - 5.0) for box in (a, b)]
            assert not tight[0].overlaps(tight[1]), (one.text, other.text)
    plain = [text.text for page in tick_drawings(found, words, "x") for text, _ in layout.boxes(page.ink)]
    assert plain and not any("Tried" in text for text in plain)

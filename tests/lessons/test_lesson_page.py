"""The page and the film of a lesson: the states in the file are those that were solved, and the browser shows them."""

from __future__ import annotations

import html
import itertools
import re
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from linescope.cli import main
from linescope.errors import InputError, OutputError
from linescope.export.layout import boxes
from linescope.export.lesson_film import FPS, SIZE, drawing, timeline, write_lesson_film
from linescope.export.lesson_page import packed, write_lesson_page
from linescope.lessons.plays import PLAYS, play
from linescope.lessons.takes import POSITIONS, STYLES, Play, telling
from linescope.stage import lesson_parts as parts
from linescope.stage import lesson_rows as rows
from linescope.stage.ink import Area, Text
from linescope.stage.theme import LIGHT, TAPE_LOOKS
from linescope.taping import Holds
from linescope.words import Words
from tests.lessons.solved import rig_of, shipped
from tests.long import rest_is_long

LARGEST = 1.5e6
"""Of a page. [bytes]"""
LARGE = ("ten-grams", "where-slack-goes")
"""Lessons with the largest pages."""


def with_knob(name: str) -> Play:
    """As a page has it; of lessons whose pages are far from the limit, which takes long to compute, the stops alone."""
    return shipped(name, POSITIONS if name in LARGE else 0)


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
def test_loops_are_drawn_as_many_times_as_deep_as_the_picture_says(name: str) -> None:
    """Measured on what is drawn, below the main: at the material of every point that was solved, as deep as told."""
    found, words = shipped(name), Words()
    times = rows.deepening(found)
    told = {1: "True to scale", 2: "Loops drawn twice as deep", 3: "Loops drawn 3 times as deep"}
    assert told[times] in rows.setup(found, words)
    assert packed(found, words)[0]["deep"] == times
    for track in found.take.tracks:
        shot = track.shots[-1]
        if not len(shot.main) or found.bay > 0:
            continue
        drawn = rows.drawn(found, shot)
        assert drawn.main is shot.main and drawn.tapes is shot.tapes

        def below(points: np.ndarray, main: np.ndarray = shot.main) -> np.ndarray:
            return np.asarray(np.interp(points[:, 0], main[:, 0], main[:, 1]) - points[:, 1])

        at = np.interp(shot.backup_at, drawn.backup_at, below(drawn.backup))
        assert at == pytest.approx(times * below(shot.backup), abs=0.02 * max(1.0, float(shot.depth.max())))


def test_what_is_told_of_a_row_says_with_which_setting_of_the_knob() -> None:
    """A reader took figures of one hold for those of the hold in the sentence below."""
    found, words = shipped("ten-grams"), Words()
    for take in found.stops:
        for track in take.tracks:
            facts = " ".join(rows.facts(found, track, len(track.shots) - 1, words))
            assert (f"holding {rows.knob_value(found, take, words)}:" in facts) == (track.holds is not Holds.BOTH)


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


@pytest.mark.parametrize("name", rest_is_long(PLAYS, *(name for name in PLAYS if name != "ten-grams")))
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


@pytest.mark.parametrize("name", PLAYS)
def test_letters_of_a_frame_can_be_read_from_afar_and_stand_on_nothing_else(name: str) -> None:
    found, words = shipped(name), Words()
    order = timeline(found)
    for part, count in dict.fromkeys((order[0], order[len(order) // 2], order[-1])):
        frame = drawing(found, part, count, words)
        told = boxes(frame.ink)
        assert min(text.size for text, _ in told) * SIZE[0] / frame.size[0] >= 16.0
        assert max(box.bottom for _, box in told) < frame.size[1]
        for (_, one), (_, other) in itertools.combinations(told, 2):
            across = min(one.right, other.right) - max(one.left, other.left)
            assert across < 2.0 or min(one.bottom, other.bottom) - max(one.top, other.top) < 2.0


@pytest.mark.parametrize("name", ["slack-walks", "where-slack-goes", "uneven-spacing", "ties", "who-wears"])
def test_what_belongs_to_the_answer_ends_above_the_script(name: str) -> None:
    told = boxes(rows.rows_page(shipped(name), Words()).ink)
    said = [box.bottom for text, box in told if parts.ANSWER < text.at[1] < parts.SCRIPT]
    assert said and max(said) < parts.SCRIPT


def test_a_question_gives_no_answer_away() -> None:
    found, words = shipped("ties"), Words()
    rests = words.say("lessons-ties-basis")
    asked, told = (
        [item.text for item in drawing(found, part, 0, words).ink if isinstance(item, Text)] for part in ("ask", "show")
    )
    assert not any(rests in text for text in asked) and any(rests in text for text in told)


def test_a_walker_goes_the_same_way_wherever_a_lesson_stands_still() -> None:
    shots = shipped("slack-walks").take.tracks[1].shots
    at = telling("slack-walks", shipped("slack-walks").take.tracks)
    assert at > 0 and shots[at].feet[0] > shots[at - 1].feet[0] and shots[1].feet[0] > shots[0].feet[0]
    heads = [item for item in drawing(shipped("ties"), "ask", 0, Words()).ink if isinstance(item, Area)]
    assert all(head.colour != rows.CLOTH for head in heads), "who stands until the main has gone goes nowhere"


def test_styles_have_the_marks_of_all_pictures() -> None:
    found = shipped("slack-walks")
    data, _ = packed(found, Words())
    marks = [data["rows"][number]["mark"] for number in data["takes"][found.first]]
    looks = [TAPE_LOOKS[family] for family, _ in STYLES]
    assert marks == [[look.symbol, look.colour] for look in looks]
    drawn = {item.colour for item in drawing(found, "ask", 0, Words()).ink if isinstance(item, Area)}
    assert {LIGHT.colours[look.colour] for look in looks} <= drawn


def test_what_is_good_to_a_factor_of_five_is_told_in_one_figure() -> None:
    found, words = shipped("who-wears"), Words()
    data, _ = packed(found, words)
    row = data["rows"][data["takes"][found.first][0]]
    for _, _, _, peak, text in row["rub"][-1]["spots"]:
        shown = float(re.search(r"[0-9.]+", data["texts"][text]).group())  # type: ignore[union-attr]
        assert data["texts"][text].startswith("about") and shown == float(f"{peak:.1g}")


def test_lessons_without_rows_say_so() -> None:
    with pytest.raises(InputError, match="no such lesson"):
        play("wind-a-tape", rig_of("wind-a-tape"))

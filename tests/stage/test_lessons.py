"""Lessons on one page: what stands on it is what was computed, all of it on the page, and the command writes it."""

from __future__ import annotations

from pathlib import Path

import pytest

import linescope
from linescope.cli import main
from linescope.contact.hung_holds import hung_holds
from linescope.contact.styles import with_style
from linescope.events.pen_marks import pen_marks
from linescope.lessons.takes import STYLES
from linescope.scenefile.shipped import lesson_file
from linescope.stage.ink import Area, Line, Text
from linescope.stage.lesson_pen_marks import BAY, COLUMNS, GONE
from linescope.stage.lessons import LESSONS
from linescope.topics.tapes import messages
from linescope.words import Words
from tests.long import rest_is_long

FAMILIES_BY_NAME = ("fixed wrap", "main-held slider", "backup-held slider", "tucked-tab slider", "cloth-patch slider")

RIG = linescope.load(lesson_file("pen-marks")).rig


@pytest.mark.parametrize("units", ["metric", "feet"])
def test_the_page_says_and_draws_what_was_computed(units) -> None:  # type: ignore[no-untyped-def]
    words = Words(units)
    drawing = LESSONS["pen-marks"].draw(RIG, words)
    texts = [item.text for item in drawing.ink if isinstance(item, Text)]
    found = pen_marks(RIG, 0.4)
    scale = BAY / max(each.main * (1.0 + each.strain_walked) for each in found)
    thick = [item for item in drawing.ink if isinstance(item, Line) and item.width == 5.0]
    loops = iter(thick)
    for each in found:
        assert each.webbing.name in texts
        for depth in (each.slack, each.hung, each.walked):
            ys = [y for _, y in next(loops).points]
            assert (max(ys) - ys[0]) / scale == pytest.approx(depth, abs=1e-6)
            assert any(text.startswith(words.of(depth, "length")) for text in texts)
    assert sum("gone" in text for text in texts) == sum(
        depth < GONE * each.slack for each in found for depth in (each.hung, each.walked)
    )


@pytest.mark.parametrize("name", LESSONS)
def test_everything_stands_on_the_page(name) -> None:  # type: ignore[no-untyped-def]
    drawing = LESSONS[name].draw(linescope.load(lesson_file(name)).rig, Words())
    width, height = drawing.size
    for item in drawing.ink:
        points = item.points if isinstance(item, (Area, Line)) else (item.at,) if isinstance(item, Text) else ()
        assert all(0.0 <= x <= width and 0.0 <= y <= height for x, y in points)
    assert max(COLUMNS) + BAY < width


def test_every_lesson_has_its_scene_and_its_question(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["teach"]) == 0
    listed = capsys.readouterr().out
    for name, lesson in LESSONS.items():
        assert lesson_file(name).exists()
        assert f"{name}: {Words().say(lesson.question)}" in listed


def test_grams_are_drawn_as_they_were_computed() -> None:
    """The deepest loop of every row, drawn to one scale; both depths told beside it."""
    rig, words = linescope.load(lesson_file("ten-grams")).rig, Words()
    drawing = LESSONS["ten-grams"].draw(rig, words)
    texts = [item.text for item in drawing.ink if isinstance(item, Text)]
    found = hung_holds(rig)
    bays = len(found[0].walked)
    loops = [item.points for item in drawing.ink if isinstance(item, Line) and item.width == 3.2]
    assert len(loops) == bays * len(found)
    drops = [max(y for _, y in points) - points[0][1] for points in loops]
    for k, each in enumerate(found):
        row = drops[k * bays : (k + 1) * bays]
        assert max(row) / max(drops) == pytest.approx(each.walked.max() / max(one.walked.max() for one in found))
        both = (words.of(float(each.hung.max()), "length"), words.of(float(each.walked.max()), "length"))
        assert any(text.startswith(both[0]) and text.endswith(both[1]) for text in texts)


@pytest.mark.parametrize(
    "case", rest_is_long([f"{name}{suffix}" for name in LESSONS for suffix in (".pdf", ".png")],
                         *(f"{name}.pdf" for name in LESSONS), "pen-marks.png")
)
def test_the_command_writes_it_whole(tmp_path: Path, case: str) -> None:
    name, suffix = Path(case).stem, Path(case).suffix
    out = tmp_path / f"lesson{suffix}"
    assert main(["teach", name, "-o", str(out), "--set", "main.tension=2 kN"]) == 0
    assert out.stat().st_size > 10_000
    assert [file.name for file in tmp_path.iterdir()] == [out.name]


def test_wrong_asks_are_named(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["teach", "pens"]) == 2
    assert "pen-marks" in capsys.readouterr().err
    assert main(["teach", "pen-marks", "-o", str(tmp_path / "x.txt")]) == 2
    assert ".pdf, .png" in capsys.readouterr().err
    tensioned = str(lesson_file("pen-marks").parents[1] / "ptarmigan_step.toml")
    assert main(["teach", "pen-marks", tensioned, "-o", str(tmp_path / "x.pdf")]) == 2
    assert "taping.measured_on" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("scene", ["ten-grams", "ptarmigan_step"])
def test_nothing_is_said_where_nothing_ran(scene) -> None:  # type: ignore[no-untyped-def]
    """ "With ... nothing runs at all", "nothing ran when the line was hung": under half a millimetre."""
    home = lesson_file("ten-grams").parents[1]
    file = lesson_file(scene) if scene == "ten-grams" else home / f"{scene}.toml"
    rig, words = linescope.load(file).rig, Words()
    texts = [item.text for item in LESSONS["ten-grams"].draw(rig, words).ink if isinstance(item, Text)]
    said = next(text for text in texts if "nothing runs at all" in text)
    rig = with_style(rig, *STYLES[1])  # Of which the rows are.

    def grams(before: str) -> float:
        number, unit = said.partition(before)[0].rpartition("With ")[2].split()
        return float(number) * {"g": 1e-3, "kg": 1.0}[unit]

    enough = grams(" nothing runs at all")
    less, still = hung_holds(rig, (0.9 * enough, enough))
    assert max(still.ran_hung, still.ran_walked) < 5e-4 <= max(less.ran_hung, less.ran_walked)
    if "nothing ran when" in said:
        (first,) = hung_holds(rig, (grams(" nothing ran when"),))
        assert first.ran_hung < 5e-4 < first.ran_walked


@pytest.mark.parametrize("style", FAMILIES_BY_NAME)
def test_the_lesson_of_winding_has_every_step_and_what_goes_wrong(style: str) -> None:
    scene = linescope.load(lesson_file("wind-a-tape")).what_if("taping.zones[1].style", style)
    words = Words()
    drawing = LESSONS["wind-a-tape"].draw(scene.rig, words)
    texts = [item.text for item in drawing.ink if isinstance(item, Text)]
    tape = next(iter(linescope.cut_list(linescope.plan(scene)).tapes.values()))
    assert set(messages.steps(tape, words)) <= set(texts)
    knob = texts[-1]
    # Common practice, no source: where glue meets the sliding line, a slider is a fixed wrap.
    assert ("a fixed wrap" in knob) == (style != "fixed wrap")
    assert drawing.size[1] > max(item.at[1] for item in drawing.ink if isinstance(item, Text))

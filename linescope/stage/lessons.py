"""Lessons on one page: a question, what is seen, what to say."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from linescope.lessons.plays import play
from linescope.rig import Rig
from linescope.stage.ink import Drawing
from linescope.stage.lesson_grams import grams_page
from linescope.stage.lesson_pen_marks import pen_marks_page
from linescope.stage.lesson_rows import rows_page
from linescope.stage.lesson_wind import wind_page
from linescope.words import Words


@dataclass(frozen=True, kw_only=True)
class Lesson:
    """A lesson.

    Attributes
    ----------
    question : str
        Its message.
    draw : callable
        From a rig to its page.
    """

    question: str
    draw: Callable[[Rig, Words], Drawing]


def _rows(name: str) -> Callable[[Rig, Words], Drawing]:
    def draw(rig: Rig, words: Words) -> Drawing:
        return rows_page(play(name, rig), words)

    return draw


LESSONS = {
    "pen-marks": Lesson(question="lessons-pen-marks-question", draw=pen_marks_page),
    "wind-a-tape": Lesson(question="lessons-wind-a-tape-question", draw=wind_page),
    "ten-grams": Lesson(question="lessons-ten-grams-question", draw=grams_page),
    **{
        name: Lesson(question=f"lessons-{name}-question", draw=_rows(name))
        for name in ("where-slack-goes", "slack-walks", "uneven-spacing", "ties", "who-wears")
    },
}
"""Every lesson by name; its scene is `scenes/lessons/<name>.toml`, "_" for "-"."""

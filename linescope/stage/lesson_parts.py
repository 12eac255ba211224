"""What every lesson's page has: a question, an answer, what to do, what it rests on."""

from __future__ import annotations

from collections.abc import Sequence

from linescope.notes import Quantity
from linescope.rig import Rig
from linescope.stage.ink import Ink, Line, Point, Text, symbol
from linescope.stage.tape_card import HEAD, QUIET
from linescope.stage.theme import LIGHT, tape_look
from linescope.words import Words

SIZE = (1400.0, 990.0)
"""Of a page. [px]"""
EDGE = 44.0
RED = "#a32100"
INK_MAIN, QUIET_BACKUP = "#00395c", "#d08a4e"
ANSWER, SCRIPT, BASIS = 690.0, 806.0, 944.0
"""Where these begin. [px]"""
GAP = 28.0
LEAST = 17.5
"""The smallest letters: 16 px where a page or a frame is 1280 px wide on the wall. [px]"""
MARK = 8.5
"""Half the height of a style's mark before its name. [px]"""
LEVEL = 0.02
"""A line whose ends differ in height by a smaller share of its span is told as level. [-]"""


def ends_of(rig: Rig | None) -> dict[str, str | Quantity]:
    """What messages say of the height of anchor B; nothing without a rig."""
    drop = 0.0 if rig is None else float(rig.main_a[2] - rig.main_b[2])
    lies = "level" if rig is None or abs(drop) < LEVEL * rig.span else "lower" if drop > 0.0 else "higher"
    return {"lies": lies, "drop": Quantity(abs(drop), "length")}


def question(message: str, words: Words) -> Text:
    """On top."""
    return Text(text=words.say(message), at=(EDGE, 28.0), size=30.0, strong=True, colour=HEAD)


def answer(sentence: str, more: Sequence[str]) -> list[Ink]:
    """The sentence to take home, and what belongs to it."""
    return [
        Text(text=sentence, at=(EDGE, ANSWER), size=27.0, strong=True, colour=HEAD),
        Text(text=" ".join(more), at=(EDGE, ANSWER + 42.0), size=18.0, width=SIZE[0] - 2 * EDGE),
    ]


def script(
    columns: Sequence[tuple[str, str]], words: Words, width: float = SIZE[0], top: float = SCRIPT
) -> list[Ink]:
    """What to do, in columns over a page's width: "ask", "show", "knob", and the text of each."""
    wide = (width - 2 * EDGE - GAP * (len(columns) - 1)) / len(columns)
    ink: list[Ink] = []
    for k, (name, text) in enumerate(columns):
        left = EDGE + k * (wide + GAP)
        ink += [
            Line(points=((left, top), (left + wide, top)), colour=QUIET, width=1.2),
            Text(text=words.say(f"lessons-{name}"), at=(left, top + 10.0), size=18.0, strong=True, colour=HEAD),
            Text(text=text, at=(left, top + 36.0), size=LEAST, width=wide),
        ]
    return ink


def mark(family: str, at: Point, half: float = MARK) -> list[Ink]:
    """The symbol and colour that a style of tape has in every picture.

    Parameters
    ----------
    family : str
    at : Point
        [px]
    half : float
        [px]
    """
    look = tape_look(family)
    return symbol(look.symbol, at, half, LIGHT.colours[look.colour])


def basis(words: Words, *messages: str) -> Text:
    """What the page rests on, and that it is no permission."""
    text = " ".join(words.say(message) for message in (*messages, "lessons-basis"))
    return Text(text=text, at=(EDGE, BASIS), size=LEAST, colour=QUIET, width=SIZE[0] - 2 * EDGE)

"""The lesson of winding a tape: its steps as computed, and what a strip that is wound a little wrongly becomes."""

from __future__ import annotations

from dataclasses import replace

from linescope.notes import Verbatim
from linescope.rig import Rig
from linescope.stage import lesson_parts as parts
from linescope.stage.ink import Drawing, Text
from linescope.stage.tape_card import HEAD, card
from linescope.statics import cut_list, plan
from linescope.taping.slips import find_slips
from linescope.topics.tapes import messages
from linescope.words import Words

BELOW = 236.0
"""Room under the card. [px]"""
WRONG = 2
"""Strips wound wrongly that are told, at most."""


def wind_page(rig: Rig, words: Words) -> Drawing:
    """The card of the rig's first kind of tape with a question, and what to do with it.

    Parameters
    ----------
    rig : Rig
    words : Words

    Raises
    ------
    InputError
        When the rig cannot be laid out.
    """
    tape = next(iter(cut_list(plan(rig)).tapes.values()))
    drawn = card(tape, words)
    wide, high = drawn.size
    right, *rows = messages.slip_rows(tape, find_slips(tape), words)
    # Those that make another style of it first; each row ends in what the tape is then.
    changed = [row for row in rows if row[-1] != right[-1]] or rows
    wrong = [
        words.say("lessons-wind-a-tape-wrong", what=Verbatim(row[0]), style=Verbatim(row[-1]))
        for row in changed[:WRONG]
    ]
    columns = [
        ("ask", words.say("lessons-wind-a-tape-question")),
        ("show", words.say("lessons-wind-a-tape-show-text")),
        ("knob", " ".join([words.say("lessons-wind-a-tape-knob-text"), *wrong])),
    ]
    title = words.say("lessons-wind-a-tape-question")
    text = Text(text=words.say("lessons-wind-a-tape-say"), at=(parts.EDGE, high + 4.0), size=27.0, strong=True,
                colour=HEAD)  # fmt: skip
    return replace(
        drawn, name="wind-a-tape", title=title, size=(wide, high + BELOW),
        ink=(*drawn.ink, text, *parts.script(columns, words, wide, high + 56.0)),
    )

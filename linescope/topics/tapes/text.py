"""The cut list, how each tape is made, and what can go wrong with it, as text for people."""

from __future__ import annotations

import textwrap

from linescope.report.text import WIDTH, columns
from linescope.taping import CutList, Holds
from linescope.taping.remarks import notes_on
from linescope.topics.tapes import messages
from linescope.topics.tapes.tables import slip_table, tape_rows
from linescope.words import Words, frame
from linescope.words.table import Table


def tape_text(
    cut_list: CutList, title: str, words: Words, manner: messages.Manner = messages.USUAL, *, tried: str = ""
) -> str:
    """Cut list, kinds of tape, totals, steps, and what goes wrong with each, as text.

    Parameters
    ----------
    cut_list : CutList
    title : str
        Name of the rig.
    words : Words
    manner : Manner
        How they are taped.
    tried : str
        What was tried in place of the file's values, as `frame.tried` says it.
    """
    first, rest = words.lead(notes_on(cut_list))
    lines = [title, *alarm(tried), *_wrapped(frame.cautions(words, "plan")[0])]
    for note in first:
        lines += _wrapped(note.text)
    for table in tape_rows(cut_list, words).values():
        lines += ["", *_set(table)]
    if cut_list.tapes:
        lines += ["", *_wrapped(words.say("tapes-terms"))]
    for tape in cut_list.tapes.values():
        lines += ["", f"{messages.card_title(tape, words).upper()}: {words.say('tapes-practice')}"]
        for number, step in enumerate(messages.steps(tape, words, manner), 1):
            lines += _wrapped(f"{number}. {step}")
        for text in messages.hints(tape, words):
            lines += _wrapped(text)
        for heading, text in messages.sides(tape, words):
            lines += _wrapped(f"{heading}: {text}")
        lines += ["  " + line for line in _set(slip_table(tape, words))]
    if any(tape.coverage is not None for tape in cut_list.tapes.values()):
        held = "main" if any(holds is Holds.MAIN for _, holds in cut_list.tapes) else "backup"
        lines += ["", *_wrapped(messages.one_go(held, words)), *_wrapped(words.say("tapes-slip-unknown"))]
    for tape in list(cut_list.tapes.values())[:1]:
        lines += ["", *_wrapped(messages.first_strip(tape, words))]
    lines += ["", *(line for note in rest for line in _wrapped(note.text))]
    return "\n".join(lines) + "\n"


def alarm(text: str) -> list[str]:
    """Lines that must be read first; none for no text."""
    return textwrap.wrap(text, WIDTH, initial_indent="! ", subsequent_indent="  ", break_long_words=False)


def _set(table: Table) -> list[str]:
    return [table.title.upper(), *("  " + line for line in columns([table.columns, *table.rows]))]


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, WIDTH, initial_indent="  ", subsequent_indent="    ", break_long_words=False)

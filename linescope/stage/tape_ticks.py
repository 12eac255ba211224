"""The tape card for the one who tapes: portrait, a box to tick for every tape, each kind's strip and section at 1:1."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from linescope.notes import Ruled, Verbatim
from linescope.stage.ink import Area, Drawing, Ink, Line, Point, Row, Text
from linescope.stage.tape_card import HEAD, INK, PAPER, QUIET, draw_section
from linescope.stage.tape_steps import scenes
from linescope.stage.theme import LIGHT
from linescope.taping import TIE, CutList, LaidTape
from linescope.topics.tapes import messages
from linescope.topics.tapes.tables import OTHER_END, family_name, far_marks
from linescope.words import Words

Floats = NDArray[np.float64]

SIZE = (1414.2, 2000.0)
"""A4 standing, as many pixels to the millimetre as sheets that lie are. [px]"""
PER_MM = SIZE[0] / 210.0
NOTE, BODY, TITLE = 24.0, 28.0, 40.0  # Sizes of text; the smallest is ten points on paper [px].
EDGE, FOOT = 60.0, 70.0  # Margins of the page [px].
ROW = 38.0  # Pitch of the rows [px].
COLUMNS = 3
KIND = 206.0  # Height of one kind's part [px].
LETTERS = "abcdefgh"


def cards(cuts: CutList, words: Words, name: str, tried: str = "") -> tuple[Drawing, ...]:
    """As many pages as it takes: the kinds on the first, then every tape in laying order.

    Parameters
    ----------
    cuts : CutList
    words : Words
    name : str
        Of the rig.
    tried : str
        What was tried in place of the file's values; below the head of every page.
    """
    kinds = list(cuts.tapes.items())
    lower = 68.0 if tried else 0.0
    top = 168.0 + lower
    first: list[Ink] = []
    for k, (key, tape) in enumerate(kinds):
        part, high = _kind(tape, cuts.count(*key), LETTERS[k] if len(kinds) > 1 else "", top, words)
        first += part
        top += high + 14.0
    rows = _rows(cuts, words)
    pages: list[Drawing] = []
    start = 0
    while start < len(rows) or not pages:
        upper = top + 30.0 if not pages else 150.0 + lower
        room = int((SIZE[1] - FOOT - upper - ROW) / ROW)
        left = len(rows) - start
        # The last page's columns are equally long, so that each reads downwards from its own head.
        each = min(room, math.ceil(left / COLUMNS)) if left else 0
        shown = rows[start : start + COLUMNS * max(each, 1)]
        start += len(shown)
        ink = [*(first if not pages else []), *_table(shown, max(each, 1), upper, cuts, words)]
        pages.append(Drawing(name=f"tape card {len(pages) + 1}", title="", size=SIZE, paper=PAPER, ink=tuple(ink)))
        if not shown:
            break
    title = words.say("tapes-tick-title", name=Verbatim(name))
    count = len(pages)
    return tuple(
        Drawing(
            name=page.name, title=title, size=SIZE, paper=PAPER,
            ink=(*_headed(title, cuts, words, k, count, tried), *page.ink, *_foot(words)),
        )
        for k, page in enumerate(pages, 1)
    )


def _headed(title: str, cuts: CutList, words: Words, page: int, count: int, tried: str) -> list[Ink]:
    wide = SIZE[0] - 2 * EDGE
    under = words.say(
        "tapes-tick-under", count=cuts.count(), strips=words.length(cuts.strip_total), end=cuts.from_end,
        unit=words.long_unit, page=page, pages=count,
    )
    return [
        Text(text=title, at=(EDGE, 44.0), size=TITLE, width=wide, strong=True, colour=HEAD, most=1),
        Text(text=under, at=(EDGE, 100.0), size=NOTE, width=wide, colour=QUIET, most=1),
        *([Text(text=tried, at=(EDGE, 134.0), size=NOTE, width=wide, strong=True, colour=LIGHT.colours["alarm"],
                most=2)] if tried else []),
    ]  # fmt: skip


def _foot(words: Words) -> list[Ink]:
    """A ruler that tells whether the page is printed at its size, and the caution."""
    y, long = SIZE[1] - 46.0, 50.0 * PER_MM
    ink: list[Ink] = [Line(points=((EDGE, y), (EDGE + long, y)), colour=INK, width=2.5)]
    for k in range(6):
        x = EDGE + 0.2 * k * long
        ink.append(Line(points=((x, y - (12.0 if k in (0, 5) else 7.0)), (x, y)), colour=INK, width=2.5))
    ink.append(Text(text=words.say("tapes-tick-ruler"), at=(EDGE + long + 16.0, y - 6.0), size=NOTE, centred=True,
                    colour=INK, width=SIZE[0] - 2 * EDGE - long - 16.0, most=2))  # fmt: skip
    return ink


def _kind(tape: LaidTape, count: int, letter: str, top: float, words: Words) -> tuple[list[Ink], float]:
    """One kind: its section at 1:1, its strip, where its end lies; and how high that is."""
    shapes, found = scenes(tape)
    last = found[-1]
    section = tape.section
    wide = 1000.0 * max(section.main_width, section.backup_width) * PER_MM
    middle = (EDGE + 0.5 * wide + 56.0, top + 84.0)
    outlines = (shapes.outline(on_top) + np.array([0.0, up]) for on_top, up in last.lines)
    points = np.concatenate((*last.strips, *outlines))
    centre = 0.5 * (points.min(axis=0) + points.max(axis=0))

    def page(p: Floats) -> Point:
        return (float(middle[0] + (p[0] - centre[0]) * PER_MM), float(middle[1] - (p[1] - centre[1]) * PER_MM))

    left = EDGE + wide + 150.0
    right = SIZE[0] - EDGE
    name = messages.card_title(tape, words)
    title = words.say("tapes-tick-kind", letter=Verbatim(letter), lettered="yes" if letter else "no",
                      name=name[:1].upper() + name[1:], count=count)  # fmt: skip
    lines = [
        words.say("tapes-tick-strip", length=Ruled(tape.cut_length), pieces=tape.pieces,
                  piece=Ruled(tape.piece_length)),
        words.say("tapes-plan-turns", turns=messages.turns_of(tape.turns), end=messages.end_words(tape.finish, words)),
        words.say("tapes-plan-dry", dry=messages.dry_words(tape, words), round=Ruled(tape.section.perimeter)),
    ]  # fmt: skip
    entries = [((), 0.0, Text(text=title, at=(0.0, 0.0), size=BODY, strong=True, colour=HEAD))]
    entries += [((), 0.0, Text(text=line, at=(0.0, 0.0), size=NOTE, colour=INK)) for line in lines]
    high = KIND
    corners = ((EDGE, top), (right, top), (right, top + high), (EDGE, top + high))
    rim = Line(points=(*corners, corners[0]), colour=QUIET, width=2.0, quiet=True)
    return [
        Area(points=corners, colour="#ffffff"), rim,
        *draw_section(shapes, last, page, PER_MM),
        Text(text=words.say("tapes-tick-scale"), at=(middle[0], top + 182.0), size=NOTE, align="middle", centred=True,
             colour=QUIET),
        Row(frame=(left, top + 10.0, right - 16.0, top + high), entries=tuple(entries), down=True, gap=4.0),
    ], high  # fmt: skip


def _rows(cuts: CutList, words: Words) -> list[tuple[str, str, str, str]]:
    """Number, kind, mark on the main and on the backup of every tape, and the far anchor."""
    letters = dict(zip(cuts.tapes, LETTERS, strict=False)) if len(cuts.tapes) > 1 else {}
    found = []
    for k, number in enumerate(cuts.number):
        tie = cuts.family[k] == TIE
        kind = family_name(TIE, words) if tie else letters.get((cuts.family[k], cuts.holds[k]), "")
        found.append((
            str(number), kind, words.mark(float(cuts.main_mark[k])), words.mark(float(cuts.backup_mark[k])),
        ))
    marks, far = far_marks(cuts), OTHER_END[cuts.from_end]
    found.append((far, "", words.mark(marks["main_m"]), words.mark(marks["backup_m"])))
    return found


def _table(rows: list[tuple[str, str, str, str]], each: int, top: float, cuts: CutList, words: Words) -> list[Ink]:
    """Columns of rows, each with a box to tick; every fifth with a line under it."""
    ink: list[Ink] = []
    wide = (SIZE[0] - 2 * EDGE) / COLUMNS
    heads = [words.say(f"tapes-tick-{name}") for name in ("number", "main", "backup")]
    for k in range(0, len(rows), each):
        left = EDGE + wide * (k // each)
        for text, right in zip(heads, (96.0, 246.0, 396.0), strict=True):
            ink.append(Text(text=text, at=(left + right, top), size=NOTE, align="right", centred=True, strong=True,
                            colour=HEAD))  # fmt: skip
        for line, (number, kind, main, backup) in enumerate(rows[k : k + each]):
            y = top + (line + 1) * ROW
            if number.isdigit():
                box = ((left, y - 13.0), (left + 26.0, y - 13.0), (left + 26.0, y + 13.0), (left, y + 13.0))
                ink.append(Line(points=(*box, box[0]), colour=INK, width=2.0, quiet=True))
            shown = f"{number} {kind}".strip()
            for text, right, strong in ((shown, 96.0, True), (main, 246.0, False), (backup, 396.0, False)):
                ink.append(Text(text=text, at=(left + right, y), size=NOTE, align="right", centred=True, strong=strong,
                                colour=INK))  # fmt: skip
            if number.isdigit() and int(number) % 5 == 0:
                ink.append(Line(points=((left, y + 19.0), (left + 396.0, y + 19.0)), colour=QUIET, width=1.5,
                                quiet=True))  # fmt: skip
    return ink

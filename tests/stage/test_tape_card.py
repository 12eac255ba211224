"""Pictures of the steps: as many as are told, the end where it truly is, every word from the message files."""

from __future__ import annotations

import re
from collections.abc import Iterator
from fractions import Fraction

import numpy as np
import pytest

from linescope.notes import Ruled
from linescope.stage.ink import Area, Disc, Ink, Line, Text, Window
from linescope.stage.tape_card import DRY, HATCH, LINES, STICKY, card, step_drawings
from linescope.stage.tape_shapes import shapes_of
from linescope.stage.tape_slips import slip_drawing
from linescope.stage.tape_steps import scenes
from linescope.taping import FAMILIES, Holds, LaidTape, Section, lay
from linescope.taping.slips import SlipKind, find_slips
from linescope.topics.tapes import messages
from linescope.words import PSEUDO, Words
from tests.taping.test_winding import KINDS, PAIR, STOCK, flat, rope

SECTIONS = {
    "equal": PAIR, "narrow": flat(25.0, 2.4, 20.0, 2.0), "wide": flat(20.0, 2.0, 25.0, 2.4),
    "rope": rope(25.0, 2.4, 9.0),
}


def tape(key: str, holds: Holds, section: Section = PAIR) -> LaidTape:
    return lay(FAMILIES[key], section, STOCK, holds)


def flat_ink(ink: tuple[Ink, ...]) -> Iterator[Ink]:
    for item in ink:
        if isinstance(item, Window):
            yield from flat_ink(item.ink)
        else:
            yield item


@pytest.mark.parametrize(("key", "holds"), KINDS)
def test_every_step_that_is_told_has_its_picture(key: str, holds: Holds) -> None:
    """Four to six of them, each with both lines or the strip alone, and something sticky told by tone and hatch."""
    made = tape(key, holds)
    _, found = scenes(made)
    assert 4 <= len(found) == messages.step_count(made, Words()) <= 6
    drawings = step_drawings(made, Words())
    assert [drawing.title for drawing in drawings] == messages.steps(made, Words())
    hatched = [any(isinstance(i, Line) and i.colour == HATCH for i in flat_ink(d.ink)) for d in drawings]
    assert any(hatched)


@pytest.mark.parametrize(("key", "holds"), KINDS)
@pytest.mark.parametrize("name", SECTIONS)
def test_the_end_is_drawn_where_it_truly_lies(key: str, holds: Holds, name: str) -> None:
    """Across the lines; up and down it is drawn larger.  So is how far what is dry reaches on to the held line."""
    made = tape(key, holds, SECTIONS[name])
    shapes, found = scenes(made)
    true = made.path()[-1].points[-1] * 1e3 * shapes.turned * np.array([shapes.mirrored, 1.0])
    drawn = found[-1].strips[0][-1]
    assert drawn[0] == pytest.approx(true[0], abs=0.35)
    assert np.sign(drawn[1]) == np.sign(true[1])
    if made.coverage is not None and not made.pieces:
        tip = shapes_of(made).first_layer[-1]
        on_held = made.winding.section.outline.points(np.array([made.winding.dry[1]]), 0.5 * made.tape.thickness)[0]  # type: ignore[index]
        assert tip[0] == pytest.approx(1e3 * on_held[0] * shapes.turned * shapes.mirrored, abs=0.5)


@pytest.mark.parametrize(("key", "holds"), [kind for kind in KINDS if kind[1] is not Holds.BOTH])
def test_nothing_sticky_lies_on_the_sliding_line_in_the_drawing(key: str, holds: Holds) -> None:
    """Points of the drawn sticky face, half a layer inside the strip, against the drawn line: none touches it."""
    shapes, found = scenes(tape(key, holds))
    line = shapes.outline(False)
    low, high = line.min(axis=0), line.max(axis=0)
    way = found[-1].strips[0]
    wound = shapes.wound(shapes.winding.start + 0.0025, shapes.end)
    gap = np.maximum(np.maximum(low - wound, wound - high), 0.0)
    assert len(way) > 20
    assert np.hypot(*gap.T).min() > 0.9


@pytest.mark.parametrize("units", ["metric", "feet"])
@pytest.mark.parametrize(("key", "holds"), KINDS)
def test_every_word_of_a_card_is_from_the_message_files(key: str, holds: Holds, units: str) -> None:
    """In the pseudo-language only numbers, units and step numbers stand outside the brackets."""
    drawing = card(tape(key, holds), Words(units, PSEUDO))  # type: ignore[arg-type]
    texts = [item.text for item in flat_ink(drawing.ink) if isinstance(item, Text)]
    assert len(texts) > 15
    for text in texts:
        bare = re.sub(r"⟦[^⟧]*⟧|⟪[^⟫]*⟫", " ", text)
        assert not set(re.findall(r"[A-Za-z]{3,}", bare)), text
        assert "mm" not in text or units == "metric", text


@pytest.mark.parametrize(("key", "holds"), KINDS)
@pytest.mark.parametrize("name", SECTIONS)
def test_everything_stands_on_the_card(key: str, holds: Holds, name: str) -> None:
    drawing = card(tape(key, holds, SECTIONS[name]), Words())
    width, height = drawing.size
    for item in drawing.ink:  # What is in windows is cut by them.
        at = item.points if isinstance(item, (Area, Line)) else (item.at,) if isinstance(item, (Disc, Text)) else ()
        for x, y in at:
            assert -1.0 <= x <= width + 1.0 and -1.0 <= y <= height + 1.0, item


@pytest.mark.parametrize("units", ["metric", "feet"])
@pytest.mark.parametrize(("key", "holds"), KINDS)
def test_the_printed_parts_of_a_strip_add_up_to_what_is_cut(key: str, holds: Holds, units: str) -> None:
    """As they stand on the card: whole millimetres, or sixteenths of an inch."""
    def value(text: str) -> Fraction:
        return sum((Fraction(part) for part in re.findall(r"\d+/\d+|\d+", text)), Fraction(0))

    made, words = tape(key, holds), Words(units)  # type: ignore[arg-type]
    parts = messages.part_lengths(made, words)
    assert len(parts) == len(made.segments)
    assert sum(map(value, parts)) == value(words.value(Ruled(made.cut_length)))
    for text, part in zip(parts, made.segments, strict=True):
        one = 1e-3 if units == "metric" else 0.0254
        assert float(value(text)) * one == pytest.approx(part.end - part.start, abs=one if units == "metric" else 0.002)


@pytest.mark.parametrize(("key", "holds"), KINDS)
def test_whoever_tapes_otherwise_sees_the_same_strip_from_there(key: str, holds: Holds) -> None:
    """The other hand mirrors every picture, left to right, and changes no word; held underneath the steps are said so.

    Section and lines are the same, so every inked corner of one is found in the other, mirrored in its panel.
    """
    made, words = tape(key, holds), Words()
    usual, left = step_drawings(made, words), step_drawings(made, words, messages.Manner(hand="left"))
    assert [d.title for d in usual] == [d.title for d in left]
    for one, other in zip(usual, left, strict=True):
        corners = [
            np.array([p for i in flat_ink(drawing.ink) if isinstance(i, Area) for p in i.points])
            for drawing in (one, other)
        ]
        corners[1] = np.array([one.size[0], 0.0]) + corners[1] * np.array([-1.0, 1.0])
        assert np.sort(corners[0], axis=0) == pytest.approx(np.sort(corners[1], axis=0), abs=1e-6)
    below = messages.steps(made, words, messages.Manner(held="underneath"))
    usually = messages.steps(made, words)
    if holds is Holds.BOTH:
        assert below == usually
        return
    assert any("underneath" in step for step in below) and not any("on top. " in step for step in below[:-1])
    assert ("Roll both" in below[-1]) is not ("Roll both" in usually[-1])  # Its end is in sight one way or the other.
    assert all(cut in " ".join(below) for cut in re.findall(r"\d+ mm", " ".join(usually)))


@pytest.mark.parametrize(("key", "holds"), KINDS)
def test_a_card_tells_what_it_takes(key: str, holds: Holds) -> None:
    """Number of turns, both webbings' sizes, where the end lies and when the pair is turned over."""
    made, words = tape(key, holds), Words()
    texts = " ".join(item.text for item in flat_ink(card(made, words).ink) if isinstance(item, Text))
    turns = words.value(messages.turns_of(made.turns))
    assert f"{turns} turns" in texts and "4.0" not in texts
    assert texts.count("25 mm x 2.4 mm") == 2
    assert "in the middle of the backup's outer face" in texts
    assert ("Roll both lines over" in texts) is (holds is not Holds.BACKUP)


@pytest.mark.parametrize("name", SECTIONS)
@pytest.mark.parametrize(("key", "holds"), KINDS)
def test_slips_are_drawn_beside_their_figures(key: str, holds: Holds, name: str) -> None:
    """One picture each, every figure of the table, all on the page; glue only where the table has some open."""
    made, words = tape(key, holds, SECTIONS[name]), Words()
    drawing = slip_drawing(made, words)
    texts = [item.text for item in flat_ink(drawing.ink) if isinstance(item, Text)]
    slips = find_slips(made)
    for row in messages.slip_rows(made, slips, words):
        assert all(figure in texts for figure in row[1:])
    assert texts.count(words.say("tapes-slip-label-glue")) == sum(slip.glue[1] > 0.0 for slip in slips)
    assert texts.count(words.say("tapes-slip-label-ends")) == sum(
        slip.kind not in (SlipKind.ASIDE, SlipKind.SKEW) for slip in slips
    )
    width, height = drawing.size
    for item in drawing.ink:
        at = item.points if isinstance(item, (Area, Line)) else (item.at,) if isinstance(item, (Disc, Text)) else ()
        for x, y in at:
            assert -1.0 <= x <= width + 1.0 and -1.0 <= y <= height + 1.0, item


def test_a_slip_moves_what_is_drawn_by_what_it_is() -> None:
    """A short end 10 mm longer takes the drawn end of the dry tail 10 mm further over the held line's face."""
    slips = [s for s in find_slips(tape("main-held slider", Holds.MAIN)) if s.kind is SlipKind.FIRST]
    assert [slip.amount for slip in slips] == pytest.approx([0.035, 0.055])
    short, long = (shapes_of(slip.tape).first_layer[-1] for slip in slips)
    assert short[0] - long[0] == pytest.approx(20.0, abs=0.6)


def test_sticky_and_dry_are_told_apart_in_grey_too() -> None:
    """By tone as well as by hatch: relative luminance of WCAG 2 (from memory), a contrast of at least 1.5."""

    def luminance(colour: str) -> float:
        parts = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
        linear = [p / 12.92 if p <= 0.03928 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
        return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]

    def contrast(a: str, b: str) -> float:
        high, low = sorted((luminance(a), luminance(b)), reverse=True)
        return (high + 0.05) / (low + 0.05)

    assert contrast(DRY, STICKY) > 1.5
    assert contrast(LINES["main"][0], LINES["backup"][0]) > 1.5
    assert contrast(HATCH, STICKY) > 3.0

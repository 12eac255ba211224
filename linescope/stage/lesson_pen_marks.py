"""The lesson of the same pen marks on four webbings, as a page."""

from __future__ import annotations

from dataclasses import replace

from linescope.errors import InputError
from linescope.events.pen_marks import AWAY, CLASSES, PenMark, pen_marks
from linescope.notes import Quantity, Value, Verbatim
from linescope.rig import MainPlan, Rig
from linescope.stage import lesson_parts as parts
from linescope.stage.ink import Area, Drawing, Ink, Line, Text
from linescope.stage.lesson_parts import EDGE, RED, SIZE
from linescope.stage.tape_card import HEAD, INK, LINES, PAPER, QUIET
from linescope.words import Words

COLUMNS = (270.0, 640.0, 1010.0)
"""Where the bays of each state begin. [px]"""
BAY = 300.0
"""Length of the longest bay. [px]"""
GONE = 0.15
"""A loop that is left with less than this share of its slack depth is told as gone. [-]"""
ALIKE = 0.8
"""Webbings of which the worst keeps this share of what the best one keeps hardly differ. [-]"""
HARDER = 1.5
"""How many times the standing tension the knob is turned to. [-]"""


def pen_marks_page(rig: Rig, words: Words) -> Drawing:
    """The same pen marks on four webbings.

    Parameters
    ----------
    rig : Rig
        With a walker, marked on slack webbing.
    words : Words

    Raises
    ------
    InputError
        When the lesson shows nothing on this rig, with what would have to change.
    NoEquilibrium
    """
    plan = rig.main_plan
    if plan.tension is None:
        raise InputError("this lesson needs a standing tension", key="main", found="length", allowed="tension")
    wanted = max(0.1, round(pen_marks(rig, 0.1, CLASSES[-1:])[0].slack, 1))
    found = pen_marks(rig, wanted)
    harder = replace(rig, main_plan=MainPlan(tension=HARDER * plan.tension, end=plan.end))
    turned = pen_marks(harder, wanted, (found[0].webbing.name,))[0]
    assert rig.walker is not None
    ink: list[Ink] = [
        parts.question("lessons-pen-marks-question", words),
        Text(
            text=words.say(
                "lessons-pen-marks-setup", span=Quantity(rig.span, "length"),
                excess=Quantity(found[0].marked, "ratio"),
            ),
            at=(EDGE, 76.0), size=19.0,
        ),
    ]
    heads: tuple[tuple[str, dict[str, Value]], ...] = (
        ("ground", {"bay": Quantity(found[0].main, "length")}), ("hung", {"tension": Quantity(plan.tension, "force")}),
        ("walked", {"mass": Quantity(rig.walker.mass, "mass"), "away": AWAY}),
    )
    for left, (name, values) in zip(COLUMNS, heads, strict=True):
        middle = left + BAY / 2
        for k, part in enumerate(("", "-of")):
            text = words.say(f"lessons-pen-marks-{name}{part}", **values)
            ink.append(Text(text=text, at=(middle, 118.0 + 27.0 * k), size=(21.0, parts.LEAST)[k], strong=k == 0,
                            align="middle", colour=(INK, QUIET)[k]))
    scale = BAY / max(each.main * (1.0 + each.strain_walked) for each in found)
    for row, mark in enumerate(found):
        top = 196.0 + 120.0 * row
        ink.append(Text(text=words.verbatim(mark.webbing.name), at=(EDGE, top - 6.0), size=20.0, strong=True,
                        colour=HEAD, width=COLUMNS[0] - EDGE - 16.0))
        states = (
            (mark.slack, 0.0, 0.0), (mark.hung, mark.pull_hung, mark.strain_hung),
            (mark.walked, mark.pull_walked, mark.strain_walked),
        )
        for left, (depth, pull, strain) in zip(COLUMNS, states, strict=True):
            ink += _bay(mark, left, top, scale, depth, strain)
            gone = depth < GONE * mark.slack
            name = "lessons-pen-marks-gone" if gone else "lessons-pen-marks-depth"
            text = words.say(name, depth=Quantity(depth, "length"), pull=Quantity(pull, "force"))
            ink.append(Text(text=text, at=(left + BAY / 2, top + 12.0 + scale * mark.slack), size=20.0, strong=True,
                            align="middle", colour=RED if gone else INK))
    needed = tuple(
        words.say("lessons-pen-marks-needed-each", excess=Quantity(each.needed, "ratio"),
                  webbing=Verbatim(each.webbing.name))
        for each in found
    )
    kept = [each.walked for each in found]
    said = [words.say("lessons-pen-marks-needed", depth=Quantity(wanted, "length"), each=words.listed(needed))]
    alike = min(kept) > ALIKE * max(kept)
    if alike:
        said.append(words.say("lessons-pen-marks-alike"))
    ink += parts.answer(words.say("lessons-rows-nothing" if alike else "lessons-pen-marks-say"), said)
    script = (
        ("ask", words.say("lessons-pen-marks-ask-text")), ("show", words.say("lessons-pen-marks-show-text")),
        ("knob", words.say(
            "lessons-pen-marks-knob-text", tension=Quantity(HARDER * plan.tension, "force"),
            webbing=Verbatim(turned.webbing.name), depth=Quantity(turned.hung, "length"),
            pull=Quantity(turned.pull_hung, "force"), gone="yes" if turned.hung < GONE * turned.slack else "no",
        )),
    )
    ink += parts.script(script, words)
    ink.append(parts.basis(words, "lessons-pen-marks-dashed", "lessons-pen-marks-basis"))
    title = words.say("lessons-pen-marks-question")
    return Drawing(name="pen-marks", title=title, size=SIZE, paper=PAPER, ink=tuple(ink))


def _bay(mark: PenMark, left: float, top: float, scale: float, depth: float, strain: float) -> list[Ink]:
    """Main, tapes, loop and, dashed, the loop as marked; length and depth to one scale."""
    length = mark.main * (1.0 + strain) * scale
    start = left + (BAY - length) / 2
    steps = [k / 40 for k in range(41)]

    def loop(deep: float) -> tuple[tuple[float, float], ...]:
        return tuple((start + length * t, top + 5.0 + 4.0 * deep * scale * t * (1.0 - t)) for t in steps)

    ink: list[Ink] = []
    if depth < 0.97 * mark.slack:
        points = loop(mark.slack)
        ink += [Line(points=points[k : k + 2], colour=LINES["backup"][1], width=1.8) for k in range(0, 40, 2)]
    ink += [
        Line(points=loop(depth), colour=LINES["backup"][0], width=5.0),
        Line(points=((start - 14.0, top), (start + length + 14.0, top)), colour=LINES["main"][0], width=8.0),
    ]
    for x in (start, start + length):
        corners = ((x - 5.0, top - 8.0), (x + 5.0, top - 8.0), (x + 5.0, top + 10.0), (x - 5.0, top + 10.0))
        ink.append(Area(points=corners, colour=INK))
    return ink

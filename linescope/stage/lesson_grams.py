"""The lesson of a few grams of hold, as a page."""

from __future__ import annotations

import numpy as np

from linescope.contact.hung_holds import MASSES, HungHold, hung_holds
from linescope.contact.styles import with_style
from linescope.lessons.takes import GROWN, NOTHING, STYLES, needs_walker
from linescope.lessons.walked import enough_held
from linescope.notes import Quantity
from linescope.rig import Rig
from linescope.stage import lesson_parts as parts
from linescope.stage.ink import Area, Drawing, Ink, Line, Text
from linescope.stage.lesson_parts import EDGE, RED, SIZE
from linescope.stage.lesson_rows import holds_from
from linescope.stage.tape_card import HEAD, INK, LINES, PAPER, QUIET
from linescope.taping import Holds
from linescope.words import Words

LEFT, WIDE, TOLD = 190.0, 840.0, 1070.0
"""Where the line begins, its length, and where figures stand. [px]"""
TALLER = 3.0
"""Depths are drawn so many times as large as lengths, where they find room. [-]"""
TOP, LOW = 182.0, 672.0
ROW = 34.0
"""Of a row beyond its deepest loop. [px]"""
MOVED = 0.02
"""A deepest loop that a walk changes by more is told to be moved; less that runs is hardly seen. [m]"""


def grams_page(rig: Rig, words: Words) -> Drawing:
    """One hold after the other on all sliders.

    Parameters
    ----------
    rig : Rig
        With a walker; on fixed wraps, and tapes that hold the backup, it is shown with main-held sliders.
    words : Words

    Raises
    ------
    InputError
        When nobody walks.
    NoEquilibrium
    """
    needs_walker(rig)
    if any(zone.holds is not Holds.MAIN for zone in rig.taping.zones):
        rig = with_style(rig, *STYLES[1])
    enough = enough_held(rig)[Holds.MAIN]
    found = hung_holds(rig, (*[mass for mass in MASSES if mass < enough], enough))
    across = WIDE / rig.span
    deep = sum(_deepest(each) for each in found)
    down = min(TALLER * across, (LOW - TOP - ROW * len(found)) / deep)
    ink: list[Ink] = [
        parts.question("lessons-ten-grams-question", words),
        Text(
            text=words.say("lessons-ten-grams-setup", span=Quantity(rig.span, "length"), factor=Quantity(
                down / across, "number"), **parts.ends_of(rig)),
            at=(EDGE, 76.0), size=19.0,
        ),
        Text(text="A", at=(LEFT, 152.0), size=parts.LEAST, strong=True, align="middle", colour=QUIET),
        Text(
            text=words.say("lessons-ten-grams-end", **parts.ends_of(rig)), at=(LEFT + WIDE, 152.0), size=parts.LEAST,
            strong=True, align="right", colour=QUIET,
        ),
    ]
    for x, name, align in (
        (EDGE, "hold", "left"), (LEFT + WIDE / 2, "loops", "middle"), (TOLD, "deepest", "left"),
    ):
        text = words.say(f"lessons-ten-grams-{name}")
        ink.append(Text(text=text, at=(x, 118.0), size=parts.LEAST, strong=True, align=align))  # type: ignore[arg-type]
    ink.append(Text(text=words.say("lessons-ten-grams-ran"), at=(TOLD, 140.0), size=parts.LEAST, colour=QUIET))
    top = TOP
    for each in found:
        ink += _row(each, top, across, down, words)
        top += _deepest(each) * down + ROW
    moved = [each for each in found if each.ran_hung < NOTHING and abs(each.walked.max() - each.hung.max()) > MOVED]
    said = [
        words.say("lessons-ten-grams-moved", mass=Quantity(each.mass, "mass"), depth=Quantity(
            float(each.walked.max()), "length"), ran=Quantity(each.ran_walked, "length"))
        for each in moved[:1]
    ]
    said.append(words.say("lessons-ten-grams-still", mass=Quantity(enough, "mass")))
    alike = max(each.walked.max() for each in found) < GROWN * found[-1].hung.max()
    if alike:
        said = [words.say("lessons-ten-grams-alike")]
    ink += parts.answer(words.say("lessons-rows-nothing") if alike else holds_from(enough, found[-2].mass, words), said)
    columns = [(name, words.say(f"lessons-ten-grams-{name}-text")) for name in ("ask", "show", "knob")]
    ink += [*parts.script(columns, words), parts.basis(words, "lessons-ten-grams-basis")]
    title = words.say("lessons-ten-grams-question")
    return Drawing(name="ten-grams", title=title, size=SIZE, paper=PAPER, ink=tuple(ink))


def _deepest(each: HungHold) -> float:
    return float(max(each.hung.max(), each.walked.max()))


def _row(each: HungHold, top: float, across: float, down: float, words: Words) -> list[Ink]:
    """The line with one hold: loops after the walk, and dashed as they hung before it."""
    steps = np.linspace(0.0, 1.0, 17)
    x = LEFT + each.edges * across
    ink: list[Ink] = []
    for bay in range(len(each.walked)):
        wide = x[bay + 1] - x[bay]
        for depth, colour, width in (
            (each.hung[bay], LINES["backup"][1], 1.5), (each.walked[bay], LINES["backup"][0], 3.2)
        ):
            drop = 4.0 * depth * down * steps * (1.0 - steps)
            points = tuple((float(x[bay] + wide * t), float(top + y)) for t, y in zip(steps, drop, strict=True))
            if width < 2.0:
                ink += [Line(points=points[k : k + 2], colour=colour, width=width) for k in range(0, 16, 2)]
            else:
                ink.append(Line(points=points, colour=colour, width=width))
    ink.append(Line(points=((LEFT, top), (LEFT + WIDE, top)), colour=LINES["main"][0], width=5.0))
    for at in x[1:-1]:
        left, right = float(at) - 3.0, float(at) + 3.0
        corners = ((left, top - 5.0), (right, top - 5.0), (right, top + 6.0), (left, top + 6.0))
        ink.append(Area(points=corners, colour=INK))
    name = "lessons-ten-grams-free" if each.mass == 0.0 else "lessons-ten-grams-mass"
    hung, walked = (Quantity(float(depths.max()), "length") for depths in (each.hung, each.walked))
    deepest = words.say("lessons-ten-grams-depths", hung=hung, walked=walked)
    grown = words.value(hung) != words.value(walked)
    ran = words.say(
        "lessons-ten-grams-through", hung=Quantity(each.ran_hung, "length"),
        walked=Quantity(each.ran_walked, "length"),
    )
    return [
        *ink,
        Text(text=words.say(name, mass=Quantity(each.mass, "mass")), at=(EDGE, top - 11.0), size=19.0, strong=True,
             colour=HEAD),
        Text(text=deepest, at=(TOLD, top - 11.0), size=18.0, strong=grown, colour=RED if grown else INK),
        Text(text=ran, at=(TOLD, top + 12.0), size=parts.LEAST, colour=QUIET),
    ]

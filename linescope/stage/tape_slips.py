"""Strips wound wrongly by a little, drawn: the section, or what lies on the sliding line, each with its figures."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from linescope.stage.ink import Area, Disc, Drawing, Ink, Line, Point, Text, Window
from linescope.stage.tape_card import DRY, HATCH, HEAD, INK, LINES, PAPER, QUIET, SMALL, STICKY, TEXT, draw_section
from linescope.stage.tape_shapes import Shapes
from linescope.stage.tape_steps import TapeStep, scenes
from linescope.taping import Enclosing, LaidTape, Patch, Tab
from linescope.taping.section import lines_of
from linescope.taping.slips import Slip, SlipKind, find_slips
from linescope.topics.tapes import messages
from linescope.words import Words

Floats = NDArray[np.float64]
Frame = tuple[float, float, float, float]

CELL, GAP, EDGE = (640.0, 246.0), 22.0, 36.0
PICTURE = 268.0
"""Width of a picture; its words stand beside it. [px]"""
LONG = 38
"""Letters of a figure's words that fill a line."""
ALONG = 62.0
"""How much of the sliding line is drawn, along it. [mm]"""


def slip_drawing(tape: LaidTape, words: Words, columns: int = 3) -> Drawing:
    """What is left of a tape that is wound wrongly by a little, the right one first.

    Parameters
    ----------
    tape : LaidTape
    words : Words
    columns : int
        Of pictures beside each other.
    """
    slips = find_slips(tape)
    rows = messages.slip_rows(tape, slips, words)
    heads = tuple(words.say(f"tapes-slips-{head}") for head in ("left", "glue", "end", "style"))
    name = messages.card_title(tape, words)
    title = words.say("tapes-slips-title", name=name[:1].upper() + name[1:])
    drawn = words.say("tapes-slips-drawn-fixed" if tape.coverage is None else "tapes-slips-drawn",
                      **messages.values_of(tape))
    width = 2 * EDGE + columns * CELL[0] + (columns - 1) * GAP
    ink: list[Ink] = [
        Text(text=title, at=(EDGE, 22.0), size=28.0, strong=True, colour=HEAD),
        Text(text=drawn, at=(EDGE, 62.0), size=SMALL, colour=QUIET, width=width - 2 * EDGE),
    ]
    top = 104.0
    for k, (slip, (what, *figures)) in enumerate(zip(slips, rows, strict=True)):
        row, column = divmod(k, columns)
        left, upper = EDGE + column * (CELL[0] + GAP), top + row * (CELL[1] + GAP)
        frame = (left, upper, left + PICTURE, upper + CELL[1])
        ink += _unrolled(tape, slip, frame, words) if _is_sideways(slip) else _wound(slip, frame, words)
        if slip.kind is SlipKind.RIGHT:
            what = words.say("tapes-slips-right")
        ink += _told(what, list(zip(heads, figures, strict=True)), left + PICTURE + 18.0, upper)
    high = top + math.ceil(len(slips) / columns) * (CELL[1] + GAP)
    return Drawing(name="slips", title=title, size=(width, high), paper=PAPER, ink=tuple(ink))


def _is_sideways(slip: Slip) -> bool:
    return slip.kind in (SlipKind.ASIDE, SlipKind.SKEW)


def _told(what: str, figures: list[tuple[str, str]], left: float, top: float) -> list[Ink]:
    """What is wrong, and its figures below."""
    wide = CELL[0] - PICTURE - 18.0
    ink: list[Ink] = [Text(text=what[:1].upper() + what[1:], at=(left, top + 2.0), size=TEXT, strong=True, width=wide)]
    y = top + 56.0
    for head, text in figures:
        ink += [
            Text(text=head, at=(left, y), size=13.0, colour=QUIET),
            Text(text=text, at=(left, y + 17.0), size=SMALL, width=wide),
        ]
        y += 44.0 if len(text) <= LONG else 63.0
    return ink


def _wound(slip: Slip, frame: Frame, words: Words) -> list[Ink]:
    """The section, with where the dry part and the strip end."""
    shapes, found = scenes(slip.tape)
    scene = replace(found[-1], turned=False)
    if slip.kind is SlipKind.ALONG and isinstance(slip.tape.winding.beginning, Patch):
        assert shapes.winding.dry is not None
        low, high = (place + slip.amount for place in shapes.winding.dry)
        scene = replace(scene, plain=(shapes.wound(low, high, under=1.0),))
    left, top, right, bottom = frame
    wide = 2.0 * max(shapes.half(True), shapes.half(False)) + 12.0
    high_ = shapes.levels(True)[1] - shapes.levels(False)[1] + 14.0
    scale = min(0.62 * (right - left) / wide, (bottom - top) / high_)
    centre = ((left + right) / 2, (top + bottom) / 2)
    middle = (shapes.levels(True)[1] + shapes.levels(False)[1]) / 2

    def page(p: Floats) -> Point:
        return float(centre[0] + p[0] * scale), float(centre[1] - (p[1] - middle) * scale)

    ink = list(draw_section(shapes, scene, page, scale))
    for name, point, side in _marked(shapes, scene):
        at = page(point)
        up = at[1] < centre[1]
        x, y = (right - 4.0 if side else left), (top + 12.0 if up else bottom - 12.0)
        ink += [
            Line(points=((x, y), at), colour=INK, width=1.2), Disc(at=at, radius=4.4, colour=PAPER),
            Disc(at=at, radius=3.2, colour=INK),
            Text(text=words.say(name), at=(x, y), size=SMALL, align="right" if side else "left", plate=PAPER,
                 centred=True),
        ]
    return ink


def _marked(shapes: Shapes, scene: TapeStep) -> list[tuple[str, Floats, bool]]:
    """Where the strip ends, and where its dry part does, or where it begins: message, point, on the right."""
    way = scene.strips[0]
    found = [("tapes-slip-label-ends", way[-1], False)]
    if isinstance(shapes.winding.beginning, (Enclosing, Tab)):
        return [*found, ("tapes-slip-label-dry", shapes.first_layer[-1], True)]
    if scene.plain:
        return [*found, ("tapes-slip-label-dry", max(scene.plain[0][0], scene.plain[0][-1], key=lambda p: p[0]), True)]
    return [*found, ("tapes-slip-label-begins", way[0], True)]


def _unrolled(tape: LaidTape, slip: Slip, frame: Frame, words: Words) -> list[Ink]:
    """What lies on the sliding line: round it upwards, from its near edge; along it to the right.  To scale."""
    left, top, right, bottom = frame
    assert tape.coverage is not None
    needed, wide = 1e3 * tape.coverage.needed, 1e3 * tape.tape.width
    before = 1e3 * tape.coverage.spare if isinstance(tape.winding.beginning, Patch) else 0.0
    upper = needed + 1e3 * tape.coverage.after
    scale = min((right - left) / ALONG, (bottom - top) / (upper + before + 6.0))
    centre = ((left + right) / 2, (top + bottom) / 2)

    def page(points: list[tuple[float, float]]) -> tuple[Point, ...]:
        middle = (upper - before) / 2
        return tuple((centre[0] + x * scale, centre[1] - (y - middle) * scale) for x, y in points)

    _, sliding = lines_of(tape.holds)
    half = wide / 2
    line = page([(-ALONG / 2, 0.0), (ALONG / 2, 0.0), (ALONG / 2, needed), (-ALONG / 2, needed)])
    ink: list[Ink] = [Area(points=line, colour=LINES[sliding][0])]
    if isinstance(tape.winding.beginning, Patch) and slip.kind is SlipKind.SKEW:
        return [*ink, *_skewed_patch(tape, slip, page, frame, needed)]
    ink += _sheet(page([(-half, -before), (half, -before), (half, upper), (-half, upper)]), DRY)
    near, far = (1e3 * width for width in slip.glue)
    glue = page([(half, 0.0), (half + near, 0.0), (half + far, needed), (half, needed)])
    ink += _wedge(glue)
    at = ((glue[2][0] + glue[3][0]) / 2, glue[2][1] + 0.25 * (glue[0][1] - glue[2][1]))
    x, y = right - 4.0, top + 6.0
    ink += [
        Line(points=((x - 10.0, y), at), colour=INK, width=1.2), Disc(at=at, radius=4.4, colour=PAPER),
        Disc(at=at, radius=3.2, colour=INK),
        Text(text=words.say("tapes-slip-label-glue"), at=(x, y), size=SMALL, align="right", plate=PAPER, centred=True),
    ]
    return ink


def _skewed_patch(
    tape: LaidTape, slip: Slip, page: Callable[[list[tuple[float, float]]], tuple[Point, ...]], frame: Frame,
    needed: float,
) -> list[Ink]:
    """The strip with its cross piece lying off square."""
    assert tape.coverage is not None
    half, zone = 500.0 * tape.tape.width, 1e3 * tape.coverage.zone
    low, high, lean = (needed - zone) / 2, (needed + zone) / 2, half * math.tan(slip.amount)
    strip = page([(-half, low - 12.0), (half, low - 12.0), (half, high + 12.0), (-half, high + 12.0)])
    dry = page([(-half, low - lean), (half, low + lean), (half, high + lean), (-half, high - lean)])
    left, top, right, bottom = frame
    return [Window(frame=(left, top, right, bottom), ink=(*_hatched(strip, frame), *_sheet(dry, DRY)))]


def _sheet(corners: tuple[Point, ...], colour: str) -> list[Ink]:
    return [Area(points=corners, colour=colour), Line(points=(*corners, corners[0]), colour=INK, width=1.6)]


def _wedge(corners: tuple[Point, ...]) -> list[Ink]:
    """Glue beside a strip: from its lower left corner, anticlockwise; wider above than below."""
    (left, low), (near, _), (far, high), _ = corners
    ink: list[Ink] = [Area(points=corners, colour=STICKY)]
    for y in np.arange(high + 6.0, low, 9.0):
        wide = near - left + (far - near) * (low - y) / (low - high)
        ink.append(Line(points=((left, float(y)), (left + wide, max(high, float(y) - wide))), colour=HATCH, width=1.5))
    return [*ink, Line(points=(*corners, corners[0]), colour=INK, width=1.6)]


def _hatched(corners: tuple[Point, ...], frame: Frame) -> list[Ink]:
    """A sticky area: its tone, and hatching seen through its own box."""
    xs, ys = [x for x, _ in corners], [y for _, y in corners]
    box = (min(xs), max(min(ys), frame[1]), max(xs), min(max(ys), frame[3]))
    high = box[3] - box[1]
    lines = [Line(points=((x, box[3]), (x + high, box[1])), colour=HATCH, width=1.5)
             for x in np.arange(box[0] - high, box[2], 10.0)]
    return [
        Area(points=corners, colour=STICKY), Window(frame=box, ink=tuple(lines)),
        Line(points=(*corners, corners[0]), colour=INK, width=1.6),
    ]

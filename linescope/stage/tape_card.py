"""The card of one tape: its steps in pictures and words, the flat strip, the finished section; each step by itself."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from linescope.notes import Ruled
from linescope.stage.camera import Camera
from linescope.stage.ink import LEADING, Area, Disc, Drawing, Ink, Line, Point, Text, Window
from linescope.stage.prisms import Bar, StripSolid, paint
from linescope.stage.tape_shapes import LAYER, Shapes, Way
from linescope.stage.tape_steps import Pointer, TapeStep, scenes
from linescope.stage.theme import LIGHT
from linescope.taping import Holds, LaidTape
from linescope.taping.remarks import body_term
from linescope.topics.tapes import messages
from linescope.words import Words

Floats = NDArray[np.float64]
Frame = tuple[float, float, float, float]

PAPER, INK, QUIET, HEAD = "#ffffff", "#15191c", "#6d6a60", "#00395c"
DRY, STICKY, HATCH = "#f1ead8", "#86a9a0", "#1f4d45"
LINES = {"main": ("#00395c", "#34557f"), "backup": ("#d55e00", "#e88c3f")}
"""Of a line and of its seen end."""
LIGHT_FROM = np.array([-0.45, 0.89])
PANEL = (640.0, 444.0)
"""Width and height of a picture of one step. [px]"""
TEXT = 19.0
SMALL = 17.0
HATCHED = 3.6
"""Between two lines of hatching. [mm]"""


@dataclass(frozen=True, kw_only=True)
class Mirror:
    """A picture as another hand, or another side up, sees it: its left and right, its upper and lower side changed.

    Attributes
    ----------
    across, over : bool
    """

    across: bool = False
    over: bool = False

    def share(self, to: tuple[float, float]) -> tuple[float, float]:
        """A place in a panel, as shares from its top left corner."""
        return (1.0 - to[0] if self.across else to[0], 1.0 - to[1] if self.over else to[1])

    def point(self, p: Point, frame: Frame) -> Point:
        """A place on the page, in a frame."""
        left, top, right, bottom = frame
        return (left + right - p[0] if self.across else p[0], top + bottom - p[1] if self.over else p[1])

    def points(self, points: Floats, frame: Frame) -> Floats:
        """(n, 2) places on the page, in a frame."""
        return np.array([self.point((float(x), float(y)), frame) for x, y in points])


def _mirrors(tape: LaidTape, manner: messages.Manner, found: Sequence[TapeStep]) -> list[Mirror]:
    """How each step is seen.  At the end the end of the strip lies on top however it was wound.

    A strip without lines is seen from above in any case.
    """
    left, below = manner.hand == "left", manner.below(tape)
    return [
        *(Mirror(across=left, over=below and bool(scene.lines)) for scene in found[:-1]),
        Mirror(across=left is not below),
    ]


def step_drawings(tape: LaidTape, words: Words, manner: messages.Manner = messages.USUAL) -> tuple[Drawing, ...]:
    """A drawing of each step, without its words below.

    Parameters
    ----------
    tape : LaidTape
    words : Words
        Of what stands in the pictures.
    manner : Manner
    """
    shapes, found = scenes(tape)
    mirrors = _mirrors(tape, manner, found)
    return tuple(
        Drawing(
            name=f"step {k}", title=messages.step(tape, k, words, manner), size=PANEL, paper=PAPER,
            ink=tuple(panel(shapes, scene, (0.0, 0.0, *PANEL), words, mirror, manner)),
        )
        for k, (scene, mirror) in enumerate(zip(found, mirrors, strict=True), 1)
    )


def card(tape: LaidTape, words: Words, manner: messages.Manner = messages.USUAL, tried: str = "") -> Drawing:
    """All of one tape on a page: steps, what sticks to what, the strip, the finished section.

    Parameters
    ----------
    tape : LaidTape
    words : Words
    manner : Manner
    tried : str
        What was tried of tape and webbing in place of the file's values, as `frame.tried` says it.
    """
    shapes, found = scenes(tape)
    mirrors = _mirrors(tape, manner, found)
    columns, edge, gap = 3, 36.0, 22.0
    wide, high = PANEL
    below = 126.0
    width = 2 * edge + columns * wide + (columns - 1) * gap
    title = messages.card_title(tape, words)
    ink: list[Ink] = [
        Text(text=title[:1].upper() + title[1:], at=(edge, 26.0), size=42.0, strong=True, colour=HEAD),
        Text(text=messages.under(tape, words), at=(edge, 84.0), size=22.0, width=width - 2 * edge),
        Text(text=words.say("tapes-terms"), at=(edge, 116.0), size=SMALL, width=width - 2 * edge),
        Text(text=messages.drawn(words, manner), at=(edge, 142.0), size=SMALL, width=width - 2 * edge, colour=QUIET),
    ]
    top = 178.0
    if tried:
        ink.append(Text(text=tried, at=(edge, top - 8.0), size=22.0, strong=True, width=width - 2 * edge,
                        colour=LIGHT.colours["alarm"], most=1))  # fmt: skip
        top += 34.0
    for k, (scene, mirror) in enumerate(zip(found, mirrors, strict=True)):
        row, column = divmod(k, columns)
        left, upper = edge + column * (wide + gap), top + row * (high + below + 14.0)
        ink += panel(shapes, scene, (left, upper, left + wide, upper + high), words, mirror, manner)
        ink.append(Text(text=str(k + 1), at=(left, upper + high + 6.0), size=38.0, strong=True, colour=HEAD))
        told = messages.step(tape, k + 1, words, manner)
        ink.append(Text(text=told, at=(left + 40.0, upper + high + 8.0), size=TEXT, width=wide - 44.0))
    free = columns * math.ceil(len(found) / columns) - len(found)
    rows = math.ceil(len(found) / columns)
    left, upper = edge + (columns - free) * (wide + gap), top + (rows - 1) * (high + below + 14.0)
    if free == 0:
        left, upper = edge, top + rows * (high + below + 14.0)
        rows += 1
    ink += _key(tape, (left, upper, left + wide, upper + 290.0), words, manner)
    section = (left, upper + 306.0, left + wide, upper + high + below)
    if free == 2:
        section = (left + wide + gap, upper, left + 2 * wide + gap, upper + high)
    ink += _finished(shapes, found[-1], section, words, mirrors[0])
    bottom = top + rows * (high + below + 14.0)
    ink += strip_parts(tape, (edge, bottom, width - edge, bottom + 150.0), words)
    first = messages.first_strip(tape, words)
    ink.append(Text(text=first, at=(edge, bottom + 160.0), size=SMALL, width=width - 2 * edge, colour=QUIET))
    return Drawing(name=title, title=title, size=(width, bottom + 226.0), paper=PAPER, ink=tuple(ink))


# One step


def panel(
    shapes: Shapes, scene: TapeStep, frame: Frame, words: Words, mirror: Mirror, manner: messages.Manner
) -> list[Ink]:
    """A step in perspective, with its section in the corner and its words."""
    left, top, right, bottom = frame
    size = (right - left, bottom - top)
    camera = Camera(
        eye=np.array(scene.eye), target=np.array(scene.focus), up=np.array([0.0, 1.0, 0.0]),
        angle=2.0 * math.atan(math.tan(math.radians(12.0)) / scene.zoom),
    )

    def project(points: Floats) -> Floats:
        return mirror.points(camera.project(points, size)[:, :2] + np.array([left, top]), frame)

    seen: list[Ink] = list(paint(_things(shapes, scene), camera.eye, project, HATCHED, LIGHT_FROM))
    if scene.wings is not None:
        seen += _cross_piece(shapes, scene, project)
    ink: list[Ink] = [Window(frame=frame, ink=tuple(seen))]
    flip = -1.0 if scene.turned else 1.0
    spins = scene.turn_over == manner.held
    for arrow in (*scene.arrows, *((scene.spins,) if spins else ())):
        ink += _arrow(project(arrow * np.array([flip, flip, 1.0])))
    if scene.inset is not None:
        ink += _inset(shapes, scene, frame, mirror)
    elif scene.wings is not None and scene.wings > 90.0:
        ink += _back(shapes, frame, mirror, words)
    if scene.from_below is not mirror.over:
        at = (left, top + 4.0 if mirror.over else bottom - 1.4 * SMALL)
        ink.append(Text(text=words.say("tapes-label-from-below"), at=at, size=SMALL, colour=QUIET, plate=PAPER))
    values = messages.values_of(shapes.tape)
    turn = Pointer(message="tapes-label-turn-over", at=tuple(scene.spins[14].tolist()), to=(0.03, 0.62))
    for pointer in (*scene.pointers, *((turn,) if spins else ())):
        ink += _pointer(pointer.at, mirror.share(pointer.to), project, frame, words.say(pointer.message, **values))
    return ink


def _things(shapes: Shapes, scene: TapeStep) -> list[Bar | StripSolid]:
    """Lines and strips of a scene."""
    flip = -1.0 if scene.turned else 1.0
    found: list[Bar | StripSolid] = []
    for on_top, up in scene.lines:
        colour, end = LINES[shapes.body(on_top)]
        outline = (shapes.outline(on_top) + np.array([0.0, up])) * flip
        found.append(Bar(outline=outline, reach=(-60.0, 60.0), colour=colour, end=end, rule=INK, weave=7))
    reach = (-scene.wide / 2, scene.wide / 2)
    left = not scene.mirrored
    for way in scene.strips:
        found.append(
            StripSolid(
                way=way * flip, reach=reach, left=STICKY if left else DRY, right=DRY if left else STICKY,
                hatch_left=HATCH if left else "", hatch_right="" if left else HATCH, rule=INK,
            )
        )
    for way in scene.plain:
        found.append(
            StripSolid(way=way * flip, reach=reach, left=DRY, right=DRY, hatch_left="", hatch_right="", rule=INK)
        )
    return found


def _cross_piece(shapes: Shapes, scene: TapeStep, project: Callable[[Floats], Floats]) -> list[Ink]:
    """A cross piece on a strip that lies flat, its wings bent down by an angle or folded to the back."""
    angle, half = scene.wings or 0.0, scene.wide / 2
    piece = 1e3 * shapes.tape.piece_length
    zone = 500.0 * (1e-3 * 2.0 * abs(scene.strips[0][1][0]))
    side = Way((0.0, 0.7), 0.0).on(half + 0.3).turn(-angle, 0.8).on(max(1.0, piece / 2 - half)).points
    profile = np.concatenate([side[::-1] * np.array([-1.0, 1.0]), side[1:]])
    faces = []
    for a, b in pairwise(profile):
        corners = np.array([[-zone, a[1], a[0]], [-zone, b[1], b[0]], [zone, b[1], b[0]], [zone, a[1], a[0]]])
        upward = b[0] > a[0]
        faces.append((float(np.mean([a[1], b[1]])), corners, upward))
    ink: list[Ink] = []
    hidden = [face for face in faces if not face[2]]
    if angle > 90.0:
        faces = [face for face in faces if face[2] or face[0] > 0.0]
        del hidden
    for _, corners, upward in sorted(faces, key=lambda face: face[0]):
        fill = DRY if upward else _darker(DRY)
        page = tuple((float(x), float(y)) for x, y in project(corners))
        ink.append(Area(points=page, colour=fill, edge=fill, width=0.8))
        for first, second in ((0, 1), (3, 2)):
            ink.append(Line(points=(page[first], page[second]), colour=INK, width=1.8))
    ends = profile[[0, -1]] if angle < 90.0 else np.array([[-half - 1.0, 0.0], [half + 1.0, 0.0]])
    for z, y in ends:
        page = tuple((float(x), float(yy)) for x, yy in project(np.array([[-zone, y, z], [zone, y, z]])))
        ink.append(Line(points=page, colour=INK, width=2.2))
    return ink


def _back(shapes: Shapes, frame: Frame, mirror: Mirror, words: Words) -> list[Ink]:
    """The back of a flat strip in the corner, with the wings of its cross piece stuck down on it."""
    left, top, right, _ = frame
    tape, start = shapes.tape, next(part for part in shapes.tape.segments if part.kind == "dry")
    scale = INSET * (right - left) / (1e3 * start.end + 30.0)
    high, far = 1e3 * tape.tape.width * scale, left + INSET * (right - left)
    wing = 0.5 * 1e3 * (tape.piece_length - tape.tape.width) * scale
    low, up = far - 1e3 * start.end * scale, far - 1e3 * start.start * scale
    y = top + 8.0

    def box(x0: float, y0: float, x1: float, y1: float) -> tuple[Point, ...]:
        return tuple(mirror.point(p, frame) for p in ((x0, y0), (x1, y0), (x1, y1), (x0, y1)))

    ink: list[Ink] = []
    wings = ((low, y, up, y + wing), (low, y + high - wing, up, y + high))
    for corners, colour in ((box(left, y, far, y + high), DRY), *((box(*each), _darker(DRY)) for each in wings)):
        ink += [Area(points=corners, colour=colour), Line(points=(*corners, corners[0]), colour=INK, width=1.4)]
    at = mirror.point(((left + far) / 2, y + high + 6.0), frame)
    return [*ink, Text(text=words.say("tapes-label-back"), at=at, size=SMALL, align="middle")]


def _darker(colour: str) -> str:
    return "#" + "".join(f"{round(0.86 * int(colour[k : k + 2], 16)):02x}" for k in (1, 3, 5))


def _arrow(points: Floats) -> list[Ink]:
    """A curved arrow with a pale rim."""
    page = tuple((float(x), float(y)) for x, y in points)
    along = points[-1] - points[-2]
    along = along / (float(np.hypot(*along)) or 1.0)
    side = np.array([-along[1], along[0]])
    tip = points[-1] + 9.0 * along
    head = [tip, tip - 16.0 * along + 6.5 * side, tip - 16.0 * along - 6.5 * side]
    corners = tuple((float(x), float(y)) for x, y in head)
    return [
        Line(points=page, colour=PAPER, width=7.0), Area(points=corners, colour=PAPER, edge=PAPER, width=5.0),
        Line(points=page, colour=INK, width=3.0), Area(points=corners, colour=INK),
    ]


def _pointer(
    spot: tuple[float, float, float], to: tuple[float, float], project: Callable[[Floats], Floats], frame: Frame,
    text: str,
) -> list[Ink]:
    """Words with a thin line to what they belong to."""
    left, top, right, bottom = frame
    at = project(np.array([spot]))[0]
    x, y = left + to[0] * (right - left), top + to[1] * (bottom - top)
    y = min(max(y, top + 2 * SMALL), bottom - 1.6 * SMALL)
    return [
        Line(points=((x, y), (float(at[0]), float(at[1]))), colour=INK, width=1.2),
        Disc(at=(float(at[0]), float(at[1])), radius=4.4, colour=PAPER),
        Disc(at=(float(at[0]), float(at[1])), radius=3.2, colour=INK),
        Text(text=text, at=(x, y), size=SMALL, width=0.36 * (right - left), align="left" if to[0] < 0.5 else "right",
             plate=PAPER, centred=True),
    ]


# The section


INSET = 0.34
"""Of a panel, its section in the corner. [-]"""


def _inset(shapes: Shapes, scene: TapeStep, panel: Frame, mirror: Mirror) -> list[Ink]:
    """The section in a corner, near edge on the left unless it is mirrored."""
    assert scene.inset is not None
    x0, x1, y0, y1 = scene.inset
    flip = -1.0 if scene.turned else 1.0
    if scene.turned:
        y0, y1 = -y1, -y0
        x0, x1 = -x1, -x0
    left, top = panel[:2]
    scale = min(INSET * (panel[2] - left) / (x1 - x0), INSET * (panel[3] - top) / (y1 - y0))
    width, height = scale * (x1 - x0), scale * (y1 - y0)
    box = mirror.points(np.array([[left, top], [left + width, top + height]]), panel)
    (low, high), (wide, tall) = box.min(axis=0).tolist(), box.max(axis=0).tolist()
    inner = (low, high, wide, tall)
    corners = ((low, high), (wide, high), (wide, tall), (low, tall))

    def page(p: Floats) -> Point:
        return mirror.point((float(low + (p[0] * flip - x0) * scale), float(high + (y1 - p[1] * flip) * scale)), inner)

    ink = [Area(points=corners, colour="#ffffff"), *draw_section(shapes, scene, page, scale)]
    return [Window(frame=inner, ink=tuple(ink)), Line(points=(*corners, corners[0]), colour="#b4bcc1", width=1.2)]


def draw_section(shapes: Shapes, scene: TapeStep, page: Callable[[Floats], Point], scale: float) -> list[Ink]:
    """Lines and strip cut across, the sticky face marked along it.

    Parameters
    ----------
    shapes : Shapes
    scene : TapeStep
    page : callable
        From the section to the page.
    scale : float
        [px/mm]
    """
    ink: list[Ink] = []
    for on_top, up in scene.lines:
        outline = shapes.outline(on_top) + np.array([0.0, up])
        ink.append(
            Area(points=tuple(page(p) for p in outline), colour=LINES[shapes.body(on_top)][0], edge=INK, width=1.0)
        )
    thick = 0.80 * scale
    for way, plain in (*((way, True) for way in scene.plain), *((way, False) for way in scene.strips)):
        points = tuple(page(p) for p in way)
        ink += [Line(points=points, colour=INK, width=thick + 1.4), Line(points=points, colour=DRY, width=thick)]
        if not plain:
            inner = _beside(way, (-0.24 if scene.mirrored else 0.24))
            ink.append(Line(points=tuple(page(p) for p in inner), colour="#2f7d6d", width=0.34 * scale))
    return ink


def _beside(way: Floats, off: float) -> Floats:
    """A way moved to its left by `off`."""
    along = np.gradient(way, axis=0)
    along = along / np.maximum(np.hypot(*along.T), 1e-9)[:, None]
    return np.asarray(way + off * np.column_stack([-along[:, 1], along[:, 0]]))


def _finished(shapes: Shapes, scene: TapeStep, frame: Frame, words: Words, mirror: Mirror) -> list[Ink]:
    """The finished section, large, with its parts named."""
    left, top, right, bottom = frame
    values, wide = messages.values_of(shapes.tape), max(shapes.half(True), shapes.half(False))
    high = shapes.levels(True)[1] - shapes.levels(False)[1] + 12.0
    scale = min(0.44 * (right - left) / (2 * wide), 0.62 * (bottom - top) / high)
    centre = ((left + right) / 2, (top + bottom) / 2 + 14.0)
    middle = (shapes.levels(True)[1] + shapes.levels(False)[1]) / 2

    def page(p: Floats) -> Point:
        across, up = (-1.0 if mirror.across else 1.0), (-1.0 if mirror.over else 1.0)
        return float(centre[0] + across * p[0] * scale), float(centre[1] - up * (p[1] - middle) * scale)

    ink: list[Ink] = [Text(text=words.say("tapes-section-lies"), at=(left, top), size=21.0, strong=True)]
    ink += draw_section(shapes, scene, page, scale)
    for name, point, (side, down) in _named(shapes, scene):
        at = page(np.array(point))
        right_side, share = side is not mirror.across, 1.0 - down if mirror.over else down
        x = right if right_side else left
        y = top + 34.0 + share * (bottom - top - 60.0)
        ink += [
            Line(points=((x, y), at), colour=INK, width=1.2),
            Disc(at=at, radius=4.4, colour=PAPER), Disc(at=at, radius=3.2, colour=INK),
            Text(text=words.say(name, **values), at=(x, y), size=SMALL, width=165.0,
                 align="right" if right_side else "left", plate=PAPER, centred=True),
        ]
    return ink


def _named(shapes: Shapes, scene: TapeStep) -> list[tuple[str, tuple[float, float], tuple[bool, float]]]:
    """What is named in the finished section: message, where it is, on which side and how far down its words stand."""
    end = scene.strips[0][-1]
    found = [("tapes-label-ends", (float(end[0]), float(end[1])), (False, 0.10 if end[1] > 0.0 else 0.95))]
    begun = messages.begun(shapes.tape)
    edge = shapes.half(False) + 0.6 * LAYER
    low = sum(shapes.levels(False)) / 2
    if begun == "lead":
        first = scene.strips[0][0]
        return [*found, ("tapes-label-begins", (float(first[0]), float(first[1])), (True, 0.95))]
    tip = shapes.first_layer[-1]
    if begun == "enclosing":
        return [
            *found, ("tapes-label-one-layer", (-0.7 * shapes.half(True), 0.0), (False, 0.5)),
            ("tapes-label-tip", (float(tip[0]), float(tip[1])), (True, 0.10)),
            ("tapes-label-dry-to", (edge, low), (True, 0.75)),
        ]
    if begun == "tab":
        inside = -max(shapes.half(True), shapes.half(False)) + 900.0 * shapes.winding.between
        return [
            *found, ("tapes-label-tab-inside", (inside, 0.0), (False, 0.5)),
            ("tapes-label-tab-tip", (float(tip[0]), float(tip[1])), (True, 0.10)),
            ("tapes-label-dry-to", (edge, low), (True, 0.75)),
        ]
    return [
        *found, ("tapes-label-nothing", (-0.6 * shapes.half(True), 0.0), (False, 0.5)),
        ("tapes-label-dry-to", (edge, low), (True, 0.75)),
    ]


# The strip and the key


def strip_parts(tape: LaidTape, frame: Frame, words: Words) -> list[Ink]:
    """The flat strip, sticky side up, in its parts, and what is stuck together."""
    left, top, right, _ = frame
    scale, base, high = (right - left) / tape.cut_length, top + 62.0, 30.0
    begun = messages.begun(tape)
    ink: list[Ink] = [
        Text(text=words.say("tapes-strip", length=Ruled(tape.cut_length)), at=(right, top), size=21.0, strong=True,
             align="right")
    ]
    middles: dict[str, float] = {}
    lengths = messages.part_lengths(tape, words)
    for number, part in enumerate(tape.segments):
        a, b = left + part.start * scale, left + part.end * scale
        box = ((a, base), (b, base), (b, base + high), (a, base + high))
        ink.append(Area(points=box, colour=DRY if part.kind == "dry" else STICKY))
        if part.kind != "dry":
            lines = [
                Line(points=((x, base + high), (x + high, base)), colour=HATCH, width=1.5)
                for x in np.arange(a - high, b, 11.0)
            ]
            ink.append(Window(frame=(a, base, b, base + high), ink=tuple(lines)))
        ink.append(Line(points=(*box, box[0]), colour=INK, width=1.6))
        middles[part.kind] = (a + b) / 2
        for k, text in enumerate((messages.part_name(tape, part.kind, words), lengths[number])):
            at = ((a + b) / 2, base + high + 6.0 + 1.25 * SMALL * k)
            ink.append(Text(text=text, at=at, size=SMALL, align="middle"))
    pair = {"enclosing": ("short", "tail"), "tab": ("fold", "tab")}.get(begun)
    if pair is not None:
        a, b = (middles[kind] for kind in pair)
        both = {lengths[number] for number, part in enumerate(tape.segments) if part.kind in pair}
        stuck = words.say(f"tapes-stuck-{begun}", longer="yes" if len(both) > 1 else "no")
        t = np.linspace(0.0, 1.0, 40)
        arc = tuple((float(a + (b - a) * s), float(base - 4.0 - 24.0 * math.sin(math.pi * s))) for s in t)
        ink.append(Line(points=arc, colour=INK, width=1.8))
        ink.append(Text(text=stuck, at=((a + b) / 2, base - 52.0), size=SMALL, align="middle"))
    return ink


def _key(tape: LaidTape, frame: Frame, words: Words, manner: messages.Manner) -> list[Ink]:
    """What tones and hatching mean, what must not touch glue, and what spoils it."""
    left, top, right, _ = frame
    held, slides = ("main", "backup") if tape.holds is Holds.BOTH else (
        ("main", "backup") if tape.holds is Holds.MAIN else ("backup", "main")
    )
    both, values = tape.coverage is None, messages.values_of(tape, manner)
    name = {True: ("tapes-key-both", "tapes-key-both"), False: ("tapes-key-held", "tapes-key-slides")}[both]
    items = [
        (STICKY, True, words.say("tapes-key-sticky")), (DRY, False, words.say("tapes-key-dry")),
        (LINES[held][0], False, words.say(name[0], line=body_term(held), below=values["below"])),
        (LINES[slides][0], False, words.say(name[1], line=body_term(slides))),
    ]
    ink: list[Ink] = []
    for k, (colour, hatched, text) in enumerate(items):
        y = top + 30.0 * k
        box = ((left, y), (left + 52.0, y), (left + 52.0, y + 22.0), (left, y + 22.0))
        ink.append(Area(points=box, colour=colour))
        if hatched:
            starts = np.arange(left - 22.0, left + 52.0, 10.0)
            lines = [Line(points=((x, y + 22.0), (x + 22.0, y)), colour=HATCH, width=1.5) for x in starts]
            ink.append(Window(frame=(left, y, left + 52.0, y + 22.0), ink=tuple(lines)))
        ink.append(Line(points=(*box, box[0]), colour=INK, width=1.4))
        ink.append(Text(text=text, at=(left + 66.0, y + 11.0), size=TEXT, centred=True))
    warn = words.say("tapes-both-glue") if both else words.say("tapes-no-glue", **values)
    y = top + 30.0 * len(items) + 6.0
    ink.append(Text(text=warn, at=(left, y), size=23.0, strong=True, width=right - left))
    y += 36.0
    for text in messages.hints(tape, words)[1:]:
        ink.append(Text(text=text, at=(left, y), size=TEXT, width=right - left))
        y += 3.0 * LEADING * TEXT + 8.0
    return ink

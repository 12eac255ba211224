"""The steps of making a tape, as drawn: lines and strip in perspective, and their section, both from one computed way.

Every way to begin has its scenes here, so a family that begins like another needs none of its own.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from linescope.stage.tape_shapes import LAYER, Shapes, Way, shapes_of
from linescope.taping import Enclosing, Holds, LaidTape, Lead, Patch, Tab

Floats = NDArray[np.float64]
Box = tuple[float, float, float, float]

ABOVE, BELOW = (-150.0, 118.0, 78.0), (-120.0, -118.0, 78.0)
"""Where the reader's eye is. [mm]"""
OUT = 0.0022
"""Way after the seam on which a strip climbs on to what comes out of it. [m]"""


@dataclass(frozen=True, kw_only=True)
class Pointer:
    """Words that belong to a point of a scene.

    Attributes
    ----------
    message : str
    at : (x, y, z)
        [mm]
    to : (float, float)
        Where the words stand, as shares of the panel from its top left corner.  [-]
    """

    message: str
    at: tuple[float, float, float]
    to: tuple[float, float]


@dataclass(frozen=True, eq=False, kw_only=True)
class TapeStep:
    """One step.

    Attributes
    ----------
    lines : tuple of (bool, float)
        Which lines are there (True: the one on top), and how far each is moved up.  [mm]
    strips : tuple of (n, 2) arrays
        Sticky face on the left, or on the right where it is mirrored.  [mm]
    plain : tuple of (n, 2) arrays
        Strip that is dry on both faces, as a cross piece is.  [mm]
    mirrored, turned : bool
        Sticky on the other side; the pair turned over.
    wide : float
        Of the tape.  [mm]
    arrows : tuple of (n, 3) arrays
        [mm]
    pointers : tuple of Pointer
    eye, focus : (x, y, z)
        [mm]
    zoom : float
        [-]
    inset : Box or None
        What of the section is shown: from x, to x, from y, to y.  [mm]
    wings : float or None
        A cross piece on a flat strip, its wings bent down by an angle; None without.  [deg]
    turn_over : "on top", "underneath" or None
        Whoever has the held line there turns the strip over after this step.
    spin : (x, y)
        Round what of it that arrow goes.  [mm]
    """

    lines: tuple[tuple[bool, float], ...] = ()
    strips: tuple[Floats, ...] = ()
    plain: tuple[Floats, ...] = ()
    mirrored: bool = False
    turned: bool = False
    wide: float = 25.0
    arrows: tuple[Floats, ...] = ()
    pointers: tuple[Pointer, ...] = ()
    eye: tuple[float, float, float] = ABOVE
    focus: tuple[float, float, float] = (-2.0, 9.0, -6.0)
    zoom: float = 1.0
    inset: Box | None = (-22.0, 22.0, -13.0, 15.0)
    wings: float | None = None
    turn_over: Literal["on top", "underneath"] | None = None
    spin: tuple[float, float] = (0.0, 0.0)

    @property
    def from_below(self) -> bool:
        """Whether the eye is below."""
        return self.eye[1] < 0.0

    @property
    def spins(self) -> Floats:
        """An arrow across a strip that lies flat, from one rim over it to the other."""
        t, (x, y) = np.linspace(0.0, math.pi, 24), self.spin
        return np.column_stack([
            np.full(24, x), y + 1.0 + 15.0 * np.sin(t), (self.wide / 2 + 5.0) * np.cos(t),
        ])


@functools.lru_cache(maxsize=32)
def scenes(tape: LaidTape) -> tuple[Shapes, tuple[TapeStep, ...]]:
    """The scenes of all steps of a tape, and its shapes.

    Parameters
    ----------
    tape : LaidTape
    """
    shapes = shapes_of(tape)
    return shapes, _SCENES[type(tape.winding.beginning)](shapes)


def _bow(a: tuple[float, float], b: tuple[float, float], rise: float, z: float, count: int = 24) -> Floats:
    """A curved arrow across the lines, bulging to the right of its way by `rise`."""
    first, last = np.array(a), np.array(b)
    t = np.linspace(0.0, 1.0, count)[:, None]
    along = last - first
    side = np.array([along[1], -along[0]]) / float(np.hypot(*along))
    points = first + t * along + side * rise * 4 * t * (1 - t)
    return np.column_stack([points, np.full(count, z)])


def _pull(x: float, y: float, start: float, stop: float) -> Floats:
    """A straight arrow along the lines."""
    return np.array([[x, y, start], [x, y, (start + stop) / 2], [x, y, stop]])


def _runs(shapes: Shapes) -> tuple[Floats, ...]:
    """Arrows that pull the sliding line both ways, on its face that is seen at the end."""
    half, (inner, outer) = shapes.half(False), shapes.levels(False)
    if shapes.tape.holds is Holds.BACKUP:  # Not turned over: the sliding line's near edge.
        x, y = -half - 0.3, (inner + outer) / 2
    else:  # Turned over it lies on top; these are turned with it.
        x, y = 0.0, outer - 0.3
    return _pull(x, y, -30.0, -45.0), _pull(x, y, 30.0, 45.0)


def _boxes(shapes: Shapes) -> tuple[float, Box]:
    """Half of the wider line, and what the closed section takes.  [mm]"""
    wide = max(shapes.half(True), shapes.half(False))
    top, low = shapes.levels(True)[1], shapes.levels(False)[1]
    return wide, (-wide - 9.0, wide + 8.0, low - 7.5, top + 9.5)


def _last(
    shapes: Shapes, strips: tuple[Floats, ...], plain: tuple[Floats, ...] = (), *, mirrored: bool = False
) -> TapeStep:
    """The finished tape: its end in sight, and the sliding line pulled both ways."""
    turned = shapes.tape.holds is not Holds.BACKUP
    end = (strips[0][-1] if strips else np.zeros(2)) * (-1.0 if turned else 1.0)
    slides = shapes.tape.coverage is not None
    return TapeStep(
        lines=((True, 0.0), (False, 0.0)), strips=strips, plain=plain, mirrored=mirrored, turned=turned,
        wide=1e3 * shapes.tape.tape.width, inset=_boxes(shapes)[1], arrows=_runs(shapes) if slides else (),
        pointers=(Pointer(message="tapes-label-end", at=(float(end[0]), float(end[1]) + 0.4, 8.0), to=(0.97, 0.08)),),
    )


def _lead(shapes: Shapes) -> tuple[TapeStep, ...]:
    """Fixed wrap: the lead over the near edge and under, and on round both."""
    half, (wide, close) = shapes.half(True), _boxes(shapes)
    top, under = shapes.levels(True)[1], shapes.levels(False)[1]
    lines = ((True, 0.0), (False, 0.0))
    start = shapes.winding.start
    first = Way((0.0, 0.0), 110.0).on(12.0).turn(70.0, 3.0).on(1.0).points
    first = first + np.array([half - first[-1, 0], top + LAYER / 2 + 0.6 - first[-1, 1]])
    laid = Way(first[0], 0.0).along(first[1:]).on(2.0 * half + 4.0).turn(-75.0, 9.0).on(28.0).points
    near = shapes.mirrored
    across = shapes.wound(start, shapes.place(True, 0.72, 0))
    folded = Way(across[0] * [near, 1.0], 0.0).along(across[1:] * [near, 1.0]).turn(-80.0, 9.0).on(38.0).points
    round_ = shapes.wound(start, shapes.place(True, 0.66, 1))
    going = Way(round_[0] * [near, 1.0], 0.0).along(round_[1:] * [near, 1.0]).turn(-80.0, 9.0).on(38.0).points
    whole = shapes.wound(start, shapes.end)
    flip = np.array([near, 1.0])
    common = {"lines": lines, "mirrored": True, "wide": 1e3 * shapes.tape.tape.width}
    return (
        TapeStep(
            **common, strips=(laid * flip,), inset=(-wide - 15.0, wide + 13.0, under - 8.0, top + 18.0),  # type: ignore[arg-type]
            focus=(-8.0, 6.5, -4.0), zoom=0.92,
            arrows=(_bow((-half - 15.0, top - 9.0), (-half + 6.0, under - 9.0), 6.0, -21.0),),
            pointers=(
                Pointer(message="tapes-label-lead", at=(-half - 5.0, top - 7.0, 10.0), to=(0.97, 0.92)),
                Pointer(message="tapes-label-long", at=(half + 12.0, 24.0, 10.0), to=(0.95, 0.10)),
            ),
        ),
        TapeStep(
            **common, strips=(folded * flip,), inset=close, eye=BELOW, focus=(-2.0, 2.0, 0.0),  # type: ignore[arg-type]
            pointers=(Pointer(message="tapes-label-lead-end", at=(0.0, under - LAYER, 9.0), to=(0.97, 0.90)),),
        ),
        TapeStep(
            **common, strips=(going * flip,), inset=close,  # type: ignore[arg-type]
            arrows=(_bow((-half - 12.0, -3.0), (half + 10.0, 8.0), 26.0, 24.0),),
            pointers=(Pointer(message="tapes-label-flush", at=(-half - 2.0, -1.0, 12.7), to=(0.60, 0.93)),),
        ),
        _last(shapes, (whole,), mirrored=True),
    )


def _enclosing(shapes: Shapes) -> tuple[TapeStep, ...]:
    """Between the lines, round the held one, the dry tail round the other, and round both."""
    held, (wide, close) = shapes.half(True), _boxes(shapes)
    inner, top = shapes.levels(True)
    under = shapes.levels(False)[1]
    seat = 1e3 * shapes.section.seat(shapes.body(True))
    beginning = shapes.winding.beginning
    assert isinstance(beginning, Enclosing)
    short, gap = 1e3 * beginning.short, 13.0
    runs = shapes.parts
    loop = runs["around"]
    flat = Way((-seat - short, inner - LAYER / 2), 0.0).on(short + 2.0 * seat)
    one = flat.on(9.0).turn(88.0, 11.0).on(34.0).points
    # Down the near edge as far as the short end, and out on it.
    level = inner + 0.15 * LAYER
    last = max(k for k, point in enumerate(loop) if point[1] > level + 1.5)
    two = Way((-seat - short, inner - LAYER / 2), 0.0).on(short).along(runs["between"]).along(loop[: last + 1])
    two.along(np.array([[two.points[-1][0], level + 1.5]])).turn(-90.0, 1.5)
    two_points = two.on(short - 2.2).turn(-78.0, 9.0).on(24.0).points
    start, beyond_tip = shapes.winding.dry or (0.0, 0.0)
    inside = np.concatenate([shapes.wound(start + OUT, beyond_tip, under=1.0)[::-1], runs["between"], loop])

    def wound(stop: float, tail: float) -> Floats:
        way = Way(inside[0], 0.0).along(inside[1:]).along(shapes.wound(start + OUT, stop))
        return way.turn(-82.0, 9.0).on(tail).points if tail else way.points

    tip, slides = shapes.first_layer[-1].tolist(), shapes.half(False)
    beyond = beyond_tip + 0.003
    opened, shut = ((True, 0.0), (False, -gap)), ((True, 0.0), (False, 0.0))
    far = (-short - wide + 8.0, wide + 13.0, under - gap - 5.0, top + 12.0)
    common = {"wide": 1e3 * shapes.tape.tape.width}
    return (
        TapeStep(
            **common, lines=opened, strips=(one,), inset=far, focus=(-14.0, 6.5, -4.0), zoom=0.88,  # type: ignore[arg-type]
            arrows=(_bow((held + 14.0, 30.0), (-held - 16.0, 6.0), 16.0, 21.0),),
            pointers=(
                Pointer(message="tapes-label-short", at=(-held - 26.0, inner - LAYER / 2, 12.0), to=(0.74, 0.96)),
                Pointer(message="tapes-label-long", at=(held + 20.0, 34.0, 10.0), to=(0.95, 0.12)),
            ),
        ),
        TapeStep(
            **common, lines=opened, strips=(two_points,), inset=far, focus=(-17.0, 5.5, -4.0), zoom=0.84,  # type: ignore[arg-type]
            arrows=(_bow((-held - 30.0, 0.0), (-held + 4.0, under - gap - 5.0), 9.0, 22.0),),
            pointers=(
                Pointer(message="tapes-label-tail", at=(-held - 32.0, level + 0.5, 12.5), to=(0.60, 0.95)),
                Pointer(message="tapes-label-wrapped", at=(2.0, top + LAYER, 8.0), to=(0.97, 0.10)),
                Pointer(message="tapes-label-sticky-again", at=(-held - short, level + 3.0, -10.0), to=(0.03, 0.50)),
            ),
        ),
        TapeStep(
            **common, lines=shut, strips=(wound(beyond, 46.0),), inset=close,  # type: ignore[arg-type]
            pointers=(
                Pointer(message="tapes-label-tip", at=(tip[0] + 1.0, tip[1] + 1.0, 12.7), to=(0.97, 0.30)),
                Pointer(message="tapes-label-in-tail", at=(-slides - LAYER, under / 2, 0.0), to=(0.02, 0.86)),
            ),
        ),
        TapeStep(
            **common, lines=shut, strips=(wound(shapes.place(True, 0.75, 1), 40.0),), inset=close,  # type: ignore[arg-type]
            arrows=(_bow((held + 12.0, 4.0), (-held - 12.0, -3.0), 19.0, 24.0),),
            pointers=(Pointer(message="tapes-label-flush", at=(-held - 2 * LAYER, -2.0, 12.7), to=(0.46, 0.93)),),
        ),
        _last(shapes, (wound(shapes.end, 0.0),)),
    )


def _tab(shapes: Shapes) -> tuple[TapeStep, ...]:
    """The folded tab between the lines, round the sliding one, and round both."""
    held, (wide, close) = shapes.half(True), _boxes(shapes)
    top, under = shapes.levels(True)[1], shapes.levels(False)[1]
    beginning = shapes.winding.beginning
    assert isinstance(beginning, Tab)
    fold, gap = 1e3 * beginning.fold, 11.0
    near = -max(held, shapes.half(False))
    tip_in = near + 1e3 * shapes.winding.between
    one = Way((near - 84.0, 0.0), 0.0).on(104.0).turn(161.0, 1.6).on(fold - 2.0).points
    (x, y), bend = one[-1].tolist(), near + 21.0
    tab = Way((tip_in - fold, -LAYER / 2), 0.0).on(fold).turn(180.0, LAYER / 2).on(fold + 1.0)
    two = tab.turn(-75.0, 9.0).on(26.0).points
    start, beyond = shapes.winding.dry or (0.0, 0.0)
    flap = shapes.wound(start + OUT, beyond, under=1.0)[::-1]
    tip, slides = flap[0].tolist(), shapes.half(False)

    def wound(stop: float, tail: float) -> Floats:
        way = Way(flap[0], 0.0).along(flap[1:]).along(np.array([[near - 0.2, -0.28], [tip_in, -0.28]]))
        way.turn(180.0, 0.28).on(abs(tip_in - near)).along(shapes.wound(start + OUT, stop))
        return way.turn(-82.0, 9.0).on(tail).points if tail else way.points

    opened, shut = ((True, 2 * LAYER), (False, -gap)), ((True, 0.0), (False, 0.0))
    common = {"wide": 1e3 * shapes.tape.tape.width}
    return (
        TapeStep(
            **common, strips=(one,), inset=(near - 60.0, bend + 4.0, -8.0, 32.0), focus=(-22.0, 3.0, -6.0),  # type: ignore[arg-type]
            arrows=(_bow((x - 3.0, y + 3.0), (x - 7.0, 3.0), -3.0, 19.0),), turn_over="on top", spin=(near - 44.0, 0.0),
            pointers=(
                Pointer(message="tapes-label-fold", at=(bend, 3.0, 9.0), to=(0.99, 0.16)),
                Pointer(message="tapes-label-tab", at=(x + 14.0, y - 6.0, -9.0), to=(0.40, 0.10)),
                Pointer(message="tapes-label-glue-begins", at=(near - 22.0, 0.5, -6.0), to=(0.03, 0.90)),
            ),
        ),
        TapeStep(
            **common, lines=opened, strips=(two,), inset=(-fold - wide + 6.0, wide + 9.0, under - gap - 5.0, top + 8.0),  # type: ignore[arg-type]
            focus=(-17.0, 5.5, -4.0), zoom=0.84,
            arrows=(_bow((near - 30.0, -2.0), (near + 4.0, under - gap - 5.0), 9.0, 22.0),),
            pointers=(
                Pointer(message="tapes-part-tab", at=(near - 32.0, 1.5, 12.0), to=(0.60, 0.96)),
                Pointer(message="tapes-label-glue-begins", at=(tip_in - fold - 10.0, 9.0, -10.0), to=(0.03, 0.47)),
            ),
        ),
        TapeStep(
            **common, lines=shut, strips=(wound(beyond + 0.003, 46.0),), inset=close,  # type: ignore[arg-type]
            pointers=(
                Pointer(message="tapes-label-tab-tip", at=(tip[0] + 1.0, tip[1] + 1.0, 12.7), to=(0.97, 0.30)),
                Pointer(message="tapes-label-in-tab", at=(-slides - LAYER, under / 2, 0.0), to=(0.02, 0.86)),
            ),
        ),
        TapeStep(
            **common, lines=shut, strips=(wound(shapes.place(True, 0.75, 1), 40.0),), inset=close,  # type: ignore[arg-type]
            arrows=(_bow((held + 12.0, 4.0), (-held - 12.0, -3.0), 19.0, 24.0),),
            pointers=(Pointer(message="tapes-label-flush", at=(-held - 2 * LAYER, -2.0, 12.7), to=(0.46, 0.93)),),
        ),
        _last(shapes, (wound(shapes.end, 0.0),)),
    )


def _patch(shapes: Shapes) -> tuple[TapeStep, ...]:
    """The cross piece, its wings, the lines on it, and round both."""
    beginning = shapes.winding.beginning
    assert isinstance(beginning, Patch) and shapes.winding.dry is not None
    low, high = shapes.winding.dry
    half_zone, lead = 500.0 * beginning.zone, 1e3 * beginning.lead
    (wide, close), held = _boxes(shapes), shapes.half(True)
    top, under = shapes.levels(True)[1], shapes.levels(False)[1]
    flat = np.array([[half_zone + lead, 0.0], [-half_zone, 0.0], [-half_zone - 62.0, 0.0]])
    start, middle = shapes.winding.start, shapes.winding.passing(shapes.section.middle(shapes.body(False)), low)
    across = shapes.wound(start, middle)
    rest = half_zone + 55.0
    laid = Way(across[0], 180.0).along(across[1:]).along(np.array([[-rest, across[-1][1]]])).points
    piece = shapes.wound(low, middle, under=1.0)
    piece_flat = np.concatenate([piece, [[-half_zone, piece[-1][1]]]])
    pieces = shapes.wound(low, high, under=1.0)
    round_ = shapes.wound(start, shapes.place(True, 0.55, 1))
    going = Way(round_[0], 180.0).along(round_[1:]).turn(80.0, 9.0).on(40.0).points
    shut = ((True, 0.0), (False, 0.0))
    common = {"mirrored": True, "wide": 1e3 * shapes.tape.tape.width}
    flat_scene = {**common, "strips": (flat,), "focus": (-14.0, 2.0, -10.0), "zoom": 0.86, "inset": None}
    return (
        TapeStep(
            **flat_scene, wings=14.0,  # type: ignore[arg-type]
            pointers=(
                Pointer(message="tapes-label-piece", at=(0.0, 1.0, -4.0), to=(0.03, 0.22)),
                Pointer(message="tapes-label-wing", at=(0.0, -1.0, 25.0), to=(0.92, 0.86)),
                Pointer(message="tapes-label-first", at=(half_zone + lead / 2, 0.5, 8.0), to=(0.96, 0.24)),
                Pointer(message="tapes-label-long", at=(-half_zone - 30.0, 0.5, 8.0), to=(0.80, 0.96)),
            ),
        ),
        TapeStep(
            **flat_scene, wings=178.0, turn_over="underneath", spin=(-half_zone - 24.0, 0.0),  # type: ignore[arg-type]
            pointers=(
                Pointer(message="tapes-label-dry", at=(-6.0, 1.0, 14.0), to=(0.97, 0.52)),
                Pointer(message="tapes-label-no-rim", at=(8.0, 0.4, 19.0), to=(0.94, 0.88)),
                Pointer(message="tapes-label-first", at=(half_zone + lead / 2, 0.5, 8.0), to=(0.96, 0.14)),
            ),
        ),
        TapeStep(
            **common, lines=shut, strips=(laid,), plain=(piece_flat,),  # type: ignore[arg-type]
            inset=(-wide - 34.0, wide + 9.0, under - 7.0, top + 10.0), focus=(-16.0, 2.0, -7.0),
            pointers=(
                Pointer(message="tapes-label-short-on", at=(0.0, top + LAYER, 8.0), to=(0.97, 0.08)),
                Pointer(message="tapes-label-centred", at=(-half_zone + 2.0, under, 19.2), to=(0.97, 0.90)),
            ),
        ),
        TapeStep(
            **common, lines=shut, strips=(going,), plain=(pieces,), inset=close,  # type: ignore[arg-type]
            arrows=(_bow((-held - 12.0, -3.0), (held + 10.0, 8.0), 26.0, 28.0),),
            pointers=(Pointer(message="tapes-label-flush", at=(-held - 3.0, -1.0, 19.2), to=(0.60, 0.95)),),
        ),
        _last(shapes, (shapes.wound(start, shapes.end),), (pieces,), mirrored=True),
    )


_SCENES: dict[type, Callable[[Shapes], tuple[TapeStep, ...]]] = {
    Lead: _lead, Enclosing: _enclosing, Tab: _tab, Patch: _patch,
}

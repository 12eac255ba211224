"""One tape of every family as it is wound, for a page on which the strip is followed from its beginning to its end."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.contact.styles import all_families, with_style
from linescope.errors import LinescopeError
from linescope.rig import Rig
from linescope.stage.tape_shapes import LAYER, Shapes
from linescope.stage.tape_steps import scenes
from linescope.statics import cut_list, plan
from linescope.taping import Enclosing, Holds, LaidTape, Tab
from linescope.taping.slips import Slip, SlipKind, find_slips

Floats = NDArray[np.float64]

APART = 13.0
"""Of the two lines while strip is laid between them. [mm]"""
SLIPPED = 0.008
"""How far a strip is laid off. [m]"""


@dataclass(frozen=True, eq=False, kw_only=True)
class Phase:
    """A stretch of the strip that is laid with the lines in one place.

    Attributes
    ----------
    way : (n, 2) array
        Of all that is laid by the end of it, across the lines and up, the line that is held on top.  [mm]
    strip : (n,) array
        Strip used at each point, not falling.  [mm]
    apart : float
        How far the line below is away from where it lies at last.  [mm]
    """

    way: Floats
    strip: Floats
    apart: float


@dataclass(frozen=True, eq=False, kw_only=True)
class WoundTape:
    """One tape of a family.

    Attributes
    ----------
    tape : LaidTape
    shapes : Shapes
    phases : tuple of Phase
    pieces : tuple of (n, 2) arrays
        Cross pieces, dry on both faces.  [mm]
    sticky_right : bool
        Whether the sticky face is on the right of its way; else it is on the left.
    slips : tuple of Slip
        The right one first; then, where something slides, `SLIPPED` lengthways and sideways.
    """

    tape: LaidTape
    shapes: Shapes
    phases: tuple[Phase, ...]
    pieces: tuple[Floats, ...]
    sticky_right: bool
    slips: tuple[Slip, ...]


def wound_tapes(rig: Rig) -> tuple[WoundTape, ...]:
    """Every family that these lines can be taped with, what the rig's first zone has leading.

    Parameters
    ----------
    rig : Rig

    Raises
    ------
    InputError
        When the rig cannot be laid out.
    """
    own = (rig.taping.zones[0].family, rig.taping.zones[0].holds)
    found = []
    for family, holds in sorted(all_families(), key=lambda each: each != own):
        try:
            tape = next(iter(cut_list(plan(with_style(rig, family, holds))).tapes.values()))
        except LinescopeError:
            if (family, holds) == own:
                raise
            continue
        found.append(wound(tape))
    return tuple(found)


def wound(tape: LaidTape) -> WoundTape:
    """One tape, with what becomes of it when it is laid off by a little."""
    slips = find_slips(tape, off=SLIPPED)
    kept = tuple(each for each in slips if each.kind in (SlipKind.RIGHT, SlipKind.ALONG, SlipKind.ASIDE))
    return laid(tape, kept)


def laid(tape: LaidTape, slips: tuple[Slip, ...] = ()) -> WoundTape:
    """The way of a tape's strip as it is drawn, with the strip used along it."""
    shapes, steps = scenes(tape)
    last = steps[-1]
    way = last.strips[0]
    before, whole = 1e3 * tape.winding.before, 1e3 * tape.cut_length
    phases: list[Phase] = []
    if isinstance(tape.winding.beginning, (Enclosing, Tab)):
        first = _opened(shapes)
        used = _spread(first, 0.0, before)
        phases.append(Phase(way=first, strip=used, apart=APART))
        start = _begins(way, shapes)
        strip = np.concatenate([_spread(way[: start + 1], 0.0, before), _spread(way[start:], before, whole)[1:]])
        phases.append(Phase(way=way, strip=strip, apart=0.0))
    else:
        phases.append(Phase(way=way, strip=_spread(way, 0.0, whole), apart=0.0))
    return WoundTape(
        tape=tape, shapes=shapes, phases=tuple(phases), pieces=last.plain, sticky_right=last.mirrored, slips=slips
    )


def _spread(way: Floats, start: float, end: float) -> Floats:
    """Strip used along a drawn way between two lengths.  [mm]"""
    run = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(way, axis=0).T))])
    return np.asarray(start + (end - start) * run / max(run[-1], 1e-9))


def _begins(way: Floats, shapes: Shapes) -> int:
    """The point from which a strip goes round both: the first of that way on it."""
    first = shapes.wound(shapes.winding.start + 0.0022, shapes.end)[0]
    return int(np.argmin(np.hypot(*(way - first).T)))


def _opened(shapes: Shapes) -> Floats:
    """The beginning with the lines apart: what is dry later sticks out flat, and the rest lies as it will lie."""
    beginning, parts = shapes.winding.beginning, shapes.parts
    inner = shapes.levels(True)[0]
    if isinstance(beginning, Enclosing):
        between, around = parts["between"], parts["around"]
        short = np.array([[between[0, 0] - 1e3 * beginning.short, between[0, 1]]])
        return np.concatenate([short, between, around])
    assert isinstance(beginning, Tab)
    near = -max(shapes.half(True), shapes.half(False))
    tip = near + 1e3 * shapes.winding.between
    low, fold = inner - 1.5 * LAYER, 1e3 * beginning.fold
    turn = np.linspace(-0.5 * np.pi, 0.5 * np.pi, 9)
    bend = np.column_stack([tip + 0.5 * LAYER * np.cos(turn), low + 0.5 * LAYER * (1.0 + np.sin(turn))])
    return np.concatenate([np.array([[tip - fold, low]]), bend, np.array([[near, low + LAYER]])])


def part_at(tape: LaidTape, strip: float) -> int:
    """Number of the part of the strip that lies at a length along it.  [mm]"""
    ends = [1e3 * part.end for part in tape.segments]
    return min(int(np.searchsorted(ends, strip, side="right")), len(ends) - 1)


def sticky_side(each: WoundTape, phase: Phase, point: int) -> str:
    """Which way the sticky face looks there: "up", "down", "near" (left) or "far"."""
    step = phase.way[min(point + 1, len(phase.way) - 1)] - phase.way[max(point - 1, 0)]
    normal = np.array([-step[1], step[0]]) * (-1.0 if each.sticky_right else 1.0)
    if abs(normal[1]) >= abs(normal[0]):
        return "up" if normal[1] > 0.0 else "down"
    return "near" if normal[0] < 0.0 else "far"


def held_on_top(tape: LaidTape) -> str:
    """The line drawn on top: the held one, the main where both are."""
    return "backup" if tape.holds is Holds.BACKUP else "main"


def runs_of(values: Sequence[str]) -> list[tuple[int, str]]:
    """Where in a list a value begins that stays for a while."""
    found, at = [], 0
    for value, group in itertools.groupby(values):
        found.append((at, value))
        at += len(list(group))
    return found

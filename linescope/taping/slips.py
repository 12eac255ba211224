"""A strip wound wrongly by a little: how much of the margin is left, and when the style becomes another one.

Lengthways every millimetre of short end, tab or lead is a millimetre of margin, and moves the strip's end by as much.
Sideways there is no margin: dry tail and turn are strips of one width.  A strip that lies off square by an angle f when
it goes round the held line comes down beside its own short end; unfolded, the two meet at distance d from the edge

    (2 w + 2 t + 2 d) tan f                                                             (1)

apart, w and t the held line's.  A tab whose fold is off square by f turns by 2 f, and is d tan 2f apart at d from the
fold.  A cross piece off square by f loses (width / 2) tan f at its corners.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Literal

from linescope.errors import InputError
from linescope.taping.beginnings import Enclosing, Lead, Patch, Tab
from linescope.taping.laid import Finish, LaidTape
from linescope.taping.lay import coverage_of, finish_of
from linescope.taping.section import lines_of
from linescope.taping.winding import Winding, wind

BY = 0.010
"""What a short end, tab or lead is made too short and too long by. [m]"""
OFF = 0.005
"""How far off a strip is begun, and how far rims lie beside each other. [m]"""
SKEWS = (math.radians(1.0), math.radians(2.0))
"""How far off square. [rad]"""


class SlipKind(StrEnum):
    """What is wrong."""

    RIGHT = "right"
    FIRST = "first"
    LEAST = "least"
    ALONG = "along"
    ASIDE = "aside"
    SKEW = "skew"


@dataclass(frozen=True, eq=False, kw_only=True)
class Slip:
    """One way to wind a tape wrongly, and what is left of it.

    Attributes
    ----------
    kind : SlipKind
    amount : float
        What the short end, tab or lead measures (LEAST: with which no dry strip is left over); how far it is off.
        [m, or rad for an angle]
    left : float
        Dry strip beyond the sliding line; negative: glue reaches it; NaN where nothing slides.  [m]
    glue : (float, float)
        Width of strip that is open to the sliding line with its glue, from the edge on to the far end.  [m]
    glue_length : float
        [m]
    finish : Finish
        Where a strip of the same length ends then.
    margin : float
        What was asked for.  [m]
    tape : LaidTape
        As it is wound then, square and flush; its parts and coverage are those of the right one.
    """

    kind: SlipKind
    amount: float
    left: float
    glue: tuple[float, float]
    glue_length: float
    finish: Finish
    margin: float
    tape: LaidTape

    @property
    def becomes(self) -> Literal["slides", "less", "glued", "nothing slides"]:
        """What the tape is then."""
        if math.isnan(self.left):
            return "nothing slides"
        if self.kind is SlipKind.LEAST or self.left < -1e-9 or self.glue[1] > 0.0:
            return "glued"
        return "slides" if self.left >= self.margin - 1e-9 else "less"


def find_slips(tape: LaidTape, *, off: float = OFF) -> tuple[Slip, ...]:
    """What is left of a tape wound wrongly by a little, the right one first.

    Parameters
    ----------
    tape : LaidTape
        Its strip keeps its length.
    off : float
        How far off it is begun, and how far rims lie beside each other.  [m]
    """
    found = [_slip(tape, SlipKind.RIGHT, 0.0, tape.winding)]
    beginning = tape.winding.beginning
    for change in (-BY, BY):
        changed = _changed(tape, change)
        if changed is not None:
            found.append(_slip(tape, SlipKind.FIRST, tape.first + change, changed))
    cover = tape.coverage
    if cover is not None and cover.after > 0.0 and not isinstance(beginning, Patch):
        shorter = -cover.after
        least = _changed(tape, shorter)
        for _ in range(3):  # At a corner the strip is longer, or less long, than along the face.
            if least is not None:
                left = coverage_of(least, tape.stock.margin)
                shorter -= 0.0 if left is None else left.after
                least = _changed(tape, shorter)
        if least is not None:
            found.append(_slip(tape, SlipKind.LEAST, tape.first + shorter, least))
    begun_off = _changed(tape, -off)
    if isinstance(beginning, (Enclosing, Tab)) and begun_off is not None:
        found.append(_slip(tape, SlipKind.ALONG, off, begun_off))
    if isinstance(beginning, Patch):
        found.append(_slip(tape, SlipKind.ALONG, off, tape.winding, lost=off))
    if cover is not None:
        needed = cover.needed
        found.append(_slip(tape, SlipKind.ASIDE, off, tape.winding, glue=(off, off), length=needed))
        for angle in SKEWS:
            near, far, lost = _skewed(tape, angle)
            length = needed if far else 0.0
            found.append(_slip(tape, SlipKind.SKEW, angle, tape.winding, lost=lost, glue=(near, far), length=length))
    return tuple(found)


def _slip(
    tape: LaidTape, kind: SlipKind, amount: float, winding: Winding, *, lost: float = 0.0,
    glue: tuple[float, float] = (0.0, 0.0), length: float = 0.0,
) -> Slip:
    cover = coverage_of(winding, tape.stock.margin)
    left = math.nan if cover is None else cover.spare - lost
    stop = winding.reached(tape.cut_length)
    return Slip(
        kind=kind, amount=amount, left=left, glue=glue, glue_length=length, finish=finish_of(winding, stop),
        margin=tape.stock.margin, tape=replace(tape, winding=winding, stop=stop),
    )


def _changed(tape: LaidTape, change: float) -> Winding | None:
    """The same strip begun with so much more or less; None where that cannot be wound."""
    beginning = tape.winding.beginning
    if isinstance(beginning, Lead):  # Longer than meant, it begins beyond the middle of the underside.
        winding = tape.winding
        start = winding.section.outline.walk(winding.start, -change)
        shift = -math.floor(start / winding.turn) * winding.turn
        return Winding(
            section=winding.section, holds=winding.holds, thickness=winding.thickness,
            beginning=Lead(length=beginning.length + change), before=0.0, start=start + shift, layers=(),
            full=start + shift + winding.turn, dry=None,
        )
    if isinstance(beginning, Enclosing):
        made: Enclosing | Tab | Patch = Enclosing(short=beginning.short + change)
    elif isinstance(beginning, Tab):
        made = Tab(fold=beginning.fold + change, tuck=beginning.tuck)
    else:
        made = Patch(
            lead=beginning.lead + change, zone=beginning.zone, pieces=beginning.pieces, piece=beginning.piece
        )
    try:
        return wind(tape.section, tape.tape.thickness, tape.holds, made)
    except InputError:
        return None


def _skewed(tape: LaidTape, angle: float) -> tuple[float, float, float]:
    """Width of glue that opens where the strip comes out and at the tail's end, and length lost, by equation (1)."""
    beginning, section = tape.winding.beginning, tape.section
    held, _ = lines_of(tape.holds)
    if isinstance(beginning, Enclosing):
        around = 2.0 * (section.width_of(held) + section.thickness_of(held))
        return around * math.tan(angle), (around + 2.0 * beginning.short) * math.tan(angle), 0.0
    if isinstance(beginning, Tab):
        out = tape.winding.between
        return out * math.tan(2.0 * angle), beginning.fold * math.tan(2.0 * angle), 0.0
    return 0.0, 0.0, 0.5 * tape.tape.width * math.tan(angle)

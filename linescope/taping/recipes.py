"""Beginnings that more than one family uses, from the sizes of the lines.

What is practised is told in quarters of an inch: a short end of 45 mm and a tab of 50 mm for two webbings of 25 by
2.4 mm (common practice, no source).  Here both are the way round the sliding line, and a reach on to the held line's
outer face that gives these two: so other lines get what corresponds.
"""

from __future__ import annotations

import math

from linescope.taping.beginnings import Enclosing, Tab
from linescope.taping.holds import Holds
from linescope.taping.section import Section, lines_of
from linescope.taping.stock import Tape, TapeStock
from linescope.taping.winding import leaving

SHORT_REACH = 0.012
"""Of a dry tail on to the held line's outer face: assumed, gives the practised short end. [m]"""
TAB_REACH = 0.0087
"""Of a folded tab: assumed, gives the practised fold. [m]"""

MOST_REACH = 0.6
"""Of either, as a share of that face: assumed. [-]"""


def _round(length: float) -> float:
    """To the millimetre, as it is measured out.  [m]"""
    return round(length, 3)


def enclosing(section: Section, tape: Tape, stock: TapeStock, holds: Holds) -> Enclosing:
    """A strip that encloses the held line; its short end reaches round the sliding line and on to the held one.

    Parameters
    ----------
    section : Section
    tape : Tape
    stock : TapeStock
    holds : Holds
    """
    if stock.short_end is not None:
        return Enclosing(short=stock.short_end)
    return Enclosing(short=_round(_on_held_face(section, tape, holds, SHORT_REACH)))


def tab(section: Section, tape: Tape, stock: TapeStock, holds: Holds) -> Tab:
    """A folded tab, tucked in by a third of the width in which the lines lie on each other (assumed).

    Parameters
    ----------
    section : Section
    tape : Tape
    stock : TapeStock
    holds : Holds
    """
    held, sliding = lines_of(holds)
    tuck = section.overlap / 3.0
    inside = tuck + max(0.0, section.seat(held) - section.seat(sliding))
    return Tab(fold=_round(inside + _on_held_face(section, tape, holds, TAB_REACH)), tuck=tuck)


def reaching(section: Section, thickness: float, holds: Holds, reach: float) -> float:
    """From where strip comes out between the lines, round the sliding one, and on to the held line's outer face.

    Parameters
    ----------
    section : Section
    thickness : float
        Of the tape; the strip's middle layer lies half of it over the lines.  [m]
    holds : Holds
    reach : float
        Length on that face, counted from the middle of the corner before it.  [m]

    Returns
    -------
    float
        [m]
    """
    opened, (held, _) = section.opened(thickness), lines_of(holds)
    out = leaving(opened, holds)
    face = opened.face(held)[0]
    face += math.ceil((out.place - face) / opened.outline.round) * opened.outline.round
    return out.over + opened.outline.length(out.place, face, 0.5 * thickness) + reach


def _on_held_face(section: Section, tape: Tape, holds: Holds, reach: float) -> float:
    """The same, on narrow lines and ropes by no more than a share of that face.  [m]"""
    held, _ = lines_of(holds)
    most = MOST_REACH * section.face_length(held)
    return reaching(section, tape.thickness, holds, min(reach, most))

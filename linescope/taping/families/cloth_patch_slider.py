"""The cloth-patch slider."""

from __future__ import annotations

import math

from linescope.taping.family import DryBy, TapeFamily, Wrapping
from linescope.taping.holds import Holds
from linescope.taping.section import Section, lines_of
from linescope.taping.stock import TapeStock


def recipe(section: Section, stock: TapeStock, holds: Holds) -> Wrapping:
    """Whole wraps from an edge of the held line's face, with cross pieces as the dry zone.

    The lead covers the held line's face from edge to edge, so the cross piece begins one width from the
    strip's end and the dry zone begins at the face's far edge: a held line's thickness before the sliding
    line.  Across the lines the zone is as long as the tape is wide, so a narrow tape needs more than one
    piece, side by side.  A piece is cut a margin longer than the tape is wide at each side, so that no
    sticky edge of the strip shows.
    """
    outline, (held, sliding) = section.outline, lines_of(holds)
    height = 1.5 * stock.thickness
    middle, face = section.middle(held), section.face_half(held) * (1.0 - 1e-6)
    start, edge = outline.walk(middle, -face), outline.walk(middle, face)
    first, last = section.contact(sliding)
    around = outline.length(edge, edge + last - first + math.remainder(first - edge, outline.round), height)
    patches = max(1, math.ceil((around + stock.margin) / stock.width - 1e-9))
    return Wrapping(
        start=start,
        turns=stock.wraps,
        lead=outline.length(start, edge),
        dry=(edge, outline.walk(edge, patches * stock.width, height)),
        dry_by=DryBy.PATCH,
        patches=patches,
    )


FAMILY = TapeFamily(
    key="cloth-patch slider",
    can_hold=(Holds.MAIN, Holds.BACKUP),
    summary="A cloth strip crosses the long one, sticky to sticky, as the dry zone; holds either line.",
    recipe=recipe,
    steps=(
        "Strip sticky side up; cross piece over it, sticky to sticky, one line's width from its end.",
        "Stick the lead across the face of the line to be held; the cross piece goes round the other line.",
        "Wind on round both; lay the last turn without pull and press its end on underneath.",
    ),
    slides=("Whichever line the cross piece goes round; the tape grips the other.",),
    costs=(
        "Two pieces a tape, slower to make; cloth is soft underfoot.",
        "Cloth tape lasts: such tapes 1 m apart have stayed whole for two years.",
    ),
    goes_wrong=(
        "Cloth tape leaves residue; in heat its glue softens and lets go.",
        "The patch holds water and grit, and can wander if the lead is short.",
        "Held by the main, a torn tape stays round the main; held by the backup, it can drop.",
    ),
)

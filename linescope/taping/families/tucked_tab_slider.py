"""The tucked-tab slider."""

from __future__ import annotations

import numpy as np

from linescope.taping.family import DryBy, TapeFamily, Wrapping
from linescope.taping.holds import Holds
from linescope.taping.section import Section, lines_of
from linescope.taping.stock import TapeStock


def recipe(section: Section, stock: TapeStock, holds: Holds) -> Wrapping:
    """Whole wraps from the seam between the lines, with the strip's beginning folded back on itself.

    The folded tab is dry on both faces.  Its tip lies between the lines; from the seam it goes round the
    sliding line's edge, face and other edge and one margin further, so that for equal webbings it is
    ``w / 3 + w + 2 t + margin`` long.  The fold takes that length twice, and the part between the lines is
    no part of the wraps, so the strip is ``(w / 3 + w + 2 t + margin) + w / 3`` longer than a fixed wrap.
    """
    _, sliding = lines_of(holds)
    first, last = section.contact(sliding)
    end = section.outline.walk(last, stock.margin, 1.5 * stock.thickness)
    way = section.seam(sliding, left=True)
    tucked = float(np.hypot(*np.diff(way, axis=0).T).sum())
    return Wrapping(
        start=first, turns=stock.wraps, lead=tucked, dry=(first, end), dry_by=DryBy.FOLD, tucked=tucked
    )


FAMILY = TapeFamily(
    key="tucked-tab slider",
    can_hold=(Holds.MAIN, Holds.BACKUP),
    summary="One strip whose free end is folded dry and tucked between the lines; holds either line.",
    recipe=recipe,
    steps=(
        "Fold the strip's beginning back on itself, sticky to sticky: a tab that is dry on both faces.",
        "Tuck the tab's tip between the lines and take the rest of it round the line that shall slide.",
        "Wind on round both; the next turn sticks to the back of the tab. Lay the last turn without pull.",
    ),
    slides=("Whichever line the tab goes round; the tape grips the other.",),
    costs=(
        "A little more tape than a fixed wrap, no second piece, and it can be opened for a look.",
        "Friction differs from tape to tape, with how the tab lies.",
    ),
    goes_wrong=(
        "Where lines slide far the tab can be pulled out, and then the tape unravels turn by turn.",
        "A tab cut too short leaves glue at the far edge of the sliding line.",
        "Held by the main, a torn tape stays on the main; held by the backup, it can drop.",
    ),
)

"""The cloth-patch slider."""

from __future__ import annotations

import math

from linescope.taping.beginnings import Patch
from linescope.taping.family import TapeFamily
from linescope.taping.holds import Holds
from linescope.taping.section import Section, lines_of
from linescope.taping.stock import Tape, TapeStock

WING = 0.009
"""What a cross piece sticks out at either edge of the strip, to be folded to its back: assumed, within the practised
6 to 13 mm of 38 mm cloth. [m]"""


def recipe(section: Section, tape: Tape, stock: TapeStock, holds: Holds) -> Patch:
    """A strip with a cross piece centred on the sliding line, and a lead that sticks to the held line's face.

    Along the strip the dry zone is as long as the tape is wide, so tape too narrow for the way round the sliding line
    takes more than one piece, side by side, and tape too wide to go round once is trimmed.  The lead is as long as the
    held line is wide.
    """
    held, sliding = lines_of(holds)
    first, last = section.contact(sliding)
    around = section.outline.length(first, last, 1.5 * tape.thickness)
    needed = around + 2.0 * stock.margin
    pieces = max(1, math.ceil(needed / tape.width - 1e-9))
    zone, most = pieces * tape.width, section.perimeter - stock.margin
    if zone > most:  # Fewer pieces with less to spare, or one that is trimmed, rather than one that meets itself.
        pieces = max(1, math.floor(most / tape.width))
        zone = min(pieces * tape.width, most) if pieces * tape.width >= around else most
    return Patch(lead=section.width_of(held), zone=zone, pieces=pieces, piece=tape.width + 2.0 * WING)


FAMILY = TapeFamily(
    key="cloth-patch slider", can_hold=(Holds.MAIN, Holds.BACKUP), recipe=recipe, of_cloth=True
)

"""The fixed wrap."""

from __future__ import annotations

from linescope.taping.beginnings import Lead
from linescope.taping.family import TapeFamily
from linescope.taping.holds import Holds
from linescope.taping.section import Section
from linescope.taping.stock import Tape, TapeStock


def recipe(section: Section, tape: Tape, stock: TapeStock, holds: Holds) -> Lead:
    """Whole wraps from the middle of the underside.

    The lead is what hangs over the near edge before winding: folded round that edge, height of the stack
    plus half a width, it reaches the middle of the far side.  After whole wraps the end lies over the
    beginning.
    """
    return Lead(length=0.5 * section.perimeter - 0.5 * section.main_width)


FAMILY = TapeFamily(key="fixed wrap", can_hold=(Holds.BOTH,), recipe=recipe)

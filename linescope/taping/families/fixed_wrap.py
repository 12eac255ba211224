"""The fixed wrap."""

from __future__ import annotations

from linescope.taping.family import TapeFamily, Wrapping
from linescope.taping.holds import Holds
from linescope.taping.section import Section
from linescope.taping.stock import TapeStock


def recipe(section: Section, stock: TapeStock, holds: Holds) -> Wrapping:
    """Whole wraps from the middle of the underside.

    The lead is what hangs over the near edge before winding: folded round that edge, height of the stack
    plus half a width, it reaches the middle of the far side.  After whole wraps the end lies over the
    beginning.
    """
    to_top_edge = 0.5 * section.perimeter - 0.5 * section.main_width
    return Wrapping(start=0.0, turns=stock.wraps, lead=to_top_edge)


FAMILY = TapeFamily(
    key="fixed wrap",
    can_hold=(Holds.BOTH,),
    summary="Sticks to both lines; nothing slides.",
    recipe=recipe,
    steps=(
        "Lay the two lines flat on each other, backup underneath, no half-twist since the last tape.",
        "Let the lead hang over the near edge and fold it under: it reaches the middle of the underside.",
        "Wind firmly, layer on layer; lay the last turn without pull and press its end on underneath.",
    ),
    slides=("Nothing: the loop between two of these tapes keeps its length.",),
    costs=(
        "The least tape and the least time.",
        "Bending wears the lines at the same spot for as long as the tape stays; both lines get glue.",
    ),
    goes_wrong=(
        "Every stretch of the main goes straight into loop depth.",
        "If it tears, two loops become one deep one.",
        "A short strip leaves its end on top or at an edge, where feet and the leash ring lift it.",
    ),
)

"""Recipes that more than one family uses."""

from __future__ import annotations

from linescope.taping.family import DryBy, Wrapping
from linescope.taping.holds import Holds
from linescope.taping.section import Section, lines_of
from linescope.taping.stock import TapeStock


def half_turn_slider(section: Section, stock: TapeStock, holds: Holds) -> Wrapping:
    """A slider with a dry piece, begun in the middle of the held line's outer face.

    The dry zone covers the whole first turn except that face, and reaches on to it by the margin at both
    ends, since the edges of two lines are never quite flush: its length is ``P - w + 2 margin``, for equal
    webbings ``w + 4 t + 2 margin``.  The first half turn brings the strip to the middle of the sliding
    line's face; the wraps are counted from there.
    """
    outline, (held, _) = section.outline, lines_of(holds)
    start, height = section.middle(held), 1.5 * stock.thickness
    face = section.face_half(held)
    grip = max(face - stock.margin, 0.25 * face)
    return Wrapping(
        start=start,
        turns=stock.wraps + 0.5,
        lead=grip,
        dry=(outline.walk(start, grip, height), outline.walk(start + outline.round, -grip, height)),
        dry_by=DryBy.PIECE,
    )

"""The fixed wrap."""

from __future__ import annotations

from linescope.taping.family import Holds, TapeFamily

FAMILY = TapeFamily(
    key="fixed wrap",
    can_hold=(Holds.BOTH,),
    summary="Sticks to both lines; nothing slides.",
)

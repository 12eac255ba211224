"""The tucked-tab slider."""

from __future__ import annotations

from linescope.taping.family import Holds, TapeFamily

FAMILY = TapeFamily(
    key="tucked-tab slider",
    can_hold=(Holds.MAIN, Holds.BACKUP),
    summary="One strip whose free end is folded dry and tucked between the lines; holds either line.",
)

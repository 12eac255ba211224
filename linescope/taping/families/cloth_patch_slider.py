"""The cloth-patch slider."""

from __future__ import annotations

from linescope.taping.family import Holds, TapeFamily

FAMILY = TapeFamily(
    key="cloth-patch slider",
    can_hold=(Holds.MAIN, Holds.BACKUP),
    summary="A cloth strip crosses the long one, sticky to sticky, as the dry zone; holds either line.",
)

"""The main-held slider."""

from __future__ import annotations

from linescope.taping.family import Holds, TapeFamily

FAMILY = TapeFamily(
    key="main-held slider",
    can_hold=(Holds.MAIN,),
    summary="Grips the main; the backup slides through a dry zone.",
)

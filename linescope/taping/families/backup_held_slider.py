"""The backup-held slider."""

from __future__ import annotations

from linescope.taping.family import Holds, TapeFamily

FAMILY = TapeFamily(
    key="backup-held slider",
    can_hold=(Holds.BACKUP,),
    summary="Grips the backup; the main slides through a dry zone.",
)

"""The backup-held slider: one strip encloses the backup, then carries its own dry tail round the main."""

from __future__ import annotations

from linescope.taping.family import TapeFamily
from linescope.taping.holds import Holds
from linescope.taping.recipes import enclosing

FAMILY = TapeFamily(key="backup-held slider", can_hold=(Holds.BACKUP,), recipe=enclosing)

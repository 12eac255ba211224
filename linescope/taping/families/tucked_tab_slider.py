"""The tucked-tab slider: a strip whose beginning is folded dry and tucked between the lines."""

from __future__ import annotations

from linescope.taping.family import TapeFamily
from linescope.taping.holds import Holds
from linescope.taping.recipes import tab

FAMILY = TapeFamily(key="tucked-tab slider", can_hold=(Holds.MAIN, Holds.BACKUP), recipe=tab)

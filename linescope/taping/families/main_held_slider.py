"""The main-held slider: one strip encloses the main, then carries its own dry tail round the backup."""

from __future__ import annotations

from linescope.taping.family import TapeFamily
from linescope.taping.holds import Holds
from linescope.taping.recipes import enclosing

FAMILY = TapeFamily(key="main-held slider", can_hold=(Holds.MAIN,), recipe=enclosing)

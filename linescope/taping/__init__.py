"""Taping styles: which line a tape grips, and how the tape is made."""

from linescope.taping.families import FAMILIES
from linescope.taping.family import Holds, TapeFamily
from linescope.taping.stock import TapeStock

__all__ = ["FAMILIES", "Holds", "TapeFamily", "TapeStock"]

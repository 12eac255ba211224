"""Taping styles: which line a tape grips, how it is made, where it ends, and the cut list of a whole line."""

from linescope.taping.cutlist import TIE, CutList, tape_plan
from linescope.taping.families import FAMILIES
from linescope.taping.family import DryBy, Holds, TapeFamily, Wrapping
from linescope.taping.lay import (
    Coverage,
    Finish,
    LaidTape,
    Segment,
    StripMark,
    lay,
    lay_length,
    lay_whole_wraps,
)
from linescope.taping.section import Section
from linescope.taping.stock import TapeStock

__all__ = [
    "FAMILIES",
    "TIE",
    "Coverage",
    "CutList",
    "DryBy",
    "Finish",
    "Holds",
    "LaidTape",
    "Section",
    "Segment",
    "StripMark",
    "TapeFamily",
    "TapeStock",
    "Wrapping",
    "lay",
    "lay_length",
    "lay_whole_wraps",
    "tape_plan",
]

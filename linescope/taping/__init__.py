"""Taping styles: which line a tape grips, how it is made, where it ends, and the cut list of a whole line.

Notes
-----
Lengths used in practice (common practice, no source) come out of the winding (`winding.py`) for two webbings of 25 by
2.4 mm, thin tape of tt = 0.13 mm, four turns; no table holds them:

- one turn 61 mm (practice 62); fixed wrap 245 mm (254, which is 9 mm of overlap: four turns only with tape of 0.30
  mm);
- main-held and backup-held slider 321 mm (320 to 330), 76 mm more than fixed (75), 45 mm of it dry on both faces; a
  strip of 330 mm ends on the held line's outer face, 318 at its side, 343 near that face's other edge;
- tucked tab 307 mm (305), cloth patch with 38 mm cloth of 0.25 mm 262 mm (254) and a cross piece of 56 mm (50 to 64).

Practice is told in half inches, so these are where to begin; an end that shall lie clear of the edges needs the sizes
at hand, or a first strip that was looked at (`measured.py`).
"""

from linescope.taping.beginnings import Beginning, Enclosing, Lead, Patch, Tab
from linescope.taping.between import Against, Between, Covering
from linescope.taping.cut_list import CutList, make_cut_list
from linescope.taping.families import FAMILIES
from linescope.taping.family import TapeFamily
from linescope.taping.holds import Holds
from linescope.taping.laid import Coverage, Finish, LaidTape, Segment, StripMark
from linescope.taping.lay import find_between, lay, lay_length, lay_whole_wraps
from linescope.taping.path import Run
from linescope.taping.section import Section
from linescope.taping.stock import TIE, FirstStrip, Tape, TapeStock
from linescope.taping.winding import Winding, wind

__all__ = [
    "FAMILIES",
    "TIE",
    "Against",
    "Beginning",
    "Between",
    "Coverage",
    "Covering",
    "CutList",
    "Enclosing",
    "Finish",
    "FirstStrip",
    "Holds",
    "LaidTape",
    "Lead",
    "Patch",
    "Run",
    "Section",
    "Segment",
    "StripMark",
    "Tab",
    "Tape",
    "TapeFamily",
    "TapeStock",
    "Winding",
    "find_between",
    "lay",
    "lay_length",
    "lay_whole_wraps",
    "make_cut_list",
    "wind",
]

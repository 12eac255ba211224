"""Taping styles: which line a tape grips, how it is made, where it ends, and the cut list of a whole line.

Notes
-----
Lengths used in practice (common practice, no source) follow from the geometry for two webbings of w =
25 mm by t = 2.8 mm, tape of tt = 0.15 mm, n = 4 wraps, margin m = 4 mm; no table holds them.  With P =
2 w + 4 t = 61.2 mm:

- one wrap, P + pi tt: 61.7 mm (practice 62);
- fixed wrap, n P + pi tt n^2: 252 mm (254); lead, w / 2 + 2 t: 18 mm (20);
- dry zone of a slider, all but the held face and a margin on to it at each end, w + 4 t + 2 m and the
  turning of the tape: 46 mm (45);
- slider, half a turn to the middle of the sliding line and n wraps, and the dry piece: 335 mm (330).
  The extra is the dry piece and the half turn, 46 + 31 mm and 6 mm for the layers (75); the dry piece
  takes no part in going round, so a backup-held slider of 330 mm ends on top and one half a width
  shorter, 318 mm, on the side;
- tucked tab, n wraps from the seam, and w / 3 between the lines, and the fold w / 3 + w + 2 t + m: 307
  mm (305);
- cloth patch, n wraps with a lead of one width w = 25 mm: 256 mm (254); cross piece of a 48 mm tape,
  with a margin at each side: 56 mm (50 to 64).

A third of the width for the tuck and 4 mm for the margin are assumed: they give the practised lengths.
"""

from linescope.taping.between import Against, Between, Covering
from linescope.taping.cut_list import CutList, make_cut_list
from linescope.taping.families import FAMILIES
from linescope.taping.family import DryBy, TapeFamily, Wrapping
from linescope.taping.holds import Holds
from linescope.taping.laid import Coverage, Finish, LaidTape, Segment, StripMark
from linescope.taping.lay import find_between, lay, lay_length, lay_whole_wraps
from linescope.taping.section import Section
from linescope.taping.stock import TIE, TapeStock

__all__ = [
    "FAMILIES",
    "TIE",
    "Against",
    "Between",
    "Coverage",
    "Covering",
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
    "find_between",
    "lay",
    "lay_length",
    "lay_whole_wraps",
    "make_cut_list",
]

"""What `linescope keys` says of the JSON, and plain data: the keys themselves are declared by the topics."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from linescope.report import bands, grids
from linescope.topics import CLEARANCE, GROUPS
from linescope.topics.advise import GROUPS as ADVICE

HEAD = (
    "Keys of `linescope figures --json`.  All numbers are SI and in full precision; null: not known, not finite",
    "or not asked for.  Points are [x, y, z].  Lists run from anchor A to anchor B.  Notes are objects: kind, severity",
    "(danger, check, limit, basis), values in SI, place [from, to] along the line, text in English.",
    "",
    "linescope             version of the program that wrote it",
    "schema                raised when a key changes its name or what it means",
    "cautions              what must be printed with the figures",
    "ground                what was found and assumed of the ground, as notes",
)
CLEARANCE_HEAD = (
    "",
    "Keys of `linescope clearance --json`, which leaves out \"clearance.\"; cautions as above.",
)
ADVICE_HEAD = (
    "",
    "Keys of `linescope advise --json`, which leaves out \"advise.\"; cautions as above.",
)
FOOT = (
    "bands.draws, bands.lost, bands.ranking (input, mean share), bands.not_varied, bands.notes",
    "",
    "Keys of scene files, and which ground files are read: a scene that `linescope start NAME` writes explains",
    "them all beside their values; `linescope schema` has the same for editors.",
)


def plain(value: Any) -> Any:
    """Numbers, text, lists and None only: arrays become lists; what is not finite becomes None."""
    if isinstance(value, np.ndarray):
        return [plain(item) for item in value.tolist()]
    if isinstance(value, np.generic):
        return plain(value.item())
    if isinstance(value, float):
        return value if math.isfinite(value) else None
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    if isinstance(value, dict):
        return {key: plain(item) for key, item in value.items()}
    return value


def documentation() -> str:
    """All keys with units and meanings, as text."""
    of_bands = ("", "bands.results.<key>", *(f"  {name:<20} {'':<6} {meaning}" for name, meaning in bands.FIGURES), "")
    of_clearance = (*CLEARANCE_HEAD, *grids.documentation(CLEARANCE.groups), "")
    of_advice = (*ADVICE_HEAD, *grids.documentation(ADVICE), "")
    return "\n".join((*HEAD, *grids.documentation(GROUPS), *of_bands, *of_clearance, *of_advice, *FOOT)) + "\n"

"""What was measured on a line once it stood."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from linescope.rig.parts import AnchorName

ReadingKind = Literal["tension", "sag", "loop", "bay", "tape", "period"]

DIMENSION: dict[ReadingKind, str] = {
    "tension": "force", "sag": "length", "loop": "length", "bay": "length", "tape": "length", "period": "time",
}
USUAL: dict[ReadingKind, tuple[str, float]] = {
    "tension": ("ratio", 0.05), "sag": ("length", 0.03), "loop": ("length", 0.015), "bay": ("length", 0.01),
    "tape": ("length", 0.01), "period": ("ratio", 0.05),
}
"""Error of a reading that says none: a share of it, or in its dimension; common practice, no source.  [- or SI]"""


@dataclass(frozen=True, kw_only=True)
class Reading:
    """One reading.

    Attributes
    ----------
    what : {"tension", "sag", "loop", "bay", "tape", "period"}
        Tension of the main at `end`; sag of the main below the straight line between its anchors; depth of a loop;
        length of a bay, straight from tape to tape; place of a tape along the straight line; period of small bounces.
    value : float
        As it was read.  [SI]
    error : float
        Standard deviation of such a reading.  [SI]
    assumed : bool
        Whether that is the usual error of its kind.
    end : {"A", "B"}
        Of a tension.
    number : int
        Of a bay or a tape, counted from 1 at A; 0 for others.
    mass : float
        Of who stood on the main; 0 for nobody.  [kg]
    at : float
        Where he stood, or where the sag was read, from A along the straight line.  [m]
    taken, note : str
        When, and what was written beside it.
    key : str
        Where it stands: a key of the scene, or file and row.
    """

    what: ReadingKind
    value: float
    error: float
    assumed: bool = False
    end: AnchorName = "A"
    number: int = 0
    mass: float = 0.0
    at: float = 0.0
    taken: str = ""
    note: str = ""
    key: str = ""

    @property
    def dimension(self) -> str:
        """Key of `linescope.units.DIMENSIONS`."""
        return DIMENSION[self.what]

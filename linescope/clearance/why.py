"""Why something comes near to the ground: who is where, in what weather, with what sliders, or what has happened."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Literal

from linescope.notes import Kind, Note, Severity, Term, Value

Air = Literal["still", "steady", "gust", "sudden"]
Slid = Literal["", "taped", "settled", "low-there", "low-back", "high-there", "high-back"]
Holds = Literal["", "nothing-holds", "ties-hold"]


class CauseKind(Kind):
    """What brings a line or a body near to the ground; the value is the id of its message."""

    RIG = "clearance-cause-rig"
    RIG_SLID = "clearance-cause-rig-slid"
    STANDING = "clearance-cause-standing"
    STANDING_SLID = "clearance-cause-standing-slid"
    HANGING = "clearance-cause-hanging"
    FALL = "clearance-cause-fall"
    FALL_IN_TIME = "clearance-cause-fall-in-time"
    FALL_LINE = "clearance-cause-fall-line"
    FALL_LINE_SLID = "clearance-cause-fall-line-slid"
    RUNS = "clearance-cause-runs"
    WEATHER_SLID = "clearance-cause-weather-slid"
    GONE_REST = "clearance-cause-gone-rest"
    GONE_FLOOR = "clearance-cause-gone-floor"
    GONE_LINE = "clearance-cause-gone-line"


_SLID = {CauseKind.RIG: CauseKind.RIG_SLID, CauseKind.STANDING: CauseKind.STANDING_SLID}
_OTHER = {"left": "right", "right": "left", "": ""}


@dataclass(frozen=True, kw_only=True)
class Why:
    """One cause.

    Attributes
    ----------
    kind : CauseKind
        `RIG` and `STANDING` whether sliders are told or not.
    loaded : bool
        Whether the walker is on the line.
    air : {"still", "steady", "gust", "sudden"}
        "sudden": a gust that arrives suddenly.
    side : {"", "left", "right"}
        Where the wind comes from, seen from A.
    slid : str
        What the sliders do: "taped", "settled", or as a crossing with the "low" or the "high" hold leaves them, on the
        way "there" to B or "back"; "" where nothing slides.
    holds : {"", "nothing-holds", "ties-hold"}
        Side of the bracket of a loss of the main.
    """

    kind: CauseKind
    loaded: bool = True
    air: Air = "still"
    side: Literal["", "left", "right"] = ""
    slid: Slid = ""
    holds: Holds = ""
    _hash: int = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_hash", hash((self.kind, self.loaded, self.air, self.side, self.slid, self.holds)))

    def __hash__(self) -> int:
        return self._hash

    @property
    def other_side(self) -> Why:
        """The same with the wind from the other side."""
        return replace(self, side=_OTHER[self.side])  # type: ignore[arg-type]

    @property
    def id(self) -> str:
        """For programs: its parts in a fixed order, such as "rig/walker/gust/left/taped"."""
        parts = [self.kind.value.removeprefix("clearance-cause-")]
        if self.kind in _SLID:
            parts += ["walker" if self.loaded else "nobody", self.air, self.side, self.slid]
        return "/".join(part for part in (*parts, self.holds) if part)

    @property
    def weather(self) -> Value:
        """Weather and sliders alone."""
        values = replace(self, kind=CauseKind.RIG).note.values
        if not self.slid:
            return values["air"]
        told = {name: values[name] for name in ("air", "slid")}
        return Note(kind=CauseKind.WEATHER_SLID, severity=Severity.BASIS, values=told)

    @property
    def note(self) -> Note:
        """As what is said."""
        values: dict[str, Value] = {}
        kind = self.kind
        if kind in _SLID:
            values["air"] = Term(f"clearance-air-{self.air}" + (f"-{self.side}" if self.side else ""))
            if kind is CauseKind.RIG:
                values["who"] = Term("clearance-who-walker" if self.loaded else "clearance-who-nobody")
            if self.slid:
                kind, values["slid"] = _SLID[kind], Term(f"clearance-slid-{self.slid}")
        if self.holds:
            values["side"] = Term(f"side-{self.holds}")
        return Note(kind=kind, severity=Severity.BASIS, values=values)

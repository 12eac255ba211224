"""What a comparison of tape styles gives: loops, rub, slip, force and tape of each."""

from __future__ import annotations

from dataclasses import dataclass

from linescope.contact.find import Rub
from linescope.errors import LinescopeError
from linescope.events.friction import HoldLevel
from linescope.rig import Rig
from linescope.taping import FAMILIES, CutList, Holds
from linescope.units import System, format_si


@dataclass(frozen=True, kw_only=True)
class DepthSpread:
    """Loop depths of one state.

    Attributes
    ----------
    least, mean, most : float
        [m]
    """

    least: float
    mean: float
    most: float

    @property
    def spread(self) -> float:
        """Deepest minus shallowest.  [m]"""
        return self.most - self.least

    def words(self, system: System = "metric") -> str:
        """Least to most for people."""
        low, high = (format_si(value, "length", system=system) for value in (self.least, self.most))
        return low if low == high else f"{low} to {high}"


@dataclass(frozen=True, eq=False, kw_only=True)
class Behaviour:
    """What follows from which line is held, whatever the tape is made of.

    Attributes
    ----------
    holds : Holds
    rub : Rub
    taped, settled : DepthSpread
        With the walker where the rig has him.
    slip : mapping of level to float
        Largest stretched length through one tape in a crossing there and back.  [m]
    force : mapping of level to float
        Largest force along the line over a tape in the crossing.  [N]
    """

    holds: Holds
    rub: Rub
    taped: DepthSpread
    settled: DepthSpread
    slip: dict[HoldLevel, float]
    force: dict[HoldLevel, float]


@dataclass(frozen=True, eq=False, kw_only=True)
class Style:
    """One tape family holding one line.

    Attributes
    ----------
    family : str
        A key of `linescope.taping.FAMILIES`.
    holds : Holds
    behaviour : Behaviour or None
        None when it failed.
    cut_list : CutList or None
        What tape it takes; None where it cannot be laid.
    failed : LinescopeError or None
        Why there is no result.
    """

    family: str
    holds: Holds
    behaviour: Behaviour | None
    cut_list: CutList | None
    failed: LinescopeError | None = None

    @property
    def name(self) -> str:
        """Family and what it holds, where it could hold either line."""
        if len(FAMILIES[self.family].can_hold) == 1:
            return self.family
        return f"{self.family}, {self.holds.value}-held"


@dataclass(frozen=True, eq=False, kw_only=True)
class Comparison:
    """Tape styles side by side.

    Attributes
    ----------
    rig : Rig
        As given; its own styles are among those compared only when they are asked for.
    styles : tuple of Style
    conclusions : tuple of str
        What follows, in words.
    assumed : tuple of str
    run_time : float
        [s]
    """

    rig: Rig
    styles: tuple[Style, ...]
    conclusions: tuple[str, ...]
    assumed: tuple[str, ...]
    run_time: float

    def behaviour(self, holds: Holds) -> Behaviour | None:
        """The result of what holds a line, shared by all families that hold it; None when there is none."""
        return next((s.behaviour for s in self.styles if s.holds is holds and s.behaviour is not None), None)

"""A webbing (or a round rope used as backup): size, mass, strength and stretch."""

from __future__ import annotations

from dataclasses import dataclass, replace

from linescope.webbing.stretch import StretchCurve


@dataclass(frozen=True, kw_only=True)
class Webbing:
    """One kind of line.

    Attributes
    ----------
    name : str
        What the user calls it.
    width, thickness : float
        Of the flat section; both the diameter for a rope.  [m]
    mass : float
        Mass per unstretched metre.  [kg/m]
    breaking_strength : float
        As the user gives it; `aged_strength` when that is known.  [N]
    stretch : StretchCurve
        Elongation against tension.
    aged_strength : float or None
        Strength in the used state, when given.  [N]
    is_rope : bool
        A round rope instead of a flat webbing.
    """

    name: str
    width: float
    thickness: float
    mass: float
    breaking_strength: float
    stretch: StretchCurve
    aged_strength: float | None = None
    is_rope: bool = False

    @property
    def strength(self) -> float:
        """The strength that limits are compared with: aged when given, else as new.  [N]"""
        return self.breaking_strength if self.aged_strength is None else self.aged_strength

    def with_stiffness(self, factor: float) -> Webbing:
        """The same webbing, stiffer or softer by a factor."""
        return replace(self, stretch=self.stretch.scaled(factor))

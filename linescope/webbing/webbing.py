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
    terminations : float
        Share of its strength that locks, sewn loops and knots leave.  [-]
    length_change : float
        How much longer it is now at every tension than when it was marked: wet, crept, shrunk in the sun.  [-]
    give, give_from : float
        What the slings at its ends give for each newton, over its length [1/N], and the tension at which it was pulled
        with them on [N].
    """

    name: str
    width: float
    thickness: float
    mass: float
    breaking_strength: float
    stretch: StretchCurve
    aged_strength: float | None = None
    is_rope: bool = False
    terminations: float = 1.0
    length_change: float = 0.0
    give: float = 0.0
    give_from: float = 0.0

    @property
    def strength(self) -> float:
        """The strength that limits are compared with: aged when given, else as new; less what terminations cost.  [N]
        """
        return self.terminations * (self.breaking_strength if self.aged_strength is None else self.aged_strength)

    @property
    def is_changed(self) -> bool:
        """Whether it stretches otherwise than when it was laid and pulled."""
        return self.length_change != 0.0 or self.give != 0.0

    @property
    def now(self) -> StretchCurve:
        """Elongation of what was marked, with slings, against tension; `stretch` is as it was laid."""
        if not self.is_changed:
            return self.stretch
        return self.stretch.longer(self.length_change - self.give * self.give_from, self.give)

    @property
    def laid(self) -> Webbing:
        """As it was when it was marked."""
        return replace(self, length_change=0.0, give=0.0) if self.is_changed else self

    def with_stiffness(self, factor: float) -> Webbing:
        """The same webbing, stiffer or softer by a factor."""
        return replace(self, stretch=self.stretch.scaled(factor))

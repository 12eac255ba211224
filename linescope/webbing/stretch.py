"""Stretch of a webbing: elongation against tension, monotone-cubic through measured points."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False, kw_only=True)
class StretchCurve:
    """Elongation as a function of tension, shape-preserving cubic between points, straight beyond the last.

    Attributes
    ----------
    tension : (k,) array
        Increasing, starting at 0.  [N]
    strain : (k,) array
        Elongation over unstretched length, increasing, starting at 0.  [-]
    offset : float
        Elongation more than that at every tension: of a line that became longer since it was marked.  [-]

    References
    ----------
    .. [1] F. N. Fritsch, J. Butland, "A method for constructing local monotone piecewise cubic interpolants",
       SIAM J. Sci. Stat. Comput. 5 (1984) 300-304, doi:10.1137/0905021.
    """

    tension: Floats
    strain: Floats
    offset: float = 0.0
    _linear_compliance: float | None = field(init=False, repr=False)
    _floor: float = field(init=False, repr=False)

    def __post_init__(self) -> None:
        tension, strain = (np.array(v, dtype=float) for v in (self.tension, self.strain))
        if tension.ndim != 1 or tension.shape != strain.shape or len(tension) < 2:
            raise ValueError("a stretch curve needs two equally long lists of at least two points")
        if tension[0] != 0.0 or strain[0] != 0.0:
            raise ValueError("a stretch curve starts at no tension and no stretch")
        if not (np.all(np.isfinite(tension)) and np.all(np.isfinite(strain))):
            raise ValueError("a stretch curve holds finite numbers only")
        if np.any(np.diff(tension) <= 0) or np.any(np.diff(strain) <= 0):
            raise ValueError("a stretch curve rises from point to point in both tension and stretch")
        for array in (tension, strain):
            array.setflags(write=False)
        secant = np.diff(strain) / np.diff(tension)
        linear = float(secant[0]) if np.ptp(secant) <= 1e-12 * secant[0] else None
        object.__setattr__(self, "tension", tension)
        object.__setattr__(self, "strain", strain)
        object.__setattr__(self, "_linear_compliance", linear)
        object.__setattr__(self, "_floor", 1e-2 * float(secant.min()))

    @cached_property
    def _bare(self) -> StretchCurve:
        """Without its offset."""
        return StretchCurve(tension=self.tension, strain=self.strain)

    @cached_property
    def _cubic(self) -> Floats:
        """(k - 1, 9) of each step between two points: its cubic and the integral of that, highest power first.

        Slope at a point is a weighted harmonic mean of the secants beside it: scipy's PchipInterpolator, which takes
        longer to load than most curves take to be used.
        """
        h, secant = np.diff(self.tension), np.diff(self.strain) / np.diff(self.tension)
        slope = np.full(len(self.tension), secant[0])
        if len(h) > 1:
            before, after = 2.0 * h[1:] + h[:-1], h[1:] + 2.0 * h[:-1]
            slope[1:-1] = (before + after) / (before / secant[:-1] + after / secant[1:])
            slope[0] = _at_end(h[0], h[1], secant[0], secant[1])
            slope[-1] = _at_end(h[-1], h[-2], secant[-1], secant[-2])
        bend = (slope[:-1] + slope[1:] - 2.0 * secant) / h
        cubic, square, strain = bend / h, (secant - slope[:-1]) / h - bend, self.strain[:-1]
        areas = h * (strain + h * (slope[:-1] / 2.0 + h * (square / 3.0 + h * cubic / 4.0)))
        area = np.concatenate([[0.0], np.cumsum(areas)[:-1]])
        slope = slope[:-1]
        return np.column_stack([cubic, square, slope, strain, cubic / 4.0, square / 3.0, slope / 2.0, strain, area])

    @classmethod
    def linear(cls, stiffness: float, *, up_to: float = 1.0e5) -> StretchCurve:
        """A straight law.

        Parameters
        ----------
        stiffness : float
            Axial stiffness EA.  [N]
        up_to : float
            Tension of the second point, which only documents the range.  [N]
        """
        return cls(tension=np.array([0.0, up_to]), strain=np.array([0.0, up_to / stiffness]))

    @property
    def is_linear(self) -> bool:
        """Whether all points lie on one straight line through the origin."""
        return self._linear_compliance is not None and self.offset == 0.0

    def scaled(self, stiffness_factor: float) -> StretchCurve:
        """The same curve, stiffer (> 1) or softer (< 1) by a factor at every tension."""
        return StretchCurve(tension=self.tension, strain=self.strain / stiffness_factor, offset=self.offset)

    def longer(self, offset: float, soft: float = 0.0) -> StretchCurve:
        """The same curve with more elongation at every tension.

        Parameters
        ----------
        offset : float
            At no tension.  [-]
        soft : float
            For each newton besides.  [1/N]
        """
        strain = self.strain + soft * self.tension
        return StretchCurve(tension=self.tension, strain=strain, offset=self.offset + offset)

    def at(self, tension: ArrayLike) -> tuple[Floats, Floats, Floats]:
        """Strain, tangent compliance and complementary energy.

        Parameters
        ----------
        tension : (n,) array
            Tension, >= 0.  [N]

        Returns
        -------
        strain : (n,) array
            [-]
        compliance : (n,) array
            d strain / d tension, never below a hundredth of the curve's smallest secant.  [1/N]
        complementary : (n,) array
            Integral of strain over tension from 0.  [N]
        """
        t = np.asarray(tension, dtype=float)
        if self.offset != 0.0:
            strain, compliance, area = self._bare.at(t)
            return strain + self.offset, compliance, area + self.offset * t
        if self._linear_compliance is not None:
            c = self._linear_compliance
            return c * t, np.full_like(t, c), 0.5 * c * t * t
        last = self.tension[-1]
        inside = np.clip(t, 0.0, last)
        beyond = t - inside
        step = np.clip(np.searchsorted(self.tension, inside, side="right") - 1, 0, len(self.tension) - 2)
        x = inside - self.tension[step]
        cubic, square, slope, start, a4, a3, a2, a1, a0 = np.moveaxis(self._cubic[step], -1, 0)
        strain = ((cubic * x + square) * x + slope) * x + start
        compliance = np.maximum((3.0 * cubic * x + 2.0 * square) * x + slope, self._floor)
        area = (((a4 * x + a3) * x + a2) * x + a1) * x + a0
        strain_out = strain + compliance * beyond
        return strain_out, compliance, area + beyond * (strain + 0.5 * compliance * beyond)

    def strain_at(self, tension: float) -> float:
        """Strain at one tension [N]."""
        return float(self.at(np.array([tension]))[0][0])


def _at_end(h: float, beside: float, secant: float, further: float) -> float:
    """Slope at an end, of the parabola through the three points there, where that rises."""
    return max(((2.0 * h + beside) * secant - h * further) / (h + beside), 0.0)

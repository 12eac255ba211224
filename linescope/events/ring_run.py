"""How far a ring runs along a hanging line before it first turns back: an equation of motion with friction.

The ring, with a walker on it, starts at rest where it hangs at a place and follows the line's resting shape under his
weight W: z(x), of slope alpha and curvature k.  With V(x) the energy of line and walker at rest at x, L(x) the length
of line between an end and the ring, phi the angle by which the line turns at the ring, K the walker's kinetic energy
and N his force on the line, for a run towards growing x

    dK/dx = -dV/dx - R |dL/dx|,    R = N (exp(mu phi) - 1) / (2 sin(phi / 2)),    N = W cos(alpha) + 2 K k       (1)

and likewise the other way.  R is the friction of a line that turns by phi over a ring [1]_.  The equation is linear in
K, so that a run ends where the integral of its own factor times what drives it comes back to zero:

    K(x) exp(F(x)) = integral of exp(F) (-dV/dx - R at K = 0) dx,    dF/dx = dR/dK |dL/dx|                       (2)

What he falls before is taken as caught: it moves him up and down, not along.  Without friction a ring on a level line
ends at the mirrored place.

References
----------
.. [1] The friction of a rope round a drum: L. Euler, "Remarques sur l'effet du frottement dans l'equilibre", 1769.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from linescope.events.released import EDGE, Chain

if TYPE_CHECKING:
    from scipy.interpolate import CubicSpline, PPoly

Floats = NDArray[np.float64]

PLACES = 161  # At which the resting line is known; between them it is smooth.
FINE = 8  # Steps of the sum between two of them.


def _spline(x: Floats, y: Floats) -> CubicSpline:
    from scipy.interpolate import CubicSpline  # Slow to import.

    return CubicSpline(x, y)


def _reached(energy: PPoly, gain: Floats, level: float, start: float) -> Floats:
    """Where a sum is as large as at its start.

    Roots are looked for where the sum crosses the level or turns between two of its places, which are few, and about
    the start: in all pieces that takes a hundred times as long.
    """
    over = energy(energy.x) > level
    chosen = (over[:-1] != over[1:]) | ((gain[:-1] > 0.0) != (gain[1:] > 0.0))
    begun = int(np.searchsorted(energy.x, start))
    chosen[max(0, begun - 2) : begun + 1] = True
    found = [
        type(energy).construct_fast(energy.c[:, k : k + 1], energy.x[k : k + 2]).solve(level, extrapolate=False)
        for k in np.flatnonzero(chosen)
    ]
    return np.concatenate(found)


@dataclass(frozen=True, eq=False, kw_only=True)
class Track:
    """The resting line of a chain under a weight, as the ring runs on it.

    Attributes
    ----------
    x : (n,) array
        Horizontal, from the chain's start.  [m]
    z : (n,) array
        Height of the ring at rest there.  [m]
    energy : (n,) array
        Of line and weight at rest there.  [J]
    along : (n,) array
        Line from the chain's start to the ring, unstretched.  [m]
    tension : (n,) array
        Of the line at a ring that is kept there.  [N]
    weight : float
        [N]
    """

    x: Floats
    z: Floats
    energy: Floats
    along: Floats
    tension: Floats
    weight: float

    def run(self, start: float, friction: float) -> float:
        """Where a ring that starts at rest first comes to rest again.

        Parameters
        ----------
        start : float
            [m]
        friction : float
            Coefficient, mu of equation (1).  [-]

        Returns
        -------
        float
            From the chain's start; the track's end where it would run on to the anchor.  [m]
        """
        start = float(np.clip(start, self.x[0], self.x[-1]))
        drive = -float(self._level(start, 1))
        way = 1.0 if drive > 0.0 else -1.0
        rub = np.expm1(friction * self.turn) / (2.0 * np.sin(0.5 * self.turn)) * np.abs(self._along(self._fine, 1))
        if abs(drive) <= float(np.interp(start, self._fine, self.weight * np.cos(self.slope) * rub)):
            return start  # Friction holds it where it is.
        factor = _spline(self._fine, 2.0 * self.bend * rub).antiderivative()
        grown = np.exp(way * factor(self._fine))
        gain = grown * (-self._level(self._fine, 1) - way * self.weight * np.cos(self.slope) * rub)
        energy = _spline(self._fine, gain).antiderivative()
        ends = _reached(energy, gain, float(energy(start)), start)
        beyond = ends[(ends - start) * way > 1e-6 * (self.x[-1] - self.x[0])]
        if not len(beyond):
            end = float(self.x[-1] if way > 0.0 else self.x[0])
            return end if energy(end) > energy(start) else start
        return float(beyond.min() if way > 0.0 else beyond.max())

    @cached_property
    def _level(self) -> CubicSpline:
        return _spline(self.x, self.energy)

    @cached_property
    def _along(self) -> CubicSpline:
        return _spline(self.x, self.along)

    @cached_property
    def _height(self) -> CubicSpline:
        return _spline(self.x, self.z)

    @cached_property
    def _fine(self) -> Floats:
        """(m,) places at which the motion is summed up.  [m]"""
        steps = np.linspace(0.0, 1.0, FINE + 1)[:-1]
        return np.append((self.x[:-1, None] + np.diff(self.x)[:, None] * steps).reshape(-1), self.x[-1])

    @cached_property
    def slope(self) -> Floats:
        """(m,) of the ring's way, at the fine places.  [rad]"""
        return np.asarray(np.arctan(self._height(self._fine, 1)))

    @cached_property
    def bend(self) -> Floats:
        """(m,) curvature of the ring's way there, positive where it turns upwards.  [1/m]"""
        return np.asarray(self._height(self._fine, 2) * np.cos(self.slope) ** 3)

    @cached_property
    def turn(self) -> Floats:
        """(m,) angle by which the line turns at the ring there.  [rad]

        Both legs lean by the same angle against the ring's way, so that a ring kept where it is under its weight pulls
        them with W = 2 T sin(phi / 2) cos(alpha).
        """
        pull = np.interp(self._fine, self.x, self.tension)
        return np.asarray(2.0 * np.arcsin(np.clip(0.5 * self.weight / (pull * np.cos(self.slope)), 1e-9, 1.0)))


def track(chain: Chain, weight: float, places: int = PLACES) -> Track:
    """The resting line of a chain under a weight.

    Parameters
    ----------
    chain : Chain
    weight : float
        [N]
    places : int
        At which it is solved.

    Raises
    ------
    NoEquilibrium
    """
    # Closer together towards the ends, where the line is steep.
    share = 0.5 * (1.0 - np.cos(np.pi * np.linspace(0.0, 1.0, places)))
    x = (EDGE + (1.0 - 2.0 * EDGE) * share) * chain.run
    rings = chain.hang_at(x, np.full(places, weight))
    return Track(
        x=x, z=rings.z, energy=rings.energy + weight * rings.z, along=rings.along, tension=rings.tension, weight=weight,
    )

"""A ring that runs without friction along a hanging line, for many rings at once.

The line is a chain of parts between two fixed ends: the released backup alone, or intact pairs of main and backup,
then the released backup, then intact pairs again.  Everything lies in the vertical plane through the two ends.  Each
part is an elastic catenary; ends of parts need no unknowns of their own, since forces pass through them: given H and
V at an end, the place of the ring follows, and its derivatives add up.

Seven unknowns a ring, y = (H1, V1, H2, V2, s, z, x): the tension's components at the chain's two ends, the unstretched
chain s from the first end to the ring, and the ring's height and place.  With X, Z the way from an end to the ring over
the parts between (flexibility of [1]), Vr the vertical component there and T the tension,

    X1(H1, V1, s) = x                         (1)
    za + Z1(H1, V1, s) = z                    (2)
    run - X2(H2, V2, length - s) = x          (3)
    zb + Z2(H2, V2, length - s) = z           (4)
    T1 = T2, a frictionless ring              (5)
    -(Vr1 + Vr2) = force                      (6)
    H1 = H2 where it rolls; x as given where it is kept from rolling   (7)

An unstretched ds more before the ring adds ratio ds along the line's direction there, (H, Vr) / T, and load ds to Vr;
that gives the columns of s in the Jacobian.

References
----------
.. [1] H. M. Irvine, *Cable Structures*, MIT Press 1981, section 1.3 (the elastic catenary).
.. [2] The ring's own condition, equal tension on both sides, is that of a frictionless pulley; light and inextensible
   the ring moves on an ellipse with the ends as foci.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from linescope.errors import NoEquilibrium
from linescope.events.catch import Held
from linescope.events.released_loops import ALONG, H1, H2, TOLERANCE, V1, V2, X, Z, balanced, guesses, light_heights
from linescope.statics.quick import curves_of, lengthened
from linescope.webbing import StretchCurve

Floats = NDArray[np.float64]

EDGE = 1e-3  # Rings stay this share of the run inside the ends.


@dataclass(frozen=True, eq=False, kw_only=True)
class Part:
    """A piece of the chain.

    Attributes
    ----------
    length : float
        Unstretched.  [m]
    load : float
        Weight per unstretched metre.  [N/m]
    stretch : StretchCurve
    """

    length: float
    load: float
    stretch: StretchCurve


@dataclass(frozen=True, eq=False, kw_only=True)
class Rings:
    """n rings in equilibrium on one chain.  Arrays are (n,).

    Attributes
    ----------
    x, z : array
        Place in the chain's plane: horizontal from its first end, and height.  [m]
    along : array
        Unstretched chain from its first end to the ring.  [m]
    h_start, v_start, h_end, v_end : array
        Tension components at both ends of the chain, the vertical ones upwards from the end to the line.  [N]
    energy : array
        Elastic energy of the chain and potential of its weight.  [J]
    tension : array
        Tension at the ring.  [N]
    """

    x: Floats
    z: Floats
    along: Floats
    h_start: Floats
    v_start: Floats
    h_end: Floats
    v_end: Floats
    energy: Floats
    tension: Floats

    @property
    def top_tension(self) -> Floats:
        """Largest tension anywhere on the chain: at one of its ends or at the ring.  [N]"""
        ends = np.maximum(np.hypot(self.h_start, self.v_start), np.hypot(self.h_end, self.v_end))
        return np.maximum(ends, self.tension)

    @property
    def angles(self) -> Floats:
        """(n, 2) angle of the line below horizontal at the two ends.  [rad]"""
        return np.stack((np.arctan2(-self.v_start, self.h_start), np.arctan2(-self.v_end, self.h_end)), axis=-1)

    def held(self) -> Held:
        """For `linescope.events.catch.lowest`."""
        return Held(drop=-self.z, energy=self.energy)


@dataclass(frozen=True, eq=False, kw_only=True)
class Chain:
    """A line between two ends with a ring on it.

    Attributes
    ----------
    start, end : (3,) array
        [m]
    parts : tuple of Part
        From start to end.
    """

    start: Floats
    end: Floats
    parts: tuple[Part, ...]

    @cached_property
    def run(self) -> float:
        """Horizontal distance between the ends.  [m]"""
        return float(np.hypot(*(self.end - self.start)[:2]))

    @cached_property
    def length(self) -> float:
        """Unstretched.  [m]"""
        return float(sum(part.length for part in self.parts))

    @cached_property
    def weight(self) -> float:
        """[N]"""
        return float(sum(part.length * part.load for part in self.parts))

    def points(self, x: Floats, z: Floats) -> Floats:
        """(..., 3) points of the plane.  [m]"""
        across = (self.end - self.start)[:2] / self.run
        return np.concatenate((self.start[:2] + x[..., None] * across, z[..., None]), axis=-1)

    @cached_property
    def _table(self) -> tuple[Floats, Floats, Floats, Floats, float]:
        """As `released_loops` takes it: lengths, loads, stretch curves, heights of the ends, and the run."""
        stretches = [part.stretch for part in self.parts]
        curves = lengthened(curves_of(*stretches), np.array([stretch.offset for stretch in stretches]))
        lengths, loads = (np.array([getattr(part, name) for part in self.parts]) for name in ("length", "load"))
        return lengths, loads, curves, np.array([self.start[2], self.end[2]]), self.run

    def _balanced(self, y: Floats, force: Floats, held: bool) -> Rings:
        """Rings from the unknowns (n, 7) that they begin at, which are overwritten."""
        lengths, loads, curves, ends, run = self._table
        missed, energy, tension = balanced(lengths, loads, curves, ends, run, y, force, held)
        if not np.max(missed, initial=0.0) < 1e3 * TOLERANCE:
            bad = int(np.argmax(missed))
            raise NoEquilibrium(
                f"a ring under {force[bad]:.3g} N at {y[bad, X]:.3g} m along the released line found no balance "
                f"(left over: {missed[bad]:.1e} of length or load).",
                advice="check the excess, the masses and the stretch of the backup for a wrong unit.",
            )
        return Rings(
            x=y[:, X], z=y[:, Z], along=y[:, ALONG], h_start=y[:, H1], v_start=y[:, V1], h_end=y[:, H2],
            v_end=y[:, V2], energy=energy, tension=tension,
        )

    def hang_at(self, x: Floats, force: Floats, near: Rings | None = None) -> Rings:
        """Rings pulled down by given forces and kept from rolling: each stays at its x, frictionless on the line.

        Parameters
        ----------
        x : (n,) array
            Between 0 and `run`.  [m]
        force : (n,) array
            [N]
        near : Rings, optional
            n rings close by to begin from.

        Raises
        ------
        NoEquilibrium
        """
        return self._solve(x, force, near, True)

    def hang(self, force: Floats, near: Rings | None = None) -> Rings:
        """Rings pulled down by given forces where they roll to by themselves, at most to `EDGE` of an end.

        Parameters
        ----------
        force : (n,) array
            [N]
        near : Rings, optional

        Raises
        ------
        NoEquilibrium
        """
        both = self.hang_at(np.repeat([EDGE, 1.0 - EDGE], len(force)) * self.run, np.tile(force, 2))
        halves = zip(*(np.split(value, 2) for value in vars(both).values()), strict=True)
        ends = [Rings(**dict(zip(vars(both), half, strict=True))) for half in halves]
        at_start = ends[0].h_end <= ends[0].h_start
        at_end = (ends[1].h_end >= ends[1].h_start) & ~at_start
        free = ~(at_start | at_end)
        found = {name: np.where(at_start, value, vars(ends[1])[name]) for name, value in vars(ends[0]).items()}
        if free.any():
            if near is None:
                inside = np.linspace(0.02, 0.98, 49) * self.run
                lengths, _, curves, heights, run = self._table
                lines = [light_heights(lengths, curves, inside, float(one), heights, run) for one in force[free]]
                x, begin = inside[np.argmin(lines, axis=1)], None
            else:
                begin = Rings(**{name: value[free] for name, value in vars(near).items()})
                x = begin.x
            rolled = self._solve(x, force[free], begin, False)
            for name, value in vars(rolled).items():
                found[name][free] = value
        return Rings(**found)

    def _solve(self, x: Floats, force: Floats, near: Rings | None, held: bool) -> Rings:
        x, force = (np.ascontiguousarray(each, dtype=float) for each in (x, force))

        def guess() -> Floats:
            lengths, loads, curves, ends, run = self._table
            return np.asarray(guesses(lengths, loads, curves, x, force, ends, run))

        if near is None:
            return self._balanced(guess(), force, held)
        begin = np.stack((near.h_start, near.v_start, near.h_end, near.v_end, near.along, near.z, x), axis=1)
        try:
            return self._balanced(begin, force, held)
        except NoEquilibrium:
            return self._balanced(guess(), force, held)

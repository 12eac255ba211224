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
from linescope.statics.catenary import Segments2D, flexibility
from linescope.webbing import StretchCurve

Floats = NDArray[np.float64]

MAX_STEPS = 60
TOLERANCE = 1e-11  # Of length and of load.
HALVINGS = 16  # Of the tension that is guessed for a weightless chain.
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
class _Side:
    """The chain from one end to the ring, at given forces.

    Attributes
    ----------
    x, z : (n,) array
        The ring seen from the end: X and Z of (1) to (4).  [m]
    xh, xv, zv : (n,) array
        dX/dH, dX/dV = dZ/dH, dZ/dV.  [m/N]
    v : (n,) array
        Vertical tension component at the ring.  [N]
    tension, ratio, load : (n,) array
        Tension [N], stretch ratio [-] and weight per metre [N/m] at the ring.
    energy : (n,) array
        [J]
    """

    x: Floats
    z: Floats
    xh: Floats
    xv: Floats
    zv: Floats
    v: Floats
    tension: Floats
    ratio: Floats
    load: Floats
    energy: Floats


def _side(parts: tuple[Part, ...], lengths: Floats, h: Floats, v: Floats, height: float) -> _Side:
    """The chain from an end at `height` with tension components h, v there, its parts so long up to the ring."""
    n = len(h)
    x, z, xh, xv, zv, energy, ratio, load = (np.zeros(n) for _ in range(8))
    for part, length in zip(parts, lengths, strict=True):
        q = np.full(n, part.load)
        strain, c, area = part.stretch.at(np.hypot(h, v + 0.5 * q * length))
        middle = np.hypot(h, v + 0.5 * q * length)
        a = 1.0 + strain - c * middle
        offset = middle + area - a * middle - 0.5 * c * middle**2
        px, pz, pxh, pxv, pzv = flexibility(h, v, length, q, a, c)
        flat = Segments2D(h=h, v=v, length=length, q=q, a=a, c=c, offset=offset)
        x, z, xh, xv, zv = x + px, z + pz, xh + pxh, xv + pxv, zv + pzv
        energy = energy + h * px + v * pz - flat.complementary_energy() + q * length * (height + z)
        v = v + q * length
        here = length > 0.0
        ratio = np.where(here, a + c * np.hypot(h, v), ratio)
        load = np.where(here, q, load)
    return _Side(
        x=x, z=z, xh=xh, xv=xv, zv=zv, v=v, tension=np.hypot(h, v), ratio=ratio, load=load, energy=energy
    )


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

    def stretched(self, tension: Floats) -> Floats:
        """(parts, n) lengths of the parts under one tension.  [m]"""
        return np.array([part.length * (1.0 + part.stretch.at(tension)[0]) for part in self.parts])

    def _light_ring(self, x: Floats, force: Floats) -> tuple[Floats, Floats, Floats, Floats]:
        """Ring held at x on a chain without weight: height, tension and the two legs, by bisection on the tension."""
        za, zb, run = self.start[2], self.end[2], self.run

        def place(tension: Floats) -> tuple[Floats, Floats, Floats, Floats]:
            total = np.sum(self.stretched(tension), axis=0)
            # Ellipse: |r - A| = (t^2 + c0 + c1 z) / 2t, where |r - A|^2 - |r - B|^2 = c0 + c1 z.
            c0 = x**2 - (run - x) ** 2 + za**2 - zb**2
            c1 = 2.0 * (zb - za)
            p, k = (total**2 + c0) / (2.0 * total), c1 / (2.0 * total)
            a, b, c = 1.0 - k * k, -2.0 * (za + p * k), x**2 + za**2 - p**2
            inside = b * b - 4.0 * a * c
            z = (-b - np.sqrt(np.maximum(inside, 0.0))) / (2.0 * a)
            d1, d2 = np.hypot(x, z - za), np.hypot(run - x, z - zb)
            held = tension * ((za - z) / d1 + (zb - z) / d2)
            return np.where((inside > 0.0) & (total > np.hypot(run, zb - za)), held, -np.inf), z, d1, d2

        low, high = 1e-3 * force, force.copy()
        for _ in range(60):
            weak = place(high)[0] < force
            if not weak.any():
                break
            high = np.where(weak, 2.0 * high, high)
        for _ in range(HALVINGS):
            middle = 0.5 * (low + high)
            weak = place(middle)[0] < force
            low, high = np.where(weak, middle, low), np.where(weak, high, middle)
        _, z, d1, d2 = place(high)
        return z, high, d1, d2

    def _guess(self, x: Floats, force: Floats) -> Floats:
        """(n, 7) unknowns to begin from: H and V at both ends, length to the ring, its height and its x."""
        z, tension, d1, d2 = self._light_ring(x, force)
        stretched = self.stretched(tension)
        begin = np.cumsum(stretched, axis=0) - stretched
        before = np.clip(np.sum(stretched, axis=0) * d1 / (d1 + d2) - begin, 0.0, stretched)
        full = np.array([part.length for part in self.parts])
        along = np.sum(before / stretched * full[:, None], axis=0)
        left = np.array([part.load for part in self.parts]) @ self._lengths(along)[0]
        right = self.weight - left
        return np.stack(
            (
                tension * x / d1, tension * (z - self.start[2]) / d1 - 0.5 * left,
                tension * (self.run - x) / d2, tension * (z - self.end[2]) / d2 - 0.5 * right,
                along, z, x,
            ),
            axis=1,
        )

    def _lengths(self, along: Floats) -> tuple[Floats, Floats]:
        """(parts, n) unstretched length of each part before the ring, and after it."""
        full = np.array([part.length for part in self.parts])
        begin = np.cumsum(full) - full
        before = np.clip(along[None] - begin[:, None], 0.0, full[:, None])
        return before, full[:, None] - before

    def _sides(self, y: Floats) -> tuple[_Side, _Side]:
        before, after = self._lengths(y[:, 4])
        left = _side(self.parts, before, y[:, 0], y[:, 1], float(self.start[2]))
        right = _side(self.parts[::-1], after[::-1], y[:, 2], y[:, 3], float(self.end[2]))
        return left, right

    def _residual(self, y: Floats, left: _Side, right: _Side, force: Floats, held: bool) -> Floats:
        """(n, 7) equations (1) to (7), right side taken to the left; `held`: kept from rolling, x is not changed."""
        rest = np.zeros(len(y)) if held else y[:, 2] - y[:, 0]
        return np.stack(
            (
                left.x - y[:, 6], self.start[2] + left.z - y[:, 5],
                self.run - right.x - y[:, 6], self.end[2] + right.z - y[:, 5],
                left.tension - right.tension, -left.v - right.v - force, rest,
            ),
            axis=1,
        )

    def _jacobian(self, y: Floats, left: _Side, right: _Side, held: bool) -> Floats:
        """(n, 7, 7) derivatives of (1) to (7), a row each, by H1, V1, H2, V2, s, z and x."""
        j = np.zeros((len(y), 7, 7))
        h1, h2 = y[:, 0], y[:, 2]
        j[:, 0, 0], j[:, 0, 1], j[:, 0, 4], j[:, 0, 6] = left.xh, left.xv, left.ratio * h1 / left.tension, -1.0
        j[:, 1, 0], j[:, 1, 1], j[:, 1, 4], j[:, 1, 5] = left.xv, left.zv, left.ratio * left.v / left.tension, -1.0
        j[:, 2, 2], j[:, 2, 3], j[:, 2, 4], j[:, 2, 6] = -right.xh, -right.xv, right.ratio * h2 / right.tension, -1.0
        j[:, 3, 2], j[:, 3, 3], j[:, 3, 5] = right.xv, right.zv, -1.0
        j[:, 3, 4] = -right.ratio * right.v / right.tension
        j[:, 4, 0], j[:, 4, 1] = h1 / left.tension, left.v / left.tension
        j[:, 4, 2], j[:, 4, 3] = -h2 / right.tension, -right.v / right.tension
        j[:, 4, 4] = left.load * left.v / left.tension + right.load * right.v / right.tension
        j[:, 5, 1] = j[:, 5, 3] = -1.0
        j[:, 5, 4] = right.load - left.load
        if held:
            j[:, 6, 6] = 1.0
        else:
            j[:, 6, 0], j[:, 6, 2] = -1.0, 1.0
        return j

    def _newton(self, y: Floats, force: Floats, held: bool) -> tuple[Floats, _Side, _Side]:
        size, load = self.length, force + self.weight
        scale = np.stack((np.full(len(y), size),) * 4 + (load,) * 3, axis=1)
        left, right = self._sides(y)
        residual = self._residual(y, left, right, force, held)
        norm = np.max(np.abs(residual / scale), axis=1)
        for _ in range(MAX_STEPS):
            open_ = norm > TOLERANCE
            if not open_.any():
                return y, left, right
            step = np.linalg.solve(self._jacobian(y, left, right, held), -residual[:, :, None])[:, :, 0]
            share = np.where(open_, 1.0, 0.0)
            for column in (0, 2):
                share = np.minimum(share, 0.8 * y[:, column] / np.maximum(-step[:, column], 1e-300))
            room = np.where(step[:, 4] > 0.0, size - y[:, 4], y[:, 4])
            share = np.minimum(share, 0.8 * room / np.maximum(np.abs(step[:, 4]), 1e-300))
            for _ in range(30):
                tried = y + share[:, None] * step
                sides = self._sides(tried)
                left_over = self._residual(tried, *sides, force, held)
                new = np.max(np.abs(left_over / scale), axis=1)
                worse = (share > 0.0) & (new > (1.0 - 0.1 * share) * norm) & (new > TOLERANCE)
                if not worse.any():
                    break
                share = np.where(worse, 0.5 * share, share)
            stalled = np.all(share[open_] < 1e-8)
            y, (left, right), residual, norm = tried, sides, left_over, new
            if stalled:
                break
        if np.max(norm) < 1e3 * TOLERANCE:
            return y, left, right
        bad = int(np.argmax(norm))
        raise NoEquilibrium(
            f"a ring under {force[bad]:.3g} N at {y[bad, 6]:.3g} m along the released line found no balance "
            f"(left over: {norm[bad]:.1e} of length or load).",
            advice="check the excess, the masses and the stretch of the backup for a wrong unit.",
        )

    def _rings(self, y: Floats, left: _Side, right: _Side) -> Rings:
        return Rings(
            x=y[:, 6], z=y[:, 5], along=y[:, 4], h_start=y[:, 0], v_start=y[:, 1], h_end=y[:, 2], v_end=y[:, 3],
            energy=left.energy + right.energy, tension=left.tension,
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
                lines = [self._light_ring(inside, np.full_like(inside, one))[0] for one in force[free]]
                x, begin = inside[np.argmin(lines, axis=1)], None
            else:
                begin = Rings(**{name: value[free] for name, value in vars(near).items()})
                x = begin.x
            rolled = self._solve(x, force[free], begin, False)
            for name, value in vars(rolled).items():
                found[name][free] = value
        return Rings(**found)

    def _solve(self, x: Floats, force: Floats, near: Rings | None, held: bool) -> Rings:
        if near is None:
            y = self._guess(x, force)
        else:
            y = np.stack((near.h_start, near.v_start, near.h_end, near.v_end, near.along, near.z, x), axis=1)
        try:
            return self._rings(*self._newton(y, force, held))
        except (NoEquilibrium, np.linalg.LinAlgError):
            if near is None:
                raise
        return self._rings(*self._newton(self._guess(x, force), force, held))

"""The elastic catenary: closed forms for one piece of line, or for many at once as arrays.

A piece of line hangs between two points under a load q (N per unstretched metre, any fixed direction).  "Up" is the
direction against the load; x is the distance between the ends across it, z the rise along it.  H is the tension
across the load, V the tension component along "up" at the first end, L the unstretched length.

The stretch law is affine in each piece, ``stretch ratio = a + c T``: the tangent to the webbing's curve at the mean
tension of the piece, so that the curve itself is met there.  A straight law has a = 1 and c = 1 / EA.

The textbook differences of asinh and square roots lose digits on taut pieces (L q / T down to 1e-6), so they are
written with ``tanh((asinh b - asinh a) / 2) = q L / (Ta + Tb)``, an exact identity of the hyperbola.

References
----------
.. [1] H. M. Irvine, *Cable Structures*, MIT Press 1981, section 1.3 (the elastic catenary).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.errors import SegmentNotSolved
from linescope.shown import Outlined

Floats = NDArray[np.float64]
StretchLaw = Callable[[Floats], tuple[Floats, Floats, Floats]]

MAX_STEPS = 80
UNGUARDED = 4  # Steps that are tried without looking for overshoot: most pieces need no more.
STEP_TOLERANCE = 1e-7  # Steps shrink quadratically: after one this small nothing is left but rounding.
LEAST_H = 1e-14  # Floor of H over the piece's load, so that a folded piece keeps a plane.
ROUND_OFF = 1e-15  # Of the closing error, relative to the piece's size.


def _asinh_difference_over_q(
    h: Floats, va: Floats, vb: Floats, ta: Floats, tb: Floats, q: Floats, length: Floats
) -> tuple[Floats, Floats]:
    """(asinh(vb/h) - asinh(va/h)) / q, and 1 - tanh of half that difference, both without cancellation."""
    total = ta + tb
    h2 = h * h
    below = np.where(va < 0.0, h2 / (ta + np.abs(va)), ta + va) + np.where(
        vb > 0.0, h2 / (tb + np.abs(vb)), tb - vb
    )
    load = q * length
    return np.log1p(2.0 * load / below) / q, below / total


def shape_from_forces(
    h: Floats, v: Floats, length: Floats, q: Floats, a: Floats, c: Floats
) -> tuple[Floats, Floats]:
    """Where the far end of a piece of line lies, seen from its first end.

    Parameters
    ----------
    h, v : (n,) array
        Tension across the load, > 0, and along "up" at the first end.  [N]
    length : (n,) array
        Unstretched length.  [m]
    q : (n,) array
        Load per unstretched metre, > 0.  [N/m]
    a, c : (n,) array
        Stretch law ``a + c T``.  [-, 1/N]

    Returns
    -------
    x, z : (n,) array
        [m]
    """
    vb = v + q * length
    ta, tb = np.hypot(h, v), np.hypot(h, vb)
    run, _ = _asinh_difference_over_q(h, v, vb, ta, tb, q, length)
    mean_v = 0.5 * (v + vb)
    return h * (a * run + c * length), length * mean_v * (2.0 * a / (ta + tb) + c)


def flexibility(
    h: Floats, v: Floats, length: Floats, q: Floats, a: Floats, c: Floats
) -> tuple[Floats, Floats, Floats, Floats, Floats]:
    """Shape and its exact derivatives by the forces.

    Returns
    -------
    x, z : (n,) array
        As `shape_from_forces`.  [m]
    xh, xv, zv : (n,) array
        dx/dH, dx/dV (= dz/dH) and dz/dV.  [m/N]
    """
    load = q * length
    vb = v + load
    ta, tb = np.hypot(h, v), np.hypot(h, vb)
    total, product = ta + tb, ta * tb
    run, rest = _asinh_difference_over_q(h, v, vb, ta, tb, q, length)
    tanh = load / total
    mean_v = 0.5 * (v + vb)
    x = h * (a * run + c * length)
    z = length * mean_v * (2.0 * a / total + c)
    turn = 2.0 * tanh / (rest * (1.0 + tanh)) * (h * h) / (product * q)
    xh = a * (run - turn) + c * length
    xv = -2.0 * a * h * length * mean_v / (total * product)
    zv = a * turn + c * length
    return x, z, xh, xv, zv


def _starting_forces(x: Floats, z: Floats, length: Floats, q: Floats, law: StretchLaw) -> tuple[Floats, Floats]:
    """A guess near the answer: inextensible catenary where slack, taut elastic string with sag where not."""
    chord = np.hypot(x, z)
    load = q * length
    unloaded, c, _ = law(np.zeros_like(x))
    long = chord / length - 1.0 - unloaded
    # Taut or nearly: T^3 - (ratio - 1)/c T^2 - (normal load)^2 / (24 c) = 0 has one positive root; Newton from the
    # right of it cannot miss.
    pull = long / c
    bend = (load * x / chord) ** 2 / (24.0 * c)
    tension = np.maximum(pull, 0.0) + np.cbrt(bend) + 1e-3 * load
    for _ in range(8):
        tension -= (tension**2 * (tension - pull) - bend) / (tension * (3.0 * tension - 2.0 * pull))
    # Secant to the curve instead of its first tangent.
    strain, _, _ = law(tension)
    secant = np.maximum(strain - unloaded, 1e-300) / tension
    pull, bend = long / secant, (load * x / chord) ** 2 / (24.0 * secant)
    tension = np.maximum(pull, 0.0) + np.cbrt(bend) + 1e-3 * load
    for _ in range(8):
        tension -= (tension**2 * (tension - pull) - bend) / (tension * (3.0 * tension - 2.0 * pull))
    h = tension * x / chord
    v = tension * z / chord - 0.5 * load
    # Slack: sinh(u)/u = sqrt(L^2 - z^2)/x with u = q x / 2H.
    slack2 = length**2 - z**2
    loose = slack2 > (1.0 + 1e-12) * x**2
    ratio = np.sqrt(np.where(loose, slack2, x**2)) / x
    shallow = np.sqrt(np.maximum(6.0 * (ratio - 1.0), 1e-16))
    deep = np.log(2.0 * ratio) + np.log(np.maximum(np.log(2.0 * ratio), 1.0))
    u = np.where(ratio > 3.0, deep, shallow)
    for _ in range(6):
        u = np.maximum(u - (np.sinh(u) - ratio * u) / np.maximum(np.cosh(u) - ratio, 1e-12), 0.5 * u)
    h_loose = 0.5 * q * x / u
    v_loose = 0.5 * (q * z / np.tanh(u) - load)
    strain_loose = law(np.hypot(h_loose, v_loose + 0.5 * load))[0]
    use = loose & (strain_loose < 0.2 * np.sqrt(np.maximum(ratio - 1.0, 0.0)) * (ratio - 1.0) + 0.3 * (ratio - 1.0))
    return np.where(use, h_loose, h), np.where(use, v_loose, v)


def solve_forces(
    x: Floats,
    z: Floats,
    length: Floats,
    q: Floats,
    law: StretchLaw,
    guess: tuple[Floats, Floats] | None = None,
) -> Segments2D:
    """Forces of pieces of line between given ends, all at once.

    Minimises the (convex) complementary energy by Newton steps; a step that overshoots is halved.

    Parameters
    ----------
    x : (n,) array
        Distance across the load, > 0.  [m]
    z : (n,) array
        Rise along "up" from first to second end.  [m]
    length : (n,) array
        Unstretched length, > 0.  [m]
    q : (n,) array
        Load per unstretched metre, > 0.  [N/m]
    law : callable
        Tension (n,) to strain, compliance and complementary energy; see `StretchCurve.at`.
    guess : pair of (n,) arrays, optional
        H and V to start from.  [N]

    Raises
    ------
    SegmentNotSolved
        When Newton does not converge within `MAX_STEPS`.
    """
    h, v = _starting_forces(x, z, length, q, law) if guess is None else guess
    round_off = ROUND_OFF * (x + np.abs(z) + length)
    load = q * length
    least_h = LEAST_H * load
    tension = np.hypot(h, v + 0.5 * load)
    dh = dv = np.zeros_like(h)
    before: Floats | None = None
    for count in range(MAX_STEPS):
        strain, c, _ = law(tension)
        a = 1.0 + strain - c * tension
        xs, zs, xh, xv, zv = flexibility(h, v, length, q, a, c)
        rx, rz = xs - x, zs - z
        if before is not None:
            over = rx * dh + rz * dv > -0.9 * before
            if over.any():
                # The complementary energy rose along the last step: go back half of it.
                h = np.where(over, h - 0.5 * dh, h)
                v = np.where(over, v - 0.5 * dv, v)
                dh, dv = np.where(over, 0.5 * dh, dh), np.where(over, 0.5 * dv, dv)
                before = np.where(over, 0.5 * before, before)
                tension = np.hypot(h, v + 0.5 * load)
                strain, c, _ = law(tension)
                a = 1.0 + strain - c * tension
                xs, zs, xh, xv, zv = flexibility(h, v, length, q, a, c)
                rx, rz = xs - x, zs - z
        # Rounding may leave the determinant of a nearly rigid piece at nothing.
        det = np.maximum(xh * zv - xv * xv, 1e-16 * xh * zv)
        dh = (xv * rz - zv * rx) / det
        dv = (xv * rx - xh * rz) / det
        if np.any(dh < -0.8 * h):
            shrink = np.where(dh < -0.8 * h, 0.8 * h / np.maximum(-dh, 1e-200), 1.0)
            dh, dv = dh * shrink, dv * shrink
        h, v = np.maximum(h + dh, least_h), v + dv
        tension = np.hypot(h, v + 0.5 * load)
        step = np.abs(dh) + np.abs(dv)
        open_ = (step > STEP_TOLERANCE * h) & (np.abs(rx) + np.abs(rz) > round_off)
        if not open_.any():
            break
        if count >= UNGUARDED:
            before = np.where(step < 1e-7 * tension, -np.inf, rx * dh + rz * dv)
    else:
        bad = int(np.argmax(np.where(open_, step / tension, 0.0)))
        raise SegmentNotSolved(
            f"a piece of line {length[bad]:.4g} m long between ends {np.hypot(x[bad], z[bad]):.4g} m apart has no "
            f"solution after {MAX_STEPS} steps (last relative step {step[bad] / tension[bad]:.1e}).",
            advice="check masses, lengths and stretch of the webbing for a wrong unit.",
        )
    strain, c, area = law(tension)
    a = 1.0 + strain - c * tension
    offset = tension + area - a * tension - 0.5 * c * tension**2
    return Segments2D(h=h, v=v, length=length, q=q, a=a, c=c, offset=offset)


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Segments2D(Outlined):
    """Solved pieces of line, each in its own plane.  Every array is (n,).

    Attributes
    ----------
    h, v : array
        Tension across the load; along "up" at the first end.  [N]
    length, q : array
        Unstretched length; load per unstretched metre.  [m, N/m]
    a, c : array
        Stretch law ``a + c T``.  [-, 1/N]
    offset : array
        Constant that makes ``phi = offset + a T + c T^2 / 2`` equal to the curve's own integral of the stretch
        ratio over tension at the mean tension.  [N]
    """

    h: Floats
    v: Floats
    length: Floats
    q: Floats
    a: Floats
    c: Floats
    offset: Floats

    def part(self, part: slice | NDArray[np.int64]) -> Segments2D:
        """Some of the pieces."""
        return Segments2D(
            h=self.h[part], v=self.v[part], length=self.length[part], q=self.q[part], a=self.a[part],
            c=self.c[part], offset=self.offset[part],
        )

    @property
    def v_end(self) -> Floats:
        """Tension along "up" at the second end.  [N]"""
        return self.v + self.q * self.length

    @property
    def tension_start(self) -> Floats:
        """Tension at the first end.  [N]"""
        return np.hypot(self.h, self.v)

    @property
    def tension_end(self) -> Floats:
        """Tension at the second end.  [N]"""
        return np.hypot(self.h, self.v_end)

    @property
    def tension_mean(self) -> Floats:
        """Tension where V is the mean of its end values: where the stretch curve is met.  [N]"""
        return np.hypot(self.h, self.v + 0.5 * self.q * self.length)

    def phi(self, tension: Floats) -> Floats:
        """Integral of the stretch ratio over tension, T + T^2/2EA for a straight law.  [N]"""
        return self.offset + tension * (self.a + 0.5 * self.c * tension)

    def run(self) -> Floats:
        """Difference of asinh(V/H) over the piece, divided by q.  [m/N]"""
        return _asinh_difference_over_q(
            self.h, self.v, self.v_end, self.tension_start, self.tension_end, self.q, self.length
        )[0]

    def tension_integral(self) -> Floats:
        """Integral of tension over unstretched length.  [N m]"""
        mean_v = 0.5 * (self.v + self.v_end)
        mean_t = 0.5 * (self.tension_start + self.tension_end)
        return 0.5 * self.length * (mean_v**2 / mean_t + mean_t) + 0.5 * self.h**2 * self.run()

    def stretched_length(self) -> Floats:
        """Length under load.  [m]"""
        return self.a * self.length + self.c * self.tension_integral()

    def complementary_energy(self) -> Floats:
        """Integral of phi over unstretched length.  [J]"""
        mean_v = 0.5 * (self.v + self.v_end)
        squares = self.length * (self.h**2 + mean_v**2 + (self.q * self.length) ** 2 / 12.0)
        return self.offset * self.length + self.a * self.tension_integral() + 0.5 * self.c * squares

    def at(self, s: Floats) -> tuple[Floats, Floats, Floats]:
        """Points of the pieces.

        Parameters
        ----------
        s : (n, m) array
            Unstretched distance from the first end.  [m]

        Returns
        -------
        x, z, tension : (n, m) array
            [m, m, N]
        """
        h, v, q, a, c = (w[:, None] for w in (self.h, self.v, self.q, self.a, self.c))
        x, z = shape_from_forces(h, v, s, q, a, c)
        return x, z, np.hypot(h, v + q * s)

    def depth_below_chord(self, x: Floats, z: Floats) -> tuple[Floats, Floats]:
        """Largest distance from the chord to the line along the load, and where.

        Parameters
        ----------
        x, z : (n,) array
            The second end seen from the first.  [m]

        Returns
        -------
        depth, s : (n,) array
            Depth, and the unstretched distance from the first end.  [m]
        """
        s = np.clip((self.h * z / x - self.v) / self.q, 0.0, self.length)
        xs, zs = shape_from_forces(self.h, self.v, s, self.q, self.a, self.c)
        return xs * z / x - zs, s

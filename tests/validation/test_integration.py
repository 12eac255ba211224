"""The differential equation of a hanging elastic line, integrated without any closed form.

dx/ds = H (1/T + 1/EA), dz/ds = (V + q s)(1/T + 1/EA), T = |(H, V + q s)|: H. M. Irvine, *Cable Structures* (1981),
section 1.3.  10,000 random segments are made from their forces by composite Gauss-Legendre quadrature, some of them
by scipy's DOP853 as well, and the solver has to find the forces again from the far ends.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from linescope.statics.catenary import flexibility, solve_forces
from tests.statics.making import straight_law

OUTSIDE = {"area": "statics", "source": "Gauss quadrature of Irvine's equation", "known": "recomputed"}
COUNT = 10_000


def quadrature(h, v, length, q, integrand):
    """Integral of `integrand(V, T)` over s, panels doubling away from where V = 0, 24 nodes each."""
    node, weight = np.polynomial.legendre.leggauss(24)
    steps = np.concatenate(([0.0], 2.0 ** np.arange(13)))
    steps = np.concatenate((-steps[:0:-1], steps))
    edges = np.clip((h[:, None] * steps - v[:, None]) / q[:, None], 0.0, length[:, None])
    edges[:, 0], edges[:, -1] = 0.0, length
    total = np.zeros((3, len(h)))
    for left, right in zip(edges.T[:-1], edges.T[1:], strict=True):
        s = left[:, None] + (right - left)[:, None] * 0.5 * (1.0 + node)
        vs = v[:, None] + q[:, None] * s
        values = integrand(vs, np.hypot(h[:, None], vs))
        total[: len(values)] += [0.5 * (right - left) * (value @ weight) for value in values]
    return total


def far_end(h, v, length, q, ea):
    """x and z of the second end, and dx/dH, dx/dV, dz/dV."""
    hs, e = h[:, None], 1.0 / ea[:, None]
    x, z, _ = quadrature(h, v, length, q, lambda vs, t: (hs * (1.0 / t + e), vs * (1.0 / t + e)))
    slopes = quadrature(
        h, v, length, q, lambda vs, t: (vs**2 / t**3 + e, -hs * vs / t**3, hs**2 / t**3 + e)
    )
    return x, z, *slopes


def random_segments(seed=20):
    """q L / T from 1e-6 to 10, EA / T from 5 to 1e5, any steepness to 86 degrees, slack to four times the bay."""
    rng = np.random.default_rng(seed)
    n = 4 * COUNT
    length, q = 10.0 ** rng.uniform(-1, 3, n), 10.0 ** rng.uniform(-1, 1, n)
    share = rng.uniform(-6, 1, n)
    share[::2] = rng.uniform(0, 1, len(share[::2]))  # Half the sample is slack or nearly.
    tension = q * length / 10.0**share
    angle = rng.uniform(-1.5, 1.5, n)
    angle[::3] *= 0.1
    ea = tension * 10.0 ** rng.uniform(np.log10(5.0), 5.0, n)
    h, v = tension * np.cos(angle), tension * np.sin(angle) - 0.5 * q * length
    x, z, *_ = far_end(h, v, length, q, ea)
    keep = np.flatnonzero(length <= 4.0 * np.hypot(x, z))[:COUNT]
    return h[keep], v[keep], length[keep], q[keep], ea[keep]


@pytest.fixture(scope="module")
def segments():
    return random_segments()


def test_the_sample_covers_what_it_claims(segments):
    h, v, length, q, _ = segments
    x, z, *_ = far_end(*segments)
    load = q * length / np.hypot(h, v + 0.5 * q * length)
    slack = length / np.hypot(x, z)
    assert len(h) == COUNT
    assert load.min() < 2e-6 and load.max() > 9.0
    assert slack.max() > 3.9 and slack.min() < 0.9
    assert np.sum(slack > 1.5) > 1000
    assert np.sum(np.abs(z) > 5.0 * x) > 200


def test_forces_of_10000_random_segments(segments, agrees):
    """H, and V over the tension at its end, to 1e-9.

    The ends themselves are only known to rounding: the unit in the last place of the piece's size moves the forces
    by its stiffness, at most some 1e-11 here (EA / T is 1e5 at most), so 1e-9 leaves no room for an excuse.
    """
    h, v, length, q, ea = segments
    x, z, *_ = far_end(*segments)
    found = solve_forces(x, z, length, q, straight_law(ea))
    errors = (found.h / h - 1.0, (found.v - v) / np.hypot(h, v))
    agrees("H and V of 10 000 random segments, over the tension: error", errors, 0.0, abs=1e-9)


def test_exact_flexibility(segments, agrees):
    """dx/dH, dx/dV and dz/dV in closed form against quadrature, to 1e-12 of the largest of the three."""
    h, v, length, q, ea = segments
    x, z, *slopes = far_end(*segments)
    found = flexibility(h, v, length, q, np.ones_like(h), 1.0 / ea)
    ends = ((found[0] - x) / length, (found[1] - z) / length)
    # dx/dH and dz/dV subtract two like numbers for taut pieces: what is lost is relative to the piece's L / T.
    scale = length / np.hypot(h, v + 0.5 * q * length) + np.max(np.abs(slopes), axis=0)
    errors = [(mine - theirs) / scale for mine, theirs in zip(found[2:], slopes, strict=True)]
    room = [[1e-13]] * 2 + [[1e-12]] * 3
    agrees("their ends and stiffness, over their size: error", [*ends, *errors], 0.0, abs=room)


@pytest.mark.peer
def test_quadrature_agrees_with_a_runge_kutta_integration(segments):
    """DOP853 at rtol 1e-13: x and z to 1e-11 of the piece's length, on every 250th segment."""
    x, z, *_ = far_end(*segments)
    for i in range(0, COUNT, 250):
        h, v, length, q, ea = (value[i] for value in segments)

        def slope(s, _, h=h, v=v, q=q, ea=ea):
            vs = v + q * s
            ratio = 1.0 / np.hypot(h, vs) + 1.0 / ea
            return h * ratio, vs * ratio

        end = solve_ivp(slope, (0.0, length), (0.0, 0.0), method="DOP853", rtol=1e-13, atol=1e-14 * length).y[:, -1]
        assert end == pytest.approx((x[i], z[i]), abs=1e-11 * length)


def test_non_linear_stretch_against_integration(agrees):
    """A stretch curve that stiffens: with the curve itself integrated along the line, H agrees to 1e-6 for pieces
    whose tension varies by a few percent, and the error falls as the square of the piece's weight."""
    def strain(t):
        return 1e-5 * t + 0.05 * ((t + 200.0) / 8000.0) ** 0.7 - 0.05 * (200.0 / 8000.0) ** 0.7

    def compliance(t):
        return 1e-5 + 0.05 * 0.7 / 8000.0 * ((t + 200.0) / 8000.0) ** -0.3

    def law(tension):
        return strain(tension), compliance(tension), np.zeros_like(tension)

    across, errors = 2000.0, []
    for q in (8.0, 4.0, 2.0):
        h, v, length = np.array([across]), np.array([400.0]), np.array([40.0])
        qs = np.array([q])
        x, z, _ = quadrature(
            h, v, length, qs, lambda vs, t: (across * (1 + strain(t)) / t, vs * (1 + strain(t)) / t)
        )
        found = solve_forces(x, z, length, qs, law)
        errors.append(abs(found.h[0] / h[0] - 1.0))
    agrees("H with a stretch curve that stiffens, 2 N/m", found.h[0], h[0], rel=1e-6, unit="N")
    assert errors[0] / errors[1] > 3.0 and errors[1] / errors[2] > 3.0

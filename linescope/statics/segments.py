"""Catenary segments placed in space: planes, end forces, exact stiffness, sampled points."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from linescope.shown import Outlined
from linescope.statics.catenary import Segments2D, StretchLaw, flexibility, solve_forces

Floats = NDArray[np.float64]

# A piece whose ends lie on one vertical (along the load) has no plane of its own and H = 0.  Ends are kept this
# share of the length apart across the load; the force that costs is H < 1e-6 of the piece's weight.
MIN_RUN = 1e-7


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Segments(Outlined):
    """n catenary segments between points in space.

    Attributes
    ----------
    flat : Segments2D
        Forces and lengths of each segment in its own plane.
    chord : (n, 3) array
        Second end minus first end.  [m]
    x, z : (n,) array
        The chord across and along "up".  [m]
    across, up : (n, 3) array
        Unit vectors of the plane; "up" is against the load.  [-]
    """

    flat: Segments2D
    chord: Floats
    x: Floats
    z: Floats
    across: Floats
    up: Floats

    @property
    def tension_start(self) -> Floats:
        """(n,) tension at the first end.  [N]"""
        return self.flat.tension_start

    @property
    def tension_end(self) -> Floats:
        """(n,) tension at the second end.  [N]"""
        return self.flat.tension_end

    @property
    def length(self) -> Floats:
        """(n,) unstretched length.  [m]"""
        return self.flat.length

    def stretched_length(self) -> Floats:
        """(n,) length under load.  [m]"""
        return self.flat.stretched_length()

    @cached_property
    def force_start(self) -> Floats:
        """(n, 3) tension vector at the first end, pointing towards the second.  [N]"""
        return self.flat.h[:, None] * self.across + self.flat.v[:, None] * self.up

    @cached_property
    def force_end(self) -> Floats:
        """(n, 3) tension vector at the second end, pointing on along the line.  [N]"""
        return self.force_start + (self.flat.q * self.flat.length)[:, None] * self.up

    def closure(self) -> float:
        """Largest distance between where the forces put the second end and where it is.  [m]"""
        flat = self.flat
        x, z, _ = flat.at(flat.length[:, None])
        return float(np.max(np.hypot(x[:, 0] - self.x, z[:, 0] - self.z)))

    def part(self, part: slice | NDArray[np.int64]) -> Segments:
        """Some of the pieces."""
        return Segments(
            flat=self.flat.part(part), chord=self.chord[part], x=self.x[part], z=self.z[part], across=self.across[part],
            up=self.up[part],
        )

    def points(self, per_segment: int, starts: Floats) -> Floats:
        """(n, per_segment + 1, 3) points along every segment from its first end (n, 3), as `sample` gives them.  [m]"""
        x, z, _ = self.flat.at(self.length[:, None] * np.linspace(0.0, 1.0, per_segment + 1))
        return self._in_space(x, z, starts)

    def _in_space(self, x: Floats, z: Floats, starts: Floats) -> Floats:
        points = starts[:, None] + x[:, :, None] * self.across[:, None] + z[:, :, None] * self.up[:, None]
        points[:, -1] = starts + self.chord
        return np.asarray(points)

    def sample(self, per_segment: int, starts: Floats) -> tuple[Floats, Floats, Floats, Floats]:
        """Points along every segment.

        Parameters
        ----------
        per_segment : int
            Intervals in each segment.
        starts : (n, 3) array
            First ends.  [m]

        Returns
        -------
        points : (n, per_segment + 1, 3) array
            [m]
        s : (n, per_segment + 1) array
            Unstretched distance from the first end.  [m]
        tension : (n, per_segment + 1) array
            [N]
        sagitta : (n, per_segment) array
            Bound on the distance between the curve and the chord of two neighbouring points: the height of the
            triangle of the two end tangents.  [m]
        """
        s = self.length[:, None] * np.linspace(0.0, 1.0, per_segment + 1)
        x, z, tension = self.flat.at(s)
        points = self._in_space(x, z, starts)
        angle = np.arctan2(self.flat.v[:, None] + self.flat.q[:, None] * s, self.flat.h[:, None])
        chord = np.hypot(np.diff(x, axis=1), np.diff(z, axis=1))
        piece = np.diff(s, axis=1) * (self.flat.a[:, None] + self.flat.c[:, None] * tension[:, 1:])
        turn = np.minimum(np.diff(angle, axis=1), 3.0)
        sagitta = np.minimum(0.5 * chord * np.tan(0.5 * turn), 0.5 * piece)
        return points, s, tension, sagitta

    def depth(self) -> tuple[Floats, Floats]:
        """(n,) largest distance below the chord along the load [m], and the (n, 3) chord point above it, seen from
        the first end [m]."""
        depth, s = self.flat.depth_below_chord(self.x, self.z)
        xs = self.flat.at(s[:, None])[0][:, 0]
        return depth, (xs / self.x)[:, None] * self.chord


def solve_segments(
    chord: Floats,
    length: Floats,
    q: Floats,
    up: Floats,
    law: StretchLaw,
    guess: tuple[Floats, Floats] | None = None,
) -> Segments:
    """Segments between given points.

    Parameters
    ----------
    chord : (n, 3) array
        Second end minus first end.  [m]
    length : (n,) array
        Unstretched length.  [m]
    q : (n,) array
        Load per unstretched metre.  [N/m]
    up : (n, 3) array
        Unit vector against the load.  [-]
    law : callable
        See `solve_forces`.
    guess : pair of (n,) arrays, optional
        H and V to start from.  [N]

    Raises
    ------
    SegmentNotSolved
    """
    z = np.einsum("ij,ij->i", chord, up)
    flat_vector = chord - z[:, None] * up
    run = np.sqrt(np.einsum("ij,ij->i", flat_vector, flat_vector))
    least = MIN_RUN * length
    x = np.maximum(run, least)
    folded = run < least
    across = flat_vector / np.where(folded, 1.0, run)[:, None]
    if folded.any():
        # No plane of its own: any direction across the load will do.
        side = np.eye(3)[np.argmin(np.abs(up[folded]), axis=1)]
        side -= np.einsum("ij,ij->i", side, up[folded])[:, None] * up[folded]
        across[folded] = side / np.linalg.norm(side, axis=1)[:, None]
    flat = solve_forces(x, z, length, q, law, guess)
    return Segments(flat=flat, chord=chord, x=x, z=z, across=across, up=up)


@dataclass(frozen=True, eq=False, kw_only=True)
class Stiffness:
    """Exact second derivatives of the segments' energy, by their ends and their length.

    Attributes
    ----------
    ends : (n, 3, 3) array
        Change of the end force by a relative movement of the ends.  [N/m]
    start_by_length, end_by_length : (n, 3) array
        Change of `force_start` and `force_end` by the unstretched length.  [N/m]
    by_length : (n,) array
        Second derivative of the energy by the length.  [N/m]
    potential : (n,) array
        First derivative of the energy by the length: minus the invariant phi(T) - q height.  [N]
    """

    ends: Floats
    start_by_length: Floats
    end_by_length: Floats
    by_length: Floats
    potential: Floats


def stiffness(segments: Segments, height_end: Floats) -> Stiffness:
    """Stiffness of solved segments.

    Parameters
    ----------
    segments : Segments
    height_end : (n,) array
        Height of the second ends along "up".  [m]
    """
    flat = segments.flat
    h, q = flat.h, flat.q
    _, _, xh, xv, zv = flexibility(h, flat.v, flat.length, q, flat.a, flat.c)
    det = xh * zv - xv * xv
    kxx, kxz, kzz = zv / det, -xv / det, xh / det
    side = h / segments.x
    across, up = segments.across, segments.up
    t_up = kxz[:, None] * across + (kzz - side)[:, None] * up
    t_across = (kxx - side)[:, None] * across + kxz[:, None] * up
    ends = across[:, :, None] * t_across[:, None, :] + up[:, :, None] * t_up[:, None, :]
    ends[:, 0, 0] += side
    ends[:, 1, 1] += side
    ends[:, 2, 2] += side
    v_end = flat.v_end
    t_end = np.hypot(h, v_end)
    ratio = flat.a + flat.c * t_end
    grow_x, grow_z = ratio * h / t_end, ratio * v_end / t_end
    dh = -(kxx * grow_x + kxz * grow_z)
    dv = -(kxz * grow_x + kzz * grow_z)
    start = dh[:, None] * across + dv[:, None] * up
    by_length = -ratio * (h * dh + v_end * (dv + q)) / t_end
    return Stiffness(
        ends=ends,
        start_by_length=start,
        end_by_length=start + q[:, None] * up,
        by_length=by_length,
        potential=-(flat.phi(t_end) - q * height_end),
    )

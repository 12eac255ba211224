"""The standing rig: how long the main must be for its standing tension, and where every mark then is."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.errors import SolveError, TensionNotReached
from linescope.rig import Rig, RigSource, checked_rig
from linescope.rig.layout import Layout, lay_out
from linescope.shown import Outlined
from linescope.statics.assemble import Loading, assemble, first_guess
from linescope.statics.minimise import Minimum
from linescope.statics.pair import Pair
from linescope.statics.search import search
from linescope.units import at_most, format_si

TENSION_TOLERANCE = 1e-9  # Of the asked standing tension.
MAX_TRIES = 60
SLACKS = (0.02, 0.04, 0.07, 0.1, 0.14, 0.18, 0.22, 0.26, 0.3, 0.35, 0.4, 0.5, 0.6)
"""Main longer than the span by these shares is tried for the lowest tension; a level catenary has it at 0.26."""

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Plan(Outlined):
    """A rig laid out, with its standing state (empty, still air, dry, as taped).

    Attributes
    ----------
    rig : Rig
    layout : Layout
    pair : Pair
        The empty pair.
    standing : Minimum
        Its equilibrium.

    Examples
    --------
    >>> import linescope
    >>> planned = linescope.plan(linescope.load("scenes/heron_gap.toml"))
    >>> isinstance(planned, linescope.Plan), len(planned.layout.tapes)
    (True, 15)
    """

    rig: Rig
    layout: Layout
    pair: Pair
    standing: Minimum

    def walker_coordinate(self, at: float) -> float:
        """Material coordinate of the spot of the standing main that is `at` metres along the straight line A-B.

        Parameters
        ----------
        at : float
            [m]

        Returns
        -------
        float
            Unstretched metres from anchor A.  [m]
        """
        return float(self.walker_coordinates(np.array([at]))[0])

    def walker_coordinates(self, at: Floats) -> Floats:
        """`walker_coordinate` of many places.

        Parameters
        ----------
        at : (n,) array
            [m]

        Returns
        -------
        (n,) array
            Unstretched metres from anchor A.  [m]
        """
        rig, segments = self.rig, self.standing.state.segments
        starts = np.concatenate((rig.main_a[None], self.standing.state.unknowns[:, :3]))
        begin = np.concatenate(([0.0], self.pair.main_at))
        along = (rig.main_b - rig.main_a) / rig.span
        reach = (starts - rig.main_a) @ along
        index = np.clip(np.searchsorted(reach, at, side="right") - 1, 0, self.pair.n)
        flat, row = segments.flat.part(index), np.arange(len(index))
        across, up = (segments.across[index] @ along)[:, None], (segments.up[index] @ along)[:, None]
        low, high = np.zeros(len(index)), segments.length[index]
        share = np.linspace(0.0, 1.0, 33)
        for _ in range(8):  # A part in 1e12 of the segment.
            s = low[:, None] + (high - low)[:, None] * share
            x, z, _ = flat.at(s)
            before = reach[index][:, None] + x * across + z * up < at[:, None]
            after = np.clip(before.sum(axis=1), 1, 32)
            low, high = s[row, after - 1], s[row, after]
        return np.asarray(begin[index] + 0.5 * (low + high))


def _standing(rig: Rig, main_length: float, strain: float, near: Minimum | None) -> tuple[Layout, Pair, Minimum]:
    layout = lay_out(rig, main_length, strain)
    pair, _ = assemble(rig, layout, Loading())
    if near is not None and near.state.pair.n == pair.n:
        start = near.state.unknowns.copy()
        start[:, 3] = pair.start_slides
        return layout, pair, search(pair, start, forces=near.state.forces)
    return layout, pair, search(pair, first_guess(pair))


def plan(rig: Rig | RigSource) -> Plan:
    """Lay a rig out and stand it up: with the tension asked for as it is laid, and then as its lines are now.

    Parameters
    ----------
    rig : RigSource or Rig
        A scene, or a rig.

    Raises
    ------
    TensionNotReached
        When no length of main gives the asked standing tension.
    NoEquilibrium
    InputError
        When the tape plan does not fit the line.

    Examples
    --------
    >>> import linescope
    >>> planned = linescope.plan(linescope.load("scenes/heron_gap.toml"))
    >>> planned.layout.tape_main[:3].round(2)
    array([...])
    """
    rig = checked_rig(rig)
    if not rig.is_changed:
        return _laid(rig)
    # It was laid and pulled before it changed.
    laid = _laid(rig.as_laid)
    pair, _ = assemble(rig, laid.layout, Loading())
    return Plan(rig=rig, layout=laid.layout, pair=pair, standing=search(pair, first_guess(pair)))


def _laid(rig: Rig) -> Plan:
    """The rig as it is laid and pulled."""
    target, given = rig.main_plan.tension, rig.main_plan.length
    stretch = rig.main.stretch
    if given is not None:
        strain = marking_strain(rig, max(rig.span / given - 1.0, 0.0))
        layout, pair, standing = _standing(rig, given, strain, None)
        if rig.taping.measured_on == "tensioned" and rig.taping.tension is None:
            # The strain in the middle of the standing main, once it is known.
            for _ in range(4):
                k = pair.n + 1
                mean = standing.state.segments.flat.tension_mean[: k]
                strain = stretch.strain_at(float(np.mean(mean)))
                layout, pair, standing = _standing(rig, given, strain, standing)
        return Plan(rig=rig, layout=layout, pair=pair, standing=standing)
    assert target is not None
    strain = marking_strain(rig, stretch.strain_at(target))
    length = rig.span / (1.0 + stretch.strain_at(target))
    layout, pair, standing = _standing(rig, length, strain, None)
    low, high = 0.0, np.inf
    points: list[tuple[float, float]] = []
    for _ in range(MAX_TRIES):
        error = end_tension(rig, standing, pair.n + 1) - target
        if abs(error) <= TENSION_TOLERANCE * target:
            return Plan(rig=rig, layout=layout, pair=pair, standing=standing)
        if error > 0.0:
            low = max(low, length)
        else:
            high = min(high, length)
        points.append((length, error))
        if len(points) > 1 and points[-1][1] != points[-2][1]:
            (l0, e0), (l1, e1) = points[-2:]
            trial = l1 - e1 * (l1 - l0) / (e1 - e0)
        else:
            compliance = float(stretch.at(np.array([target]))[1][0])
            trial = length * (1.0 + error * compliance)
        upper = high if np.isfinite(high) else 1.5 * max(low, length)
        trial = min(max(trial, 0.95 * length), 1.05 * length)
        if not low < trial < upper:
            trial = 0.5 * (low + upper) if low > 0.0 else 0.97 * upper
        length = trial
        layout, pair, standing = _standing(rig, length, strain, standing)
    least = _least_tension(rig, strain)
    raise TensionNotReached(
        f"no length of main was found that gives {format_si(target, 'force')} at anchor {rig.main_plan.end}."
        + (f" The lowest that this rig can have there is about {at_most(least, 'force')}." if least > target else ""),
        advice="a higher standing tension, a lighter backup, or give the main by its length.",
    )


def end_tension(rig: Rig, standing: Minimum, k: int) -> float:
    """Main tension at the end where the standing tension is read.  [N]"""
    segments = standing.state.segments
    return float(segments.tension_start[0] if rig.main_plan.end == "A" else segments.tension_end[k - 1])


def _least_tension(rig: Rig, strain: float) -> float:
    """About the lowest tension the standing main can have: a longer main hangs deeper, and in the end more of it
    hangs on the anchor.  Not a number when none of the lengths tried stands.  [N]"""
    found = []
    for slack in SLACKS:
        try:
            _, pair, standing = _standing(rig, rig.span * (1.0 + slack), strain, None)
        except SolveError:
            continue
        found.append(end_tension(rig, standing, pair.n + 1))
    return min(found, default=math.nan)


def marking_strain(rig: Rig, standing_strain: float) -> float:
    """Strain of the main in the state that spacing and excess refer to, which may be how it stands."""
    if rig.taping.measured_on == "slack":
        return 0.0
    if rig.taping.tension is not None:
        return rig.main.stretch.strain_at(rig.taping.tension)
    return standing_strain

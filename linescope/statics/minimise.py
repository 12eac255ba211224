"""The equilibrium solver: minimise energy + sum of hold x |slip since the last state|.

Newton steps on the exact block-banded tangent.  A slide that rests is taken out of the system until its drive exceeds
its hold; a slide that would cross back over its resting place stops there (an orthant-wise Newton method).  Every
step lowers the energy, so a stable equilibrium is found, the one downhill of the starting state.

References
----------
.. [1] G. Andrew, J. Gao, "Scalable training of L1-regularized log-linear models", ICML 2007 (orthant-wise steps for
   a smooth function plus a sum of absolute values), doi:10.1145/1273496.1273501.
.. [2] J. Nocedal, S. J. Wright, *Numerical Optimization*, 2nd ed. 2006, sections 3.1 and 3.4 (line search, shifts).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.errors import NoEquilibrium, SegmentNotSolved
from linescope.statics.blocks import BlockMatrix
from linescope.statics.pair import Evaluation, Pair

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, kw_only=True)
class Settings:
    """What the solver is allowed.

    Attributes
    ----------
    tolerance : float
        Wanted residual over the rig's weight.
    accepted : float
        Residual over weight that is still accepted when rounding stops further progress.
    max_steps : int
    """

    tolerance: float = 1e-11
    accepted: float = 1e-8
    max_steps: int = 200


@dataclass(frozen=True, eq=False, kw_only=True)
class Minimum:
    """A stable equilibrium.

    Attributes
    ----------
    state : Evaluation
    residual : float
        Largest unbalanced force.  [N]
    steps : int
        Newton steps taken.
    stable : bool
        Whether the tangent of the free unknowns is positive definite.
    """

    state: Evaluation
    residual: float
    steps: int
    stable: bool


def _drive(state: Evaluation, hold: Floats, rest: Floats) -> tuple[Floats, Flags]:
    """Gradient with friction, and which slides rest.

    A resting slide's own entry is zero; a moving one's includes the friction against its motion.
    """
    pair = state.pair
    gradient = state.gradient.copy()
    slip = state.unknowns[:, 3] - rest
    along = gradient[:, 3]
    moving = slip != 0.0
    driven = ~moving & (np.abs(along) > hold)
    sign = np.where(moving, np.sign(slip), -np.sign(along))
    stuck = ~(pair.free_slides & (moving | driven))
    gradient[:, 3] = np.where(stuck, 0.0, along + np.where(stuck, 0.0, hold) * sign)
    return gradient, stuck


def _newton_step(tangent: BlockMatrix, gradient: Floats, stuck: Flags) -> tuple[Floats, bool]:
    """A descent step, and whether the tangent was positive definite without help."""
    system = tangent.pinned(stuck)
    step = system.solve(-gradient)
    if step is not None:
        return step, True
    diagonal = np.einsum("nii->ni", system.diagonal)
    scale = np.abs(diagonal) + 1e-3
    shift = np.zeros_like(diagonal)
    shift[:, 3] = np.where(stuck, 0.0, scale[:, 3] + 1.0)
    for factor in (1e-2, 3e-2, 0.1, 0.3, 1.0, 3.0, 10.0, 100.0, 1e4):
        step = system.solve(-gradient, factor * shift)
        if step is not None:
            return step, False
    shift = scale
    for factor in (1e-6, 1e-3, 1.0, 1e3, 1e6):
        step = system.solve(-gradient, factor * shift)
        if step is not None:
            return step, False
    raise NoEquilibrium(
        "the tangent stiffness could not be made positive definite.",
        advice="check the webbings' stretch curves and masses for a wrong unit.",
    )


def _longest_step(state: Evaluation, step: Floats) -> float:
    """Share of a step that keeps every piece of sliding line at 30 % of its length or more."""
    now = state.segments.length
    change = state.pair.lengths(state.unknowns[:, 3] + step[:, 3]) - now
    shrink = change < -0.7 * now
    return float(np.min(0.7 * now[shrink] / -change[shrink])) if shrink.any() else 1.0


def minimise(
    pair: Pair,
    start: Floats,
    *,
    hold: Floats | None = None,
    rest: Floats | None = None,
    forces: tuple[Floats, Floats] | None = None,
    settings: Settings = Settings(),
) -> Minimum:
    """Find the equilibrium downhill of a starting state.

    Parameters
    ----------
    pair : Pair
    start : (n, 4) array
        Positions and slides.  [m]
    hold : (n,) array, optional
        What each tape resists, in the energy sense (hold x stretch ratio); inf pins the slide.  Default inf: as
        taped.  [N]
    rest : (n,) array, optional
        Slides at the last state, from which slip counts; default those of `start`.  [m]
    forces : pair of (k,) arrays, optional
        H and V of the segments to start from.  [N]
    settings : Settings

    Raises
    ------
    NoEquilibrium
        When the residual stays above `settings.accepted` x weight.
    """
    hold = np.full(pair.n, np.inf) if hold is None else hold
    rest = start[:, 3].copy() if rest is None else rest
    friction = np.where(np.isfinite(hold), hold, 0.0)
    want, accept = settings.tolerance * pair.weight, settings.accepted * pair.weight
    state = pair.evaluate(start, forces)

    def merit(at: Evaluation) -> float:
        return at.energy + float(friction @ np.abs(at.unknowns[:, 3] - rest))

    best, idle = np.inf, 0
    for count in range(settings.max_steps + 1):
        gradient, stuck = _drive(state, hold, rest)
        residual = float(np.abs(gradient).max()) if pair.n else 0.0
        if residual < 0.5 * best:
            best, idle = residual, 0
        else:
            idle += 1
        if residual <= want or (residual <= accept and idle >= 3) or count == settings.max_steps:
            break
        step, _ = _newton_step(state.tangent(), gradient, stuck)
        slope = float(np.sum(gradient * step))
        here = merit(state)
        fuzz = 1e-13 * (abs(here) + abs(state.energy))
        share = _longest_step(state, step)
        for _ in range(40):
            trial = state.unknowns + share * step
            _stop_at_rest(trial, state.unknowns, rest, gradient, stuck)
            try:
                tried = pair.evaluate(trial, state.forces)
            except SegmentNotSolved:
                share *= 0.25
                continue
            change = merit(tried) - here
            if change <= 1e-4 * share * slope or (-slope * share <= fuzz and change <= fuzz):
                break
            if change <= fuzz and np.abs(_drive(tried, hold, rest)[0]).max() <= residual:
                break
            share *= 0.5
        else:
            break
        state = tried
    if residual > accept:
        raise NoEquilibrium(
            f"after {count} steps a force of {residual:.2g} N ({residual / pair.weight:.1g} of the weight) is still "
            "out of balance.",
            advice="make the case milder (less excess, a shorter bay, more tension) to see which part stops it.",
        )
    stable = state.tangent().pinned(stuck).solve(np.zeros_like(start)) is not None if pair.n else True
    return Minimum(state=state, residual=residual, steps=count, stable=stable)


def _stop_at_rest(trial: Floats, now: Floats, rest: Floats, gradient: Floats, stuck: Flags) -> None:
    """Put a slide that would cross its resting place, or leave it the wrong way, onto it (in place)."""
    before, after = now[:, 3] - rest, trial[:, 3] - rest
    wrong = np.where(before != 0.0, after * before < 0.0, after * -gradient[:, 3] < 0.0)
    trial[:, 3] = np.where(stuck, now[:, 3], np.where(wrong, rest, trial[:, 3]))

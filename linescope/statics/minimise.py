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

# Shifts of the slides' diagonal that are tried while the tangent is not positive definite [N/m].
LEAST_SHIFT, LARGEST_SHIFT, SHIFT_GROWTH = 1e-3, 1e7, 3.0
REST_ROUNDS = 8  # Rounds of bringing slides to rest within one step.

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
    max_steps: int = 400


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


def _definite_step(system: BlockMatrix, right: Floats, pinned: Flags, shift: float) -> tuple[Floats, float]:
    """Solve for a step, and the shift [N/m] of the slides' diagonal that made the system positive definite.

    Positions are convex by themselves; only slides can be unstable, so only they are shifted, by the same small
    amount each: a shift in proportion to their stiffness would freeze the soft modes that have to run.
    """
    step = system.solve(right)
    if step is not None:
        return step, 0.0
    unit = np.zeros_like(right)
    unit[:, 3] = np.where(pinned, 0.0, 1.0)
    size = max(SHIFT_GROWTH**-2 * shift, LEAST_SHIFT)
    while size < LARGEST_SHIFT:
        step = system.solve(right, size * unit)
        if step is not None:
            # A little more than just enough: at the edge of definiteness the step would be without bound.
            wider = system.solve(right, SHIFT_GROWTH * size * unit)
            return (step if wider is None else wider), size
        size *= SHIFT_GROWTH
    for size in (1e-6, 1e-3, 1.0, 1e3):
        unit = np.abs(np.einsum("nii->ni", system.diagonal)) + 1e-3
        step = system.solve(right, size * unit)
        if step is not None:
            return step, LARGEST_SHIFT
    raise NoEquilibrium(
        "the tangent stiffness could not be made positive definite.",
        advice="check the webbings' stretch curves and masses for a wrong unit.",
    )


def _newton_step(
    state: Evaluation, gradient: Floats, stuck: Flags, slip: Floats, shift: float
) -> tuple[Floats, float]:
    """A descent step that brings slides to rest where they would cross their resting place.

    A moving slide that would change the sign of its slip, and a driven one that would leave its rest against the
    drive, are given the step that ends exactly at rest, and the others are solved again around it.
    """
    tangent = state.tangent()
    resting, target = stuck.copy(), np.zeros_like(slip)
    step, shift = _definite_step(tangent.pinned(stuck), -gradient, stuck, shift)
    drive = -gradient[:, 3]
    for _ in range(REST_ROUNDS):
        wrong = np.where(slip != 0.0, (slip + step[:, 3]) * slip < 0.0, step[:, 3] * drive < 0.0) & ~resting
        if not wrong.any():
            break
        resting |= wrong
        target[wrong] = -slip[wrong]
        forced = np.zeros_like(gradient)
        forced[:, 3] = target
        right = -gradient - tangent.times(forced)
        right[resting, 3] = target[resting]
        again, shift = _definite_step(tangent.pinned(resting), right, resting, shift)
        if np.sum(again * gradient) >= 0.0:
            break
        step = again
    return step, shift


def _longest_step(state: Evaluation, step: Floats) -> float:
    """Share of a step that keeps every piece of sliding line at 30 % of its length or more."""
    now = state.segments.length
    change = state.pair.lengths(state.unknowns[:, 3] + step[:, 3]) - now
    shrink = change < -0.7 * now
    return float(np.min(0.7 * now[shrink] / -change[shrink])) if shrink.any() else 1.0


@dataclass(frozen=True, eq=False, kw_only=True)
class _LineSearch:
    """Along one step, the first point that lowers energy + friction enough."""

    state: Evaluation
    step: Floats
    gradient: Floats
    stuck: Flags
    hold: Floats
    rest: Floats
    residual: float

    def merit(self, at: Evaluation) -> float:
        """Energy plus friction work since rest.  [J]"""
        friction = np.where(np.isfinite(self.hold), self.hold, 0.0)
        return at.energy + float(friction @ np.abs(at.unknowns[:, 3] - self.rest))

    def attempt(self, share: float) -> Evaluation | None:
        """The pair a share of the step further, or None where it cannot be evaluated."""
        state = self.state
        trial = state.unknowns + share * self.step
        _stop_at_rest(trial, state.unknowns, self.rest, self.gradient, self.stuck)
        if np.any(state.pair.lengths(trial[:, 3]) < 0.25 * state.segments.length):
            return None
        try:
            return state.pair.evaluate(trial, state.forces)
        except SegmentNotSolved:
            return None

    def run(self, may_grow: bool) -> Evaluation | None:
        """The point to go on from, or None when no share of the step helps.

        Parameters
        ----------
        may_grow : bool
            Whether to go further than the step while the energy keeps falling: a shifted step is timid.
        """
        slope = float(np.sum(self.gradient * self.step))
        here = self.merit(self.state)
        fuzz = 1e-13 * (abs(here) + abs(self.state.energy))
        share = longest = _longest_step(self.state, self.step)
        for _ in range(40):
            tried = self.attempt(share)
            if tried is not None:
                change = self.merit(tried) - here
                if change <= 1e-4 * share * slope or (-slope * share <= fuzz and change <= fuzz):
                    break
                forces, _ = _drive(tried, self.hold, self.rest)
                if change <= fuzz and np.abs(forces).max() <= self.residual:
                    break
            share *= 0.5
        else:
            return None
        while may_grow and 1.0 <= share and longest >= 1.0 and share < 1000.0:
            share *= 2.0
            further = self.attempt(share)
            if further is None or self.merit(further) - here >= change:
                break
            tried, change = further, self.merit(further) - here
        return tried


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
    want, accept = settings.tolerance * pair.weight, settings.accepted * pair.weight
    state = pair.evaluate(start, forces)

    best, idle, shift = np.inf, 0, 0.0
    for count in range(settings.max_steps + 1):
        gradient, stuck = _drive(state, hold, rest)
        residual = float(np.abs(gradient).max()) if pair.n else 0.0
        if residual < 0.5 * best:
            best, idle = residual, 0
        else:
            idle += 1
        if residual <= want or (residual <= accept and idle >= 3) or count == settings.max_steps:
            break
        slip = state.unknowns[:, 3] - rest
        step, shift = _newton_step(state, gradient, stuck, slip, shift)
        search = _LineSearch(
            state=state, step=step, gradient=gradient, stuck=stuck, hold=hold, rest=rest, residual=residual
        )
        found = search.run(may_grow=shift > 0.0)
        if found is None:
            break
        state = found
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
    wrong |= np.abs(after) < 1e-13 * (1.0 + np.abs(rest))
    trial[:, 3] = np.where(stuck, now[:, 3], np.where(wrong, rest, trial[:, 3]))

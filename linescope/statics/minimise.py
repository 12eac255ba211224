"""The equilibrium solver: minimise energy + sum of hold x |slip since the last state|.

Newton steps on the exact block-banded tangent: each goes to the minimum of the quadratic model of the energy plus the
friction itself, found by sorting the slides into resting and moving ones (a proximal Newton method with an active
set).  Every step lowers energy + friction, so a stable equilibrium is found, the one downhill of the starting state.

References
----------
.. [1] J. D. Lee, Y. Sun, M. A. Saunders, "Proximal Newton-type methods for minimizing composite functions", SIAM J.
   Optim. 24 (2014) 1420-1443, doi:10.1137/130921428.
.. [2] J. Nocedal, S. J. Wright, *Numerical Optimization*, 2nd ed. 2006, sections 3.1 and 3.4 (line search, shifts).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from linescope.errors import NoEquilibrium, SegmentNotSolved
from linescope.shown import Outlined
from linescope.statics.pair import Evaluation, Pair
from linescope.statics.steps import Step, careful_step, model_step

# After so many steps cut to under a tenth one after another, the slides' diagonal is shifted by this first [N/m].
SHORT_STEPS, LEAST_DAMPING = 6, 3e-3
TIMID = 20  # Steps without less force out of balance: shifted ones may have become too small, plain ones are tried.
STANDSTILL = 100  # Steps without less force out of balance, nor less energy than rounding can tell, end the search.
REFINEMENTS = 6  # Steps in twice as many digits, where rounding of the unknowns kept the search from its end.

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, kw_only=True)
class Settings:
    """What the solver is allowed.

    Attributes
    ----------
    tolerance : float
        Wanted residual over the rig's weight.  [-]
    accepted : float
        Residual over weight that is still accepted when rounding stops further progress.  [-]
    max_steps : int
        Hundreds of sliding tapes that run together one after another need thousands.
    """

    tolerance: float = 1e-11
    accepted: float = 1e-8
    max_steps: int = 10_000


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Minimum(Outlined):
    """An equilibrium downhill of where the search began.

    Attributes
    ----------
    state : Evaluation
    residual : float
        Largest unbalanced force.  [N]
    steps : int
        Newton steps taken.
    resting : (n,) bool array
        Slides that did not move (and nodes that have none).
    """

    state: Evaluation
    residual: float
    steps: int
    resting: Flags

    @cached_property
    def stable(self) -> bool:
        """Whether the tangent of the free unknowns is positive definite."""
        unknowns = self.state.unknowns
        return not len(unknowns) or self.state.tangent().pinned(self.resting).solve(unknowns) is not None


def _residual(state: Evaluation, hold: Floats, slip: Floats) -> tuple[float, Flags]:
    """Largest unbalanced force [N], and which slides rest.

    A resting slide is balanced as long as its drive stays within its hold.
    """
    along = state.gradient[:, 3]
    moving = state.pair.free_slides & ((slip != 0.0) | (hold == 0.0))
    excess = np.maximum(np.abs(along) - hold, 0.0)
    friction = np.where(moving, hold, 0.0) * np.sign(slip)
    left = np.where(moving, np.abs(along + friction), np.where(state.pair.free_slides, excess, 0.0))
    forces = np.abs(state.gradient[:, :3]).max() if len(slip) else 0.0
    return float(max(forces, left.max(initial=0.0))), ~moving


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
    step: Step
    hold: Floats
    rest: Floats
    residual: float
    slides: bool

    def merit(self, at: Evaluation) -> float:
        """Energy plus friction work since rest.  [J]"""
        friction = np.where(np.isfinite(self.hold), self.hold, 0.0)
        return at.energy + float(friction @ np.abs(at.unknowns[:, 3] - self.rest))

    def attempt(self, share: float) -> Evaluation | None:
        """The pair a share of the step further, or None where it cannot be evaluated."""
        state = self.state
        trial = state.unknowns + share * self.step.move
        slip = trial[:, 3] - self.rest
        at_rest = np.abs(slip) < 1e-13 * (1.0 + np.abs(self.rest))
        if self.step.sense is not None:
            at_rest |= slip * self.step.sense < 0.0
        trial[:, 3] = np.where(at_rest, self.rest, trial[:, 3])
        if self.slides and np.any(state.pair.lengths(trial[:, 3]) < 0.25 * state.segments.length):
            return None
        try:
            return state.pair.evaluate(trial, state.forces_after(trial - state.unknowns))
        except SegmentNotSolved:
            return None

    def run(self) -> tuple[Evaluation, float] | None:
        """The point to go on from and its share of the step, or None when no share of the step helps.

        A shifted step is timid: it is followed further while the energy keeps falling.
        """
        slope = self.step.slope
        share = longest = _longest_step(self.state, self.step.move) if self.slides else 1.0
        tried = self.attempt(share)
        if tried is not None and share == 1.0 and self.step.shift == 0.0:
            # Near a minimum a full step takes most of the force away and needs no energy to speak for it; positions
            # alone are convex.
            left, _ = _residual(tried, self.hold, tried.unknowns[:, 3] - self.rest)
            if left < (0.1 if self.slides else 0.5) * self.residual:
                return tried, 1.0
        here = self.merit(self.state)
        fuzz = 1e-14 * abs(here) + self.state.rounding
        for count in range(40):
            if count > 0:
                tried = self.attempt(share)
            if tried is not None:
                change = self.merit(tried) - here
                if change <= 1e-4 * share * slope or (-slope * share <= fuzz and change <= fuzz):
                    break
                left, _ = _residual(tried, self.hold, tried.unknowns[:, 3] - self.rest)
                if change <= fuzz and left <= self.residual:
                    break
            share *= 0.5
        else:
            return None
        while self.step.shift > 0.0 and share >= 1.0 and longest >= 1.0 and share < 1000.0:
            share *= 2.0
            further = self.attempt(share)
            if further is None or self.merit(further) - here >= change:
                break
            tried, change = further, self.merit(further) - here
        return tried, share


def _refined(state: Evaluation, hold: Floats, rest: Floats, residual: float) -> tuple[Evaluation, float]:
    """Newton steps with unknowns of twice as many digits [1]_, as long as each leaves less force out of balance.

    A piece of a centimetre between places given to a tenth of a picometre is stiff enough to feel their last digit.

    References
    ----------
    .. [1] N. J. Higham, *Accuracy and Stability of Numerical Algorithms*, 2nd ed. 2002, section 4.3 (the sum of two
       numbers and its rounding).
    """
    fine = np.zeros_like(state.unknowns)
    for _ in range(REFINEMENTS):
        tangent, slip = state.tangent(), state.unknowns[:, 3] - rest
        step = model_step(state, tangent, hold, slip) or careful_step(state, tangent, hold, slip, 0.0, 0.0)
        move = step.move + fine
        places = state.unknowns + move
        kept = places - state.unknowns
        fine = (state.unknowns - (places - kept)) + (move - kept)
        try:
            tried = state.pair.evaluate(places, state.forces_after(step.move), fine)
        except SegmentNotSolved:
            break
        left, _ = _residual(tried, hold, places[:, 3] - rest)
        if left >= residual:
            break
        state, residual = tried, left
    return state, residual


def minimise(
    pair: Pair,
    start: Floats | Evaluation,
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
    start : (n, 4) array, or Evaluation
        Positions and slides, or this very pair already evaluated there.  [m]
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
    state = start if isinstance(start, Evaluation) else pair.evaluate(start, forces)
    rest = state.unknowns[:, 3].copy() if rest is None else rest
    want, accept = settings.tolerance * pair.weight, settings.accepted * pair.weight
    slides = bool(np.any(pair.free_slides & np.isfinite(hold)))
    friction = np.where(np.isfinite(hold), hold, 0.0)
    best, idle, short, shift, damping = np.inf, 0, 0, 0.0, 0.0
    lowest, level = np.inf, 0
    for count in range(settings.max_steps + 1):
        slip = state.unknowns[:, 3] - rest
        residual, resting = _residual(state, hold, slip)
        if residual < 0.5 * best:
            best, idle = residual, 0
        else:
            idle += 1
        if idle > 0:
            merit = state.energy + float(friction @ np.abs(slip))
            lowest, level = (merit, 0) if merit < lowest - 10.0 * state.rounding else (lowest, level + 1)
        if residual <= want or (residual <= accept and idle >= 3):
            break
        if count == settings.max_steps or min(idle, level) >= STANDSTILL:
            break
        tangent = state.tangent()
        step = model_step(state, tangent, hold, slip) if damping == 0.0 else None
        if step is None:
            step = careful_step(state, tangent, hold, slip, shift, damping)
        shift = step.shift
        found = _LineSearch(
            state=state, step=step, hold=hold, rest=rest, residual=residual, slides=slides
        ).run()
        if found is None:
            break
        state, share = found
        short = short + 1 if slides and share < 0.1 else 0
        if short >= SHORT_STEPS:
            damping = max(4.0 * damping, LEAST_DAMPING)
        elif share > 0.9:
            damping = 0.25 * damping if damping > LEAST_DAMPING else 0.0
        elif idle % TIMID == TIMID - 1:
            damping = 0.0
    if residual > accept:
        state, residual = _refined(state, hold, rest, residual)
    if residual > accept:
        raise NoEquilibrium(
            f"after {count} steps a force of {residual:.2g} N ({residual / pair.weight:.1g} of the weight) is still "
            "out of balance.",
            advice="make the case milder (less excess, a shorter bay, more tension) to see which part stops it.",
        )
    return Minimum(state=state, residual=residual, steps=count, resting=resting)

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
from linescope.statics.blocks import BlockMatrix
from linescope.statics.pair import Evaluation, Pair

# Shifts of the slides' diagonal that are tried while the tangent is not positive definite [N/m].
LEAST_SHIFT, LARGEST_SHIFT, SHIFT_GROWTH = 1e-3, 1e7, 3.0
SORTING_ROUNDS = 12  # Rounds of sorting slides into resting and moving within one step.

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


@dataclass(frozen=True, eq=False, kw_only=True)
class _Step:
    """A step to take.

    Attributes
    ----------
    move : (n, 4) array
        [m]
    slope : float
        First-order change of energy + friction over the whole step, < 0.  [J]
    shift : float
        What had to be added to the slides' diagonal.  [N/m]
    sense : (n,) array or None
        Where given: the side of its resting place that each slide may not leave during the step (0: any).
    """

    move: Floats
    slope: float
    shift: float
    sense: Floats | None = None


def _model_step(
    state: Evaluation, tangent: BlockMatrix, hold: Floats, slip: Floats
) -> _Step | None:
    """The step to the minimum of the quadratic model of energy + friction; None where that is not to be had.

    Slides are sorted into resting and moving, and the linear system solved again, until the sorting holds: a
    resting one lets go when the model drives it beyond its hold, a moving one rests where it would turn back.
    """
    gradient, free = state.gradient, state.pair.free_slides
    kink = free & (hold > 0.0)
    friction = np.where(np.isfinite(hold), hold, 0.0)
    resting = ~free | (kink & (slip == 0.0))
    sense = np.sign(slip)
    forced, caught = np.zeros_like(gradient), np.zeros_like(free)
    for count in range(SORTING_ROUNDS):
        forced[:, 3] = np.where(resting & free, -slip, 0.0)
        right = -gradient
        right[:, 3] -= friction * sense
        if np.any(forced):
            right -= tangent.times(forced)
        right[:, 3] = np.where(resting, forced[:, 3], right[:, 3])
        move = tangent.pinned(resting).solve(right)
        if move is None:
            return None
        along = gradient[:, 3] + tangent.times(move)[:, 3]
        let_go = kink & resting & (np.abs(along) > hold * (1.0 + 1e-9))
        rest = kink & ~resting & ((slip + move[:, 3]) * sense < 0.0)
        if not (let_go.any() or rest.any()):
            rubbed = float(friction @ (np.abs(slip + move[:, 3]) - np.abs(slip)))
            slope = float(np.sum(gradient * move)) + rubbed
            return _Step(move=move, slope=slope, shift=0.0) if slope < 0.0 else None
        if count >= SORTING_ROUNDS // 3:
            # Against going round in circles: what came to rest late stays at rest.
            caught |= rest
            let_go &= ~caught
        sense = np.where(let_go, -np.sign(along), sense)
        resting = (resting | rest) & ~let_go
    return None


def _careful_step(
    state: Evaluation, tangent: BlockMatrix, hold: Floats, slip: Floats, shift: float
) -> _Step:
    """A descent step for unstable or hard cases: only slides driven now let go, and none passes its resting place."""
    gradient, free = state.gradient.copy(), state.pair.free_slides
    drive = -gradient[:, 3]
    moving = free & ((slip != 0.0) | (np.abs(drive) > hold))
    sense = np.where(slip != 0.0, np.sign(slip), np.sign(drive))
    gradient[:, 3] = np.where(moving, np.where(moving, hold, 0.0) * sense - drive, 0.0)
    kink = hold > 0.0
    resting = ~moving
    target = np.zeros_like(slip)
    move, shift = _definite_step(tangent.pinned(resting), -gradient, resting, shift)
    for _ in range(SORTING_ROUNDS):
        wrong = kink & ~resting & ((slip + move[:, 3]) * sense < 0.0)
        if not wrong.any():
            break
        resting = resting | wrong
        target[wrong] = -slip[wrong]
        forced = np.zeros_like(gradient)
        forced[:, 3] = target
        right = -gradient - tangent.times(forced)
        right[resting, 3] = target[resting]
        again, shift = _definite_step(tangent.pinned(resting), right, resting, shift)
        if np.sum(again * gradient) >= 0.0:
            break
        move = again
    slope = min(float(np.sum(gradient * move)), 0.0)
    return _Step(move=move, slope=slope, shift=shift, sense=np.where(kink & moving, sense, 0.0))


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
    step: _Step
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
        trial = state.unknowns + share * self.step.move
        slip = trial[:, 3] - self.rest
        at_rest = np.abs(slip) < 1e-13 * (1.0 + np.abs(self.rest))
        if self.step.sense is not None:
            at_rest |= slip * self.step.sense < 0.0
        trial[:, 3] = np.where(at_rest, self.rest, trial[:, 3])
        if np.any(state.pair.lengths(trial[:, 3]) < 0.25 * state.segments.length):
            return None
        try:
            return state.pair.evaluate(trial, state.forces)
        except SegmentNotSolved:
            return None

    def run(self) -> Evaluation | None:
        """The point to go on from, or None when no share of the step helps.

        A shifted step is timid: it is followed further while the energy keeps falling.
        """
        slope = self.step.slope
        here = self.merit(self.state)
        fuzz = 1e-13 * (abs(here) + abs(self.state.energy))
        share = longest = _longest_step(self.state, self.step.move)
        for _ in range(40):
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
        while self.step.shift > 0.0 and 1.0 <= share and longest >= 1.0 and share < 1000.0:
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
        slip = state.unknowns[:, 3] - rest
        residual, resting = _residual(state, hold, slip)
        if residual < 0.5 * best:
            best, idle = residual, 0
        else:
            idle += 1
        if residual <= want or (residual <= accept and idle >= 3) or count == settings.max_steps:
            break
        tangent = state.tangent()
        step = _model_step(state, tangent, hold, slip) or _careful_step(state, tangent, hold, slip, shift)
        shift = step.shift
        found = _LineSearch(state=state, step=step, hold=hold, rest=rest, residual=residual).run()
        if found is None:
            break
        state = found
    if residual > accept:
        raise NoEquilibrium(
            f"after {count} steps a force of {residual:.2g} N ({residual / pair.weight:.1g} of the weight) is still "
            "out of balance.",
            advice="make the case milder (less excess, a shorter bay, more tension) to see which part stops it.",
        )
    return Minimum(state=state, residual=residual, steps=count, resting=resting)

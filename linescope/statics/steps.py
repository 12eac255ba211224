"""Newton steps of the equilibrium solver: which slides move, which rest, and where to.

References
----------
.. [1] J. D. Lee, Y. Sun, M. A. Saunders, "Proximal Newton-type methods for minimizing composite functions", SIAM J.
   Optim. 24 (2014) 1420-1443, doi:10.1137/130921428.
.. [2] J. Nocedal, S. J. Wright, *Numerical Optimization*, 2nd ed. 2006, section 3.4 (shifted Newton steps).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.errors import NoEquilibrium
from linescope.statics.blocks import BlockMatrix
from linescope.statics.pair import Evaluation

# Shifts of the slides' diagonal that are tried while the tangent is not positive definite [N/m].
LEAST_SHIFT, LARGEST_SHIFT, SHIFT_GROWTH = 1e-3, 1e7, 3.0
LETTING_ROUNDS, SORTING_ROUNDS = 8, 16  # Of sorting slides in one step; the later ones only bring to rest.
SINGLE_ROUNDS = 80  # Where a step gets nowhere (shorter than this [m]), slides are sorted to the end, later one by one.
NOWHERE = 1e-5

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


def _definite_step(
    system: BlockMatrix, right: Floats, pinned: Flags, shift: float, damping: float
) -> tuple[Floats, float]:
    """Solve for a step, and the shift [N/m] of the slides' diagonal that made the system positive definite.

    Positions are convex by themselves; only slides can be unstable, so only they are shifted, by the same small
    amount each: a shift in proportion to their stiffness would freeze the soft modes that have to run.
    """
    unit = np.zeros_like(right)
    unit[:, 3] = np.where(pinned, 0.0, 1.0)
    step = system.solve(right, damping * unit)
    if step is not None:
        return step, damping
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
class Step:
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
        Where given: the side of its resting place that each slide may not leave during the step (0: any).  [-]
    """

    move: Floats
    slope: float
    shift: float
    sense: Floats | None = None


def model_step(
    state: Evaluation, tangent: BlockMatrix, hold: Floats, slip: Floats
) -> Step | None:
    """The step to the minimum of the quadratic model of energy + friction; None where that is not to be had.

    Slides are sorted into resting and moving, and the linear system solved again, until the sorting holds: a
    resting one lets go when the model drives it beyond its hold, a moving one rests where it would turn back.
    """
    free = state.pair.free_slides
    if not np.any(free & (np.isfinite(hold) | (slip != 0.0))):
        pulls = state.gradient.copy()
        pulls[:, 3] = 0.0
        move = tangent.pinned(np.ones_like(free)).solve(-pulls)
        return None if move is None else Step(move=move, slope=float(np.sum(pulls * move)), shift=0.0)
    step, stuck = _sorted_step(state, tangent, hold, slip, SORTING_ROUNDS, one_by_one=False)
    if stuck:
        step, _ = _sorted_step(state, tangent, hold, slip, SINGLE_ROUNDS, one_by_one=True)
    return step


def _sorted_step(
    state: Evaluation, tangent: BlockMatrix, hold: Floats, slip: Floats, rounds: int, *, one_by_one: bool
) -> tuple[Step | None, bool]:
    """The step for slides sorted in so many rounds; and whether it gets nowhere though some slides are not let go.

    In the later rounds none is let go any more, or, one by one, the last of those sorted wrongly changes: that ends,
    the quadratic model being convex.
    """
    gradient, free = state.gradient, state.pair.free_slides
    kink = free & (hold > 0.0)
    friction = np.where(np.isfinite(hold), hold, 0.0)
    resting = ~free | (kink & (slip == 0.0))
    sense = np.sign(slip)
    forced, nobody = np.zeros_like(gradient), np.zeros_like(free)
    held = False
    for count in range(rounds):
        forced[:, 3] = np.where(resting & free, -slip, 0.0)
        right = -gradient
        right[:, 3] -= friction * sense
        if np.any(forced):
            right -= tangent.times(forced)
        right[:, 3] = np.where(resting, forced[:, 3], right[:, 3])
        move = tangent.pinned(resting).solve(right)
        if move is None:
            return None, False
        along = gradient[:, 3] + tangent.times(move)[:, 3]
        let_go = kink & resting & (np.abs(along) > hold * (1.0 + 1e-9))
        rest = kink & ~resting & ((slip + move[:, 3]) * sense < 0.0)
        if count >= LETTING_ROUNDS and one_by_one:
            last = np.flatnonzero(let_go | rest)[-1:]
            let_go, rest = (np.isin(np.arange(len(free)), last) & which for which in (let_go, rest))
        elif count >= LETTING_ROUNDS:
            held, let_go = bool(let_go.any()), nobody
        if not (let_go.any() or rest.any()):
            rubbed = float(friction @ (np.abs(slip + move[:, 3]) - np.abs(slip)))
            slope = float(np.sum(gradient * move)) + rubbed
            step = Step(move=move, slope=slope, shift=0.0) if slope < 0.0 else None
            return step, held and float(np.max(np.abs(move))) < NOWHERE
        sense = np.where(let_go, -np.sign(along), sense)
        resting = (resting | rest) & ~let_go
    return None, False


def careful_step(
    state: Evaluation, tangent: BlockMatrix, hold: Floats, slip: Floats, shift: float, damping: float
) -> Step:
    """A descent step for unstable or hard cases: only slides driven now let go, and none passes its resting place.

    `damping` [N/m] is a least shift, against steps that run far along a mode with next to no stiffness.
    """
    gradient, free = state.gradient.copy(), state.pair.free_slides
    drive = -gradient[:, 3]
    moving = free & ((slip != 0.0) | (np.abs(drive) > hold))
    sense = np.where(slip != 0.0, np.sign(slip), np.sign(drive))
    gradient[:, 3] = np.where(moving, np.where(moving, hold, 0.0) * sense - drive, 0.0)
    kink = hold > 0.0
    resting = ~moving
    target = np.zeros_like(slip)
    move, shift = _definite_step(tangent.pinned(resting), -gradient, resting, shift, damping)
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
        again, shift = _definite_step(tangent.pinned(resting), right, resting, shift, damping)
        if np.sum(again * gradient) >= 0.0:
            break
        move = again
    slope = min(float(np.sum(gradient * move)), 0.0)
    return Step(move=move, slope=slope, shift=shift, sense=np.where(kink & moving, sense, 0.0))

"""Many rigs laid out and stood up at once: what `plan` finds one after the other.

Where a main is given by its standing tension, its length is an unknown of the balance (equation (1) of `together`)
instead of what a secant looks for over whole solutions.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.compiled import COMPILED
from linescope.errors import LinescopeError
from linescope.rig import Rig
from linescope.rig.layout import Layout, lay_out
from linescope.statics.assemble import Loading, assemble
from linescope.statics.balanced import Asked
from linescope.statics.batch import SETTINGS
from linescope.statics.pair import Pair
from linescope.statics.plan import TENSION_TOLERANCE, Plan, end_tension, marking_strain, plan
from linescope.statics.stack import Stack
from linescope.statics.stack_loops import balance_compiled
from linescope.statics.together import balance, balance_quick, guesses, minimum_of

Floats = NDArray[np.float64]

STEP = 1e-4  # Of its length, by how much a main is made longer to see which pieces grow.


def plans(rigs: Sequence[Rig], *, loops: bool = COMPILED) -> list[Plan | LinescopeError]:
    """`plan` of many rigs.

    Parameters
    ----------
    rigs : sequence of Rig
    loops : bool
        Whether in compiled loops.

    Returns
    -------
    list of Plan or LinescopeError
        The error of a rig that `plan` by itself does not lay out or stand up either.
    """
    if any(rig.is_changed for rig in rigs):
        return _now(rigs, plans([rig.as_laid for rig in rigs], loops=loops))
    begun = [_Begun.of(rig) for rig in rigs]
    mine = [k for k, one in enumerate(begun) if one is not None]
    answers: list[Plan | LinescopeError | None] = [None] * len(rigs)
    if mine:
        for k, found in zip(mine, _stood([begun[k] for k in mine], loops), strict=True):  # type: ignore[misc]
            answers[k] = found
    return [_alone(rig) if answer is None else answer for rig, answer in zip(rigs, answers, strict=True)]


def _now(rigs: Sequence[Rig], laid: Sequence[Plan | LinescopeError]) -> list[Plan | LinescopeError]:
    """Plans as their lines are now, from those as they were laid."""
    answers: list[Plan | LinescopeError] = list(laid)
    some = [(k, each) for k, each in enumerate(laid) if isinstance(each, Plan) and rigs[k].is_changed]
    pairs = [assemble(rigs[k], each.layout, Loading())[0] for k, each in some]
    if not pairs:
        return answers
    stack = Stack.of(pairs)
    places, near = guesses(stack)
    found = balance_quick(stack, places, settings=SETTINGS)
    for number, ((k, each), pair) in enumerate(zip(some, pairs, strict=True)):
        if found.done[number] and near[number]:
            standing = minimum_of(stack, found, number, pair)
            answers[k] = Plan(rig=rigs[k], layout=each.layout, pair=pair, standing=standing)
        else:
            answers[k] = _alone(rigs[k])
    return answers


@dataclass(frozen=True, eq=False, kw_only=True)
class _Begun:
    """A rig laid out for about the right length of main, and how its pieces grow with it."""

    rig: Rig
    strain: float
    pair: Pair
    by: Floats

    @classmethod
    def of(cls, rig: Rig) -> _Begun | None:
        target = rig.main_plan.tension
        if target is None:
            return None
        standing = rig.main.stretch.strain_at(target)
        strain, length = marking_strain(rig, standing), rig.span / (1.0 + standing)
        try:
            pair, longer = (
                assemble(rig, lay_out(rig, one, strain), Loading())[0] for one in (length, length * (1.0 + STEP))
            )
        except LinescopeError:
            return None
        if longer.n != pair.n:
            return None
        by = (longer.lengths(longer.start_slides) - pair.lengths(pair.start_slides)) / (STEP * length)
        return cls(rig=rig, strain=strain, pair=pair, by=by)

    def laid(self, length: float) -> tuple[Layout, Pair] | None:
        """The rig laid out on a main of this length; None where it then has other nodes."""
        try:
            layout = lay_out(self.rig, length, self.strain)
        except LinescopeError:
            return None
        pair, _ = assemble(self.rig, layout, Loading())
        return (layout, pair) if pair.n == self.pair.n else None


def _stood(begun: Sequence[_Begun], loops: bool) -> list[Plan | None]:
    """Plans that stand with the tension asked for; None for `plan` to find."""
    solve = balance_compiled if loops else balance
    stack = Stack.of([one.pair for one in begun])
    rigs = [one.rig for one in begun]
    asked = Asked(
        tension=np.array([rig.main_plan.tension for rig in rigs], dtype=float),
        at_b=np.array([rig.main_plan.end == "B" for rig in rigs]), by=np.concatenate([one.by for one in begun]),
    )
    places, near = guesses(stack)
    found = solve(stack, places, settings=SETTINGS, asked=asked)
    lengths = (stack.total[:, 0] + found.longer).tolist()
    laid = [one.laid(lengths[k]) if found.done[k] and near[k] else None for k, one in enumerate(begun)]
    done = [(k, *each) for k, each in enumerate(laid) if each is not None]
    plans_: list[Plan | None] = [None] * len(begun)
    if not done:
        return plans_
    # Marks need not move straight with the length: the rig is balanced as it is now laid out, a step at most.
    exact = Stack.of([pair for _, _, pair in done])
    near_by = np.concatenate([found.places[stack.nodes[k] : stack.nodes[k + 1]] for k, _, _ in done])
    stood = balance(exact, near_by, settings=SETTINGS)
    for number, (k, layout, pair) in enumerate(done):
        if stood.done[number]:
            standing = minimum_of(exact, stood, number, pair)
            error = end_tension(rigs[k], standing, pair.n + 1) - asked.tension[k]
            if abs(error) <= TENSION_TOLERANCE * asked.tension[k]:
                plans_[k] = Plan(rig=rigs[k], layout=layout, pair=pair, standing=standing)
    return plans_


def _alone(rig: Rig) -> Plan | LinescopeError:
    try:
        return plan(rig)
    except LinescopeError as error:
        return error

"""Random rigs of all kinds, solved as a batch and one by one, and how far apart the two are."""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from linescope.errors import LinescopeError, SolveError
from linescope.statics.assemble import first_guess
from linescope.statics.balanced import Balanced
from linescope.statics.batch import SETTINGS
from linescope.statics.minimise import Minimum, minimise
from linescope.statics.pair import Evaluation, Pair
from linescope.statics.settle import settle
from linescope.statics.stack import Stack
from linescope.statics.stack_loops import balance_compiled, settle_compiled
from linescope.statics.together import balance, guesses
from tests.statics.random_rigs import random_pair

SAME = 1e-9  # Places [m].


@dataclass(frozen=True, kw_only=True)
class Compared:
    """One pair: whether the batch found it, and how far from the one-by-one solver.

    Attributes
    ----------
    apart : float
        Largest difference of places and slides; nan where the batch says that it is open.  [m]
    unsure : float
        How far one more Newton step would go from either.  [m]
    lower : float
        By how much the batch's state has less energy; both balance.  [J]
    """

    seed: int
    apart: float
    unsure: float
    lower: float = 0.0


def pairs_of(seeds: Sequence[int]) -> dict[int, Pair]:
    """The loaded pairs of random rigs that can be laid out."""
    found = {}
    for seed in seeds:
        try:
            found[seed] = random_pair(seed)
        except LinescopeError:
            continue
    return found


def batched(pairs: Sequence[Pair], way: str) -> tuple[Stack, Balanced]:
    """Of a mixed stack: "NumPy", "loops", or "settled" in loops."""
    stack = Stack.of(pairs)
    places, _ = guesses(stack)
    if way == "NumPy":
        return stack, balance(stack, places, settings=SETTINGS)
    taped = balance_compiled(stack, places, settings=SETTINGS)
    return stack, taped if way == "loops" else settle_compiled(stack, taped, settings=SETTINGS)


def further(state: Evaluation, resting: Any) -> float:
    """Length of one more Newton step from a solution, where slides that rest do not move.  [m]"""
    right = -state.gradient
    right[resting, 3] = 0.0
    step = state.tangent().pinned(resting).solve(right)
    return float("inf") if step is None else float(np.max(np.abs(step), initial=0.0))


def compare(pairs: dict[int, Pair], way: str, alone: dict[int, Minimum | SolveError]) -> list[Compared]:
    """Every pair of a batch beside the same one alone."""
    some = {seed: pair for seed, pair in pairs.items() if pair.n}
    stack, found = batched(list(some.values()), way)
    compared = []
    for k, seed in enumerate(some):
        one = alone[seed]
        if not found.done[k] or not isinstance(one, Minimum):
            # What one solver does not find the other must not make up: both are open, or the batch leaves it.
            compared.append(Compared(seed=seed, apart=float("nan"), unsure=float("nan")))
            continue
        mine = slice(stack.nodes[k], stack.nodes[k + 1])
        places = np.column_stack((found.places[mine], found.slides[mine]))
        apart = float(np.max(np.abs(places - one.state.unknowns)))
        mine_state = some[seed].evaluate(places)
        unsure = max(further(state, one.resting) for state in (one.state, mine_state))
        compared.append(Compared(
            seed=seed, apart=apart, unsure=unsure, lower=float(one.state.energy - mine_state.energy)
        ))
    return compared


def alone(pairs: dict[int, Pair], *, settled: bool) -> dict[int, Minimum | SolveError]:
    """Every pair by `minimise`, and by `settle`."""
    found: dict[int, Minimum | SolveError] = {}
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for seed, pair in pairs.items():
            try:
                taped = minimise(pair, first_guess(pair))
                found[seed] = settle(pair, taped)[0] if settled else taped
            except SolveError as error:
                found[seed] = error
    return found

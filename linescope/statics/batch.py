"""Many pairs as taped, and settled, with as little Python between them as can be.

Held pairs go through compiled loops (`stack_loops`), or where these are not kept through `together`; sliding ones
through compiled loops.  Each begins from a first guess of its own (`together.guesses`).  What these plain searches do
not find is said to be open, and goes to `minimise` and `settle` by itself.
"""

from __future__ import annotations

from collections.abc import Sequence

from linescope.errors import SolveError
from linescope.statics.assemble import first_guess
from linescope.statics.minimise import Minimum, Settings
from linescope.statics.pair import Pair
from linescope.statics.search import search
from linescope.statics.settle import settle
from linescope.statics.stack import Stack
from linescope.statics.stack_loops import quick_loops, settle_compiled
from linescope.statics.together import balance_quick, guesses, minimum_of

SETTINGS = Settings()


def taped_and_settled(
    pairs: Sequence[Pair], *, settled: bool = False, settings: Settings = SETTINGS
) -> list[Minimum | SolveError]:
    """Equilibria of many pairs as taped, or settled, each begun from a guess of its own.

    Parameters
    ----------
    pairs : sequence of Pair
    settled : bool
        Shaken until no sliding line has friction left; see `settle.settle`.
    settings : Settings
        Of as taped; settled has those of `settle`.

    Returns
    -------
    list of Minimum or SolveError
        The error of a pair that neither the batch nor `minimise` and `settle` by themselves find.
    """
    if not pairs:
        return []
    stack = Stack.of(pairs)
    places, near = guesses(stack)
    found = balance_quick(stack, places, settings=settings)
    settles, quick = settled and bool(stack.free.any()), quick_loops()
    if settles and quick:
        found = settle_compiled(stack, found, settings=Settings())
    answers: list[Minimum | SolveError] = []
    for k, pair in enumerate(pairs):
        if found.done[k] and near[k] and (quick or not settles):
            answers.append(minimum_of(stack, found, k, pair))
            continue
        try:
            alone = search(pair, first_guess(pair), settings=settings)
            answers.append(settle(pair, alone)[0] if settles else alone)
        except SolveError as error:
            answers.append(error)
    return answers

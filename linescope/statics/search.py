"""The search of `minimise` for one pair: in compiled loops where these are there and it is large."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.compiled import COMPILED
from linescope.statics.minimise import Minimum, Settings, minimise
from linescope.statics.pair import Evaluation, Pair

Floats = NDArray[np.float64]

SETTINGS = Settings()
MANY = 40  # Nodes from which loading compiled loops takes less than they save in one command.


def search(
    pair: Pair, start: Floats | Evaluation, *, hold: Floats | None = None, rest: Floats | None = None,
    forces: tuple[Floats, Floats] | None = None, settings: Settings = SETTINGS,
) -> Minimum:
    """`minimise` for a small pair, `minimise_compiled` for a large one; the parameters are those of `minimise`.

    Which of them depends on the pair alone, so a result does not depend on what was computed before.

    Parameters
    ----------
    pair : Pair
    start : (n, 4) array, or Evaluation
        [m]
    hold : (n,) array, optional
        [N]
    rest : (n,) array, optional
        [m]
    forces : pair of (k,) arrays, optional
        [N]
    settings : Settings

    Raises
    ------
    NoEquilibrium, SegmentNotSolved
    """
    if not (COMPILED and pair.n >= MANY):
        return minimise(pair, start, hold=hold, rest=rest, forces=forces, settings=settings)
    from linescope.statics.slide_search import minimise_compiled

    state = start if isinstance(start, Evaluation) else pair.evaluate(start, forces)
    hold = np.full(pair.n, np.inf) if hold is None else hold
    return minimise_compiled(pair, state, hold=hold, rest=rest, settings=settings)

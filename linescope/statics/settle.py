"""Settling: the state a shaken rig reaches when its sliders have no friction left."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray

from linescope.errors import SolveError
from linescope.statics.minimise import Minimum
from linescope.statics.pair import SLIDES_ON_BACKUP, Pair
from linescope.statics.search import search

Floats = NDArray[np.float64]

LOWERING = 0.6  # The hold goes down by this factor from step to step ...
LAST_HOLD = 1e-3  # ... to this share of the heaviest loop, and then to zero.
QUIET = 2  # Bays in a row from which nothing new is found, before a search for other states turns back.
APART = 0.01  # Settled states whose slides nowhere differ by more are one [m].


def settle(
    pair: Pair, taped: Minimum, progress: Callable[[float], None] | None = None
) -> tuple[Minimum, int]:
    """Lower the hold of all sliders slowly from where nothing slips to zero.

    The same hold acts on every tape at each step; slips add up from step to step.  This picks, among the several
    stable equilibria that sliders on a slope can have, the one the rig runs down to.

    Parameters
    ----------
    pair : Pair
    taped : Minimum
        The pair as taped.
    progress : callable, optional
        Told the share done.

    Returns
    -------
    Minimum
    int
        Newton steps over all holds.
    """
    if not pair.free_slides.any():
        return taped, 0
    levels = falling_holds(pair, taped)
    now, steps = taped, 0
    for count, now in enumerate(settling(pair, taped, levels)):
        steps += now.steps
        if progress is not None:
            progress((count + 1) / len(levels))
    return now, steps


def falling_holds(pair: Pair, taped: Minimum, lowering: float = LOWERING) -> tuple[float, ...]:
    """Holds from just under the one at which the first tape lets go down to none.

    Parameters
    ----------
    pair : Pair
    taped : Minimum
        The pair as taped.
    lowering : float
        Each over the one before, between 0 and 1.  [-]

    Returns
    -------
    tuple of float
        The last is 0.  [N]
    """
    drive = float(np.max(np.abs(taped.state.gradient[:, 3])))
    loop = float(np.max(pair.lengths(pair.start_slides)[pair.n + 1 :])) * float(np.linalg.norm(pair.backup_load))
    least = LAST_HOLD * loop
    levels = []
    level = lowering * drive
    while level > least:
        levels.append(level)
        level *= lowering
    return (*levels, 0.0)


def settling(pair: Pair, taped: Minimum, holds: tuple[float, ...]) -> Iterator[Minimum]:
    """The states that a pair passes through while the hold of all sliders is lowered, one after the other.

    Parameters
    ----------
    pair : Pair
    taped : Minimum
        The pair as taped.
    holds : tuple of float
        Of every slider, falling.  [N]

    Yields
    ------
    Minimum
        At each hold; slips add up.
    """
    now = taped
    for level in holds:
        now = search(pair, now.state, hold=np.full(pair.n, level))
        yield now


def other_equilibria(pair: Pair, settled: Minimum) -> int:
    """How many other stable settled states a few deliberate starts lead to.

    Each start gathers all spare backup in one bay: the two bays at each end, the lowest, and from there outward on
    both sides until `QUIET` bays in a row lead to nothing new.  Not an exhaustive search.

    Returns
    -------
    int
    """
    if not np.any(pair.slide == SLIDES_ON_BACKUP):
        return 0
    found = [settled.state.unknowns[:, 3]]
    tapes = pair.tapes
    points = np.concatenate((pair.backup_ends[:1], settled.state.unknowns[tapes, :3], pair.backup_ends[1:]))
    chords = np.linalg.norm(np.diff(points, axis=0), axis=1)
    lowest = int(np.argmin(0.5 * (points[1:, 2] + points[:-1, 2])))
    last = len(chords) - 1
    none, tried = np.zeros(pair.n), set()

    def is_new(bay: int) -> bool:
        tried.add(bay)
        start = settled.state.unknowns.copy()
        if not _gather(pair, start, chords, bay):
            return False
        try:
            state = search(pair, search(pair, start).state, hold=none)
        except SolveError:
            return False
        slides = state.state.unknowns[:, 3]
        if not state.stable or any(np.max(np.abs(slides - other)) <= APART for other in found):
            return False
        found.append(slides)
        return True

    for bay in sorted({0, min(1, last), max(last - 1, 0), last, lowest}):
        is_new(bay)
    for way in (-1, 1):
        bay, quiet = lowest + way, 0
        while 0 <= bay <= last and quiet < QUIET:
            quiet = 0 if bay not in tried and is_new(bay) else quiet + 1
            bay += way
    return len(found) - 1


def _gather(pair: Pair, unknowns: Floats, chords: Floats, bay: int) -> bool:
    """Move the spare length of each run of sliding tapes into one bay (in place); False when it is not in a run."""
    tapes = pair.tapes
    sliding = np.concatenate(([False], pair.slide[tapes] == SLIDES_ON_BACKUP, [False]))
    first, last = bay, bay
    while first > 0 and sliding[first]:
        first -= 1
    while last < len(chords) - 1 and sliding[last + 1]:
        last += 1
    _, coordinates = pair.line_coordinates(unknowns[:, 3])
    lengths = np.diff(coordinates)[first : last + 1]
    need = chords[first : last + 1] * 1.0005
    spare = float(np.sum(lengths) - np.sum(need))
    if first == last or spare <= 0.0:
        return False
    need[bay - first] += spare
    moved = coordinates[first] + np.cumsum(need)
    unknowns[tapes[first:last], 3] = np.where(
        pair.slide[tapes[first:last]] == SLIDES_ON_BACKUP, moved[:-1], unknowns[tapes[first:last], 3]
    )
    return True

"""Many pairs as taped, and settled, with as little Python between them as can be.

Held pairs go through compiled loops, or where numba is not there through `together`; sliding ones through compiled
loops.  Each begins from a first guess of its own (`together.guesses`).  What these plain searches do not find is said
to be open, and goes to `minimise` and `settle` by itself.
"""

from __future__ import annotations

import os
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.compiled import COMPILED
from linescope.errors import SolveError
from linescope.statics.assemble import first_guess
from linescope.statics.catenary import Segments2D
from linescope.statics.held_loops import still_all
from linescope.statics.minimise import Minimum, Settings, minimise
from linescope.statics.pair import Evaluation, Pair
from linescope.statics.quick import (
    AFTER,
    AFTER_AT,
    AFTER_SLIDES,
    AX,
    BACKUP,
    BEFORE,
    BEFORE_AT,
    BEFORE_SLIDES,
    COLUMNS,
    LEAST,
    LENGTH,
    LOAD,
    OFFSET,
    UX,
    UZ,
    A,
    C,
    H,
    V,
    X,
    Z,
    tables_of,
)
from linescope.statics.segments import Segments
from linescope.statics.settle import settle
from linescope.statics.slide_loops import lowered_all, slipping
from linescope.statics.stack import ANCHORS, Stack
from linescope.statics.together import Asked, Balanced, balance, guesses, minimum_of

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

SETTINGS = Settings()
PARTS = 4  # That pairs are dealt out in, for each core: some take longer than others.
ON_THE_WAY = 1e-7  # Force left over weight under a hold that is lowered further [-].


@dataclass(frozen=True, eq=False, kw_only=True)
class Tables:
    """A stack as compiled loops take it; see `quick`."""

    first: Ints
    edges: Ints
    joins: Ints
    points: Floats
    anchors: Floats
    curves: Floats
    pieces: Floats

    @classmethod
    def of(cls, stack: Stack) -> Tables:
        """Joins, points, anchors, curves and pieces of all pairs.

        Parameters
        ----------
        stack : Stack
        """
        shift = stack.nodes[stack.owner_of_piece]
        joins = np.column_stack((
            np.where(stack.before < stack.n, stack.before - shift, -1),
            np.where(stack.after < stack.n, stack.after - shift, -1), stack.backup,
        )).astype(np.int64)
        pieces = np.zeros((len(joins), COLUMNS))
        pieces[:, LOAD], pieces[:, UX : UZ + 1] = stack.q, stack.up
        pieces[:, BEFORE_SLIDES], pieces[:, AFTER_SLIDES] = stack.sliding.T
        pieces[:, LEAST], pieces[:, BEFORE_AT], pieces[:, AFTER_AT] = stack.least, stack.begin_at, stack.stop_at
        return cls(
            first=stack.nodes, edges=stack.pieces, joins=joins, points=np.column_stack((stack.pull, stack.free)),
            anchors=stack.anchors, curves=stack.curves, pieces=pieces,
        )


def balance_compiled(
    stack: Stack, places: Floats, *, settings: Settings, asked: Asked | None = None
) -> Balanced:
    """`together.balance` in compiled loops.

    Parameters
    ----------
    stack : Stack
    places : (N, 3) array
        Where to begin; see `together.guesses`.  [m]
    settings : Settings
    asked : Asked, optional
    """
    r, tables = len(stack), Tables.of(stack)
    nodes, found = np.column_stack((places, stack.slides)), np.zeros((r, 3))
    target = np.zeros(r) if asked is None else asked.tension
    end = np.zeros(r, dtype=np.int64) if asked is None else asked.at_b.astype(np.int64)
    still_all(
        tables.first, tables.edges, tables.joins, tables.points, tables.anchors, tables.curves, nodes, tables.pieces,
        settings.tolerance * stack.weight, settings.accepted * stack.weight, target, end,
        np.zeros(len(stack.q)) if asked is None else asked.by,
        0.05 * stack.total[:, 0], found,
    )
    return _balanced(stack, nodes, tables.pieces, found)


def settle_compiled(stack: Stack, taped: Balanced, *, settings: Settings) -> Balanced:
    """Every pair from as taped to settled; see `settle.settle`.

    Parameters
    ----------
    stack : Stack
    taped : Balanced
        Of the stack.  What is open there stays open.
    settings : Settings
    """
    tables, flat = Tables.of(stack), taped.segments.flat
    nodes, found = np.column_stack((taped.places, stack.slides)), np.zeros((len(stack), 3))
    found[:, 0], found[:, 2] = np.where(taped.done, taped.residual, np.inf), taped.steps
    tables.pieces[:, H], tables.pieces[:, V] = flat.h, flat.v
    workers = os.cpu_count() or 1
    cuts = np.linspace(0, len(stack), min(PARTS * workers, len(stack)) + 1).astype(int).tolist()

    def lower(low: int, high: int) -> None:
        lowered_all(
            tables.first[low : high + 1], tables.edges[low : high + 1], tables.joins, tables.points,
            tables.anchors[ANCHORS * low : ANCHORS * high], tables.curves[low:high], nodes, tables.pieces,
            stack.weight[low:high], settings.tolerance, settings.accepted, ON_THE_WAY, found[low:high],
        )

    # Pairs share nothing, and compiled loops let other threads run.
    with ThreadPoolExecutor(max_workers=workers) as pool:
        list(pool.map(lower, cuts[:-1], cuts[1:]))
    return _balanced(stack, nodes, tables.pieces, found)


def _balanced(stack: Stack, nodes: Floats, pieces: Floats, found: Floats) -> Balanced:
    points = stack.points(nodes[:, :3])
    flat = Segments2D(
        h=pieces[:, H], v=pieces[:, V], length=pieces[:, LENGTH], q=pieces[:, LOAD], a=pieces[:, A], c=pieces[:, C],
        offset=pieces[:, OFFSET],
    )
    segments = Segments(
        flat=flat, chord=points[stack.after] - points[stack.before], x=pieces[:, X], z=pieces[:, Z],
        across=pieces[:, AX : AX + 3], up=stack.up,
    )
    return Balanced(
        places=nodes[:, :3], slides=nodes[:, 3], segments=segments, residual=found[:, 0],
        steps=found[:, 2].astype(np.int64), done=np.isfinite(found[:, 0]), longer=found[:, 1],
    )


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
    found = (balance_compiled if COMPILED else balance)(stack, places, settings=settings)
    settles = settled and bool(stack.free.any())
    if settles and COMPILED:
        found = settle_compiled(stack, found, settings=Settings())
    answers: list[Minimum | SolveError] = []
    for k, pair in enumerate(pairs):
        if found.done[k] and near[k] and not (settles and not COMPILED):
            answers.append(minimum_of(stack, found, k, pair))
            continue
        try:
            alone = minimise(pair, first_guess(pair), settings=settings)
            answers.append(settle(pair, alone)[0] if settles else alone)
        except SolveError as error:
            answers.append(error)
    return answers


def minimise_compiled(
    pair: Pair, start: Floats | Evaluation, *, hold: Floats, rest: Floats | None = None,
    forces: tuple[Floats, Floats] | None = None, settings: Settings = SETTINGS,
) -> Minimum:
    """`minimise` in compiled loops, the same step by step; what they do not settle goes to `minimise` itself.

    Parameters
    ----------
    pair : Pair
    start : (n, 4) array, or Evaluation
        Positions and slides, or this pair evaluated there.  [m]
    hold : (n,) array
        What each tape resists, in the energy sense; inf pins the slide.  [N]
    rest : (n,) array, optional
        Slides from which slip counts; default those of `start`.  [m]
    forces : pair of (k,) arrays, optional
        H and V of the segments to start from.  [N]
    settings : Settings

    Raises
    ------
    NoEquilibrium, SegmentNotSolved
    """
    known = start.forces if isinstance(start, Evaluation) else forces
    if not COMPILED or known is None:
        return minimise(pair, start, hold=hold, rest=rest, forces=forces, settings=settings)
    joins, points, anchors, curves, pieces = tables_of(pair)
    nodes = np.array(start.unknowns if isinstance(start, Evaluation) else start)
    rest = nodes[:, 3].copy() if rest is None else rest
    pieces[:, H], pieces[:, V] = known
    left, steps = slipping(
        joins, points, anchors, curves, nodes, pieces, hold, rest, settings.tolerance * pair.weight,
        settings.accepted * pair.weight, np.zeros(pair.n),
    )
    if not np.isfinite(left):
        return minimise(pair, start, hold=hold, rest=rest, forces=forces, settings=settings)
    _, up = pair._ups
    ends = np.concatenate([nodes[:, :3], anchors])
    before, after = (np.where(joins[:, k] < 0, 0, joins[:, k]) for k in (BEFORE, AFTER))
    first = np.where(joins[:, BEFORE] < 0, pair.n + 2 * joins[:, BACKUP], before)
    last = ends[np.where(joins[:, AFTER] < 0, pair.n + 2 * joins[:, BACKUP] + 1, after)]
    segments = Segments(
        flat=Segments2D(
            h=pieces[:, H].copy(), v=pieces[:, V].copy(), length=pieces[:, LENGTH].copy(), q=pieces[:, LOAD].copy(),
            a=pieces[:, A].copy(), c=pieces[:, C].copy(), offset=pieces[:, OFFSET].copy(),
        ),
        chord=last - ends[first], x=pieces[:, X].copy(), z=pieces[:, Z].copy(), across=pieces[:, AX : AX + 3].copy(),
        up=up,
    )
    state = Evaluation(
        pair=pair, unknowns=nodes, segments=segments, last=last, height_end=np.einsum("ij,ij->i", last, up)
    )
    moving = pair.free_slides & ((nodes[:, 3] != rest) | (hold == 0.0))
    return Minimum(state=state, residual=float(left), steps=int(steps), resting=~moving)

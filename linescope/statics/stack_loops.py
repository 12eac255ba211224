"""A stack of pairs as taped, and settled, in compiled loops.

Each begins from a first guess of its own (`together.guesses`).  What these plain searches do not find is said to be
open.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.compiled import COMPILED, cache_folder
from linescope.statics.balanced import Asked, Balanced
from linescope.statics.held_loops import still_all
from linescope.statics.minimise import Settings
from linescope.statics.quick import (
    AFTER_AT,
    AFTER_SLIDES,
    BEFORE_AT,
    BEFORE_SLIDES,
    COLUMNS,
    LEAST,
    LOAD,
    UX,
    UZ,
    H,
    V,
    segments_of,
)
from linescope.statics.settle_loops import lowered_all
from linescope.statics.stack import ANCHORS, Stack

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

PARTS = 4  # That pairs are dealt out in, for each core: some take longer than others.
LIGHT = 2_000  # Pieces in all under which one core does it sooner than two.
ON_THE_WAY = 1e-7  # Force left over weight under a hold that is lowered further [-].


def quick_loops() -> bool:
    """Whether compiled loops are there and kept: compiling them anew takes longer than they save."""
    return COMPILED and cache_folder() is not None


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
    stack: Stack, places: Floats, *, settings: Settings, forces: tuple[Floats, Floats] | None = None,
    asked: Asked | None = None,
) -> Balanced:
    """`together.balance` in compiled loops.

    Parameters
    ----------
    stack : Stack
    places : (N, 3) array
        Where to begin; see `together.guesses`.  [m]
    settings : Settings
    forces : pair of (K,) arrays, optional
        H and V of the pieces to start from.  [N]
    asked : Asked, optional
    """
    r, tables = len(stack), Tables.of(stack)
    nodes, found = np.column_stack((places, stack.slides)), np.zeros((r, 3))
    if forces is not None:
        tables.pieces[:, H], tables.pieces[:, V] = forces
    target = np.zeros(r) if asked is None else asked.tension
    end = np.zeros(r, dtype=np.int64) if asked is None else asked.at_b.astype(np.int64)
    by = np.zeros(len(stack.q)) if asked is None else asked.by
    want, accept, most = settings.tolerance * stack.weight, settings.accepted * stack.weight, 0.05 * stack.total[:, 0]

    def stand(low: int, high: int) -> None:
        still_all(
            tables.first[low : high + 1], tables.edges[low : high + 1], tables.joins, tables.points,
            tables.anchors[ANCHORS * low : ANCHORS * high], tables.curves[low:high], nodes, tables.pieces,
            want[low:high], accept[low:high], target[low:high], end[low:high], by, most[low:high], found[low:high],
        )

    _dealt_out(stand, stack)
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

    def lower(low: int, high: int) -> None:
        lowered_all(
            tables.first[low : high + 1], tables.edges[low : high + 1], tables.joins, tables.points,
            tables.anchors[ANCHORS * low : ANCHORS * high], tables.curves[low:high], nodes, tables.pieces,
            stack.weight[low:high], settings.tolerance, settings.accepted, ON_THE_WAY, found[low:high],
        )

    _dealt_out(lower, stack)
    return _balanced(stack, nodes, tables.pieces, found)


def _dealt_out(work: Callable[[int, int], None], stack: Stack) -> None:
    """Work on pairs from one up to another, for all of a stack on all cores.

    Pairs share nothing, and compiled loops let other threads run.
    """
    count, workers = len(stack), os.cpu_count() or 1
    if len(stack.q) < LIGHT:
        work(0, count)
        return
    cuts = np.linspace(0, count, min(PARTS * workers, count) + 1).astype(int).tolist()
    with ThreadPoolExecutor(max_workers=workers) as pool:
        list(pool.map(work, cuts[:-1], cuts[1:]))


def _balanced(stack: Stack, nodes: Floats, pieces: Floats, found: Floats) -> Balanced:
    points = stack.points(nodes[:, :3])
    return Balanced(
        places=nodes[:, :3], slides=nodes[:, 3],
        segments=segments_of(pieces, points[stack.after] - points[stack.before], stack.up), residual=found[:, 0],
        steps=found[:, 2].astype(np.int64), done=np.isfinite(found[:, 0]), longer=found[:, 1],
    )

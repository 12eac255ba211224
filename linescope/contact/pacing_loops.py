"""One step of a walk in compiled code; see `linescope.contact.pacing`."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.compiled import compiled
from linescope.events.crossing import HOLD_CHANGE, HOLD_ROUNDS, RATIO_CHANGE
from linescope.rig.layout import SAME_PLACE
from linescope.statics.pair import SLIDES_ON_BACKUP, SLIDES_ON_MAIN
from linescope.statics.quick import JUMP, NORMAL, RATIO, SLIDES, at_tapes, carry, evaluate, lay
from linescope.statics.slide_loops import slipping_on

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


@compiled
def changes(
    now: Floats, slide: Floats, tapes: Floats, hold: Floats, renewed: Floats, stretched: Floats
) -> bool:
    """Whether slipping has changed a hold or a stretch (t,), or a tape at rest is pulled beyond its hold."""
    for t in range(len(slide)):
        if now[t] == slide[t]:
            if abs(tapes[t, JUMP]) > (1.0 + HOLD_CHANGE) * renewed[t]:
                return True
            continue
        was = hold[t] if hold[t] < np.inf else 0.0
        new = renewed[t] if renewed[t] < np.inf else 0.0
        if abs(new - was) > HOLD_CHANGE * was or abs(tapes[t, RATIO] - stretched[t]) > RATIO_CHANGE:
            return True
    return False


@compiled
def step_on(
    kind: Ints, is_tape: Ints, main_at: Floats, backup_at: Floats, pull: Floats, least: Floats, ends: Floats,
    load: Floats, anchors: Floats, curves: Floats, drag: Floats, friction: Floats, gap: float, weight: float,
    empty_weight: float, rough: Floats, wanted: Floats, slide: Floats, slipped: Floats, old_nodes: Floats,
    old_pieces: Floats, old_edges: Floats, old_walker: int, at: float
) -> tuple[bool, int, float, Floats, Ints, Floats, Floats, Floats, Floats, Floats, Floats, Floats]:
    """The next state of a walk, as `Pacer._step` finds it search by search.

    Parameters
    ----------
    kind, is_tape, main_at, backup_at, pull, least, ends, load
        Of the empty pair; see `quick.lay`.
    anchors, curves
        See `quick.tables_of`.
    drag, friction : (t,) arrays
        Of the tapes.  [N, -]
    gap, weight, empty_weight : float
        Least length of a piece [m], weight of the walker and of the empty pair [N].
    rough, wanted : (2,) arrays
        Tolerance and what is accepted, over the weight, while the line finds its place and then.  [-]
    slide, slipped : (t,) arrays
        Where the sliding line is at every tape [m], and which way it slipped last.
    old_nodes, old_pieces, old_edges, old_walker
        Of the state before; see `quick.carry`.
    at : float
        Where on the main; nan for nobody.  [m]

    Returns
    -------
    bool
        Whether all searches ended; where not, nothing else means anything.
    int, float
        The walker's node (-1: nobody), and where he stands.  [m]
    (n+2,) array
        Material coordinates of the main's nodes with both ends.  [m]
    joins, points, pieces, nodes, tapes
        Of the state; see `quick`.
    (t,) arrays
        Slides now [m], the stretch by which holds were counted [-], and those holds [N].
    """
    count = len(slide)
    main_now, backup_now, where = main_at.copy(), backup_at.copy(), np.empty(count, np.int64)
    kinds, t = np.empty(count, np.int64), 0
    for i in range(len(kind)):
        if is_tape[i] == 1:
            where[t], kinds[t] = i, kind[i]
            if kind[i] == SLIDES_ON_MAIN:
                main_now[i] = slide[t]
            elif kind[i] == SLIDES_ON_BACKUP:
                backup_now[i] = slide[t]
            t += 1
    node, place, total = -1, 0.0, empty_weight
    beside = np.zeros(2)
    m = len(main_now)
    if at == at:
        place, total = at, empty_weight + weight
        node = int(np.searchsorted(main_now, at))
        for near in (node - 1, node):
            if 0 <= near < m and abs(main_now[near] - place) < 2.0 * SAME_PLACE:
                place = main_now[near] + (2.0 * SAME_PLACE if near < node else -2.0 * SAME_PLACE)
        before = main_now[node - 1] if node > 0 else 0.0
        after = main_now[node] if node < m else ends[0]
        beside[0], beside[1] = min(gap, 0.5 * (place - before)), min(gap, 0.5 * (after - place))
        for t in range(count):
            if where[t] >= node:
                where[t] += 1
    joins, points, pieces = lay(
        kind, is_tape, main_now, backup_now, pull, least, ends, load, node, place, beside, weight)
    n = len(points)
    edges = np.zeros(n + 2)
    for i in range(n):
        edges[i + 1] = main_now[i] if node < 0 or i < node else place if i == node else main_now[i - 1]
    edges[n + 1] = ends[0]
    nodes, tapes = np.empty((n, 4)), np.empty((count, 7))
    carry(old_nodes, old_pieces, old_edges, old_walker, anchors[0], nodes, pieces, edges, node, is_tape, weight)
    rest, likely, hold_all = np.zeros(n), np.zeros(n), np.full(n, np.inf)
    nodes[:, 3] = 0.0
    for t in range(count):
        likely[where[t]] = slipped[t]
        if points[where[t], SLIDES] > 0.0:
            rest[where[t]] = nodes[where[t], 3] = slide[t]
    hold, used, now = np.empty(count), np.empty(count), slide.copy()
    ratio, stretched, renewed = np.empty(count), np.empty(count), np.empty(count)
    found = evaluate(joins, anchors, curves, nodes, pieces)
    if found:
        left, _ = slipping_on(
            joins, points, anchors, curves, nodes, pieces, hold_all, rest, rough[0] * total, rough[1] * total, likely)
        found = left < np.inf
    if found:
        at_tapes(joins, pieces, kinds, tapes)
        for t in range(count):
            hold[t], ratio[t] = drag[t] + friction[t] * tapes[t, NORMAL], tapes[t, RATIO]
        for _ in range(HOLD_ROUNDS):
            for t in range(count):
                used[t], stretched[t], hold_all[where[t]] = hold[t], ratio[t], hold[t] * ratio[t]
            left, steps = slipping_on(
                joins, points, anchors, curves, nodes, pieces, hold_all, rest, wanted[0] * total, wanted[1] * total,
                likely)
            if not left < np.inf:
                found = False
                break
            if steps == 0:
                break  # The state is the last one, and so are its holds: they would be renewed to what they are.
            at_tapes(joins, pieces, kinds, tapes)
            for t in range(count):
                renewed[t] = drag[t] + friction[t] * tapes[t, NORMAL]
                if points[where[t], SLIDES] > 0.0:
                    now[t] = nodes[where[t], 3]
            if not changes(now, slide, tapes, used, renewed, stretched):
                break
            for t in range(count):
                hold[t], ratio[t] = renewed[t], tapes[t, RATIO]
    return found, node, place, edges, joins, points, pieces, nodes, tapes, now, stretched, used

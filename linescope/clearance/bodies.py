"""The walker's body and leash in catches, as curves: falling into the leash, and when the main is lost."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.sampling import sampled
from linescope.clearance.table import CurveGroup, CurveTable
from linescope.clearance.why import CauseKind, Holds, Why
from linescope.events.deeper import Deeper
from linescope.events.fall import LeashFallSweep, leash_fall_sweep
from linescope.events.main_gone import main_gone
from linescope.rig import Rig
from linescope.statics import Plan
from linescope.statics.assemble import DOWN
from linescope.statics.results import line_shapes

Floats = NDArray[np.float64]

BIN, BIN_SHARE = 4.0, 0.025
"""Floors and the lines that catch are told apart by stretches of the line this long: metres, or share of the span."""
FALL_PIECES = 8
FALL = Why(kind=CauseKind.FALL)
IN_TIME = Why(kind=CauseKind.FALL_IN_TIME)
FALL_LINE, SLID_LINE = Why(kind=CauseKind.FALL_LINE), Why(kind=CauseKind.FALL_LINE_SLID)
GONE = (CauseKind.GONE_REST, CauseKind.GONE_FLOOR, CauseKind.GONE_LINE)



def falls(
    table: CurveTable, rig: Rig, planned: Plan, places: Floats, deeper: Deeper | None = None
) -> LeashFallSweep:
    """Put the leash fall from each place into a table.

    Parameters
    ----------
    table : CurveTable
    rig : Rig
        With a walker.
    planned : Plan
    places : (n,) array
        [m]
    deeper : Deeper, optional
        Where feet come lower in time than by the balance.

    Returns
    -------
    LeashFallSweep
        The falls, by the balance.

    Raises
    ------
    FallNotBounded, NoEquilibrium, SegmentNotSolved

    Notes
    -----
    A fall counts with all it sweeps: from where the feet stood, down to the lowest foot, and with main and backup as
    they lie at the lowest point, with tapes that hold as taped and, where tapes slide, with free ones as well.
    Where his feet come lower in time, his body and leash then are another cause of the same fall.  Falls stay apart
    within the anchor zones too: a no-fall zone that begins there ends where they do.  The catch knows nothing of the
    ground: a line that meets it catches otherwise.
    """
    assert rig.walker is not None
    found = leash_fall_sweep(rig, places, risen=False, planned=planned)
    hang = rig.walker.hang * DOWN
    ends = [(FALL, np.ones(len(found.at), dtype=bool), found.low.ring, found.low.foot)]
    if deeper is not None:
        ends.append((IN_TIME, *deeper.lowest(found)))
    for i, at in enumerate(found.at.tolist()):
        standing = found.ring_standing[i]
        for cause, _, rings, feet in (end for end in ends if end[1][i]):
            for kind, points in (("body", (standing, rings[i], feet[i])), ("leash", (rings[i], feet[i] - hang))):
                group = CurveGroup(kind=kind, family="fall", cause=cause, place=at, apart=True)
                table.add(np.array([points]), None, [group], at, by_walker=True)
        # The lines that catch go down with him, and over the edges beside him.
        for why, states in ((FALL_LINE, found.low.held_states), (SLID_LINE, found.low.free_states)):
            for kind, line in zip(("line", "loop"), line_shapes(states[i].state), strict=True) if states else ():
                curves, sagitta = sampled(line.segments, FALL_PIECES, line.nodes[:-1])
                group = CurveGroup(kind=kind, family=why.id, cause=why, place=at)
                table.add(curves, sagitta, [group] * len(curves), at)
    return found


def losses(table: CurveTable, rig: Rig, planned: Plan, places: Floats, *, points: int = 61) -> None:
    """Put both sides of the bracket of a loss of the main at each place into a table.

    Parameters
    ----------
    table : CurveTable
    rig : Rig
        With a walker.
    planned : Plan
    places : (n,) array
        [m]
    points : int
        Along each bound.

    Raises
    ------
    FallNotBounded, NoEquilibrium, SegmentNotSolved
    """
    assert rig.walker is not None
    found = main_gone(rig, places, points=points, run=False, planned=planned)
    hang = rig.walker.hang * DOWN
    for side in (found.nothing_holds, found.ties_hold) if found.tied else (found.nothing_holds,):
        holds: Holds = "ties-hold" if side.name == "ties hold" else "nothing-holds"
        rest, floor, caught = (Why(kind=kind, holds=holds) for kind in GONE)
        for i, at in enumerate(found.at.tolist()):
            ring = side.rest.ring[i]
            foot = side.rest.foot[i]
            for kind, pair in (("body", (side.rest.top[i], foot)), ("leash", (ring, foot - hang))):
                group = CurveGroup(kind=kind, family=rest.id, cause=rest, place=at)
                table.add(np.array([pair]), None, [group], at)
        for kind, why, curves in (("body", floor, side.floor.most_foot), ("line", caught, side.most.line)):
            sagitta = curve_sagitta(curves)
            ends = np.stack([curves[:, :-1], curves[:, 1:]], axis=2)
            width = max(BIN, BIN_SHARE * table.span)
            bins = (((ends.mean(axis=2) - table.start) @ table.along) // width).astype(np.int64)
            known = {
                number: CurveGroup(kind=kind, family=why.id, cause=why, place=float(number), numbered=True)
                for number in np.unique(bins).tolist()
            }
            for i, at in enumerate(found.at.tolist()):
                table.add(ends[i], sagitta[i][:, None], [known[number] for number in bins[i].tolist()], at)


def curve_sagitta(curves: Floats) -> Floats:
    """(n, m - 1) how far smooth curves through points may lie off their chords: twice the parabola's sagitta.  [m]"""
    bend = np.linalg.norm(np.diff(curves, n=2, axis=1), axis=2)
    bend = np.pad(bend, ((0, 0), (1, 1)), mode="edge")
    return np.asarray(0.25 * np.maximum(bend[:, 1:], bend[:, :-1]))

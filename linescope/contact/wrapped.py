"""What if a loop has wrapped the main: k half turns that grip it like a belt.

A loop of tension T laid k half turns round the main presses on it with T pi k in all.  When the main stretches, the
wrap slips along it by strain x distance to the tape beside it.  Where tapes hold the backup that is always the same
spot of the backup; where the backup runs through them it is wherever the wrap happens to lie.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from linescope.contact.cycles import Cycles
from linescope.contact.ledger import BIN, Book, Face, Tracks
from linescope.rig.parts import WrappedBay
from linescope.statics import Solution


@dataclass(frozen=True, kw_only=True)
class Wrap:
    """One wrapped bay.

    Attributes
    ----------
    bay : int
        Counted from 1 at anchor A.
    normal : float
        Of the wrap on the main.  [N]
    distance : float
        From the wrap to the nearer tape.  [m]
    main, backup : float
        Material coordinates of its middle.  [m]
    length : float
        Of line under it.  [m]
    """

    bay: int
    normal: float
    distance: float
    main: float
    backup: float
    length: float


def find_wrap(solution: Solution, bay: WrappedBay) -> Wrap:
    """Where a wrap lies and how it grips.

    Parameters
    ----------
    solution : Solution
        With the walker.
    bay : WrappedBay
    """
    layout, bays = solution.layout, solution.bays
    k = bay.bay - 1
    main = np.concatenate(([0.0], layout.tape_main, [layout.main_length]))
    start = float(solution.backup.coordinate[k])
    length = float(bays.loop_length[k])
    bare = float(main[k + 1] - main[k])
    return Wrap(
        bay=bay.bay, normal=float(bays.backup_tension[k]) * math.pi * bay.half_turns,
        distance=min(bay.at, 1.0 - bay.at) * bare, main=float(main[k] + bay.at * bare), backup=start + bay.at * length,
        length=max(1, bay.half_turns) * solution.rig.backup.width,
    )


def wrap_tracks(
    solution: Solution, wraps: tuple[Wrap, ...], cycles: tuple[Cycles, ...], half_turns: tuple[int, ...],
    friction: float, widest: float = BIN
) -> Tracks:
    """What wrapped bays rub.

    Parameters
    ----------
    solution : Solution
    wraps : tuple of Wrap
    cycles : tuple of Cycles
    half_turns : tuple of int
        Of each wrap: every other one lies on the main's underside.
    friction : float
        [-]
    widest : float
        Widest bin.  [m]

    Notes
    -----
    A cycle slips out and back, 2 x strain x distance.  Half of the work goes to the main, half to the face of the
    backup that was towards it.
    """
    layout = solution.layout
    book = Book(layout, widest)
    for wrap, turns in zip(wraps, half_turns, strict=True):
        near = min(max(wrap.bay - 1, 1), len(layout.tapes)) - 1
        slip = sum(2.0 * each.count * float(each.strain[near]) for each in cycles) * wrap.distance
        work = friction * wrap.normal * slip
        over = math.ceil(turns / 2) / max(turns, 1)
        for face, at, share in (
            (Face.MAIN_TOP, wrap.main, 0.5 * over), (Face.MAIN_UNDER, wrap.main, 0.5 * (1.0 - over)),
            (Face.BACKUP_TOP, wrap.backup, 0.5),
        ):
            book.spread(face, np.array([at]), wrap.length, np.array([share * work]))
    return book.close()

"""Strain cycles: under a tape that holds both lines the main stretches and the backup does not.

From the middle of the wrap outward the main slips on the backup by strain x distance.  The wrap's own pressing N_w lies
evenly on its width w, so a cycle of the strain range De rubs, there and back at distance x from the middle,

    W'(x) = 2 mu (N_w / w) De |x|,   |x| <= w / 2,

half of it on either inner face.  Where a cycle slips less than `FRETTING` from end to end, lines do not rub along each
other: such cycles are counted, not turned into work.

Which cycles: each passage of the walker raises the strain once; each of his steps, and each bounce, a little.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from linescope.contact.ledger import BIN, Book, Face, Tracks
from linescope.rig import Rig
from linescope.rig.layout import Layout
from linescope.statics import Plan, Solution, solve
from linescope.taping import Holds

Floats = NDArray[np.float64]

FRETTING = 30e-6  # Slip of a cycle, from end to end, below which it is counted and not booked [m].
STRIDE = 0.6  # Of a walker [m]; from memory.
BOUNCE_RATE = 0.45  # Bounces a second: published readings of three lines lie at 0.35, 0.46 and 0.56 [Hz].


@dataclass(frozen=True, eq=False, kw_only=True)
class Cycles:
    """One kind of cycle at every tape.

    Attributes
    ----------
    count : float
        [-]
    strain : (t,) array
        Range of the main's strain less the backup's, at each tape.  [-]
    """

    count: float
    strain: Floats


def strain_of(solution: Solution) -> Floats:
    """(t,) strain of the main less that of the backup at every tape.  [-]"""
    found = []
    for line in (solution.main, solution.backup):
        flat = line.segments.flat
        at_start, at_end = flat.a + flat.c * flat.tension_start, flat.a + flat.c * flat.tension_end
        change = np.flatnonzero(np.diff(line.bay) > 0)
        found.append(0.5 * (at_end[change] + at_start[change + 1]) - 1.0)
    return np.asarray(found[0] - found[1])


def loaded_range(planned: Plan, share: float) -> Floats:
    """Range of strain when the walker weighs so much more and less about his weight.

    Parameters
    ----------
    planned : Plan
        With a walker.
    share : float
        From lightest to heaviest, over his weight.  [-]

    Returns
    -------
    (t,) array
        [-]

    Raises
    ------
    NoEquilibrium
    """
    rig = planned.rig
    assert rig.walker is not None
    strains = []
    for factor in (1.0 + 0.5 * share, max(1.0 - 0.5 * share, 0.0)):
        loaded: Rig = replace(rig, walker=replace(rig.walker, mass=rig.walker.mass * factor))
        strains.append(strain_of(solve(loaded, planned=replace(planned, rig=loaded))))
    return np.asarray(np.abs(strains[0] - strains[1]))


def _squares(x: Floats, still: Floats) -> Floats:
    """Integral of |x| from 0 to x where |x| exceeds `still`."""
    return np.asarray(0.5 * np.sign(x) * np.maximum(x * x - still * still, 0.0))


def cycle_tracks(
    layout: Layout, cycles: tuple[Cycles, ...], *, width: float, pressing: float, friction: Floats, widest: float = BIN
) -> Tracks:
    """What strain cycles rub.

    Parameters
    ----------
    layout : Layout
    cycles : tuple of Cycles
    width : float
        Of the tape.  [m]
    pressing : float
        Of a wrap on its lines, over its width.  [N]
    friction : (t,) array
        [-]
    widest : float
        Widest bin.  [m]

    Notes
    -----
    Ties and tied joints hold both lines without a wrap whose pressing is known; they are left out.
    """
    book = Book(layout, widest)
    both = np.array([tape.holds is Holds.BOTH and tape.kind == "tape" for tape in layout.tapes], dtype=bool)
    for each in cycles:
        rubs = both & (each.strain > 0.0)
        strain = each.strain[rubs, None]
        factor = each.count * friction[rubs, None] * pressing / width * strain  # Half of 2 mu N/w De n.
        for face, marks in ((Face.MAIN_UNDER, layout.tape_main), (Face.BACKUP_TOP, layout.tape_backup)):
            edges = book.edges[face]
            at = np.clip(marks[rubs, None], 0.5 * width, edges[-1] - 0.5 * width)
            # Bins from the one in which a wrap begins, as many as any covers; those past its end get nothing.
            bins = np.floor((at - 0.5 * width) / edges[1]).astype(int) + np.arange(int(width / edges[1]) + 3)
            x = np.clip(edges[np.minimum(bins, len(edges) - 1)] - at, -0.5 * width, 0.5 * width)
            inside = np.minimum(bins[:, :-1], len(edges) - 2)
            np.add.at(book.work[face], inside, factor * np.diff(_squares(x, FRETTING / strain)))
    return book.close()


def fretting_cycles(layout: Layout, cycles: tuple[Cycles, ...], width: float) -> Floats:
    """(t,) cycles that slip less than `FRETTING` even at the wrap's edge; 0 at tapes that let a line slide.  [-]"""
    both = np.array([tape.holds is Holds.BOTH for tape in layout.tapes], dtype=bool)
    total = np.zeros(len(both))
    for each in cycles:
        slip = each.strain * 0.5 * width
        total += np.where(both & (slip > 0.0) & (slip < FRETTING), each.count, 0.0)
    return total

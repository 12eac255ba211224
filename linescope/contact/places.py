"""The worst places: where on either line to look first, as an inspection list."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.contact.ledger import LineName
from linescope.contact.rub import Pairs
from linescope.rig.layout import Layout
from linescope.taping import Holds

Floats = NDArray[np.float64]

WORTH_NAMING = 0.01  # Bins with less than this share of a place's peak do not belong to it.


@dataclass(frozen=True, kw_only=True)
class Place:
    """One place to look at.

    Attributes
    ----------
    line : {"main", "backup"}
    tape : int
        The nearest tape as taped, counted from 1 at anchor A.
    at : float
        Where the rub is largest: unstretched metres from anchor A along this line.  [m]
    start, end : float
        From where to where it rubs.  [m]
    peak, low, high : float
        Largest work per metre with the hold's value, and with its low and high end.  [J/m]
    work : float
        Work on all of the place.  [J]
    swing_share : float
        Part of the peak that swings in wind make.  [-]
    cause : str
    """

    line: LineName
    tape: int
    at: float
    start: float
    end: float
    peak: float
    low: float
    high: float
    work: float
    swing_share: float
    cause: str


def _cause(line: LineName, holds: Holds, swing_share: float) -> str:
    if swing_share > 0.5:
        return "loop swings beside the tape"
    if holds is Holds.BOTH:
        return "loop swings beside the tape"
    held = "main" if holds is Holds.MAIN else "backup"
    if line == held:
        return f"held here: the {'backup' if held == 'main' else 'main'} slips past it"
    return f"the {line} slips through the tape"


def worst_places(
    layout: Layout, value: Pairs, low: Pairs, high: Pairs, swing: Pairs | None, worst: int = 20
) -> tuple[Place, ...]:
    """The places with the most work per metre, both lines together, worst first.

    Parameters
    ----------
    layout : Layout
    value, low, high : Pairs
        All work counted, with the hold's value and its ends.
    swing : Pairs or None
        The part of swings in `value`.
    worst : int
        How many at most.

    Notes
    -----
    A place is what lies nearest to one tape, as taped, on one line.
    """
    places: list[Place] = []
    lines: Sequence[tuple[LineName, Floats]] = (("main", layout.tape_main), ("backup", layout.tape_backup))
    for line, marks in lines:
        ledger, lower, higher = value.of(line), low.of(line), high.of(line)
        swung = swing.of(line).per_metre if swing is not None else np.zeros(len(ledger.work))
        inner = np.searchsorted(ledger.middles, 0.5 * (marks[:-1] + marks[1:]))
        cuts = np.concatenate(([0], inner, [len(ledger.work)]))
        for index, tape in enumerate(layout.tapes):
            part = slice(int(cuts[index]), int(cuts[index + 1]))
            density = ledger.per_metre[part]
            if not len(density) or density.max() <= 0.0:
                continue
            top = int(np.argmax(density))
            rubbed = np.flatnonzero(density > WORTH_NAMING * density[top])
            share = float(swung[part][top] / density[top])
            ends = sorted((float(lower.per_metre[part].max()), float(higher.per_metre[part].max())))
            places.append(
                Place(
                    line=line, tape=tape.number, at=float(ledger.middles[part][top]),
                    start=float(ledger.edges[part.start + rubbed[0]]),
                    end=float(ledger.edges[part.start + rubbed[-1] + 1]), peak=float(density[top]),
                    low=min(ends[0], float(density[top])), high=max(ends[1], float(density[top])),
                    work=float(ledger.work[part].sum()), swing_share=share,
                    cause=_cause(line, tape.holds, share),
                )
            )
    places.sort(key=lambda place: (-place.peak, place.line, place.tape))
    return tuple(places[:worst])

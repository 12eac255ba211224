"""From which hold on sliders slip: what they would have to hold for a crossing to move nothing."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from linescope.contact.pacing import Pacer
from linescope.rig import Band
from linescope.statics import Plan
from linescope.taping import Holds

ANY = 1e6
"""A drag at which nothing slips. [N]"""


@dataclass(frozen=True, kw_only=True)
class Parting:
    """Drag from which tapes that hold a line slip in a crossing, friction as given.

    While nothing slips, all styles stand and move as tapes that hold both lines; so this is where they part.

    Attributes
    ----------
    holds : Holds
    drag : float
        Up to which some tape slips; 0 where friction alone holds them all.  [N]
    half : float
        Up to which half of the tapes that slide slip.  [N]
    tape : int
        The one that slips first, counted from 1 at anchor A.
    given : (float, float)
        Least and greatest drag that the rig's tapes have, as given.  [N]
    """

    holds: Holds
    drag: float
    half: float
    tape: int
    given: tuple[float, float]

    @property
    def parts(self) -> bool:
        """Whether some tape slips with the drag as given."""
        return self.given[0] < self.drag


def find_parting(laid: Plan, holds: Holds, per_bay: int) -> Parting:
    """Walk a crossing with tapes that hold anything, and see what each had to hold beyond its friction.

    Parameters
    ----------
    laid : Plan
        Of a rig with a walker, and tapes that hold one line.
    holds : Holds
        That line.
    per_bay : int
        Steps in each bay.

    Raises
    ------
    NoEquilibrium
    """
    sliding = np.array([tape.holds is not Holds.BOTH for tape in laid.layout.tapes], dtype=bool)
    given = np.array([tape.hold.drag.value for tape in laid.layout.tapes], dtype=float)[sliding]
    anything = Band(low=ANY, value=ANY, high=ANY)
    tapes = tuple(replace(tape, hold=replace(tape.hold, drag=anything)) for tape in laid.layout.tapes)
    stuck = replace(laid, layout=replace(laid.layout, tapes=tapes))
    lap = Pacer(laid.rig, "value", stuck).lap(per_bay)
    friction = np.where(sliding, lap.hold - ANY, 0.0)
    needed = np.maximum(np.abs(lap.over_tape) - friction, 0.0).max(axis=0)[sliding]
    number = np.array([tape.number for tape in laid.layout.tapes])[sliding]
    first = int(np.argmax(needed))
    return Parting(
        holds=holds, drag=float(needed[first]), half=float(np.median(needed)), tape=int(number[first]),
        given=(float(given.min()), float(given.max())),
    )

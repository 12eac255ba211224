"""From which hold on sliders slip: what they would have to hold for a crossing to move nothing."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from linescope.contact.pacing import EXACT, Lap, Pacer
from linescope.rig.layout import Layout
from linescope.statics import Plan
from linescope.statics.minimise import Settings
from linescope.taping import Holds


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


def find_parting(laid: Plan, holds: Holds, per_bay: int, settings: Settings = EXACT) -> Parting:
    """Walk a crossing with tapes that hold both lines, and see what each had to hold beyond its friction.

    Parameters
    ----------
    laid : Plan
        Of a rig with a walker, and tapes that hold one line.
    holds : Holds
        That line.
    per_bay : int
        Steps in each bay.
    settings : Settings
        Of the search, for every step.

    Raises
    ------
    NoEquilibrium
    """
    tapes = tuple(replace(tape, holds=Holds.BOTH) for tape in laid.layout.tapes)
    stuck = replace(laid, layout=replace(laid.layout, tapes=tapes))
    return parting_of(laid.layout, holds, Pacer(laid.rig, "value", stuck, settings).lap(per_bay))


def parting_of(layout: Layout, holds: Holds, stuck: Lap) -> Parting:
    """The same from a crossing in which all tapes held both lines.

    Parameters
    ----------
    layout : Layout
        Of the tapes that hold one line.
    holds : Holds
        That line.
    stuck : Lap
        With as many tapes at the same marks.
    """
    sliding = np.array([tape.holds is not Holds.BOTH for tape in layout.tapes], dtype=bool)
    given = np.array([tape.hold.drag.value for tape in layout.tapes], dtype=float)[sliding]
    needed = stuck.needed[holds][sliding]
    number = np.array([tape.number for tape in layout.tapes])[sliding]
    first = int(np.argmax(needed))
    return Parting(
        holds=holds, drag=float(needed[first]), half=float(np.median(needed)), tape=int(number[first]),
        given=(float(given.min()), float(given.max())),
    )

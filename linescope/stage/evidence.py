"""What pictures are made from beside the solved state: results of events, and distances; each may be missing."""

from __future__ import annotations

from dataclasses import dataclass

from linescope.clearance import Clearance
from linescope.report.falls import FallGaps
from linescope.report.gather import Results
from linescope.report.tension import TensionStrip


@dataclass(frozen=True, eq=False, kw_only=True)
class Evidence:
    """Everything known of one rig; a view whose data are None is left out of the brief.

    Attributes
    ----------
    results : Results or None
        States and events, from `linescope.report.gather.gather`.
    tension : TensionStrip or None
        What the meter should read, from `linescope.report.tension.tension_strip`.
    falls : FallGaps or None
        Distances left below leash falls, from `linescope.report.falls.fall_gaps`.
    clearance : Clearance or None
        Worst places of every sweep.
    """

    results: Results | None = None
    tension: TensionStrip | None = None
    falls: FallGaps | None = None
    clearance: Clearance | None = None

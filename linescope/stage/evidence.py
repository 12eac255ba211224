"""What pictures are made from beside the solved state: results of events, and distances; each may be missing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from linescope.clearance import Clearance, GroundIndex
from linescope.clearance.fall_gaps import FallGaps, fall_gaps
from linescope.contact import Comparison, Rub, Touching
from linescope.events.meter import TensionStrip, tension_strip
from linescope.report.gather import Results, gather
from linescope.rig import Rig, RigSource


@dataclass(frozen=True, eq=False, kw_only=True)
class Evidence:
    """Everything known of one rig; a view whose data are None is left out of the brief.

    Attributes
    ----------
    results : Results or None
        States and events, from `linescope.report.gather.gather`.
    tension : TensionStrip or None
        What the meter should read, from `linescope.events.meter.tension_strip`.
    falls : FallGaps or None
        Distances left below leash falls, from `linescope.clearance.fall_gaps`.
    clearance : Clearance or None
        Worst places of every sweep.
    touching : Touching or None
        Where main and backup lie on each other, from `linescope.contact.find_touches`.
    rub : Rub or None
        Work of friction along both lines, from `linescope.contact.find_rub`.
    comparison : Comparison or None
        The tape styles on this rig, from `linescope.contact.compare`.
    """

    results: Results | None = None
    tension: TensionStrip | None = None
    falls: FallGaps | None = None
    clearance: Clearance | None = None
    touching: Touching | None = None
    rub: Rub | None = None
    comparison: Comparison | None = None


def find_evidence(
    rig: Rig | RigSource,
    ground: GroundIndex | None = None,
    *,
    crossings: bool = True,
    progress: Callable[[float, str], None] | None = None,
) -> Evidence:
    """Compute what the pictures of events need: results with sweeps, the meter's readings, distances below falls.

    Parameters
    ----------
    rig : RigSource or Rig
        A scene; of a rig alone no inputs are known.
    ground : GroundIndex, optional
        Of the whole ground.
    crossings : bool
        A walker over and back with low and high hold, for the friction states: the slowest part by far.
    progress : callable, optional
        Told the share done, 0 to 1, and what is being computed.

    Raises
    ------
    SolveError
        When a state does not converge.
    """
    tell = progress or (lambda share, text: None)
    results = gather(rig, sweeps=True, crossings=crossings, progress=lambda share, text: tell(0.8 * share, text))
    tell(0.8, "meter readings")
    tension = tension_strip(rig, planned=results.planned)
    tell(0.9, "distances below falls")
    falls = None
    if ground is not None and results.fall_sweep is not None:
        falls = fall_gaps(results.fall_sweep, ground)
    tell(1.0, "done")
    return Evidence(results=results, tension=tension, falls=falls)

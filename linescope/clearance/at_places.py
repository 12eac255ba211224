"""What one rig comes near to with its walker at a few stated places: measured as the whole sweep measures it."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linescope.clearance.bodies import FALL_LINE, SLID_LINE, falls, losses
from linescope.clearance.distance import GroundIndex
from linescope.clearance.finding import TOUCHES, Cause
from linescope.clearance.lines import Lines
from linescope.clearance.running import RUNS, add_runs
from linescope.clearance.states import find_cases
from linescope.clearance.sweep import FALL, Sweep, SweptSearch
from linescope.clearance.table import CurveTable, Worst
from linescope.events.catch import stand_along
from linescope.events.deeper import Deeper
from linescope.events.running import running_ring
from linescope.statics import Plan

Floats = NDArray[np.float64]

NEAREST = 0.05
"""To an anchor.  [m]"""
ALIKE = 0.05
"""Of what lies in rock, that which is so much less deep than the deepest is not looked for more exactly.  [m]"""
POINTS = 25
"""Along the bound of a lost main: on a line of 100 m each 4 m, between which its bend is allowed for."""
AT_REST = ("rig", "standing")
REST = (*AT_REST, "hang")
FALLS = (FALL, FALL_LINE.id, SLID_LINE.id)


@dataclass(frozen=True, kw_only=True)
class Measurand:
    """What is measured as one.

    Attributes
    ----------
    kind : {"line", "loop", "leash", "body"}
    family : str
        As of `Cause`.
    role : {"ground", "vegetation", "water", "area"}
    within : bool
        Whether it lies in an anchor zone, where nothing at rest may be in rock and no distance is asked for.
    """

    kind: str
    family: str
    role: str = "ground"
    within: bool = False


@dataclass(frozen=True, kw_only=True)
class Remainder:
    """The nearest of a measurand.

    Attributes
    ----------
    distance : float
        Smallest distance, as of `Cause`.  [m]
    over : float
        The same less what is asked for; nothing is asked for within anchor zones but to lie outside rock.  [m]
    walker : float or None
        Where the walker is then, from A along the straight line.  [m]
    """

    distance: float
    over: float
    walker: float | None


def measurand_of(cause: Cause, *, within: bool = False) -> Measurand:
    """What a cause is measured as.

    Parameters
    ----------
    cause : Cause
    within : bool
        Whether it lies in an anchor zone.
    """
    return Measurand(kind=cause.kind, family=cause.family, role=cause.role, within=within)


def measured_at(
    planned: Plan, index: GroundIndex, places: ArrayLike, *, deeper: Deeper | None = None,
    families: Collection[str] | None = None,
) -> dict[Measurand, Remainder]:
    """The nearest of every measurand, with the walker at some places, and of the empty line.

    Parameters
    ----------
    planned : Plan
        Of a rig with needs.
    index : GroundIndex
    places : (n,) array
        From A along the straight line; none is taken nearer to an anchor than `NEAREST`.  [m]
    deeper : Deeper, optional
        Where falls come lower in time.
    families : collection of str, optional
        What is measured; default all.

    Raises
    ------
    SolveError
        When a state is not found.

    Notes
    -----
    Sliders count as taped and as settled, not as a crossing leaves them.  Of a ring that runs the falls from these
    places alone count.
    """
    rig = planned.rig
    # Where inputs are drawn the far anchor may be nearer than it was planned.
    at = np.unique(np.clip(np.atleast_1d(np.asarray(places, dtype=float)), NEAREST, rig.span - NEAREST))
    search = SweptSearch(rig, index, rig.needs, deeper)
    walked = at if rig.walker is not None else at[:0]

    def wanted(*names: str) -> bool:
        return families is None or any(name in families for name in names)

    sweeps = []
    if wanted(*REST):
        sweeps.append(Sweep(Lines(planned, find_cases(planned, crossed=False)).fill, walked, empty=True))
    if len(walked):
        def fall(table: CurveTable, where: Floats) -> None:
            falls(table, rig, planned, where, deeper)

        def run(table: CurveTable, where: Floats) -> None:
            rings = np.array([loaded.ring for loaded in stand_along(planned, where)])
            add_runs(table, running_ring(planned, where, rings))

        def lose(table: CurveTable, where: Floats) -> None:
            losses(table, rig, planned, where, points=POINTS)

        others: list[tuple[bool, Callable[[CurveTable, Floats], None]]] = [
            (wanted(*FALLS), fall), (wanted(RUNS.id), run),
            (families is None or any(name not in (*REST, *FALLS, RUNS.id) for name in families), lose),
        ]
        sweeps += [Sweep(fill, walked, refined=False) for is_wanted, fill in others if is_wanted]
    search.run(sweeps, lambda share: None, rounds=1)
    found: dict[Measurand, Remainder] = {}
    for layer in search.layers:
        near: dict[Measurand, list[Worst]] = {}
        for group, worst in layer.best.items():
            within = group.zone != 0
            if within and (group.family not in AT_REST or layer.role != "ground"):
                continue
            measurand = Measurand(kind=group.kind, family=group.family, role=layer.role, within=within)
            near.setdefault(measurand, []).append(worst)
        for measurand, several in near.items():
            worst = min(several, key=lambda one: one.distance)
            if worst.distance < 0.0:
                alike = [one for one in several if one.distance < worst.distance + ALIKE]
                worst = min(
                    (table.deepest(layer.index, one) for one in alike for table in search.tables),
                    key=lambda one: one.distance,
                )
            asked = -TOUCHES if measurand.within else layer.needed(measurand.kind)
            if measurand not in found or worst.distance - asked < found[measurand].over:
                found[measurand] = Remainder(distance=worst.distance, over=worst.distance - asked, walker=worst.walker)
    return found


def merged(one: dict[Measurand, Remainder], other: dict[Measurand, Remainder]) -> dict[Measurand, Remainder]:
    """The nearer of each of two measurings of one rig.

    Parameters
    ----------
    one, other : dict of Measurand to Remainder
    """
    found = dict(one)
    for measurand, left in other.items():
        if measurand not in found or left.over < found[measurand].over:
            found[measurand] = replace(left)
    return found

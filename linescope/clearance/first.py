"""A first answer: how near everything can come to the ground, coarse and on the careful side, within a second.

The walker is put at few places, without closer ones between, in still air and in the gust, with sliders as taped and
settled.  Whatever is found there is brought nearer to the ground by as much as anything can come nearer between two
places.  So what is told is a bound, and never above what the whole sweep finds.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.bodies import falls, losses
from linescope.clearance.distance import GroundIndex
from linescope.clearance.finding import KINDS
from linescope.clearance.lines import Lines
from linescope.clearance.running import add_runs
from linescope.clearance.states import find_cases
from linescope.clearance.sweep import HALF_WAY, Sweep, SweptSearch
from linescope.clearance.table import CurveTable
from linescope.events.catch import positions_of
from linescope.events.running import running_ring
from linescope.rig import Rig, RigSource, checked_rig
from linescope.shown import Outlined
from linescope.statics import Plan, plan

Floats = NDArray[np.float64]

APART, FEWEST, MOST = 2.0, 4, 32
"""Places of the walker: so far apart [m], but no fewer and no more than these."""
UNSEEN = 0.25
"""Extra approach allowed for sliders that a crossing leaves between as taped and settled, which is not computed here
(assumed; smaller on all shipped scenes). [m]"""


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class FirstAnswer(Outlined):
    """How near one kind can come to one part of the surroundings.

    Attributes
    ----------
    role : {"ground", "vegetation", "water", "area"}
    kind : {"line", "loop", "leash", "body"}
    at_least : float
        Smallest distance: a bound from below; negative where it may be in rock.  [m]
    found : float
        Smallest at the places that were looked at.  [m]
    needed : float
        With survey error and margin.  [m]
    station : float
        Where `found` occurs, from anchor A along the line.  [m]
    """

    role: str
    kind: str
    at_least: float
    found: float
    needed: float
    station: float

    @property
    def is_met(self) -> bool:
        """Whether what is needed is kept already by the bound."""
        return self.at_least >= self.needed and self.at_least > 0.0


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class FirstClearance(Outlined):
    """The first answer.

    Attributes
    ----------
    answers : tuple of FirstAnswer
        Least left over what is needed first.
    places : int
        Of the walker.
    step : float
        From place to place.  [m]
    span : float
        [m]
    """

    answers: tuple[FirstAnswer, ...]
    places: int
    step: float
    span: float


def first_clearance(
    rig: Rig | RigSource,
    *,
    planned: Plan | None = None,
    terrain: GroundIndex,
    progress: Callable[[float], None] | None = None,
) -> FirstClearance:
    """A coarse and careful answer, to be refined by `find_clearance`.

    Parameters
    ----------
    rig : RigSource or Rig
    planned : Plan, optional
        `plan(rig)`, when it was made before.
    terrain : GroundIndex
        The ground.
    progress : callable, optional
        Told the share done, 0 to 1.

    Raises
    ------
    SolveError
        When a state does not converge.

    Notes
    -----
    Between two walker positions a body comes nearer by no more than `HALF_WAY` of the way between them, and lines by
    less than bodies.  Losses of the main are looked at in every second place, and falls with a ring that runs, which
    bound those in time, in every fourth.
    """
    rig = checked_rig(rig)
    planned = replace(plan(rig) if planned is None else planned, rig=rig)
    tell = progress or (lambda share: None)
    count = int(np.clip(rig.span / APART, FEWEST, MOST))
    places = np.zeros(0) if rig.walker is None else positions_of(rig, count)
    step = float(rig.span / max(len(places), 1))
    cases = [case for case in find_cases(planned, crossed=False) if case.why.air != "steady"]
    tell(0.1)
    search = SweptSearch(rig, terrain, rig.needs)
    lines = Lines(planned, cases)
    allowed: dict[str, float] = {}

    def own(fill: Callable[[CurveTable, Floats], object], by: float) -> Callable[[CurveTable, Floats], object]:
        def filled(table: CurveTable, at: Floats) -> None:
            before = set(table.added)
            fill(table, at)
            allowed.update({group.cause.id: by for group in table.added if group not in before})

        return filled

    slack = UNSEEN if planned.pair.free_slides.any() else 0.0
    near = HALF_WAY * step
    sweeps = [Sweep(own(lines.fill, near + slack), places, empty=True)]
    if rig.walker is not None:
        few = np.unique(np.append(np.arange(0, len(places), 4), len(places) - 1))
        rings = np.zeros((0, 3))

        def fall(table: CurveTable, at: Floats) -> None:
            nonlocal rings
            rings = falls(table, rig, planned, at).ring_standing

        def run(table: CurveTable, at: Floats) -> None:
            add_runs(table, running_ring(planned, at, rings[few]))

        sweeps += [
            Sweep(own(fall, near + slack), places),
            Sweep(own(run, near), places[few], refined=False),
            Sweep(own(lambda table, at: losses(table, rig, planned, at), 2.0 * near), places[::2]),
        ]
    search.run(sweeps, lambda share: tell(0.1 + 0.9 * share), rounds=1)
    answers = []
    for layer in search.layers:
        least: dict[str, FirstAnswer] = {}
        for group, worst in layer.best.items():
            at_least = worst.distance - allowed.get(group.cause.id, near + slack)
            if group.zone == 0 and (group.kind not in least or at_least < least[group.kind].at_least):
                least[group.kind] = FirstAnswer(
                    role=layer.role, kind=group.kind, at_least=at_least, found=worst.distance,
                    needed=layer.needed(group.kind), station=search.station_of(worst.point),
                )
        answers += [least[kind] for kind in KINDS if kind in least]
    answers.sort(key=lambda one: one.at_least - one.needed)
    tell(1.0)
    return FirstClearance(answers=tuple(answers), places=len(places), step=step, span=rig.span)

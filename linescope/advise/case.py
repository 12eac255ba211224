"""One candidate solved exactly: the figures that are wished for, at the places where they are looked at."""

from __future__ import annotations

import contextlib
import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from linescope.advise.wished import Watched, counted_of, part_of
from linescope.clearance import Chords, GroundIndex, Measurand, Remainder, measured_at, minima
from linescope.clearance.at_places import FALLS, REST, merged
from linescope.contact import first_wear
from linescope.errors import LinescopeError
from linescope.events.catch import Loaded, stand_along, stand_in_each
from linescope.events.deeper import Deeper
from linescope.events.fall import LeashFallSweep, leash_fall_sweep
from linescope.events.main_gone import MainGone, main_gone
from linescope.rig import ClearanceNeeds, Rig, Wish
from linescope.rig.wishes import ELSEWHERE
from linescope.statics import BayResults, LineShape, Plan, cut_list, plan, solve
from linescope.statics.plans import plans
from linescope.statics.results import bays_of, line_shapes
from linescope.taping import CutList

if TYPE_CHECKING:
    from linescope.advise.whole import Along

Floats = NDArray[np.float64]

NO_NEEDS = ClearanceNeeds(line=0.0, loop=0.0, body=0.0, survey_error=0.0, margin=0.0)
"""Of a rig that asks for no distances."""
POINTS = 9
"""On each piece of line, where its distance to the ground is looked at while seeking."""


class AdvisedRig:
    """A rig, solved as far as it is asked.

    Parameters
    ----------
    rig : Rig
    index : GroundIndex, optional
        Without, distances to the ground are nan.
    planned : Plan, optional
    """

    def __init__(self, rig: Rig, index: GroundIndex | None = None, planned: Plan | None = None) -> None:
        self.rig, self.index = rig, index
        self._planned = planned
        self._walked: dict[float, _Walked] = {}
        self._falls: dict[float, tuple[LeashFallSweep, int]] = {}
        self._gone: dict[float, tuple[MainGone, int]] = {}
        self._left: dict[Collection[str], tuple[set[float], dict[Measurand, Remainder]]] = {}
        self.deeper: Deeper | None = None
        self.along: dict[Wish, Along] = {}

    @cached_property
    def planned(self) -> Plan:
        """The rig laid out and standing."""
        return plan(self.rig) if self._planned is None else self._planned

    @cached_property
    def empty(self) -> _Walked:
        """Nobody on it."""
        return _Walked.of(self.planned.standing.state)

    @cached_property
    def cuts(self) -> CutList:
        """Its tapes."""
        return cut_list(self.planned)

    @cached_property
    def settled(self) -> BayResults:
        """Bays with sliders where they come to rest without any hold."""
        if not self.planned.pair.free_slides.any():
            return solve(self.rig, planned=self.planned).bays
        return solve(self.rig, "settled", planned=self.planned, look_for_others=False).bays

    @cached_property
    def rub(self) -> float:
        """Largest work per metre at any place, of what its use counts, as first told; nan without a walker.  [J/m]"""
        if self.rig.walker is None:
            return math.nan
        try:
            places = first_wear(self.rig, planned=self.planned).places
        except LinescopeError:
            return math.nan
        return float(places[0].peak) if places else 0.0

    def _middle(self, at: float) -> float:
        """Middle of the bay whose middle is nearest to `at`: at bay middles, figures change smoothly with the number
        of bays."""
        layout = self.planned.layout
        edges = np.concatenate(([0.0], layout.tape_main, [layout.main_length])) / layout.main_length * self.rig.span
        middle = 0.5 * (edges[1:] + edges[:-1])
        return float(middle[np.argmin(np.abs(middle - at))])

    def walked(self, watched: Watched) -> list[_Walked]:
        """With the walker at each place of a wish: in the middle of the bay there, or just there where it was handed
        back."""
        new = self._unwalked(watched)
        self._walk(new, stand_along(self.planned, new) if new else ())
        return [self._walked[at] for at in self._stands(watched)]

    def _stands(self, watched: Watched) -> list[float]:
        return [self._middle(at) for at in watched.places] + list(watched.handed)

    def _unwalked(self, *watched: Watched) -> list[float]:
        """Places where nobody was put yet.  [m]"""
        places = dict.fromkeys(at for each in watched for at in self._stands(each))
        return [at for at in places if at not in self._walked]

    def _walk(self, places: Sequence[float], loaded: Sequence[Loaded]) -> None:
        self._walked |= {at: _Walked.under(each) for at, each in zip(places, loaded, strict=True)}

    def falls(self, places: Sequence[float]) -> list[tuple[LeashFallSweep, int]]:
        """Leash falls at places [m]: for each a sweep, and its number there; those not known yet are solved together.
        """
        new = sorted({at for at in places if at not in self._falls})
        if new:
            sweep = leash_fall_sweep(self.rig, new, risen=False, planned=self.planned)
            self._falls |= {at: (sweep, number) for number, at in enumerate(new)}
        return [self._falls[at] for at in places]

    def gone(self, places: Sequence[float]) -> list[tuple[MainGone, int]]:
        """The same of a loss of the main."""
        new = sorted({at for at in places if at not in self._gone})
        if new:
            found = main_gone(self.rig, new, points=1, most=False, run=False, planned=self.planned)
            self._gone |= {at: (found, number) for number, at in enumerate(new)}
        return [self._gone[at] for at in places]

    def left(self, places: dict[Collection[str], set[float]]) -> None:
        """Measure what comes near to the ground as the clearance does, where that is not known yet.

        Parameters
        ----------
        places : dict of collection of str to set of float
            Families that are measured together, and places of the walker.  [m]
        """
        assert self.index is not None
        needs = NO_NEEDS if self.rig.needs is None else self.rig.needs
        planned = replace(self.planned, rig=replace(self.rig, needs=needs))
        for part, wanted in places.items():
            known, found = self._left.get(part, (set(), {}))
            if fresh := wanted - known:
                new = measured_at(planned, self.index, sorted(fresh), deeper=self.deeper, families=part)
                self._left[part] = known | fresh, merged(found, new)

    def see(self, deeper: Deeper | None) -> None:
        """Measure falls again with those in time, where these are known now.

        Parameters
        ----------
        deeper : Deeper or None
        """
        if deeper is not self.deeper:
            self.deeper = deeper
            self._left.pop(FALLS, None)

    def prepare(self, watched: Sequence[Watched]) -> None:
        """Solve falls and losses of the main of several wishes together, and measure the measurands of all.

        Parameters
        ----------
        watched : sequence of Watched
        """
        measurands: dict[Collection[str], set[float]] = {}
        for each in watched:
            for measurand, places in each.measurands:
                measurands.setdefault(part_of_measurand(measurand), set()).update(places)
        if self.index is not None:
            self.left(measurands)
        for of, solve_at in (("falls", self.falls), ("gone", self.gone)):
            solve_at([at for each in watched if each.wish.wished.of == of for at in each.every])

    def values(self, watched: Watched) -> Floats:
        """Least and most of a wish at each of its places.

        Parameters
        ----------
        watched : Watched

        Returns
        -------
        (count, 2) array
            [SI]
        """
        plain = self._plain(watched) if watched.plain else np.zeros((0, 2))
        return np.concatenate([plain, self._measured(watched)]) if watched.measurands else plain

    def _measured(self, watched: Watched) -> Floats:
        if self.index is None:
            return np.full((len(watched.measurands), 2), np.nan)
        found = []
        for measurand, places in watched.measurands:
            part = part_of_measurand(measurand)
            self.left({part: set(places)})
            left = self._left[part][1].get(measurand)
            own = watched.wish.figure == ELSEWHERE
            found.append(math.inf if left is None else left.over if own else left.distance)
        return np.repeat(np.array(found)[:, None], 2, axis=1)

    def _plain(self, watched: Watched) -> Floats:
        wish, of = watched.wish, watched.wish.wished.of
        if of == "rig":
            return np.full((1, 2), self._of_rig(wish.figure))
        if of == "bays":
            found = self._bays(wish.figure, wish)
            return np.array([[found.min(), found.max()]]) if len(found) else np.full((1, 2), np.nan)
        if of == "walker":
            return np.array([self._under(wish, each) for each in self.walked(watched)])
        if of == "line":
            return self._over_ground(watched)
        one = self._fallen(wish.figure, watched.every) if of == "falls" else self._lost(wish.figure, watched.every)
        return np.column_stack((one, one))

    def _of_rig(self, figure: str) -> float:
        layout = self.planned.layout
        if figure == "backup length":
            return float(layout.backup_length)
        if figure == "tapes":
            return float(len(layout.tapes))
        if figure == "taping time":
            return float(self.cuts.time)
        end = self.empty.main.tension_start[0] if self.rig.main_plan.end == "A" else self.empty.main.tension_end[-1]
        return float(end)

    def _inside(self, bays: BayResults, wish: Wish) -> NDArray[np.bool_]:
        start, end = part_of(self.rig, wish)
        middle = 0.5 * (bays.start + bays.end)
        return np.asarray((middle >= start) & (middle <= end))

    def _bays(self, figure: str, wish: Wish) -> Floats:
        bays = self.settled if figure == "loops settled" else self.empty.bays
        value = bays.excess if figure == "excess standing" else bays.loop_depth
        return np.asarray(value[self._inside(bays, wish)])

    def _under(self, wish: Wish, at: _Walked) -> tuple[float, float]:
        """Least and most; inf and -inf where the bay under him is none of those that the wish is for."""
        bays, figure = at.bays, wish.figure
        assert at.ring is not None
        if figure == "sag with the walker":
            sag = float(self.rig.below_anchors(at.ring))
            return sag, sag
        if figure == "tension with the walker":
            top = float(max(at.main.tension_start.max(), at.main.tension_end.max()))
            return top, top
        value = bays.excess if figure.startswith("excess") else bays.loop_depth
        if figure == "loops under the walker":
            here = float(self.rig.along_chord(at.ring))
            bay = int(np.argmin(np.abs(0.5 * (bays.start + bays.end) - here)))
            mine = float(value[bay])
            return (mine, mine) if self._inside(bays, wish)[bay] else (math.inf, -math.inf)
        some = value[self._inside(bays, wish)]
        return (float(some.min()), float(some.max())) if len(some) else (math.nan, math.nan)

    def _fallen(self, figure: str, places: tuple[float, ...]) -> Floats:
        found = self.falls(places)
        if figure == "excess in a leash fall":
            return np.array([sweep.low.least_excess[k] for sweep, k in found])
        if figure == "force in a leash fall":
            return np.array([sweep.low.peak_force[k] for sweep, k in found])
        return self._gaps([(sweep.low.head[k], sweep.low.foot[k]) for sweep, k in found])

    def _lost(self, figure: str, places: tuple[float, ...]) -> Floats:
        found = [
            ((gone.ties_hold if figure.endswith("ties hold") else gone.nothing_holds).lowest, k)
            for gone, k in self.gone(places)
        ]
        if figure.startswith("ring"):
            return np.array([state.depth[k] for state, k in found])
        if figure.startswith("backup"):
            return np.array([state.tension[k] for state, k in found])
        return self._gaps([(state.top[k], state.foot[k]) for state, k in found])

    def _gaps(self, ends: Sequence[tuple[Floats, Floats]]) -> Floats:
        """(n,) distance of bodies from head to foot to the ground.  [m]"""
        if self.index is None:
            return np.full(len(ends), np.nan)
        bodies = [np.array(each) for each in ends]
        return np.array([near.distance for near in minima(self.index, Chords.of(bodies), np.arange(len(bodies)))])

    def _over_ground(self, watched: Watched) -> Floats:
        """Of lines at rest, empty and with the walker at each place."""
        states = [self.empty, *self.walked(watched)]
        if self.index is None:
            return np.full((len(states), 2), np.nan)
        low, high = counted_of(self.rig, watched.wish)
        curves = []
        for state in states:
            line = state.main if watched.wish.figure.startswith("line") else state.backup
            points = line.segments.sample(POINTS, line.nodes[:-1])[0].reshape(-1, 3)
            along = self.rig.along_chord(points)
            curves.append(points[(along >= low) & (along <= high)])
        if not all(len(curve) for curve in curves):
            return np.full((len(states), 2), np.nan)
        found = minima(self.index, Chords.of(curves), np.arange(len(curves)))
        return np.repeat(np.array([near.distance for near in found])[:, None], 2, axis=1)


def walk_together(cases: Sequence[AdvisedRig], watched: Sequence[Watched]) -> None:
    """Lay out and stand up many candidates at once, and put their walkers where wishes look for them.

    What does not come of it is left to each by itself, which says why.

    Parameters
    ----------
    cases : sequence of AdvisedRig
    watched : sequence of Watched
    """
    new = [case for case in cases if "planned" not in case.__dict__]
    for case, planned in zip(new, plans([case.rig for case in new]), strict=True):
        if isinstance(planned, Plan):
            case.planned = planned
    walked = [each for each in watched if each.wish.wished.of in ("walker", "line") and each.plain]
    places = [(case, case._unwalked(*walked)) for case in cases if "planned" in case.__dict__ and walked]
    places = [(case, at) for case, at in places if at]
    with contextlib.suppress(LinescopeError):
        for (case, at), loaded in zip(
            places, stand_in_each([(case.planned, at) for case, at in places]), strict=True
        ):
            case._walk(at, loaded)


def part_of_measurand(measurand: Measurand) -> Collection[str]:
    """Families that are measured together with a measurand's own.

    Parameters
    ----------
    measurand : Measurand
    """
    return REST if measurand.family in REST else FALLS if measurand.family in FALLS else (measurand.family,)


@dataclass(frozen=True, eq=False, kw_only=True)
class _Walked:
    """A state as taped."""

    main: LineShape
    backup: LineShape
    bays: BayResults
    ring: Floats | None

    @classmethod
    def of(cls, state, ring: Floats | None = None) -> _Walked:  # type: ignore[no-untyped-def]
        main, backup = line_shapes(state)
        return cls(main=main, backup=backup, bays=bays_of(main, backup), ring=ring)

    @classmethod
    def under(cls, loaded: Loaded) -> _Walked:
        return cls.of(loaded.standing.state, loaded.ring)

"""Shapes of the pair for any place of the walker: in still air and wind, with sliders as taped, settled or in between.

Every case keeps the states it has solved and begins the next from the nearest of them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.sampling import sampled
from linescope.clearance.why import Air, CauseKind, Slid, Why
from linescope.errors import SolveError
from linescope.events.crossing import Crossing, carried_over, cross
from linescope.events.drag import WindLoad, wind_load
from linescope.events.friction import HoldLevel
from linescope.events.swing import (
    PER_LOOP,
    SHALLOWEST,
    SWING_LIMIT,
    depths_of,
    swing_angles,
    swing_in_gust,
    turn_about_chords,
)
from linescope.rig.layout import SAME_PLACE
from linescope.statics import Loading, Plan
from linescope.statics.assemble import DOWN, G, assemble, first_guess
from linescope.statics.batch import taped_and_settled
from linescope.statics.minimise import Minimum, Settings
from linescope.statics.pair import FIXED, SLIDES_ON_BACKUP, SLIDES_ON_MAIN, Pair
from linescope.statics.results import line_shapes
from linescope.statics.search import search
from linescope.statics.settle import settle
from linescope.statics.slide_search import minimise_compiled
from linescope.statics.solution import LineShape

Floats = NDArray[np.float64]
CROSSED: dict[HoldLevel, tuple[Slid, Slid]] = {"low": ("low-there", "low-back"), "high": ("high-there", "high-back")}
"""What sliders do as a crossing leaves them, over and back."""
Sliders = Literal["as taped", "settled", "friction-limited"]

SETTINGS = Settings(tolerance=1e-7, accepted=1e-5)
"""What is left out of balance; it moves no line by more than some hundredths of a millimetre."""


MIRRORED = 1e-9
"""Anchors this near to one upright plane make a rig that wind from its other side mirrors. [m]"""


@dataclass(frozen=True, eq=False, kw_only=True)
class Shape:
    """Both lines with the walker at one place.

    Attributes
    ----------
    walker : float or None
        Distance from A along the straight line to B; None for the empty line.  [m]
    main, backup : LineShape
    feet : (3,) array or None
        The walker's feet.  [m]
    """

    walker: float | None
    main: LineShape
    backup: LineShape
    feet: Floats | None


@dataclass(eq=False, kw_only=True)
class Case:
    """One weather and one behaviour of the sliders.

    Attributes
    ----------
    planned : Plan
    why : Why
        Of kind `RIG`, with the walker.
    sliders : {"as taped", "settled", "friction-limited"}
    wind : WindLoad or None
    sudden : bool
        Whether the wind is a gust whose sudden arrival is to be looked at.
    crossing : Crossing or None
        For "friction-limited": whose slides are taken.
    towards_b : bool
        On which way of that crossing.
    mirrored : bool
        Whether the same wind from the other side makes the mirror image.
    """

    planned: Plan
    why: Why
    sliders: Sliders = "as taped"
    wind: WindLoad | None = None
    sudden: bool = False
    crossing: Crossing | None = None
    towards_b: bool = True
    mirrored: bool = False
    _known: dict[float, tuple[Minimum, int | None]] = field(default_factory=dict, repr=False)

    @cached_property
    def _empty(self) -> Pair:
        """The pair as taped, with everything that acts on it but the walker."""
        weather, wind = self.planned.rig.weather, self.wind
        loading = Loading(
            main_added=weather.main_added, backup_added=weather.backup_added,
            main_wind=None if wind is None else wind.main * wind.towards,
            backup_wind=None if wind is None else wind.backup * wind.towards,
        )
        return assemble(self.planned.rig, self.planned.layout, loading)[0]

    def shape(self, at: float | None, coordinate: float = 0.0) -> Shape:
        """Both lines with the walker at a place, or empty.

        Parameters
        ----------
        at : float or None
            Distance from A along the straight line to B.  [m]
        coordinate : float
            The same place in unstretched metres of main.  [m]

        Raises
        ------
        NoEquilibrium, SegmentNotSolved
        """
        if at is not None and at in self._known:
            found, node = self._known[at]
        else:
            near: Minimum | None = None
            if at is not None and self._known:
                near = self._known[min(self._known, key=lambda place: abs(place - at))][0]
            found, node = self._solved(None if at is None else coordinate, near)
        if at is not None:
            self._known[at] = found, node
        main, backup = line_shapes(found.state)
        feet = None if node is None else found.state.unknowns[node, :3].copy()
        return Shape(walker=at, main=main, backup=backup, feet=feet)

    def prepare(self, at: Mapping[float, float]) -> None:
        """Solve for many places of the walker at once where the sliders stay; those that settle follow one another.

        Parameters
        ----------
        at : mapping of float to float
            Distances from A along the straight line to B, and the same places in unstretched metres of main.  [m]
        """
        fresh = [place for place in at if place not in self._known]
        if self.sliders == "settled" or not fresh or self.planned.rig.walker is None:
            return
        pairs, nodes = zip(*(self._pair(at[place], self._limited(at[place])) for place in fresh), strict=True)
        solved = taped_and_settled(pairs, settings=SETTINGS)
        for place, found, node in zip(fresh, solved, nodes, strict=True):
            if isinstance(found, Minimum):
                self._known[place] = found, node

    def _solved(self, at: float | None, near: Minimum | None) -> tuple[Minimum, int | None]:
        if self.sliders == "settled" and near is not None:
            pair, node = self._pair(at, near.state.unknowns[near.state.pair.tapes, 3])
            start, forces = carried_over(pair, near)
            try:
                free = np.zeros(pair.n)
                return minimise_compiled(pair, start, hold=free, forces=forces, settings=SETTINGS), node
            except SolveError:
                pass  # A state too far from the next one: settle afresh, slowly.
        pair, node = self._pair(at, self._limited(at))
        stuck = self._stuck(pair, near if self.sliders != "settled" else None)
        return (settle(pair, stuck)[0] if self.sliders == "settled" else stuck), node

    def _limited(self, at: float | None) -> Floats | None:
        """(t,) slides that the crossing left when the walker was nearest to a place on the main."""
        crossing = self.crossing
        if crossing is None:
            return None
        if at is None:
            return np.asarray(crossing.slide[-1])
        steps = np.flatnonzero(crossing.towards_b == self.towards_b)
        nearest = steps[int(np.argmin(np.abs(crossing.walker[steps] - at)))]
        return np.asarray(crossing.slide[nearest + 1])

    def _pair(self, at: float | None, slides: Floats | None) -> tuple[Pair, int | None]:
        """The pair with its tapes where they have slid to, and the walker between two of them."""
        base, wind, walker = self._empty, self.wind, self.planned.rig.walker
        tapes = base.tapes
        main_at, backup_at = base.main_at.copy(), base.backup_at.copy()
        if slides is not None:
            kind = base.slide[tapes]
            main_at[tapes] = np.where(kind == SLIDES_ON_MAIN, slides, main_at[tapes])
            backup_at[tapes] = np.where(kind == SLIDES_ON_BACKUP, slides, backup_at[tapes])
        if at is None or walker is None:
            return replace(base, main_at=main_at, backup_at=backup_at), None
        place = min(max(at, SAME_PLACE), base.main_length - SAME_PLACE)
        node = int(np.searchsorted(main_at, place))
        for near in (node - 1, node):  # Not on a tape: a foot there would hold it.
            if 0 <= near < len(main_at) and abs(main_at[near] - place) < 2.0 * SAME_PLACE:
                place = main_at[near] + (2.0 * SAME_PLACE if near < node else -2.0 * SAME_PLACE)
        pull = walker.mass * G * DOWN + (0.0 if wind is None else wind.body * wind.towards)
        pair = replace(
            base, slide=np.insert(base.slide, node, FIXED), is_tape=np.insert(base.is_tape, node, False),
            main_at=np.insert(main_at, node, place), backup_at=np.insert(backup_at, node, np.nan),
            pull=np.insert(base.pull, node, pull, axis=0),
        )
        return pair, node

    @staticmethod
    def _stuck(pair: Pair, near: Minimum | None) -> Minimum:
        """Equilibrium without slip."""
        if near is not None:
            start, forces = carried_over(pair, near)
            try:
                held = np.full(pair.n, np.inf)
                return minimise_compiled(pair, start, hold=held, forces=forces, settings=SETTINGS)
            except SolveError:
                pass  # Too far off; begin anew.
        return search(pair, first_guess(pair), settings=SETTINGS)


def swung_loops(case: Case, shape: Shape) -> tuple[tuple[Floats, Floats], ...]:
    """Loops of a gust turned to where its sudden arrival swings them, and level where they pass that on the way.

    The swing is that of the wind's own part (`events.swing`): air drags on what moves through it.

    Returns
    -------
    tuple of ((n, PER_LOOP + 1, 3) points, (n, PER_LOOP) sagittas)
        [m]
    """
    assert case.wind is not None
    load = case._empty.backup_load
    loops, sagitta = sampled(shape.backup.segments, PER_LOOP, shape.backup.nodes[:-1])
    angle = swing_angles(np.diff(shape.backup.nodes, axis=0), load)
    wind = case.planned.rig.wind
    assert wind is not None
    blows = math.sqrt(2.0 * case.wind.pressure / wind.air_density)  # Its part across the line.
    depth = np.maximum(depths_of(loops), SHALLOWEST)
    most = np.clip(swing_in_gust(angle, depth, blows), angle, SWING_LIMIT)
    turns = [most - angle]
    if np.any(most > 0.5 * np.pi):
        turns.append(np.minimum(most, 0.5 * np.pi) - angle)
    return tuple((turn_about_chords(loops, load, turn), sagitta) for turn in turns)


def find_cases(
    planned: Plan, *, wind: bool = True, per_bay: int = 1, crossed: bool = True,
    progress: Callable[[float], None] | None = None,
) -> list[Case]:
    """Every weather and behaviour of the sliders that a rig is to be looked at in.

    Parameters
    ----------
    planned : Plan
    wind : bool
        Whether the rig's wind blows, from both sides, steady and in the gust.
    per_bay : int
        Steps in each bay of the crossings that friction limits.
    crossed : bool
        Whether these are looked at.
    progress : callable, optional
        Told the share done, 0 to 1.

    Raises
    ------
    SolveError
    """
    rig = planned.rig
    airs = _airs(planned, wind)
    if not (planned.pair.slide != FIXED).any():
        return airs
    cases = [replace(air, why=replace(air.why, slid="taped")) for air in airs]
    # The steady wind lies between still air and the gust: sliders are not settled in it again.
    cases += [
        replace(air, why=replace(air.why, slid="settled"), sliders="settled", _known={})
        for air in airs
        if air.wind is None or air.sudden
    ]
    levels: tuple[HoldLevel, ...] = ("low", "high")
    for number, level in enumerate(levels if crossed and rig.walker is not None else ()):
        tell = None if progress is None else _part(progress, number / len(levels), 1.0 / len(levels))
        crossing = cross(rig, level=level, per_bay=per_bay, planned=planned, progress=tell)
        cases += [
            Case(
                planned=planned, why=Why(kind=CauseKind.RIG, slid=slid), crossing=crossing, towards_b=towards_b,
                sliders="friction-limited",
            )
            for slid, towards_b in zip(CROSSED[level], (True, False), strict=True)
        ]
    return cases


def _part(progress: Callable[[float], None], start: float, length: float) -> Callable[[float], None]:
    return lambda share: progress(start + length * share)


def _airs(planned: Plan, wind: bool) -> list[Case]:
    """Still air, and the wind from both sides; one side where the other is its mirror image."""
    rig = planned.rig
    airs = [Case(planned=planned, why=Why(kind=CauseKind.RIG))]
    if not wind or rig.wind is None or rig.wind.speed <= 0.0:
        return airs
    line = rig.main_b - rig.main_a
    left = np.array([-line[1], line[0], 0.0]) / np.hypot(line[0], line[1])
    aside = [abs((end - rig.main_a) @ left) for end in (rig.backup_a, rig.backup_b)]
    alike = max(aside) <= MIRRORED
    for sign in (1.0, -1.0):
        blowing = replace(rig.wind, towards=(sign * rig.wind.towards[0], sign * rig.wind.towards[1]))
        winds: tuple[tuple[Air, float], ...] = (("steady", 1.0), ("gust", rig.wind.gust_factor))
        for air, factor in winds:
            load = wind_load(rig, blowing, rig.wind.speed * factor)
            why = Why(kind=CauseKind.RIG, air=air, side="right" if load.towards @ left > 0.0 else "left")
            airs.append(Case(planned=planned, why=why, wind=load, sudden=air == "gust", mirrored=alike))
        if alike:
            break
    return airs

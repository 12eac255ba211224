"""The clearance of a whole rig: everything it does, at every place of the walker, against the ground.

The line is lowest over a ledge when the walker is at that ledge, so walker positions are tried all along the line and
then ever closer together around the worst places and around the ends of no-fall zones.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linescope.clearance.bodies import falls, losses
from linescope.clearance.distance import GroundIndex
from linescope.clearance.edges import Edges
from linescope.clearance.envelope import envelope_of
from linescope.clearance.finding import NARROWEST_HOLE, Clearance, Finding
from linescope.clearance.lines import Lines
from linescope.clearance.notes import notes_of
from linescope.clearance.running import add_runs, reaches
from linescope.clearance.states import Case, find_cases
from linescope.clearance.table import CurveGroup, CurveTable, Worst
from linescope.clearance.zones import no_fall_zones
from linescope.errors import InputError
from linescope.events.catch import positions_of
from linescope.events.fall import LeashFallSweep
from linescope.events.running import RunningRing, running_ring
from linescope.rig import ClearanceNeeds, Rig, RigSource, checked_rig
from linescope.statics import Plan, plan
from linescope.terrain import Terrain, holes_below, load_ground

Floats = NDArray[np.float64]
Fill = Callable[[CurveTable, Floats], object]

POSITIONS = 100
FINEST = 0.06
"""Walker positions around a worst place are halved until they are this close. [m]"""
EDGE = 0.25
"""Ends of no-fall zones are found this exactly, on the wide side. [m]"""
HALF_WAY = 0.6
"""A body comes nearer to the ground by no more than this share of the way between two walker positions, while they
look at it from both sides: half of it, and some more because bodies sink as the walker goes on."""
MOST_ROUNDS = 14
MOST_PLACES = 4
"""Worst places of one kind and event that are told apart."""
APART = 4.0
"""Places nearer together than this on the ground, or than a twentieth of the span, are one. [m]"""
FALL = "fall"


def find_clearance(
    rig: Rig | RigSource,
    *,
    planned: Plan | None = None,
    terrain: Terrain | GroundIndex | None = None,
    positions: int | ArrayLike = POSITIONS,
    wind: bool = True,
    progress: Callable[[float], None] | None = None,
) -> Clearance:
    """Smallest distances of main, loops, leash and body from the ground, with place, cause and walker position.

    Parameters
    ----------
    rig : RigSource or Rig
        A scene, or a rig.
        With ground, unless `terrain` is given.  Without a walker only the empty line is looked at; without
        `needs` every required distance, survey error and margin is 0.
    planned : Plan, optional
        `plan(rig)`, when it was made before.
    terrain : Terrain or GroundIndex, optional
        The ground, when it was loaded before.
    positions : int or (n,) array
        How many walker positions to begin with (below `POSITIONS`, two more beside the anchors), or which, from A
        along the straight line to B.  [m]
    wind : bool
        Whether the rig's wind blows as well, from both sides.
    progress : callable, optional
        Told the share done, 0 to 1.

    Returns
    -------
    Clearance
        Findings by remainder, smallest first.

    Raises
    ------
    InputError
        When there is no ground, or a position lies outside the line.
    TerrainError
        When the ground cannot be used.
    SolveError
        When a state does not converge.

    Notes
    -----
    The nearest place of every bay (line, loop) and of every walker position (body, leash) is found; of those that
    fall short and lie apart, at most `MOST_PLACES` of each kind and event become findings, and always the nearest
    one.  `Finding.also` holds the other causes at the same place.
    """
    rig = checked_rig(rig)
    planned = replace(plan(rig) if planned is None else planned, rig=rig)
    index = _index(rig, terrain)
    tell = progress if progress is not None else _silent
    needs = rig.needs
    places = _places(rig, positions)
    step = rig.span / max(len(places), 1)
    tell(0.0)
    cases = find_cases(planned, wind=wind, per_bay=_per_bay(planned, step), progress=lambda share: tell(0.1 * share))
    tell(0.1)
    search = _Search(rig, index, needs)
    search.run(Lines(planned, cases, lambda share: tell(0.1 + 0.25 * share)).fill, places, tell, 0.1, 0.7, empty=True)
    if rig.walker is not None:
        fallen: list[LeashFallSweep] = []
        search.run(lambda table, at: fallen.append(falls(table, rig, planned, at)), places, tell, 0.7, 0.82)
        # Floors reach far along the line and change slowly with the walker's place.
        few = np.unique(np.append(np.arange(0, len(places), 4), len(places) - 1))
        search.runs = runs = running_ring(planned, places[few], fallen[0].ring_standing[few])
        search.run(lambda table, _: add_runs(table, runs), places[few], tell, 0.82, 0.85, refine=False)
        search.run(lambda table, at: losses(table, rig, planned, at), places[::2], tell, 0.85, 0.95)
    found = search.result(cases, wind)
    tell(1.0)
    return found


def _silent(share: float) -> None:
    """Nobody watches."""


def _index(rig: Rig, terrain: Terrain | GroundIndex | None) -> GroundIndex:
    if isinstance(terrain, GroundIndex):
        return terrain
    if terrain is None:
        if rig.ground is None:
            raise InputError(
                "there is no ground to measure to", key="ground",
                allowed="a table [ground] with a surveyed profile or a file",
            )
        terrain = load_ground(rig.ground, rig.main_a, rig.main_b)
    return GroundIndex(terrain)


def _places(rig: Rig, positions: int | ArrayLike) -> Floats:
    if rig.walker is None:
        return np.zeros(0)
    if isinstance(positions, (int, np.integer)):
        if positions < 1:
            raise InputError("no walker positions", key="positions", found=positions, allowed="1 and more")
        places = positions_of(rig, int(positions))
        if positions < POSITIONS:  # Ground comes up to the anchors: however few there are, two lie close to them.
            end = 0.5 * rig.span / POSITIONS
            places = np.concatenate([[end], places, [rig.span - end]])
        return places
    places = np.unique(np.asarray(positions, dtype=np.float64))
    if len(places) == 0 or not (np.isfinite(places).all() and places[0] > 0.0 and places[-1] < rig.span):
        raise InputError(
            "a walker position lies outside the line", key="positions", found=places.tolist(),
            allowed=f"between 0 and {rig.span:.2f} m",
        )
    return places


def _per_bay(planned: Plan, step: float) -> int:
    """Steps of a crossing in each bay, no coarser than the first walker positions."""
    return int(np.clip(np.ceil(float(np.mean(planned.layout.bays_main)) / step), 1, 4))


class _Search:
    """The nearest approach of every group, refined, and what becomes of it."""

    def __init__(self, rig: Rig, index: GroundIndex, needs: ClearanceNeeds | None) -> None:
        self.rig, self.index, self.needs = rig, index, needs
        self.added = 0.0 if needs is None else needs.survey_error + needs.margin
        self.zone = 0.0 if needs is None else min(needs.anchor_zone, 0.5 * rig.span)
        self.best: dict[CurveGroup, Worst] = {}
        self.edges = Edges(rig, index, self.zone, self.added)
        self.tables: list[CurveTable] = []
        self.walkers: set[float] = set()
        self.runs: RunningRing | None = None

    def required(self, kind: str) -> float:
        """Asked for by kind, without additions.  [m]"""
        return 0.0 if self.needs is None else float(getattr(self.needs, kind))

    def needed(self, kind: str) -> float:
        """With survey error and margin.  [m]"""
        return self.required(kind) + self.added

    def run(
        self, fill: Fill, places: Floats, tell: Callable[[float], None], low: float, high: float, *,
        empty: bool = False, refine: bool = True,
    ) -> None:
        """Measure at the places, then (to refine) between those around the worst, until they are `FINEST` apart."""
        done = places.copy()
        fresh = np.append(np.nan, places) if empty else places
        for number in range(MOST_ROUNDS):
            table = CurveTable(
                start=self.rig.main_a, along=(self.rig.main_b - self.rig.main_a) / self.rig.span, span=self.rig.span,
                zone=self.zone,
            )
            fill(table, fresh)
            self.tables.append(table)
            beside = []
            for worst in table.nearer(self.index, self.best, self.needed):
                if self.edges.is_beside(worst, self.needed(worst.group.kind)):
                    beside.append(worst.group)
                    self.edges.keep(worst)
                else:
                    self.best[worst.group] = worst
            away = self.edges.away if beside else None
            for worst in table.measured(away, self.best, beside) if away is not None else ():
                self.best[worst.group] = worst
            tell(low + (high - low) * (1.0 - 0.5 ** (number + 1)))
            fresh = self._between(done, table.families)
            if len(fresh) == 0 or not refine:
                break
            done = np.sort(np.concatenate([done, fresh]))
        self.walkers.update(done.tolist())

    def _between(self, done: Floats, mine: set[tuple[str, str]]) -> Floats:
        """Places half-way to the neighbours of those that matter."""
        # Where the leash comes near, a body comes nearer.
        bodies = {name for name in mine if name[0] != "leash"}
        wanted = {worst.walker for worst in self.chosen(bodies) if worst.walker is not None}
        gaps = set()
        for at in wanted:
            k = int(np.argmin(np.abs(done - at)))
            gaps |= {(j, j + 1) for j in (k - 1, k) if j >= 0 and j + 1 < len(done)}
        if ("body", FALL) in mine:
            for taken_off in (None, 0.0):
                left, apart = self._falls(done, taken_off), np.diff(done)
                # Between two places that are clear a third may not be, if they are clear by less than half-way there.
                near = np.minimum(left[1:], left[:-1]) < HALF_WAY * apart
                short = left < 0.0
                enough = np.where(short[1:] != short[:-1], EDGE, FINEST)
                edges = np.flatnonzero(near & ~(short[1:] & short[:-1]) & (apart > enough))
                gaps |= {(int(j), int(j) + 1) for j in edges}
        return np.array(sorted({0.5 * (done[j] + done[k]) for j, k in gaps if done[k] - done[j] > FINEST}))

    def _falls(self, walkers: Floats, taken_off: float | None = None) -> Floats:
        """Smallest distance of a leash fall from each place, less what is needed (or another distance)."""
        least = dict.fromkeys(walkers.tolist(), np.inf)
        for group, worst in (*self.best.items(), *self.edges.found.items()):
            if group.family == FALL and worst.walker is not None:
                off = self.needed(group.kind) if taken_off is None else taken_off
                least[worst.walker] = min(least[worst.walker], worst.distance - off)
        return np.array([least[at] for at in walkers.tolist()])

    def chosen(self, mine: set[tuple[str, str]] | None = None) -> list[Worst]:
        """The places that become findings, outside the anchor zones."""
        families: dict[tuple[str, str], list[Worst]] = {}
        for group, worst in self.best.items():
            if not group.zone and (mine is None or (group.kind, group.family) in mine):
                families.setdefault((group.kind, group.family), []).append(worst)
        return [
            worst
            for (kind, _), found in families.items()
            for worst in _apart(
                found, self.needed(kind), 1 if kind == "leash" else MOST_PLACES, max(APART, 0.05 * self.rig.span)
            )
        ]

    def result(self, cases: list[Case], wind: bool) -> Clearance:
        """The findings, ranked."""
        zones: dict[tuple[str, str, int], Worst] = {}
        for group, worst in self.best.items():
            key = (group.kind, group.family, group.zone)
            if group.zone and (key not in zones or worst.distance < zones[key].distance):
                zones[key] = worst
        chosen = self.chosen()
        beside = self.edges.nearest()
        down = self._straight_down([worst.group for worst in (*chosen, *zones.values(), *beside)])
        rig, walkers = self.rig, np.array(sorted(self.walkers))
        fallen = np.array(sorted({w.walker for g, w in self.best.items() if g.family == FALL and w.walker is not None}))
        along = (rig.main_b - rig.main_a) / rig.span
        needs = self.needs
        plan_length = max(float(np.linalg.norm((rig.main_b - rig.main_a)[:2])), 1e-9)
        holes = holes_below(self.index.plumb, np.stack([rig.main_a[:2], rig.main_b[:2]]))
        notes = notes_of(
            rig, self.index, cases, self.best, zone=self.zone, wind=wind, tried=len(self.walkers), finest=FINEST,
            lost=[worst.group for worst in chosen if worst.group not in down],
        )
        return Clearance(
            findings=_ranked(self._finding(worst, down) for worst in chosen),
            no_fall_zones=no_fall_zones(fallen, self._falls(fallen), rig.span) if len(fallen) else (),
            strikes=no_fall_zones(fallen, self._falls(fallen, 0.0), rig.span) if len(fallen) else (),
            runs=None if self.runs is None else reaches(
                self.runs, self.index, rig.main_a, along, rig.span, self.zone, self.needed("body")
            ),
            holes=_frozen(holes),
            unknown=_frozen(_unknown(holes * (rig.span / plan_length), self.zone, rig.span)),
            span=rig.span,
            is_asked=needs is not None,
            survey_error=0.0 if needs is None else needs.survey_error,
            margin=0.0 if needs is None else needs.margin,
            source=self.index.terrain.source,
            notes=notes,
            anchor_zone=self.zone,
            by_edge=_ranked(self._finding(worst, down) for worst in beside),
            at_anchors=_ranked(self._finding(worst, down) for worst in zones.values()),
            walkers=_frozen(walkers),
            envelope=envelope_of(self.tables, rig.main_a, along, rig.span),
        )

    def _straight_down(self, groups: list[CurveGroup]) -> dict[CurveGroup, tuple[float, Floats, Floats, float | None]]:
        """Of each group: the gap, its place, the ground below it, the walker."""
        best: dict[CurveGroup, tuple[float, Floats, Floats, float | None]] = {}
        for table in self.tables:
            for group, (drop, point, walker) in table.straight_down(self.index, groups).items():
                if group not in best or drop.gap < best[group][0]:
                    ground = np.array([point[0], point[1], drop.z_ground])
                    best[group] = drop.gap, point, ground, None if np.isnan(walker) else walker
        return best

    def _finding(self, worst: Worst, down: dict[CurveGroup, tuple[float, Floats, Floats, float | None]]) -> Finding:
        group, rig = worst.group, self.rig
        along = (rig.main_b - rig.main_a) / rig.span
        others = sorted(
            (other.distance, g.cause)
            for g, other in self.best.items()
            if (g.kind, g.family, g.place, g.zone) == (group.kind, group.family, group.place, group.zone) and g != group
        )
        below = down.get(group)
        return Finding(
            rank=0, kind=group.kind, cause=group.cause, distance=worst.distance,
            vertical=np.nan if below is None else below[0],
            required=self.required(group.kind), needed=self.needed(group.kind),
            station=float((worst.point - rig.main_a) @ along), walker=worst.walker, point=worst.point,
            nearest=worst.nearest,
            vertical_station=np.nan if below is None else float((below[1] - rig.main_a) @ along),
            vertical_walker=None if below is None else below[3],
            vertical_point=None if below is None else _frozen(below[1]),
            vertical_ground=None if below is None else _frozen(below[2]),
            also=tuple((cause, distance) for distance, cause in others),
        )


def _apart(found: list[Worst], needed: float, most: int, apart: float) -> list[Worst]:
    """The nearest place, and those short of what is needed that are nearer than both neighbours and lie apart."""
    by_place: dict[float, Worst] = {}
    for worst in found:
        known = by_place.get(worst.group.place)
        if known is None or worst.distance < known.distance:
            by_place[worst.group.place] = worst
    row = [by_place[place] for place in sorted(by_place)]
    value, place = np.array([worst.distance for worst in row]), np.array([worst.group.place for worst in row])
    # Numbers that are missing stand for places farther off.
    beside = np.diff(place) <= 1.0 if row[0].group.numbered else np.ones(len(row) - 1, dtype=bool)
    lower = np.where(beside, np.diff(value), np.inf)
    local = np.append(lower, np.inf) >= 0.0
    local[1:] &= (lower <= 0.0) | ~beside
    chosen: list[Worst] = []
    for k in np.argsort(value, kind="stable"):
        worst = row[int(k)]
        if not chosen or (
            len(chosen) < most
            and local[k]
            and worst.distance < needed
            and all(np.linalg.norm(worst.nearest - other.nearest) > apart for other in chosen)
        ):
            chosen.append(worst)
    return chosen


def _ranked(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    order = sorted(findings, key=lambda finding: (finding.remainder, finding.kind, finding.cause))
    return tuple(replace(finding, rank=number) for number, finding in enumerate(order, 1))


def _unknown(holes: Floats, zone: float, span: float) -> Floats:
    """Holes along the straight line as far as they lie outside the anchor zones and count.  [m]"""
    found = np.clip(holes, zone, span - zone)
    return np.asarray(found[found[:, 1] - found[:, 0] >= NARROWEST_HOLE])


def _frozen(values: Floats) -> Floats:
    copy = np.array(values)
    copy.setflags(write=False)
    return copy

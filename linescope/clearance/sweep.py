"""The clearance of a whole rig: everything it does, at every place of the walker, against the ground.

The line is lowest over a ledge when the walker is at that ledge, so walker positions are tried all along the line and
then ever closer together around the worst places and around the ends of no-fall zones.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linescope.clearance.bodies import FALL_LINE, SLID_LINE, falls, losses
from linescope.clearance.distance import GroundIndex
from linescope.clearance.envelope import envelope_of
from linescope.clearance.finding import (
    KINDS,
    NARROWEST_HOLE,
    AnchorZone,
    Cause,
    Clearance,
    Finding,
    NoFallZone,
    anchor_zone,
    apart,
)
from linescope.clearance.layers import Surrounding, known_below, layers_of
from linescope.clearance.lines import Lines
from linescope.clearance.notes import notes_of
from linescope.clearance.running import add_runs, reaches
from linescope.clearance.states import Case, find_cases
from linescope.clearance.table import CurveGroup, CurveTable, Worst
from linescope.clearance.why import CauseKind
from linescope.clearance.zones import no_fall_zones
from linescope.errors import InputError
from linescope.events.catch import positions_of
from linescope.events.deeper import Deeper
from linescope.events.running import RunningRing, running_ring
from linescope.rig import ClearanceNeeds, Rig, RigSource, checked_rig
from linescope.statics import Plan, plan
from linescope.terrain import PlumbIndex, Terrain, holes_below, load_ground

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
AT_BORDER = 1.1 * FINEST
"""What is nearest to the ground so close to the border of an anchor zone is so because of that border. [m]"""
FALL, ERROR = "fall", "survey error"
Down = dict[CurveGroup, tuple[float, Floats, Floats, float | None]]
ENVELOPES = (CauseKind.RUNS, CauseKind.GONE_FLOOR, CauseKind.GONE_LINE)
"""How low something can get, over all of the line: no body that could be in rock by its length."""
STANDING = "standing"
WALKING = (STANDING, "hang", FALL)
"""Families that are where the walker is."""


def find_clearance(
    rig: Rig | RigSource,
    *,
    planned: Plan | None = None,
    terrain: Terrain | GroundIndex | None = None,
    positions: int | ArrayLike = POSITIONS,
    wind: bool = True,
    deeper: Deeper | Callable[[], Deeper | None] | None = None,
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
    deeper : Deeper or callable, optional
        Where leash falls come lower in time than by the energy balance (`linescope.events.deeper.find_deeper`), or
        what gives that when the first fall is looked at; without, falls are those of the balance alone.
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
    one.  `Cause.also` holds the other causes at the same place.

    Examples
    --------
    >>> import linescope
    >>> found = linescope.find_clearance(linescope.load("scenes/heron_gap.toml"), positions=4)
    >>> found.findings[0]
    Finding(...)
    """
    rig = checked_rig(rig)
    planned = replace(plan(rig) if planned is None else planned, rig=rig)
    index = _index(rig, terrain)
    tell = progress or (lambda share: None)
    needs = rig.needs
    places = _places(rig, positions)
    step = rig.span / max(len(places), 1)
    tell(0.0)
    cases = find_cases(planned, wind=wind, per_bay=_per_bay(planned, step), progress=lambda share: tell(0.1 * share))
    tell(0.1)
    search = SweptSearch(rig, index, needs, None if callable(deeper) else deeper)
    lines = Lines(planned, cases, lambda share: tell(0.1 + 0.3 * share))
    sweeps = [Sweep(lines.fill, places, empty=True)]
    if rig.walker is not None:
        # Floors reach far along the line and change slowly with the walker's place.
        few = np.unique(np.append(np.arange(0, len(places), 4), len(places) - 1))

        def fall(table: CurveTable, at: Floats) -> None:
            if callable(deeper) and search.runs is None:
                search.deeper = deeper()
            fallen = falls(table, rig, planned, at, search.deeper)
            if search.runs is None:
                search.runs = running_ring(planned, places[few], fallen.ring_standing[few])

        def run(table: CurveTable, at: Floats) -> None:
            assert search.runs is not None
            add_runs(table, search.runs)

        sweeps += [
            Sweep(fall, places), Sweep(run, places[few], refined=False),
            Sweep(lambda table, at: losses(table, rig, planned, at), places[::2]),
        ]
    search.run(sweeps, lambda share: tell(0.4 + 0.55 * share))
    found = search.result(cases, wind)
    tell(1.0)
    return found


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


class Sweep:
    """One kind of happening at walker positions, those done and those still to do."""

    def __init__(self, fill: Fill, places: Floats, *, empty: bool = False, refined: bool = True) -> None:
        self._fill, self.refined, self.done = fill, refined, places.copy()
        self.fresh: Floats = np.append(np.nan, places) if empty else places
        self.families: set[tuple[str, str]] = set()

    def fill_in(self, table: CurveTable) -> None:
        """Put what happens at the places still to do into a table."""
        before = len(table.added)
        self._fill(table, self.fresh)
        self.families = {(group.kind, group.family) for group in list(table.added)[before:]}


class SweptSearch:
    """The nearest approach of every group, refined, and what becomes of it."""

    def __init__(
        self, rig: Rig, index: GroundIndex, needs: ClearanceNeeds | None, deeper: Deeper | None = None
    ) -> None:
        self.rig, self.index, self.needs, self.deeper = rig, index, needs, deeper
        self.zone = 0.0 if needs is None else anchor_zone(rig)
        self.layers = layers_of(rig, index, self.zone)
        self.tables: list[CurveTable] = []
        self.walkers: set[float] = set()
        self.runs: RunningRing | None = None

    def station_of(self, point: Floats) -> float:
        """Place along the line, from anchor A, of a place in space (3,).  [m]"""
        return float((point - self.rig.main_a) @ (self.rig.main_b - self.rig.main_a) / self.rig.span)

    def run(self, sweeps: list[Sweep], tell: Callable[[float], None], *, rounds: int = MOST_ROUNDS) -> None:
        """Measure at all places, then (to refine) between those around the worst, until they are `FINEST` apart."""
        rig, every = self.rig, sweeps
        for number in range(rounds):
            table = CurveTable(
                start=rig.main_a, along=(rig.main_b - rig.main_a) / rig.span, span=rig.span, zone=self.zone
            )
            begun, done = 1.0 - 0.5**number, 1.0 - 0.5 ** (number + 1)
            for k, sweep in enumerate(sweeps):
                sweep.fill_in(table)
                tell(begun + (done - begun) * 0.5 * (k + 1) / len(sweeps))
            self.tables.append(table)
            for layer in self.layers:
                self._measure(table, layer)
            tell(done)
            for sweep in sweeps:
                sweep.fresh = self._between(sweep.done, sweep.families) if sweep.refined else sweep.fresh[:0]
                sweep.done = np.sort(np.concatenate([sweep.done, sweep.fresh]))
            sweeps = [sweep for sweep in sweeps if len(sweep.fresh)]
            if not sweeps:
                break
        self.walkers.update(at for sweep in every for at in sweep.done.tolist())

    @staticmethod
    def _measure(table: CurveTable, layer: Surrounding) -> None:
        """What of a table comes nearer to a part of the surroundings than is known."""
        beside = []
        for worst in table.nearer(layer.index, layer.best, layer.needed):
            if layer.edges.is_beside(worst):
                beside.append(worst.group)
                layer.edges.keep(worst)
            else:
                layer.best[worst.group] = worst
        away = layer.edges.away if beside else None
        for worst in table.measured(away, layer.best, beside) if away is not None else ():
            # Triangles of the ground without the zones are numbered otherwise.
            layer.best[worst.group] = replace(worst, face=-1)

    def _between(self, done: Floats, mine: set[tuple[str, str]]) -> Floats:
        """Places half-way to the neighbours of those that matter."""
        # Where the leash comes near, a body comes nearer.
        bodies = {name for name in mine if name[0] != "leash"}
        chosen = [worst for layer in self.layers for worst in self.chosen(layer, bodies)]
        wanted = {worst.walker for worst in chosen if worst.walker is not None}
        gaps = set()
        for at in wanted:
            k = int(np.argmin(np.abs(done - at)))
            gaps |= {(j, j + 1) for j in (k - 1, k) if j >= 0 and j + 1 < len(done)}
        # Bodies go where the walker goes, and under his feet is the line.
        for family in (name for name in WALKING if ("body", name) in mine):
            for taken_off in (None, ERROR, *(("line", "loop") if family == STANDING else ())):
                left, apart = self._left(done, family, taken_off), np.diff(done)
                # Between two places that are clear a third may not be, if they are clear by less than half-way there.
                near = np.minimum(left[1:], left[:-1]) < HALF_WAY * apart
                short = left < 0.0
                enough = np.where(short[1:] != short[:-1], EDGE, FINEST)
                edges = np.flatnonzero(near & ~(short[1:] & short[:-1]) & (apart > enough))
                gaps |= {(int(j), int(j) + 1) for j in edges}
        if ("body", FALL) in mine:
            short = self._dragged(done)[0] < 0.0
            edges = np.flatnonzero((short[1:] != short[:-1]) & (np.diff(done) > EDGE))
            gaps |= {(int(j), int(j) + 1) for j in edges}
        return np.array(sorted({0.5 * (done[j] + done[k]) for j, k in gaps if done[k] - done[j] > FINEST}))

    def _left(
        self, walkers: Floats, family: str, taken_off: str | None = None, by: CauseKind | None = None
    ) -> Floats:
        """Smallest distance of a body from each walker position, less what is needed (or the survey error, or what
        another kind needs).

        Of a fall all that falls counts, not the body alone, or what has one cause.
        """
        least = dict.fromkeys(walkers.tolist(), np.inf)
        for layer in self.layers:
            for group, worst in (*layer.best.items(), *layer.edges.found.items()):
                mine = group.family == family and (family == FALL or group.kind == "body")
                mine = mine and by in (None, group.cause.kind)
                if mine and worst.walker in least:
                    off = layer.survey_error if taken_off == ERROR else layer.needed(taken_off or group.kind)
                    least[worst.walker] = min(least[worst.walker], worst.distance - off)
        return np.array([least[at] for at in walkers.tolist()])

    def _dragged(self, walkers: Floats) -> tuple[Floats, Floats]:
        """Smallest distance of the main from the ground in a leash fall from each walker position, less the survey
        error, and where along the line; inf and nan where none was measured outside the anchor zones.

        A loop that a fall lowers onto the ground carries nothing: it is a finding, and no reason not to fall.
        """
        least = dict.fromkeys(walkers.tolist(), (np.inf, np.nan))
        along = (self.rig.main_b - self.rig.main_a) / self.rig.span
        for layer in self.layers:
            for group, worst in layer.best.items() if layer.role == "ground" else ():
                mine = group.kind == "line" and group.cause in (FALL_LINE, SLID_LINE)
                if mine and not group.zone and worst.walker in least:
                    here = worst.distance - layer.survey_error, float((worst.point - self.rig.main_a) @ along)
                    least[worst.walker] = min(least[worst.walker], here)
        left, at = np.array([least[each] for each in walkers.tolist()]).reshape(-1, 2).T
        return left, at

    def _drags(self, walkers: Floats, left: Floats, meets: Floats) -> tuple[NoFallZone, ...]:
        """From where falls drag the main onto the ground, and where it lies then."""
        found = []
        for zone in no_fall_zones(walkers, left, self.rig.span) if len(walkers) else ():
            mine = meets[(walkers >= zone.from_a[0]) & (walkers <= zone.from_a[1]) & (left < 0.0)]
            found.append(replace(zone, meets=(float(mine.min()), float(mine.max()))))
        return tuple(found)

    def chosen(self, layer: Surrounding, mine: set[tuple[str, str]] | None = None) -> list[Worst]:
        """The places of one part of the surroundings that become findings, or rows of the zones at whose border."""
        families: dict[tuple[str, str], list[Worst]] = {}
        for group, worst in layer.best.items():
            if not group.zone and (mine is None or (group.kind, group.family) in mine):
                families.setdefault((group.kind, group.family), []).append(worst)
        return [
            worst
            for (kind, _), found in families.items()
            for worst in _apart(
                found, layer.needed(kind), 1 if kind == "leash" else MOST_PLACES, self.apart, self._border_of
            )
        ]

    @property
    def apart(self) -> float:
        """How far apart places have to be to be two. [m]"""
        return apart(self.rig.span)

    def _border_of(self, worst: Worst) -> int:
        """Number of the anchor at whose zone's border an approach is, 1 or 2; 0 where it is not at one."""
        if self.zone <= 0.0:
            return 0
        along = (self.rig.main_b - self.rig.main_a) / self.rig.span
        places = [float((worst.point - self.rig.main_a) @ along)]
        if worst.group.family in WALKING and worst.walker is not None:
            places.append(worst.walker)
        for number, border, sign in ((1, self.zone, 1.0), (2, self.rig.span - self.zone, -1.0)):
            if any(-1e-6 <= sign * (place - border) <= AT_BORDER for place in places):
                return number
        return 0

    def result(self, cases: list[Case], wind: bool) -> Clearance:
        """The findings, ranked."""
        told = [self._told(layer) for layer in self.layers]
        causes, within, border, beside = ([cause for part in told for cause in part[k]] for k in range(4))
        rig, walkers = self.rig, np.array(sorted(self.walkers))
        fallen = np.array(sorted({
            worst.walker for layer in self.layers for group, worst in layer.best.items()
            if group.family == FALL and worst.walker is not None
        }))
        along = (rig.main_b - rig.main_a) / rig.span
        needs = self.needs
        plan_length = max(float(np.linalg.norm((rig.main_b - rig.main_a)[:2])), 1e-9)
        known = known_below(self.index.terrain)
        plumb = self.index.plumb if known is self.index.terrain else PlumbIndex(known)
        holes = holes_below(plumb, np.stack([rig.main_a[:2], rig.main_b[:2]]))
        left = [self._left(fallen, FALL, off) for off in (None, ERROR)]
        dragged, meets = self._dragged(fallen)
        drags = self._drags(fallen, dragged, meets)
        in_time = [self._left(fallen, FALL, off, CauseKind.FALL_IN_TIME) for off in (None, ERROR)]
        strikes = no_fall_zones(fallen, left[1], rig.span, in_time[1]) if len(fallen) else ()
        left[0] = np.where(dragged < 0.0, np.minimum(left[0], dragged), left[0])
        notes = notes_of(
            rig, self.index, cases, [zone for zone in drags if not zone.is_within(strikes)], zone=self.zone,
            wind=wind, tried=len(self.walkers), finest=FINEST, deeper=self.deeper,
            lost=[cause.why for cause in causes if cause.vertical_point is None],
        )
        return Clearance(
            findings=_folded(causes, self.apart),
            no_fall_zones=no_fall_zones(fallen, left[0], rig.span, in_time[0]) if len(fallen) else (),
            strikes=strikes,
            drags=drags,
            runs=None if self.runs is None else tuple(
                reach for layer in self.layers for reach in reaches(
                    self.runs, layer.index, rig.main_a, along, rig.span, self.zone, layer.needed("body"),
                    layer.survey_error,
                )
            ),
            holes=_frozen(holes),
            unknown=_frozen(_unknown(holes * (rig.span / plan_length), self.zone, rig.span)),
            span=rig.span,
            is_asked=needs is not None,
            survey_error=0.0 if needs is None else needs.survey_error,
            margin=0.0 if needs is None else needs.margin,
            source=self.index.terrain.source,
            notes=notes,
            zones=self._zones(within, border, beside),
            compared=tuple(dict.fromkeys(
                g.kind for g in (*self.layers[0].best, *self.layers[0].edges.found) if not g.zone
            )),
            expected=("line", "loop") if rig.walker is None else KINDS,
            walkers=_frozen(walkers),
            envelope=envelope_of(self.tables, rig.main_a, along, rig.span),
        )

    def _told(self, layer: Surrounding) -> tuple[list[Cause], list[Cause], list[Cause], list[Cause]]:
        """Of one part of the surroundings: what becomes findings, what is within, at the border of and beside zones."""
        zones: dict[tuple[str, str, int], Worst] = {}
        for group, worst in layer.best.items():
            key = (group.kind, group.family, group.zone)
            if group.zone and (key not in zones or worst.distance < zones[key].distance):
                zones[key] = worst
        found, beside = self.chosen(layer), layer.edges.nearest()
        down = self._straight_down(layer, [worst.group for worst in (*found, *zones.values(), *beside)])
        parts = (
            [worst for worst in found if not self._border_of(worst)], list(zones.values()),
            [worst for worst in found if self._border_of(worst)], list(beside),
        )
        free, within, border, aside = ([self._cause(layer, worst, down) for worst in part] for part in parts)
        return free, within, border, aside

    def _straight_down(self, layer: Surrounding, groups: list[CurveGroup]) -> Down:
        """Of each group: the gap, its place, the ground below it, the walker."""
        best: Down = {}
        for table in self.tables:
            for group, (drop, point, walker) in table.straight_down(layer.index, groups).items():
                if group not in best or drop.gap < best[group][0]:
                    ground = np.array([point[0], point[1], drop.z_ground])
                    best[group] = drop.gap, point, ground, None if np.isnan(walker) else walker
        return best

    def _zones(self, within: list[Cause], border: list[Cause], beside: list[Cause]) -> tuple[AnchorZone, ...]:
        """What is told of each anchor's zone."""
        middle = 0.5 * self.rig.span
        asked = 0.0 if self.needs is None else self.needs.anchor_zone

        def mine(causes: list[Cause], at_b: bool) -> tuple[Cause, ...]:
            return tuple(sorted((c for c in causes if (c.station > middle) == at_b), key=_order))

        return tuple(
            AnchorZone(
                anchor=name, length=self.zone, asked=asked, within=mine(within, at_b), border=mine(border, at_b),
                beside=mine(beside, at_b),
            )
            for name, at_b in (("A", False), ("B", True))
        )

    def _cause(self, layer: Surrounding, worst: Worst, down: Down) -> Cause:
        group, rig = worst.group, self.rig
        along = (rig.main_b - rig.main_a) / rig.span
        others = sorted(
            (other.distance, g.cause.id, g.cause)
            for g, other in layer.best.items()
            if (g.kind, g.family, g.place, g.zone) == (group.kind, group.family, group.place, group.zone) and g != group
        )
        below = down.get(group)
        inside = 0.0
        if worst.distance < 0.0:
            inside = np.nan
            if group.cause.kind not in ENVELOPES:
                inside = max(table.inside(layer.index, group, worst.walker) for table in self.tables)
            worst = min((table.deepest(layer.index, worst) for table in self.tables), key=lambda one: one.distance)
        face = worst.face if worst.face >= 0 else int(layer.index.distance(worst.nearest[None])[2][0])
        return Cause(
            ground=layer.index.terrain.piece_of(face).name, role=layer.role, kind=group.kind, why=group.cause,
            family=group.family, distance=worst.distance, inside=inside,
            vertical=np.nan if below is None else below[0],
            required=layer.required(group.kind), needed=layer.needed(group.kind),
            station=float((worst.point - rig.main_a) @ along), walker=worst.walker, point=worst.point,
            nearest=worst.nearest,
            vertical_station=np.nan if below is None else float((below[1] - rig.main_a) @ along),
            vertical_walker=None if below is None else below[3],
            vertical_point=None if below is None else _frozen(below[1]),
            vertical_ground=None if below is None else _frozen(below[2]),
            also=tuple((cause, distance) for distance, _, cause in others),
        )


def _apart(
    found: list[Worst], needed: float, most: int, apart: float, border_of: Callable[[Worst], int]
) -> list[Worst]:
    """The nearest place, and those short of what is needed that are nearer than both neighbours and lie apart.

    The nearest at the border of each anchor zone is taken as well, and counts as none of them.
    """
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
    borders: dict[int, Worst] = {}
    for k in np.argsort(value, kind="stable"):
        worst = row[int(k)]
        border = border_of(worst)
        if border:
            borders.setdefault(border, worst)
        elif local[k] and (
            not chosen or (
                len(chosen) < most and worst.distance < needed
                and all(np.linalg.norm(worst.nearest - other.nearest) > apart for other in chosen)
            )
        ):
            chosen.append(worst)
    return [*chosen, *borders.values()]


def _order(cause: Cause) -> tuple[float, str, str]:
    return cause.remainder, cause.kind, cause.why.id


def _folded(causes: Iterable[Cause], apart: float) -> tuple[Finding, ...]:
    """One finding a place: what comes near the same ground is folded under what leaves least there."""
    places: list[list[Cause]] = []
    for cause in sorted(causes, key=_order):
        for place in places:
            near = np.linalg.norm((cause.nearest - place[0].nearest)[:2])
            if cause.role != place[0].role or (cause.role == "area" and cause.ground != place[0].ground):
                continue  # What is near a branch says nothing of the ground there.
            if near <= apart or abs(cause.station - place[0].station) <= apart:
                place.append(cause)
                break
        else:
            places.append([cause])
    return tuple(Finding(rank=number, causes=tuple(place)) for number, place in enumerate(places, 1))


def _unknown(holes: Floats, zone: float, span: float) -> Floats:
    """Holes along the straight line as far as they lie outside the anchor zones and count.  [m]"""
    found = np.clip(holes, zone, span - zone)
    return np.asarray(found[found[:, 1] - found[:, 0] >= NARROWEST_HOLE])


def _frozen(values: Floats) -> Floats:
    copy = np.array(values)
    copy.setflags(write=False)
    return copy

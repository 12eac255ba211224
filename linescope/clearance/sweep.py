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
from linescope.clearance.check import no_fall_zones
from linescope.clearance.distance import GroundIndex
from linescope.clearance.envelope import envelope_of
from linescope.clearance.finding import Clearance, Finding
from linescope.clearance.lines import Lines
from linescope.clearance.states import Case, find_cases
from linescope.clearance.table import CurveGroup, CurveTable, Worst
from linescope.errors import InputError
from linescope.events.catch import positions_of
from linescope.rig import ClearanceNeeds, Rig, checked_rig
from linescope.statics import Plan, plan
from linescope.terrain import Terrain, holes_below, load_ground

Floats = NDArray[np.float64]
Fill = Callable[[CurveTable, Floats], None]

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
    rig: Rig,
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
    rig : Rig
        With ground, unless `terrain` is given.  Without a walker only the empty line is looked at; without
        `needs` every required distance, survey error and margin is 0.
    planned : Plan, optional
        `plan(rig)`, when it was made before.
    terrain : Terrain or GroundIndex, optional
        The ground, when it was loaded before.
    positions : int or (n,) array
        How many walker positions to begin with, or which, from A along the straight line to B.  [m]
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
    cases = find_cases(planned, wind=wind, per_bay=_per_bay(planned, step))
    tell(0.1)
    search = _Search(rig, index, needs)
    search.run(Lines(planned, cases).fill, places, tell, 0.1, 0.7, empty=True)
    if rig.walker is not None:
        search.run(lambda table, at: falls(table, rig, planned, at), places, tell, 0.7, 0.82)
        # Floors reach far along the line and change slowly with the walker's place.
        search.run(lambda table, at: losses(table, rig, planned, at), places[::2], tell, 0.82, 0.95)
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
        return positions_of(rig, int(positions))
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
        self.tables: list[CurveTable] = []
        self.walkers: set[float] = set()

    def required(self, kind: str) -> float:
        """Asked for by kind, without additions.  [m]"""
        return 0.0 if self.needs is None else float(getattr(self.needs, kind))

    def needed(self, kind: str) -> float:
        """With survey error and margin.  [m]"""
        return self.required(kind) + self.added

    def run(
        self, fill: Fill, places: Floats, tell: Callable[[float], None], low: float, high: float, *, empty: bool = False
    ) -> None:
        """Measure at the places, then between those around the worst, until they are `FINEST` apart."""
        done = places.copy()
        fresh = np.append(np.nan, places) if empty else places
        for number in range(MOST_ROUNDS):
            table = CurveTable(
                start=self.rig.main_a, along=(self.rig.main_b - self.rig.main_a) / self.rig.span, span=self.rig.span,
                zone=self.zone,
            )
            fill(table, fresh)
            self.tables.append(table)
            for worst in table.nearer(self.index, self.best, self.needed):
                self.best[worst.group] = worst
            tell(low + (high - low) * (1.0 - 0.5 ** (number + 1)))
            fresh = self._between(done, table.families)
            if len(fresh) == 0:
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
        for group, worst in self.best.items():
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
        down = self._straight_down([worst.group for worst in (*chosen, *zones.values())])
        rig, walkers = self.rig, np.array(sorted(self.walkers))
        fallen = np.array(sorted({w.walker for g, w in self.best.items() if g.family == FALL and w.walker is not None}))
        along = (rig.main_b - rig.main_a) / rig.span
        needs = self.needs
        notes = self._notes(cases, wind, [worst.group for worst in chosen if worst.group not in down])
        return Clearance(
            findings=_ranked(self._finding(worst, down) for worst in chosen),
            no_fall_zones=no_fall_zones(fallen, self._falls(fallen), rig.span) if len(fallen) else (),
            strikes=no_fall_zones(fallen, self._falls(fallen, 0.0), rig.span) if len(fallen) else (),
            holes=_frozen(holes_below(self.index.plumb, np.stack([rig.main_a[:2], rig.main_b[:2]]))),
            survey_error=0.0 if needs is None else needs.survey_error,
            margin=0.0 if needs is None else needs.margin,
            source=self.index.terrain.source,
            notes=notes,
            anchor_zone=self.zone,
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

    def _dragged(self) -> list[str]:
        """From where a leash fall drags main or backup onto the ground, outside the anchor zones."""
        least: dict[float, float] = {}
        for group, worst in self.best.items():
            # Loops that have slid to the ground lie there without a fall.
            mine = group.family == FALL_LINE or (group.family == SLID_LINE and group.kind == "line")
            if mine and not group.zone and worst.walker is not None:
                least[worst.walker] = min(least.get(worst.walker, np.inf), worst.distance)
        at = np.array(sorted(least))
        off = 0.0 if self.needs is None else self.needs.survey_error
        zones = no_fall_zones(at, np.array([least[a] - off for a in at.tolist()]), self.rig.span) if len(at) else ()
        if not zones:
            return []
        where = ", ".join(f"{zone.from_a[0]:.0f} m to {zone.from_a[1]:.0f} m" for zone in zones)
        return [
            f"LEASH FALLS DRAG THE LINE ONTO THE GROUND: main or backup meets it (survey error included) in falls from "
            f"{where} from A, though the body may clear it. The catch is computed without the ground."
        ]

    def _notes(self, cases: list[Case], wind: bool, lost: list[CurveGroup]) -> tuple[str, ...]:
        rig, notes = self.rig, list(self.index.terrain.notes)
        if self.needs is None:
            notes.insert(0, "NO DISTANCE IS ASKED FOR in this scene: only touching the ground counts as not met.")
        if self.zone > 0.0:
            notes.append(
                f"Within {self.zone:.2g} m of the anchors nothing is compared: lines come down to the rock there; the "
                "distances are listed apart."
            )
        if self.index.is_one_sheet and not self.index.terrain.is_height_field:
            notes.append("The mesh shows no overhang: whatever is below it counts as inside the ground (assumed).")
        if not self.index.is_signed:
            notes.append(
                "The mesh is neither closed nor known as a height field: what lies inside rock is not told apart, only "
                "what touches it."
            )
        if lost:
            notes.append(f"No ground is known straight below: {', '.join(f'{g.kind} ({g.cause})' for g in lost)}.")
        if rig.walker is None:
            notes.append("Nobody is on the line: no walker, no falls.")
        else:
            notes.append(
                f"{len(self.walkers)} walker positions were tried, around the worst places at most {FINEST:.2g} m "
                "apart. Falls and loss of the main start as taped in still air and are bounds: no damping, no line "
                "inertia; where tapes slide, the lower one of falls with tapes that hold and with free ones (no "
                "friction)."
            )
            notes.append(
                "In a leash fall the ring is taken to stay where it is on the main. A ring that runs carries him "
                "downhill along the line after the fall, over ground that a fall from there does not reach here: look "
                "at every place between a fall and the lowest point of the line."
            )
            notes[:0] = self._dragged()
        if not wind or rig.wind is None:
            notes.append("Still air only: no wind was looked at.")
        causes = [cause for case in cases for cause in (case.cause, case.cause.replace(*case.mirrored))]
        notes.append(f"Looked at: {'; '.join(dict.fromkeys(causes))}.")
        if any(case.crossing is not None for case in cases):
            notes.append(
                "Settled sliders follow the walker without friction (where several settled states exist, one of them); "
                "after a crossing they stay where its nearest step left them. Both are bounds of what real tapes do; "
                "in wind, slides limited by friction lie between."
            )
        return tuple(notes)


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


def _frozen(values: Floats) -> Floats:
    copy = np.array(values)
    copy.setflags(write=False)
    return copy

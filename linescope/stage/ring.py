"""The leash ring round both lines: where it hangs, and how the backup runs through it.

Every state is computed with the backup free under the main.  A ring lifts it to the main where it hangs, and parts
that loop in two; the little it weighs changes no figure that is printed.  Pictures that show the ring draw the loop so,
without friction in the ring, and the loop that figures are for beside it, dashed (`free_loop`).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from linescope.stage import dimensions
from linescope.stage.items import Label, Wire
from linescope.stage.theme import Theme
from linescope.statics.solution import Solution
from linescope.webbing import Webbing
from linescope.words import Words

Floats = NDArray[np.float64]
UP = np.array([0.0, 0.0, 1.0])

BEHIND = 0.9  # The ring trails the feet by this much [m], within the 0.5 to 2 m riders report (common practice).
BESIDE = 0.05  # Least distance of the ring from a tape [m].
ROOM, WIRE = 0.02, 0.006  # From the edge of the webbing to the middle of the ring's wire; half the wire [m].
FINE = 40  # Pieces of a catenary in which places are looked for.


@dataclass(frozen=True, eq=False, kw_only=True)
class Ring:
    """The ring of a standing walker.

    Attributes
    ----------
    at : (3,) array
        Where it hangs on the main.  [m]
    centre : (3,) array
        [m]
    radius : float
        To the middle of its wire.  [m]
    through : (3,) array
        Where the backup passes through it.  [m]
    bay : int
        Counted from 0 at anchor A.
    gathers : bool
        Whether it lifts the backup; False where both lines lie within it by themselves.
    """

    at: Floats
    centre: Floats
    radius: float
    through: Floats
    bay: int
    gathers: bool


@lru_cache(maxsize=4)  # One picture asks for it several times.
def ring_of(solution: Solution, behind: float = BEHIND) -> Ring | None:
    """The ring so far behind the walker's feet [m]; None when nobody is on the line."""
    rig, feet = solution.rig, solution.walker_point
    if feet is None or rig.walker is None:
        return None
    radius = 0.5 * max(rig.main.width, rig.backup.width) + ROOM
    to_centre = rig.main.thickness - _seat(rig.main, radius)
    lift = UP * (to_centre + rig.backup.thickness - _seat(rig.backup, radius))
    forwards = rig.main_b - rig.main_a
    forwards = np.array([forwards[0], forwards[1], 0.0]) / math.hypot(forwards[0], forwards[1])
    stations = dimensions.nodes(solution, "main") @ forwards
    wanted = float(feet @ forwards) - behind

    @cache
    def curves(bay: int) -> tuple[Floats, Floats]:
        return dimensions.in_bay(solution.main, bay, FINE), dimensions.in_bay(solution.backup, bay, FINE)

    def ring(bay: int, station: float, gathers: bool) -> Ring:
        main, loop = curves(bay)
        at = _passing(main, forwards, station)
        through = at + lift if gathers else _passing(loop, forwards, station)
        # It hangs on the main, or on a tight backup above it; blown aside it is held between the two.
        hung = (at + UP * to_centre, through - UP * _seat(rig.backup, radius), (at + through) / 2)
        inside = [one for one in hung if max(_length(np.array([one, line])) for line in (at, through)) < radius - WIRE]
        centre = inside[0] if inside else hung[-1]
        return Ring(at=at, centre=centre, radius=radius, through=through, bay=bay, gathers=gathers)

    bay = int(np.clip(np.searchsorted(stations, wanted, side="right") - 1, 0, len(stations) - 2))
    margin = min(BESIDE, 0.5 * (stations[bay + 1] - stations[bay]))
    first = ring(bay, float(np.clip(wanted, stations[bay] + margin, stations[bay + 1] - margin)), False)
    if float(np.linalg.norm(first.through - first.at)) <= float(np.linalg.norm(lift)):
        return first
    raised = ring(bay, float(first.at @ forwards), True)
    _, loop = curves(bay)
    if _taken(loop, raised.through) < 0.9999 * _length(loop):
        return raised
    # A backup too tight to be lifted: the ring can only be where both lines lie within it by themselves.
    mains = dimensions.by_bay(solution.main, FINE)
    places = sorted(
        (
            (k, float(point @ forwards))
            for k, main in enumerate(mains)
            for point in main[1 if k == 0 else 0 : -1 if k == len(mains) - 1 else None]
        ),
        key=lambda place: abs(place[1] - wanted),
    )
    found = (ring(k, station, False) for k, station in places)
    return next((one for one in found if np.linalg.norm(one.through - one.at) <= np.linalg.norm(lift)), first)


def backup_by_bay(solution: Solution, per_segment: int, behind: float = BEHIND) -> list[Floats]:
    """As many points of the backup as `dimensions.by_bay` gives, but through the ring where it lifts them.  [m]"""
    pieces = dimensions.by_bay(solution.backup, per_segment)
    ring = ring_of(solution, behind)
    if ring is not None and ring.gathers:
        pieces[ring.bay] = lifted(solution, ring, len(pieces[ring.bay]))
    return pieces


def lifted(solution: Solution, ring: Ring, count: int) -> Floats:
    """(count, 3) the loop that a ring lifts, as it hangs then.  [m]"""
    free = dimensions.in_bay(solution.backup, ring.bay, FINE)
    return _parted(free[0], ring.through, free[-1], _length(free), dimensions.load_direction(solution), count)


def backup(solution: Solution, per_segment: int, behind: float = BEHIND) -> Floats:
    """(n, 3) the whole backup through the ring, as many points as a `sample` of it.  [m]"""
    pieces = backup_by_bay(solution, per_segment, behind)
    return np.concatenate([pieces[0], *(piece[1:] for piece in pieces[1:])])


def hoop(solution: Solution) -> tuple[Wire, ...]:
    """The ring as a closed wire; nothing when nobody is on the line."""
    ring = ring_of(solution)
    if ring is None:
        return ()
    across = np.cross(UP, solution.rig.main_b - solution.rig.main_a)
    turn = np.linspace(0.0, 2.0 * math.pi, 25)[:, None]
    points = ring.centre + ring.radius * (np.cos(turn) * across / np.linalg.norm(across) + np.sin(turn) * UP)
    return (Wire(name="ring", points=points, colour="leash", width=1.6),)


def free_loop(solution: Solution, theme: Theme, per_segment: int = FINE) -> tuple[Wire, ...]:
    """The loop that the ring lifts, as computed without it; nothing where the ring lifts none."""
    ring = ring_of(solution)
    if ring is None or not ring.gathers:
        return ()
    points = dimensions.in_bay(solution.backup, ring.bay, per_segment)
    return (Wire(name="loop without the ring", points=points, colour="backup", width=theme.thin, dashed=True),)


def labels(solution: Solution, words: Words) -> tuple[Label, ...]:
    """Words at the ring and at the dashed loop, for near views."""
    ring = ring_of(solution)
    if ring is None:
        return ()
    text = words.say("overview-ring")
    found = [Label(text=text, at=ring.through, size="small", towards=(-0.4, -1.0), rank=2, offset=40.0)]
    if ring.gathers:
        points = dimensions.in_bay(solution.backup, ring.bay, FINE)
        at = points[FINE // 4 if float(np.linalg.norm(points[FINE // 4] - ring.at)) > 0.3 else 3 * FINE // 4]
        text = words.say("overview-ring-without")
        found.append(Label(text=text, at=at, size="small", towards=(-0.2, -1.0), rank=3, offset=16.0))
    return tuple(found)


def _seat(line: Webbing, radius: float) -> float:
    """How far from the ring's centre a line's outer face rests in it.  [m]"""
    if line.is_rope:
        return radius - WIRE
    return math.sqrt(max((radius - WIRE) ** 2 - (0.5 * line.width) ** 2, 0.0))


def _passing(points: Floats, forwards: Floats, station: float) -> Floats:
    """The point of a curve at a distance along the line."""
    along = points @ forwards
    return np.array([np.interp(station, along, points[:, axis]) for axis in range(3)])


def _length(points: Floats) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def _taken(loop: Floats, through: Floats) -> float:
    """The shortest backup from tape to tape by way of the ring.  [m]"""
    return float(np.linalg.norm(through - loop[0]) + np.linalg.norm(loop[-1] - through))


def _parted(start: Floats, through: Floats, end: Floats, length: float, down: Floats, count: int) -> Floats:
    """(count, 3) a loop hung over a point without friction: two catenaries of one tension there.  [m]"""
    least = float(np.linalg.norm(through - start)), float(np.linalg.norm(end - through))
    spare = length - sum(least)

    def pieces(share: float) -> tuple[_Hung, _Hung]:
        first = least[0] + share * spare
        return _Hung(start, through, first, down), _Hung(through, end, length - first, down)

    def unequal(share: float) -> float:
        first, second = pieces(share)
        return math.log(first.pull(1.0) / second.pull(0.0))

    share = brentq(unequal, 1e-6, 1.0 - 1e-6) if unequal(1e-6) * unequal(1.0 - 1e-6) < 0 else least[0] / sum(least)
    first, second = pieces(share)
    before = int(np.clip(round((count - 1) * first.length / length), 1, count - 2))
    return np.concatenate([first.points(before + 1), second.points(count - before)[1:]])


class _Hung:
    """An inextensible catenary of a given length between two points under a load of one newton per metre."""

    def __init__(self, start: Floats, end: Floats, length: float, down: Floats) -> None:
        self.start, self.length, self.up = start, length, -down
        chord = end - start
        self.z = float(chord @ self.up)
        across = chord - self.z * self.up
        self.x = max(float(np.linalg.norm(across)), 1e-9)
        self.side = across / self.x
        ratio = math.sqrt(max(length**2 - self.z**2, 0.0)) / self.x
        u = brentq(lambda u: math.sinh(u) - ratio * u, 1e-7, 2.0 + 2.0 * math.log(2.0 + ratio)) if ratio > 1.0 else 1e-7
        self.h = self.x / (2.0 * u)
        self.v = 0.5 * (self.z / math.tanh(u) - length)

    def pull(self, share: float) -> float:
        """Tension at a share of the length.  [N]"""
        return math.hypot(self.h, self.v + share * self.length)

    def points(self, count: int) -> Floats:
        """(count, 3) evenly along the length.  [m]"""
        s = np.linspace(0.0, self.length, count)
        x = self.h * (np.arcsinh((self.v + s) / self.h) - math.asinh(self.v / self.h))
        z = np.hypot(self.h, self.v + s) - math.hypot(self.h, self.v)
        found = self.start + np.outer(x, self.side) + np.outer(z, self.up)
        short = self.start + self.x * self.side + self.z * self.up - found[-1]
        return np.asarray(found + np.linspace(0.0, 1.0, count)[:, None] * short)

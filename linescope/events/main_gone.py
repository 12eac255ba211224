"""Loss of the main: where the walker's ring comes to rest on the backup, and how far down energy lets it go.

Always a bracket.  *Nothing holds*: the whole backup is released between its anchors.  *Ties hold*: only the section
between the two nearest ties is released; there the backup bridges the broken main, beside it main and backup go on
together.  The ring runs along the line, over ties too, as it does in walking.

Start: at rest, standing on the main where and as deep as it lies under him.  The *energy floor* is the lowest point
over all x that energy conservation allows from there: what the walker has lost in height is in line, leash and body.
His own fall from standing beside the ring to hanging below it (tie-in height + leash) is counted unless asked
otherwise, and so is what the lines that stay have stored.  The lost main, and tapes in the released section, weigh
nothing and give nothing; beside each figure stands the most it can be, if all that the lost main has stored goes into
the catch and its whole weight hangs on the backup.  Where tapes slide, the pairs beside a released section are
computed with tapes that hold and with free ones, and each figure is that of the worse.

The floor bounds how low the feet get; the ring's own depth and the forces at that point are no bounds.  How far along
the line the ring runs is a motion of its own, with friction: `linescope.events.ring_run`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import ClassVar, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linescope.errors import FallNotBounded, InputError, SolveError
from linescope.events.catch import (
    Loaded,
    body_hanging,
    free_fall,
    positions_of,
    stand_along,
    walker_of,
)
from linescope.events.floor import Floor, floors
from linescope.events.released import Chain, Rings
from linescope.events.released_line import PER_SIDE, line_points
from linescope.events.ring_run import Track, track
from linescope.events.sections import ReleasedSection, lost_energy, sections, start_energy
from linescope.lazy import Renamed
from linescope.notes import Kind, Note, Place, Quantity, Severity, Spot, Stretches, Term, Value
from linescope.rig import Band, Rig
from linescope.rig.parts import RUNNING_RING_FRICTION
from linescope.shown import Outlined
from linescope.statics import Plan, plan
from linescope.statics.assemble import G
from linescope.statics.solution import freeze

Floats = NDArray[np.float64]
Holding = Literal["nothing holds", "ties hold"]
Start = Literal["standing", "at the ring"]
NEAR_ANCHOR, FROM_AFAR = 2.0, 5.0  # A ring that comes so near to an anchor, from farther away than this, is told [m].
SIDES: dict[Holding, str] = {"nothing holds": "side-nothing-holds", "ties hold": "side-ties-hold"}


class GoneNote(Kind):
    """What is said of the loss of the main."""

    OVERLOAD = "main-gone-overload"
    OVERLOAD_MOST = "main-gone-overload-most"
    BEYOND_CURVE = "main-gone-beyond-curve"
    TO_ANCHOR = "main-gone-to-anchor"
    RUN = "main-gone-basis-run"
    NO_TIES = "main-gone-no-ties"
    STATIC = "main-gone-basis-static"
    START = "main-gone-basis-start"
    COMPARED = "main-gone-basis-compared"


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class RingState(Outlined):
    """Ring, body and line in one state, for n places of the walker.  Arrays have n rows; lines have k points.

    Attributes
    ----------
    ring : (n, 3) array
        [m]
    top, foot : (n, 3) array
        Head and lowest foot of the body on its leash.  [m]
    depth, foot_depth : (n,) array
        Ring and lowest foot below the straight line between the main's anchors.  [m]
    tension : (n,) array
        Largest tension in the line.  [N]
    share : (n,) array
        That tension over the backup's strength.  [-]
    force : (n,) array
        On the ring.  [N]
    angles : (n, 2) array
        Of the line below horizontal at anchor A and at anchor B.  [rad]
    line : (n, k, 3) array
        From anchor A over the ring to anchor B.  [m]
    """

    ring: Floats
    top: Floats
    foot: Floats
    depth: Floats
    foot_depth: Floats
    tension: Floats
    share: Floats
    force: Floats
    angles: Floats
    line: Floats


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class EnergyFloor(Outlined):
    """The lowest that energy lets ring and feet go at m points along the line, for n places of the walker.

    Attributes
    ----------
    ring, foot : (n, m, 3) array
        Of the ring, and of the lowest foot.  [m]
    most_foot : (n, m, 3) array
        Of the lowest foot if all that the lost main has stored goes into the catch.  [m]
    tension : (n, m) array
        Largest tension in the line with the ring there.  [N]
    hang : (n, m, 3) array
        Where the ring would hang at rest above each point if it did not roll.  [m]
    steepest : (n, 2) array
        Largest angle of the line below horizontal at anchor A and at anchor B.  [rad]
    """

    ring: Floats
    foot: Floats
    most_foot: Floats
    tension: Floats
    hang: Floats
    steepest: Floats


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class TurningPoints(Outlined):
    """Where a ring that runs along the line first turns back, from A along the straight line.  Arrays are (n,).

    Attributes
    ----------
    free, far, near : array
        Without friction, with the least and with the most that a ring which runs may have; nan where the run was not
        computed.  [m]
    """

    free: Floats
    far: Floats
    near: Floats


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Release(Renamed, Outlined):
    """One side of the bracket, for n places of the walker.

    Attributes
    ----------
    name : {"nothing holds", "ties hold"}
    section : (n, 2) array
        The released section of the main, unstretched metres from A.  [m]
    spare : (n,) array
        Backup less main in it, both unstretched.  [m]
    main_share : (n,) array
        Peak tension over the main's strength; nan where none of it is left.  [-]
    rest : RingState
        Where the ring comes to rest.
    lowest : RingState
        At the lowest point of the energy floor; tension and force are the peaks.
    most : RingState
        The same if all that the lost main has stored goes into the catch and its whole weight hangs on the backup.
    floor : EnergyFloor
    turns : TurningPoints
    """

    name: Holding
    section: Floats
    spare: Floats
    main_share: Floats
    rest: RingState
    lowest: RingState
    most: RingState
    floor: EnergyFloor
    turns: TurningPoints
    OLD: ClassVar[Mapping[str, str]] = {
        "rest_ring": "rest.ring", "lowest_ring": "lowest.ring", "rest_depth": "rest.depth",
        "lowest_depth": "lowest.depth", "most_depth": "most.depth", "foot_depth": "lowest.foot_depth",
        "most_foot_depth": "most.foot_depth", "run_free": "turns.free", "run_far": "turns.far",
        "run_near": "turns.near", "rest_foot": "rest.foot", "rest_top": "rest.top", "lowest_top": "lowest.top",
        "lowest_foot": "lowest.foot", "most_foot": "most.foot", "rest_tension": "rest.tension",
        "peak_tension": "lowest.tension", "backup_share": "lowest.share", "most_tension": "most.tension",
        "most_share": "most.share", "peak_force": "lowest.force", "most_force": "most.force",
        "rest_angles": "rest.angles", "lowest_angles": "lowest.angles", "steepest_angles": "floor.steepest",
        "rest_line": "rest.line", "lowest_line": "lowest.line", "most_line": "most.line", "floor_foot": "floor.foot",
        "most_floor_foot": "floor.most_foot", "floor_tension": "floor.tension", "hang": "floor.hang",
    }


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class MainGone(Outlined):
    """Loss of the main with the walker at n places.

    Attributes
    ----------
    rig : Rig
    at : (n,) array
        Distance from A along the straight line to B.  [m]
    ring_standing : (n, 3) array
        Feet and ring as he stands before.  [m]
    nothing_holds, ties_hold : Release
        The bracket.
    tied : bool
        Whether the rig has ties; without them both sides of the bracket are the same.
    ring_friction : Band
        Of a ring that runs along the line.  [-]
    notes : tuple of Note
        What must be said beside the figures.
    """

    rig: Rig
    at: Floats
    ring_standing: Floats
    nothing_holds: Release
    ties_hold: Release
    tied: bool
    ring_friction: Band
    notes: tuple[Note, ...]


def height_rule(span: float) -> float:
    """Height that an association's rule asks for: length / 3 + 3 m.  Common practice, no source for its making.  [m]"""
    return span / 3.0 + 3.0


def friction_text(value: float) -> Quantity:
    """A coefficient as it is told: one figure where that is all of it."""
    tens = value / 10.0 ** math.floor(math.log10(value)) if value > 0.0 else 0.0
    return Quantity(value, "number", digits=1 if math.isclose(tens, round(tens)) else 2)


def _release(
    rig: Rig,
    name: Holding,
    found: list[ReleasedSection],
    owner: NDArray[np.int64],
    rings: Floats,
    energy: Floats,
    lost: Floats | None,
    points: int,
    soft: float,
    frictions: Mapping[str, float],
) -> Release:
    """One side of the bracket: the walkers grouped by the section they stand in; `most` is nan without `lost`, and of
    the ring's runs those without a friction."""
    walker, n = walker_of(rig), len(owner)
    weight = walker.mass * G
    rest, lowest, most = (_Blank.of(n, points) for _ in range(3))
    rest.force[:] = weight
    hang, tension, steepest = np.empty((n, points, 3)), np.empty((n, points)), np.empty((n, 2))
    bounds, spare, main_share = np.empty((n, 2)), np.empty(n), np.full(n, np.nan)
    turns = {name: np.full(n, np.nan) for name in ("free", "far", "near")}
    for index in np.unique(owner):
        section, mine = found[index], owner == index
        chain = section.chain
        laden = None if lost is None else energy[mine] + lost[mine]
        try:
            result = floors(chain, energy[mine], weight, points, soft)
            # Tapes that slide beside the section make it softer; tapes that hold may make it harder.
            slides = section.held is not chain
            other = floors(section.held, energy[mine], weight, 1, soft) if slides else result
            if frictions:
                line = track(chain, weight)
                for name_of, friction in frictions.items():
                    turns[name_of][mine] = _runs(rig, chain, line, rings[mine], friction)
            if laden is not None:
                heavy = floors(section.laden, laden, weight, points, soft)
                stiff = floors(section.laden_held, laden, weight, 1, soft) if slides else heavy
                # The floor is where the lines that are left let it be; the line itself bears the lost main.
                most.put(mine, heavy, stiff, places=chain, line=section.laden)
        except SolveError as error:
            raise FallNotBounded(f"loss of the main, {name}: {error.problem}", advice=error.advice) from error
        lowest.put(mine, result, other, places=chain, line=chain)
        rest.put_hang(mine, chain, result.rest)
        shape = (int(mine.sum()), points)
        hang[mine] = chain.points(result.hang.x.reshape(shape), result.hang.z.reshape(shape))
        tension[mine] = result.floor.top_tension.reshape(shape)
        steepest[mine] = np.max(result.floor.angles.reshape(*shape, 2), axis=1)
        bounds[mine] = section.begin, section.stop
        spare[mine] = section.spare
        if len(chain.parts) > 1:
            main_share[mine] = lowest.tension[mine] / rig.main.strength
    floor = EnergyFloor(
        ring=lowest.floor, foot=body_hanging(walker, lowest.floor, lowest.on_floor)[1],
        most_foot=body_hanging(walker, most.floor, most.on_floor)[1], tension=tension, hang=hang, steepest=steepest,
    )
    release = Release(
        name=name, section=bounds, spare=spare, main_share=main_share, rest=rest.state(rig), lowest=lowest.state(rig),
        most=most.state(rig), floor=floor, turns=TurningPoints(**turns),
    )
    for part in (release, release.rest, release.lowest, release.most, release.floor, release.turns):
        freeze(part)
    return release


@dataclass(frozen=True, kw_only=True)
class _Blank:
    """A `RingState` that is filled section by section, and the floor it is the lowest point of; nan before."""

    ring: Floats
    tension: Floats
    force: Floats
    pull: Floats  # On the leash where the ring is shown; `force` is the worse of tapes that hold and that slide.
    angles: Floats
    line: Floats
    floor: Floats
    on_floor: Floats

    @classmethod
    def of(cls, n: int, points: int) -> _Blank:
        shapes: dict[str, tuple[int, ...]] = {
            "ring": (n, 3), "tension": (n,), "force": (n,), "pull": (n,), "angles": (n, 2),
            "line": (n, 2 * PER_SIDE + 1, 3), "floor": (n, points, 3), "on_floor": (n, points),
        }
        return cls(**{name: np.full(shape, np.nan) for name, shape in shapes.items()})

    def put_hang(self, mine: NDArray[np.bool_], chain: Chain, hang: Rings) -> None:
        """Some walkers at rest."""
        self.ring[mine] = chain.points(hang.x, hang.z)
        self.tension[mine] = hang.top_tension
        self.angles[mine] = hang.angles
        self.line[mine] = line_points(chain, hang)
        self.pull[mine] = self.force[mine]

    def put(self, mine: NDArray[np.bool_], slid: Floor, held: Floor, *, places: Chain, line: Chain) -> None:
        """Some walkers at the lowest point, where tapes beside the section slide; peaks also where they hold."""
        shape = (int(mine.sum()), self.floor.shape[1])
        self.ring[mine] = places.points(slid.bottom.x, slid.bottom.z)
        self.tension[mine] = np.maximum(slid.bottom.top_tension, held.bottom.top_tension)
        self.force[mine] = np.maximum(slid.force, held.force)
        self.pull[mine], self.on_floor[mine] = slid.force, slid.on_floor.reshape(shape)
        self.angles[mine] = slid.bottom.angles
        self.line[mine] = line_points(line, slid.bottom)
        self.floor[mine] = places.points(slid.floor.x.reshape(shape), slid.floor.z.reshape(shape))

    def state(self, rig: Rig) -> RingState:
        """Whole, with the body on its leash."""
        top, foot = body_hanging(walker_of(rig), self.ring, self.pull)
        return RingState(
            ring=self.ring, top=top, foot=foot, depth=rig.below_anchors(self.ring), foot_depth=rig.below_anchors(foot),
            tension=self.tension, share=self.tension / rig.backup.strength, force=self.force, angles=self.angles,
            line=self.line,
        )


def _runs(rig: Rig, chain: Chain, line: Track, rings: Floats, friction: float) -> Floats:
    """Where rings that begin at places first turn back, from A along the straight line.  [m]"""
    across = (rig.main_b - rig.main_a)[:2]
    run = float(np.hypot(*across))
    begin = np.hypot(*(rings - chain.start)[:, :2].T)
    ends = np.array([line.run(float(x), friction) for x in begin])
    points = chain.points(ends, np.zeros_like(ends))
    return np.asarray(((points - rig.main_a)[:, :2] @ across) / run**2 * rig.span)


def main_gone(
    rig: Rig,
    at: ArrayLike | None = None,
    *,
    start: Start = "standing",
    points: int = 61,
    most: bool = True,
    run: bool = True,
    ring_friction: Band = RUNNING_RING_FRICTION,
    planned: Plan | None = None,
    progress: Callable[[float], None] | None = None,
) -> MainGone:
    """Loss of the main with the walker at stated places; the main parts in the section he stands in.

    Parameters
    ----------
    rig : Rig
        With a walker.
    at : float or (n,) array, optional
        Distances from A along the straight line to B; default the walker's own place.  [m]
    start : {"standing", "at the ring"}
        Whether his fall from standing to hanging on the leash is counted ("standing"), or the walker is taken as a
        weight that sits in the ring.
    points : int
        Points of each energy floor.
    most : bool
        Whether what the lost main may add is computed; without, those of `Release.most` are nan.
    run : bool
        Whether the run of the ring is computed; without, `Release.turns` are nan.
    ring_friction : Band
        Of the ring that runs; its low lets it run far.  [-]
    planned : Plan, optional
    progress : callable, optional
        Told the share done, 0 to 1.

    Raises
    ------
    InputError
        When the rig has no walker, a place lies outside the line or `start` is unknown.
    FallNotBounded
    NoEquilibrium, SegmentNotSolved, TensionNotReached
    """
    walker = walker_of(rig)
    if start not in ("standing", "at the ring"):
        raise InputError("unknown start", key="start", found=start, allowed='"standing" or "at the ring"')
    planned = replace(plan(rig) if planned is None else planned, rig=rig)
    places = np.atleast_1d(np.asarray(walker.at if at is None else at, dtype=float))
    whole, parted = sections(planned, tied=False), sections(planned, tied=True)
    tied = len(parted) > 1
    edges = np.array([section.begin for section in parted])
    n = len(places)
    rings, owner, energy, lost = np.empty((n, 3)), np.zeros(n, dtype=np.int64), np.empty((n, 2)), np.empty((n, 2))
    for index, loaded in enumerate(stand_along(planned, places)):
        rings[index] = loaded.ring
        owner[index] = np.searchsorted(edges, loaded.coordinate, side="right") - 1
        energy[index] = _energies(loaded, whole[0], parted[owner[index]], walker.mass * G)
        lost[index] = lost_energy(loaded, whole[0]), lost_energy(loaded, parted[owner[index]])
        if progress is not None:
            progress(0.8 * (index + 1) / n)
    soft = walker.compliance if start == "standing" else 0.0
    if start == "standing":
        energy += walker.mass * G * free_fall(walker)
    frictions = {"free": 0.0, "far": ring_friction.low, "near": ring_friction.high} if run else {}
    zero = np.zeros(n, dtype=np.int64)
    lost_all = lost[:, 0] if most else None
    nothing = _release(rig, "nothing holds", whole, zero, rings, energy[:, 0], lost_all, points, soft, frictions)
    if tied:
        lost_part = lost[:, 1] if most else None
        ties = _release(rig, "ties hold", parted, owner, rings, energy[:, 1], lost_part, points, soft, frictions)
    else:
        ties = replace(nothing, name="ties hold")
    if progress is not None:
        progress(1.0)
    result = MainGone(
        rig=rig, at=places.copy(), ring_standing=rings, nothing_holds=nothing, ties_hold=ties, tied=tied,
        ring_friction=ring_friction, notes=_notes(rig, places, nothing, ties, tied, start, ring_friction),
    )
    freeze(result)
    return result


def main_gone_sweep(
    rig: Rig,
    *,
    count: int = 100,
    start: Start = "standing",
    points: int = 61,
    ring_friction: Band = RUNNING_RING_FRICTION,
    planned: Plan | None = None,
    progress: Callable[[float], None] | None = None,
) -> MainGone:
    """`main_gone` at even places all along the line.

    Parameters
    ----------
    rig : Rig
        With a walker.
    count : int
        Number of places.
    start, points, ring_friction, planned, progress
        See `main_gone`.
    """
    return main_gone(
        rig, positions_of(rig, count), start=start, points=points, ring_friction=ring_friction, planned=planned,
        progress=progress,
    )


def _energies(loaded: Loaded, whole: ReleasedSection, section: ReleasedSection, weight: float) -> tuple[float, float]:
    """Energy at the start, the ring's height included, for both sides of the bracket.  [J]"""
    height = weight * float(loaded.ring[2])
    return start_energy(loaded, whole) + height, start_energy(loaded, section) + height


def _notes(
    rig: Rig, at: Floats, nothing: Release, ties: Release, tied: bool, start: Start,
    ring_friction: Band,
) -> tuple[Note, ...]:
    notes = []
    aged = "strength-aged" if rig.backup.aged_strength is not None else "strength-new"
    strength: dict[str, Value] = {"strength": Quantity(rig.backup.strength, "force", "down"), "known": Term(aged)}
    for release in (nothing, ties) if tied else (nothing,):
        side = Term(SIDES[release.name])
        peak = float(release.lowest.tension.max())
        for kind, state in ((GoneNote.OVERLOAD, release.lowest), (GoneNote.OVERLOAD_MOST, release.most)):
            loads = state.tension
            worst = int(np.argmax(np.nan_to_num(loads)))
            share, spot = float(loads[worst]) / rig.backup.strength, float(at[worst])
            if share > 1.0:
                load = Quantity(float(loads[worst]), "force")
                values: dict[str, Value] = {"side": side, "peak": load, "at": Spot(spot), **strength}
                notes.append(Note(
                    kind=kind, severity=Severity.DANGER, values=values, weight=share, place=Place(spot, spot)
                ))
                break
        if peak > rig.backup.stretch.tension[-1] and not rig.backup.stretch.is_linear:
            notes.append(Note(kind=GoneNote.BEYOND_CURVE, severity=Severity.LIMIT))
        for end in (0, 1):
            away, left = (at, release.turns.far) if end == 0 else (rig.span - at, rig.span - release.turns.far)
            places = at[(away > FROM_AFAR) & (left < NEAR_ANCHOR)]
            if places.size:
                ends = float(places.min()), float(places.max())
                near = Quantity(NEAR_ANCHOR, "length")
                values = {"side": side, "anchor": "AB"[end], "at": Stretches((ends,)), "near": near}
                notes.append(Note(kind=GoneNote.TO_ANCHOR, severity=Severity.CHECK, values=values, place=Place(*ends)))
    if not tied:
        notes.append(Note(kind=GoneNote.NO_TIES, severity=Severity.BASIS))
    notes.append(Note(kind=GoneNote.STATIC, severity=Severity.BASIS))
    values = {
        "low": friction_text(ring_friction.low), "high": friction_text(ring_friction.high),
        "given": "no" if ring_friction == RUNNING_RING_FRICTION else "yes",
    }
    notes.append(Note(kind=GoneNote.RUN, severity=Severity.BASIS, values=values))
    notes.append(Note(kind=GoneNote.START, severity=Severity.BASIS, values={"start": start.replace(" ", "-")}))
    notes.append(Note(kind=GoneNote.COMPARED, severity=Severity.BASIS, values={"known": Term(aged)}))
    return tuple(notes)

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

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

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
from linescope.events.floor import floors
from linescope.events.released import Chain
from linescope.events.released_line import PER_SIDE, line_points
from linescope.events.ring_run import FRICTION, Track, track
from linescope.events.sections import ReleasedSection, lost_energy, sections, start_energy
from linescope.notes import Kind, Note, Place, Quantity, Severity, Spot, Stretches, Term, Value
from linescope.rig import Rig
from linescope.shown import Outlined
from linescope.statics import Plan, plan
from linescope.statics.assemble import G
from linescope.statics.solution import freeze

Floats = NDArray[np.float64]
Holding = Literal["nothing holds", "ties hold"]
Start = Literal["standing", "at the ring"]
RUNS = {"run_free": 0.0, "run_far": FRICTION.low, "run_near": FRICTION.high}
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
class Release(Outlined):
    """One side of the bracket, for n places of the walker.  Arrays have n rows; curves have m points.

    Attributes
    ----------
    name : {"nothing holds", "ties hold"}
    section : (n, 2) array
        The released section of the main, unstretched metres from A.  [m]
    spare : (n,) array
        Backup less main in it, both unstretched.  [m]
    rest_ring, lowest_ring : (n, 3) array
        Where the ring comes to rest, and the lowest point of the energy floor.  [m]
    rest_depth, lowest_depth : (n,) array
        The same below the straight line between the main's anchors.  [m]
    foot_depth, most_foot_depth : (n,) array
        `lowest_foot` and `most_foot` below it.  [m]
    rest_top, rest_foot, lowest_top, lowest_foot : (n, 3) array
        Head and lowest foot of the body on its leash there.  [m]
    rest_tension, peak_tension : (n,) array
        Largest tension in the line at rest, and at the floor's lowest point.  [N]
    peak_force : (n,) array
        Force on the ring at the floor's lowest point.  [N]
    rest_angles, lowest_angles, steepest_angles : (n, 2) array
        Of the line below horizontal at anchor A and at anchor B: at rest, at the floor's lowest point, and the
        steepest anywhere on the floor.  [rad]
    floor, floor_foot : (n, m, 3) array
        The energy floor of the ring, and of the lowest foot.  [m]
    floor_tension : (n, m) array
        Largest tension in the line with the ring on the floor.  [N]
    hang : (n, m, 3) array
        Where the ring would hang at rest above each point of the floor if it did not roll.  [m]
    rest_line, lowest_line : (n, k, 3) array
        The line from anchor A over the ring to anchor B, at rest and at the floor's lowest point.  [m]
    run_free, run_far, run_near : (n,) array
        Where the ring first turns back when it runs along the line: without friction, with the least and with the most
        of `linescope.events.ring_run.FRICTION`; from A along the straight line.  [m]
    backup_share, main_share : (n,) array
        Peak tension over strength; nan for the main where none of it is left.  [-]
    most_depth, most_tension, most_force, most_share : (n,) array
        `lowest_depth` [m], `peak_tension` and `peak_force` [N] and `backup_share` [-] if all that the lost main has
        stored goes into the catch and its whole weight hangs on the backup.
    most_foot : (n, 3) array
        Lowest foot then.  [m]
    most_floor_foot : (n, m, 3) array
        The energy floor of the lowest foot then.  [m]
    most_line : (n, k, 3) array
        The line at the floor's lowest point then.  [m]
    """

    name: Holding
    section: Floats
    spare: Floats
    rest_ring: Floats
    lowest_ring: Floats
    rest_depth: Floats
    lowest_depth: Floats
    foot_depth: Floats
    most_foot_depth: Floats
    rest_top: Floats
    rest_foot: Floats
    lowest_top: Floats
    lowest_foot: Floats
    rest_tension: Floats
    peak_tension: Floats
    peak_force: Floats
    rest_angles: Floats
    lowest_angles: Floats
    steepest_angles: Floats
    floor: Floats
    floor_foot: Floats
    floor_tension: Floats
    hang: Floats
    rest_line: Floats
    lowest_line: Floats
    run_free: Floats
    run_far: Floats
    run_near: Floats
    backup_share: Floats
    main_share: Floats
    most_depth: Floats
    most_tension: Floats
    most_force: Floats
    most_share: Floats
    most_foot: Floats
    most_floor_foot: Floats
    most_line: Floats


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
    notes : tuple of Note
        What must be said beside the figures.
    """

    rig: Rig
    at: Floats
    ring_standing: Floats
    nothing_holds: Release
    ties_hold: Release
    tied: bool
    notes: tuple[Note, ...]


def height_rule(span: float) -> float:
    """Height that an association's rule asks for: length / 3 + 3 m.  Common practice, no source for its making.  [m]"""
    return span / 3.0 + 3.0


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
    run: bool,
) -> Release:
    """One side of the bracket: the walkers grouped by the section they stand in; `most_*` are nan without `lost`."""
    walker, n = walker_of(rig), len(owner)
    weight = walker.mass * G
    three = {name: np.empty((n, 3)) for name in ("rest_ring", "lowest_ring")}
    curves = {name: np.empty((n, points, 3)) for name in ("floor", "hang")}
    most_ring, most_floor = np.full((n, 3), np.nan), np.full((n, points, 3), np.nan)
    lines = {name: np.full((n, 2 * PER_SIDE + 1, 3), np.nan) for name in ("rest_line", "lowest_line", "most_line")}
    pairs = {name: np.empty((n, 2)) for name in ("section", "rest_angles", "lowest_angles", "steepest_angles")}
    ones = {
        name: np.full(n, np.nan)
        for name in (
            "spare", "rest_tension", "peak_tension", "peak_force", "main_share", "most_tension", "most_force",
            *RUNS,
        )
    }
    tension, weights = np.empty((n, points)), np.full(n, weight)
    pull = {"lowest": np.empty(n), "floor": np.empty((n, points)), "most": np.full(n, np.nan),
            "most_floor": np.full((n, points), np.nan)}
    for index in np.unique(owner):
        section, mine = found[index], owner == index
        chain = section.chain
        try:
            result = floors(chain, energy[mine], weight, points, soft)
            # Tapes that slide beside the section make it softer; tapes that hold may make it harder.
            other = result if section.held is chain else floors(section.held, energy[mine], weight, 1, soft)
            if run:
                line = track(chain, weight)
                for name_of, friction in RUNS.items():
                    ones[name_of][mine] = _runs(rig, chain, line, rings[mine], friction)
            most = other_most = None
            if lost is not None:
                most = other_most = floors(section.laden, energy[mine] + lost[mine], weight, points, soft)
                if section.held is not chain:
                    other_most = floors(section.laden_held, energy[mine] + lost[mine], weight, 1, soft)
        except SolveError as error:
            raise FallNotBounded(f"loss of the main, {name}: {error.problem}", advice=error.advice) from error
        shape = (int(mine.sum()), points)
        three["rest_ring"][mine] = chain.points(result.rest.x, result.rest.z)
        three["lowest_ring"][mine] = chain.points(result.bottom.x, result.bottom.z)
        curves["floor"][mine] = chain.points(result.floor.x.reshape(shape), result.floor.z.reshape(shape))
        curves["hang"][mine] = chain.points(result.hang.x.reshape(shape), result.hang.z.reshape(shape))
        lines["rest_line"][mine] = line_points(chain, result.rest)
        lines["lowest_line"][mine] = line_points(chain, result.bottom)
        pairs["section"][mine] = section.begin, section.stop
        pairs["rest_angles"][mine] = result.rest.angles
        pairs["lowest_angles"][mine] = result.bottom.angles
        pairs["steepest_angles"][mine] = np.max(result.floor.angles.reshape(*shape, 2), axis=1)
        ones["spare"][mine] = section.spare
        ones["rest_tension"][mine] = result.rest.top_tension
        peak = np.maximum(result.bottom.top_tension, other.bottom.top_tension)
        ones["peak_tension"][mine] = peak
        ones["peak_force"][mine] = np.maximum(result.force, other.force)
        if most is not None and other_most is not None:
            ones["most_tension"][mine] = np.maximum(most.bottom.top_tension, other_most.bottom.top_tension)
            ones["most_force"][mine] = np.maximum(most.force, other_most.force)
            pull["most"][mine], pull["most_floor"][mine] = most.force, most.on_floor.reshape(shape)
            most_ring[mine] = chain.points(most.bottom.x, most.bottom.z)
            most_floor[mine] = chain.points(most.floor.x.reshape(shape), most.floor.z.reshape(shape))
            lines["most_line"][mine] = line_points(section.laden, most.bottom)
        ones["main_share"][mine] = peak / rig.main.strength if len(chain.parts) > 1 else np.nan
        pull["lowest"][mine], pull["floor"][mine] = result.force, result.on_floor.reshape(shape)
        tension[mine] = result.floor.top_tension.reshape(shape)
    rest_top, rest_foot = body_hanging(walker, three["rest_ring"], weights)
    lowest_top, lowest_foot = body_hanging(walker, three["lowest_ring"], pull["lowest"])
    _, floor_foot = body_hanging(walker, curves["floor"], pull["floor"])
    _, most_foot = body_hanging(walker, most_ring, pull["most"])
    _, most_floor_foot = body_hanging(walker, most_floor, pull["most_floor"])
    release = Release(
        name=name, floor_tension=tension,
        rest_top=rest_top, rest_foot=rest_foot, lowest_top=lowest_top,
        lowest_foot=lowest_foot, floor_foot=floor_foot,
        rest_depth=rig.below_anchors(three["rest_ring"]), lowest_depth=rig.below_anchors(three["lowest_ring"]),
        foot_depth=rig.below_anchors(lowest_foot), most_foot_depth=rig.below_anchors(most_foot),
        most_depth=rig.below_anchors(most_ring), most_foot=most_foot, most_floor_foot=most_floor_foot,
        most_share=ones["most_tension"] / rig.backup.strength,
        backup_share=ones["peak_tension"] / rig.backup.strength, **three, **curves, **lines,
        **pairs, **ones,
    )
    freeze(release)
    return release


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
        Whether what the lost main may add is computed; without, the figures named `most_*` are nan.
    run : bool
        Whether the run of the ring is computed; without, the figures named `run_*` are nan.
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
    zero = np.zeros(n, dtype=np.int64)
    lost_all = lost[:, 0] if most else None
    nothing = _release(rig, "nothing holds", whole, zero, rings, energy[:, 0], lost_all, points, soft, run)
    if tied:
        lost_part = lost[:, 1] if most else None
        ties = _release(rig, "ties hold", parted, owner, rings, energy[:, 1], lost_part, points, soft, run)
    else:
        ties = replace(nothing, name="ties hold")
    if progress is not None:
        progress(1.0)
    result = MainGone(
        rig=rig, at=places.copy(), ring_standing=rings, nothing_holds=nothing, ties_hold=ties, tied=tied,
        notes=_notes(rig, places, nothing, ties, tied, start),
    )
    freeze(result)
    return result


def main_gone_sweep(
    rig: Rig,
    *,
    count: int = 100,
    start: Start = "standing",
    points: int = 61,
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
    start, points, planned, progress
        See `main_gone`.
    """
    return main_gone(
        rig, positions_of(rig, count), start=start, points=points, planned=planned, progress=progress
    )


def _energies(loaded: Loaded, whole: ReleasedSection, section: ReleasedSection, weight: float) -> tuple[float, float]:
    """Energy at the start, the ring's height included, for both sides of the bracket.  [J]"""
    height = weight * float(loaded.ring[2])
    return start_energy(loaded, whole) + height, start_energy(loaded, section) + height


def _notes(
    rig: Rig, at: Floats, nothing: Release, ties: Release, tied: bool, start: Start
) -> tuple[Note, ...]:
    notes = []
    aged = "strength-aged" if rig.backup.aged_strength is not None else "strength-new"
    strength: dict[str, Value] = {"strength": Quantity(rig.backup.strength, "force", "down"), "known": Term(aged)}
    for release in (nothing, ties) if tied else (nothing,):
        side = Term(SIDES[release.name])
        peak = float(release.peak_tension.max())
        for kind, loads in ((GoneNote.OVERLOAD, release.peak_tension), (GoneNote.OVERLOAD_MOST, release.most_tension)):
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
            away, left = (at, release.run_far) if end == 0 else (rig.span - at, rig.span - release.run_far)
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
        end: Quantity(getattr(FRICTION, end), "number", digits=1) for end in ("low", "high")
    }
    notes.append(Note(kind=GoneNote.RUN, severity=Severity.BASIS, values=values))
    notes.append(Note(kind=GoneNote.START, severity=Severity.BASIS, values={"start": start.replace(" ", "-")}))
    notes.append(Note(kind=GoneNote.COMPARED, severity=Severity.BASIS, values={"known": Term(aged)}))
    return tuple(notes)

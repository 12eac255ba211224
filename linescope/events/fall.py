"""Leash falls: how far down and how hard, at one place or at every place along the line.

Start: the walker is at rest, standing on the loaded line, the ring at his feet.  He falls freely by tie-in height +
leash until the leash is tight, and then stretches leash and body and pulls the ring down.  Once the line stays down
where he stood: what is stored in it counts.  Once it is up as empty before the leash is tight (an unloaded line is up
in 0.2 to 0.4 s, a free fall of 2.6 m takes 0.73 s) and has lost that energy.  The first is always the deeper and the
harder, since the empty line at rest has the least energy of all; it is what the figures are, the other stands beside
them.  The ring stays at its place on the main.

Sliding tapes can do anything between holding as taped and sliding freely (`linescope.events.slid`): each fall is
computed for both, and every figure is that of the worse one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linescope.errors import FallNotBounded
from linescope.events.catch import (
    Held,
    Loaded,
    body_hanging,
    fall_speed,
    free_fall,
    lines_of,
    lowest,
    positions_of,
    sprung,
    stand,
    stand_along,
    stored,
    under_all,
    walker_of,
)
from linescope.events.slid import Slid, slid_fall
from linescope.notes import Kind, Note, Place, Quantity, Severity, Spot, Term, Value
from linescope.rig import Rig, Walker
from linescope.shown import Outlined
from linescope.statics import Plan, Solution, plan
from linescope.statics.minimise import Minimum
from linescope.statics.results import make_solution
from linescope.statics.solution import StateName, freeze
from linescope.ties import first_most

Floats = NDArray[np.float64]
SEEN = 5e-3  # Less than this deeper is no deeper [m].


class FallNote(Kind):
    """What is said of leash falls."""

    OVERLOAD = "falls-overload"
    BEYOND_CURVE = "falls-beyond-curve"
    TIGHT = "falls-backup-tight"
    STATIC = "falls-basis-static"
    START = "falls-basis-start"
    SLIDERS = "falls-basis-sliders"
    LOOPS = "falls-limit-loops"


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class LowestPoint(Outlined):
    """Ring, walker and lines as he is lowest, in n falls: of tapes that hold and tapes that slide freely the worse.

    Attributes
    ----------
    ring : (n, 3) array
        [m]
    head, foot : (n, 3) array
        Of the walker, in the leash: bounds.  [m]
    stretch : (n,) array
        Of leash and body.  [m]
    dip : (n,) array
        How far the ring is below where it lay as he stood.  [m]
    dip_held : (n,) array
        The same if sliding tapes hold as taped; where nothing slides, the same.  [m]
    peak_force : (n,) array
        Force of leash on ring.  [N]
    peak_main_tension, peak_backup_tension : (n,) array
        Largest anywhere along the line.  [N]
    least_excess : (n,) array
        Of any bay, tapes held as taped: backup over stretched main, minus one.  [-]
    energy_error : (n,) array
        What the balance leaves over, of the energy stored.  [-]
    held_states : tuple of Minimum
        Main and backup, sliding tapes held as taped: one a fall.
    free_states : tuple of Minimum
        The same with tapes that slide freely; empty where nothing slides.
    """

    ring: Floats
    head: Floats
    foot: Floats
    stretch: Floats
    dip: Floats
    dip_held: Floats
    peak_force: Floats
    peak_main_tension: Floats
    peak_backup_tension: Floats
    least_excess: Floats
    energy_error: Floats
    held_states: tuple[Minimum, ...]
    free_states: tuple[Minimum, ...]


@dataclass(frozen=True, eq=False, kw_only=True)
class LineUpFirst:
    """The same falls where the line is up as empty before the leash is tight; nan where that was not looked at.

    Attributes
    ----------
    peak_force : (n,) array
        Force of leash on ring at the lowest point.  [N]
    foot : (n, 3) array
        Lowest foot.  [m]
    """

    peak_force: Floats
    foot: Floats


@dataclass(frozen=True, eq=False, kw_only=True)
class QuietHang:
    """A walker who hangs in the leash at rest, the ring where it lay as he stood.

    Attributes
    ----------
    head, foot : (n, 3) array
        [m]
    """

    head: Floats
    foot: Floats


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class LeashFallSweep(Outlined):
    """Leash falls at n places.

    Attributes
    ----------
    rig : Rig
    at : (n,) array
        Distance from A along the straight line to B.  [m]
    coordinate : (n,) array
        Unstretched metres of main from A.  [m]
    ring_standing : (n, 3) array
        Feet and ring as he stands; also the ring of the quiet hang.  [m]
    low : LowestPoint
    up : LineUpFirst
    hang : QuietHang
    free_fall : float
        Tie-in height + leash.  [m]
    speed : float
        When the leash comes tight.  [m/s]
    notes : tuple of Note
        What must be said beside the figures.
    """

    rig: Rig
    at: Floats
    coordinate: Floats
    ring_standing: Floats
    low: LowestPoint
    up: LineUpFirst
    hang: QuietHang
    free_fall: float
    speed: float
    notes: tuple[Note, ...]

    @property
    def lowest(self) -> int:
        """Index of the place with the lowest foot; of places alike, the first from A."""
        return first_most(-self.low.foot[:, 2])


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class LeashFall(Outlined):
    """One leash fall.

    Attributes
    ----------
    figures : LeashFallSweep
        The figures, with n = 1.
    standing, bottom : Solution
        The rig as he stands, and as it holds him at the lowest point (its walker is the ring), tapes as taped.
    deepest : Solution
        The one of `bottom` and the same with tapes that slide freely whose ring lies lower.
    notes : tuple of Note
    """

    figures: LeashFallSweep
    standing: Solution
    bottom: Solution
    deepest: Solution
    notes: tuple[Note, ...]


@dataclass(frozen=True, eq=False, kw_only=True)
class _Fall:
    loaded: Loaded
    force: float
    low: Minimum
    to_store: float
    slope: float
    energy_error: float
    force_up: float
    low_up: Minimum | None
    slid: Slid | None = None

    @property
    def ends(self) -> list[tuple[float, Minimum, float]]:
        """Force on the ring, the pair and the error of energy at the lowest point: tapes held, and free."""
        held = [(self.force, self.low, self.energy_error)]
        return held if self.slid is None else [*held, (self.slid.force, self.slid.low, self.slid.energy_error)]


def _falls(
    loaded: list[Loaded], walker: Walker, *, risen: bool = True, progress: Callable[[float], None] | None = None
) -> list[_Fall]:
    """Energy balance at each of some places; without `risen` the line that is up first is left out (nan)."""
    weight, soft = loaded[0].weight, walker.compliance
    asked = 0

    def line(force: Floats) -> Held:
        nonlocal asked
        asked += 1
        if progress is not None:
            progress(1.0 - 0.8**asked)
        return sprung(lines_of(loaded, force), force, soft)

    every = np.full(len(loaded), weight)
    # Against the rest under his weight, where leash and body have taken up weight^2 c / 2 already: equation (1).
    to_store = weight * free_fall(walker) + 0.5 * soft * weight**2
    resting = line(every)
    softness = _along(loaded, [one.standing for one in loaded])
    guess = weight + np.sqrt(2.0 * to_store / (softness + soft))
    force = lowest(line, resting, weight=weight, to_store=np.full_like(every, to_store), guess=guess)
    low = under_all(loaded, force)
    error = np.abs(stored(line(force), resting, weight) - to_store) / to_store
    # d sqrt(energy) / d force, from d energy = (force - weight) x softness x d force.
    rise = 0.5 * (force - weight) * (_along(loaded, low) + soft) / float(np.sqrt(to_store))
    force_up, low_up = np.full_like(every, np.nan), low
    if risen:
        # The line up before the leash is tight has given back what it had stored beyond the one that is up.
        up = _up(loaded, free_fall(walker))
        less = np.array([
            one.rig_energy(one.standing, weight) - one.rig_energy(state, pull)
            for one, state, pull in zip(loaded, under_all(loaded, up), up.tolist(), strict=True)
        ])
        force_up = lowest(
            line, resting, weight=weight, to_store=np.maximum(to_store - less, 0.0), guess=0.5 * (weight + force)
        )
        low_up = under_all(loaded, force_up)
    return [
        _Fall(
            loaded=one, force=float(force[k]), low=low[k], to_store=to_store, slope=float(rise[k]),
            energy_error=float(error[k]), force_up=float(force_up[k]), low_up=low_up[k] if risen else None,
        )
        for k, one in enumerate(loaded)
    ]


def _along(loaded: list[Loaded], states: list[Minimum]) -> Floats:
    """(n,) softness at each place [m/N], about: looked at in a dozen of them."""
    some = np.unique(np.linspace(0, len(loaded) - 1, 12).astype(int))
    at = np.array([one.coordinate for one in loaded])
    order = some[np.argsort(at[some])]
    known = np.array([loaded[k].softness(states[k]) for k in order.tolist()])
    return np.asarray(np.interp(at, at[order], known))


def _up(loaded: list[Loaded], height: float) -> Floats:
    """(n,) forces on the ring with the line up as empty, 0, or as far up as the leash lets it come: by the free fall.
    [N]"""
    level = np.array([one.ring[2] for one in loaded]) + height

    def over(force: Floats, number: Floats) -> Floats:
        some = [loaded[k] for k in number.astype(int).tolist()]
        states = under_all(some, force)
        up = [state.state.unknowns[one.node, 2] for one, state in zip(some, states, strict=True)]
        return np.asarray(np.array(up) - level[number.astype(int)], dtype=float)

    found, weight = np.zeros(len(loaded)), loaded[0].weight
    held = np.flatnonzero(over(found, np.arange(len(loaded), dtype=float)) > 0.0)
    if len(held):
        from scipy.optimize import elementwise  # Slow to import, and hardly ever needed.

        ends = np.zeros(len(held)), np.full(len(held), weight)
        root = elementwise.find_root(over, ends, args=(held.astype(float),), tolerances={"xatol": 1e-4 * weight})
        found[held] = root.x
    return found


def _slid(planned: Plan, fall: _Fall, walker: Walker, near: Slid | None = None) -> _Fall:
    """The same fall with what becomes of it if sliding tapes slide freely."""
    if not planned.pair.free_slides.any():
        return fall
    slid = slid_fall(
        planned, fall.loaded, compliance=walker.compliance, force=fall.force, low=fall.low, to_store=fall.to_store,
        slope=fall.slope, near=near,
    )
    return replace(fall, slid=slid)


def _pulled(low: Minimum) -> tuple[float, float, float]:
    """Largest tension in main and backup [N], and the least excess of any bay [-]."""
    segments, pair = low.state.segments, low.state.pair
    first_backup = pair.n + 1
    ends = np.maximum(segments.tension_start, segments.tension_end)
    bay = np.concatenate(([0], np.cumsum(pair.is_tape)))
    stretched = np.bincount(bay, weights=segments.stretched_length()[:first_backup])
    chords = np.linalg.norm(segments.chord[first_backup:], axis=1)
    first = np.searchsorted(bay, np.arange(len(chords)), side="left")
    mains = np.linalg.norm(np.add.reduceat(segments.chord[:first_backup], first, axis=0), axis=1)
    excess = float(np.min(segments.length[first_backup:] / (stretched + chords - mains))) - 1.0
    return float(ends[:first_backup].max()), float(ends[first_backup:].max()), excess


def _collect(rig: Rig, at: Floats, falls: list[_Fall]) -> LeashFallSweep:
    walker, ends = walker_of(rig), [fall.ends for fall in falls]
    standing = np.array([fall.loaded.ring for fall in falls])
    rings = np.array([
        [low.state.unknowns[fall.loaded.node, :3] for _, low, _ in fall.ends] for fall in falls
    ])
    forces = np.array([[force for force, _, _ in each] for each in ends])
    every = np.arange(len(falls))
    deepest = np.argmin(rings[:, :, 2] - walker.compliance * forces, axis=1)
    ring, force = rings[every, deepest], forces[every, deepest]
    up = np.array([
        np.full(3, np.nan) if fall.low_up is None else fall.low_up.state.unknowns[fall.loaded.node, :3]
        for fall in falls
    ])
    force_up = np.array([fall.force_up for fall in falls])
    pulled = np.array([[_pulled(low) for _, low, _ in each] for each in ends])
    tension = pulled[:, :, :2].max(axis=1)
    excess = pulled[:, 0, 2]  # Where loops have slid away a bay is straight and yet takes no part.
    dip, dip_held = standing[:, 2] - ring[:, 2], standing[:, 2] - rings[:, 0, 2]
    head, foot = body_hanging(walker, ring, force)
    low = LowestPoint(
        ring=ring, head=head, foot=foot, stretch=walker.compliance * force, dip=dip, dip_held=dip_held,
        peak_force=forces.max(axis=1), peak_main_tension=tension[:, 0], peak_backup_tension=tension[:, 1],
        least_excess=excess, energy_error=np.array([max(error for _, _, error in each) for each in ends]),
        held_states=tuple(fall.low for fall in falls),
        free_states=tuple(fall.slid.low for fall in falls if fall.slid is not None),
    )
    hang_head, hang_foot = body_hanging(walker, standing)
    result = LeashFallSweep(
        rig=rig, at=at.copy(), coordinate=np.array([fall.loaded.coordinate for fall in falls]),
        ring_standing=standing, low=low,
        up=LineUpFirst(peak_force=force_up, foot=body_hanging(walker, up, force_up)[1]),
        hang=QuietHang(head=hang_head, foot=hang_foot),
        free_fall=free_fall(walker), speed=fall_speed(free_fall(walker)),
        notes=_notes(rig, at, tension, excess, dip - dip_held if rings.shape[1] > 1 else None),
    )
    for part in (result, result.low, result.up, result.hang):
        freeze(part)
    return result


def _notes(
    rig: Rig, at: Floats, tension: Floats, excess: Floats, deeper: Floats | None
) -> tuple[Note, ...]:
    notes = []
    for column, (line, webbing) in enumerate((("main", rig.main), ("backup", rig.backup))):
        worst = first_most(tension[:, column])
        top, spot = float(tension[worst, column]), float(at[worst])
        values: dict[str, Value] = {"line": line, "at": Spot(spot)}
        if top > webbing.strength:
            aged = "strength-new" if webbing.aged_strength is None else "strength-aged"
            values |= {
                "peak": Quantity(top, "force"), "strength": Quantity(webbing.strength, "force", "down"),
                "known": Term(aged),
            }
            notes.append(Note(
                kind=FallNote.OVERLOAD, severity=Severity.DANGER, values=values, weight=top / webbing.strength,
                place=Place(spot, spot),
            ))
        elif top > webbing.stretch.tension[-1] and not webbing.stretch.is_linear:
            notes.append(Note(kind=FallNote.BEYOND_CURVE, severity=Severity.LIMIT, values=values))
    if excess.min() < 0.0:
        spot = float(at[first_most(-excess)])
        values = {"excess": Quantity(float(excess.min()), "ratio"), "at": Spot(spot)}
        notes.append(Note(kind=FallNote.TIGHT, severity=Severity.DANGER, values=values, place=Place(spot, spot)))
    walker = walker_of(rig)
    notes.append(Note(kind=FallNote.STATIC, severity=Severity.BASIS))
    values = {
        "height": Quantity(free_fall(walker), "length"), "leash": Quantity(walker.leash_modulus, "force"),
        "body": Quantity(walker.body_stiffness, "stiffness"),
    }
    notes.append(Note(kind=FallNote.START, severity=Severity.BASIS, values=values))
    if deeper is not None:
        most = float(deeper.max())
        values = {"deeper": "yes" if most >= SEEN else "no", "by": Quantity(most, "length", "up")}
        notes.append(Note(kind=FallNote.SLIDERS, severity=Severity.BASIS, values=values))
    return tuple(notes)


@contextmanager
def _named(place: float) -> Iterator[None]:
    """Says where it is that a fall is not bounded."""
    try:
        yield
    except FallNotBounded as error:
        raise FallNotBounded(f"at {place:.2f} m from A: {error.problem}", advice=error.advice) from error


def leash_fall(rig: Rig, at: float | None = None, *, planned: Plan | None = None) -> LeashFall:
    """A fall into the leash at one place.

    Parameters
    ----------
    rig : Rig
        With a walker.
    at : float, optional
        Distance from A along the straight line to B; default the walker's own place.  [m]
    planned : Plan, optional
        `plan(rig)`, when it was made before.

    Raises
    ------
    InputError
        When the rig has no walker or the place lies outside the line.
    FallNotBounded
        When no lowest point is found.
    NoEquilibrium, SegmentNotSolved, TensionNotReached
    """
    walker = walker_of(rig)
    planned = plan(rig) if planned is None else planned
    place = walker.at if at is None else float(at)
    here = rig.with_walker_at(place)
    loaded = stand(replace(planned, rig=rig), place)
    fall = _slid(planned, _falls([loaded], walker)[0], walker)
    figures = _collect(rig, np.array([place]), [fall])

    def solution(minimum: Minimum, state: StateName = "as taped") -> Solution:
        return make_solution(
            rig=here, layout=planned.layout, state_name=state, minimum=minimum, walker_node=loaded.node,
            iterations=minimum.steps, other_equilibria=None, notes=(),
        )

    bottom = solution(fall.low)
    deepest = bottom
    if fall.slid is not None and figures.low.dip[0] > figures.low.dip_held[0]:
        deepest = solution(fall.slid.low, "settled")
    result = LeashFall(
        figures=figures,
        standing=solution(loaded.standing),
        bottom=bottom,
        deepest=deepest,
        notes=figures.notes,
    )
    freeze(result)
    return result


def leash_fall_sweep(
    rig: Rig,
    at: ArrayLike | None = None,
    *,
    count: int = 100,
    risen: bool = True,
    planned: Plan | None = None,
    progress: Callable[[float], None] | None = None,
) -> LeashFallSweep:
    """Falls into the leash at many places.

    Parameters
    ----------
    rig : Rig
        With a walker; his own place does not matter.
    at : (n,) array, optional
        Distances from A along the straight line to B.  [m]
    count : int
        Even places when `at` is not given.
    risen : bool
        Whether the line that is up before the leash is tight is looked at; without, `up` is nan.
    planned : Plan, optional
    progress : callable, optional
        Told the share done, 0 to 1.

    Raises
    ------
    InputError, FallNotBounded, NoEquilibrium, SegmentNotSolved, TensionNotReached
    """
    walker = walker_of(rig)
    planned = replace(plan(rig) if planned is None else planned, rig=rig)
    places = positions_of(rig, count) if at is None else np.atleast_1d(np.asarray(at, dtype=float))
    slides = planned.pair.free_slides.any()
    tell = progress or (lambda share: None)
    loaded = stand_along(planned, places)
    try:
        falls = _falls(loaded, walker, risen=risen, progress=lambda share: tell((0.3 if slides else 1.0) * share))
    except FallNotBounded:
        for one, place in zip(loaded, places.tolist(), strict=True):
            with _named(place):
                _falls([one], walker, risen=risen)
        raise
    for number in range(len(falls) if slides else 0):
        with _named(float(places[number])):
            falls[number] = _slid(planned, falls[number], walker, falls[number - 1].slid if number else None)
        tell(0.3 + 0.7 * (number + 1) / len(places))
    tell(1.0)
    return _collect(rig, places, falls)

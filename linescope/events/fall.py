"""Leash falls: how far down and how hard, at one place or at every place along the line.

Start: the walker is at rest, standing on the loaded line, the ring at his feet.  He falls freely by tie-in height +
leash until the leash is tight, and then pulls the ring down.  What is stored in the loaded line is counted: the line
has no time to rise behind him.  That is the deeper and harder of the two conventions (the other lets the empty line
come up first and loses its energy), so it does not understate.  The ring stays at its place on the main.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linescope.errors import FallNotBounded
from linescope.events.catch import (
    BOUND,
    STATIC_STRETCH,
    Held,
    Loaded,
    body_hanging,
    fall_speed,
    free_fall,
    lowest,
    positions_of,
    stand,
    stand_along,
    stored,
    walker_of,
)
from linescope.rig import Rig
from linescope.statics import Plan, Solution, plan
from linescope.statics.minimise import Minimum
from linescope.statics.results import make_solution
from linescope.statics.solution import freeze
from linescope.units import format_si

Floats = NDArray[np.float64]



@dataclass(frozen=True, eq=False, kw_only=True)
class LeashFallSweep:
    """Leash falls at n places.  Arrays are (n,) or (n, 3).

    Attributes
    ----------
    rig : Rig
    at : (n,) array
        Distance from A along the straight line to B.  [m]
    coordinate : (n,) array
        Unstretched metres of main from A.  [m]
    ring_standing : (n, 3) array
        Feet and ring as he stands; also the ring of the quiet hang.  [m]
    ring_lowest : (n, 3) array
        [m]
    dip : (n,) array
        How far the ring goes down below where it lay as he stood.  [m]
    peak_force : (n,) array
        Force of leash on ring at the lowest point.  [N]
    peak_main_tension, peak_backup_tension : (n,) array
        Largest anywhere along the line at the lowest point.  [N]
    least_excess : (n,) array
        Of any bay at the lowest point: backup over stretched main, minus one.  [-]
    hang_top, hang_foot : (n, 3) array
        Head and lowest foot in the quiet hang.  [m]
    low_top, low_foot : (n, 3) array
        Head and lowest foot at the lowest point.  [m]
    energy_error : (n,) array
        What the balance leaves over, of the energy stored.  [-]
    free_fall : float
        Tie-in height + leash.  [m]
    speed : float
        When the leash comes tight.  [m/s]
    notes : tuple of str
        What must be said beside the figures, worst first.
    lowest_states : tuple of Minimum
        Main and backup at the lowest point of each fall.
    """

    rig: Rig
    at: Floats
    coordinate: Floats
    ring_standing: Floats
    ring_lowest: Floats
    dip: Floats
    peak_force: Floats
    peak_main_tension: Floats
    peak_backup_tension: Floats
    least_excess: Floats
    hang_top: Floats
    hang_foot: Floats
    low_top: Floats
    low_foot: Floats
    energy_error: Floats
    free_fall: float
    speed: float
    notes: tuple[str, ...]
    lowest_states: tuple[Minimum, ...]

    @property
    def hardest(self) -> int:
        """Index of the place with the largest force on the ring."""
        return int(np.argmax(self.peak_force))

    @property
    def lowest(self) -> int:
        """Index of the place with the lowest foot."""
        return int(np.argmin(self.low_foot[:, 2]))


@dataclass(frozen=True, eq=False, kw_only=True)
class LeashFall:
    """One leash fall.

    Attributes
    ----------
    figures : LeashFallSweep
        The figures, with n = 1.
    standing, bottom : Solution
        The rig as he stands, and as it holds him at the lowest point (its walker is the ring).
    notes : tuple of str
    """

    figures: LeashFallSweep
    standing: Solution
    bottom: Solution
    notes: tuple[str, ...]


@dataclass(frozen=True, eq=False, kw_only=True)
class _Fall:
    loaded: Loaded
    force: float
    low: Minimum
    slope: float
    energy_error: float


def _fall(loaded: Loaded, height: float, guess: float | None = None, slope: float | None = None) -> _Fall:
    """Energy balance at one place, begun from the force and slope found close by."""
    weight = loaded.weight
    give = weight * height
    if guess is None:
        guess = weight + float(np.sqrt(2.0 * give / max(loaded.softness(loaded.standing), 1e-9)))
    resting = loaded.line(np.array([weight]))
    start = np.array([guess])
    force = float(lowest(loaded.line, resting, weight=weight, give=give, guess=start, slope=slope)[0])
    low = loaded.under(force)
    reached: Held = loaded.line(np.array([force]))
    error = abs(float(stored(reached, resting, weight)[0]) - give) / give
    # d sqrt(energy) / d force, from d energy = (force - weight) x softness x d force.
    rise = 0.5 * (force - weight) * loaded.softness(low) / float(np.sqrt(give))
    return _Fall(loaded=loaded, force=force, low=low, slope=rise, energy_error=error)


def _collect(rig: Rig, at: Floats, falls: list[_Fall]) -> LeashFallSweep:
    walker = walker_of(rig)
    standing = np.array([fall.loaded.ring for fall in falls])
    ring = np.array([fall.low.state.unknowns[fall.loaded.node, :3] for fall in falls])
    tension, excess = np.empty((len(falls), 2)), np.empty(len(falls))
    for index, fall in enumerate(falls):
        segments, first_backup = fall.low.state.segments, fall.loaded.pair.n + 1
        ends = np.maximum(segments.tension_start, segments.tension_end)
        tension[index] = ends[:first_backup].max(), ends[first_backup:].max()
        bay = np.concatenate(([0], np.cumsum(fall.loaded.pair.is_tape)))
        stretched = np.bincount(bay, weights=segments.stretched_length()[:first_backup])
        chords = np.linalg.norm(segments.chord[first_backup:], axis=1)
        first = np.searchsorted(bay, np.arange(len(chords)), side="left")
        mains = np.linalg.norm(np.add.reduceat(segments.chord[:first_backup], first, axis=0), axis=1)
        excess[index] = np.min(segments.length[first_backup:] / (stretched + chords - mains)) - 1.0
    hang_top, hang_foot = body_hanging(walker, standing)
    low_top, low_foot = body_hanging(walker, ring)
    result = LeashFallSweep(
        rig=rig,
        at=at.copy(),
        coordinate=np.array([fall.loaded.coordinate for fall in falls]),
        ring_standing=standing,
        ring_lowest=ring,
        dip=standing[:, 2] - ring[:, 2],
        peak_force=np.array([fall.force for fall in falls]),
        peak_main_tension=tension[:, 0],
        peak_backup_tension=tension[:, 1],
        least_excess=excess,
        hang_top=hang_top,
        hang_foot=hang_foot,
        low_top=low_top,
        low_foot=low_foot,
        energy_error=np.array([fall.energy_error for fall in falls]),
        free_fall=free_fall(walker),
        speed=fall_speed(free_fall(walker)),
        notes=_notes(rig, tension, excess, free_fall(walker)),
        lowest_states=tuple(fall.low for fall in falls),
    )
    freeze(result)
    return result


def _notes(rig: Rig, tension: Floats, excess: Floats, height: float) -> tuple[str, ...]:
    notes = []
    for column, (name, webbing) in enumerate((("main", rig.main), ("backup", rig.backup))):
        top = float(tension[:, column].max())
        if top > webbing.strength:
            notes.append(
                f"THE {name.upper()} IS ABOVE ITS STRENGTH in a leash fall: {format_si(top, 'force')} against "
                f"{format_si(webbing.strength, 'force')}."
            )
        elif top > webbing.stretch.tension[-1] and not webbing.stretch.is_linear:
            notes.append(
                f"The {name} is pulled beyond the last point of its stretch curve in a leash fall: the curve is "
                "continued straight (assumed)."
            )
    if excess.min() < 0.0:
        notes.append(
            f"THE BACKUP IS TIGHT at the bottom of a leash fall (least excess {100.0 * excess.min():.2g} %): it "
            "takes part of the catch."
        )
    notes.append(f"{BOUND} {STATIC_STRETCH}")
    notes.append(
        f"Free fall {format_si(height, 'length')} (tie-in height + leash), from rest, standing on the loaded line; "
        "what the loaded line has stored is counted; sliding tapes are held as taped; leash and body do not give; the "
        "ring stays at its place on the main."
    )
    return tuple(notes)


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
    fall = _fall(loaded, free_fall(walker))
    figures = _collect(rig, np.array([place]), [fall])

    def solution(minimum: Minimum, notes: tuple[str, ...]) -> Solution:
        return make_solution(
            rig=here, layout=planned.layout, state_name="as taped", minimum=minimum, walker_node=loaded.node,
            iterations=minimum.steps, other_equilibria=None, notes=notes,
        )

    result = LeashFall(
        figures=figures,
        standing=solution(loaded.standing, ()),
        bottom=solution(fall.low, (BOUND,)),
        notes=figures.notes,
    )
    freeze(result)
    return result


def leash_fall_sweep(
    rig: Rig,
    at: ArrayLike | None = None,
    *,
    count: int = 100,
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
    falls: list[_Fall] = []
    guess = slope = None
    for number, loaded in enumerate(stand_along(planned, places)):
        try:
            fall = _fall(loaded, free_fall(walker), guess, slope)
        except FallNotBounded as error:
            raise FallNotBounded(
                f"at {places[number]:.2f} m from A: {error.problem}", advice=error.advice
            ) from error
        falls.append(fall)
        guess = 2.0 * fall.force - falls[-2].force if len(falls) > 1 else fall.force
        slope = fall.slope
        if progress is not None:
            progress((number + 1) / len(places))
    return _collect(rig, places, falls)

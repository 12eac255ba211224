"""What every catch shares: the energy balance, the walker's body on the leash, and the rig under a load at his place.

What a body loses in height is stored in rig, leash and body, one after the other; nothing is lost to damping and the
line has no inertia.  The rig's own curve of force against deflection is followed by load control: for a force F the
state it holds is an equilibrium, so energy and deflection follow from F, and the balance is one equation in F:

    weight x (free fall + u(F) - u(start) + c F) = E(F) - E(start) + c F^2 / 2                                  (1)

u the ring's deflection, E the rig's energy, c the compliance of leash and body.  It bounds how deep the body goes: a
body at rest there has the least energy in the line that any line has with the body so deep, so none gets deeper.  The
ring's own depth and the forces are no bounds: they are those of a line that is pulled slowly.

References
----------
.. [1] S. P. Timoshenko, *Strength of Materials*, part I, 3rd ed. 1955, section 60 (a weight dropped on a spring; a
   suddenly applied load doubles the static force).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linescope.errors import FallNotBounded, InputError, SolveError
from linescope.rig import Rig, Walker
from linescope.rig.layout import SAME_PLACE
from linescope.statics import Loading, Plan
from linescope.statics.assemble import DOWN, G, assemble, first_guess
from linescope.statics.minimise import Minimum, Settings, minimise
from linescope.statics.pair import SLIDES_ON_MAIN, Pair

Floats = NDArray[np.float64]

BALANCE_TOLERANCE = 1e-6  # Of the energy to be stored; the force is then right to less than that.
ROUNDING = 1e-10  # Of the line's own energy: what equilibria found to their tolerance leave uncertain.
MAX_TRIES = 60
LARGEST_FORCE = 1e4  # Of the weight; no line holds it.
# The energy's error goes with the square of the unbalanced force, so this is finer than it looks.
SETTINGS = Settings(tolerance=1e-7, accepted=1e-5)


@dataclass(frozen=True, eq=False, kw_only=True)
class Held:
    """What a line does under given forces on the ring.  Arrays are (n,).

    Attributes
    ----------
    drop : array
        How far the ring is below a fixed level.  [m]
    energy : array
        Elastic energy of the line and potential of its own weight.  [J]
    """

    drop: Floats
    energy: Floats


Line = Callable[[Floats], Held]


def sprung(line: Held, force: ArrayLike, compliance: float) -> Held:
    """A line with leash and body below the ring, one after the other: how far down the tie-in point is, and energy.

    Parameters
    ----------
    line : Held
    force : (n,) array
        [N]
    compliance : float
        Of leash and body; `Walker.compliance`.  [m/N]
    """
    pull = np.asarray(force, dtype=float)
    return Held(drop=line.drop + compliance * pull, energy=line.energy + 0.5 * compliance * pull**2)


def stored(line: Held, start: Held, weight: float) -> Floats:
    """What the line takes up between two states beyond what the weight gives: integral of (F - weight) du.  [J]"""
    return line.energy - start.energy - weight * (line.drop - start.drop)


def lowest(
    line: Line,
    resting: Held,
    *,
    weight: float,
    give: ArrayLike,
    guess: ArrayLike,
    slope: float | None = None,
    tolerance: float = BALANCE_TOLERANCE,
    tries: int = MAX_TRIES,
) -> Floats:
    """Force at the lowest point: where the line has taken up a given energy beyond its resting state.

    The square root of that energy is linear in the force for a linear line, and nearly so for any other: a secant on
    it, kept inside a bracket, meets a linear line in one step.

    Parameters
    ----------
    line : callable
        Forces (n,) [N] to `Held`.
    resting : Held
        The line under the weight at rest.
    weight : float
        [N]
    give : (n,) array
        Energy to take up, >= 0.  [J]
    guess : (n,) array
        A force above the weight to begin with.  [N]
    slope : float, optional
        About how fast the square root of the energy grows with the force there.  [J^0.5/N]
    tolerance : float
        Of the energy to take up.  [-]
    tries : int
        How many forces are tried at the most.

    Returns
    -------
    (n,) array
        [N]

    Raises
    ------
    FallNotBounded
        When no force up to `LARGEST_FORCE` x weight stores the energy.
    """
    give = np.atleast_1d(np.asarray(give, dtype=float))
    rounding = ROUNDING * (np.abs(resting.energy) + weight * (1.0 + np.abs(resting.drop)))
    nothing = give <= 10.0 * rounding
    goal = np.sqrt(np.where(nothing, 0.0, give))
    force = np.where(nothing, weight, np.maximum(np.asarray(guess, dtype=float), 1.0001 * weight))
    low, high = np.full_like(goal, weight), np.full_like(goal, np.inf)
    last, at_last = np.full_like(goal, weight), -goal
    done = nothing.copy()
    for count in range(tries):
        if done.all():
            return np.asarray(force, dtype=float)
        if np.any(force > LARGEST_FORCE * weight):
            break
        taken = stored(line(force), resting, weight)
        error = np.sqrt(np.maximum(taken, 0.0)) - goal
        done |= np.abs(taken - give) <= tolerance * give + rounding
        if done.all():
            return np.asarray(force, dtype=float)
        below = error < 0.0
        low, high = np.where(below, force, low), np.where(below, high, force)
        rise = (error - at_last) / np.where(force == last, 1.0, force - last)
        if count == 0 and slope is not None:
            rise = np.full_like(rise, slope)
        rise = np.where(rise > 0.0, rise, np.inf)
        trial = force - error / rise
        grown = weight + 3.0 * (force - weight)
        trial = np.where(np.isfinite(high), trial, np.minimum(trial, grown))
        outside = ~((trial > low) & (trial < high)) | (count % 8 == 7)
        trial = np.where(outside, np.where(np.isfinite(high), 0.5 * (low + high), grown), trial)
        last, at_last = np.where(done, last, force), np.where(done, at_last, error)
        force = np.where(done, force, trial)
    raise FallNotBounded(
        f"no force up to {np.max(force):.2g} N on the ring stores the energy of the fall.",
        advice="check the webbings' stretch curves and the walker's mass for a wrong unit.",
    )


def body_hanging(walker: Walker, ring: Floats, force: ArrayLike | None = None) -> tuple[Floats, Floats]:
    """Top of the head and lowest foot of a body hanging upright on its leash.

    Parameters
    ----------
    walker : Walker
    ring : (..., 3) array
        [m]
    force : (...) array, optional
        In the leash, which stretches it and the body; default his weight.  [N]

    Returns
    -------
    top, foot : (..., 3) array
        [m]
    """
    pull = np.asarray(walker.mass * G if force is None else force, dtype=float)
    tie_in = ring + (walker.leash + walker.compliance * pull)[..., None] * DOWN
    return tie_in - (walker.height - walker.tie_in_height) * DOWN, tie_in + walker.hang * DOWN


def free_fall(walker: Walker) -> float:
    """Height a body loses from standing beside its ring until the leash is tight below it.  [m]"""
    return walker.tie_in_height + walker.leash


def fall_speed(height: float) -> float:
    """Speed after falling freely by a height, without air drag.  [m/s]"""
    return float(np.sqrt(2.0 * G * height))


def walker_of(rig: Rig) -> Walker:
    """The rig's walker.

    Raises
    ------
    InputError
        When it has none.
    """
    if rig.walker is None:
        raise InputError("a fall needs a walker", key="walker", allowed="a walker with mass and leash")
    return rig.walker


def positions_of(rig: Rig, count: int) -> Floats:
    """(count,) even places along the straight line A-B, from half a step inside A to half a step inside B.  [m]"""
    return np.asarray((np.arange(count) + 0.5) * (rig.span / count), dtype=float)


@dataclass(frozen=True, eq=False, kw_only=True)
class Loaded:
    """The pair with a vertical load at the walker's node, for any load.

    Attributes
    ----------
    pair : Pair
    node : int
        The walker's node.
    coordinate : float
        His place on the main.  [m unstretched]
    weight : float
        [N]
    standing : Minimum
        The pair under his weight.
    sunk : (n, 4) array or None
        About how far a fall will move the nodes from there, when one close by is known.  [m]
    known : list of (force, Minimum)
        The pair under other forces, as they were asked for.
    """

    pair: Pair
    node: int
    coordinate: float
    weight: float
    standing: Minimum
    sunk: Floats | None = None
    known: list[tuple[float, Minimum]] = field(default_factory=list, repr=False)

    @property
    def ring(self) -> Floats:
        """(3,) the walker's feet, where the ring lies, as he stands.  [m]"""
        return self.standing.state.unknowns[self.node, :3]

    def rig_energy(self, state: Minimum, force: float) -> float:
        """The rig's own energy: elastic, and the weight of lines and tapes.  [J]"""
        return state.state.energy + force * float(DOWN @ state.state.unknowns[self.node, :3])

    def under(self, force: float) -> Minimum:
        """Equilibrium under a vertical force at the walker's node, begun from the states already known.

        Raises
        ------
        FallNotBounded
            When there is none.
        """
        known = sorted([(self.weight, self.standing), *self.known], key=lambda item: abs(item[0] - force))
        p0, near = known[0]
        if p0 == force:
            return near
        unknowns = near.state.unknowns
        forces: tuple[Floats, Floats] | None = near.state.forces
        if len(known) > 1:
            p1, other = known[1]
            share = (force - p0) / (p0 - p1)
            if abs(share) < 2.0:
                unknowns = unknowns + share * (near.state.unknowns - other.state.unknowns)
                (h0, v0), (h1, v1) = near.state.forces, other.state.forces
                forces = np.maximum(h0 + share * (h0 - h1), 0.2 * h0), v0 + share * (v0 - v1)
        elif self.sunk is not None:
            unknowns, forces = unknowns + self.sunk, None
        pull = self.pair.pull.copy()
        pull[self.node] += (force - self.weight) * DOWN
        pair = replace(self.pair, pull=pull)
        try:
            found = minimise(pair, unknowns, forces=forces, settings=SETTINGS)
        except SolveError as error:
            raise FallNotBounded(
                f"the rig found no balance under {force:.2g} N at its walker: {error.problem}", advice=error.advice
            ) from error
        self.known.append((force, found))
        return found

    def line(self, force: Floats) -> Held:
        """The rig as a line, for `lowest`: (1,) force to deflection and energy."""
        state = self.under(float(force[0]))
        drop = float(DOWN @ state.state.unknowns[self.node, :3])
        return Held(drop=np.array([drop]), energy=np.array([self.rig_energy(state, float(force[0]))]))

    def softness(self, state: Minimum) -> float:
        """How far the ring sinks per force more.  [m/N]"""
        right = np.zeros((self.pair.n, 4))
        right[self.node, :3] = DOWN
        stuck = np.ones(self.pair.n, dtype=bool)
        sunk = state.state.tangent().pinned(stuck).solve(right)
        return 0.0 if sunk is None else float(DOWN @ sunk[self.node, :3])


def _empty(planned: Plan, pair: Pair, node: int) -> Floats:
    """(n, 4) nodes of a pair with a walker on the empty standing rig, where they begin."""
    old, unknowns = planned.pair, planned.standing.state.unknowns
    places = np.concatenate(([0.0], old.main_at, [old.main_length]))
    points = np.concatenate((old.main_ends[:1], unknowns[:, :3], old.main_ends[1:]))
    start = np.stack([np.interp(pair.main_at, places, points[:, axis]) for axis in range(3)], axis=1)
    own = np.zeros(pair.n, dtype=bool)
    own[node] = not pair.is_tape[node]
    start[~own] = unknowns[:, :3]
    return np.column_stack((start, pair.start_slides))


def _moved(pair: Pair, node: int, old: Pair, old_node: int, change: Floats) -> Floats:
    """(n, 4) displacements for a pair, from those of the pair with its walker close by.

    They are taken at the same share of the way from anchor to walker, so that the kink goes with him.
    """

    def share(one: Pair, own: int) -> Floats:
        place, length = one.main_at[own], one.main_length
        beyond = 1.0 + (one.main_at - place) / (length - place)
        return np.asarray(np.where(one.main_at <= place, one.main_at / place, beyond), dtype=float)

    known = np.concatenate(([0.0], share(old, old_node), [2.0]))
    values = np.concatenate((np.zeros((1, 3)), change[:, :3], np.zeros((1, 3))))
    wanted = share(pair, node)
    moved = np.zeros((pair.n, 4))
    for axis in range(3):
        moved[:, axis] = np.interp(wanted, known, values[:, axis])
    return moved


def _beside_sliders(planned: Plan, coordinate: float) -> float:
    """The place on the main, or one just beside it: a ring on a tape that runs along the main would run with it."""
    pair = planned.pair
    marks = pair.main_at[pair.slide == SLIDES_ON_MAIN]
    near = marks[np.abs(marks - coordinate) <= SAME_PLACE]
    return coordinate if not len(near) else float(near[0]) + 1.1 * SAME_PLACE


def stand(planned: Plan, at: float, near: Loaded | None = None) -> Loaded:
    """The rig as taped, in still air, with its walker standing at a place.

    Parameters
    ----------
    planned : Plan
    at : float
        Distance from A along the straight line to B.  [m]
    near : Loaded, optional
        The same with the walker close by, to begin from.

    Raises
    ------
    InputError
        When the rig has no walker, or the place lies outside the line.
    NoEquilibrium, SegmentNotSolved
    """
    rig = planned.rig
    weight = walker_of(rig).mass * G
    if not 0.0 < at < rig.span:
        raise InputError(
            "the place of a fall lies outside the line", key="at", found=f"{at:g} m",
            allowed=f"between 0 and {rig.span:.2f} m",
        )
    coordinate = _beside_sliders(planned, planned.walker_coordinate(at))
    loading = Loading(
        walkers=((coordinate, weight * DOWN),),
        main_added=rig.weather.main_added,
        backup_added=rig.weather.backup_added,
    )
    pair, (node,) = assemble(rig, planned.layout, loading)
    start, sunk = _empty(planned, pair, node), None
    if near is not None:
        stood = near.standing.state.unknowns
        start += _moved(pair, node, near.pair, near.node, stood - _empty(planned, near.pair, near.node))
        if near.known:
            sunk = _moved(pair, node, near.pair, near.node, near.known[-1][1].state.unknowns - stood)
    try:
        standing = minimise(pair, start, settings=SETTINGS)
    except SolveError:
        standing = minimise(pair, first_guess(pair), settings=SETTINGS)
    return Loaded(pair=pair, node=node, coordinate=coordinate, weight=weight, standing=standing, sunk=sunk)


def stand_along(planned: Plan, places: ArrayLike) -> Iterator[Loaded]:
    """The rig with its walker at one place after the other, each begun from the one before."""
    near = None
    for at in np.atleast_1d(np.asarray(places, dtype=float)):
        near = stand(planned, float(at), near)
        yield near

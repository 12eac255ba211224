"""What every catch shares: the energy balance, the walker's body on the leash, and the rig under a load at his place.

What a body loses in height is stored in rig, leash and body, one after the other; nothing is lost to damping and the
line has no inertia.  The rig's own curve of force against deflection is followed by load control: for a force F the
state it holds is an equilibrium, so energy and deflection follow from F, and the balance is one equation in F:

    weight x (free fall + u(F) - u(start) + c F) = E(F) - E(start) + c F^2 / 2                                  (1)

u the ring's deflection, E the rig's energy, c the compliance of leash and body.  It bounds how deep the body goes: a
body at rest as deep as that has less energy in the line than any other state as deep, so it gets no deeper.  The
ring's own depth and the forces are no bounds: they are those of a line that is pulled slowly.

References
----------
.. [1] S. P. Timoshenko, *Strength of Materials*, part I, 3rd ed. 1955, section 60 (a weight dropped on a spring; a
   suddenly applied load doubles the static force).
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linescope.errors import FallNotBounded, InputError, SolveError
from linescope.rig import Rig, Walker
from linescope.rig.layout import SAME_PLACE
from linescope.statics import Loading, Plan
from linescope.statics.assemble import DOWN, G, assemble, first_guess
from linescope.statics.minimise import Minimum, Settings
from linescope.statics.pair import SLIDES_ON_MAIN, Pair
from linescope.statics.search import search
from linescope.statics.together import balanced_together, first_guesses, minimise_together

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


def stored(line: Held, start: Held, weight: float | Floats) -> Floats:
    """What the line has stored between two states beyond the work of the weight: integral of (F - weight) du.  [J]"""
    return line.energy - start.energy - weight * (line.drop - start.drop)


def lowest(
    line: Line,
    resting: Held,
    *,
    weight: float | Floats,
    to_store: ArrayLike,
    guess: ArrayLike,
    slope: ArrayLike | None = None,
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
    weight : float or (n,) array
        [N]
    to_store : (n,) array
        Energy to take up, >= 0.  [J]
    guess : (n,) array
        A force above the weight to begin with.  [N]
    slope : float or (n,) array, optional
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
    to_store = np.atleast_1d(np.asarray(to_store, dtype=float))
    rounding = ROUNDING * (np.abs(resting.energy) + weight * (1.0 + np.abs(resting.drop)))
    nothing = to_store <= 10.0 * rounding
    goal = np.sqrt(np.where(nothing, 0.0, to_store))
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
        done |= np.abs(taken - to_store) <= tolerance * to_store + rounding
        if done.all():
            return np.asarray(force, dtype=float)
        below = error < 0.0
        low, high = np.where(below, force, low), np.where(below, high, force)
        rise = (error - at_last) / np.where(force == last, 1.0, force - last)
        if count == 0 and slope is not None:
            rise = np.broadcast_to(np.asarray(slope, dtype=float), rise.shape)
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
    known : list of (force, Minimum)
        The pair under other forces, as they were asked for.
    """

    pair: Pair
    node: int
    coordinate: float
    weight: float
    standing: Minimum
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
        near, unknowns, forces = self._from_known(force)
        if near is not None:
            return near
        pair = self._pulled(force)
        try:
            found = search(pair, unknowns if forces else first_guess(pair), forces=forces, settings=SETTINGS)
        except SolveError as error:
            raise FallNotBounded(
                f"the rig found no balance under {force:.2g} N at its walker: {error.problem}", advice=error.advice
            ) from error
        self.known.append((force, found))
        return found

    def _pulled(self, force: float) -> Pair:
        """The pair with another force at the walker's node."""
        pull = self.pair.pull.copy()
        pull[self.node] += (force - self.weight) * DOWN
        return replace(self.pair, pull=pull)

    def _from_known(self, force: float) -> tuple[Minimum | None, Floats, tuple[Floats, Floats] | None]:
        """The state under a force where it is known; else nodes and segments' forces to start from, read off known
        states; the forces are None where there is but one."""
        known = sorted([(self.weight, self.standing), *self.known], key=lambda item: abs(item[0] - force))
        p0, near = known[0]
        unknowns = near.state.unknowns
        if p0 == force:
            return near, unknowns, near.state.forces
        if len(known) > 1:
            p1, other = known[1]
            share = (force - p0) / (p0 - p1)
            if abs(share) < 2.0:
                (h0, v0), (h1, v1) = near.state.forces, other.state.forces
                forces = np.maximum(h0 + share * (h0 - h1), 0.2 * h0), v0 + share * (v0 - v1)
                return None, unknowns + share * (near.state.unknowns - other.state.unknowns), forces
        return None, unknowns, None

    def line(self, force: Floats) -> Held:
        """The rig as a line, for `lowest`: (1,) force [N] to deflection and energy."""
        return lines_of([self], force)

    def softness(self, state: Minimum) -> float:
        """How far the ring sinks per force more.  [m/N]"""
        right = np.zeros((self.pair.n, 4))
        right[self.node, :3] = DOWN
        stuck = np.ones(self.pair.n, dtype=bool)
        sunk = state.state.tangent().pinned(stuck).solve(right)
        return 0.0 if sunk is None else float(DOWN @ sunk[self.node, :3])


def under_all(loaded: Sequence[Loaded], force: Floats) -> list[Minimum]:
    """`Loaded.under` for each of many, solved together.

    Parameters
    ----------
    loaded : sequence of n Loaded
        Of one rig.
    force : (n,) array
        [N]

    Raises
    ------
    FallNotBounded
    """
    found: list[Minimum | None] = []
    afresh, near = [], []
    starts: list[tuple[Floats, tuple[Floats, Floats]]] = []
    for k, (one, pull) in enumerate(zip(loaded, force.tolist(), strict=True)):
        known, unknowns, forces = one._from_known(pull)
        found.append(known)
        if known is None and forces is None:
            afresh.append(k)
        elif known is None and forces is not None:
            near.append(k)
            starts.append((unknowns, forces))
    guessed = [loaded[k]._pulled(float(force[k])) for k in afresh]
    solved = minimise_together(guessed, first_guesses(guessed), settings=SETTINGS) + minimise_together(
        [loaded[k]._pulled(float(force[k])) for k in near], [start for start, _ in starts],
        forces=[forces for _, forces in starts], settings=SETTINGS,
    )
    for k, minimum in zip(afresh + near, solved, strict=True):
        if minimum is not None:
            loaded[k].known.append((float(force[k]), minimum))
            found[k] = minimum
    return [
        loaded[k].under(float(force[k])) if minimum is None else minimum for k, minimum in enumerate(found)
    ]


def lines_of(loaded: Sequence[Loaded], force: Floats) -> Held:
    """The rig as a line with its walker at each of many places, for `lowest`.

    Parameters
    ----------
    loaded : sequence of n Loaded
        Of one rig.
    force : (n,) array
        On the ring at each.  [N]

    Raises
    ------
    FallNotBounded
    """
    states = under_all(loaded, force)
    each = list(zip(loaded, states, force.tolist(), strict=True))
    return Held(
        drop=np.array([float(DOWN @ state.state.unknowns[one.node, :3]) for one, state, _ in each]),
        energy=np.array([one.rig_energy(state, pull) for one, state, pull in each]),
    )


def _beside_sliders(planned: Plan, coordinate: float) -> float:
    """The place on the main, or one just beside it: a ring on a tape that runs along the main would run with it."""
    pair = planned.pair
    marks = pair.main_at[pair.slide == SLIDES_ON_MAIN]
    near = marks[np.abs(marks - coordinate) <= SAME_PLACE]
    return coordinate if not len(near) else float(near[0]) + 1.1 * SAME_PLACE


def stand_along(planned: Plan, at: ArrayLike) -> list[Loaded]:
    """The rig as taped, in still air, with its walker standing at each of some places.

    Parameters
    ----------
    planned : Plan
    at : (n,) array
        Distances from A along the straight line to B.  [m]

    Raises
    ------
    InputError
        When the rig has no walker, or a place lies outside the line.
    NoEquilibrium, SegmentNotSolved
    """
    return stand_in_each([(planned, at)])[0]


def stand_in_each(rigs: Sequence[tuple[Plan, ArrayLike]]) -> list[list[Loaded]]:
    """`stand_along` of many rigs, solved together.

    Parameters
    ----------
    rigs : sequence of (Plan, (n,) array)
        Each with its places, from A along the straight line to B.  [m]

    Raises
    ------
    InputError
        As `stand_along`.
    NoEquilibrium, SegmentNotSolved
        When any of them does not stand.
    """
    begun = [_begun(planned, np.atleast_1d(np.asarray(at, dtype=float))) for planned, at in rigs]
    stood = iter(balanced_together([pair for each in begun for pair, _, _, _ in each], settings=SETTINGS))
    return [
        [
            Loaded(pair=standing.state.pair, node=node, coordinate=coordinate, weight=weight, standing=standing)
            for (_, node, coordinate, weight), standing in zip(each, itertools.islice(stood, len(each)), strict=True)
        ]
        for each in begun
    ]


def _begun(planned: Plan, places: Floats) -> list[tuple[Pair, int, float, float]]:
    """The pair with its walker at each of some places [m], his node, his place on the main [m unstretched] and weight
    [N]."""
    rig, begun = planned.rig, []
    weight = walker_of(rig).mass * G
    for place in places.tolist():
        if not 0.0 < place < rig.span:
            raise InputError(
                "the place of a fall lies outside the line", key="at", found=f"{place:g} m",
                allowed=f"between 0 and {rig.span:.2f} m",
            )
    for found in planned.walker_coordinates(places).tolist():
        coordinate = _beside_sliders(planned, found)
        loading = Loading(
            walkers=((coordinate, weight * DOWN),),
            main_added=rig.weather.main_added,
            backup_added=rig.weather.backup_added,
        )
        pair, (node,) = assemble(rig, planned.layout, loading)
        begun.append((pair, node, coordinate, weight))
    return begun


def stand(planned: Plan, at: float) -> Loaded:
    """The rig as taped, in still air, with its walker standing at one place; see `stand_along`."""
    return stand_along(planned, at)[0]

"""From a state at rest to the arrays of `linescope.motion.arrays`: nothing has to come to rest first.

Bays are cut into even pieces.  The main is put on its catenaries; each loop is put into the balance of the chain it
becomes (masses on straight pieces), which lies a little outside its catenary: without that every loop would drop by
some millimetres at the start, and pull.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from linescope.motion.arrays import (
    AIR,
    ALIVE,
    ANCHORED,
    BODY_AIR,
    BRANCHES,
    EXTRA,
    FREE,
    GROUND_FRICTION,
    HANG,
    HELD,
    HOME,
    LEASH,
    LEASH_STIFF,
    LEASH_VISCOUS,
    LINK_ROWS,
    LOSSES,
    MASS0,
    NUMBERS,
    RHO,
    RING,
    RUNNING,
    SLIDER,
    STATE_ROWS,
    STIFF,
    TAPE,
    TAPE_LAG,
    TAPE_TIME,
    TIE_IN,
    TIE_START,
    VISCOUS,
    Model,
    Q,
    S,
    State,
    X,
)
from linescope.motion.contacts import kept, share_masses
from linescope.motion.ground import nowhere
from linescope.motion.inputs import RING_MASS, RunInputs
from linescope.motion.law import CELLS, table_of
from linescope.rig import Rig
from linescope.rig.atmosphere import SEA_LEVEL_DENSITY
from linescope.statics import Loading, Plan, Solution
from linescope.statics.assemble import DOWN, G, assemble, first_guess
from linescope.statics.minimise import minimise
from linescope.statics.results import make_solution
from linescope.taping import Holds

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

PER_BAY = 5
LEAST_ON_LINE = 80  # Pieces of a line with few tapes.
LAGS = (0.01, 0.1, 1.0)  # Time constants of the branches, one a decade: loss nearly independent of rate [s].
AVERAGED = 1e-3  # Time over which the force of a tape is averaged [s].
ON_GROUND = 0.5  # Friction of lines and feet on the ground; from memory [-].
STABLE = 0.4  # Of the step that a chain of equal masses bears: pieces beside a contact may be a third as long.
STEPS = 60  # For the balance of a chain.


@dataclass(frozen=True, eq=False, kw_only=True)
class Grid:
    """Where the slots of both lines lie.

    Attributes
    ----------
    main, backup : (n,) array
        Material coordinates, anchors included.  [m]
    tapes : (t,) int array
        Slot of each tape; the same number on both lines, counted on each from its anchor A.
    """

    main: Floats
    backup: Floats
    tapes: Ints

    def bay_of(self, coordinate: float) -> int:
        """Bay, counted from 0, of a place on the main."""
        edges = self.main[self.tapes]
        return int(np.searchsorted(edges, coordinate, side="right"))

    def ring(self, coordinate: float) -> tuple[int, float]:
        """Slot that a ring takes, and its coordinate: a little away from what it cannot pass.

        Parameters
        ----------
        coordinate : float
            On the main.  [m]
        """
        ends = np.concatenate(([0], self.tapes, [len(self.main) - 1]))
        bay = self.bay_of(coordinate)
        first, last = int(ends[bay]), int(ends[bay + 1])
        piece = float(self.main[first + 1] - self.main[first])
        place = min(max(coordinate, self.main[first] + kept(piece)), self.main[last] - kept(piece))
        inside = np.arange(first + 1, last)
        return int(inside[np.argmin(np.abs(self.main[inside] - place))]), float(place)


def grid(tape_main: Floats, tape_backup: Floats, lengths: tuple[float, float], per_bay: int = PER_BAY) -> Grid:
    """Cut both lines.

    Parameters
    ----------
    tape_main, tape_backup : (t,) array
        Material coordinates of the tapes.  [m]
    lengths : tuple of two floats
        Unstretched lengths of main and backup.  [m]
    per_bay : int
        Pieces in a bay of middling length.
    """
    edges = np.concatenate(([0.0], tape_main, [lengths[0]]))
    other = np.concatenate(([0.0], tape_backup, [lengths[1]]))
    bays = np.diff(edges)
    piece = min(float(np.median(bays)) / per_bay, lengths[0] / LEAST_ON_LINE)
    counts = np.maximum(np.rint(bays / piece).astype(np.int64), 2)
    main, backup = [np.zeros(1)], [np.zeros(1)]
    for k, count in enumerate(counts):
        share = np.arange(1, count + 1) / count
        main.append(edges[k] + share * (edges[k + 1] - edges[k]))
        backup.append(other[k] + share * (other[k + 1] - other[k]))
    return Grid(main=np.concatenate(main), backup=np.concatenate(backup), tapes=np.cumsum(counts)[:-1])


def stood(planned: Plan, coordinate: float, rig: Rig) -> Solution:
    """The rig as taped in still air with its walker on a place of the main.

    Parameters
    ----------
    planned : Plan
    coordinate : float
        [m]
    rig : Rig
        With a walker.

    Raises
    ------
    NoEquilibrium, SegmentNotSolved
    """
    assert rig.walker is not None
    loading = Loading(
        walkers=((coordinate, rig.walker.mass * G * DOWN),), main_added=rig.weather.main_added,
        backup_added=rig.weather.backup_added,
    )
    pair, (node,) = assemble(rig, planned.layout, loading)
    minimum = minimise(pair, first_guess(pair))
    return make_solution(
        rig=rig, layout=planned.layout, state_name="as taped", minimum=minimum, walker_node=node,
        iterations=minimum.steps, other_equilibria=None,
    )


def chain(start: Floats, end: Floats, pieces: Floats, load: Floats, stiffness: float, guess: Floats) -> Floats:
    """Places of the masses of a chain of straight elastic pieces, in balance.

    Tensions t_k of the pieces follow from the first, t_{k+1} = t_k - load (l_k + l_{k+1}) / 2, and the pieces add up
    to the way from end to end: three equations for the three components of t_1, with a positive definite tangent.

    Parameters
    ----------
    start, end : (3,) array
        [m]
    pieces : (n,) array
        Unstretched lengths.  [m]
    load : (3,) array
        Per unstretched metre.  [N/m]
    stiffness : float
        EA.  [N]
    guess : (3,) array
        Tension at the start, towards the chain.  [N]

    Returns
    -------
    (n + 1, 3) array
        [m]
    """
    weights = 0.5 * (pieces[1:] + pieces[:-1])[:, None] * load
    later = np.concatenate((np.zeros((1, 3)), -np.cumsum(weights, axis=0)))
    way = end - start
    first = guess - 0.5 * pieces[0] * load
    floor = 1e-9 * float(np.linalg.norm(load)) * float(pieces.sum()) + 1e-12

    def reach(t1: Floats) -> tuple[Floats, Floats, Floats]:
        t = t1 + later
        size = np.sqrt(np.einsum("ij,ij->i", t, t)) + floor
        return t, size, (pieces * (1.0 / size + 1.0 / stiffness)) @ t - way

    t, size, error = reach(first)
    for _ in range(STEPS):
        u = t / size[:, None]
        soft = np.einsum("k,ki,kj->ij", -pieces / size, u, u)
        soft += np.eye(3) * float(np.sum(pieces * (1.0 / size + 1.0 / stiffness)))
        step = -np.linalg.solve(soft, error)
        scale = 1.0
        while True:
            trial = reach(first + scale * step)
            if np.linalg.norm(trial[2]) < np.linalg.norm(error) or scale < 1e-6:
                break
            scale *= 0.5
        first = first + scale * step
        t, size, error = trial
        if np.linalg.norm(error) < 1e-12 * float(pieces.sum()):
            break
    ways = (pieces * (1.0 / size + 1.0 / stiffness))[:, None] * t
    places = start + np.concatenate((np.zeros((1, 3)), np.cumsum(ways, axis=0)))
    places[-1] = end
    return places


@dataclass(frozen=True, eq=False, kw_only=True)
class Mesh:
    """A rig ready to move.

    Attributes
    ----------
    model : Model
    state : State
        As it begins; a run works on a copy.
    solution : Solution
    grid : Grid
    step : float
        Longest step of time that is stable.  [s]
    tape_links : (t,) int array
        Link of each tape.
    """

    model: Model
    state: State
    solution: Solution
    grid: Grid
    step: float
    tape_links: Ints

    def given(self, numbers: dict[int, float], **fields: object) -> Mesh:
        """The same with other numbers and fields of its model."""
        return replace(self, model=self.model.given(numbers, **fields))


def _on_main(solution: Solution, places: Floats) -> Floats:
    """(n, 3) points of the main at material coordinates.  [m]"""
    main = solution.main
    k = len(main.bay)
    index = np.clip(np.searchsorted(main.coordinate, places, side="right") - 1, 0, k - 1)
    points = np.empty((len(places), 3))
    for i in np.unique(index):
        mine = index == i
        flat = main.segments.flat.part(slice(i, i + 1))
        x, z, _ = flat.at((places[mine] - main.coordinate[i])[None])
        points[mine] = main.nodes[i] + x[0][:, None] * main.segments.across[i] + z[0][:, None] * main.segments.up[i]
    for node, at in zip(main.nodes, main.coordinate, strict=True):
        points[np.abs(places - at) < 1e-9] = node
    return points


def mesh(
    solution: Solution,
    choice: RunInputs,
    *,
    per_bay: int = PER_BAY,
    cut: Grid | None = None,
    ring: float | None = None,
    on_backup: bool = True,
    body: float = 0.0,
    feet_on: float = 0.0,
    width_seen: float = 1.0,
) -> Mesh:
    """Arrays of a state at rest.

    Parameters
    ----------
    solution : Solution
    choice : RunInputs
    per_bay : int
        Pieces in a bay of middling length.
    cut : Grid, optional
        When it was made before, with the same tapes.
    ring : float, optional
        Where the ring is on the main.  [m]
    on_backup : bool
        Whether the ring runs on the backup as well.
    body : float
        Mass that hangs on the leash.  [kg]
    feet_on : float
        Mass that stays on the main where the ring is.  [kg]
    width_seen : float
        Share of the width of strips that air pushes on.  [-]
    """
    rig, layout = solution.rig, solution.layout
    lengths = (layout.main_length, layout.backup_length)
    cut = grid(solution.tape_main, solution.tape_backup, lengths, per_bay) if cut is None else cut
    n_main, n = len(cut.main), len(cut.main) + len(cut.backup)
    home = np.concatenate((cut.main, cut.backup, [0.0, 0.0]))
    webbings = (rig.main, rig.backup)
    added = (rig.weather.main_added, rig.weather.backup_added)
    straight = all(webbing.now.is_linear for webbing in webbings)
    tables = [table_of(webbing.now, webbing.breaking_strength, 1 if straight else CELLS) for webbing in webbings]
    standing = 0.5 * (solution.tension_a + solution.tension_b)
    branch = [1.0 / float(webbing.now.at(np.array([standing]))[1][0]) for webbing in webbings]
    rho = [webbing.mass + more for webbing, more in zip(webbings, added, strict=True)]
    line = np.concatenate((np.zeros(n_main), np.ones(n - n_main), [0, 0])).astype(np.int64)
    last = np.zeros(n + 2, dtype=bool)
    last[[n_main - 1, n - 1, n, n + 1]] = True
    of_line = np.where(last, 0.0, 1.0)
    stiff, mass_per = np.array(branch)[line], np.array(rho)[line]
    mass0 = np.zeros(n + 2)
    for first, stop, per in ((0, n_main, rho[0]), (n_main, n, rho[1])):
        pieces = per * np.diff(home[first:stop])
        mass0[first : stop - 1] += 0.5 * pieces
        mass0[first + 1 : stop] += 0.5 * pieces
    extra = np.zeros(n + 2)
    for place, mass in zip(layout.joint_main, layout.joint_mass, strict=True):
        extra[1 + int(np.argmin(np.abs(cut.main[1:-1] - place)))] += mass
    links: list[tuple[int, int, int, float, float, float]] = []
    owner = np.full(n + 2, FREE, dtype=np.int64)
    owner[[0, n_main - 1, n_main, n - 1]] = ANCHORED
    for tape, slot in zip(layout.tapes, cut.tapes, strict=True):
        on_main, beside = int(slot), n_main + int(slot)
        strength = math.inf if tape.kind == "tie" else choice.tape_strength
        if tape.holds is Holds.BOTH:
            links.append((TAPE, on_main, beside, 0.0, 0.0, strength))
            owner[[on_main, beside]] = ANCHORED
            extra[on_main] += tape.mass
        else:
            master, slave = (on_main, beside) if tape.holds is Holds.MAIN else (beside, on_main)
            links.append((SLIDER, master, slave, tape.hold.friction.value, tape.hold.drag.value, strength))
            owner[master], owner[slave] = ANCHORED, RUNNING
            extra[master] += tape.mass
    tape_links = np.arange(len(links))
    x, s = np.zeros((3, n + 2)), home.copy()
    x[:, :n_main] = _on_main(solution, cut.main).T
    held = np.zeros(n + 2)
    held[[0, n_main - 1, n_main, n - 1, n, n + 1]] = 1.0
    over = -1
    if ring is not None:
        ring_slot, place = cut.ring(ring)
        held[n] = 0.0
        s[ring_slot] = place
        x[:, ring_slot] = _on_main(solution, np.array([place]))[0]
        x[:, n] = x[:, ring_slot]
        links.append((RING, n, ring_slot, choice.ring_friction, math.inf if choice.ring_stays else 0.0, math.inf))
        owner[ring_slot] = RUNNING
        extra[n] = feet_on if feet_on > 0.0 else RING_MASS
        if on_backup:
            over, s_over = _over_ring(solution, cut, x[:, n], ring_slot)
            s[n_main + over] = s_over
            links.append((RING, n, n_main + over, choice.ring_friction, 0.0, math.inf))
            owner[n_main + over] = RUNNING
        extra[n + 1] = body
        if body > 0.0:
            held[n + 1] = 0.0
    _hang_loops(solution, cut, x, s, over, branch[1])
    walker = rig.walker
    leash = walker.leash if walker is not None else 1.0
    soft = leash / choice.leash_modulus + 1.0 / choice.body_stiffness
    spring = 1.0 / soft if body > 0.0 else 0.0
    x[:, n + 1] = x[:, n]
    if walker is not None:
        x[2, n + 1] += walker.tie_in_height
    table = np.array(links, dtype=float).reshape(-1, 6)
    kinds, masters, slaves = table[:, :3].T.astype(np.int64)
    density = rig.wind.air_density if rig.wind is not None else SEA_LEVEL_DENSITY
    width = np.array([webbing.width for webbing in webbings])[line] * of_line
    of_slots = np.zeros((8, n + 2))
    of_slots[HOME], of_slots[MASS0], of_slots[EXTRA], of_slots[HELD] = home, mass0, extra, held
    of_slots[RHO] = np.where(of_line > 0.0, mass_per, 1.0)
    of_slots[STIFF] = stiff * of_line
    of_slots[VISCOUS] = choice.viscosity * np.sqrt(stiff * mass_per) * of_line
    of_slots[AIR] = 0.5 * density * choice.air * width * width_seen
    numbers = np.zeros(NUMBERS)
    numbers[LEASH], numbers[LEASH_STIFF] = leash, spring
    numbers[LEASH_VISCOUS] = 2.0 * choice.leash_damping * math.sqrt(spring * body)
    numbers[BODY_AIR] = 0.5 * density * choice.body_area if body > 0.0 or feet_on > 0.0 else 0.0
    numbers[GROUND_FRICTION] = ON_GROUND
    numbers[HANG] = walker.hang if walker is not None else 0.0
    numbers[TIE_IN] = walker.tie_in_height if walker is not None else 0.0
    numbers[TAPE_LAG] = AVERAGED
    numbers[TIE_START] = x[2, n + 1]
    ground, touching = nowhere()
    more = choice.stiffness_factor - 1.0
    model = Model(
        main=n_main, slots=n, cut=-1, of_slots=of_slots, line=line,
        tables=np.stack([[table.force, table.stiff, table.work] for table in tables], axis=1),
        per_strain=np.array([1.0 / table.step for table in tables]),
        branches=np.array([np.full(BRANCHES, more / BRANCHES), LAGS]),
        slack_strain=np.array([
            np.full(BRANCHES, more / BRANCHES * branch[k] / (tables[k].stiff[0] + more * branch[k])) for k in (0, 1)
        ]),
        kind=kinds.copy(), master=masters.copy(),
        of_links=np.ascontiguousarray(table[:, 3:].T), numbers=numbers, wind=np.zeros((4, 1)),
        ground=ground,
    )
    own = np.zeros((STATE_ROWS, n + 2))
    own[X : X + 3], own[S], own[ALIVE] = x, s, of_line
    of_links = np.zeros((LINK_ROWS, len(links)))
    of_links[TAPE_TIME] = np.nan
    state = State(
        of_slots=own, of_links=of_links, owner=owner, slave=slaves.copy(),
        on=np.ones(len(links), dtype=np.int64), lost=np.zeros(LOSSES), touching=touching,
    )
    for k in range(len(links)):
        own[X : X + 3, state.slave[k]] = own[X : X + 3, model.master[k]]
    share_masses(model.of_slots, model.kind, model.master, state)
    length = np.sqrt(np.sum(np.diff(x[:, :n], axis=1) ** 2, axis=0))
    rest = np.diff(s[:n])
    rest[n_main - 1] = length[n_main - 1] if length[n_main - 1] > 0.0 else 1.0
    own[Q : Q + BRANCHES, : n - 1] = np.maximum(length / rest - 1.0, 0.0)
    # Between the main's last slot and the backup's first there is no piece, and no length that could be divided by.
    pieces = np.where(of_line[: n - 1] > 0.0, np.diff(home[:n]), np.inf)
    speed = np.zeros(n - 1)
    for index in (0, 1):
        fastest = float(tables[index].stiff.max()) + branch[index] * (choice.stiffness_factor - 1.0)
        speed[line[: n - 1] == index] = math.sqrt(fastest / rho[index])
    nu = choice.viscosity
    step = float(np.min(pieces / speed)) * (math.sqrt(1.0 + nu * nu) - nu)
    return Mesh(
        model=model, state=state, solution=solution, grid=cut, step=step * STABLE, tape_links=tape_links,
    )


def _over_ring(solution: Solution, cut: Grid, point: Floats, ring_slot: int) -> tuple[int, float]:
    """Slot and coordinate of the backup at the ring: it divides its bay's loop as it divides the bay."""
    ends = np.concatenate(([0], cut.tapes, [len(cut.backup) - 1]))
    bay = int(np.searchsorted(cut.tapes, ring_slot, side="right"))
    first, last = int(ends[bay]), int(ends[bay + 1])
    d1, d2 = (float(np.linalg.norm(point - solution.backup.nodes[bay + k])) for k in (0, 1))
    piece = float(cut.backup[first + 1] - cut.backup[first])
    place = float(cut.backup[first] + (cut.backup[last] - cut.backup[first]) * d1 / (d1 + d2))
    place = min(max(place, cut.backup[first] + kept(piece)), cut.backup[last] - kept(piece))
    inside = np.arange(first + 1, last)
    return int(inside[np.argmin(np.abs(cut.backup[inside] - place))]), place


def _hang_loops(solution: Solution, cut: Grid, x: Floats, s: Floats, over: int, stiffness: float) -> None:
    """Put every loop into the balance of its chain, over the ring where there is one (slot `over`)."""
    backup, load, n_main, n = solution.backup, solution.loads[1], len(cut.main), x.shape[1] - 2
    ends = np.concatenate(([0], cut.tapes, [len(cut.backup) - 1]))
    for bay in range(len(backup.bay)):
        first, last = int(ends[bay]), int(ends[bay + 1])
        stops = [(first, backup.nodes[bay]), (last, backup.nodes[bay + 1])]
        if first < over < last:
            stops.insert(1, (over, x[:, n].copy()))
        for (i, a), (j, b) in itertools.pairwise(stops):
            pieces = np.diff(s[n_main + i : n_main + j + 1])
            places = chain(a, b, pieces, load, stiffness, backup.segments.force_start[bay])
            x[:, n_main + i : n_main + j + 1] = places.T

"""A walker crossing in small steps, with tapes that stick and slip: the rig as a history, not a picture.

At every step the slides start from where the last step left them, and the state is the minimum of energy + sum of
hold x |slip in this step|.  The normal force in the hold, and the stretch by which a hold counts as energy, are those
of the step itself: taken before the slip, and renewed until slipping changes neither.  Steps are refined until they
stop mattering.  While the walker steps over a tape, ring and foot are taken to block tapes that slide along the main
towards them (assumed).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from linescope.errors import InputError
from linescope.events.friction import HoldLevel, hold_values
from linescope.rig import Rig
from linescope.rig.layout import SAME_PLACE, Layout
from linescope.shown import Outlined
from linescope.statics import Plan, Solution
from linescope.statics.assemble import DOWN, G, Loading, assemble
from linescope.statics.minimise import Minimum, Settings
from linescope.statics.pair import FIXED, SLIDES_ON_BACKUP, SLIDES_ON_MAIN, Pair
from linescope.statics.plan import plan
from linescope.statics.results import make_solution
from linescope.statics.search import search
from linescope.statics.slide_search import minimise_compiled
from linescope.statics.solution import freeze

Floats = NDArray[np.float64]
Direction = Literal["A to B", "B to A"]

ROUGH_SETTINGS = Settings(tolerance=1e-4, accepted=1e-1)
STEP_SETTINGS = Settings(tolerance=1e-9, accepted=1e-8)
HOLD_ROUNDS, HOLD_CHANGE = 6, 1e-4  # The hold is renewed while slipping changes it by more than this share.
RATIO_CHANGE = 1e-9  # The same for the stretch of the line that slips [-].
BESIDE_TAPE = 0.05  # How near to a tape the walker's foot comes before he steps over it [m].


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Crossing(Outlined):
    """A walker's way over the rig and back.  n steps, t tapes.

    Attributes
    ----------
    rig : Rig
    layout : Layout
    level : {"low", "value", "high"}
        Which end of the hold bands was used.
    walker : (n,) array
        Material coordinate of the walker on the main.  [m]
    towards_b : (n,) bool array
        Direction of travel.
    taped : (t,) array
        Material coordinate of the sliding line at each tape, as taped (0 for tapes that hold both lines).  [m]
    slide : (n+1, t) array
        The same before the first and after every step.  [m]
    slip : (n, t) array
        Stretched length that slipped in each step, positive towards B.  [m]
    hold : (n, t) array
        Hold of each tape in each step, as a true tension difference.  [N]
    work : (n, t) array
        Friction work of each step at each tape: hold x |slip|.  [J]
    loop_depth : (n, t+1) array
        [m]
    loop_length : (n, t+1) array
        Unstretched backup in each bay.  [m]
    tension_a, tension_b : (n,) array
        Main tension at the anchors.  [N]
    walker_point : (n, 3) array
        [m]
    per_bay : int
        Steps in each bay, after refining.
    states : tuple of Minimum
        The solved steps, walker included; `solution_at` makes them readable.
    before, after : Solution
        The empty rig before the crossing (as taped, with this hold) and after it.
    """

    rig: Rig
    layout: Layout
    taped: Floats
    level: HoldLevel
    walker: Floats
    towards_b: NDArray[np.bool_]
    slide: Floats
    slip: Floats
    hold: Floats
    work: Floats
    loop_depth: Floats
    loop_length: Floats
    tension_a: Floats
    tension_b: Floats
    walker_point: Floats
    per_bay: int
    states: tuple[Minimum, ...]
    before: Solution
    after: Solution

    @property
    def total_slip(self) -> Floats:
        """(t,) stretched length through each tape, both ways added.  [m]"""
        return np.asarray(np.abs(self.slip).sum(axis=0))

    @property
    def total_work(self) -> Floats:
        """(t,) friction work at each tape.  [J]"""
        return np.asarray(self.work.sum(axis=0))

    def solution_at(self, step: int) -> Solution:
        """One step as a Solution ("friction-limited")."""
        return _readable(self.rig, self.layout, self.states[step], self.taped)


class _Walk:
    """The moving part: the pair with its current slides, and a walker put anywhere on it."""

    def __init__(self, rig: Rig, layout: Layout, level: HoldLevel, settings: Settings) -> None:
        loading = Loading(main_added=rig.weather.main_added, backup_added=rig.weather.backup_added)
        self.rig, self.layout, self.settings = rig, layout, settings
        self.empty, _ = assemble(rig, layout, loading)
        self.tapes = self.empty.tapes
        # How near tapes may come to each other is settled once, as taped: they are moved on from step to step.
        self.least = np.minimum(self.empty.gap, 0.5 * self.empty.lengths(self.empty.start_slides))
        self.drag, self.friction = hold_values(layout, level)
        self.drag = np.where(self.empty.slide[self.tapes] == FIXED, np.inf, self.drag)
        slides_on_main = self.empty.slide[self.tapes] == SLIDES_ON_MAIN
        self.slide = np.where(slides_on_main, layout.tape_main, layout.tape_backup)

    def pair_with(self, at: float | None, pull: Floats) -> tuple[Pair, int | None]:
        """The pair as it now is, with a walker [m on the main] or (at None) empty; and the walker's node."""
        base = self.empty
        tapes, now = self.tapes, self.slide
        main_at, backup_at = base.main_at.copy(), base.backup_at.copy()
        on_main, on_backup = base.slide[tapes] == SLIDES_ON_MAIN, base.slide[tapes] == SLIDES_ON_BACKUP
        main_at[tapes] = np.where(on_main, now, main_at[tapes])
        backup_at[tapes] = np.where(on_backup, now, backup_at[tapes])
        least = self.least
        if at is None:
            return replace(base, main_at=main_at, backup_at=backup_at, least=least), None
        node = int(np.searchsorted(main_at, at))
        # Not on a tape: a step's length away from being on it would pin it, and make the crossing jump.
        for near in (node - 1, node):
            if 0 <= near < len(main_at) and abs(main_at[near] - at) < 2.0 * SAME_PLACE:
                at = main_at[near] + (2.0 * SAME_PLACE if near < node else -2.0 * SAME_PLACE)
        edges = np.concatenate(([0.0], main_at, [base.main_length]))
        beside = np.minimum(base.gap, 0.5 * np.array([at - edges[node], edges[node + 1] - at]))
        pair = replace(
            base,
            least=np.concatenate((least[:node], beside, least[node + 1 :])),
            slide=np.insert(base.slide, node, FIXED),
            is_tape=np.insert(base.is_tape, node, False),
            main_at=np.insert(main_at, node, at),
            backup_at=np.insert(backup_at, node, np.nan),
            pull=np.insert(base.pull, node, pull, axis=0),
        )
        return pair, node

    def hold_of(self, state: Minimum) -> Floats:
        """(t,) hold as a true tension difference, from the normal forces of a state.  [N]"""
        normal = state.state.normal_force()[state.state.pair.tapes]
        return self.drag + self.friction * normal

    def advance(self, pair: Pair, near: Minimum) -> tuple[Minimum, Floats, Floats]:
        """Solve the next step; returns it, the stretched slip (t,) [m] and the hold (t,) [N]."""
        start, forces = carried_over(pair, near)
        # The line first finds its place with no slip, so that drives are judged near balance.
        held = np.full(pair.n, np.inf)
        placed = minimise_compiled(pair, start, hold=held, forces=forces, settings=ROUGH_SETTINGS)
        found, hold, ratio = placed, self.hold_of(placed), _ratio(placed)
        used, stretched = hold, ratio
        for _ in range(HOLD_ROUNDS):
            used, stretched, full = hold, ratio, np.full(pair.n, np.inf)
            full[pair.tapes] = hold * ratio
            found = minimise_compiled(
                pair, found.state, hold=full, rest=pair.start_slides, settings=self.settings
            )
            renewed, ratio = self.hold_of(found), _ratio(found)
            slipped = found.state.unknowns[pair.tapes, 3] != pair.start_slides[pair.tapes]
            jump = np.abs(found.state.true_tension_jump()[pair.tapes])
            was, now = (np.where(np.isfinite(values), values, 0.0) for values in (hold, renewed))
            changed = (np.abs(now - was) > HOLD_CHANGE * was) | (np.abs(ratio - stretched) > RATIO_CHANGE)
            if not np.where(slipped, changed, jump > (1 + HOLD_CHANGE) * renewed).any():
                break
            hold = renewed
        moved = found.state.unknowns[pair.tapes, 3]
        slip = (moved - pair.start_slides[pair.tapes]) * stretched
        self.slide = np.where(pair.slide[pair.tapes] == FIXED, self.slide, moved)
        return found, slip, used


def _ratio(state: Minimum) -> Floats:
    """(t,) stretch ratio of the sliding line at every tape.  [-]"""
    return state.state.stretch_at_slides()[state.state.pair.tapes]


def carried_over(pair: Pair, near: Minimum) -> tuple[Floats, tuple[Floats, Floats]]:
    """Starting nodes and forces for a pair, read off a solved state of nearly the same lines.

    Parameters
    ----------
    pair : Pair
        The new pair: other nodes on the main are allowed, the tapes are the same.
    near : Minimum

    Returns
    -------
    (n, 4) array
        [m]
    pair of (k,) arrays
        H and V.  [N]
    """
    old, segments = near.state.pair, near.state.segments
    flat = segments.flat
    k_old, n = old.n + 1, pair.n
    edges, _ = old.line_coordinates(near.state.unknowns[:, 3])
    begin = np.concatenate((old.main_ends[:1], near.state.unknowns[:, :3]))
    place, _ = pair.line_coordinates(pair.start_slides)
    index = np.clip(np.searchsorted(edges, place, side="right") - 1, 0, k_old - 1)
    s = place - edges[index]
    start = np.empty((n, 4))
    start[:, 3] = pair.start_slides
    start[pair.tapes, :3] = near.state.unknowns[old.tapes, :3]
    for node in np.flatnonzero(~pair.is_tape):
        i = index[node + 1]
        x, z, _ = flat.part(slice(i, i + 1)).at(s[None, node + 1, None])
        start[node, :3] = begin[i] + x[0] * segments.across[i] + z[0] * segments.up[i]
    _move_sag(start, pair, old, float(np.mean(flat.h[:k_old])))
    middle = 0.5 * (place[:-1] + place[1:])
    owner = np.clip(np.searchsorted(edges, middle, side="right") - 1, 0, k_old - 1)
    h = np.concatenate((flat.h[:k_old][owner], flat.h[k_old:]))
    v = flat.v[:k_old][owner] + flat.q[:k_old][owner] * (place[:-1] - edges[owner])
    return start, (h, np.concatenate((v, flat.v[k_old:])))


def _move_sag(start: Floats, pair: Pair, old: Pair, h: float) -> None:
    """Take the triangular sag of the old point loads off the nodes and put that of the new ones on (in place)."""
    length = pair.main_length
    for lines, sign in ((old, -1.0), (pair, 1.0)):
        for node in np.flatnonzero(~lines.is_tape):
            share = lines.main_at[node] / length
            at = pair.main_at / length
            tent = np.where(at < share, at * (1.0 - share), share * (1.0 - at))
            start[:, :3] += sign * tent[:, None] * lines.pull[node] * (length / h)


def _readable(rig: Rig, layout: Layout, state: Minimum, taped: Floats) -> Solution:
    pair = state.state.pair
    others = np.flatnonzero(~pair.is_tape)
    loads = [int(node) for node in others if np.linalg.norm(pair.pull[node]) > 20.0]
    return make_solution(
        rig=rig if loads else rig.without_walker(), layout=layout, state_name="friction-limited", minimum=state,
        walker_node=loads[0] if loads else None, iterations=state.steps, other_equilibria=None, taped=taped,
    )


def _stations(layout: Layout, per_bay: int) -> Floats:
    """Material coordinates where the walker is put, `per_bay` in each bay of the main.  [m]

    From two steps a bay on, the first and last lie close beside the tapes, where a tape is worked hardest.
    """
    edges = np.concatenate(([0.0], layout.tape_main, [layout.main_length]))
    beside = min(BESIDE_TAPE, 0.25 * float(np.diff(edges).min()))
    if per_bay == 1:
        return 0.5 * (edges[:-1] + edges[1:])
    shares = np.linspace(0.0, 1.0, per_bay)
    return (edges[:-1, None] + beside + shares * (np.diff(edges)[:, None] - 2.0 * beside)).reshape(-1)


def cross(
    rig: Rig,
    *,
    level: HoldLevel = "value",
    ways: tuple[Direction, ...] = ("A to B", "B to A"),
    per_bay: int = 3,
    route: ArrayLike | None = None,
    settings: Settings = STEP_SETTINGS,
    planned: Plan | None = None,
    progress: Callable[[float], None] | None = None,
) -> Crossing:
    """One crossing with given steps.  `cross_refined` halves them until they stop mattering.

    Parameters
    ----------
    rig : Rig
        With a walker.
    level : {"low", "value", "high"}
        Which end of the bands of drag and friction.
    ways : tuple of {"A to B", "B to A"}
        The walks, one after the other.
    per_bay : int
        Steps in each bay.
    route : (n,) array, optional
        Where the walker is put, one place after another, instead of `ways` and `per_bay`: material coordinates on
        the main; with none of them only `before` and `after` are found, and no walker is needed.  [m]
    settings : Settings
        Of the solver, for every step.
    planned : Plan, optional
    progress : callable, optional
        Told the share done.

    Returns
    -------
    Crossing

    Raises
    ------
    InputError
        The rig has no walker.
    NoEquilibrium
    """
    if rig.walker is None and (route is None or np.size(route)):
        raise InputError("a crossing needs a walker", key="walker")
    planned = plan(rig) if planned is None else planned
    layout = planned.layout
    walk = _Walk(rig, layout, level, settings)
    taped = walk.slide.copy()
    pull = (0.0 if rig.walker is None else rig.walker.mass) * G * DOWN
    empty, _ = walk.pair_with(None, pull)
    stuck = search(empty, planned.standing.state.unknowns, forces=planned.standing.state.forces)
    now, _, _ = walk.advance(empty, stuck)
    before = _readable(rig, layout, now, taped)
    if route is None:
        stations = _stations(layout, per_bay)
        places = np.concatenate([stations if way == "A to B" else stations[::-1] for way in ways])
        forward = np.concatenate([np.full(len(stations), way == "A to B") for way in ways])
    else:
        places = np.array(route, dtype=float)
        forward = np.concatenate(([True], np.diff(places) >= 0.0))[: len(places)]
    n, t = len(places), len(taped)
    slide, slip, hold = np.empty((n + 1, t)), np.empty((n, t)), np.empty((n, t))
    depth, length = np.empty((n, t + 1)), np.empty((n, t + 1))
    tension, points = np.empty((n, 2)), np.empty((n, 3))
    states = []
    slide[0] = walk.slide
    for step, at in enumerate(places):
        pair, node = walk.pair_with(float(at), pull)
        now, slip[step], hold[step] = walk.advance(pair, now)
        segments = now.state.segments
        k = pair.n + 1
        slide[step + 1] = walk.slide
        depth[step] = _loop_depths(now, k)
        length[step] = segments.length[k:]
        tension[step] = segments.tension_start[0], segments.tension_end[k - 1]
        points[step] = now.state.unknowns[node, :3]
        places[step] = pair.main_at[node]
        states.append(now)
        if progress is not None:
            progress((step + 1) / n)
    finite = np.where(np.isfinite(hold), hold, 0.0)
    last, _ = walk.pair_with(None, pull)
    ended, _, _ = walk.advance(last, now)
    result = Crossing(
        rig=rig, layout=layout, taped=taped, level=level, walker=places, towards_b=forward, slide=slide, slip=slip,
        hold=hold, work=finite * np.abs(slip), loop_depth=depth, loop_length=length, tension_a=tension[:, 0].copy(),
        tension_b=tension[:, 1].copy(), walker_point=points, per_bay=per_bay, states=tuple(states), before=before,
        after=_readable(rig, layout, ended, taped),
    )
    freeze(result)
    return result


def _loop_depths(now: Minimum, k: int) -> Floats:
    segments = now.state.segments
    return segments.flat.depth_below_chord(segments.x, segments.z)[0][k:]

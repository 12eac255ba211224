"""A walker who crosses again and again: quick enough for a day of it.

The steps are those of `linescope.events.crossing`: at each of them the lines settle to the minimum of energy + sum of
hold x |slip in this step|, with the hold of the step itself.  Here they are searched for in compiled code; a step that
this does not settle is given to the slower search, which knows more.

Where many tapes let go at once, as on a slope, they slip metres in one step, and which of them goes how far hangs on
where the walker is when the first lets go.  Such a step is taken again in halves: three steps in each bay then find
within a thousandth, tape by tape, what the same halving finds from five.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from linescope.compiled import COMPILED
from linescope.contact.pacing_loops import step_on
from linescope.events.crossing import HOLD_CHANGE, HOLD_ROUNDS, RATIO_CHANGE, ROUGH_SETTINGS, _stations, _Walk
from linescope.events.friction import HoldLevel
from linescope.rig import Rig
from linescope.rig.layout import SAME_PLACE
from linescope.statics import Plan, quick
from linescope.statics.assemble import DOWN, G
from linescope.statics.catenary import Segments2D
from linescope.statics.minimise import Minimum, Settings, minimise
from linescope.statics.pair import FIXED, SLIDES_ON_BACKUP, SLIDES_ON_MAIN
from linescope.statics.quick import JUMP, NORMAL, PRESSED, RATIO, H, V
from linescope.statics.slide_loops import slipping
from linescope.statics.slide_search import minimise_compiled
from linescope.statics.solution import freeze
from linescope.taping import Holds

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

EXACT = Settings(tolerance=1e-9, accepted=1e-6)  # Where rounding stops a step, a millinewton is near enough.
QUICK = Settings(tolerance=1e-6, accepted=1e-6)  # And everywhere, for a first look: work then is within 0.3 %.
SUDDEN = 0.25  # A step in which a tape slips farther than this [m] ...
NARROWEST = 0.03  # ... is halved, as long as it is longer than this [m].


@dataclass(frozen=True, eq=False, kw_only=True)
class Lap:
    """One crossing, there and back.  n steps, t tapes.

    Attributes
    ----------
    walker : (n,) array
        Material coordinate of the walker on the main.  [m]
    slide : (n+1, t) array
        Material coordinate of the sliding line at each tape, before the first and after every step.  [m]
    slip : (n, t) array
        Stretched length that slipped, positive towards B.  [m]
    hold : (n, t) array
        Hold of each tape as a true tension difference.  [N]
    work : (n, t) array
        Hold x |slip|.  [J]
    drag_share : (n, t) array
        Part of the hold that is drag.  [-]
    pressed : (n, t) array
        Loops' resultant at the tape square to the main, towards it: below 0 the loops hang in the strip, above 0 they
        press on the main.  [N]
    strain : (n, t) array
        Strain of the main less that of the backup, at the tape.  [-]
    over_tape : (n, t) array
        Change of the sliding line's tension over the tape, of the backup's where both are held.  [N]
    needed : mapping of Holds to (t,) array
        Where all tapes hold both lines: the drag that tapes which held that one alone would have needed, beyond their
        friction, for nothing to slip; else empty.  [N]
    """

    walker: Floats
    slide: Floats
    slip: Floats
    hold: Floats
    work: Floats
    drag_share: Floats
    pressed: Floats
    strain: Floats
    over_tape: Floats
    needed: Mapping[Holds, Floats] = field(default_factory=dict)

    @property
    def total_slip(self) -> Floats:
        """(t,) stretched length through each tape, both ways added.  [m]"""
        return np.asarray(np.abs(self.slip).sum(axis=0))

    @property
    def total_work(self) -> float:
        """[J]"""
        return float(self.work.sum())


@dataclass(eq=False)
class _State:
    """A solved state: where the walker's node is (-1: nobody), and the tables of `compiled`."""

    walker: int
    edges: Floats
    joins: Ints
    points: Floats
    pieces: Floats
    nodes: Floats
    tapes: Floats


class Pacer:
    """The rig with its slides as they now are; every `lap` begins where the last one ended.

    Parameters
    ----------
    rig : Rig
        With a walker.
    level : {"low", "value", "high"}
        Of drag and friction.
    planned : Plan
    settings : Settings
        Of the search, for every step.
    hung : bool
        Whether what does not hold has slipped already when the first lap begins, or the lines are as taped.

    Attributes
    ----------
    slide, taped : (t,) array
        Material coordinate of the sliding line at each tape, now and as taped.  [m]
    drag, friction : (t,) array
        Of every tape, which may be changed between steps.  [N, -]

    Raises
    ------
    NoEquilibrium
    """

    def __init__(
        self, rig: Rig, level: HoldLevel, planned: Plan, settings: Settings = EXACT, *, hung: bool = True
    ) -> None:
        self.rig, self.layout, self.level, self.settings = rig, planned.layout, level, settings
        self._slow = _Walk(rig, planned.layout, level, settings)
        base = self._slow.empty
        self.slide = self._slow.slide.copy()
        self.taped = self.slide.copy()
        self.weight = 0.0 if rig.walker is None else rig.walker.mass * G
        self.drag, self.friction = self._slow.drag, self._slow.friction
        self._slipped = np.zeros(len(self.slide))
        self._kind = base.slide[base.tapes]
        self._friction = np.array([getattr(tape.hold.friction, level) for tape in self.layout.tapes], dtype=float)
        _, _, self._anchors, self._curves, _ = quick.tables_of(base)
        self._load = np.array([np.linalg.norm(base.main_load), np.linalg.norm(base.backup_load)])
        self._ends = np.array([base.main_length, base.backup_length])
        self._is_tape = base.is_tape.astype(np.int64)
        self._rough, self._wanted = (
            np.array([each.tolerance, each.accepted]) for each in (ROUGH_SETTINGS, settings)
        )
        stuck = planned.standing.state
        joins, points, pieces, edges = self._tables(-1, 0.0, np.zeros(2))
        nodes = stuck.unknowns.copy()
        pieces[:, H], pieces[:, V] = stuck.forces
        self._now = _State(-1, edges, joins, points, pieces, nodes, np.empty((len(self._kind), 7)))
        self._search(None, self._now, np.full(len(nodes), np.inf), self.settings)
        quick.at_tapes(joins, self._now.pieces, self._kind, self._now.tapes)
        self._rested = self.slide, np.full(len(self.slide), np.inf)
        if hung:
            self._step(None)
        self.empty_strain = self._strain()

    def _strain(self) -> Floats:
        tapes = self._now.tapes
        return np.asarray(tapes[:, quick.MAIN_STRAIN] - tapes[:, quick.BACKUP_STRAIN])

    def _places(self) -> tuple[Floats, Floats]:
        """Material coordinates of the empty pair's nodes on both lines, tapes where they now are.  [m]"""
        base = self._slow.empty
        main_at, backup_at, tapes = base.main_at.copy(), base.backup_at.copy(), base.tapes
        main_at[tapes] = np.where(self._kind == SLIDES_ON_MAIN, self.slide, main_at[tapes])
        backup_at[tapes] = np.where(self._kind == SLIDES_ON_BACKUP, self.slide, backup_at[tapes])
        return main_at, backup_at

    def _tables(self, node: int, at: float, beside: Floats) -> tuple[Ints, Floats, Floats, Floats]:
        base, (main_at, backup_at) = self._slow.empty, self._places()
        joins, points, pieces = quick.lay(
            base.slide, self._is_tape, main_at, backup_at, base.pull, self._slow.least, self._ends, self._load, node,
            at, beside, self.weight,
        )
        with_walker = main_at if node < 0 else np.insert(main_at, node, at)
        return joins, points, pieces, np.concatenate(([0.0], with_walker, self._ends[:1]))

    def _beside(self, at: float) -> tuple[int, float, Floats]:
        """Node before which a walker at a place [m] stands, the place as near as that is allowed, and least lengths
        of the pieces on either side of him [m]; as `_Walk.pair_with`."""
        main_at, _ = self._places()
        node = int(np.searchsorted(main_at, at))
        for near in (node - 1, node):
            if 0 <= near < len(main_at) and abs(main_at[near] - at) < 2.0 * SAME_PLACE:
                at = float(main_at[near]) + (2.0 * SAME_PLACE if near < node else -2.0 * SAME_PLACE)
        edges = np.concatenate(([0.0], main_at, self._ends[:1]))
        return node, at, np.minimum(self._slow.empty.gap, 0.5 * np.array([at - edges[node], edges[node + 1] - at]))

    def _search(self, at: float | None, state: _State, hold: Floats, settings: Settings) -> None:
        """Settle a state in place: quickly, or else by `minimise`."""
        weight = self._slow.empty.weight + (0.0 if at is None else self.weight)
        rest = np.where(state.points[:, quick.SLIDES] > 0.0, self._rest(state), 0.0)
        nodes, pieces = state.nodes.copy(), state.pieces.copy()
        left, _ = (np.inf, 0) if not COMPILED else slipping(
            state.joins, state.points, self._anchors, self._curves, nodes, pieces, hold, rest,
            settings.tolerance * weight, settings.accepted * weight, self._likely(state),
        )
        if np.isfinite(left):
            state.nodes, state.pieces = nodes, pieces
            return
        self._slow.slide = self.slide
        pair, _ = self._slow.pair_with(at, self.weight * DOWN)
        found = minimise(
            pair, state.nodes, hold=hold, rest=rest, forces=(state.pieces[:, H].copy(), state.pieces[:, V].copy()),
            settings=settings,
        )
        state.nodes = found.state.unknowns.copy()
        state.pieces[:, H], state.pieces[:, V] = found.state.forces
        quick.evaluate(state.joins, self._anchors, self._curves, state.nodes, state.pieces)

    def _likely(self, state: _State) -> Floats:
        """(n,) which way tapes are likely to slip: as in the last step.  [-]"""
        likely = np.zeros(len(state.nodes))
        likely[self._tape_nodes(state)] = self._slipped
        return likely

    def _rest(self, state: _State) -> Floats:
        """(n,) slides from which slip counts.  [m]"""
        rest = np.zeros(len(state.nodes))
        rest[self._tape_nodes(state)] = self.slide
        return rest

    def _tape_nodes(self, state: _State) -> Ints:
        tapes = self._slow.empty.tapes
        return tapes if state.walker < 0 else tapes + (tapes >= state.walker)

    def _step(self, at: float | None) -> tuple[float, Floats, Floats]:
        """Put the walker at a place on the main [m], or take him off; returns the place, slip (t,) [m], hold [N]."""
        if COMPILED:
            base, old = self._slow.empty, self._now
            ended, node, place, edges, joins, points, pieces, nodes, tapes, moved, stretched, used = step_on(
                base.slide, self._is_tape, base.main_at, base.backup_at, base.pull, self._slow.least, self._ends,
                self._load, self._anchors, self._curves, self.drag, self.friction, base.gap, self.weight,
                base.weight, self._rough, self._wanted, self.slide, self._slipped, old.nodes, old.pieces, old.edges,
                old.walker, math.nan if at is None else at,
            )
            if ended:
                slip = (moved - self.slide) * stretched
                self._rested = self.slide, used * stretched
                self.slide, self._slipped = moved, np.sign(slip)
                self._now = _State(node, edges, joins, points, pieces, nodes, tapes)
                return place, slip, used
        return self._step_by_searches(at)

    def _step_by_searches(self, at: float | None) -> tuple[float, Floats, Floats]:
        """`_step` search by search: where nothing is compiled, or a search needs the slower one."""
        old = self._now
        node, beside = -1, np.zeros(2)
        place = 0.0
        if at is not None:
            node, place, beside = self._beside(at)
        joins, points, pieces, edges = self._tables(node, place, beside)
        nodes = np.empty((len(points), 4))
        quick.carry(
            old.nodes, old.pieces, old.edges, old.walker, self._anchors[0], nodes, pieces, edges, node,
            self._is_tape, self.weight,
        )
        now = _State(node, edges, joins, points, pieces, nodes, np.empty((len(self._kind), 7)))
        where = self._tape_nodes(now)
        nodes[:, 3] = 0.0
        nodes[where, 3] = np.where(self._kind == FIXED, 0.0, self.slide)
        hold_all = np.full(len(nodes), np.inf)
        given = None if at is None else place
        self._search(given, now, hold_all, ROUGH_SETTINGS)
        hold = self._hold(now)
        used, ratio = hold, now.tapes[:, RATIO].copy()
        stretched = ratio
        for _ in range(HOLD_ROUNDS):
            used, stretched = hold, ratio
            hold_all[where] = hold * ratio
            self._search(given, now, hold_all, self.settings)
            renewed, ratio = self._hold(now), now.tapes[:, RATIO].copy()
            slipped = now.nodes[where, 3] != np.where(self._kind == FIXED, 0.0, self.slide)
            jump = np.abs(now.tapes[:, JUMP])
            was, new = (np.where(np.isfinite(values), values, 0.0) for values in (hold, renewed))
            changed = (np.abs(new - was) > HOLD_CHANGE * was) | (np.abs(ratio - stretched) > RATIO_CHANGE)
            if not np.where(slipped, changed, jump > (1 + HOLD_CHANGE) * renewed).any():
                break
            hold = renewed
        moved = np.where(self._kind == FIXED, self.slide, now.nodes[where, 3])
        slip = (moved - self.slide) * stretched
        self._rested = self.slide, used * stretched
        self.slide, self._slipped = moved, np.sign(slip)
        self._now = now
        return place, slip, used

    def _hold(self, state: _State) -> Floats:
        quick.at_tapes(state.joins, state.pieces, self._kind, state.tapes)
        return np.asarray(self.drag + self.friction * state.tapes[:, NORMAL])

    def put(self, at: float | None) -> None:
        """Put the walker at a material coordinate of the main [m], or take him off.

        Raises
        ------
        NoEquilibrium
        """
        self._step(at)

    @property
    def own_bay(self) -> int:
        """The bay the walker stands in; -1 without one."""
        node = self._now.walker
        return -1 if node < 0 else int(self._is_tape[:node].sum())

    @property
    def depths(self) -> Floats:
        """(t+1,) of the loops below the straight line between their tapes.  [m]"""
        loops = self._now.pieces[len(self._now.nodes) + 1 :]
        h, v, length, q, a, c, offset, x, z = (
            loops[:, column] for column in (H, V, quick.LENGTH, quick.LOAD, quick.A, quick.C, quick.OFFSET, quick.X,
                                            quick.Z))
        flat = Segments2D(h=h, v=v, length=length, q=q, a=a, c=c, offset=offset)
        return np.asarray(flat.depth_below_chord(x, z)[0])

    @property
    def state(self) -> Minimum:
        """The state now, as the slower search has it: it is where that one ends when it begins there."""
        now, (self._slow.slide, hold) = self._now, self._rested
        at = None if now.walker < 0 else float(now.edges[now.walker + 1])
        pair, _ = self._slow.pair_with(at, self.weight * DOWN)
        full = np.full(pair.n, np.inf)
        full[pair.tapes] = hold
        return minimise_compiled(
            pair, now.nodes, hold=full, rest=pair.start_slides, forces=(now.pieces[:, H], now.pieces[:, V]),
            settings=self.settings,
        )

    def _drag_needed(self, held: Holds) -> Floats:
        """(t,) what tapes that held one line alone would have to resist now, beyond their friction.  [N]"""
        tapes, slides = np.empty((len(self._kind), 7)), SLIDES_ON_BACKUP if held is Holds.MAIN else SLIDES_ON_MAIN
        quick.at_tapes(self._now.joins, self._now.pieces, np.full_like(self._kind, slides), tapes)
        return np.asarray(np.abs(tapes[:, JUMP]) - self._friction * tapes[:, NORMAL])

    def lap(self, per_bay: int, progress: Callable[[float], None] | None = None) -> Lap:
        """There and back, with so many steps in each bay, and more where tapes let go all at once.

        Parameters
        ----------
        per_bay : int
            At the least.
        progress : callable, optional
            Told the share done; may raise to stop.

        Raises
        ------
        NoEquilibrium
        """
        there = _stations(self.layout, per_bay)
        stuck = bool((self._kind == FIXED).all())
        # Where nothing can slip he finds on his way back what he found on his way there.
        ahead = (there[::-1] if stuck else np.concatenate((there, there[::-1]))[::-1]).tolist()
        count, last = len(ahead), math.nan
        walker: list[float] = []
        slides, slips, holds, presses, strains, overs = [self.slide], *([] for _ in range(5))
        begun = self._now
        needed = {holds: np.zeros(len(self._kind)) for holds in (Holds.MAIN, Holds.BACKUP) if stuck}
        while ahead:
            before = self.slide, self._slipped, self._now
            place, slip, hold = self._step(ahead[-1])
            if np.abs(slip).max(initial=0.0) > SUDDEN and abs(ahead[-1] - last) > NARROWEST:
                self.slide, self._slipped, self._now = before
                ahead.append(0.5 * (last + ahead[-1]))
                continue
            last = ahead.pop()
            if not walker:
                begun = self._now
            tapes = self._now.tapes
            walker.append(place)
            slides.append(self.slide)
            slips.append(slip)
            holds.append(hold)
            presses.append(tapes[:, PRESSED])
            strains.append(self._strain())
            overs.append(np.where(self._kind == FIXED, tapes[:, quick.BACKUP_JUMP], tapes[:, JUMP]))
            for held in needed:
                needed[held] = np.maximum(needed[held], self._drag_needed(held))
            if progress is not None and len(walker) % 16 == 0:
                progress(1.0 - len(ahead) / count)
        if stuck:
            self._now, walker, slides = begun, walker + walker[::-1], slides + slides[1:]
            slips, holds, presses, strains, overs = (
                each + each[::-1] for each in (slips, holds, presses, strains, overs))
        slip, hold = np.array(slips), np.array(holds)
        finite = np.where(np.isfinite(hold), hold, 0.0)
        drag = np.where(np.isfinite(self.drag), self.drag, 0.0)
        share = np.divide(np.broadcast_to(drag, finite.shape), finite, out=np.zeros_like(finite), where=finite > 0.0)
        result = Lap(
            walker=np.array(walker), slide=np.array(slides), slip=slip, hold=hold, work=finite * np.abs(slip),
            drag_share=np.clip(share, 0.0, 1.0), pressed=np.array(presses), strain=np.array(strains),
            over_tape=np.array(overs), needed=needed,
        )
        freeze(result)
        return result

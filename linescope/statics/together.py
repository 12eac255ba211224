"""Many pairs at once, tapes held where they are: the equilibria that `minimise` finds one after another.

A sweep, a band or a search for a better plan asks for hundreds of states that differ in where the walker stands, in
what pulls at him, in the wind, or in every number of the rig.  Their pieces go through the catenary together, and their
tangents, which share no unknown, through one band.  With held tapes the energy is convex in the positions, so a Newton
step, short enough, leaves less out of balance, and there is one equilibrium to find.  Every pair begins from its own
first guess, a closed form on a coarse main, never from another pair's solution: that is the longer way.  A pair for
which this fails is left to `minimise`.

A main whose standing tension is asked for has its length as one unknown more: with K the tangent, c how the balance
changes with the length and r how the tension does, the bordered system

    K dx + c dL = -g,   r dx + r_L dL = target - T                                                              (1)

is solved by two right sides in one band.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from linescope.errors import SegmentNotSolved, SolveError
from linescope.statics.assemble import COARSE, first_guess
from linescope.statics.balanced import Asked, Balanced
from linescope.statics.catenary import Segments2D, shape_from_forces
from linescope.statics.held_loops import SHORTEST, TENSION_TOLERANCE
from linescope.statics.lapack import dpbtrf, dpbtrs
from linescope.statics.minimise import Minimum, Settings
from linescope.statics.pair import Evaluation, Pair
from linescope.statics.search import search
from linescope.statics.segments import Segments, Stiffness, solve_segments, stiffness
from linescope.statics.stack import ANCHORS, Stack
from linescope.statics.stack_loops import balance_compiled, quick_loops

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

MOST_STEPS = 30
AT_ONCE = 5000
"""Pieces that are solved together, as many as a processor's cache holds; more are dealt with in parts."""
HEAVY = 20.0  # A point load above this is a node of the coarse main [N].
_SHAPES = ("chord", "x", "z", "across", "up")


def balance(
    stack: Stack,
    places: Floats,
    *,
    settings: Settings,
    forces: tuple[Floats, Floats] | None = None,
    asked: Asked | None = None,
) -> Balanced:
    """Equilibria without slip of all pairs of a stack.

    Parameters
    ----------
    stack : Stack
    places : (N, 3) array
        Where to begin, each pair from a guess of its own; see `guesses`.  [m]
    settings : Settings
    forces : pair of (K,) arrays, optional
        H and V of the pieces to start from.  [N]
    asked : Asked, optional
        Standing tensions to be met by the mains' lengths.
    """
    ends = stack.pieces[1:] // AT_ONCE
    cuts = [*np.unique(ends, return_index=True)[1].tolist(), len(stack)]
    found = []
    for low, high in itertools.pairwise(cuts):
        which = np.arange(low, high)
        nodes, pieces = slice(stack.nodes[low], stack.nodes[high]), slice(stack.pieces[low], stack.pieces[high])
        some = None if forces is None else (forces[0][pieces], forces[1][pieces])
        here = stack.pick(which) if len(cuts) > 2 else stack
        wish = asked if asked is None or len(cuts) == 2 else asked.pick(stack, which)
        found.append(_newton(_System(here), places[nodes], some, settings, wish))
    return found[0] if len(found) == 1 else _joined(found)


def balance_quick(
    stack: Stack, places: Floats, *, settings: Settings, forces: tuple[Floats, Floats] | None = None,
    asked: Asked | None = None,
) -> Balanced:
    """`balance`, in compiled loops where these are there and kept.

    Parameters
    ----------
    stack : Stack
    places : (N, 3) array
        [m]
    settings : Settings
    forces : pair of (K,) arrays, optional
        [N]
    asked : Asked, optional
    """
    solve = balance_compiled if quick_loops() else balance
    return solve(stack, places, settings=settings, forces=forces, asked=asked)


def _joined(parts: Sequence[Balanced]) -> Balanced:
    segments = [part.segments for part in parts]
    return Balanced(
        segments=Segments(
            flat=Segments2D(**{
                name: np.concatenate([getattr(each.flat, name) for each in segments]) for name in vars(segments[0].flat)
            }),
            **{name: np.concatenate([getattr(each, name) for each in segments]) for name in _SHAPES},
        ),
        **{
            name: np.concatenate([getattr(part, name) for part in parts])
            for name in ("places", "slides", "residual", "steps", "done", "longer")
        },
    )


def _coarse(stack: Stack) -> tuple[Stack, Flags]:
    """Mains with only the heavy point loads for nodes, the rest spread along them; and which nodes are heavy."""
    heavy = np.einsum("ij,ij->i", stack.pull, stack.pull) > HEAVY**2
    count = np.bincount(stack.owner[heavy], minlength=len(stack))
    nodes, pieces = (np.concatenate([[0], np.cumsum(each)]) for each in (count, count + 1))
    n, r = int(nodes[-1]), len(stack)
    owner = np.repeat(np.arange(r), count + 1)
    place = np.arange(int(pieces[-1])) - pieces[owner]
    before = np.where(place == 0, n + ANCHORS * owner, nodes[owner] + place - 1)
    after = np.where(place == count[owner], n + ANCHORS * owner + 1, nodes[owner] + place)
    marks = np.concatenate([stack.main_at[heavy], np.zeros(ANCHORS * r)])
    marks[n + 1 :: ANCHORS] = stack.total[:, 0]
    carried = stack.load[:, 0] + stack.load[:, 1] * (stack.total[:, 1] / stack.total[:, 0])[:, None]
    q = np.linalg.norm(carried, axis=1)
    pull = stack.pull[heavy]
    return Stack(
        nodes=nodes, pieces=pieces, before=before, after=after, backup=np.zeros(len(owner), dtype=bool),
        anchors=stack.anchors, begin_at=marks[before], stop_at=marks[after], q=q[owner],
        up=(-carried / q[:, None])[owner],
        stretches=stack.stretches, stretch=stack.stretch, soft=stack.soft, offset=stack.offset, pull=pull,
        main_at=marks[:n],
        slides=np.zeros(n), free=np.zeros(n, dtype=bool),
        sliding=np.zeros((len(owner), 2)), least=np.full(len(owner), -np.inf), total=stack.total, load=stack.load,
        weight=stack.total[:, 0] * q
        + np.bincount(np.repeat(np.arange(r), count), weights=np.linalg.norm(pull, axis=1), minlength=r),
    ), heavy


def _tent(coarse: Stack) -> Floats:
    """(n, 3) where the nodes of coarse mains are, about: on a parabola as deep as the loads pull a weightless line
    down if all of them, and half the line's own, hung at one place; see `assemble.Coarse`."""
    r = len(coarse)
    counts = np.diff(coarse.nodes)
    share = coarse.main_at / coarse.total[coarse.owner, 0]
    a, b = coarse.anchors[0::ANCHORS], coarse.anchors[1::ANCHORS]
    mean = np.bincount(coarse.owner, weights=share, minlength=r) / np.maximum(counts, 1)
    mean = np.where(counts > 0, mean, 0.5)
    down = -coarse.up[coarse.pieces[:-1]]
    hung = np.einsum("ij,ij->i", coarse.pull, down[coarse.owner])
    weight = np.bincount(coarse.owner, weights=hung, minlength=r).astype(float)
    weight += 0.5 * coarse.total[:, 0] * coarse.q[coarse.pieces[:-1]]
    secants = np.array([curve.strain[-1] / curve.tension[-1] for curve in coarse.stretches])
    stiff = 1.0 / (secants[coarse.stretch[:, 0]] * coarse.soft[:, 0])
    place, lengths = a + mean[:, None] * (b - a), coarse.total[:, :1] * np.column_stack((mean, 1.0 - mean))
    low, high = np.zeros(r), 0.5 * coarse.total[:, 0]
    for _ in range(24):
        drop = 0.5 * (low + high)
        at = place + drop[:, None] * down
        lift = np.zeros(r)
        for end, length in ((a, lengths[:, 0]), (b, lengths[:, 1])):
            way = at - end
            far = np.sqrt(np.einsum("ij,ij->i", way, way))
            strain = np.maximum(far / length - 1.0 - coarse.offset[:, 0], 0.0)
            lift += stiff * strain * np.einsum("ij,ij->i", way, down) / far
        low, high = np.where(lift < weight, drop, low), np.where(lift < weight, high, drop)
    deep = 0.5 * (low + high) / (4.0 * mean * (1.0 - mean))
    owner = coarse.owner
    bow = 4.0 * share * (1.0 - share) * deep[owner]
    return np.asarray(a[owner] + share[:, None] * (b - a)[owner] + bow[:, None] * down[owner])


def guesses(stack: Stack) -> tuple[Floats, Flags]:
    """Where the nodes of every pair are, about: on a main with only the heavy point loads for nodes.

    Parameters
    ----------
    stack : Stack
        With a heavy load on the main a guess is near.

    Returns
    -------
    (N, 3) array
        [m]
    (R,) bool array
        False for pairs whose coarse main was not found: `first_guess` has to give theirs.
    """
    coarse, heavy = _coarse(stack)
    found = balance_quick(coarse, _tent(coarse), settings=COARSE)
    flat = found.segments.flat
    # Which coarse piece each node lies on: as many as there are heavy nodes up to it.
    upto = np.cumsum(heavy)
    before = np.concatenate([[0], upto])[stack.nodes[:-1]]
    piece = coarse.pieces[:-1][stack.owner] + upto - before[stack.owner]
    marks = np.concatenate([coarse.main_at, np.zeros(ANCHORS * len(stack))])
    points = coarse.points(found.places)
    start = coarse.before[piece]
    s = stack.main_at - marks[start]
    x, z = np.zeros(stack.n), np.zeros(stack.n)
    on = s > 0.0
    mine = piece[on]
    x[on], z[on] = shape_from_forces(
        flat.h[mine], flat.v[mine], s[on], flat.q[mine], flat.a[mine], flat.c[mine]
    )
    segments = found.segments
    places = points[start] + x[:, None] * segments.across[piece] + z[:, None] * segments.up[piece]
    return places, found.done


def minimise_together(
    pairs: Sequence[Pair],
    starts: Sequence[Floats],
    *,
    forces: Sequence[tuple[Floats, Floats]] | None = None,
    settings: Settings,
) -> list[Minimum | None]:
    """Equilibria without slip of many pairs, each downhill of its start.

    Parameters
    ----------
    pairs : sequence of Pair
    starts : sequence of (n, 4) arrays
        Positions and slides of each.  [m]
    forces : sequence of pairs of (k,) arrays, optional
        H and V of the segments of each to start from.  [N]
    settings : Settings

    Returns
    -------
    list of Minimum or None
        None for a pair that `minimise` has to find.
    """
    if not pairs:
        return []
    guess = None
    if forces is not None:
        guess = np.concatenate([h for h, _ in forces]), np.concatenate([v for _, v in forces])
    stack = Stack.of(pairs)
    found = balance_quick(stack, np.concatenate(starts)[:, :3], settings=settings, forces=guess)
    return [minimum_of(stack, found, k, pair) if found.done[k] else None for k, pair in enumerate(pairs)]


def minimum_of(stack: Stack, found: Balanced, k: int, pair: Pair) -> Minimum:
    """One of the pairs that balance, as `minimise` would give it.

    Parameters
    ----------
    stack : Stack
    found : Balanced
    k : int
        Which one.
    pair : Pair
        That pair; with the length found, where its tension was asked for.
    """
    nodes = slice(stack.nodes[k], stack.nodes[k + 1])
    mine = slice(stack.pieces[k], stack.pieces[k + 1])
    all_ = found.segments
    segments = Segments(
        flat=all_.flat.part(mine), chord=all_.chord[mine], x=all_.x[mine], z=all_.z[mine],
        across=all_.across[mine], up=all_.up[mine],
    )
    last = stack.points(found.places)[stack.after[mine]]
    state = Evaluation(
        pair=pair, unknowns=np.column_stack([found.places[nodes], found.slides[nodes]]), segments=segments, last=last,
        height_end=np.einsum("ij,ij->i", last, segments.up),
    )
    moved = found.slides[nodes] != pair.start_slides
    return Minimum(
        state=state, residual=float(found.residual[k]), steps=int(found.steps[k]),
        resting=~(pair.free_slides & moved.any()),
    )


def first_guesses(pairs: Sequence[Pair]) -> list[Floats]:
    """`first_guess` of many pairs.

    Parameters
    ----------
    pairs : sequence of Pair
        With a heavy load on the main a guess is near.

    Returns
    -------
    list of (n, 4) arrays
        Positions and slides.  [m]
    """
    if not pairs:
        return []
    stack = Stack.of(pairs)
    places, done = guesses(stack)
    return [
        np.column_stack([places[stack.nodes[k] : stack.nodes[k + 1]], pair.start_slides]) if done[k]
        else first_guess(pair)
        for k, pair in enumerate(pairs)
    ]


def balanced_together(pairs: Sequence[Pair], *, settings: Settings) -> list[Minimum]:
    """Equilibria without slip of many pairs, begun from `first_guesses`.

    Parameters
    ----------
    pairs : sequence of Pair
        As for `first_guesses`.
    settings : Settings

    Raises
    ------
    NoEquilibrium, SegmentNotSolved
    """
    starts = first_guesses(pairs)
    return [
        search(pair, start, settings=settings) if found is None else found
        for pair, start, found in zip(pairs, starts, minimise_together(pairs, starts, settings=settings), strict=True)
    ]


class _State:
    """All pairs at given places."""

    def __init__(self, places: Floats, segments: Segments, height_end: Floats, gradient: Floats) -> None:
        self.places, self.segments, self.height_end, self.gradient = places, segments, height_end, gradient

    @cached_property
    def stiff(self) -> Stiffness:
        return stiffness(self.segments, self.height_end)


class _System:
    """Residuals and Newton steps of all pairs of a stack."""

    def __init__(self, stack: Stack) -> None:
        self.stack = stack
        n, before, after = stack.n, stack.before, stack.after
        free_b, free_a = before < n, after < n
        both = free_b & free_a
        self.width = 3 * int(np.max(after[both] - before[both], initial=0)) + 2
        rows, columns = np.meshgrid(np.arange(3), np.arange(3), indexing="ij")
        upper = rows <= columns

        def flat(row: Ints, column: Ints) -> Ints:
            return np.asarray((self.width + row - column) + column * (self.width + 1))

        own = []
        for node, free in ((before, free_b), (after, free_a)):
            at = 3 * node[free]
            own.append(flat(at[:, None] + rows[upper], at[:, None] + columns[upper]).reshape(-1))
        cross = flat(3 * before[both][:, None, None] + rows, 3 * after[both][:, None, None] + columns).reshape(-1)
        self._flat = np.concatenate([*own, cross])
        self._free = free_b, free_a, both
        self._upper = upper

    def evaluate(self, places: Floats, lengths: Floats, guess: tuple[Floats, Floats] | None) -> _State:
        """All segments between given nodes."""
        stack = self.stack
        points = stack.points(places)
        last = points[stack.after]
        segments = solve_segments(last - points[stack.before], lengths, stack.q, stack.up, stack.law, guess)
        gradient = self.scatter(segments.force_end, segments.force_start) - stack.pull
        return _State(places, segments, np.einsum("ij,ij->i", last, stack.up), gradient)

    def scatter(self, at_end: Floats, at_start: Floats) -> Floats:
        """(N, 3) what pieces (K, 3) bring to the nodes behind them, less what they bring to those before them."""
        stack, size = self.stack, self.stack.n + len(self.stack.anchors)
        return np.stack([
            np.bincount(stack.after, weights=at_end[:, axis], minlength=size)[: stack.n]
            - np.bincount(stack.before, weights=at_start[:, axis], minlength=size)[: stack.n]
            for axis in range(3)
        ], axis=1)

    def per_pair(self, values: Floats, how: np.ufunc) -> Floats:
        """(R,) of (N,) values; 0 for a pair without nodes."""
        nodes, some = self.stack.nodes, np.diff(self.stack.nodes) > 0
        found = np.zeros(len(self.stack))
        if len(values):
            found[some] = how.reduceat(values, nodes[:-1][some])
        return found

    def solve(self, state: _State, *rights: Floats) -> list[Floats] | None:
        """(N, 3) Newton steps for right sides, or None where the band cannot be factored.  [m]"""
        n, ends = self.stack.n, state.stiff.ends
        free_b, free_a, both = self._free
        own = ends[:, self._upper]
        values = np.concatenate([own[free_b].reshape(-1), own[free_a].reshape(-1), -ends[both].reshape(-1)])
        size = (self.width + 1) * 3 * n
        band = np.bincount(self._flat, weights=values, minlength=size).reshape(3 * n, self.width + 1).T
        factor, info = dpbtrf(band, lower=0)
        if info != 0:
            return None
        answer, _ = dpbtrs(factor, np.column_stack([right.reshape(-1) for right in rights]), lower=0)
        return [np.asarray(answer[:, k]).reshape(-1, 3) for k in range(len(rights))]

    def step(self, state: _State, border: _Bordered | None) -> tuple[Floats, Floats] | None:
        """(N, 3) move and (R,) change of the mains' lengths; None where the band cannot be factored.  [m]"""
        if border is not None:
            return border.step(state)
        found = self.solve(state, -state.gradient)
        return None if found is None else (found[0], np.zeros(len(self.stack)))

    def along(self, state: _State, move: Floats, longer: Floats | None = None) -> Floats:
        """(K, 3) change of the pieces' start forces by a small move (N, 3) and by their own lengths (K,).  [N]"""
        moved = np.concatenate([move, np.zeros((len(self.stack.anchors), 3))])
        change = np.einsum("kij,kj->ki", state.stiff.ends, moved[self.stack.after] - moved[self.stack.before])
        return np.asarray(change if longer is None else change + longer[:, None] * state.stiff.start_by_length)


class _Bordered:
    """Row and column of the mains' lengths; see equation (1)."""

    def __init__(self, system: _System, asked: Asked) -> None:
        stack = system.stack
        mains = np.diff(stack.nodes) + 1
        self.system, self.asked = system, asked
        self.piece = stack.pieces[:-1] + np.where(asked.at_b, mains - 1, 0)

    def error(self, state: _State) -> Floats:
        """(R,) tension less the one that is asked for.  [N]"""
        found, at = state.segments, self.piece
        return np.where(self.asked.at_b, found.tension_end[at], found.tension_start[at]) - self.asked.tension

    def step(self, state: _State) -> tuple[Floats, Floats] | None:
        """(N, 3) move and (R,) change of length."""
        system, by, at = self.system, self.asked.by, self.piece
        stiff, segments = state.stiff, state.segments
        column = system.scatter(by[:, None] * stiff.end_by_length, by[:, None] * stiff.start_by_length)
        found = system.solve(state, -state.gradient, -column)
        if found is None:
            return None
        at_b = self.asked.at_b[:, None]
        force = np.where(at_b, segments.force_end[at], segments.force_start[at])
        force = force / np.linalg.norm(force, axis=1)[:, None]
        by_length = np.where(at_b, stiff.end_by_length[at], stiff.start_by_length[at]) * by[at][:, None]
        rows = [np.einsum("ri,ri->r", force, system.along(state, move)[at]) for move in found]
        slope = rows[1] + np.einsum("ri,ri->r", force, by_length)
        total = system.stack.total[:, 0]
        longer = np.clip((-self.error(state) - rows[0]) / slope, -0.05 * total, 0.05 * total)
        return found[0] + longer[system.stack.owner][:, None] * found[1], longer


def _newton(
    system: _System, places: Floats, guess: tuple[Floats, Floats] | None, settings: Settings, asked: Asked | None
) -> Balanced:
    """All pairs of a stack; those still on the way when most are done go on by themselves."""
    stack = system.stack
    border = None if asked is None else _Bordered(system, asked)
    r, owner, owner_of_piece = len(stack), stack.owner, stack.owner_of_piece
    want, best, share = settings.tolerance * stack.weight, np.full(r, np.inf), np.ones(r)
    move, from_, longer, length_from, stretch = np.zeros((stack.n, 3)), places, np.zeros(r), np.zeros(r), np.zeros(r)
    taken, going, met = np.zeros(r, dtype=np.int64), np.ones(r, dtype=bool), np.zeros(r, dtype=bool)
    kept = places
    try:
        for count in range(MOST_STEPS + 1):
            lengths = stack.lengths if asked is None else stack.lengths + asked.by * longer[owner_of_piece]
            if asked is not None and np.any(lengths <= 0.0):
                return _halves(stack, kept, settings, asked)
            state = system.evaluate(places, lengths, guess)
            residual = system.per_pair(np.abs(state.gradient).max(axis=1, initial=0.0), np.maximum)
            size = system.per_pair((state.gradient**2).sum(axis=1), np.add)
            now, close = residual <= want, np.ones(r, dtype=bool)
            if border is not None and asked is not None:
                error = border.error(state)
                size = size + error**2
                now &= np.abs(error) <= TENSION_TOLERANCE * asked.tension
                close = np.abs(error) <= 10.0 * TENSION_TOLERANCE * asked.tension
            # A Newton step lowers the sum of squares, if it is short enough.
            worse = going & ~(size < (1.0 - 0.1 * share) * best)
            now |= worse & (residual <= settings.accepted * stack.weight) & close
            met = np.where(going, now, met)  # Of those that went no further rounding is all that changes.
            best = np.where(worse, best, size)
            taken[going] = count
            going &= ~met
            going &= ~worse | (share > SHORTEST)
            if not going.any() or count == MOST_STEPS:
                break
            step = system.step(state, border)
            if step is None:
                return _halves(stack, kept, settings, asked)
            share = np.where(worse, 0.5 * share, 1.0)
            held = worse[owner][:, None]
            from_, move = np.where(held, from_, places), np.where(held, move, step[0])
            length_from, stretch = np.where(worse, length_from, longer), np.where(worse, stretch, step[1])
            move[~going[owner]] = 0.0
            stretch[~going] = 0.0
            goal, grown = from_ + share[owner][:, None] * move, length_from + share * stretch
            change = system.along(
                state, goal - places, None if asked is None else asked.by * (grown - longer)[owner_of_piece]
            )
            h, v = state.segments.flat.h, state.segments.flat.v
            guess = (
                np.maximum(h + np.einsum("ki,ki->k", change, state.segments.across), 0.2 * h),
                v + np.einsum("ki,ki->k", change, state.segments.up),
            )
            places, longer = goal, grown
            if 3 * np.count_nonzero(going) <= r and not worse.any() and asked is None:
                return _rest(system, state, places, guess, settings, (going, residual, taken, met))
    except SegmentNotSolved:
        return _halves(stack, kept, settings, asked)
    return Balanced(
        places=places, slides=stack.slides, segments=state.segments, residual=residual, steps=taken, done=met,
        longer=longer,
    )


def _rest(
    system: _System, state: _State, places: Floats, guess: tuple[Floats, Floats], settings: Settings,
    so_far: tuple[Flags, Floats, Ints, Flags],
) -> Balanced:
    """The few that still go on, put back among those that are done."""
    stack, (going, residual, taken, met) = system.stack, so_far
    which = np.flatnonzero(going)
    nodes, pieces = going[stack.owner], going[stack.owner_of_piece]
    more = _newton(
        _System(stack.pick(which)), places[nodes], (guess[0][pieces], guess[1][pieces]), settings, None
    )
    taken[which] += more.steps
    so_far_found = Balanced(
        places=places, slides=stack.slides, segments=state.segments, residual=residual, steps=taken, done=met,
        longer=np.zeros(len(stack)),
    )
    return put(stack, so_far_found, which, replace(more, steps=taken[which]))


def put(stack: Stack, found: Balanced, which: Ints, more: Balanced) -> Balanced:
    """What was found, with that of some pairs in place of what it had.

    Parameters
    ----------
    stack : Stack
    found : Balanced
        Of it.
    which : (m,) int array
    more : Balanced
        Of those pairs alone.
    """
    nodes, pieces = stack.numbers_of(which)

    def with_more(old: NDArray[Any], at: Ints, new: NDArray[Any]) -> NDArray[Any]:
        changed = old.copy()
        changed[at] = new
        return changed

    flat, more_flat = found.segments.flat, more.segments.flat
    segments = Segments(
        flat=Segments2D(**{
            name: with_more(values, pieces, getattr(more_flat, name)) for name, values in vars(flat).items()
        }),
        **{
            name: with_more(getattr(found.segments, name), pieces, getattr(more.segments, name)) for name in _SHAPES
        },
    )
    return Balanced(
        segments=segments,
        **{name: with_more(getattr(found, name), nodes, getattr(more, name)) for name in ("places", "slides")},
        **{
            name: with_more(getattr(found, name), which, getattr(more, name))
            for name in ("residual", "steps", "done", "longer")
        },
    )


def mended(stack: Stack, found: Balanced, *, settings: Settings, starts: Floats | None = None) -> Balanced:
    """What was found, with pairs that are open found one by one as far as `minimise` finds them.

    Parameters
    ----------
    stack : Stack
    found : Balanced
        Of it.
    settings : Settings
    starts : (N, 3) array, optional
        Where each of them begins; default its first guess.  [m]
    """
    for k in np.flatnonzero(~found.done).tolist():
        pair = stack.pair(k)
        try:
            start = first_guess(pair) if starts is None else np.column_stack((
                starts[stack.nodes[k] : stack.nodes[k + 1]], pair.start_slides
            ))
            alone = search(pair, start, settings=settings)
        except SolveError:
            continue
        found = put(stack, found, np.array([k]), alone_as_balanced(alone))
    return found


def alone_as_balanced(alone: Minimum) -> Balanced:
    """One pair's minimum as what is found for a stack of it."""
    return Balanced(
        places=alone.state.unknowns[:, :3], slides=alone.state.unknowns[:, 3], segments=alone.state.segments,
        residual=np.array([alone.residual]), steps=np.array([alone.steps]), done=np.ones(1, dtype=bool),
        longer=np.zeros(1),
    )


def _halves(stack: Stack, places: Floats, settings: Settings, asked: Asked | None) -> Balanced:
    """One of the pairs is to blame: each half by itself."""
    r = len(stack)
    if r == 1:
        zero, nan = np.zeros(len(stack.q)), np.full(len(stack.q), np.nan)
        flat = Segments2D(h=nan, v=nan, length=stack.lengths, q=stack.q, a=nan, c=nan, offset=nan)
        nothing = Segments(flat=flat, chord=np.zeros_like(stack.up), x=zero, z=zero, across=stack.up, up=stack.up)
        return Balanced(
            places=places, slides=stack.slides, segments=nothing, residual=np.full(1, np.inf),
            steps=np.zeros(1, dtype=np.int64), done=np.zeros(1, dtype=bool), longer=np.zeros(1),
        )
    parts = []
    for which in (np.arange(r // 2), np.arange(r // 2, r)):
        nodes = slice(stack.nodes[which[0]], stack.nodes[which[-1] + 1])
        wish = None if asked is None else asked.pick(stack, which)
        parts.append(_newton(_System(stack.pick(which)), places[nodes], None, settings, wish))
    return _joined(parts)

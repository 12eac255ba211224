"""Many pairs at once, tapes held where they are: the equilibria that `minimise` finds one after another.

A sweep asks for some hundred states that differ in where the walker stands, in what pulls at him or in the wind.
Their segments go through the catenary together, and their tangents, which share no unknown, through one band.  With
held tapes the energy is convex in the positions, so a Newton step, short enough, leaves less out of balance, and there
is one equilibrium to find.  A pair for which that fails is left to `minimise`.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import lapack

from linescope.errors import SegmentNotSolved
from linescope.statics.assemble import COARSE, Coarse, first_guess
from linescope.statics.minimise import Minimum, Settings, minimise
from linescope.statics.pair import Evaluation, Pair
from linescope.statics.segments import Segments, solve_segments, stiffness

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

MOST_STEPS = 30
SHORTEST = 0.05
"""Shares of a Newton step are halved down to this one, where it does not leave less out of balance. [-]"""
AT_ONCE = 20_000
"""Segments that are solved together; more are dealt with in parts."""


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
        All with the same two stretch curves.
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
    found: list[Minimum | None] = []
    sizes = np.cumsum([pair.n + len(pair.tapes) + 2 for pair in pairs])
    edges = [*np.unique(sizes // AT_ONCE, return_index=True)[1].tolist(), len(pairs)]
    for low, high in itertools.pairwise(edges):
        some = None if forces is None else forces[low:high]
        found += _together(pairs[low:high], starts[low:high], some, settings)
    return found


def first_guesses(pairs: Sequence[Pair]) -> list[Floats]:
    """`first_guess` of many pairs.

    Parameters
    ----------
    pairs : sequence of Pair
        All with the same two stretch curves; with a heavy load on the main a guess is near.

    Returns
    -------
    list of (n, 4) arrays
        Positions and slides.  [m]
    """
    coarse = [Coarse.of(pair) for pair in pairs]
    loaded = [one for one in coarse if one.pair.n > 0]  # Without a load nothing but the anchors is left.
    minima = iter(minimise_together([one.pair for one in loaded], [one.start for one in loaded], settings=COARSE))
    found = [next(minima) if one.pair.n > 0 else None for one in coarse]
    return [
        first_guess(one.fine) if minimum is None else one.spread(minimum.state)
        for one, minimum in zip(coarse, found, strict=True)
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
        minimise(pair, start, settings=settings) if found is None else found
        for pair, start, found in zip(pairs, starts, minimise_together(pairs, starts, settings=settings), strict=True)
    ]


def _together(
    pairs: Sequence[Pair], starts: Sequence[Floats], forces: Sequence[tuple[Floats, Floats]] | None, settings: Settings
) -> list[Minimum | None]:
    joined = _Joined(pairs)
    unknowns = np.concatenate(starts)
    guess = None
    if forces is not None:
        guess = np.concatenate([h for h, _ in forces]), np.concatenate([v for _, v in forces])
    want = np.array([settings.tolerance * pair.weight for pair in pairs])
    best = np.full(len(pairs), np.inf)
    share = np.ones(len(pairs))
    move, from_ = np.zeros((len(unknowns), 3)), unknowns[:, :3]
    taken = np.zeros(len(pairs), dtype=np.int64)
    going = np.ones(len(pairs), dtype=bool)
    try:
        for count in range(MOST_STEPS + 1):
            state = joined.evaluate(unknowns, guess)
            residual, size = joined.residual(state)
            # A Newton step lowers the sum of squares, if it is short enough.
            worse = going & ~(size < (1.0 - 0.1 * share) * best)
            best = np.where(worse, best, size)
            taken[going] = count
            going &= worse | (residual > want)
            going &= ~worse | (share > SHORTEST)
            if not going.any() or count == MOST_STEPS:
                break
            step = joined.step(state)
            if step is None:
                return [None] * len(pairs)
            share = np.where(worse, 0.5 * share, 1.0)
            at = unknowns[:, :3]
            held, shares = worse[joined.owner][:, None], share[joined.owner][:, None]
            from_ = np.where(held, from_, at)
            move = np.where(held, move, step)
            move[~going[joined.owner]] = 0.0
            goal = from_ + shares * move
            guess = joined.forces_after(state, goal - at)
            unknowns = np.column_stack([goal, unknowns[:, 3]])
    except SegmentNotSolved:
        if len(pairs) == 1:
            return [None]
        half = len(pairs) // 2  # One of them is to blame.
        return [
            one
            for part in (slice(None, half), slice(half, None))
            for one in _together(pairs[part], starts[part], None if forces is None else forces[part], settings)
        ]
    return [
        Minimum(
            state=joined.single(state, k), residual=float(residual[k]), steps=int(taken[k]),
            resting=np.ones(pair.n, dtype=bool),
        ) if residual[k] <= want[k] else None
        for k, pair in enumerate(pairs)
    ]


class _State:
    """All pairs at given nodes."""

    def __init__(self, unknowns: Floats, segments: Segments, last: Floats, height_end: Floats) -> None:
        self.unknowns, self.segments, self.last, self.height_end = unknowns, segments, last, height_end
        self.gradient: Floats = np.zeros((0, 3))
        self.ends: Floats = np.zeros((0, 3, 3))


class _Joined:
    """Pairs one behind the other; the anchors of each follow behind all nodes."""

    def __init__(self, pairs: Sequence[Pair]) -> None:
        self.pairs = pairs
        counts = np.array([pair.n for pair in pairs])
        self.first: Ints = np.concatenate([[0], np.cumsum(counts)])
        self.nodes = int(self.first[-1])
        self.owner: Ints = np.repeat(np.arange(len(pairs)), counts)
        before, after, main, anchors, lengths, loads, ups = [], [], [], [], [], [], []
        for k, pair in enumerate(pairs):
            b, a, _, _, _, _ = pair._ends
            own = self.nodes + 4 * k
            mine = np.arange(len(b)) <= pair.n
            before.append(np.where(b < 0, np.where(mine, own, own + 2), b + self.first[k]))
            after.append(np.where(a < 0, np.where(mine, own + 1, own + 3), a + self.first[k]))
            main.append(mine)
            anchors += [pair.main_ends, pair.backup_ends]
            lengths.append(pair.lengths(pair.start_slides))
            q, up = pair._ups
            loads.append(q)
            ups.append(up)
        self.before, self.after, self.main = (np.concatenate(each) for each in (before, after, main))
        self.edges: Ints = np.concatenate([[0], np.cumsum([len(each) for each in before])])
        self.anchors = np.concatenate(anchors)
        self.lengths, self.q, self.up = np.concatenate(lengths), np.concatenate(loads), np.concatenate(ups)
        self.pull = np.concatenate([pair.pull for pair in pairs])
        self.law = self._law()
        self._places()

    def _law(self) -> Callable[[Floats], tuple[Floats, Floats, Floats]]:
        pair, main = self.pairs[0], self.main
        curves = pair.main_stretch, pair.backup_stretch
        if all(curve.is_linear for curve in curves):
            soft = [float(curve.at(np.ones(1))[1][0]) for curve in curves]
            c = np.where(main, *soft)

            def linear(tension: Floats) -> tuple[Floats, Floats, Floats]:
                strain = c * tension
                return strain, c, 0.5 * strain * tension

            return linear
        order = np.argsort(~main, kind="stable")
        back, k = np.argsort(order, kind="stable"), int(main.sum())

        def curved(tension: Floats) -> tuple[Floats, Floats, Floats]:
            sorted_ = tension[order]
            a, b = curves[0].at(sorted_[:k]), curves[1].at(sorted_[k:])
            strain, soft, energy = (np.concatenate(both)[back] for both in zip(a, b, strict=True))
            return strain, soft, energy

        return curved

    def _places(self) -> None:
        """Where the entries of the segments' stiffness go in the upper band of the positions' matrix."""
        n = self.nodes
        free_b, free_a = self.before < n, self.after < n
        both = free_b & free_a
        self.width = 3 * int(np.max(self.after[both] - self.before[both], initial=0)) + 2
        rows, columns = np.meshgrid(np.arange(3), np.arange(3), indexing="ij")
        upper = rows <= columns

        def flat(row: Ints, column: Ints) -> Ints:
            return np.asarray((self.width + row - column) + column * (self.width + 1))

        own = []
        for node, free in ((self.before, free_b), (self.after, free_a)):
            at = 3 * node[free]
            own.append(flat(at[:, None] + rows[upper], at[:, None] + columns[upper]).reshape(-1))
        cross = flat(
            3 * self.before[both][:, None, None] + rows, 3 * self.after[both][:, None, None] + columns
        ).reshape(-1)
        self._flat = np.concatenate([*own, cross])
        self._free = free_b, free_a, both
        self._upper = upper

    def evaluate(self, unknowns: Floats, guess: tuple[Floats, Floats] | None) -> _State:
        """All segments between given nodes."""
        points = np.concatenate([unknowns[:, :3], self.anchors])
        last = points[self.after]
        chord = last - points[self.before]
        segments = solve_segments(chord, self.lengths, self.q, self.up, self.law, guess)
        state = _State(unknowns, segments, last, np.einsum("ij,ij->i", last, self.up))
        start, end = segments.force_start, segments.force_end
        size = len(points)
        state.gradient = np.stack([
            np.bincount(self.after, weights=end[:, axis], minlength=size)[: self.nodes]
            - np.bincount(self.before, weights=start[:, axis], minlength=size)[: self.nodes]
            for axis in range(3)
        ], axis=1) - self.pull
        return state

    def residual(self, state: _State) -> tuple[Floats, Floats]:
        """Largest unbalanced force of each pair [N], and the sum of all their squares [N²]."""
        first, squares = self.first[:-1], (state.gradient**2).sum(axis=1)
        return (
            np.maximum.reduceat(np.abs(state.gradient).max(axis=1), first), np.add.reduceat(squares, first)
        )

    def step(self, state: _State) -> Floats | None:
        """(nodes, 3) Newton step, or None where the band cannot be factored.  [m]"""
        state.ends = ends = stiffness(state.segments, state.height_end).ends
        free_b, free_a, both = self._free
        own = ends[:, self._upper]
        values = np.concatenate([own[free_b].reshape(-1), own[free_a].reshape(-1), -ends[both].reshape(-1)])
        size = (self.width + 1) * 3 * self.nodes
        band = np.bincount(self._flat, weights=values, minlength=size).reshape(3 * self.nodes, self.width + 1).T
        factor, info = lapack.dpbtrf(band, lower=0)
        if info != 0:
            return None
        answer, _ = lapack.dpbtrs(factor, -state.gradient.reshape(-1), lower=0)
        return np.asarray(answer).reshape(-1, 3)

    def forces_after(self, state: _State, move: Floats) -> tuple[Floats, Floats]:
        """H and V of every segment after a small move, to first order; see `Evaluation.forces_after`.  [N]"""
        moved = np.concatenate([move, np.zeros((4 * len(self.pairs), 3))])
        change = np.einsum("kij,kj->ki", state.ends, moved[self.after] - moved[self.before])
        segments = state.segments
        h, v = segments.flat.h, segments.flat.v
        across = np.einsum("ki,ki->k", change, segments.across)
        return np.maximum(h + across, 0.2 * h), v + np.einsum("ki,ki->k", change, segments.up)

    def single(self, state: _State, k: int) -> Evaluation:
        """One of the pairs."""
        mine, nodes = slice(self.edges[k], self.edges[k + 1]), slice(self.first[k], self.first[k + 1])
        all_ = state.segments
        segments = Segments(
            flat=all_.flat.part(mine), chord=all_.chord[mine], x=all_.x[mine], z=all_.z[mine],
            across=all_.across[mine], up=all_.up[mine],
        )
        return Evaluation(
            pair=self.pairs[k], unknowns=state.unknowns[nodes], segments=segments, last=state.last[mine],
            height_end=state.height_end[mine],
        )

"""Many pairs as one long list of pieces: what loops and arrays over all of them need, and where each begins.

Pairs of any topology, load and stretch lie one behind the other.  A node's number counts through all of them; the
anchors of each (main at A and B, backup at A and B) follow behind all nodes, so that a piece finds its ends by two
numbers.  Nothing here is solved.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from linescope.statics.pair import FIXED, SLIDES_ON_BACKUP, SLIDES_ON_MAIN, Pair
from linescope.statics.quick import AREA, FLOOR, KNOT, LAST, STRAIN, curves_of, lengthened
from linescope.webbing import StretchCurve

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]
ANCHORS = 4


def runs(begin: Ints, count: Ints) -> Ints:
    """Numbers begin, begin + 1, ... of every run, one behind the other.

    Parameters
    ----------
    begin, count : (m,) int array
    """
    first = np.cumsum(count) - count
    return np.asarray(np.repeat(begin - first, count) + np.arange(int(count.sum())), dtype=np.int64)


@dataclass(frozen=True, eq=False, kw_only=True)
class Stack:
    """R pairs, of together N nodes and K pieces of line.

    Attributes
    ----------
    nodes, pieces : (R+1,) int array
        Where the nodes and the pieces of each pair begin, and where the last ones end.
    before, after : (K,) int array
        Ends of every piece: a node, or N + 4 r + 0 ... 3 for the anchors of pair r.
    backup : (K,) bool array
        Whether it is a piece of the backup.
    anchors : (4R, 3) array
        [m]
    begin_at, stop_at : (K,) array
        Material coordinate of both ends of every piece, as taped.  [m]
    q : (K,) array
        Load per unstretched metre.  [N/m]
    up : (K, 3) array
        Unit vector against it.  [-]
    stretches : tuple of StretchCurve
    stretch : (R, 2) int array
        Which of them main and backup have.
    soft : (R, 2) array
        Strain at every tension over that of the curve, its offset apart.  [-]
    offset : (R, 2) array
        Strain of main and backup more than that at every tension.  [-]
    pull : (N, 3) array
        External force on each node.  [N]
    main_at : (N,) array
        Material coordinate of every node on its main.  [m]
    slides : (N,) array
        As taped; 0 where nothing slides.  [m]
    free : (N,) bool array
        Whether a line slides through the node.
    sliding : (K, 2) array
        1 where the line slides through the first and the second end of a piece, else 0.  [-]
    least : (K,) array
        Below this length sliding tapes push on each other; -inf where none slides.  [m]
    total : (R, 2) array
        Unstretched main and backup.  [m]
    load : (R, 2, 3) array
        On main and backup.  [N/m]
    weight : (R,) array
        All that hangs on the anchors.  [N]
    """

    nodes: Ints
    pieces: Ints
    before: Ints
    after: Ints
    backup: Flags
    anchors: Floats
    begin_at: Floats
    stop_at: Floats
    q: Floats
    up: Floats
    stretches: tuple[StretchCurve, ...]
    stretch: Ints
    soft: Floats
    offset: Floats
    pull: Floats
    main_at: Floats
    slides: Floats
    free: Flags
    sliding: Floats
    least: Floats
    total: Floats
    load: Floats
    weight: Floats

    def __len__(self) -> int:
        return len(self.weight)

    @property
    def n(self) -> int:
        """All nodes."""
        return len(self.main_at)

    @cached_property
    def lengths(self) -> Floats:
        """(K,) unstretched length of every piece as taped.  [m]"""
        return self.stop_at - self.begin_at

    @cached_property
    def owner(self) -> Ints:
        """(N,) pair of each node."""
        return np.repeat(np.arange(len(self)), np.diff(self.nodes))

    @cached_property
    def owner_of_piece(self) -> Ints:
        """(K,) pair of each piece."""
        return np.repeat(np.arange(len(self)), np.diff(self.pieces))

    @classmethod
    def of(cls, pairs: Sequence[Pair]) -> Stack:
        """Pairs, one behind the other.

        Parameters
        ----------
        pairs : sequence of Pair
        """
        counts = np.array([pair.n for pair in pairs], dtype=np.int64)
        nodes = np.concatenate([[0], np.cumsum(counts)])
        sizes = np.array([pair.n + len(pair.tapes) + 2 for pair in pairs], dtype=np.int64)
        known: dict[int, int] = {}
        stretches: list[StretchCurve] = []
        before, after, backup, q, up, sliding, least, which, begin_at, stop_at = ([] for _ in range(10))
        for k, pair in enumerate(pairs):
            first, last, _, _, (first_slides, last_slides), short = pair._ends
            mine = np.arange(len(first)) <= pair.n
            own = int(nodes[-1]) + ANCHORS * k
            before.append(np.where(first < 0, np.where(mine, own, own + 2), first + nodes[k]))
            after.append(np.where(last < 0, np.where(mine, own + 1, own + 3), last + nodes[k]))
            backup.append(~mine)
            marks = pair.line_coordinates(pair.start_slides)
            begin_at += [line[:-1] for line in marks]
            stop_at += [line[1:] for line in marks]
            load, above = pair._ups
            q.append(load)
            up.append(above)
            sliding.append(np.column_stack((first_slides, last_slides)))
            least.append(short)
            for stretch in (pair.main_stretch, pair.backup_stretch):
                if id(stretch) not in known:
                    known[id(stretch)] = len(stretches)
                    stretches.append(stretch)
            which.append((known[id(pair.main_stretch)], known[id(pair.backup_stretch)]))
        slides = np.concatenate([pair.start_slides for pair in pairs])
        return cls(
            nodes=nodes, pieces=np.concatenate([[0], np.cumsum(sizes)]), before=np.concatenate(before),
            after=np.concatenate(after), backup=np.concatenate(backup),
            anchors=np.concatenate([np.concatenate((pair.main_ends, pair.backup_ends)) for pair in pairs]),
            begin_at=np.concatenate(begin_at), stop_at=np.concatenate(stop_at), q=np.concatenate(q),
            up=np.concatenate(up), stretches=tuple(stretches), stretch=np.array(which), soft=np.ones((len(pairs), 2)),
            offset=np.array([(pair.main_stretch.offset, pair.backup_stretch.offset) for pair in pairs]),
            pull=np.concatenate([pair.pull for pair in pairs]),
            main_at=np.concatenate([pair.main_at for pair in pairs]), slides=slides,
            free=np.concatenate([pair.free_slides for pair in pairs]), sliding=np.concatenate(sliding),
            least=np.concatenate(least), total=np.array([(pair.main_length, pair.backup_length) for pair in pairs]),
            load=np.array([(pair.main_load, pair.backup_load) for pair in pairs]),
            weight=np.array([pair.weight for pair in pairs]),
        )

    def repeated(self, count: int) -> Stack:
        """A stack of one pair, this often.

        Parameters
        ----------
        count : int
        """
        return self.pick(np.zeros(count, dtype=np.int64))

    def numbers_of(self, which: Ints) -> tuple[Ints, Ints]:
        """Numbers of the nodes, and of the pieces, of some of the pairs, one pair behind the other.

        Parameters
        ----------
        which : (m,) int array
        """
        return (
            runs(self.nodes[which], np.diff(self.nodes)[which]), runs(self.pieces[which], np.diff(self.pieces)[which])
        )

    def pick(self, which: Ints) -> Stack:
        """Some of the pairs.

        Parameters
        ----------
        which : (m,) int array
        """
        n_old, counts, sizes = self.n, np.diff(self.nodes)[which], np.diff(self.pieces)[which]
        node, piece = self.numbers_of(which)
        n = int(counts.sum())
        nodes, pieces = (np.concatenate([[0], np.cumsum(each)]) for each in (counts, sizes))
        shift = np.repeat(nodes[:-1] - self.nodes[which], sizes)
        moved = np.repeat(n + ANCHORS * (np.arange(len(which)) - which) - n_old, sizes)
        ends = [
            np.where(end[piece] < n_old, end[piece] + shift, end[piece] + moved) for end in (self.before, self.after)
        ]
        anchor = (ANCHORS * which[:, None] + np.arange(ANCHORS)).reshape(-1)
        return Stack(
            nodes=nodes, pieces=pieces, before=ends[0], after=ends[1], backup=self.backup[piece],
            anchors=self.anchors[anchor], begin_at=self.begin_at[piece],
            stop_at=self.stop_at[piece], q=self.q[piece], up=self.up[piece],
            stretches=self.stretches, stretch=self.stretch[which], soft=self.soft[which],
            offset=self.offset[which], pull=self.pull[node],
            main_at=self.main_at[node], slides=self.slides[node], free=self.free[node], sliding=self.sliding[piece],
            least=self.least[piece], total=self.total[which], load=self.load[which], weight=self.weight[which],
        )

    def changed(
        self,
        *,
        marks: tuple[Floats, Floats] | None = None,
        pull: Floats | None = None,
        load: Floats | None = None,
        anchors: Floats | None = None,
        softer: Floats | None = None,
        offset: Floats | None = None,
    ) -> Stack:
        """The same pairs with other numbers, topology kept.

        Parameters
        ----------
        marks : pair of (K,) arrays, optional
            `begin_at` and `stop_at`; slides as taped follow.  [m]
        pull : (N, 3) array, optional
            [N]
        load : (R, 2, 3) array, optional
            [N/m]
        anchors : (4R, 3) array, optional
            [m]
        softer : (R, 2) array, optional
            Strain of main and backup at every tension, over what it is now.  [-]
        offset : (R, 2) array, optional
            Strain of main and backup more at every tension, in place of what it is now.  [-]
        """
        new = replace(
            self, pull=self.pull if pull is None else pull, load=self.load if load is None else load,
            anchors=self.anchors if anchors is None else anchors,
        )
        line = new.backup.astype(np.int64)
        if load is not None:
            each = load[new.owner_of_piece, line]
            q = np.sqrt(np.einsum("ij,ij->i", each, each))
            new = replace(new, q=q, up=-each / q[:, None])
        if marks is not None:
            begin_at, stop_at = marks
            ends = new.after < new.n
            on_main, moved = ends & ~new.backup, ends & (new.sliding[:, 1] > 0.0)
            main_at, slides = new.main_at.copy(), np.zeros(new.n)
            main_at[new.after[on_main]], slides[new.after[moved]] = stop_at[on_main], stop_at[moved]
            total = np.column_stack((
                stop_at[new.pieces[:-1] + np.diff(new.nodes)], stop_at[new.pieces[1:] - 1]
            ))
            new = replace(
                new, begin_at=begin_at, stop_at=stop_at, main_at=main_at, slides=slides, total=total,
                least=np.where(np.isfinite(new.least), np.minimum(new.least, 0.5 * (stop_at - begin_at)), new.least),
            )
        if softer is not None:
            new = replace(new, soft=new.soft * softer)
        if offset is not None:
            new = replace(new, offset=offset)
        weighed = new.total * np.sqrt(np.einsum("rlk,rlk->rl", new.load, new.load))
        pulled = np.bincount(new.owner, weights=np.linalg.norm(new.pull, axis=1), minlength=len(new))
        return replace(new, weight=np.abs(weighed).sum(axis=1) + pulled)

    def points(self, places: Floats) -> Floats:
        """(N + 4R, 3) places of nodes (N, 3) and anchors.  [m]"""
        return np.concatenate([places, self.anchors])

    @cached_property
    def is_tape(self) -> Flags:
        """(N,) whether the backup is held at a node."""
        return np.isin(np.arange(self.n), self.after[self.backup])

    def pair(self, k: int) -> Pair:
        """One of the pairs, for the solver that takes one at a time.

        Parameters
        ----------
        k : int
        """
        nodes, pieces = slice(self.nodes[k], self.nodes[k + 1]), slice(self.pieces[k], self.pieces[k + 1])
        n, kind = self.nodes[k + 1] - self.nodes[k], np.full(self.nodes[k + 1] - self.nodes[k], FIXED)
        backup_at, tapes = np.full(n, np.nan), self.is_tape[nodes]
        ends = self.after[pieces] - self.nodes[k]
        inner = (self.after[pieces] < self.n) & self.backup[pieces]
        backup_at[ends[inner]] = self.stop_at[pieces][inner]
        slides = (self.after[pieces] < self.n) & (self.sliding[pieces, 1] > 0.0)
        kind[ends[slides]] = np.where(self.backup[pieces][slides], SLIDES_ON_BACKUP, SLIDES_ON_MAIN)
        least = self.least[pieces]
        stretches = [
            self.stretches[which] if soft == 1.0 else self.stretches[which].scaled(1.0 / soft)
            for which, soft in zip(self.stretch[k].tolist(), self.soft[k].tolist(), strict=True)
        ]
        stretches = [
            each if each.offset == offset else replace(each, offset=offset)
            for each, offset in zip(stretches, self.offset[k].tolist(), strict=True)
        ]
        anchors = self.anchors[ANCHORS * k : ANCHORS * (k + 1)]
        return Pair(
            main_ends=anchors[:2], backup_ends=anchors[2:], main_length=float(self.total[k, 0]),
            backup_length=float(self.total[k, 1]), slide=kind, is_tape=tapes, main_at=self.main_at[nodes],
            backup_at=backup_at, pull=self.pull[nodes], main_load=self.load[k, 0], backup_load=self.load[k, 1],
            main_stretch=stretches[0], backup_stretch=stretches[1], gap=float(np.max(least, initial=0.0)), least=least,
        )

    @cached_property
    def curves(self) -> Floats:
        """(R, 2, m, CURVE) stretch curves; see `quick.curves_of`.  [SI]"""
        curves = curves_of(*self.stretches)[self.stretch]
        curves[..., STRAIN : FLOOR + 1] *= self.soft[:, :, None, None]
        return lengthened(curves, self.offset)

    def compliance(self, pieces: Ints, tension: Floats) -> Floats:
        """(m,) strain more for a tension more, in some of the pieces.  [1/N]

        Parameters
        ----------
        pieces : (m,) int array
        tension : (m,) array
            There.  [N]
        """
        rows = self.curves[self.owner_of_piece[pieces], self.backup[pieces].astype(np.int64)]
        return stretched(rows, tension)[1]

    @cached_property
    def law(self) -> Callable[[Floats], tuple[Floats, Floats, Floats]]:
        """Tensions (K,) to strain, compliance and complementary energy; see `StretchCurve.at`."""
        curves, owner, line = self.curves, self.owner_of_piece, self.backup.astype(np.int64)
        straight = all(self.stretches[which].is_linear for which in np.unique(self.stretch).tolist())
        if straight and not self.offset.any():
            c = curves[owner, line, 0, STRAIN + 2]

            def linear(tension: Floats) -> tuple[Floats, Floats, Floats]:
                strain = c * tension
                return strain, c, 0.5 * strain * tension

            return linear
        rows = curves[owner, line]
        return lambda tension: stretched(rows, tension)


def stretched(curves: Floats, tension: Floats) -> tuple[Floats, Floats, Floats]:
    """Strain, compliance and complementary energy on a curve of its own each; see `StretchCurve.at`.

    Parameters
    ----------
    curves : (k, m, CURVE) array
        See `quick.curves_of`.  [SI]
    tension : (k,) array
        [N]

    Returns
    -------
    strain, compliance, complementary : (k,) array
        [-, 1/N, N]
    """
    inside = np.minimum(tension, curves[:, 0, LAST])
    row = curves[np.arange(len(curves)), np.sum(inside[:, None] > curves[:, 1:, KNOT], axis=1)]
    d = inside - row[:, KNOT]
    s0, s1, s2, s3 = (row[:, STRAIN + i] for i in range(4))
    value = ((s0 * d + s1) * d + s2) * d + s3
    slope = np.maximum((3.0 * s0 * d + 2.0 * s1) * d + s2, row[:, FLOOR])
    under = np.zeros_like(d)
    for power in range(AREA, FLOOR):
        under = under * d + row[:, power]
    beyond = tension - inside
    return value + slope * beyond, slope, under + beyond * (value + 0.5 * slope * beyond)

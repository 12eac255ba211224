"""The coupled pair as a minimisation problem: energy, forces and exact tangent of main + backup + tapes.

Nodes are tapes (main and backup meet there) and point loads on the main alone (walker, loose joints), in order along
the main.  A node has four unknowns: x, y, z and one material coordinate, that of the line which slides through the
tape (a dummy for tapes that hold both lines and for point loads).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from linescope.shown import Outlined
from linescope.statics import buffers
from linescope.statics.blocks import BlockMatrix
from linescope.statics.segments import Segments, Stiffness, solve_segments, stiffness
from linescope.webbing import StretchCurve

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]

FIXED, SLIDES_ON_MAIN, SLIDES_ON_BACKUP = 0, 1, 2


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Pair(Outlined):
    """Everything the equilibrium depends on, as arrays.

    Attributes
    ----------
    main_ends, backup_ends : (2, 3) array
        Anchors A and B of each line.  [m]
    main_length, backup_length : float
        Unstretched.  [m]
    slide : (n,) int array
        FIXED, SLIDES_ON_MAIN (the main slides: the tape moves on it) or SLIDES_ON_BACKUP.
    is_tape : (n,) bool array
        Whether main and backup meet at the node.
    main_at : (n,) array
        Material coordinate on the main; where it slides, as taped.  [m]
    backup_at : (n,) array
        The same on the backup (nan for point loads).  [m]
    pull : (n, 3) array
        External force on each node.  [N]
    main_load, backup_load : (3,) array
        Force per unstretched metre.  [N/m]
    main_stretch, backup_stretch : StretchCurve
    gap : float
        Least distance along a line between a sliding tape and its neighbour.  [m]
    least : (k,) array, optional
        The same for every segment, the main's first; default `gap`, or half the segment where tapes were put
        closer.  [m]
    start_slides : (n,) array
        Made of the others: the sliding line's material coordinate as taped, 0 where nothing slides.  [m]
    """

    main_ends: Floats
    backup_ends: Floats
    main_length: float
    backup_length: float
    slide: Ints
    is_tape: Flags
    main_at: Floats
    backup_at: Floats
    pull: Floats
    main_load: Floats
    backup_load: Floats
    main_stretch: StretchCurve
    backup_stretch: StretchCurve
    gap: float
    least: Floats | None = None
    start_slides: Floats = field(init=False)

    def __post_init__(self) -> None:
        slides = np.where(self.slide == SLIDES_ON_MAIN, self.main_at, 0.0)
        slides = np.where(self.slide == SLIDES_ON_BACKUP, self.backup_at, slides)
        object.__setattr__(self, "start_slides", slides)

    @property
    def n(self) -> int:
        """Number of nodes."""
        return len(self.slide)

    @cached_property
    def tapes(self) -> Ints:
        """(t,) node index of every tape."""
        return np.flatnonzero(self.is_tape)

    @cached_property
    def free_slides(self) -> Flags:
        """(n,) whether the node has a real material coordinate to solve for."""
        return np.asarray(self.slide != FIXED, dtype=bool)

    @cached_property
    def _ups(self) -> tuple[Floats, Floats]:
        """(k,) load and (k, 3) up of every segment, the main's first."""
        k_main, k_backup = self.n + 1, len(self.tapes) + 1
        loads = np.concatenate((np.tile(self.main_load, (k_main, 1)), np.tile(self.backup_load, (k_backup, 1))))
        q = np.linalg.norm(loads, axis=1)
        return q, -loads / q[:, None]

    @cached_property
    def weight(self) -> float:
        """All load that hangs on the anchors: lines and point loads.  [N]"""
        q, _ = self._ups
        return float(
            self.main_length * q[0]
            + abs(self.backup_length) * q[-1]
            + np.sum(np.linalg.norm(self.pull, axis=1))
        )

    @cached_property
    def _ends(self) -> tuple[Ints, Ints, Ints, Ints, Floats, Floats]:
        """Node before and after each segment (-1: anchor), which line slides there, and the least lengths."""
        main = np.arange(-1, self.n)
        tapes = np.concatenate(([-1], self.tapes))
        before = np.concatenate((main, tapes))
        after = np.concatenate((main[1:], [-1], self.tapes, [-1]))
        line = np.concatenate((np.full(self.n + 1, SLIDES_ON_MAIN), np.full(len(tapes), SLIDES_ON_BACKUP)))
        slide = np.append(self.slide, FIXED)
        before_slides = (slide[before] == line).astype(float)
        after_slides = (slide[after] == line).astype(float)
        lengths = self.lengths(self.start_slides)
        least = np.minimum(self.gap, 0.5 * lengths) if self.least is None else self.least
        least = np.where(before_slides + after_slides > 0.0, least, -np.inf)
        return before, after, line, np.arange(self.n + 1), np.stack((before_slides, after_slides)), least

    def line_coordinates(self, slides: Floats) -> tuple[Floats, Floats]:
        """Material coordinates of the nodes of both lines, anchors included.

        Parameters
        ----------
        slides : (n,) array
            The fourth unknown of every node.  [m]

        Returns
        -------
        main : (n+2,) array
            [m]
        backup : (t+2,) array
            [m]
        """
        main = np.where(self.slide == SLIDES_ON_MAIN, slides, self.main_at)
        backup = np.where(self.slide == SLIDES_ON_BACKUP, slides, self.backup_at)[self.is_tape]
        return (
            np.concatenate(([0.0], main, [self.main_length])),
            np.concatenate(([0.0], backup, [self.backup_length])),
        )

    def lengths(self, slides: Floats) -> Floats:
        """(k,) unstretched length of every segment, the main's first.  [m]"""
        main, backup = self.line_coordinates(slides)
        return np.concatenate((main[1:] - main[:-1], backup[1:] - backup[:-1]))

    @cached_property
    def _compliance(self) -> Floats | None:
        """(k,) compliance of every segment where both stretch curves are straight.  [1/N]"""
        main, backup = self.main_stretch, self.backup_stretch
        if not (main.is_linear and backup.is_linear):
            return None
        one = np.ones(1)
        counts = (self.n + 1, len(self.tapes) + 1)
        return np.repeat([float(main.at(one)[1][0]), float(backup.at(one)[1][0])], counts)

    def _law(self, tension: Floats) -> tuple[Floats, Floats, Floats]:
        c = self._compliance
        if c is not None:
            strain = c * tension
            return strain, c, 0.5 * strain * tension
        k = self.n + 1
        main, backup = self.main_stretch.at(tension[:k]), self.backup_stretch.at(tension[k:])
        return (
            np.concatenate((main[0], backup[0])),
            np.concatenate((main[1], backup[1])),
            np.concatenate((main[2], backup[2])),
        )

    def _changes(self, move: Floats) -> tuple[Floats, Floats]:
        """(k, 3) change of the segments' chords and (k,) of their lengths by a move (n, 4) of the unknowns.  [m]"""
        before, after, _, _, (before_slides, after_slides), _ = self._ends
        move = np.concatenate((move, np.zeros((1, 4))))  # Anchors stay.
        chord = move[after, :3] - move[before, :3]
        return chord, after_slides * move[after, 3] - before_slides * move[before, 3]

    def evaluate(
        self, unknowns: Floats, guess: tuple[Floats, Floats] | None = None, fine: Floats | None = None
    ) -> Evaluation:
        """Solve every segment for given nodes.

        Parameters
        ----------
        unknowns : (n, 4) array
            Positions and slides.  [m]
        guess : pair of (k,) arrays, optional
            H and V of the segments to start from.  [N]
        fine : (n, 4) array, optional
            Digits of the unknowns beyond their last; a short stiff piece between far places feels them.  [m]

        Raises
        ------
        SegmentNotSolved
        """
        tapes = self.tapes
        main = np.concatenate((self.main_ends[:1], unknowns[:, :3], self.main_ends[1:]))
        backup = np.concatenate((self.backup_ends[:1], unknowns[tapes, :3], self.backup_ends[1:]))
        chord = np.concatenate((main[1:] - main[:-1], backup[1:] - backup[:-1]))
        last = np.concatenate((main[1:], backup[1:]))
        q, up = self._ups
        lengths = self.lengths(unknowns[:, 3])
        if fine is not None:
            more = self._changes(fine)
            chord, lengths = chord + more[0], lengths + more[1]
        segments = solve_segments(chord, lengths, q, up, self._law, guess)
        return Evaluation(
            pair=self, unknowns=unknowns, segments=segments, last=last,
            height_end=np.einsum("ij,ij->i", last, up),
        )


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class Evaluation(Outlined):
    """The pair at given unknowns, not necessarily in equilibrium.

    Attributes
    ----------
    pair : Pair
    unknowns : (n, 4) array
        Positions and slides.  [m]
    segments : Segments
        The main's n + 1 segments, then the backup's t + 1.
    last : (k, 3) array
        Second ends of the segments.  [m]
    height_end : (k,) array
        Their height along each segment's "up".  [m]
    """

    pair: Pair
    unknowns: Floats
    segments: Segments
    last: Floats
    height_end: Floats

    @property
    def forces(self) -> tuple[Floats, Floats]:
        """H and V of every segment, to start the next evaluation from.  [N]"""
        return self.segments.flat.h, self.segments.flat.v

    def forces_after(self, move: Floats) -> tuple[Floats, Floats]:
        """H and V of every segment after a small move of the unknowns, to first order.

        Parameters
        ----------
        move : (n, 4) array
            [m]

        Returns
        -------
        pair of (k,) arrays
            [N]
        """
        stiff, segments = self.stiffness, self.segments
        chord, longer = self.pair._changes(move)
        change = np.einsum("kij,kj->ki", stiff.ends, chord) + longer[:, None] * stiff.start_by_length
        h, v = self.forces
        across = np.einsum("ki,ki->k", change, segments.across)
        return np.maximum(h + across, 0.2 * h), v + np.einsum("ki,ki->k", change, segments.up)

    @cached_property
    def energy(self) -> float:
        """Elastic energy + potential of the loads + buffers.  [J]"""
        pair, flat, seg = self.pair, self.segments.flat, self.segments
        lines = (
            flat.h * seg.x + flat.v * seg.z - flat.complementary_energy() + flat.q * flat.length * self.height_end
        )
        pulls = np.einsum("ij,ij->", pair.pull, self.unknowns[:, :3])
        pushed = buffers.energy(self._shortfall, pair._ends[5]) if self._pushes else 0.0
        return float(np.sum(lines) - pulls) + pushed

    @cached_property
    def rounding(self) -> float:
        """How far rounding may throw `energy` off: its parts nearly cancel.  [J]"""
        flat, seg = self.segments.flat, self.segments
        parts = np.abs(flat.h * seg.x) + np.abs(flat.v * seg.z) + flat.tension_mean * flat.length
        return 1e-15 * float(np.sum(parts))

    @cached_property
    def _shortfall(self) -> Floats:
        return np.maximum(self.pair._ends[5] - self.segments.length, 0.0)

    @cached_property
    def _pushes(self) -> bool:
        return bool(self._shortfall.any())

    @property
    def pressed(self) -> Flags:
        """(k,) whether a sliding tape is pushed against its neighbour, an anchor or a foot at either end of a
        segment."""
        return np.asarray(self._shortfall > 0.0)

    @cached_property
    def stiffness(self) -> Stiffness:
        """Second derivatives of the segments."""
        return stiffness(self.segments, self.height_end)

    @cached_property
    def potential(self) -> Floats:
        """(k,) derivative of the energy by each segment's length, buffers included.  [N]"""
        flat = self.segments.flat
        line = -(flat.phi(flat.tension_end) - flat.q * self.height_end)
        return line - buffers.force(self._shortfall, self.pair._ends[5]) if self._pushes else line

    @cached_property
    def gradient(self) -> Floats:
        """(n, 4) derivative of the energy by the unknowns.  [N]"""
        pair = self.pair
        n, tapes = pair.n, pair.tapes
        start, end, potential = self.segments.force_start, self.segments.force_end, self.potential
        g = np.empty((n, 4))
        g[:, :3] = end[:n] - start[1 : n + 1] - pair.pull
        g[tapes, :3] += end[n + 1 : -1] - start[n + 2 :]
        along = potential[:n] - potential[1 : n + 1]
        g[:, 3] = np.where(pair.slide == SLIDES_ON_MAIN, along, 0.0)
        back = np.zeros(n)
        back[tapes] = potential[n + 1 : -1] - potential[n + 2 :]
        g[:, 3] += np.where(pair.slide == SLIDES_ON_BACKUP, back, 0.0)
        return g

    def tangent(self) -> BlockMatrix:
        """Second derivative of the energy, block-banded; dummies and their couplings are zero."""
        pair = self.pair
        n, tapes = pair.n, pair.tapes
        stiff = self.stiffness
        slides = pair._ends[4]
        k = len(self.segments.length)
        by_length = stiff.by_length
        if self._pushes:
            by_length = by_length + buffers.stiffness(self._shortfall, pair._ends[5])
        first, second, cross = np.empty((k, 4, 4)), np.empty((k, 4, 4)), np.empty((k, 4, 4))
        first[:, :3, :3] = second[:, :3, :3] = stiff.ends
        cross[:, :3, :3] = -stiff.ends
        before, after = slides
        f1, f2 = stiff.start_by_length, stiff.end_by_length
        first[:, :3, 3] = first[:, 3, :3] = before[:, None] * f1
        second[:, :3, 3] = second[:, 3, :3] = after[:, None] * f2
        cross[:, :3, 3] = -after[:, None] * f1
        cross[:, 3, :3] = -before[:, None] * f2
        first[:, 3, 3] = before * by_length
        second[:, 3, 3] = after * by_length
        cross[:, 3, 3] = -before * after * by_length
        diagonal = second[:n] + first[1 : n + 1]
        diagonal[tapes] += second[n + 1 : -1] + first[n + 2 :]
        steps = np.diff(tapes)
        width = int(steps.max()) if len(steps) else 1
        beside = np.zeros((width, n, 4, 4))
        beside[0, : n - 1] = cross[1:n]
        if len(steps):
            beside[steps - 1, tapes[:-1]] += cross[n + 2 : -1]
        return BlockMatrix(diagonal=diagonal, beside=beside)

    def true_tension_jump(self) -> Floats:
        """(n,) tension of the sliding line on the B side of each tape minus on the A side; 0 where none slides.  [N]"""
        pair = self.pair
        n, tapes = pair.n, pair.tapes
        start, end = self.segments.tension_start, self.segments.tension_end
        jump = np.where(pair.slide == SLIDES_ON_MAIN, start[1 : n + 1] - end[:n], 0.0)
        back = np.zeros(n)
        back[tapes] = start[n + 2 :] - end[n + 1 : -1]
        return jump + np.where(pair.slide == SLIDES_ON_BACKUP, back, 0.0)

    def stretch_at_slides(self) -> Floats:
        """(n,) mean stretch ratio of the sliding line at each tape; 1 where none slides.  [-]"""
        pair, flat = self.pair, self.segments.flat
        n, tapes = pair.n, pair.tapes
        at_start = flat.a + flat.c * flat.tension_start
        at_end = flat.a + flat.c * flat.tension_end
        ratio = np.where(pair.slide == SLIDES_ON_MAIN, 0.5 * (at_start[1 : n + 1] + at_end[:n]), 1.0)
        back = np.ones(n)
        back[tapes] = 0.5 * (at_start[n + 2 :] + at_end[n + 1 : -1])
        return np.where(pair.slide == SLIDES_ON_BACKUP, back, ratio)

    def normal_force(self) -> Floats:
        """(n,) force between the lines at each sliding tape, across the main's direction there.  [N]

        It is the resultant of the sliding line's two tensions on the tape, less its part along the main's tangent.
        """
        pair = self.pair
        n, tapes = pair.n, pair.tapes
        start, end = self.segments.force_start, self.segments.force_end
        main = start[1 : n + 1] - end[:n]
        back = np.zeros((n, 3))
        back[tapes] = start[n + 2 :] - end[n + 1 : -1]
        resultant = np.where((pair.slide == SLIDES_ON_MAIN)[:, None], main, back)
        tangent = start[1 : n + 1] + end[:n]
        tangent /= np.linalg.norm(tangent, axis=1)[:, None]
        resultant -= np.einsum("ij,ij->i", resultant, tangent)[:, None] * tangent
        return np.where(pair.free_slides, np.linalg.norm(resultant, axis=1), 0.0)

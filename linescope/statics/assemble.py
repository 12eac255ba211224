"""From a rig and its layout to the arrays of the coupled pair, and a first guess of where the nodes are."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.rig import Rig
from linescope.rig.atmosphere import STANDARD_GRAVITY
from linescope.rig.layout import SAME_PLACE, Layout
from linescope.statics.minimise import Settings, minimise
from linescope.statics.pair import FIXED, SLIDES_ON_BACKUP, SLIDES_ON_MAIN, Evaluation, Pair
from linescope.taping import Holds

Floats = NDArray[np.float64]

G = STANDARD_GRAVITY  # [m/s^2]
DOWN = np.array([0.0, 0.0, -1.0])
COARSE = Settings(tolerance=1e-6, accepted=1e-1)  # Good enough to start from.

_SLIDE = {Holds.BOTH: FIXED, Holds.BACKUP: SLIDES_ON_MAIN, Holds.MAIN: SLIDES_ON_BACKUP}


@dataclass(frozen=True, eq=False, kw_only=True)
class Loading:
    """What acts on the pair besides its dry weight.

    Attributes
    ----------
    walkers : tuple of (material coordinate on the main [m], (3,) force [N])
    main_wind, backup_wind : (3,) array
        Force per unstretched metre.  [N/m]
    main_added, backup_added : float
        Water or ice.  [kg/m]
    """

    walkers: tuple[tuple[float, Floats], ...] = ()
    main_wind: Floats | None = None
    backup_wind: Floats | None = None
    main_added: float = 0.0
    backup_added: float = 0.0


def _beside(place: float, marks: Floats) -> float:
    """The place itself, or `SAME_PLACE` beside the mark it all but lies on: a piece of next to no length is so stiff
    that rounding of its ends is a force."""
    if not len(marks):
        return place
    mark = float(marks[np.argmin(np.abs(marks - place))])
    return place if abs(place - mark) >= SAME_PLACE else mark + math.copysign(SAME_PLACE, place - mark)


def assemble(rig: Rig, layout: Layout, loading: Loading) -> tuple[Pair, list[int]]:
    """Arrays of the coupled pair.

    A walker within a centimetre of a tape stands on that tape and pins it: it holds both lines as long as the foot
    is there.

    Returns
    -------
    Pair
    list of int
        Node of each walker.
    """
    at = [(float(m), 0, i) for i, m in enumerate(layout.tape_main)]
    joints = np.array([_beside(float(m), layout.tape_main) for m in layout.joint_main])
    at += [(float(m), 1, i) for i, m in enumerate(joints)]
    on_tape: dict[int, int] = {}
    for number, (place, _) in enumerate(loading.walkers):
        if len(layout.tapes):
            nearest = int(np.argmin(np.abs(layout.tape_main - place)))
            if abs(layout.tape_main[nearest] - place) <= SAME_PLACE:
                on_tape[number] = nearest
                continue
        inside = min(max(place, SAME_PLACE), layout.main_length - SAME_PLACE)
        at.append((_beside(inside, joints), 2, number))
    at.sort()
    n = len(at)
    slide = np.zeros(n, dtype=np.int64)
    is_tape = np.zeros(n, dtype=bool)
    backup_at = np.full(n, np.nan)
    pull = np.zeros((n, 3))
    walker_nodes = [-1] * len(loading.walkers)
    for node, (_, kind, index) in enumerate(at):
        if kind == 0:
            is_tape[node] = True
            slide[node] = _SLIDE[layout.tapes[index].holds]
            backup_at[node] = layout.tape_backup[index]
            pull[node] = layout.tapes[index].mass * G * DOWN
            for number, tape in on_tape.items():
                if tape == index:
                    walker_nodes[number] = node
                    slide[node] = FIXED
                    pull[node] += loading.walkers[number][1]
        elif kind == 1:
            pull[node] = layout.joint_mass[index] * G * DOWN
        else:
            pull[node] = loading.walkers[index][1]
            walker_nodes[index] = node
    zero = np.zeros(3)
    pair = Pair(
        main_ends=np.stack((rig.main_a, rig.main_b)),
        backup_ends=np.stack((rig.backup_a, rig.backup_b)),
        main_length=layout.main_length,
        backup_length=layout.backup_length,
        slide=slide,
        is_tape=is_tape,
        main_at=np.array([place for place, _, _ in at]),
        backup_at=backup_at,
        pull=pull,
        main_load=(rig.main.mass + loading.main_added) * G * DOWN
        + (zero if loading.main_wind is None else loading.main_wind),
        backup_load=(rig.backup.mass + loading.backup_added) * G * DOWN
        + (zero if loading.backup_wind is None else loading.backup_wind),
        main_stretch=rig.main.now,
        backup_stretch=rig.backup.now,
        gap=rig.taping.stock.width,
    )
    return pair, walker_nodes


def _drop(coarse: Pair, share: float, carried: Floats) -> float:
    """How far the loads pull a weightless elastic line down, as if all of them (and half the line's own) hung at one
    place a share along it; per 4 share (1 - share), so that it is the drop of a parabola at mid-span.  [m]"""
    a, b = coarse.main_ends
    down = carried / np.linalg.norm(carried)
    place = a + share * (b - a)
    weight = float(np.sum(coarse.pull @ down)) + 0.5 * coarse.main_length * float(np.linalg.norm(carried))
    lengths = coarse.main_length * share, coarse.main_length * (1.0 - share)
    curve = coarse.main_stretch
    stiff = float(curve.tension[-1] / curve.strain[-1])
    low, high = 0.0, 0.5 * coarse.main_length
    for _ in range(24):
        drop = 0.5 * (low + high)
        at = place + drop * down
        lift = 0.0
        for end, length in zip((a, b), lengths, strict=True):
            way = at - end
            far = float(np.sqrt(way @ way))
            lift += stiff * max(far / length - 1.0 - curve.offset, 0.0) * float(way @ down) / far
        low, high = (drop, high) if lift < weight else (low, drop)
    return drop / (4.0 * share * (1.0 - share))


@dataclass(frozen=True, eq=False, kw_only=True)
class Coarse:
    """A pair with only the heavy point loads for nodes, the rest spread along the main.

    Attributes
    ----------
    fine : Pair
        What it stands for.
    pair : Pair
        The main alone; its backup carries nothing.
    start : (h, 4) array
        Where to begin.  [m]
    """

    fine: Pair
    pair: Pair
    start: Floats

    @classmethod
    def of(cls, pair: Pair) -> Coarse:
        """The coarse main of a pair.

        Parameters
        ----------
        pair : Pair
        """
        heavy = np.flatnonzero(np.linalg.norm(pair.pull, axis=1) > 20.0)
        carried = pair.main_load + pair.backup_load * (pair.backup_length / pair.main_length)
        coarse = Pair(
            main_ends=pair.main_ends, backup_ends=pair.main_ends, main_length=pair.main_length,
            backup_length=pair.main_length, slide=np.zeros(len(heavy), dtype=np.int64),
            is_tape=np.zeros(len(heavy), dtype=bool), main_at=pair.main_at[heavy],
            backup_at=np.full(len(heavy), np.nan), pull=pair.pull[heavy], main_load=carried,
            backup_load=pair.backup_load, main_stretch=pair.main_stretch, backup_stretch=pair.backup_stretch,
            gap=pair.gap,
        )
        share = coarse.main_at[:, None] / pair.main_length
        start = np.zeros((len(heavy), 4))
        start[:, :3] = pair.main_ends[0] + share * (pair.main_ends[1] - pair.main_ends[0])
        if len(heavy):
            deepest = _drop(coarse, float(np.mean(share)), carried)
            start[:, :3] += deepest * (carried / np.linalg.norm(carried)) * 4.0 * share * (1.0 - share)
        return cls(fine=pair, pair=coarse, start=start)

    def spread(self, state: Evaluation) -> Floats:
        """Places of the pair's own nodes on the coarse main.

        Parameters
        ----------
        state : Evaluation
            Of the coarse pair, at rest.

        Returns
        -------
        (n, 4) array
            Positions and slides.  [m]
        """
        pair, heavy = self.fine, self.pair.n
        edges = np.concatenate(([0.0], self.pair.main_at, [pair.main_length]))
        segment = np.clip(np.searchsorted(edges, pair.main_at, side="right") - 1, 0, heavy)
        flat = state.segments.flat
        points = np.concatenate((pair.main_ends[:1], state.unknowns[:, :3]))
        guess = np.empty((pair.n, 4))
        for index in range(heavy + 1):
            mine = segment == index
            x, z, _ = flat.part(slice(index, index + 1)).at(pair.main_at[None, mine] - edges[index])
            guess[mine, :3] = (
                points[index] + x[0][:, None] * state.segments.across[index]
                + z[0][:, None] * state.segments.up[index]
            )
        guess[:, 3] = pair.start_slides
        return guess


def first_guess(pair: Pair) -> Floats:
    """Node places on a coarse main: only the heavy point loads are nodes, the rest is spread along the line.

    Returns
    -------
    (n, 4) array
        Positions and slides.  [m]
    """
    coarse = Coarse.of(pair)
    if coarse.pair.n:
        return coarse.spread(minimise(coarse.pair, coarse.start, settings=COARSE).state)
    return coarse.spread(coarse.pair.evaluate(coarse.start))

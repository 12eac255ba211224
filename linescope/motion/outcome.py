"""What a run says, as figures."""

from __future__ import annotations

import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.motion.run import Motion
from linescope.statics.solution import freeze

Floats = NDArray[np.float64]

PULLED = 50.0  # Force of the leash from which it counts as pulling [N].
THROWN = 0.05  # A loop this far above the main may come to lie over it [m]: more than a webbing is wide.
TIGHT = 100.0  # Tension over 10 ms from which a loop counts as snapped tight; a hanging one carries some newtons [N].


@dataclass(frozen=True, eq=False, kw_only=True)
class Outcome:
    """Figures of one run.  Forces are means over 10 ms.

    Attributes
    ----------
    leash_force, leash_raw, leash_time : float
        Largest force of the leash on the ring, at any step, and when.  [N, N, s]
    tension, tension_raw, tension_time : (4,) array
        Largest at anchor A and B of the main, A and B of the backup; at any step; and when.  [N, N, s]
    along_main, along_backup : float
        Largest anywhere along the line.  [N]
    ring_lowest : (3,) array
        While the leash pulls; a ring that nothing hangs on flies about.  [m]
    ring_time : float
        [s]
    foot_lowest : (3,) array
        [m]
    foot_time : float
        [s]
    dip : float
        How far the ring came below where it lay at the start.  [m]
    rebound : float
        How far he rose again after his lowest point, in the time computed.  [m]
    reach : (2, 3) array
        Lowest and farthest from where it was: the free end that went farthest, where the main parted; else nan.  [m]
    tight : tuple of int
        Bays, counted from 1 at A, whose loop snapped tight.
    thrown : tuple of int
        Bays whose loop came more than `THROWN` above the main after he was lowest, as the line sprang back; none where
        the main parted.
    thrown_height : float
        How far the highest of them came above it; 0 where none did.  [m]
    tape_force : float
        Largest force of any tape, averaged over 1 ms.  [N]
    gone : tuple of int
        Tapes that went, counted from 1 at A, in the order in which they went.
    gone_time : (g,) array
        When.  [s]
    error : float
        Of the account of energy.  [-]
    """

    leash_force: float
    leash_raw: float
    leash_time: float
    tension: Floats
    tension_raw: Floats
    tension_time: Floats
    along_main: float
    along_backup: float
    ring_lowest: Floats
    ring_time: float
    foot_lowest: Floats
    foot_time: float
    dip: float
    rebound: float
    reach: Floats
    tight: tuple[int, ...]
    thrown: tuple[int, ...]
    thrown_height: float
    tape_force: float
    gone: tuple[int, ...]
    gone_time: Floats
    error: float


def place_of(motion: Motion, time: float, slot: int) -> Floats:
    """(3,) a slot at a time [s], between frames.  [m]"""
    points = motion.points[:, slot]
    return np.array([np.interp(time, motion.frame_time, points[:, axis]) for axis in range(3)])


def heights_over_main(motion: Motion, since: float) -> Floats:
    """(bays,) largest height of each loop above the main at the same place in plan, in frames since a time.  [m]"""
    model, cut, rig = motion.mesh.model, motion.mesh.grid, motion.mesh.solution.rig
    along = np.zeros(3)
    along[:2] = (rig.main_b - rig.main_a)[:2] / np.linalg.norm((rig.main_b - rig.main_a)[:2])
    most = np.full(model.slots - model.main, -np.inf)
    for points in motion.points[motion.frame_time >= since]:
        main, backup = points[: model.main], points[model.main : model.slots]
        # Where the main folds back on itself at the ring, its later part counts from where it leaves the earlier one.
        place = np.maximum.accumulate(main @ along)
        most = np.maximum(most, backup[:, 2] - np.interp(backup @ along, place, main[:, 2]))
    most[cut.tapes] = -np.inf
    return np.maximum(np.maximum.reduceat(most, np.concatenate(([0], cut.tapes))), 0.0)


def outcome(motion: Motion) -> Outcome:
    """Figures of a run.

    Parameters
    ----------
    motion : Motion
    """
    model, cut = motion.mesh.model, motion.mesh.grid
    n, main = model.slots, model.main
    walker = motion.mesh.solution.rig.walker
    hang = 0.0 if walker is None else walker.hang
    ends = (motion.main_a, motion.main_b, motion.backup_a, motion.backup_b)
    pulled = motion.leash.mean > PULLED
    low = np.where(pulled, motion.ring.raw_least, np.inf) if pulled.any() else motion.ring.raw_least
    ring_time = float(motion.ring.time[int(np.argmin(low))])
    ring, foot = place_of(motion, ring_time, n), place_of(motion, motion.body.lowest_at, n + 1)
    ring[2], foot[2] = float(low.min()), motion.body.lowest - hang
    after = motion.body.time >= motion.body.lowest_at
    loops = np.concatenate(([0], cut.tapes, [len(cut.backup) - 1]))
    in_loops = [
        float(motion.mean_most[main + first : main + last].max())
        for first, last in itertools.pairwise(loops)
    ]
    order = np.argsort(motion.tape_time)
    gone = [int(tape) for tape in order if np.isfinite(motion.tape_time[tape])]
    reach = np.full((2, 3), np.nan)
    if model.cut >= 0:
        free = motion.points[:, [model.cut, model.cut + 1]]
        away = np.linalg.norm(free - free[0], axis=2)
        lowest, far = (np.unravel_index(int(k), away.shape) for k in (np.argmin(free[:, :, 2]), np.argmax(away)))
        reach[0], reach[1] = free[lowest], free[far]
    over = np.zeros(len(loops) - 1) if model.cut >= 0 else heights_over_main(motion, motion.body.lowest_at)
    result = Outcome(
        leash_force=motion.leash.most, leash_raw=motion.leash.raw, leash_time=motion.leash.most_at,
        tension=np.array([end.most for end in ends]), tension_raw=np.array([end.raw for end in ends]),
        tension_time=np.array([end.most_at for end in ends]),
        along_main=float(motion.mean_most[: main - 1].max()), along_backup=float(motion.mean_most[main : n - 1].max()),
        ring_lowest=ring, ring_time=ring_time, foot_lowest=foot, foot_time=motion.body.lowest_at,
        dip=float(motion.ring.raw_most[0] - ring[2]),
        rebound=float(motion.body.raw_most[after].max()) - motion.body.lowest,
        reach=reach, tight=tuple(bay + 1 for bay, pull in enumerate(in_loops) if pull > TIGHT),
        thrown=tuple(int(bay) + 1 for bay in np.flatnonzero(over > THROWN)),
        thrown_height=float(over.max(initial=0.0, where=over > THROWN)),
        tape_force=float(motion.tape_most.max(initial=0.0)), gone=tuple(tape + 1 for tape in gone),
        gone_time=motion.tape_time[gone], error=motion.account.error,
    )
    freeze(result)
    return result

"""The pair in motion at one instant, as lines, tapes and a body to be drawn."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from linescope.motion.arrays import CUT_TIME, LEASH, LEASH_STIFF
from linescope.motion.run import Motion
from linescope.stage import person
from linescope.stage.ground import plan_direction
from linescope.stage.items import Surface, Wire

Floats = NDArray[np.float64]
UP = np.array([0.0, 0.0, 1.0])
ROUNDED = 4  # Pieces drawn for one of the chain.


@dataclass(frozen=True, eq=False, kw_only=True)
class Moment:
    """An instant, between two frames of a run.

    Attributes
    ----------
    time : float
        [s]
    main : tuple of (n, 3) arrays
        One, or what is left of it on both sides of where it parted; rounded between masses.  [m]
    backup : (n, 3) array
        Rounded likewise.  [m]
    tapes : (n, 3) array
        That have not gone.  [m]
    ring, tie_in, foot : (3,) array
        Ring (or feet that stay on the line), tie-in point, lowest foot.  [m]
    taut : bool
        Whether he hangs in his leash.
    """

    time: float
    main: tuple[Floats, ...]
    backup: Floats
    tapes: Floats
    ring: Floats
    tie_in: Floats
    foot: Floats
    taut: bool


def rounded(points: Floats, held: NDArray[np.int64], per_piece: int = ROUNDED) -> Floats:
    """A chain of masses drawn as the line that it stands for: round through its places, with kinks where it is held.

    Parameters
    ----------
    points : (n, 3) array
        [m]
    held : (k,) int array
        Places at tapes and the ring.
    per_piece : int
        Pieces drawn for each of the chain.

    Returns
    -------
    (per_piece (n - 1) + 1, 3) array
        Through all places, the first and the last among them.  [m]
    """
    if len(points) < 3:
        return points
    way = np.diff(points, axis=0)
    size = np.maximum(np.linalg.norm(way, axis=1), 1e-9)[:, None]
    slope = way / size
    middle = np.zeros_like(points)
    middle[1:-1] = (slope[:-1] * size[1:] + slope[1:] * size[:-1]) / (size[:-1] + size[1:])
    start, end = middle[:-1].copy(), middle[1:].copy()
    kinks = np.zeros(len(points), dtype=bool)
    kinks[[0, -1]] = kinks[held] = True
    # At a kink the slope that makes the curve a parabola in the piece beside it.
    first, last = kinks[:-1], kinks[1:]
    start[first] = np.where(last[first, None], slope[first], 1.5 * slope[first] - 0.5 * end[first])
    end[last] = np.where(first[last, None], slope[last], 1.5 * slope[last] - 0.5 * start[last])
    s = (np.arange(per_piece) / per_piece)[:, None, None]
    a, b = points[:-1], points[1:]
    inner = (
        (1.0 + 2.0 * s) * (1.0 - s) ** 2 * a + s * (1.0 - s) ** 2 * size * start + s**2 * (3.0 - 2.0 * s) * b
        + s**2 * (s - 1.0) * size * end
    )
    return np.concatenate((np.moveaxis(inner, 0, 1).reshape(-1, 3), points[-1:]))


def moment(motion: Motion, time: float) -> Moment:
    """The pair at a time.

    Parameters
    ----------
    motion : Motion
        Of a rig with a walker.
    time : float
        Within the run.  [s]
    """
    model, walker = motion.mesh.model, motion.mesh.solution.rig.walker
    assert walker is not None
    later = int(np.clip(np.searchsorted(motion.frame_time, time), 1, len(motion.frame_time) - 1))
    t0, t1 = motion.frame_time[later - 1 : later + 1]
    share = min(max((time - t0) / (t1 - t0), 0.0), 1.0)
    x = motion.points[later - 1] + share * (motion.points[later] - motion.points[later - 1])
    line, n = x[: model.main], model.slots
    parted = model.cut >= 0 and time >= model.numbers[CUT_TIME]
    cuts = [(0, model.cut + 1), (model.cut + 1, model.main)] if parted else [(0, model.main)]
    links = motion.mesh.tape_links
    whole = ~(motion.tape_time <= time)
    on = np.concatenate((motion.mesh.grid.tapes[whole], _under_ring(line, x[n])))
    beside = np.concatenate((motion.mesh.grid.tapes[whole], _under_ring(x[model.main : n], x[n])))
    ring, on_leash = x[n], model.numbers[LEASH_STIFF] > 0.0
    tie_in = x[n + 1] if on_leash else ring + walker.tie_in_height * UP
    taut = bool(on_leash and np.linalg.norm(tie_in - ring) >= model.numbers[LEASH])
    # Legs come down as he falls: from standing to hanging.
    sunk = float(motion.points[0, n + 1, 2] - tie_in[2]) if on_leash else 0.0
    fallen = min(max(sunk / (walker.leash + walker.tie_in_height), 0.0), 1.0)
    legs = walker.tie_in_height + fallen * (walker.hang - walker.tie_in_height)
    return Moment(
        time=time,
        main=tuple(
            rounded(line[first:stop], on[(on >= first) & (on < stop)] - first) for first, stop in cuts
            if stop - first > 1
        ),
        backup=rounded(x[model.main : n], beside),
        tapes=x[model.master[links][whole]], ring=ring, tie_in=tie_in, foot=tie_in - legs * UP, taut=taut,
    )


def _under_ring(line: Floats, ring: Floats) -> NDArray[np.int64]:
    """The place of a line that a ring is on, if it is on it."""
    away = np.linalg.norm(line - ring, axis=1)
    return np.flatnonzero(away < 1e-3)[:1]


def body(motion: Motion, now: Moment, *, name: str = "walker", colour: str = "walker") -> tuple[
    tuple[Surface, ...], tuple[Wire, ...]
]:
    """The walker upright at his tie-in point, his ring, and the leash between them.

    Parameters
    ----------
    motion : Motion
    now : Moment
    name, colour : str
    """
    rig = motion.mesh.solution.rig
    walker = rig.walker
    assert walker is not None
    man = replace(walker, hang=float(now.tie_in[2] - now.foot[2]))
    ahead = plan_direction(rig)
    here, _ = person.hanging(man, now.tie_in + man.leash * UP, ahead, rig.backup, name=name, colour=colour)
    there, _ = person.hanging(man, now.ring, ahead, rig.backup, name=name, colour=colour)
    leash = Wire(
        name=f"leash of {name}", points=np.array([now.ring, now.tie_in]), colour=person.leash_colour(colour), width=2.2,
    )
    hoops = tuple(surface for surface in there if surface.name.startswith("ring"))
    return (*(surface for surface in here if not surface.name.startswith("ring")), *hoops), (leash,)

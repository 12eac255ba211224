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


@dataclass(frozen=True, eq=False, kw_only=True)
class Moment:
    """An instant, between two frames of a run.

    Attributes
    ----------
    time : float
        [s]
    main : tuple of (n, 3) arrays
        One, or what is left of it on both sides of where it parted.  [m]
    backup, tapes : (n, 3) array
        Tapes that have not gone.  [m]
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
    parts = (line[: model.cut + 1], line[model.cut + 1 :]) if parted else (line,)
    links = motion.mesh.tape_links
    whole = ~(motion.tape_time <= time)
    ring, on_leash = x[n], model.numbers[LEASH_STIFF] > 0.0
    tie_in = x[n + 1] if on_leash else ring + walker.tie_in_height * UP
    taut = bool(on_leash and np.linalg.norm(tie_in - ring) >= model.numbers[LEASH])
    # Legs come down as he falls: from standing to hanging.
    sunk = float(motion.points[0, n + 1, 2] - tie_in[2]) if on_leash else 0.0
    fallen = min(max(sunk / (walker.leash + walker.tie_in_height), 0.0), 1.0)
    legs = walker.tie_in_height + fallen * (walker.hang - walker.tie_in_height)
    return Moment(
        time=time, main=tuple(part for part in parts if len(part) > 1), backup=x[model.main : n],
        tapes=x[model.master[links][whole]], ring=ring, tie_in=tie_in, foot=tie_in - legs * UP, taut=taut,
    )


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
    leash = Wire(name=f"leash of {name}", points=np.array([now.ring, now.tie_in]), colour=colour, width=2.2)
    hoops = tuple(surface for surface in there if surface.name.startswith("ring"))
    return (*(surface for surface in here if not surface.name.startswith("ring")), *hoops), (leash,)

"""A leash fall after which the ring runs along the line: how low feet can get anywhere.

The pair stays whole and the ring runs on it without friction, as in a loss of the main: his energy is that of where he
fell, wherever the ring carries him.  What happens lies between this and a ring that stays.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from linescope.errors import FallNotBounded, SolveError
from linescope.events.catch import body_hanging, free_fall, walker_of
from linescope.events.floor import floors
from linescope.events.released import Chain
from linescope.events.sections import intact
from linescope.shown import Outlined
from linescope.statics import Plan
from linescope.statics.assemble import G
from linescope.statics.solution import freeze

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class RunningRing(Outlined):
    """Falls at n places with a ring that runs.

    Attributes
    ----------
    at : (n,) array
        Where he fell: distance from A along the straight line to B.  [m]
    floor_foot : (n, m, 3) array
        The lowest that energy lets his feet get: bounds, without friction or damping.  [m]
    """

    at: Floats
    floor_foot: Floats


def running_ring(planned: Plan, at: Floats, ring_standing: Floats, *, points: int = 61) -> RunningRing:
    """How low feet can get when the ring runs along the whole pair after a leash fall.

    The start is the ring at rest where it hangs with his weight at that place, tapes held as taped, and the free fall
    above it; then sliding tapes slide freely.

    Parameters
    ----------
    planned : Plan
    at : (n,) array
        Where he falls, from A along the straight line to B.  [m]
    ring_standing : (n, 3) array
        Where the ring lies as he stands there.  [m]
    points : int
        Of each floor.

    Raises
    ------
    FallNotBounded
    """
    rig, walker = planned.rig, walker_of(planned.rig)
    weight = walker.mass * G
    bays = len(planned.layout.tapes) + 1
    held = Chain(start=rig.main_a, end=rig.main_b, parts=(intact(planned, 0, bays, free=False),))
    slides = planned.pair.free_slides.any()
    chain = replace(held, parts=(intact(planned, 0, bays, free=True),)) if slides else held
    away = np.linalg.norm((ring_standing - rig.main_a)[:, :2], axis=1)
    try:
        standing = held.hang_at(away, np.full(len(away), weight))
        energy = standing.energy + weight * (standing.z + free_fall(walker))
        found = floors(chain, energy, weight, points, walker.compliance)
    except SolveError as error:
        raise FallNotBounded(f"leash fall with a ring that runs: {error.problem}", advice=error.advice) from error
    shape = (len(away), points)
    rings = chain.points(found.floor.x.reshape(shape), found.floor.z.reshape(shape))
    _, foot = body_hanging(walker, rings, found.on_floor.reshape(shape))
    result = RunningRing(at=np.array(at), floor_foot=foot)
    freeze(result)
    return result

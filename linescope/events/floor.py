"""Rings on one released chain: where they come to rest, their lowest point, and how low energy lets them go anywhere.

A ring that starts with a given energy can be wherever the energy it would have at rest there is no more than that;
its floor at a place is where all the rest is stored in the line.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.events.catch import Held, lowest, sprung
from linescope.events.released import EDGE, Chain, Rings

Floats = NDArray[np.float64]

GRID = 121  # Places along the line where the resting height is known.


@dataclass(frozen=True, eq=False, kw_only=True)
class Floor:
    """Floors of k walkers on one chain, each of m points.

    Attributes
    ----------
    rest, bottom : Rings
        k rings: at rest, and at the floor's lowest point.
    force : (k,) array
        On the ring at the floor's lowest point.  [N]
    hang, floor : Rings
        k * m rings, walker by walker: at rest above each point of the floor, and on the floor.
    on_floor : (k * m,) array
        Force on the ring there.  [N]
    """

    rest: Rings
    bottom: Rings
    force: Floats
    hang: Rings
    floor: Rings
    on_floor: Floats


def _caught(
    resting: Rings, to_store: Floats, weight: float, compliance: float, solve: Callable[[Floats, Rings], Rings]
) -> tuple[Floats, Rings]:
    """Forces and rings once `to_store` is stored, starting from rings at rest."""
    last = resting

    def line(force: Floats) -> Held:
        nonlocal last
        last = solve(force, last)
        return sprung(last.held(), force, compliance)

    softer = solve(np.full_like(to_store, 1.1 * weight), resting)
    soft = np.maximum((resting.z - softer.z) / (0.1 * weight), 1e-9) + compliance
    guess = weight + np.sqrt(2.0 * np.maximum(to_store, 0.0) / soft)
    start = sprung(resting.held(), np.full_like(to_store, weight), compliance)
    force = lowest(line, start, weight=weight, to_store=to_store, guess=guess)
    return force, solve(force, last)


def _reach(grid: Floats, level: Floats, energy: float) -> tuple[float, float]:
    """Between which x the resting ring lies no higher than an energy."""
    middle = int(np.argmin(level))
    ends = [float(grid[0]), float(grid[-1])]
    for side, step in enumerate((-1, 1)):
        outward = np.arange(middle, len(grid) if step > 0 else -1, step)
        above = np.flatnonzero(level[outward] > energy)
        if len(above) and above[0] > 0:
            pair = outward[above[0] - 1 : above[0] + 1]
            ends[side] = float(np.interp(energy, level[pair], grid[pair]))
        elif len(above):
            ends[side] = float(grid[middle])
    return ends[0], ends[1]


def floors(chain: Chain, energy: Floats, weight: float, points: int, compliance: float = 0.0) -> Floor:
    """Rest, lowest point and floor of rings that start with given energies.

    Parameters
    ----------
    chain : Chain
    energy : (k,) array
        What the line has stored at the start, and the weight at its height.  [J]
    weight : float
        [N]
    points : int
        Points m of each floor; a single one is its lowest.
    compliance : float
        Of leash and body below the ring, which have taken up weight^2 c / 2 at rest; the floor is then that of the
        body, and the ring is where it is with the body on it.  [m/N]

    Raises
    ------
    SolveError
    """
    rest = chain.hang(np.full(1, weight))
    energy = energy + 0.5 * compliance * weight**2  # What leash and body give up to the line on the way to rest.
    many = _repeat(rest, len(energy))
    to_store = np.maximum(energy - many.energy - weight * many.z, 0.0)
    force, bottom = _caught(many, to_store, weight, compliance, chain.hang)
    hang, floor, on_floor = many, bottom, force
    if points > 1:
        grid = np.linspace(EDGE, 1.0 - EDGE, GRID) * chain.run
        hanging = chain.hang_at(grid, np.full(GRID, weight))
        level = hanging.energy + weight * hanging.z
        x = np.concatenate([np.linspace(*_reach(grid, level, float(one)), points) for one in energy])
        hang = chain.hang_at(x, np.full(len(x), weight))
        to_store = np.maximum(np.repeat(energy, points) - hang.energy - weight * hang.z, 0.0)
        on_floor, floor = _caught(hang, to_store, weight, compliance, lambda force, near: chain.hang_at(x, force, near))
    return Floor(rest=many, bottom=bottom, force=force, hang=hang, floor=floor, on_floor=on_floor)


def _repeat(rings: Rings, count: int) -> Rings:
    return Rings(**{name: np.repeat(value, count) for name, value in vars(rings).items()})

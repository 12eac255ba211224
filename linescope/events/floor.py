"""Rings on one released chain: where they come to rest, their lowest point, and how low energy lets them go anywhere.

A ring that starts with a given energy can be wherever the energy it would have at rest there is no more than that;
its floor at a place is where all the rest is stored in the line.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.events.catch import Held, lowest
from linescope.events.released import EDGE, Chain, Rings

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

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
    reaches : (k, 2) bool array
        Whether energy suffices to carry the ring as far as the chain's start, its end.
    """

    rest: Rings
    bottom: Rings
    force: Floats
    hang: Rings
    floor: Rings
    reaches: Flags


def _caught(
    resting: Rings, give: Floats, weight: float, solve: Callable[[Floats, Rings], Rings]
) -> tuple[Floats, Rings]:
    """Forces and rings once `give` is stored, starting from rings at rest."""
    last = resting

    def line(force: Floats) -> Held:
        nonlocal last
        last = solve(force, last)
        return last.held()

    softer = solve(np.full_like(give, 1.1 * weight), resting)
    compliance = np.maximum((resting.z - softer.z) / (0.1 * weight), 1e-9)
    guess = weight + np.sqrt(2.0 * np.maximum(give, 0.0) / compliance)
    force = lowest(line, resting.held(), weight=weight, give=give, guess=guess)
    return force, solve(force, last)


def _reach(grid: Floats, level: Floats, energy: float) -> tuple[float, float, bool, bool]:
    """Between which x the resting ring lies no higher than an energy, and whether that is all the way."""
    middle = int(np.argmin(level))
    ends, whole = [float(grid[0]), float(grid[-1])], [True, True]
    for side, step in enumerate((-1, 1)):
        outward = np.arange(middle, len(grid) if step > 0 else -1, step)
        above = np.flatnonzero(level[outward] > energy)
        if len(above) and above[0] > 0:
            pair = outward[above[0] - 1 : above[0] + 1]
            ends[side], whole[side] = float(np.interp(energy, level[pair], grid[pair])), False
        elif len(above):
            ends[side], whole[side] = float(grid[middle]), False
    return ends[0], ends[1], whole[0], whole[1]


def floors(chain: Chain, energy: Floats, weight: float, points: int) -> Floor:
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

    Raises
    ------
    SolveError
    """
    k = len(energy)
    rest = chain.hang(np.full(1, weight))
    grid = np.linspace(EDGE, 1.0 - EDGE, GRID) * chain.run
    hanging = chain.hang_at(grid, np.full(GRID, weight))
    level = hanging.energy + weight * hanging.z
    xs, reaches = np.empty((k, points)), np.empty((k, 2), dtype=bool)
    for index, one in enumerate(energy):
        low, high, reaches[index, 0], reaches[index, 1] = _reach(grid, level, float(one))
        xs[index] = np.linspace(low, high, points)
    many = _repeat(rest, k)
    give = np.maximum(energy - many.energy - weight * many.z, 0.0)
    force, bottom = _caught(many, give, weight, chain.hang)
    hang, floor = many, bottom
    if points > 1:
        x = xs.reshape(-1)
        hang = chain.hang_at(x, np.full(len(x), weight))
        give = np.maximum(np.repeat(energy, points) - hang.energy - weight * hang.z, 0.0)
        _, floor = _caught(hang, give, weight, lambda force, near: chain.hang_at(x, force, near))
    return Floor(rest=many, bottom=bottom, force=force, hang=hang, floor=floor, reaches=reaches)


def _repeat(rings: Rings, count: int) -> Rings:
    return Rings(**{name: np.repeat(value, count) for name, value in vars(rings).items()})

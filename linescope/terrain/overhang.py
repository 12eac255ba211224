"""Ground as one sheet: whether it has one height at each plan position, and how high it is at most."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from linescope.terrain.model import Terrain
from linescope.terrain.plumb import PlumbIndex, plan_sense, spread

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_LOOKED_AT = 20_000
_SQUARES, _FEWEST = 256, 16
_MOST_SQUARES = 4_000_000


def is_one_sheet(index: PlumbIndex) -> bool:
    """Whether a mesh has no overhang, as far as looked at.

    Parameters
    ----------
    index : PlumbIndex

    Returns
    -------
    bool
        True when all triangles that do not stand upright face the same way up, no edge is passed twice in the same
        sense, and over the middle of at most 20,000 of them (evenly chosen) lies no other.
    """
    terrain = index.terrain
    faces, corners = terrain.faces, terrain.vertices[terrain.faces]
    sense, upright = plan_sense(corners)
    lying = np.flatnonzero(~upright)
    if len(lying) == 0 or np.any(sense[lying] != sense[lying[0]]):
        return False
    edges = np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]])
    key = np.sort(edges[:, 0] * len(terrain.vertices) + edges[:, 1])
    if np.any(key[1:] == key[:-1]):
        return False
    chosen = lying[:: max(1, -(-len(lying) // _LOOKED_AT))]
    position, _, _, counted = index.over(corners[chosen, :, :2].mean(axis=1))
    return bool(np.all(np.bincount(position[counted], minlength=len(chosen)) == 1))


class Ceiling:
    """A height in every square of the plan that no triangle over it exceeds: tells quickly what lies above ground.

    Parameters
    ----------
    terrain : Terrain
    """

    def __init__(self, terrain: Terrain) -> None:
        corners = terrain.vertices[terrain.faces]
        low, high = corners[:, :, :2].min(axis=1), corners[:, :, :2].max(axis=1)
        self._origin: Floats = low.min(axis=0)
        extent = np.maximum(high.max(axis=0) - self._origin, 1e-9)
        side = min(max(math.ceil(2.0 * math.sqrt(len(corners))), _FEWEST), _SQUARES)
        while True:
            self._cell: Floats = extent / side
            first = self._squares(low, side)
            counts = self._squares(high, side) - first + 1
            if side == 1 or int((counts[:, 0] * counts[:, 1]).sum()) <= _MOST_SQUARES:
                break
            side //= 2
        owner, number = spread(counts[:, 0] * counts[:, 1])
        row, column = first[owner, 0] + number // counts[owner, 1], first[owner, 1] + number % counts[owner, 1]
        self._top = np.full((side, side), -np.inf)
        np.maximum.at(self._top, (row, column), corners[:, :, 2].max(axis=1)[owner])

    def _squares(self, xy: Floats, side: int) -> Ints:
        return np.clip(np.floor((xy - self._origin) / self._cell), 0, side - 1).astype(np.int64)

    def may_cover(self, points: Floats) -> NDArray[np.bool_]:
        """Whether some triangle may lie above each point.

        Parameters
        ----------
        points : (n, 3) float
            [m]

        Returns
        -------
        (n,) bool
            False only where none does.
        """
        square = self._squares(points[:, :2], len(self._top))
        covered: NDArray[np.bool_] = points[:, 2] <= self._top[square[:, 0], square[:, 1]]
        return covered

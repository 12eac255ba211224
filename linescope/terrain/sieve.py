"""Fewer points far beside the line, a part of the cloud at a time, so that memory does not grow with the cloud.

Under the line, and as far beside it as wind and falls may take anything, every point stays.  Beyond, of all that lie in
one cell the highest stays, and the cell grows with the distance: a distance changes by one or two hundredths.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from linescope.terrain.geo import Corridor

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

ALL = 0.1
"""All points stay within this share of the span beside the line: wind drifts a line by so much (common practice, no
source). [-]"""
REACH = 5.0
"""And as much farther: leash, body, loops (assumed). [m]"""
SHARE = 0.01
"""Width of a cell over its least distance from the line in plan. [-]"""
_MOST = 1_000_000
"""Points taken before cells are emptied but for their highest. [-]"""


class Sieve:
    """Points of one kind that are kept.

    Parameters
    ----------
    corridor : Corridor
    flat : bool
        Cells are columns: of ground, the highest point at each place.  Else they are cubes: leaves at all heights.
    """

    def __init__(self, corridor: Corridor, *, flat: bool) -> None:
        self._corridor, self._flat = corridor, flat
        span = float(np.hypot(*(corridor.b - corridor.a)[:2]))
        self.near = ALL * span + REACH
        self._kept: list[Floats] = []
        self._best: list[tuple[Ints, Floats]] = []
        self._waiting = 0
        self._far = 0

    @property
    def widest(self) -> float:
        """Of the cells in use. [m]"""
        return SHARE * self.near * 2.0 ** math.floor(math.log2(max(self._corridor.radius / self.near, 1.0)))

    def _level(self, away: Floats) -> Ints:
        return np.floor(np.log2(np.maximum(away / self.near, 1.0))).astype(np.int64)

    def cells(self, points: Floats) -> Floats:
        """(n,) how wide cells are where points, (n, 3), lie; 0 where all of them stay. [m]"""
        away = self._corridor.away(points)
        return np.where(away > self.near, SHARE * self.near * 2.0 ** self._level(away), 0.0)

    def add(self, points: Floats, away: Floats) -> None:
        """Take points, (n, 3), whose plan distance from the line is `away`, (n,). [m]"""
        far = away > self.near
        self._kept.append(points[~far])
        points, away = points[far], away[far]
        self._far += len(points)
        level = self._level(away)
        cell = SHARE * self.near * 2.0**level
        at = np.floor((points - self._corridor.a) / cell[:, None]).astype(np.int64) + (1 << 18)
        key = ((level << 19 | at[:, 0]) << 19) | at[:, 1]
        if not self._flat:
            key = (key << 19) | at[:, 2]
        self._best.append(_highest(key, points))
        self._waiting += len(self._best[-1][0])
        if self._waiting > _MOST:
            self._empty()

    def _empty(self) -> None:
        both = _highest(np.concatenate([key for key, _ in self._best]), np.concatenate([p for _, p in self._best]))
        self._best, self._waiting = [both], 0

    def points(self) -> Floats:
        """(n, 3) what is kept. [m]"""
        if len(self._best) > 1:
            self._empty()
        return np.concatenate([np.zeros((0, 3)), *self._kept, *(points for _, points in self._best)])

    @property
    def left_out(self) -> int:
        """How many points another one of their cell stands for."""
        if len(self._best) > 1:
            self._empty()
        return self._far - sum(len(points) for _, points in self._best)


def _highest(key: Ints, points: Floats) -> tuple[Ints, Floats]:
    """Of each key, and its point."""
    order = np.lexsort((-points[:, 2], key))
    key = key[order]
    first = np.concatenate([[True], key[1:] != key[:-1]])[: len(key)]
    return key[first], points[order[first]]

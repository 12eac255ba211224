"""Bounds of the distance to the ground, from cells whose middles are measured once and for all."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_ALONG = 2**20
_ROUNDING = 1e-9


class Field:
    """Bounds of the distance of places to the ground: no place is farther from it than the middle of its cell and the
    way to there, nor nearer than the difference.

    Parameters
    ----------
    measure : callable
        (n, 3) places [m] to (n,) exact distances [m].
    cell : float
        Width of the cells, cubes. [m]

    Notes
    -----
    Lines at many walker positions pass through the same cells, so a cell's middle, measured when first needed, spares
    many measurements.
    """

    def __init__(self, measure: Callable[[Floats], Floats], cell: float) -> None:
        self._measure, self._cell = measure, cell
        self._keys: Ints = np.array([np.iinfo(np.int64).max])
        self._distance: Floats = np.zeros(1)

    def bounds(self, places: Floats) -> tuple[Floats, Floats]:
        """Bounds of the distance of places to the ground.

        Parameters
        ----------
        places : (n, 3) float
            Less than a million cells from the origin. [m]

        Returns
        -------
        low, high : (n,) float
            [m]
        """
        cells = np.floor(places / self._cell)
        middle = (cells + 0.5) * self._cell
        key = ((cells[:, 0] * _ALONG + cells[:, 1]) * _ALONG + cells[:, 2]).astype(np.int64)
        at = np.searchsorted(self._keys, key)
        fresh = np.flatnonzero(self._keys[at] != key)
        if len(fresh):
            unique, first = np.unique(key[fresh], return_index=True)
            keys = np.concatenate([self._keys, unique])
            order = np.argsort(keys)
            self._distance = np.concatenate([self._distance, self._measure(middle[fresh[first]])])[order]
            self._keys = keys[order]
            at = np.searchsorted(self._keys, key)
        away = np.sqrt(((places - middle) ** 2).sum(axis=1)) + _ROUNDING
        return self._distance[at] - away, self._distance[at] + away

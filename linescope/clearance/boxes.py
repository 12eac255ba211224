"""Points in boxes within boxes: all points near a place, asked for many places at once."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_FAN = 8
_TOP = 64
_BEAM = 8
_PAIRS = 400_000


class Boxes:
    """A hierarchy of bounding boxes over points, each of `_FAN` boxes or points of the level below.

    Parameters
    ----------
    points : (n, 3) float
        [m]
    order : (n,) int
        An order of them in which neighbours in the list lie close together.

    Notes
    -----
    The boxes of scipy's kd-tree end at its cuts, so those of a thin sheet of points are as high as the whole tree, and
    a place high above the sheet has everything below it to look through.  These are as thin as what they hold.
    """

    def __init__(self, points: Floats, order: Ints) -> None:
        self._order = order
        self._points = _padded(points[order], np.inf)
        low, high = self._points, _padded(points[order], -np.inf)
        self._low: list[Floats] = []
        self._high: list[Floats] = []
        while not self._low or len(low) > _TOP:
            low, high = low.reshape(-1, _FAN, 3).min(axis=1), high.reshape(-1, _FAN, 3).max(axis=1)
            self._low.append(_padded(low, np.inf))
            self._high.append(_padded(high, -np.inf))
            low, high = self._low[-1], self._high[-1]
        with np.errstate(invalid="ignore"):
            middles = [0.5 * (low + high) for low, high in zip(self._low, self._high, strict=True)]
        self._middle = [np.where(np.isnan(middle), np.inf, middle) for middle in middles]

    def some_near(self, places: Floats) -> tuple[Ints, Floats]:
        """For each place a point that is near, though others may be nearer.

        Parameters
        ----------
        places : (m, 3) float
            [m]

        Returns
        -------
        point : (m,) int
        squared : (m,) float
            Its squared distance. [m²]
        """
        box = np.broadcast_to(np.arange(len(self._low[-1])), (len(places), len(self._low[-1])))
        for level in range(len(self._low) - 1, -1, -1):
            if box.shape[1] > _BEAM:
                squared = _squared(self._middle[level][box] - places[:, None])
                best = np.argpartition(squared, _BEAM, axis=1)[:, :_BEAM]
                box = np.take_along_axis(box, best, axis=1)
            box = (box[:, :, None] * _FAN + np.arange(_FAN)).reshape(len(places), -1)
            box = np.minimum(box, len(self._low[level - 1] if level else self._points) - 1)
        squared = _squared(self._points[box] - places[:, None])
        best = np.argmin(squared, axis=1)[:, None]
        chosen = np.take_along_axis(box, best, axis=1)[:, 0]
        return self._order[chosen], np.take_along_axis(squared, best, axis=1)[:, 0]

    def nearest(self, places: Floats) -> Floats:
        """Distance from each place to its nearest point. [m]

        Parameters
        ----------
        places : (m, 3) float
            [m]
        """
        squared = self.some_near(places)[1]
        for position, _, found in self.within(places, squared):
            np.minimum.at(squared, position, found)
        return np.sqrt(squared)

    def within(self, places: Floats, squared: Floats) -> Iterator[tuple[Ints, Ints, Floats]]:
        """All points within a distance of each place, in parts of bounded size.

        Parameters
        ----------
        places : (m, 3) float
            [m]
        squared : (m,) float
            Squared distance. [m²]

        Yields
        ------
        position, point : (k,) int
            Pairs, in order of the position; all of one position in the same part.
        squared : (k,) float
            Their squared distances. [m²]
        """
        top = np.arange(len(self._low[-1]))
        step = max(_PAIRS // len(top), 1)
        for begin in range(0, len(places), step):
            position = np.arange(begin, min(begin + step, len(places)))
            yield from self._descend(
                places, squared, np.repeat(position, len(top)), np.tile(top, len(position)), len(self._low) - 1
            )

    def _descend(
        self, places: Floats, squared: Floats, position: Ints, box: Ints, level: int
    ) -> Iterator[tuple[Ints, Ints, Floats]]:
        near = self._to_boxes(level, places[position], box) <= squared[position]
        position, box = position[near], box[near]
        for part in _parts(position):
            owner = np.repeat(position[part], _FAN)
            child = (box[part, None] * _FAN + np.arange(_FAN)).ravel()
            if level > 0:
                yield from self._descend(places, squared, owner, child, level - 1)
                continue
            found = _squared(self._points[child] - places[owner])
            near = found <= squared[owner]
            yield owner[near], self._order[child[near]], found[near]

    def _to_boxes(self, level: int, places: Floats, box: Ints) -> Floats:
        gap = np.maximum(self._low[level][box] - places, places - self._high[level][box])
        return _squared(np.maximum(gap, 0.0, out=gap))


def _squared(gap: Floats) -> Floats:
    result: Floats = np.einsum("...k,...k->...", gap, gap)
    return result


def _padded(rows: Floats, value: float) -> Floats:
    """Rows up to a multiple of `_FAN`; those of infinity are far from everything."""
    return np.concatenate([rows, np.full((-len(rows) % _FAN, 3), value)])


def _parts(position: Ints) -> list[slice]:
    """Slices of at most some `_PAIRS` pairs with their children that do not part the pairs of one position."""
    if len(position) == 0:
        return []
    begins = np.flatnonzero(np.diff(position, prepend=position[0] - 1))
    turn = begins // max(_PAIRS // _FAN, 1)
    edges = [*begins[np.flatnonzero(np.diff(turn, prepend=-1))].tolist(), len(position)]
    return [slice(i, j) for i, j in pairwise(edges)]

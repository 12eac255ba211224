"""Points close together share one search: the dense points of a line are answered by blocks of neighbours."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.boxes import Boxes
from linescope.clearance.samples import Samples

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_SIZE = 16
_WIDEST = 2.0
_MOST = 1500.0
_TABLE = 1_000_000
_ROUNDING = 1e-12


@dataclass(frozen=True, eq=False, kw_only=True)
class Blocks:
    """Blocks of neighbouring points, each with every sample that any of its points can need.

    Parameters
    ----------
    first : (b,) int
        First point of each block; the others follow it.
    size : int
        Points in a block.
    block, sample : (m,) int
        Pairs of block and sample, by block, each block at least once.
    squared : (m, size) float
        Squared distances of the block's points from the sample. [m²]
    radius : (m,) float
        Covering radius of the sample. [m]
    """

    first: Ints
    size: int
    block: Ints
    sample: Ints
    squared: Floats
    radius: Floats

    def nearest(self) -> tuple[Ints, Ints]:
        """Each point with its nearest sample.

        Returns
        -------
        position, sample : (n,) int
            Ties give further pairs.
        """
        starts = np.flatnonzero(np.concatenate([[True], np.diff(self.block) != 0]))
        least = np.minimum.reduceat(self.squared, starts, axis=0)
        return self._pairs(self.squared <= least[self.block])

    def within(self, squared: Floats) -> tuple[Ints, Ints]:
        """Each point with all samples whose triangles may be nearer than a known distance.

        Parameters
        ----------
        squared : (all points,) float
            Square of the distance known for each point. [m²]

        Returns
        -------
        position, sample : (n,) int
        """
        known = squared[self.first[:, None] + np.arange(self.size)]
        return self._pairs(self.squared <= known[self.block] + (self.radius**2)[:, None])

    def _pairs(self, chosen: NDArray[np.bool_]) -> tuple[Ints, Ints]:
        row, column = np.nonzero(chosen)
        return self.first[self.block[row]] + column, self.sample[row]


def neighbours(p: Floats, samples: Samples, boxes: Boxes) -> Iterator[Blocks]:
    """Blocks of consecutive points that are so close together that one search serves them all.

    Parameters
    ----------
    p : (n, 3) float
        Points in an order of place. [m]
    samples : Samples
        Samples of the mesh.
    boxes : Boxes
        Of the samples' points.

    Yields
    ------
    Blocks
        Points in none of them are to be searched one by one.

    Notes
    -----
    With d the distance from a block's middle to its nearest sample and R the block's radius, each of its
    points has that sample within d + R.  So it needs samples within sqrt((d + R)² + r²) of itself (see
    `Samples`), R more from the middle.  Blocks that would need more than 1500 samples are not worth sharing.
    """
    count = len(p) // _SIZE
    first = np.arange(count) * _SIZE
    middle = p[: count * _SIZE].reshape(count, _SIZE, 3)
    centre = middle.mean(axis=1)
    radius = np.sqrt(((middle - centre[:, None]) ** 2).sum(axis=2).max(axis=1))
    largest = samples.largest
    small = radius <= _WIDEST * largest
    if not small.any():
        return
    first, centre, radius = first[small], centre[small], radius[small]
    d = boxes.nearest(centre)
    ball = (np.sqrt((d + radius) ** 2 + largest**2) + radius) * (1.0 + _ROUNDING)
    # On level ground the ball cuts a disc; a corner stands for about two covering radii squared.
    expected = 0.5 * np.pi * (ball**2 - d**2 + largest**2) / float(np.median(samples.radius)) ** 2
    worth = expected <= _MOST
    first, centre, ball, expected = first[worth], centre[worth], ball[worth], expected[worth]
    turn = np.cumsum(expected * _SIZE) // _TABLE
    for part in np.split(np.arange(len(first)), np.flatnonzero(np.diff(turn)) + 1):
        if len(part):
            yield _gathered(p, samples, boxes, first[part], centre[part], ball[part])


def _gathered(p: Floats, samples: Samples, boxes: Boxes, first: Ints, centre: Floats, ball: Floats) -> Blocks:
    found = list(boxes.within(centre, ball**2))
    block, sample = (np.concatenate([part[k] for part in found]) for k in range(2))
    squared = np.zeros((len(sample), _SIZE))
    own = p[first[:, None] + np.arange(_SIZE)]
    for axis in range(3):
        gap = own[:, :, axis][block]
        gap -= samples.points[sample, axis][:, None]
        gap *= gap
        squared += gap
    return Blocks(
        first=first,
        size=_SIZE,
        block=block,
        sample=sample,
        squared=squared,
        radius=samples.radius[sample],
    )

"""Sample points of a mesh from which the nearest triangle can be found without missing it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.triangles import covering_radius
from linescope.terrain.plumb import spread

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_FINEST = 2.0
_ROUNDS = 60


@dataclass(frozen=True, eq=False, kw_only=True)
class Samples:
    """Points on the mesh, each with the triangles it stands for.

    Parameters
    ----------
    points : (n, 3) float
        Corners of the triangles, and further points inside large ones. [m]
    radius : (n,) float
        Largest covering radius of the pieces around each point. [m]
    starts : (n + 1,) int
        Range of `faces` for each point.
    faces : (m,) int
        Triangles around each point.

    Notes
    -----
    The nearest point of a triangle lies on its face or an edge, and the line to it is square to that face or
    edge. Within a piece of covering radius r some corner v of the piece is therefore no farther than |pv|²
    <= d² + r² (Pythagoras, not the triangle inequality).  Points with |pv|² above D² + r², for any known D
    >= d, cannot own the nearest triangle.  This holds for the pieces of any cutting of the triangle whose
    cuts end on its edges.
    """

    points: Floats
    radius: Floats
    starts: Ints
    faces: NDArray[np.int32]

    @cached_property
    def largest(self) -> float:
        """Largest covering radius of any piece. [m]"""
        return float(self.radius.max())

    def faces_of(self, chosen: Ints) -> tuple[Ints, Ints]:
        """Pairs of position in `chosen` and triangle around that sample.

        Parameters
        ----------
        chosen : (k,) int
            Samples.

        Returns
        -------
        position, face : (m,) int
        """
        counts = self.starts[chosen + 1] - self.starts[chosen]
        owner, number = spread(counts)
        return owner, self.faces[self.starts[chosen[owner]] + number].astype(np.int64)


def sampled(vertices: Floats, faces: Ints) -> Samples:
    """Samples of a mesh: its corners, and more inside triangles far larger than the median.

    Parameters
    ----------
    vertices : (n, 3) float
        Corners. [m]
    faces : (k, 3) int

    Returns
    -------
    Samples
        With at most about twice as many pieces as triangles.
    """
    a, b, c = (vertices[faces[:, corner]] for corner in range(3))
    radius = covering_radius(a, b, c)
    limit = _limit(radius, a, b, c)
    large = np.flatnonzero(radius > limit)
    fine = np.flatnonzero(radius <= limit)
    owners = [np.repeat(fine, 3)]
    samples = [faces[fine].ravel()]
    radii = [np.repeat(radius[fine], 3)]
    added: list[Floats] = []
    count = len(vertices)
    if len(large):
        corners, owner = _halved(np.stack([a[large], b[large], c[large]], axis=1), large, limit)
        piece = covering_radius(corners[:, 0], corners[:, 1], corners[:, 2])
        added.append(corners.reshape(-1, 3))
        samples.append(count + np.arange(3 * len(corners)))
        owners.append(np.repeat(owner, 3))
        radii.append(np.repeat(piece, 3))
    points = np.concatenate([vertices, *added])
    sample, face, reach = np.concatenate(samples), np.concatenate(owners), np.concatenate(radii)
    order = np.argsort(sample, kind="stable")
    starts = np.concatenate([[0], np.cumsum(np.bincount(sample, minlength=len(points)))])
    biggest = np.zeros(len(points))
    np.maximum.at(biggest, sample, reach)
    used = np.diff(starts) > 0
    return Samples(
        points=points[used],
        radius=biggest[used],
        starts=np.concatenate([[0], np.cumsum(np.diff(starts)[used])]),
        faces=face[order].astype(np.int32),
    )


def _limit(radius: Floats, a: Floats, b: Floats, c: Floats) -> float:
    """Covering radius to cut down to: near twice the median, larger when that would take too many pieces."""
    cross = np.cross(b - a, c - a)
    area = 0.5 * np.sqrt((cross**2).sum(axis=1))
    limit = _FINEST * float(np.median(radius))
    budget = max(len(radius), 20_000)
    while True:
        large = radius > limit
        pieces = float((4.0 * area[large] / limit**2 + 4.0 * radius[large] / limit).sum())
        if pieces <= budget:
            return limit
        limit *= 1.25


def _halved(corners: Floats, owner: Ints, limit: float) -> tuple[Floats, Ints]:
    """Pieces of triangles, halved across the longest edge until the covering radius is within the limit."""
    done: list[Floats] = []
    owners: list[Ints] = []
    for _ in range(_ROUNDS):
        large = covering_radius(corners[:, 0], corners[:, 1], corners[:, 2]) > limit
        done.append(corners[~large])
        owners.append(owner[~large])
        corners, owner = corners[large], owner[large]
        if len(corners) == 0:
            break
        edges = ((corners - np.roll(corners, -1, axis=1)) ** 2).sum(axis=2)
        longest = np.argmax(edges, axis=1)
        row = np.arange(len(corners))
        a, b, c = (corners[row, (longest + k) % 3] for k in range(3))
        middle = 0.5 * (a + b)
        corners = np.concatenate([np.stack([a, middle, c], axis=1), np.stack([middle, b, c], axis=1)])
        owner = np.concatenate([owner, owner])
    done.append(corners)
    owners.append(owner)
    return np.concatenate(done), np.concatenate(owners)

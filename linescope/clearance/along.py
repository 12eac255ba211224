"""Smallest distance from curves to the ground: exact for every chord, lower by the sag between nodes."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.chords import Approach, Chords
from linescope.clearance.distance import GroundIndex
from linescope.clearance.search import DEPTH_TOLERANCE, Search

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

__all__ = ["DEPTH_TOLERANCE", "Approach", "Chords", "improved", "minima", "minimum_along", "reaching"]


def minimum_along(index: GroundIndex, polyline: Floats, sagitta: Floats | None = None) -> Approach:
    """Where one curve comes nearest to the ground.

    Parameters
    ----------
    index : GroundIndex
    polyline : (n, 3) float
        Nodes of the curve. [m]
    sagitta : (n - 1,) float, optional
        How far the true curve may lie from each chord. [m]

    Returns
    -------
    Approach

    Examples
    --------
    >>> import numpy as np
    >>> from linescope.terrain import Terrain
    >>> floor = Terrain(vertices=[[-9, -9, 0], [9, -9, 0], [0, 9, 0]], faces=[[0, 1, 2]], source="a floor")
    >>> minimum_along(GroundIndex(floor), np.array([[-1.0, 0, 3], [1, 0, 2]])).distance
    2.0
    """
    chords = Chords.of([polyline], None if sagitta is None else [sagitta])
    return minima(index, chords, np.zeros(1, dtype=np.int64))[0]


def minima(index: GroundIndex, chords: Chords, group: Ints) -> list[Approach]:
    """Where each group of curves comes nearest to the ground.

    Parameters
    ----------
    index : GroundIndex
    chords : Chords
    group : (number of curves,) int
        Group of each curve, 0 to g - 1, each used.

    Returns
    -------
    list of Approach
        One for each group.

    Notes
    -----
    See `linescope.terrain.tree` for how.
    """
    group = np.asarray(group, dtype=np.int64)
    search = Search(index, chords, group[chords.curve], int(group.max()) + 1)
    search.nearest_of(np.ones(search.groups, dtype=bool))
    search.sink()
    return search.results()


def improved(
    index: GroundIndex, chords: Chords, group: Ints, known: Floats, tolerance: float = DEPTH_TOLERANCE
) -> dict[int, Approach]:
    """`minima` for groups of which some value is known from other curves: only what is smaller.

    Parameters
    ----------
    index : GroundIndex
    chords : Chords
    group : (number of curves,) int
        Group of each curve, 0 to g - 1.
    known : (g,) float
        Smallest distance known of each group; inf for none. [m]
    tolerance : float
        How exactly the deepest place below ground is found. [m]

    Returns
    -------
    dict of int to Approach
        By group, those that come nearer than known (below ground by more than the tolerance).
    """
    group = np.asarray(group, dtype=np.int64)
    search = Search(index, chords, group[chords.curve], len(known))
    search.value[:] = known
    search.tolerance = tolerance
    used = np.bincount(group, minlength=len(known)) > 0
    dry = used & ~(index.is_signed & (known <= 0.0))
    search.nearest_of(dry)
    search.sink(used & (known <= 0.0))
    better = np.flatnonzero(search.chord >= 0)
    return dict(zip(better.tolist(), search.results(better), strict=True))


def reaching(index: GroundIndex, chords: Chords, limit: Floats, *, signed: bool) -> Ints:
    """Chords whose true curve may come within a distance of the ground, and some more.

    Parameters
    ----------
    index : GroundIndex
    chords : Chords
    limit : (m,) float
        Distance that matters, the same for all chords of one curve; inf takes every chord of it. [m]
    signed : bool
        Whether depth below ground counts as a negative distance.

    Returns
    -------
    (k,) int
        Chords, in order.
    """
    group = np.unique(limit, return_inverse=True)[1]
    search = Search(index, chords, group, int(group.max()) + 1)
    search.value[group] = limit
    finite = np.isfinite(search.value)
    some = search.prune(finite, signed=signed, fixed=True)
    return np.sort(np.concatenate([some, np.flatnonzero(~finite[group])]))

"""Smallest height of curves above the ground straight below, exact for chords."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.along import Chords, reaching
from linescope.clearance.distance import GroundIndex

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

_TRIED = 5000


@dataclass(frozen=True, eq=False, kw_only=True)
class Drop:
    """Where a group of curves is lowest above the ground straight below it.

    Parameters
    ----------
    gap : float
        Smallest vertical distance of the chords less the sagitta there; nan where no ground is below. [m]
    curve, segment : int
        Which curve, and which chord of it; -1 for none.
    fraction : float
        Where on the chord, 0 to 1.  [-]
    z_ground : float
        Height of the ground there, nan for none. [m]
    """

    gap: float
    curve: int
    segment: int
    fraction: float
    z_ground: float


def lowest(index: GroundIndex, chords: Chords, group: Ints) -> list[Drop]:
    """Smallest vertical distance of each group of curves from the ground.

    Parameters
    ----------
    index : GroundIndex
    chords : Chords
    group : (number of curves,) int
        Group of each curve, 0 to g - 1.

    Returns
    -------
    list of Drop
        One for each group.

    Notes
    -----
    Over one triangle a chord's height above it is linear, so the smallest lies where the chord enters or
    leaves the triangle in plan, or at a node.  On a height field the gap is negative below ground.  On a
    mesh, surfaces above the line are overhangs and are passed over; a chord that goes through a surface has
    gap 0; only a group that has nothing but surfaces above it gets the (negative) height of the nearest of
    them.

    Since no vertical distance is smaller than the distance in space, chords farther in space than a vertical
    distance already known are left out.
    """
    group = np.asarray(group, dtype=np.int64)[chords.curve]
    start, end = chords.nodes[chords.first], chords.nodes[chords.first + 1]
    near = reaching(index, chords, _known(index, chords, group)[group], signed=index.is_signed)
    hits = index.plumb.crossings(start[near, :2], end[near, :2])
    chord = near[hits.segment]
    rise = end[chord, 2] - start[chord, 2]
    # A chord that stands upright in plan is over one place: both of its ends count.
    upright = (start[chord, :2] == end[chord, :2]).all(axis=1)
    t = np.stack([np.where(upright, 0.0, hits.start), np.where(upright, 1.0, hits.end)])
    z = np.stack([hits.z_start, hits.z_end])
    gap = start[chord, 2] + t * rise - z
    hidden = np.zeros(len(chord), dtype=bool)
    if not index.is_one_sheet:
        above = gap.max(axis=0) < 0.0
        pierced = ~above & (gap.min(axis=0) < 0.0)
        open_sky = np.bincount(group[chord[~above]], minlength=int(group.max()) + 1) > 0
        hidden = above & ~open_sky[group[chord]]
        gap = np.where(pierced, np.maximum(gap, 0.0), np.where(above & ~hidden, np.inf, np.abs(gap)))
    value = np.where(hidden, gap, gap - chords.sagitta[chord])  # hidden: the height below, made positive
    which = np.argmin(value, axis=0)
    pick = np.arange(len(chord))
    least, place, ground = value[which, pick], t[which, pick], z[which, pick]
    result = []
    order = np.lexsort((least, group[chord]))
    owner = group[chord[order]]
    for g in range(int(group.max()) + 1):
        at = int(np.searchsorted(owner, g))
        if at == len(owner) or owner[at] != g or not np.isfinite(least[order[at]]):
            result.append(Drop(gap=np.nan, curve=-1, segment=-1, fraction=np.nan, z_ground=np.nan))
            continue
        k = order[at]
        height = -least[k] - chords.sagitta[chord[k]] if hidden[k] else least[k]
        result.append(
            Drop(
                gap=float(height),
                curve=int(chords.curve[chord[k]]),
                segment=int(chords.segment[chord[k]]),
                fraction=float(place[k]),
                z_ground=float(ground[k]),
            )
        )
    return result


def _known(index: GroundIndex, chords: Chords, group: Ints) -> Floats:
    """A vertical distance that each group does not exceed, from some of its nodes; inf where it is no help."""
    step = max(1, len(chords.first) // _TRIED)
    some = np.unique(np.concatenate([np.arange(0, len(chords.first), step), np.unique(group, return_index=True)[1]]))
    gap = index.vertical_gap(chords.nodes[chords.first[some]])[0]
    known = np.full(int(group.max()) + 1, np.inf)
    np.fmin.at(known, group[some], gap)
    # Below ground every chord with any part below may hold the largest depth; without an inside all must be tried.
    return np.where(known >= 0.0, known, 0.0 if index.is_signed else np.inf)

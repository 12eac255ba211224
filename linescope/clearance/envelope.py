"""Where lines and bodies can be, as rings in planes across the line: the skin that pictures draw."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.finding import Envelope
from linescope.clearance.table import CurveTable
from linescope.compiled import compiled

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

PLANES = 121
NEAR = 1e-9  # Of the way from plane to plane: what ends so close to a plane reaches it.
_ANGLES = np.arange(8) * (np.pi / 4.0)


def envelope_of(tables: Sequence[CurveTable], start: Floats, along: Floats, span: float) -> Envelope:
    """Outermost points of all curves, plane by plane.

    Parameters
    ----------
    tables : sequence of CurveTable
    start, along : (3,) float
        Anchor A and the unit vector to anchor B. [m, -]
    span : float
        [m]

    Returns
    -------
    Envelope
        Between walker positions bodies count in the nearest plane, lines exactly where they cross a plane.
    """
    station = np.linspace(0.0, span, PLANES)
    left = np.array([-along[1], along[0], 0.0]) / np.hypot(along[0], along[1])
    rings = np.full((2, PLANES, len(_ANGLES), 3), np.nan)
    most = np.full((2, PLANES, len(_ANGLES)), -np.inf)
    for table in tables:
        for points, body in table.curves():
            _widen(
                points, body.astype(np.int64), start, along, left, float(station[1]), np.sin(_ANGLES), np.cos(_ANGLES),
                most, rings,
            )
    lines, bodies = rings[0], rings[1] if np.isfinite(most[1]).any() else None
    for array in (station, lines, *(() if bodies is None else (bodies,))):
        array.setflags(write=False)
    return Envelope(station=station, lines=lines, bodies=bodies)


@compiled
def _widen(
    points: Floats, body: Ints, start: Floats, along: Floats, left: Floats, step: float, sin: Floats, cos: Floats,
    most: Floats, rings: Floats,
) -> None:
    """Take curves into the rings (2, planes, angles, 3) of lines and bodies, where they are farther out."""
    place = np.empty(3)
    for c in range(len(points)):
        which, before = body[c], 0.0
        for k in range(points.shape[1]):
            at = 0.0
            for j in range(3):
                at += (points[c, k, j] - start[j]) * along[j] / step
            if which == 1:
                # Half-way between two planes it counts in both.
                for plane in range(math.ceil(at - 0.5 - NEAR), math.floor(at + 0.5 + NEAR) + 1):
                    _outer(points[c, k], start, left, plane, which, sin, cos, most, rings)
            if k > 0:
                first, last = math.ceil(min(before, at) - NEAR), math.floor(max(before, at) + NEAR)
                for plane in range(first, last + 1):
                    if abs(at - before) < 2.0 * NEAR:  # Lies in the plane.
                        _outer(points[c, k - 1], start, left, plane, which, sin, cos, most, rings)
                        _outer(points[c, k], start, left, plane, which, sin, cos, most, rings)
                        continue
                    share = min(max((plane - before) / (at - before), 0.0), 1.0)
                    for j in range(3):
                        place[j] = points[c, k - 1, j] + share * (points[c, k, j] - points[c, k - 1, j])
                    _outer(place, start, left, plane, which, sin, cos, most, rings)
            before = at


@compiled
def _outer(
    place: Floats, start: Floats, left: Floats, plane: int, which: int, sin: Floats, cos: Floats, most: Floats,
    rings: Floats,
) -> None:
    """Take one place into the ring of its plane."""
    if plane < 0 or plane >= most.shape[1]:
        return
    aside = (place[0] - start[0]) * left[0] + (place[1] - start[1]) * left[1] + (place[2] - start[2]) * left[2]
    for k in range(len(sin)):
        out = sin[k] * aside - cos[k] * place[2]
        if out > most[which, plane, k]:
            most[which, plane, k] = out
            for j in range(3):
                rings[which, plane, k, j] = place[j]

"""Points along pieces of line, and how far the line may lie off the chords between them, in compiled loops.

The equations are those of `linescope.statics.segments.Segments.sample`, for the many thousand pieces of a sweep.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from linescope.compiled import compiled
from linescope.statics.segments import Segments

Floats = NDArray[np.float64]


def sampled(segments: Segments, count: int, starts: Floats) -> tuple[Floats, Floats]:
    """Points along every segment, and bounds on the distance between curve and chords.

    Parameters
    ----------
    segments : Segments
    count : int
        Intervals in each.
    starts : (n, 3) array
        First ends.  [m]

    Returns
    -------
    (n, count + 1, 3) array
        [m]
    (n, count) array
        [m]
    """
    flat, n = segments.flat, len(segments.flat.h)
    points, sagitta = np.empty((n, count + 1, 3)), np.empty((n, count))
    _sample(
        flat.h, flat.v, flat.length, flat.q, flat.a, flat.c, segments.across, segments.up, segments.chord, starts,
        points, sagitta,
    )
    return points, sagitta


@compiled
def _sample(
    h: Floats, v: Floats, length: Floats, q: Floats, a: Floats, c: Floats, across: Floats, up: Floats, chord: Floats,
    starts: Floats, points: Floats, sagitta: Floats,
) -> None:
    count = sagitta.shape[1]
    for i in range(len(h)):
        first = math.sqrt(h[i] * h[i] + v[i] * v[i])
        below = h[i] * h[i] / (first - v[i]) if v[i] < 0.0 else first + v[i]
        x, z, angle, s = 0.0, 0.0, math.atan2(v[i], h[i]), 0.0
        for j in range(3):
            points[i, 0, j] = starts[i, j]
            points[i, count, j] = starts[i, j] + chord[i, j]
        for k in range(1, count + 1):
            reached = length[i] * k / count
            end = v[i] + q[i] * reached
            tension = math.sqrt(h[i] * h[i] + end * end)
            total = below + (h[i] * h[i] / (tension + end) if end > 0.0 else tension - end)
            run = math.log1p(2.0 * q[i] * reached / total) / q[i]
            new_x = h[i] * (a[i] * run + c[i] * reached)
            new_z = reached * 0.5 * (v[i] + end) * (2.0 * a[i] / (first + tension) + c[i])
            new_angle = math.atan2(end, h[i])
            if k < count:
                for j in range(3):
                    points[i, k, j] = starts[i, j] + new_x * across[i, j] + new_z * up[i, j]
            # The height of the triangle of the two end tangents, and no more than half the piece.
            way = math.sqrt((new_x - x) * (new_x - x) + (new_z - z) * (new_z - z))
            piece = (reached - s) * (a[i] + c[i] * tension)
            sagitta[i, k - 1] = min(0.5 * way * math.tan(0.5 * min(new_angle - angle, 3.0)), 0.5 * piece)
            x, z, angle, s = new_x, new_z, new_angle, reached

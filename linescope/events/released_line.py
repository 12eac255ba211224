"""The released line with rings on it, as points to draw."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.events.released import Chain, Part, Rings
from linescope.statics.catenary import shape_from_forces

Floats = NDArray[np.float64]

PER_SIDE = 40


def line_points(chain: Chain, rings: Rings) -> Floats:
    """The chain from its first end over the ring to its second, for n rings.

    Parameters
    ----------
    chain : Chain
    rings : Rings

    Returns
    -------
    (n, 2 * PER_SIDE + 1, 3) array
        Even steps of unstretched length on each side of the ring.  [m]
    """
    lines = []
    for index in range(len(rings.x)):
        along = float(rings.along[index])
        left = _side(chain.parts, along, float(rings.h_start[index]), float(rings.v_start[index]))
        right = _side(
            chain.parts[::-1], chain.length - along, float(rings.h_end[index]), float(rings.v_end[index])
        )
        first = chain.points(left[:, 0], chain.start[2] + left[:, 1])
        second = chain.points(chain.run - right[:, 0], chain.end[2] + right[:, 1])
        lines.append(np.concatenate((first, second[-2::-1])))
    return np.array(lines)


def _side(parts: tuple[Part, ...], length: float, h: float, v: float) -> Floats:
    """(PER_SIDE + 1, 2) points from an end to the ring, across and up.  [m]"""
    wanted = np.linspace(0.0, length, PER_SIDE + 1)
    points = np.zeros((PER_SIDE + 1, 2))
    begin, x0, z0 = 0.0, 0.0, 0.0
    for part in parts:
        run = min(part.length, length - begin)
        if run <= 0.0:
            break
        middle = np.array([np.hypot(h, v + 0.5 * part.load * run)])
        strain, c, _ = part.stretch.at(middle)
        here = (wanted >= begin) if begin == 0.0 else (wanted > begin)
        s = np.append(np.minimum(wanted[here] - begin, run), run)
        one = np.ones_like(s)
        x, z = shape_from_forces(
            h * one, v * one, s, part.load * one, (1.0 + strain - c * middle) * one, c * one
        )
        points[here, 0], points[here, 1] = x0 + x[:-1], z0 + z[:-1]
        begin, x0, z0, v = begin + run, x0 + float(x[-1]), z0 + float(z[-1]), v + part.load * run
    return points

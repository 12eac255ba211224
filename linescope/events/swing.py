"""Loops as pendulums about their tape-to-tape chords: angles, rigid turns, heights above the main.

A loop between two tapes is a pendulum about its chord.  Under weight and a constant drag the total load has
a fixed direction, at the static angle theta from the vertical plane.  Released at rest in that plane the
loop swings to exactly 2 theta when it keeps its shape, has no damping and the gust lasts: a bound.  It
stays taut on the way, for at the far end of its swing the net outward load per metre is its own weight
across the chord again.  On a level chord across the wind 2 theta stays below 180 degrees; on sloping chords
of a far blown-out line it can come out above, and is capped there: the loop then stands straight over its
chord and can fall to either side.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from linescope.statics import Solution

Floats = NDArray[np.float64]

PER_LOOP = 40  # Intervals of a loop's curve.
SWING_LIMIT = math.pi
JUST_ABOVE = 1e-3  # A loop this little above the main still counts as level with it [m].

_UP = np.array([0.0, 0.0, 1.0])


def swing_angles(chords: Floats, load: Floats) -> Floats:
    """Angle between the plane of chord and load and the vertical plane through the chord.

    Parameters
    ----------
    chords : (n, 3) array
        From tape to tape.  [m]
    load : (3,) array
        Force per metre of the loop.  [N/m]

    Returns
    -------
    (n,) array
        0 in still air; for a level chord across the wind atan(drag / weight).  [rad]
    """
    c = chords / np.linalg.norm(chords, axis=1)[:, None]
    down = -_UP + (c @ _UP)[:, None] * c
    side = load - (c @ load)[:, None] * c
    cross = np.einsum("ij,ij->i", np.cross(down, side), c)
    return np.asarray(np.arctan2(np.abs(cross), np.einsum("ij,ij->i", down, side)))


def turn_about_chords(loops: Floats, load: Floats, angle: Floats) -> Floats:
    """Loops turned rigidly about their chords, on in the direction the load has blown them.

    Parameters
    ----------
    loops : (n, m, 3) array
        Points of each loop, tape to tape.  [m]
    load : (3,) array
        [N/m]
    angle : (n,) array
        By which to turn.  [rad]

    Returns
    -------
    (n, m, 3) array
        [m]

    References
    ----------
    .. [1] O. Rodrigues, J. Math. Pures Appl. 5 (1840) 380-440 (rotation about an axis).
    """
    start = loops[:, :1]
    chord = loops[:, -1] - loops[:, 0]
    c = chord / np.linalg.norm(chord, axis=1)[:, None]
    down = -_UP + (c @ _UP)[:, None] * c
    sign = np.sign(np.einsum("ij,ij->i", np.cross(down, load), c))
    turn = (np.where(sign == 0.0, 1.0, sign) * angle)[:, None, None]
    arm = loops - start
    axis = np.broadcast_to(c[:, None], arm.shape)
    along = np.einsum("nmi,ni->nm", arm, c)[:, :, None]
    return np.asarray(
        start + arm * np.cos(turn) + np.cross(axis, arm) * np.sin(turn) + axis * along * (1.0 - np.cos(turn))
    )


def heights_above_main(solution: Solution, loops: Floats) -> Floats:
    """Largest height of each loop above the main, both taken at the same place along the loop's chord.

    Parameters
    ----------
    solution : Solution
        Whose main is meant.
    loops : (n, m, 3) array
        [m]

    Returns
    -------
    (n,) array
        0 where the loop is nowhere above.  [m]
    """
    curve = solution.main.segments.sample(PER_LOOP, solution.main.nodes[:-1])[0]
    result = np.zeros(len(loops))
    for bay, loop in enumerate(loops):
        main = curve[solution.main.bay == bay].reshape(-1, 3)
        chord = loop[-1] - loop[0]
        height = np.interp((loop - loop[0]) @ chord, (main - loop[0]) @ chord, main[:, 2])
        result[bay] = max(float(np.max((loop[:, 2] - height)[1:-1])), 0.0)
    return np.where(result > JUST_ABOVE, result, 0.0)


def loops_of(solution: Solution) -> Floats:
    """(n, PER_LOOP + 1, 3) points of every loop.  [m]"""
    return solution.backup.segments.sample(PER_LOOP, solution.backup.nodes[:-1])[0]

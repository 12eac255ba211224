"""Loops as pendulums about their tape-to-tape chords: angles, swing in a gust, rigid turns, heights above the main.

A loop between two tapes is a pendulum about its chord.  In steady wind it hangs at the static angle theta from the
vertical plane.  In a gust it swings further, but not to 2 theta: a strip that moves with the air feels less of it,
and one that comes back feels more.  The drag is that of the velocity of the air relative to the strip.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from linescope.compiled import compiled
from linescope.statics import Solution
from linescope.statics.assemble import G

Floats = NDArray[np.float64]

PER_LOOP = 40  # Intervals of a loop's curve.
GAUSS, WEIGHTS = np.polynomial.legendre.leggauss(6)  # Places along half a loop, where the drag is taken.
STEP = 1e-2  # Of the swing in time, at most [s].
STIFF = 0.4  # A step is no more than this share of the time in which drag slows, or drives, a loop [-].
SWINGS = 1.0  # For how many periods of the free loop a gust is followed: the first swing is the largest.
SWING_LIMIT = math.pi
SHALLOWEST = 0.01  # Loops without slack swing like ones of this depth [m].
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


def swing_in_gust(
    static: Floats, depth: Floats, speed: float, *, start: Floats | None = None, rise: float = 0.0
) -> Floats:
    """Largest angle that loops swing to when the wind comes to a speed and stays.

    A loop of parabolic shape, r = depth (1 - x^2) from its chord, x = -1 to 1, turns rigidly about the chord.  With w
    the velocity of the air relative to the strip and t the direction in which it swings, per weight of the strip,

        <r^2> phi'' = -g <r> sin(phi) + g tan(static) <r |w| (w . t)> / speed^2

    so that it rests at `static` in steady wind.  Classical Runge-Kutta steps.  Where the wind is there at once, a
    loop only loses from its first turning point on: it is followed no further.

    Parameters
    ----------
    static : (n,) array
        Angle in the steady wind of that speed.  [rad]
    depth : (n,) array
        Of the loops below their chords, > 0.  [m]
    speed : float
        That the wind comes to.  [m/s]
    start : (n,) array, optional
        Angle at which the loops hang before; default straight down.  [rad]
    rise : float
        Time over which the wind comes; 0: at once.  [s]

    Returns
    -------
    (n,) array
        [rad]
    """
    angle = np.zeros_like(static) if start is None else np.array(start, dtype=float)
    if speed <= 0.0 or not len(static):
        return angle
    pull = np.tan(np.minimum(static, 0.5 * math.pi - 1e-9))
    r = depth[:, None] * (1.0 - GAUSS**2)
    weigh = 0.5 * WEIGHTS
    inertia, arm = np.sum(weigh * r**2, axis=1), np.sum(weigh * r, axis=1)
    # What of the wind was there at the start holds the loops where they hang.
    share = np.sqrt(np.minimum(np.tan(np.minimum(angle, 0.5 * math.pi - 1e-9)) / np.maximum(pull, 1e-12), 1.0))

    end = rise + SWINGS * 2.0 * math.pi * math.sqrt(float(np.max(depth)) / G)
    return np.asarray(_swung(pull, r, weigh, inertia, arm, share, angle, speed, rise, end))


@compiled
def _swung(
    pull: Floats, r: Floats, weigh: Floats, inertia: Floats, arm: Floats, share: Floats, start: Floats, speed: float,
    rise: float, end: float,
) -> Floats:
    """The largest angle of each loop up to a time; see `swing_in_gust`.  [rad]"""
    most = start.copy()
    for k in range(len(start)):
        angle, rate, time = start[k], 0.0, 0.0
        slowed, driven = 2.0 * G * pull[k] / speed, math.sqrt(G * pull[k] * arm[k] / inertia[k])
        step = STEP / math.ceil(max(STEP * max(slowed, driven) / STIFF, 1.0))
        while time < end:
            k1 = _turning(pull[k], r[k], weigh, inertia[k], arm[k], share[k], speed, rise, time, angle, rate)
            k2 = _turning(
                pull[k], r[k], weigh, inertia[k], arm[k], share[k], speed, rise, time + 0.5 * step,
                angle + 0.5 * step * rate, rate + 0.5 * step * k1,
            )
            k3 = _turning(
                pull[k], r[k], weigh, inertia[k], arm[k], share[k], speed, rise, time + 0.5 * step,
                angle + 0.5 * step * (rate + 0.5 * step * k1), rate + 0.5 * step * k2,
            )
            k4 = _turning(
                pull[k], r[k], weigh, inertia[k], arm[k], share[k], speed, rise, time + step,
                angle + step * (rate + 0.5 * step * k2), rate + step * k3,
            )
            angle += step * rate + step**2 / 6.0 * (k1 + k2 + k3)
            rate += step / 6.0 * (k1 + 2.0 * k2 + 2.0 * k3 + k4)
            most[k] = max(most[k], angle)
            time += step
            if rate <= 0.0 and rise <= 0.0:
                break
    return most


@compiled
def _turning(
    pull: float, r: Floats, weigh: Floats, inertia: float, arm: float, share: float, speed: float, rise: float,
    time: float, phi: float, rate: float,
) -> float:
    """How a loop is turned faster.  [rad/s^2]"""
    grown = 1.0 if rise <= 0.0 else min(time / rise, 1.0)
    wind = speed * (share + (1.0 - share) * grown)
    cos, sin = math.cos(phi), math.sin(phi)
    drag = 0.0
    for j in range(len(weigh)):
        across, upward = wind - r[j] * rate * cos, -r[j] * rate * sin
        drag += weigh[j] * r[j] * math.sqrt(across * across + upward * upward) * (across * cos + upward * sin)
    return G * (pull * drag / speed**2 - arm * sin) / inertia


def depths_of(loops: Floats) -> Floats:
    """Largest distance of each loop from its own chord.

    Parameters
    ----------
    loops : (n, m, 3) array
        Points of each loop, tape to tape.  [m]

    Returns
    -------
    (n,) array
        [m]
    """
    chord = loops[:, -1] - loops[:, 0]
    along = chord / np.linalg.norm(chord, axis=1)[:, None]
    arm = loops - loops[:, :1]
    arm = arm - np.einsum("nmi,ni->nm", arm, along)[:, :, None] * along[:, None]
    return np.asarray(np.linalg.norm(arm, axis=2).max(axis=1))


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

"""Sway: loops that swing in the wind rub where they leave their tapes.

A loop is a pendulum about the chord from tape to tape.  It keeps the shape of a parabola of depth d, so that its moment
of inertia per mass is 8/15 d^2 and its arm 2/3 d: it swings like a mass on a string of 0.8 d.  Air pushes on every bit
of it with the velocity of the wind relative to that bit, which both drives the loop and damps it:

    8/15 d^2 q'' = -2/3 d g cos(slope) sin q + (rho C b e / 2 m) int_0^1 |u| (U cos q - r q') r ds,   r = 4 d s (1 - s)
    |u|^2 = U^2 - 2 U r q' cos q + (r q')^2

with q the angle from the vertical plane through the chord, U(t) the wind across the line, b width, e exposure and m
mass per metre.  U is turbulent: intensity times speed, spectrum of Kaimal [1]_.

The strip between loop and tape twists and gives up to an angle either way before anything slips: a play.  Beyond it the
loop's end pivots under its tape's edge.  Pressed evenly over the width b with a force N, that takes the moment
mu N b / 4: the mean distance of the width from its own middle is b / 4.

References
----------
.. [1] J. C. Kaimal et al., "Spectral characteristics of surface-layer turbulence", Q. J. R. Meteorol. Soc. 98 (1972)
   563-589; in the form of IEC 61400-1, from memory: f S / sigma^2 = 4 n / (1 + 6 n)^(5/3), n = f L / U, L = 340 m.
"""

from __future__ import annotations

import functools
import math
import threading
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.compiled import compiled
from linescope.contact.ledger import BIN, Book, Face, Tracks
from linescope.contact.pressing import tape_forces
from linescope.events.drag import wind_load
from linescope.events.swing import SHALLOWEST
from linescope.rig import Wind
from linescope.statics import Solution
from linescope.statics.assemble import G
from linescope.statics.solution import freeze
from linescope.taping import Holds

Floats = NDArray[np.float64]

LENGTH_SCALE = 340.0  # Of the wind's spectrum [m].
SECONDS, LEAD_IN = 600.0, 30.0  # Of wind that is computed, and of those that are not counted [s].
WIND_STEP = 0.05  # [s]
STEPS_A_SWING = 60  # Runge-Kutta steps in one free swing.
CLASSES = 24  # Depths of loop that are swung, at the most; what lies between them is interpolated.
CLOSEST = 0.1  # Nor closer to each other than by this share [-].
SEED = 15  # Of the phases, so that the same wind blows every time.
_U, _WEIGHT = np.polynomial.legendre.leggauss(4)
_TURNING = threading.Lock()
ARMS, SHARES = 4.0 * (0.5 + 0.5 * _U) * (0.5 - 0.5 * _U), 0.5 * _WEIGHT  # Of the depth, and of the length.


@functools.lru_cache(maxsize=8)
def gusts(speed: float, intensity: float, seconds: float = SECONDS + LEAD_IN) -> Floats:
    """Wind speed with turbulence, every `WIND_STEP`.

    Parameters
    ----------
    speed : float
        Mean.  [m/s]
    intensity : float
        Standard deviation over mean.  [-]
    seconds : float
        [s]

    Returns
    -------
    (n,) array
        [m/s]
    """
    n = math.ceil(seconds / WIND_STEP) + 2
    n += n % 2
    frequency = np.fft.rfftfreq(n, WIND_STEP)
    scaled = frequency * LENGTH_SCALE / speed
    with np.errstate(divide="ignore", invalid="ignore"):
        density = np.where(frequency > 0.0, 4.0 * scaled / (1.0 + 6.0 * scaled) ** (5.0 / 3.0) / frequency, 0.0)
    phases = np.random.default_rng(SEED).uniform(0.0, 2.0 * np.pi, len(frequency))
    wave = np.fft.irfft(np.sqrt(density) * np.exp(1j * phases), n)
    wave *= intensity * speed / wave.std()
    result = np.asarray(speed + wave)
    result.setflags(write=False)
    return result


@compiled
def swing_on(
    wind: Floats, wind_step: float, depth: Floats, drag: float, gravity: float, step: float, lead_in: float,
    play: Floats, angle: Floats, rate: Floats, path: Floats, arms: Floats, shares: Floats
) -> None:
    """Loops swinging in a wind, in place; fourth-order Runge-Kutta.

    Parameters
    ----------
    wind : (n,) array
        Every `wind_step`.  [m/s]
    depth : (c,) array
        [m]
    drag : float
        rho C b e / 2 m: half the density times the drag area per mass.  [1/m]
    gravity : float
        Across the chord.  [m/s^2]
    step, lead_in : float
        Of time, and what is not counted.  [s]
    play : (p,) array
        Half-widths.  [rad]
    angle, rate : (c,) arrays
        At the beginning; left as at the end.  [rad, rad/s]
    path : (c, p) array
        What each loop turns beyond each play, added to it.  [rad]
    arms, shares : (g,) arrays
        Where the air's moment is taken, over the depth and over the length.
    """
    total = (len(wind) - 1) * wind_step
    count = int(total / step)
    for c in range(len(depth)):
        d = depth[c]
        q, w = angle[c], rate[c]
        stuck = np.full(len(play), q)
        stiff, feel = gravity / (0.8 * d), drag / (8.0 / 15.0 * d * d)
        for k in range(count):
            now = k * step
            kq = kw = sum_q = sum_w = 0.0
            for stage in range(4):
                late = 0.0 if stage == 0 else step if stage == 3 else 0.5 * step
                x = min((now + late) / wind_step, len(wind) - 1.0)
                i = min(int(x), len(wind) - 2)
                u = wind[i] + (x - i) * (wind[i + 1] - wind[i])
                qs, ws = q + late * kq, w + late * kw
                cos = math.cos(qs)
                moment = 0.0
                for g in range(len(arms)):
                    r = arms[g] * d
                    v = r * ws
                    moment += shares[g] * math.sqrt(max(u * u - 2.0 * u * v * cos + v * v, 0.0)) * (u * cos - v) * r
                kq, kw = ws, -stiff * math.sin(qs) + feel * moment
                weight = 1.0 if stage == 0 or stage == 3 else 2.0
                sum_q, sum_w = sum_q + weight * kq, sum_w + weight * kw
            q, w = q + step * sum_q / 6.0, w + step * sum_w / 6.0
            for p in range(len(play)):
                moved = min(max(stuck[p], q - play[p]), q + play[p])
                if now >= lead_in:
                    path[c, p] += abs(moved - stuck[p])
                stuck[p] = moved
        angle[c], rate[c] = q, w


@dataclass(frozen=True, eq=False, kw_only=True)
class Sway:
    """What the loops of a rig turn in an hour of wind.  n bays, i intensities, p plays, t tapes.

    Attributes
    ----------
    wind : Wind
    intensity : (i,) array
        [-]
    play : (p,) array
        [rad]
    path : (n, i, p) array
        Turned beyond the play, by the hour.  [rad]
    lean : float
        Angle at which a loop hangs in the mean wind.  [rad]
    normal : (t, 2) array
        Force with which the end of the loop towards A and towards B presses under its tape's edge.  [N]
    """

    wind: Wind
    intensity: Floats
    play: Floats
    path: Floats
    lean: float
    normal: Floats


def find_sway(
    standing: Solution, wind: Wind, intensity: tuple[float, ...], play: tuple[float, ...], *, seconds: float = SECONDS
) -> Sway:
    """An hour of wind on the empty rig.

    Parameters
    ----------
    standing : Solution
        Empty, still air.
    wind : Wind
    intensity : tuple of float
        Of turbulence.  [-]
    play : tuple of float
        Half-widths of the angle that the strip gives.  [rad]
    seconds : float
        Of wind that are computed and taken for the hour.  [s]

    Raises
    ------
    InputError
    """
    rig = standing.rig
    load = wind_load(rig, wind, wind.speed)
    mass = rig.backup.mass + rig.weather.backup_added
    across = math.sqrt(2.0 * load.pressure / wind.air_density)
    drag = load.backup / (mass * across * across) if across > 0.0 else 0.0
    gravity = G * math.cos(math.atan(rig.slope))
    depths = np.maximum(standing.bays.loop_depth, SHALLOWEST)
    # In five digits, so that rigs that hang alike share one.
    least, most = (round(d, 4 - math.floor(math.log10(d))) for d in (float(depths.min()), float(depths.max())))
    most = max(most, 1.001 * least)
    classes = np.geomspace(least, most, min(CLASSES, math.ceil(math.log(most / least) / CLOSEST) + 2))
    lean = math.atan2(load.backup, mass * G)
    path = np.zeros((len(depths), len(intensity), len(play)))
    for i, each in enumerate(intensity):
        with _TURNING:  # Styles that are walked beside each other hang in the same loops: one of them swings these.
            found = _turned(tuple(classes.tolist()), round(across, 6), each, seconds, drag, gravity, lean, play)
        for p in range(len(play)):
            path[:, i, p] = np.interp(np.log(depths), np.log(classes), found[:, p]) * 3600.0 / seconds
    result = Sway(
        wind=wind, intensity=np.array(intensity), play=np.array(play), path=path, lean=lean,
        normal=tape_forces(standing)[1:-1, 1:] / math.cos(lean),
    )
    freeze(result)
    return result


@functools.lru_cache(maxsize=64)
def _turned(
    classes: tuple[float, ...], across: float, intensity: float, seconds: float, drag: float, gravity: float,
    lean: float, play: tuple[float, ...],
) -> Floats:
    """(c, p) what loops of these depths turn beyond each play in a wind across them.  [rad]"""
    found = np.zeros((len(classes), len(play)))
    if across > 0.0:
        blows = gusts(across, intensity, seconds + LEAD_IN)
        for c, depth in enumerate(classes):  # Each in its own steps: a shallow loop swings fast.
            step = 2.0 * math.pi * math.sqrt(0.8 * depth / gravity) / STEPS_A_SWING
            swing_on(
                blows, WIND_STEP, np.array([depth]), drag, gravity, min(step, WIND_STEP), LEAD_IN, np.array(play),
                np.full(1, lean), np.zeros(1), found[c : c + 1], ARMS, SHARES,
            )
    found.setflags(write=False)
    return found


def pivot_work(friction: Floats, normal: Floats, width: float, path: Floats) -> Floats:
    """Work of an evenly pressed end of a strip that turns on itself: mu N b/4 x angle.  [J]

    Parameters
    ----------
    friction : (t,) array
        [-]
    normal : (t, 2) array
        [N]
    width : float
        [m]
    path : (t, 2) array
        [rad]
    """
    return np.asarray(friction[:, None] * normal * 0.25 * width * path)


def sway_tracks(
    standing: Solution, sway: Sway, *, friction: Floats, tape_main: Floats, tape_backup: Floats, intensity: int,
    play: int, widest: float = BIN
) -> Tracks:
    """What an hour of wind rubs.

    Parameters
    ----------
    standing : Solution
    sway : Sway
    friction : (t,) array
        Coefficient at every tape.  [-]
    tape_main, tape_backup : (t,) arrays
        Material coordinates of the tapes as they now are.  [m]
    intensity, play : int
        Which of them.
    widest : float
        Widest bin.  [m]

    Notes
    -----
    Both ends of a loop turn with it.  Where the tape holds the backup, strip and loop turn together, on the main's top;
    elsewhere the loop's own underside turns on the strip.  Half of the work goes to either.  It is booked from the
    tape's edge outward over one width of the line: inside, nothing turns.  Ties have no strip and are left out.
    """
    layout, rig = standing.layout, standing.rig
    book = Book(layout, widest)
    turned = sway.path[:, intensity, play]
    work = pivot_work(
        friction, sway.normal, min(rig.main.width, rig.backup.width), np.column_stack((turned[:-1], turned[1:]))
    )
    taped = np.array([tape.kind == "tape" for tape in layout.tapes], dtype=bool)
    on_main = np.array([tape.holds is Holds.BACKUP for tape in layout.tapes], dtype=bool)
    work[~taped] = 0.0
    half = 0.5 * rig.taping.stock.width
    for face, at, which, width in (
        (Face.MAIN_TOP, tape_main, on_main, rig.main.width),
        (Face.BACKUP_UNDER, tape_backup, ~on_main, rig.backup.width),
    ):
        for side, sign in ((0, -1.0), (1, 1.0)):
            book.spread(face, at[which] + sign * (half + 0.5 * width), width, 0.5 * work[which, side])
    book.tapes += 0.5 * work.sum(axis=1)
    return book.close()

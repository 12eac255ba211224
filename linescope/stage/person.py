"""The walker at true height on the main, with leash and a ring round both lines."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from linescope.rig import Walker
from linescope.stage import people
from linescope.stage.items import LegendEntry, Surface, Symbols, Wire
from linescope.stage.ring import ROOM, WIRE, Ring, ring_of
from linescope.statics.solution import Solution
from linescope.webbing import Webbing
from linescope.words import Words

Floats = NDArray[np.float64]

def walker(solution: Solution) -> tuple[tuple[Surface, ...], tuple[Wire, ...]]:
    """Body, ring and leash; nothing when nobody is on the line.

    Returns
    -------
    surfaces : tuple of Surface
        The body (height as given) and the ring round both lines.
    wires : tuple of Wire
        The leash: a curve of the given length from the ring to the tie-in point.
    """
    rig, feet = solution.rig, solution.walker_point
    if feet is None or rig.walker is None:
        return (), ()
    man = rig.walker
    forwards = rig.main_b - rig.main_a
    forwards = np.array([forwards[0], forwards[1], 0.0]) / math.hypot(forwards[0], forwards[1])
    body = people.standing("walker", "standing", feet, forwards, man.height)
    ring = ring_of(solution)
    assert ring is not None
    hoop = _ring(ring.centre, forwards, ring.radius, WIRE)
    wire = Wire(name="leash", points=leash(man, feet, ring), colour="leash", width=2.2, front=False)
    return (body, _merge("ring", [hoop], "walker")), (wire,)


def leash(man: Walker, feet: Floats, ring: Ring) -> Floats:
    """(n, 3) a slack leash from the tie-in point of somebody who stands to the ring.  [m]"""
    tie_in = feet + np.array([0.0, 0.0, man.tie_in_height])
    return slack(tie_in, ring.centre - np.array([0.0, 0.0, ring.radius]), man.leash)


def hanging(
    man: Walker, ring: Floats, forwards: Floats, line: Webbing, *, name: str = "body", colour: str = "walker"
) -> tuple[tuple[Surface, ...], tuple[Wire, ...]]:
    """A body hanging upright on its tight leash below a ring, at true size.

    Parameters
    ----------
    man : Walker
    ring : (3,) array
        Where the ring touches the line.  [m]
    forwards : (3,) array
        Horizontal unit vector along the line.  [-]
    line : Webbing
        What the ring runs on.
    name, colour : str
        A body in the colour "walker" is clothed, and its leash has its own.
    """
    tie_in = ring - np.array([0.0, 0.0, man.leash])
    body = people.hung(name, tie_in, forwards, man.height, man.hang, "" if colour == "walker" else colour)
    radius = 0.5 * line.width + ROOM
    hoop = _ring(ring - np.array([0.0, 0.0, radius]), forwards, radius, WIRE)
    leash = Wire(
        name=f"leash of {name}",
        points=np.array([ring - np.array([0.0, 0.0, 2 * radius]), tie_in]),
        colour=leash_colour(colour),
        width=2.2,
    )
    return (body, _merge(f"ring of {name}", [hoop], colour)), (leash,)


def leash_colour(body: str) -> str:
    """A clothed body's leash is as in all other pictures; one that is a sketch in one colour keeps it."""
    return "leash" if body == "walker" else body


SEEN, SEEN_HANGING = 36.0, 24.0  # Bodies this tall on the page, standing or hanging, need no sign of their place [px].
SIGN, STALK = 36.0, 30.0  # Size of the walker's sign, and how far over the feet it stands [px].


def sign(solution: Solution, per_pixel: float, seen: float = SEEN) -> tuple[tuple[Wire, ...], tuple[Symbols, ...]]:
    """A sign on a stalk over the walker's feet where the true body is too small to be seen; else nothing.

    Parameters
    ----------
    solution : Solution
    per_pixel : float
        Length of one pixel at the walker.  [m]
    seen : float
        A body that tall on the page needs no sign.  [px]
    """
    feet, man = solution.walker_point, solution.rig.walker
    if feet is None or man is None or man.height / per_pixel >= seen:
        return (), ()
    up = np.array([0.0, 0.0, per_pixel])
    stalk = Wire(name="walker stalk", points=np.array([feet, feet + STALK * up]), colour="walker", width=3.0)
    return (stalk,), (_sign("walker", feet + (STALK + SIGN / 2) * up, "walker"),)


def hanging_sign(man: Walker, ring: Floats, per_pixel: float, *, name: str, colour: str) -> tuple[Symbols, ...]:
    """A sign in the middle of a body that hangs below a ring, where the body is too small to be seen; else nothing.

    Parameters
    ----------
    man : Walker
    ring : (3,) array
        [m]
    per_pixel : float
        [m]
    name, colour : str
    """
    if man.height / per_pixel >= SEEN_HANGING:
        return ()
    middle = ring - np.array([0.0, 0.0, man.leash + man.hang - 0.5 * man.height])
    return (_sign(name, middle, colour),)


def _sign(name: str, at: Floats, colour: str) -> Symbols:
    return Symbols(name=name, points=at[None], symbol="walker", colour=colour, size=SIGN)


def sign_legend(marks: Iterable[Symbols], words: Words) -> tuple[LegendEntry, ...]:
    """What the walker's sign means, when there is one among the marks."""
    found = [mark for mark in marks if mark.symbol == "walker"]
    text = words.say("frame-legend-walker")
    return (LegendEntry(text=text, colour=found[0].colour, symbol="walker"),) if found else ()


def slack(start: Floats, end: Floats, length: float) -> Floats:
    """A slack curve between two points as long as given (a parabola; straight when it does not reach).

    Parameters
    ----------
    start, end : (3,) array
        [m]
    length : float
        [m]

    Returns
    -------
    (33, 3) array
        [m]
    """
    share = np.linspace(0.0, 1.0, 33)[:, None]
    bow = 4 * share * (1 - share) * np.array([0.0, 0.0, -1.0])
    straight = start + share * (end - start)
    low, high = 0.0, 3.0 * length
    for _ in range(40):
        sag = (low + high) / 2
        points = straight + sag * bow
        if float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum()) > length:
            high = sag
        else:
            low = sag
    return np.asarray(straight + low * bow)


def _ring(centre: Floats, normal: Floats, radius: float, wire: float) -> tuple[Floats, NDArray[np.int64]]:
    side = np.cross([0.0, 0.0, 1.0], normal)
    up = np.array([0.0, 0.0, 1.0])
    sections = []
    for turn in np.linspace(0.0, 2 * math.pi, 25):
        out = math.cos(turn) * side + math.sin(turn) * up
        small = np.linspace(0.0, 2 * math.pi, 7)[:-1, None]
        sections.append(centre + out * radius + wire * (np.cos(small) * out + np.sin(small) * normal))
    return _skin(sections)


def _skin(sections: list[Floats]) -> tuple[Floats, NDArray[np.int64]]:
    """Triangles between rings of equally many points, with closed ends."""
    n, m = len(sections), len(sections[0])
    index = np.arange(n * m).reshape(n, m)
    here, there = index[:-1], index[1:]
    nxt = np.roll(np.arange(m), -1)
    quads = np.stack([here, here[:, nxt], there[:, nxt], there], axis=-1).reshape(-1, 4)
    fan = np.stack([np.zeros(m - 2, dtype=int), np.arange(1, m - 1), np.arange(2, m)], axis=-1)
    triangles = [quads[:, [0, 1, 2]], quads[:, [0, 2, 3]], index[0][fan[:, ::-1]], index[-1][fan]]
    return np.concatenate(sections), np.concatenate(triangles)


def _merge(name: str, parts: list[tuple[Floats, NDArray[np.int64]]], colour: str) -> Surface:
    start = np.cumsum([0] + [len(points) for points, _ in parts])
    triangles = np.concatenate([t + s for (_, t), s in zip(parts, start[:-1], strict=True)])
    return Surface(
        name=name,
        points=np.concatenate([points for points, _ in parts]),
        triangles=triangles,
        colours=(colour,),
        colour=np.zeros(len(triangles), dtype=int),
        smooth=True,
    )

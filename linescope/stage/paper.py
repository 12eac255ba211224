"""Paper frames: drawings that are no place in the world, laid out in pixels of a page 2000 px wide."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from linescope.stage.camera import Camera
from linescope.stage.items import Surface, Wire

Floats = NDArray[np.float64]
UP = np.array([0.0, 0.0, 1.0])
HATCH = 14.0  # Between two strokes.  [px]


def camera(size: tuple[float, float]) -> Camera:
    """A camera that shows paper point (x, y), y down from the panel's top left corner, at that pixel."""
    width, height = size
    centre = np.array([width / 2, 0.0, -height / 2])
    return Camera(eye=centre - np.array([0.0, 100.0, 0.0]), target=centre, up=UP, half_height=height / 2)


def xy(x: float, y: float, nearer: float = 0.0) -> Floats:
    """A paper point as a place of the panel; `nearer` lies over what is less near."""
    return np.array([x, -nearer, -y])


def line(
    name: str,
    points: Sequence[tuple[float, float]] | Floats,
    colour: str,
    width: float,
    *,
    dashed: bool = False,
    nearer: float = 2.0,
    quiet: bool = False,
) -> Wire:
    """A stroke through paper points."""
    places = np.array([xy(float(x), float(y), nearer) for x, y in points])
    return Wire(name=name, points=places, colour=colour, width=width, dashed=dashed, quiet=quiet)


def area(name: str, points: Sequence[tuple[float, float]] | Floats, colour: str, nearer: float = 0.0) -> Surface:
    """A filled convex outline, flat in one colour."""
    corners = np.array([xy(float(x), float(y), nearer) for x, y in points])
    n = len(corners)
    return Surface(
        name=name,
        points=corners,
        triangles=np.column_stack([np.zeros(n - 2, dtype=int), np.arange(1, n - 1), np.arange(2, n)]),
        colours=(colour,),
        colour=np.zeros(n - 2, dtype=np.int64),
        lit=False,
    )


def box(name: str, left: float, top: float, right: float, bottom: float, colour: str, nearer: float = 0.0) -> Surface:
    """A filled rectangle."""
    return area(name, [(left, top), (right, top), (right, bottom), (left, bottom)], colour, nearer)


def hatch(name: str, left: float, top: float, right: float, bottom: float, colour: str) -> list[Wire]:
    """Slanting strokes over a rectangle, so that it is told from others without colour."""
    height = bottom - top
    strokes = []
    for start in np.arange(left - height, right, HATCH):
        low, high = max(start, left), min(start + height, right)
        if high - low > 1.0:
            strokes.append(
                line(name, [(low, bottom - (low - start)), (high, bottom - (high - start))], colour, 2.0, quiet=True)
            )
    return strokes


def ticks(low: float, high: float, count: int = 6) -> list[float]:
    """Round numbers between two values, about so many."""
    span = max(high - low, 1e-12)
    raw = span / max(count, 1)
    power = 10.0 ** np.floor(np.log10(raw))
    step = float(power * min((k for k in (1, 2, 2.5, 5, 10) if k * power >= raw), default=10))
    first = np.ceil(low / step - 1e-9)
    return [float(k * step) + 0.0 for k in np.arange(first, np.floor(high / step + 1e-9) + 1)]

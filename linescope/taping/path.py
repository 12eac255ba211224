"""Where every part of a strip lies in the section, as points: for drawing."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from linescope.taping.beginnings import Enclosing, Patch, Tab
from linescope.taping.section import lines_of
from linescope.taping.winding import Winding

Floats = NDArray[np.float64]
Kind = Literal["short", "between", "around", "fold", "tab", "piece", "wound"]


@dataclass(frozen=True, eq=False, kw_only=True)
class Run:
    """A part of a strip, or a cross piece, in the section.

    Attributes
    ----------
    kind : {"short", "between", "around", "fold", "tab", "piece", "wound"}
        "short": the dry tail's inner half, along which the sliding line runs; "fold": the same of a tab.
    points : (n, 2) array
        Middle layer, in the order of the strip; x across the lines, y up.  [m]
    """

    kind: Kind
    points: Floats

    @property
    def is_dry(self) -> bool:
        """Whether it lies against the sliding line and lets it run."""
        return self.kind in ("short", "fold", "piece")


def path(winding: Winding, stop: float, step: float = 0.0005) -> tuple[Run, ...]:
    """The whole strip, from its beginning to where it is cut.

    Parameters
    ----------
    winding : Winding
    stop : float
        Place of its end.  [m, see `Outline`]
    step : float
        Largest distance between points.  [m]

    Returns
    -------
    tuple of Run
        In the order of the strip; a cross piece stands before it.
    """
    beginning = winding.beginning
    wound = Run(kind="wound", points=_along(winding, *winding.steps(stop), step))
    if isinstance(beginning, Enclosing):
        return (*_enclosing(winding, step), wound)
    if isinstance(beginning, Tab):
        return (*_tab(winding, step), wound)
    if isinstance(beginning, Patch) and winding.dry is not None:
        low, high = winding.dry
        cuts = winding.section.outline.breaks(low, high)
        heights = np.full(len(cuts) - 1, 0.5 * winding.thickness)
        return Run(kind="piece", points=_along(winding, cuts, heights, step)), wound
    return (wound,)


def _along(winding: Winding, places: Floats, heights: Floats, step: float) -> Floats:
    """Points of the outline raised by a height between each two places."""
    found = []
    for low, high, height in zip(places[:-1], places[1:], heights, strict=True):
        u = np.linspace(low, high, max(2, math.ceil((high - low) / step) + 1))
        inner = np.where(u >= high, np.nextafter(high, low), u)  # Stay on this side of the next corner.
        found.append(winding.section.outline.points(inner, height))
    return np.concatenate(found)


def _straight(x0: float, x1: float, y: float, step: float) -> Floats:
    count = max(2, math.ceil(abs(x1 - x0) / step) + 1)
    return np.column_stack([np.linspace(x0, x1, count), np.full(count, y)])


def _first_layer(winding: Winding, step: float) -> Floats:
    """The innermost dry layer round the sliding line, from where it comes out to its tip."""
    assert winding.dry is not None
    places, heights = winding.steps(winding.dry[1])
    return _along(winding, places, heights - winding.thickness, step)


def _enclosing(winding: Winding, step: float) -> tuple[Run, Run, Run]:
    section = winding.section
    held, _ = lines_of(winding.holds)
    near = -1.0 if held == "main" else 1.0
    seat, reach = section.seat(held), section.seat(held) + winding.over
    short = _first_layer(winding, step)[::-1]
    if reach > seat:
        short = np.concatenate([short, _straight(near * reach, near * seat, 0.0, step)])
    across = _straight(near * seat, -near * seat, 0.0, step)
    beside = []
    if reach > seat:  # Along the sliding line's inner face, on the short end.
        above = winding.thickness if held == "main" else -winding.thickness
        beside.append(_straight(near * seat, near * reach, above, step))
    alone, half = section.alone(held), 0.5 * winding.thickness
    inner = 0.0 if held == "main" else 0.5 * alone.round
    if section.is_round(held):
        first, last = inner, inner + alone.round
    else:  # Up to where the corner at the near edge begins: there it goes on to the short end.
        corner = 1e-3 * 0.5 * math.pi
        first, last = inner + seat, inner + alone.round - seat - corner
    cuts = alone.breaks(first, last)
    round_held = []
    for low, high in pairwise(cuts):
        u = np.linspace(low, high, max(2, math.ceil((high - low) / step) + 1))
        round_held.append(alone.points(np.where(u >= high, np.nextafter(high, low), u), half))
    return (
        Run(kind="short", points=short), Run(kind="between", points=across),
        Run(kind="around", points=np.concatenate([*round_held, *beside])),
    )


def _tab(winding: Winding, step: float) -> tuple[Run, Run]:
    """The folded half from its end in to the tip, and out again to where the strip comes out."""
    section = winding.section
    held, sliding = lines_of(winding.holds)
    near, quarter = (-1.0 if held == "main" else 1.0), 0.25 * winding.thickness
    low = -quarter if held == "main" else quarter  # The folded half lies on the sliding line.
    reach = max(section.seat(held), section.seat(sliding), section.seat(held) + winding.over)
    tip = near * (reach - winding.between)
    fold = np.concatenate([_first_layer(winding, step)[::-1], _straight(near * reach, tip, low, step)])
    return Run(kind="fold", points=fold), Run(kind="tab", points=_straight(tip, near * reach, -low, step))

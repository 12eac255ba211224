"""Labels find a place: near their point, inside the frame, and on top of no other label or body."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np


@dataclass(frozen=True, kw_only=True)
class Box:
    """A rectangle on the page, x to the right and y down.  [px]"""

    left: float
    top: float
    right: float
    bottom: float

    def overlaps(self, other: Box, gap: float = 0.0) -> bool:
        """Whether the two share area, or come closer than `gap`."""
        return (
            self.left < other.right + gap
            and other.left < self.right + gap
            and self.top < other.bottom + gap
            and other.top < self.bottom + gap
        )

    def within(self, other: Box) -> bool:
        """Whether this one lies inside the other."""
        return (
            self.left >= other.left
            and self.right <= other.right
            and self.top >= other.top
            and self.bottom <= other.bottom
        )

    @property
    def centre(self) -> tuple[float, float]:
        """Its middle."""
        return (self.left + self.right) / 2, (self.top + self.bottom) / 2


@dataclass(frozen=True, kw_only=True)
class Request:
    """A text that wants a place.

    Attributes
    ----------
    text : str
        For the reader of a failed test.
    at : (x, y)
        Its point on the page.  [px]
    size : (width, height)
        Of the text.  [px]
    towards : (x, y)
        Preferred direction, y up.
    offset : float
        Gap to the point.  [px]
    rank : int
        Low first.
    must : bool
        Search the whole frame before giving up.
    """

    text: str
    at: tuple[float, float]
    size: tuple[float, float]
    towards: tuple[float, float] = (0.0, -1.0)
    offset: float = 8.0
    rank: int = 5
    must: bool = False


@dataclass(frozen=True, kw_only=True)
class Placed:
    """Where a text went.  `leader` when it stands so far away that a thin line must lead to its point."""

    index: int
    box: Box
    leader: bool


def place(
    requests: Sequence[Request],
    frame: Box,
    taken: Sequence[Box] = (),
    avoid: Sequence[Box] = (),
    gap: float = 3.0,
) -> list[Placed]:
    """Place texts without overlap inside the frame.

    Every text tries its preferred side first, then turns away from it in steps of 30 degrees to both sides,
    then moves farther out.  Texts that need not be there are left out when there is no room near their point.

    Parameters
    ----------
    requests : sequence of Request
    frame : Box
        No text may leave it.
    taken : sequence of Box
        Where no text may stand (symbols, other panels).
    avoid : sequence of Box
        Where text had better not stand (drawn lines, bodies): the nearest place free of them is taken,
        else the one that covers least.
    gap : float
        Smallest distance between two texts.  [px]

    Returns
    -------
    list of Placed
        In order of `index` into `requests`; those left out are missing.
    """
    used: list[Box] = []
    lines = np.array([(b.left, b.top, b.right, b.bottom) for b in avoid]).reshape(-1, 4)
    result: list[Placed] = []
    order = sorted(range(len(requests)), key=lambda i: (requests[i].rank, not requests[i].must, i))
    for index in order:
        request = requests[index]
        best: tuple[int, Box, bool] | None = None
        for box, far in places(request, frame):
            if not box.within(frame) or any(box.overlaps(other, gap) for other in used):
                continue
            if any(box.overlaps(other) for other in taken):
                continue
            left, top, right, bottom = lines.T
            over = (left < box.right) & (box.left < right) & (top < box.bottom) & (box.top < bottom)
            covers = int(np.count_nonzero(over))
            if best is None or covers < best[0]:
                best = (covers, box, far)
            if covers == 0:
                break
        if best is not None:
            used.append(best[1])
            result.append(Placed(index=index, box=best[1], leader=best[2]))
    return sorted(result, key=lambda placed: placed.index)


def places(request: Request, frame: Box) -> list[tuple[Box, bool]]:
    """Boxes to try, best first, and whether each is far from the point."""
    base = math.atan2(request.towards[1], request.towards[0])
    turns = [0.0] + [sign * math.radians(step) for step in range(30, 181, 30) for sign in (1, -1)]
    line = request.size[1]
    near = [0.0, 0.4 * line, 0.9 * line]
    steps = [*near, *(line * k for k in (1.8, 2.8, 4.0, 5.5, 7.0))] if request.must else near
    places: list[tuple[Box, bool]] = []
    for extra in steps:
        for turn in turns if extra in near else turns[:7]:
            places.append((_box(request, base + turn, request.offset + extra), extra > 0.5 * line))
    if request.must:
        width, height = request.size
        grid = [
            Box(left=x, top=y, right=x + width, bottom=y + height)
            for x in _steps(frame.left, frame.right - width, width / 2)
            for y in _steps(frame.top, frame.bottom - height, height)
        ]
        grid.sort(key=lambda box: math.dist(box.centre, request.at))
        places += [(box, True) for box in grid]
    return places


def _steps(low: float, high: float, step: float) -> list[float]:
    count = max(0, int((high - low) / step)) if step > 0 else 0
    return [low + k * step for k in range(count + 1)] if high >= low else []


def _box(request: Request, direction: float, offset: float) -> Box:
    """The text's box with its near edge `offset` away from the point in a direction (y up)."""
    width, height = request.size
    dx, dy = math.cos(direction), -math.sin(direction)
    reach = min(
        (width / 2) / abs(dx) if abs(dx) > 1e-9 else math.inf,
        (height / 2) / abs(dy) if abs(dy) > 1e-9 else math.inf,
    )
    x = request.at[0] + dx * (offset + reach)
    y = request.at[1] + dy * (offset + reach)
    return Box(left=x - width / 2, top=y - height / 2, right=x + width / 2, bottom=y + height / 2)

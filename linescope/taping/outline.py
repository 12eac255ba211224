"""The convex outline that a tape follows round two stacked lines, and its exact offsets.

A tape pulled round a section lies on the section's convex hull.  Every corner of a flat webbing is a disc of
radius zero and a rope is a disc of its own radius, so one construction serves all stacks: the hull of a few
discs is made of straight tangents and of arcs.  Raising it by a thickness ``h`` keeps each straight and
widens each arc's radius by ``h``, which is why one more layer adds exactly ``2 pi h`` to the way round.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from linescope.errors import InputError

Array = NDArray[np.float64]

_REFERENCE = 1e-3
"""Offset of the curve on which places are counted, so that a sharp corner has a length of its own. [m]"""


@dataclass(frozen=True, kw_only=True)
class OutlineDisc:
    """A disc the outline may touch; a corner has radius zero.

    Attributes
    ----------
    x, y : float
        Centre, x across the line, y up. [m]
    radius : float
        Radius. [m]
    body : str
        The line it belongs to, ``"main"`` or ``"backup"``.
    """

    x: float
    y: float
    radius: float
    body: str


@dataclass(frozen=True, kw_only=True)
class Corner:
    """Where an outline turns.

    Attributes
    ----------
    start, end : float
        Places.  [m, see `Outline`]
    sweep : float
        [rad]
    body : str
        The line it belongs to.
    """

    start: float
    end: float
    sweep: float
    body: str

    @property
    def middle(self) -> float:
        """The place where half of the turning is done.  [m, see `Outline`]"""
        return 0.5 * (self.start + self.end)


@dataclass(frozen=True, kw_only=True)
class _Element:
    """One straight or one arc of the outline, anticlockwise."""

    foot: tuple[float, float]  # first point [m]
    centre: tuple[float, float]  # of the arc [m]
    radius: float
    angle: float  # of the outward normal at the first point [rad]
    straight: float  # length, 0 for an arc [m]
    sweep: float  # turning, 0 for a straight [rad]
    body: str = ""  # of an arc


class Outline:
    """The convex outline of a stack, counted anticlockwise from the middle of its underside.

    Places on it are numbers ``u`` from 0 to `round`; larger and smaller numbers go on round.  They are
    distances along the outline raised by 1 mm, so that corners have an extent too.

    Parameters
    ----------
    discs : sequence of OutlineDisc
        What the outline goes round, mirror-symmetric about x = 0. [m]

    Attributes
    ----------
    perimeter : float
        Length of the bare outline. [m]
    round : float
        The number ``u`` grows by in one turn. [m]

    Raises
    ------
    InputError
        For fewer than two discs.
    """

    def __init__(self, discs: tuple[OutlineDisc, ...]) -> None:
        if len(discs) < 2:
            raise InputError("an outline needs at least two discs", key="section", found=len(discs))
        elements = _from_underside(_elements(discs))
        run = np.cumsum([0.0] + [e.straight + e.radius * e.sweep for e in elements])
        turn = np.cumsum([0.0] + [e.sweep for e in elements])
        self._elements = elements
        self._shape = (
            np.array([e.foot for e in elements]), np.array([e.centre for e in elements]),
            np.array([e.radius for e in elements]), np.array([e.angle for e in elements]),
            np.array([e.sweep > 0.0 for e in elements]),
        )
        self._run, self._turn, self._u = run, turn, run + _REFERENCE * turn
        self.perimeter = float(run[-1])
        self.round = float(self._u[-1])

    def length_to(self, u: float | Array, offset: float | Array = 0.0) -> Array:
        """Length along the outline raised by `offset` from the middle of the underside to `u`.

        Parameters
        ----------
        u : float or (n,) array
            Places, any number of turns. [m]
        offset : float or (n,) array
            Height above the bare outline. [m]

        Returns
        -------
        (n,) array
            Lengths. [m]
        """
        turns, rest = np.divmod(np.asarray(u, dtype=float), self.round)
        run = np.interp(rest, self._u, self._run) + turns * self.perimeter
        turn = np.interp(rest, self._u, self._turn) + turns * 2.0 * math.pi
        return np.asarray(run + np.asarray(offset) * turn)

    @cached_property
    def corners(self) -> tuple[Corner, ...]:
        """Where it turns, anticlockwise from the middle of the underside; an arc there is two, one on either side."""
        return tuple(
            Corner(start=float(self._u[k]), end=float(self._u[k + 1]), sweep=e.sweep, body=e.body)
            for k, e in enumerate(self._elements)
            if e.sweep
        )

    def rising_through(self, y: float) -> float:
        """The place on the right-hand side at a height `y`.  [m]

        Raises
        ------
        InputError
            When the outline does not reach it.
        """
        low, high = 0.0, 0.5 * self.round
        ends = self.points(np.array([low, np.nextafter(high, low)]))[:, 1]
        if not ends[0] < y < ends[1]:
            raise InputError("the outline does not reach this height", key="section", found=f"{y:g} m")
        for _ in range(60):  # The right-hand side of a convex outline only rises.
            middle = 0.5 * (low + high)
            low, high = (middle, high) if self.points(np.array([middle]))[0, 1] < y else (low, middle)
        return 0.5 * (low + high)

    def matched(self, other: Outline, place: float) -> float:
        """The place that corresponds to one [m] of another outline with the same corners in the same order.

        Straight by straight and corner by corner; by its share of the way round where they do not have the same.
        """
        if len(self._u) != len(other._u):
            return place / other.round * self.round
        return float(np.interp(place, other._u, self._u))

    def length(self, start: float, stop: float, offset: float = 0.0) -> float:
        """Length from place `start` to place `stop` along the outline raised by `offset`. [m]"""
        return float(self.length_to(stop, offset) - self.length_to(start, offset))

    def walk(self, start: float, distance: float, offset: float = 0.0) -> float:
        """The place reached from `start` after `distance` along the outline raised by `offset`. [m]"""
        once = self.perimeter + 2.0 * math.pi * offset
        goal = float(self.length_to(start, offset)) + distance
        turns, rest = divmod(goal, once)
        reached = np.interp(rest, self._run + offset * self._turn, self._u)
        return float(reached) + turns * self.round

    def breaks(self, start: float, stop: float) -> Array:
        """Places between `start` and `stop` where a straight meets an arc, with both ends, ascending. [m]"""
        first, last = math.floor(start / self.round), math.ceil(stop / self.round)
        every = (self._u[None, :-1] + self.round * np.arange(first, last + 1)[:, None]).ravel()
        inside = every[(every > start) & (every < stop)]
        return np.concatenate([[start], inside, [stop]])

    def where_normal(self, angle: float) -> float:
        """First place whose normal has turned by `angle` from straight down. [m]"""
        index = int(np.searchsorted(self._turn, angle, side="left"))
        index = min(max(index, 1), len(self._turn) - 1)
        low, high = self._turn[index - 1], self._turn[index]
        share = 0.0 if high == low else (angle - low) / (high - low)
        return float(self._u[index - 1] + share * (self._u[index] - self._u[index - 1]))

    def points(self, u: Array, offset: float | Array = 0.0) -> Array:
        """Points of the outline raised by `offset`.

        Parameters
        ----------
        u : (n,) array
            Places. [m]
        offset : float or (n,) array
            Height above the bare outline. [m]

        Returns
        -------
        (n, 2) array
            x across the line, y up. [m]
        """
        rest = np.mod(np.asarray(u, dtype=float), self.round)
        index = np.clip(np.searchsorted(self._u, rest, side="right") - 1, 0, len(self._elements) - 1)
        height = np.asarray(offset, dtype=float)
        along = rest - self._u[index]
        feet, centres, radius, angle, turns = (values[index] for values in self._shape)
        angle = angle + np.where(turns, along / (radius + _REFERENCE), 0.0)
        normal = np.column_stack([np.cos(angle), np.sin(angle)])
        ahead = np.column_stack([-normal[:, 1], normal[:, 0]])
        raised = np.broadcast_to(height, rest.shape)[:, None]
        on_arc = centres + (radius[:, None] + raised) * normal
        return np.asarray(np.where(turns[:, None], on_arc, feet + along[:, None] * ahead + raised * normal))

    def places_of(self, x: float, y: float) -> list[float]:
        """All places whose point is (`x`, `y`): none where it lies inside, two at the ends of a corner.
        [m]"""
        tolerance, places = 1e-7, []
        for k, element in enumerate(self._elements):
            if element.sweep:
                if element.radius < tolerance:
                    continue
                across, up = x - element.centre[0], y - element.centre[1]
                turned = (math.atan2(up, across) - element.angle + 1e-9) % (2.0 * math.pi) - 1e-9
                on_arc = abs(math.hypot(across, up) - element.radius) < tolerance
                if on_arc and turned <= element.sweep + 1e-9:
                    places.append(float(self._u[k] + turned * (element.radius + _REFERENCE)))
            else:
                normal = (math.cos(element.angle), math.sin(element.angle))
                dx, dy = x - element.foot[0], y - element.foot[1]
                along = -dx * normal[1] + dy * normal[0]
                off = dx * normal[0] + dy * normal[1]
                if abs(off) < tolerance and -tolerance <= along <= element.straight + tolerance:
                    places.append(float(self._u[k] + min(max(along, 0.0), element.straight)))
        return places


def _tangent(a: OutlineDisc, b: OutlineDisc) -> tuple[float, float] | None:
    """Outward normal of the tangent that runs from `a` to `b` with both discs on its left."""
    dx, dy = b.x - a.x, b.y - a.y
    distance = math.hypot(dx, dy)
    if distance <= abs(a.radius - b.radius) + 1e-12:
        return None
    ex, ey = dx / distance, dy / distance
    along = (a.radius - b.radius) / distance
    across = math.sqrt(max(0.0, 1.0 - along * along))
    return ex * along + ey * across, ey * along - ex * across


def _elements(discs: tuple[OutlineDisc, ...]) -> list[_Element]:
    """Straights and arcs of the hull of `discs`, anticlockwise."""
    tolerance = 1e-9
    follow: dict[int, tuple[int, tuple[float, float], float]] = {}
    for i, a in enumerate(discs):
        best = -1.0
        for j, b in enumerate(discs):
            normal = _tangent(a, b) if i != j else None
            if normal is None:
                continue
            height = normal[0] * a.x + normal[1] * a.y + a.radius
            if any(normal[0] * c.x + normal[1] * c.y + c.radius > height + tolerance for c in discs):
                continue
            reach = -(b.x - a.x) * normal[1] + (b.y - a.y) * normal[0]
            if reach > best:
                best = reach
                follow[i] = (j, normal, reach)
    first = min(follow, key=lambda i: (discs[i].y - discs[i].radius, discs[i].x))
    order = [first]
    while (after := follow[order[-1]][0]) != first:
        order.append(after)
    elements: list[_Element] = []
    for before, here in zip([order[-1], *order[:-1]], order, strict=True):
        disc = discs[here]
        arriving, leaving = follow[before][1], follow[here][1]
        start = math.atan2(arriving[1], arriving[0])
        sweep = (math.atan2(leaving[1], leaving[0]) - start) % (2.0 * math.pi)
        centre = (disc.x, disc.y)
        if 1e-12 < sweep < 2.0 * math.pi - 1e-12:
            foot = (disc.x + disc.radius * arriving[0], disc.y + disc.radius * arriving[1])
            elements.append(
                _Element(foot=foot, centre=centre, radius=disc.radius, angle=start, straight=0.0, sweep=sweep,
                         body=disc.body)
            )
        foot = (disc.x + disc.radius * leaving[0], disc.y + disc.radius * leaving[1])
        angle = math.atan2(leaving[1], leaving[0])
        straight = follow[here][2]
        elements.append(
            _Element(foot=foot, centre=centre, radius=0.0, angle=angle, straight=straight, sweep=0.0)
        )
    return elements


def _from_underside(elements: list[_Element]) -> tuple[_Element, ...]:
    """The same elements, turned to begin at the middle of the underside (the element there is cut in two)."""
    down = -0.5 * math.pi
    for k, element in enumerate(elements):
        turned = (down - element.angle) % (2.0 * math.pi)
        if element.sweep and 1e-9 < turned < element.sweep - 1e-9 and abs(element.centre[0]) < 1e-9:
            foot = (element.centre[0], element.centre[1] - element.radius)
            halves = (turned, element.sweep - turned)
            first = _Element(**{**vars(element), "sweep": halves[0]})
            second = _Element(**{**vars(element), "sweep": halves[1], "foot": foot, "angle": down})
        elif not element.sweep and abs(math.remainder(element.angle - down, 2.0 * math.pi)) < 1e-9:
            before = -element.foot[0]
            if not 0.0 < before < element.straight:
                continue
            first = _Element(**{**vars(element), "straight": before})
            foot = (0.0, element.foot[1])
            second = _Element(**{**vars(element), "straight": element.straight - before, "foot": foot})
        else:
            continue
        return (second, *elements[k + 1 :], *elements[:k], first)
    raise InputError("the section has no middle of the underside", key="section", allowed="centred lines")

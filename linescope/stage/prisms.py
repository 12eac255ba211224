"""Perspective of things that are extruded along one line, as ink: bars and sheets with the same section all along.

What hides what is exact without a depth buffer.  Every face stands on a segment of the section, and the plane through
it holds the line's direction z.  So the faces are sorted by a binary space partition of the section alone: whatever
lies beyond a face's plane, seen from the eye, is drawn before it, however far both reach along z.  A segment that
crosses another's line is cut there.  Ends of bars face the eye in a plane beyond which nothing else reaches, and come
last.

References
----------
Fuchs, H., Kedem, Z. M. and Naylor, B. F. (1980), On visible surface generation by a priori tree structures, Computer
Graphics 14 (3), 124-133 (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from linescope.stage.ink import Area, Ink, Line, Point

Floats = NDArray[np.float64]
Project = Callable[[Floats], Floats]
Spot = tuple[float, float, float]
_FLAT = 1e-7
_DIM, _BRIGHT = 0.80, 0.20
SEAM = 1.1
"""Of a face's own edge in its own colour, so that no light falls through between neighbours. [px]"""


@dataclass(frozen=True, eq=False, kw_only=True)
class Bar:
    """A solid of constant section, seen from outside only.

    Attributes
    ----------
    outline : (n, 2) array
        Convex, anticlockwise, not closed.  [length of the section]
    reach : (float, float)
        From where to where along z; the higher end is seen.  [the same]
    colour, end, rule : str
        Of its sides, of its seen end, of its edges.
    weave : int
        Light lines along each broad face.
    """

    outline: Floats
    reach: tuple[float, float]
    colour: str
    end: str
    rule: str
    weave: int = 0


@dataclass(frozen=True, eq=False, kw_only=True)
class StripSolid:
    """A strip of constant section.

    Attributes
    ----------
    way : (n, 2) array
        [length of the section]
    reach : (float, float)
        From rim to rim along z.  [the same]
    left, right : str
        Colours of its faces, left and right of its way.
    hatch_left, hatch_right : str
        Of the hatching on either face; "" for none.
    rule : str
        Of its rims and ends.
    """

    way: Floats
    reach: tuple[float, float]
    left: str
    right: str
    hatch_left: str
    hatch_right: str
    rule: str


@dataclass(slots=True)
class _Face:
    ax: float
    ay: float
    bx: float
    by: float
    thing: Bar | StripSolid
    run: tuple[float, float]  # Along a sheet's way.
    ends: tuple[bool, bool]  # Whether it holds the beginning, or the end, of a sheet.

    @property
    def length(self) -> float:
        return math.hypot(self.bx - self.ax, self.by - self.ay)

    def at(self, share: float) -> tuple[float, float]:
        return self.ax + share * (self.bx - self.ax), self.ay + share * (self.by - self.ay)


@dataclass(slots=True)
class _Node:
    x: float
    y: float
    nx: float
    ny: float
    here: list[_Face]
    before: _Node | None
    behind: _Node | None


@dataclass(slots=True)
class _Stroke:
    """An area, or a line, in space."""

    spots: tuple[Spot, ...]
    colour: str
    edge: str
    width: float
    filled: bool


def paint(things: Sequence[Bar | StripSolid], eye: Floats, project: Project, hatch: float, light: Floats) -> list[Ink]:
    """Ink of bars and sheets, from the farthest on.

    Parameters
    ----------
    things : sequence of Bar or StripSolid
    eye : (3,) array
        It must lie beyond all of them along z.  [the same]
    project : callable
        From (n, 3) points to (n, 2) points of the page.
    hatch : float
        Between two lines of hatching, along the way.  [the same]
    light : (2,) array
        Direction in the section from which they are lit.  [-]
    """
    ex, ey = float(eye[0]), float(eye[1])
    strokes: list[_Stroke] = []
    stack: list[tuple[_Node | None, bool]] = [(_tree([face for thing in things for face in _faces(thing)]), False)]
    while stack:
        node, ready = stack.pop()
        if node is None:
            continue
        if ready:
            for face in node.here:
                strokes += _drawn(face, (ex, ey), hatch, (float(light[0]), float(light[1])))
            continue
        ahead = (ex - node.x) * node.nx + (ey - node.y) * node.ny > 0.0
        far, near = (node.behind, node.before) if ahead else (node.before, node.behind)
        stack += [(near, False), (node, True), (far, False)]
    for thing in things:
        if isinstance(thing, Bar):
            corners = tuple((float(x), float(y), thing.reach[1]) for x, y in thing.outline)
            strokes.append(_Stroke(corners, thing.end, thing.rule, 1.6, True))
    return _on_page(strokes, project)


def _on_page(strokes: list[_Stroke], project: Project) -> list[Ink]:
    if not strokes:
        return []
    page = project(np.array([spot for stroke in strokes for spot in stroke.spots])).tolist()
    ink: list[Ink] = []
    first = 0
    for stroke in strokes:
        points: tuple[Point, ...] = tuple((x, y) for x, y in page[first : first + len(stroke.spots)])
        first += len(stroke.spots)
        if stroke.filled:
            ink.append(Area(points=points, colour=stroke.colour, edge=stroke.edge, width=stroke.width))
        else:
            ink.append(Line(points=points, colour=stroke.colour, width=stroke.width))
    return ink


def _faces(thing: Bar | StripSolid) -> list[_Face]:
    if isinstance(thing, Bar):
        corners = thing.outline.tolist()
        ring = pairwise([*corners, corners[0]])
        return [_Face(a[0], a[1], b[0], b[1], thing, (0.0, 0.0), (False, False)) for a, b in ring]
    found, run = [], 0.0
    way = thing.way.tolist()
    for k, (a, b) in enumerate(pairwise(way)):
        after = run + math.hypot(b[0] - a[0], b[1] - a[1])
        found.append(_Face(a[0], a[1], b[0], b[1], thing, (run, after), (k == 0, k == len(way) - 2)))
        run = after
    return found


def _tree(faces: list[_Face]) -> _Node | None:
    faces = [face for face in faces if face.length > 1e-12]
    if not faces:
        return None
    chosen = max(faces, key=lambda face: face.length)
    length = chosen.length
    x, y = chosen.ax, chosen.ay
    nx, ny = -(chosen.by - y) / length, (chosen.bx - x) / length
    here: list[_Face] = []
    before: list[_Face] = []
    behind: list[_Face] = []
    for face in faces:
        a = (face.ax - x) * nx + (face.ay - y) * ny
        b = (face.bx - x) * nx + (face.by - y) * ny
        if -_FLAT < a < _FLAT and -_FLAT < b < _FLAT:
            here.append(face)
        elif a > -_FLAT and b > -_FLAT:
            before.append(face)
        elif a < _FLAT and b < _FLAT:
            behind.append(face)
        else:
            share = a / (a - b)
            cx, cy = face.at(share)
            middle = face.run[0] + share * (face.run[1] - face.run[0])
            first = _Face(face.ax, face.ay, cx, cy, face.thing, (face.run[0], middle), (face.ends[0], False))
            second = _Face(cx, cy, face.bx, face.by, face.thing, (middle, face.run[1]), (False, face.ends[1]))
            (before if a > 0.0 else behind).append(first)
            (before if b > 0.0 else behind).append(second)
    return _Node(x, y, nx, ny, here, _tree(before), _tree(behind))


def _drawn(face: _Face, eye: tuple[float, float], hatch: float, light: tuple[float, float]) -> list[_Stroke]:
    length, thing = face.length, face.thing
    left = (-(face.by - face.ay) / length, (face.bx - face.ax) / length)
    seen_left = (eye[0] - face.ax) * left[0] + (eye[1] - face.ay) * left[1] > 0.0
    low, high = thing.reach
    corners = ((face.ax, face.ay, low), (face.bx, face.by, low), (face.bx, face.by, high), (face.ax, face.ay, high))
    lit = (left[0] * light[0] + left[1] * light[1]) * (1.0 if seen_left else -1.0)
    share = _DIM + _BRIGHT * max(0.0, lit) ** 0.7
    if isinstance(thing, Bar):
        return [] if seen_left else _bar_face(face, thing, corners, _shaded(thing.colour, share))
    colour, lines = (thing.left, thing.hatch_left) if seen_left else (thing.right, thing.hatch_right)
    fill = _shaded(colour, share)
    strokes = [_Stroke(corners, fill, fill, SEAM, True)]
    if lines:
        strokes += _hatching(face, thing, lines, hatch)
    for first, second in ((3, 2), (0, 1)):
        strokes.append(_Stroke((corners[first], corners[second]), thing.rule, "", 2.0, False))
    for held, first, second in ((face.ends[0], 0, 3), (face.ends[1], 1, 2)):
        if held:
            strokes.append(_Stroke((corners[first], corners[second]), thing.rule, "", 2.6, False))
    return strokes


def _bar_face(face: _Face, bar: Bar, corners: tuple[Spot, ...], fill: str) -> list[_Stroke]:
    strokes = [_Stroke(corners, fill, fill, SEAM, True)]
    if face.length < 0.3 * float(np.ptp(bar.outline[:, 0])):
        return strokes
    for k in range(1, bar.weave + 1):
        x, y = face.at(k / (bar.weave + 1))
        strokes.append(_Stroke(((x, y, bar.reach[0]), (x, y, bar.reach[1])), bar.end, "", 0.9, False))
    for first, second in ((0, 3), (1, 2)):
        strokes.append(_Stroke((corners[first], corners[second]), bar.rule, "", 1.1, False))
    return strokes


def _hatching(face: _Face, sheet: StripSolid, colour: str, gap: float) -> list[_Stroke]:
    """Slanting lines at 45 degrees on the unrolled strip, those that cross this face."""
    (low, high), (start, end) = sheet.reach, face.run
    wide = high - low
    strokes: list[_Stroke] = []
    if end - start < 1e-9:
        return strokes
    for k in range(math.floor((start - wide) / gap), math.ceil(end / gap) + 1):
        a, b = max(start, k * gap), min(end, k * gap + wide)
        if b > a:
            spots = tuple((*face.at((run - start) / (end - start)), low + run - k * gap) for run in (a, b))
            strokes.append(_Stroke(spots, colour, "", 1.5, False))
    return strokes


def _shaded(colour: str, share: float) -> str:
    parts = (min(255, round(int(colour[k : k + 2], 16) * share)) for k in (1, 3, 5))
    return "#" + "".join(f"{part:02x}" for part in parts)

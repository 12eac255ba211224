"""Painting extruded things: what is drawn last at a point of the page is what a ray from the eye meets first."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linescope.stage.camera import Camera
from linescope.stage.ink import Area
from linescope.stage.prisms import Bar, StripSolid, paint

EYE = np.array([-150.0, 118.0, 78.0])
SIZE = (640.0, 444.0)
CAMERA = Camera(eye=EYE, target=np.array([0.0, 0.0, -6.0]), up=np.array([0.0, 1.0, 0.0]), angle=np.radians(24.0))
LIGHT = np.array([-0.45, 0.89])


def project(points: np.ndarray) -> np.ndarray:
    return CAMERA.project(points, SIZE)[:, :2]


def sheet(way: np.ndarray, reach: float, tone: int) -> StripSolid:
    """A strip whose colour tells which it is, in whatever light."""
    colour = f"#{16 * tone + 15:02x}ff00"
    return StripSolid(
        way=way, reach=(-reach, reach), left=colour, right=colour, hatch_left="", hatch_right="", rule="#000000"
    )


def meets(origin: np.ndarray, ray: np.ndarray, a: np.ndarray, b: np.ndarray, reach: float) -> float:
    """How far along a ray a strip of the plane x = a + s (b - a), |z| <= reach, is met; infinity where it is not."""
    along = b - a
    matrix = np.array([[ray[0], -along[0]], [ray[1], -along[1]]])
    if abs(np.linalg.det(matrix)) < 1e-12:
        return np.inf
    t, s = np.linalg.solve(matrix, a - origin[:2])
    z = origin[2] + t * ray[2]
    return t if t > 0.0 and 0.0 <= s <= 1.0 and abs(z) <= reach else np.inf


def inside(points: tuple, at: np.ndarray) -> bool:
    """Whether a point lies in a polygon, by the crossings of a ray to its right."""
    found = False
    for (x0, y0), (x1, y1) in zip(points, (*points[1:], points[0]), strict=True):
        if (y0 > at[1]) != (y1 > at[1]) and at[0] < x0 + (at[1] - y0) / (y1 - y0) * (x1 - x0):
            found = not found
    return found


coordinate = st.floats(-30.0, 30.0)
ways = st.lists(st.lists(st.tuples(coordinate, coordinate), min_size=2, max_size=6), min_size=2, max_size=4)


@settings(max_examples=60, deadline=None)
@given(ways, st.lists(st.floats(3.0, 40.0), min_size=4, max_size=4), st.integers(0, 10_000))
def test_what_is_drawn_last_is_what_a_ray_meets_first(
    made: list[list[tuple[float, float]]], reaches: list[float], seed: int
) -> None:
    """Crossing sheets of any section: rays through random points of the page, faces met by hand."""
    sheets = [sheet(np.array(way), reaches[k], k) for k, way in enumerate(made)]
    areas = [ink for ink in paint(sheets, EYE, project, 3.6, LIGHT) if isinstance(ink, Area)]
    right, up, back = CAMERA.axes()
    tangent = np.tan(CAMERA.angle / 2)
    for x, y in np.random.default_rng(seed).uniform((120.0, 80.0), (520.0, 360.0), (60, 2)):
        ray = -back + tangent * ((x - SIZE[0] / 2) * right + (SIZE[1] / 2 - y) * up) / (SIZE[1] / 2)
        distances = [
            min(meets(EYE, ray, a, b, each.reach[1]) for a, b in zip(each.way[:-1], each.way[1:], strict=True))
            for each in sheets
        ]
        seen = [ink for ink in areas if inside(ink.points, np.array([x, y]))]
        order = np.sort(distances)
        if not np.isfinite(order[0]):
            continue
        if len(order) > 1 and order[1] - order[0] < 1e-3:  # At a crossing either may be seen.
            continue
        assert seen, "a face that a ray meets is not drawn"
        tones = {tone: np.argmin([abs(int(tone[3:5], 16) / 255 * (16 * k + 15) - int(tone[1:3], 16)) for k in range(4)])
                 for tone in (seen[-1].colour,)}  # fmt: skip
        assert tones[seen[-1].colour] == int(np.argmin(distances))


def test_a_bar_shows_its_outside_and_its_near_end() -> None:
    """Of a square bar seen from above and in front: two sides and the end, which comes last."""
    square = np.array([[1.0, 1.0], [-1.0, 1.0], [-1.0, -1.0], [1.0, -1.0]]) * 10.0
    bar = Bar(outline=square, reach=(-40.0, 40.0), colour="#808080", end="#ffffff", rule="#000000")
    areas = [ink for ink in paint([bar], EYE, project, 3.6, LIGHT) if isinstance(ink, Area)]
    assert len(areas) == 3
    assert areas[-1].colour == "#ffffff"
    corners = project(np.column_stack([square, np.full(4, 40.0)]))
    assert np.array(areas[-1].points) == pytest.approx(corners)


def test_hatching_is_as_long_as_the_strip_takes() -> None:
    """Lines at 45 degrees over a flat strip of length l and width w, every gap: l w sqrt(2) / (w gap) w in all."""
    way = np.array([[-25.0, 0.0], [3.0, 0.0], [25.0, 0.0]])
    strip = StripSolid(
        way=way, reach=(-10.0, 10.0), left="#808080", right="#808080", hatch_left="#123456", hatch_right="#123456",
        rule="#000000",
    )
    lines = [ink for ink in paint([strip], EYE, lambda p: p[:, [0, 2]], 2.0, LIGHT) if getattr(ink, "width", 0) == 1.5]
    total = sum(np.hypot(*(np.array(line.points[1]) - line.points[0])) for line in lines)
    assert total == pytest.approx(50.0 * 20.0 / 2.0 * np.sqrt(2.0), rel=0.02)

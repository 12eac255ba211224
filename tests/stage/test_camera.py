"""Projection by hand, and fitting."""

from __future__ import annotations

import math

import numpy as np
import pytest

from linescope.stage.camera import Camera, parallel_fit, perspective_fit

UP = np.array([0.0, 0.0, 1.0])


def test_parallel_projection_by_hand() -> None:
    camera = Camera(eye=np.array([0.0, -10.0, 0.0]), target=np.zeros(3), up=UP, half_height=2.0)
    page = camera.project(np.array([[0.0, 0, 0], [1.0, 5, 0], [0.0, 0, 2.0]]), (400, 200))
    np.testing.assert_allclose(page[:, :2], [[200, 100], [250, 100], [200, 0]], atol=1e-9)
    np.testing.assert_allclose(page[:, 2], [10, 15, 10])
    assert camera.metres_per_pixel((400, 200)) == pytest.approx(0.02)


def test_perspective_by_similar_triangles() -> None:
    camera = Camera(eye=np.array([0.0, -10.0, 0.0]), target=np.zeros(3), up=UP, angle=2 * math.atan(0.5))
    page = camera.project(np.array([[1.0, 0, 0], [1.0, 10, 0], [0.0, -11, 0]]), (400, 200))
    # At 10 m the half height of 100 px is 5 m, at 20 m it is 10 m.
    np.testing.assert_allclose(page[:2, 0], [220, 210])
    assert np.isnan(page[2, :2]).all()
    assert camera.metres_per_pixel((400, 200)) == pytest.approx(0.05)


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("angle", [0.0, math.radians(24)])
def test_fit_shows_everything_inside_the_margins(seed: int, angle: float) -> None:
    rng = np.random.default_rng(seed)
    points = rng.normal(size=(60, 3)) * rng.uniform(0.05, 200, size=3) + rng.uniform(-1000, 1000, size=3)
    look = np.append(rng.normal(size=2), -abs(rng.normal()) * 0.5)
    aspect = rng.uniform(1.0, 5.0)
    margin = (0.05, 0.2, 0.1, 0.15)
    fit = parallel_fit if angle == 0.0 else perspective_fit
    camera = fit(points, look=look, up=UP, aspect=aspect, margin=margin, **({"angle": angle} if angle else {}))
    x, y, _ = camera.project(points, (aspect * 1000, 1000)).T
    room = np.array([x.min() / aspect / 1000, y.min() / 1000, 1 - x.max() / aspect / 1000, 1 - y.max() / 1000])
    assert (room >= np.array(margin) - 0.02).all()
    assert min(room[0] + room[2] - 0.15, room[1] + room[3] - 0.35) < 0.02  # and as large as possible

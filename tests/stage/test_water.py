"""Water is drawn where ground lies below its level, and nowhere else: against areas and ends that are known exactly."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest

from linescope.stage import ground, relief
from linescope.stage.theme import THEMES
from linescope.terrain import Terrain
from linescope.terrain.obstacles import level


def bowl(count: int = 41) -> Terrain:
    """A square pyramid upside down, 20 m wide and 10 m deep: at h above its lowest point it is 2 h wide."""
    side = np.linspace(-10.0, 10.0, count)
    x, y = (each.ravel() for each in np.meshgrid(side, side, indexing="ij"))
    corner = (np.arange(count - 1)[:, None] * count + np.arange(count - 1)).ravel()
    faces = np.concatenate([
        np.stack([corner, corner + count, corner + 1], 1),
        np.stack([corner + count, corner + count + 1, corner + 1], 1),
    ])
    return Terrain(vertices=np.stack([x, y, np.maximum(abs(x), abs(y))], 1), faces=faces, source="made", kind="mesh")


def area(surface) -> float:
    a, b, c = (surface.points[surface.triangles[:, k]] for k in range(3))
    return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2.0)


@pytest.mark.parametrize("height", [0.1, 3.0, 3.3, 9.99])
def test_it_covers_what_lies_below(height: float) -> None:
    land = bowl()
    site = dataclasses.replace(_site(land), water=(level(height, np.array([-50.0, -50.0]), np.array([50.0, 50.0])),))
    (found,) = relief.water(site, THEMES["light"], np.asarray(land.vertices), np.asarray(land.faces))
    assert found.points[:, 2] == pytest.approx(height)
    assert np.abs(found.points[:, :2]).max() == pytest.approx(height)
    # The diagonal edges of the pyramid are cut by triangles, which lie under them by half a step at most.
    assert area(found) == pytest.approx((2.0 * height) ** 2, rel=1e-9, abs=4 * 0.5**2)


def test_there_is_none_over_dry_ground_and_all_over_drowned_ground() -> None:
    land = bowl()
    low, high = np.array([-50.0, -50.0]), np.array([50.0, 50.0])
    site = dataclasses.replace(_site(land), water=(level(-1.0, low, high), level(11.0, low, high)))
    (found,) = relief.water(site, THEMES["light"], np.asarray(land.vertices), np.asarray(land.faces))
    assert area(found) == pytest.approx(400.0)


def test_what_is_painted_on_the_ground_under_water_is_seen_on_the_water() -> None:
    """Painted within 2 m of the middle on one side of the bowl: that half of a square of 4 m, and nothing else."""
    land = bowl()
    points, faces = np.asarray(land.vertices), np.asarray(land.faces)
    site = dataclasses.replace(_site(land), water=(level(5.0, np.array([-50.0, -50.0]), np.array([50.0, 50.0])),))
    red = (200.0, 10.0, 20.0)
    tinted = np.where((points[:, 2] <= 2.0)[:, None] & (points[:, :1] <= 0.0), [*red, 1.0], 0.0)
    (found,) = relief.water(site, THEMES["light"], points, faces, None, tinted)
    assert found.baked is not None
    painted = np.abs(found.baked.astype(float) - red).max(axis=1) < 1.0
    inside = (np.abs(found.points[:, :2]).max(axis=1) <= 2.0 + 1e-9) & (found.points[:, 0] <= 1e-9)
    assert painted.any() and not painted[~inside].any() and painted[inside].all()


def test_in_a_section_it_ends_where_the_ground_comes_out() -> None:
    run = np.array([[0.0, 0.0, 2.0], [4.0, 0.0, -2.0], [6.0, 0.0, -2.0], [7.0, 0.0, 2.0], [9.0, 0.0, -1.0]])
    first, last = ground.pools(run, -1.0 + 1e-12)[0], ground.pools(run, 0.0)[1]
    assert first == pytest.approx(np.array([[3.0, 0.0, -1.0], [6.25, 0.0, -1.0]]))
    # It reaches to the end of what is known.
    assert last == pytest.approx(np.array([[7.0 + 4.0 / 3.0, 0.0, 0.0], [9.0, 0.0, 0.0]]))
    assert ground.pools(run, -3.0) == ()


def _site(land: Terrain) -> ground.Site:
    return ground.Site(near=land, picture=land, source=land.source, water=(), areas=())

"""Clearance of a line from solids of known distance.

Source: the project's table of outside checks, area "clearance" (entries C9-sphere, C9-sloping-plane,
C9-cone-apex, C9-catenary-over-plane); the figures are closed forms, repeated beside each test.  A mesh of a
curved solid lies inside it, so the distance to the mesh is too long by at most the chord error, stated
beside each test.
"""

from __future__ import annotations

import numpy as np
import pytest
import trimesh
from scipy.optimize import brentq

from linescope.clearance import Chords, GroundIndex, lowest, minimum_along
from linescope.terrain import Terrain

OUTSIDE = {"area": "clearance", "source": "Closed form: solids of known distance", "known": "recomputed"}
EXACT = "line to a sloping plane, the tip of a cone, a corner of a mesh"
ROUND = "line to a sphere and a ring, as meshes"
LINE = np.array([[-50.0, 0.0, 0.0], [50.0, 0.0, 0.0]])


def test_sphere(published, agrees):
    """sqrt(4² + 20²) - 5 = 15.396078054371138, foot at (3, 0, 0), inside a chord.

    Icosphere of 7 halvings: edges e <= 0.0505 m, facets at most e²/(6 r) deeper than the sphere: 9e-5 m.
    """
    ball = trimesh.creation.icosphere(subdivisions=7, radius=5.0)
    edge = ball.edges_unique_length.max()
    sphere = Terrain(vertices=ball.vertices + np.array([3.0, 4.0, -20.0]), faces=ball.faces, source="a sphere")
    near = minimum_along(GroundIndex(sphere), LINE)
    assert edge**2 / 30.0 < 1e-4
    exact = published["C9-sphere"]["distance"]
    agrees(ROUND, near.distance, exact, abs=edge**2 / 30.0, side="above", check="C9-sphere", unit="m")
    # The foot moves by what the facets turn: edge/(2 r) of the distance to the centre, at most.
    np.testing.assert_allclose(near.point, [3.0, 0.0, 0.0], atol=20.4 * edge / 10.0)
    assert 0.0 < near.fraction < 1.0


def test_sloping_plane(published, agrees):
    """Plane z = 0.1 x - 12: 7/sqrt(1.01) = 6.965260331469923 at the end x = 50; vertical 7.0; exact."""
    x, y = np.array([-80.0, 80.0]), np.array([-40.0, 40.0])
    vertices = [[a, b, 0.1 * a - 12.0] for a in x for b in y]
    plane = Terrain(vertices=vertices, faces=[[0, 2, 1], [1, 2, 3]], source="a plane", kind="grid")
    near = minimum_along(GroundIndex(plane), LINE)
    entry = published["C9-sloping-plane"]
    np.testing.assert_allclose(near.point, [50.0, 0.0, 0.0], atol=1e-12)
    (drop,) = lowest(GroundIndex(plane), Chords.of([LINE]), np.zeros(1, dtype=int))
    found, exact = (near.distance, drop.gap), (entry["distance"], entry["vertical_gap"])
    agrees(EXACT, found, exact, abs=1e-12, unit="m", check="C9-sloping-plane")
    assert drop.fraction == 1.0


@pytest.mark.parametrize("sides", [3, 8, 100])
def test_cone_apex(published, agrees, sides):
    """Apex (0, 0, -5), half-angle 45 degrees, axis down: 5.0, nearest is the corner itself; exact."""
    turn = 2 * np.pi * np.arange(sides) / sides
    ring = np.column_stack([30 * np.cos(turn), 30 * np.sin(turn), np.full(sides, -35.0)])
    i = np.arange(sides)
    faces = np.column_stack([np.full(sides, sides), i, (i + 1) % sides])
    cone = Terrain(vertices=np.vstack([ring, [0, 0, -5]]), faces=faces, source="a cone")
    near = minimum_along(GroundIndex(cone), LINE)
    exact = published["C9-cone-apex"]["distance"]
    agrees(EXACT, near.distance, exact, abs=1e-12, check="C9-cone-apex", unit="m")
    np.testing.assert_allclose(near.nearest, [0, 0, -5], atol=1e-12)
    np.testing.assert_allclose(near.point, [0, 0, 0], atol=1e-12)


def _catenary(nodes):
    """Nodes of the level catenary of span 120 m and length 140 m with ends at z = 0, and its parameter a."""
    a = brentq(lambda a: 2 * a * np.sinh(60.0 / a) - 140.0, 20.0, 500.0, xtol=1e-13)
    s = np.linspace(-70.0, 70.0, nodes)
    x = a * np.arcsinh(s / a)
    return np.column_stack([x, 0 * x, a * np.cosh(x / a) - a * np.cosh(60.0 / a)]), a


@pytest.mark.parametrize("nodes", [8, 20, 50, 200, 1000])
def test_catenary_over_plane(published, agrees, nodes):
    """40 - 31.697051291673056 = 8.302948708326944 to the plane z = -40.

    An even number of nodes has none at the low point.  The chord lies above the curve by up to ds² w/(8 H) =
    ds²/(8 a) (level chord; a = H/w), so chords alone overstate; with the sagitta the figure is a lower bound
    within it.
    """
    curve, a = _catenary(nodes)
    plane = Terrain(
        vertices=[[-99, -50, -40], [99, -50, -40], [-99, 50, -40], [99, 50, -40]],
        faces=[[0, 1, 2], [1, 3, 2]],
        source="a plane",
        kind="grid",
    )
    ds = 140.0 / (nodes - 1)
    # A hair over the parabola's sagitta: the next term of the series is (ds/a)² / 48 of it.
    sagitta = np.full(nodes - 1, ds**2 / (8 * a) * (1 + (ds / a) ** 2))
    exact = published["C9-catenary-over-plane"]["distance"]
    chords = minimum_along(GroundIndex(plane), curve)
    near = minimum_along(GroundIndex(plane), curve, sagitta)
    assert chords.distance > exact
    agrees(
        "catenary of 7 to 999 chords over a plane, bound", near.distance, exact, abs=sagitta[0], side="below",
        unit="m", check="C9-catenary-over-plane",
    )
    (drop,) = lowest(GroundIndex(plane), Chords.of([curve], [sagitta]), np.zeros(1, dtype=int))
    assert drop.gap == pytest.approx(near.distance, abs=1e-12)


def test_torus_beside_the_line(torus, agrees):
    """Ring of radius 12 m and tube 3 m about the z axis, 30 m below the line.

    Line along x at y = 0: nearest where it crosses above the ring, x = ±12, distance 30 - 3 = 27; chord
    error of the tube a (1 - cos(pi/m)) = 3.7e-4 m and of the ring's sides, which only moves the top inwards.
    """
    near = minimum_along(GroundIndex(torus(12.0, 3.0, 600, 200, centre=(0.0, 0.0, -30.0))), LINE)
    agrees(ROUND, near.distance, 27.0, abs=4e-4, unit="m")
    assert abs(abs(near.point[0]) - 12.0) < 0.05


def test_torus_from_the_side(torus, agrees):
    """The line at x = 40 along y, level with the ring: 40 - 12 - 3 = 25 at a corner of the mesh; exact."""
    line = np.array([[40.0, -50.0, 0.0], [40.0, 50.0, 0.0]])
    near = minimum_along(GroundIndex(torus(12.0, 3.0, 120, 40)), line)
    agrees(EXACT, near.distance, 25.0, abs=1e-12, unit="m")
    np.testing.assert_allclose(near.point, [40, 0, 0], atol=1e-9)

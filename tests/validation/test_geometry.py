"""Geometry against prints and other libraries: strips round sections, distances to ground, stretch curves.

A strip round a rope and a webbing is a belt round discs, so belt problems check its outline.  shapely (buffers of
convex hulls) and trimesh (closest points of meshes) are asked about the same shapes, scipy about the same curve.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from linescope.clearance import GroundIndex
from linescope.taping import FAMILIES, Section, TapeStock, lay_whole_wraps
from linescope.taping.outline import Outline, OutlineDisc
from linescope.terrain import Terrain
from linescope.webbing import StretchCurve

PEERS = {"area": "peers", "known": "peer"}
BELTS = {"area": "tape lengths", "source": "Belt puzzles, worked answers"}


def belt(discs) -> float:
    outline = Outline(tuple(OutlineDisc(x=x, y=y, radius=radius, body="main") for x, y, radius in discs))
    return float(outline.length(0.0, outline.round))


def test_belt_round_two_wheels(published, agrees):
    entry = published["A10-belt-round-two-wheels"]
    length = belt(entry["inputs"]["discs"])
    agrees(
        "outline of two discs, 6 and 1 in radius", length, entry["expected"]["length"], rel=1e-12, entry=entry, **BELTS,
    )


def test_belt_round_three_pulleys(published, agrees):
    entry = published["A10-belt-round-three-pulleys"]
    (a, b, c), radius = entry["inputs"]["sides_ft"], 0.5 * entry["inputs"]["diameter_ft"]
    x = (a**2 + c**2 - b**2) / (2.0 * c)
    # The middle of the outline's underside has to lie at zero.
    corners = ((-0.5 * c, 0.0), (0.5 * c, 0.0), (x - 0.5 * c, math.sqrt(a**2 - x**2)))
    length = belt([(*corner, radius) for corner in corners])
    agrees("outline of three discs", length, entry["expected"]["length_ft"], entry=entry, unit="ft", **BELTS)


def test_point_to_triangle(published, agrees):
    entry = published["A9-point-to-triangle"]
    triangle = Terrain(vertices=np.array(entry["inputs"]["triangle"]), faces=[[0, 1, 2]], source="a triangle")
    distance = GroundIndex(triangle).distance(np.array([entry["inputs"]["point"]]))[0][0]
    agrees(
        "point to a triangle", distance, entry["expected"]["distance"], entry=entry, area="clearance",
        source="Octave matgeom, documentation",
    )


@pytest.mark.peer
def test_sections_against_shapely(peer, agrees):
    """Perimeters of random stacks, bare and under layers of tape, and whole strips of four wraps."""
    shapely = peer("shapely", "perimeters of taped sections")
    rng = np.random.default_rng(5)
    ours, theirs = [], []
    for _ in range(40):
        a, c = rng.uniform(0.01, 0.06, 2)
        b, d = rng.uniform(0.0015, 0.006, 2)
        layer = rng.uniform(1e-4, 3e-3)
        section = Section(main_width=a, main_thickness=b, backup_width=c, backup_thickness=d)
        boxes = [shapely.box(-a / 2, 0.0, a / 2, b), shapely.box(-c / 2, -d, c / 2, 0.0)]
        hull = shapely.unary_union(boxes).convex_hull
        ours += [section.perimeter, section.outline.length(0.0, section.outline.round, layer)]
        theirs += [hull.length, hull.buffer(layer, quad_segs=2000).length]
        stock = TapeStock(width=0.048, thickness=0.00015, wraps=4.0, margin=0.004)
        ours.append(lay_whole_wraps(FAMILIES["fixed wrap"], section, stock).cut_length)
        # Each turn lies half a thickness above the one below on average: n P + pi t n^2.
        theirs.append(4.0 * hull.length + math.pi * stock.thickness * 16.0)
    agrees(
        "perimeters and four-wrap strips of 40 sections", ours, theirs, rel=1e-6, unit="m", source="shapely", **PEERS,
    )


@pytest.mark.peer
def test_distances_against_trimesh(peer, agrees):
    """Points beside a bumpy sphere of 1280 triangles."""
    trimesh = peer("trimesh", "distances to meshes")
    ball = trimesh.creation.icosphere(subdivisions=3, radius=6.0)
    rng = np.random.default_rng(3)
    vertices = ball.vertices * (1.0 + 0.2 * rng.uniform(-1.0, 1.0, (len(ball.vertices), 1)))
    points = rng.normal(size=(300, 3)) * 12.0
    theirs = trimesh.proximity.closest_point(trimesh.Trimesh(vertices, ball.faces, process=False), points)[1]
    ours = GroundIndex(Terrain(vertices=vertices, faces=ball.faces, source="a bumpy ball")).distance(points)[0]
    agrees(
        "distances of 300 points to a bumpy ball", np.abs(ours), theirs, abs=1e-9, unit="m", source="trimesh", **PEERS,
    )


@pytest.mark.peer
def test_stretch_curve_against_scipy(peer, agrees):
    interpolate = peer("scipy.interpolate", "the stretch curve between its points")
    integrate = peer("scipy.integrate", "the energy under the stretch curve")
    tension, strain = np.array([0.0, 2e3, 5e3, 10e3]), np.array([0.0, 0.03, 0.06, 0.1])
    curve = StretchCurve(tension=tension, strain=strain)
    between = np.linspace(0.0, 10e3, 101)
    theirs = interpolate.pchip_interpolate(tension, strain, between)
    told = {**PEERS, "source": "scipy PCHIP and quad"}
    areas = [integrate.quad(curve.strain_at, 0.0, t, points=[2e3, 5e3])[0] for t in (6e3, 8e3, 10e3)]
    ours = (*curve.at(between)[0], *curve.at(np.array([6e3, 8e3, 10e3]))[2])
    room = np.array([1e-14] * len(between) + [1e-9 * area for area in areas])
    agrees("strain along a measured curve, energy under it", ours, (*theirs, *areas), abs=room, **told)

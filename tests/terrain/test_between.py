"""Cutting ground at two upright planes."""

from __future__ import annotations

import numpy as np
import trimesh

from linescope.terrain import Terrain
from linescope.terrain.between import between


def test_cut_ground_has_the_area_and_heights_of_the_stretch(ridge):
    """Against trimesh's own slicing by planes, along a direction askew to the grid."""
    vertices, faces = ridge
    terrain = Terrain(vertices=vertices, faces=faces, source="invented", kind="grid")
    start, along = np.array([3.0, -2.0]), np.array([0.8, 0.6])
    part = between(terrain, start, along, 4.3, 17.9)
    other = trimesh.Trimesh(vertices, faces, process=False)
    for sign, place in ((1.0, 4.3), (-1.0, 17.9)):
        other = other.slice_plane(np.append(start + place * along, 0.0), np.append(sign * along, 0.0))
    ours = trimesh.Trimesh(part.vertices, part.faces, process=False)
    np.testing.assert_allclose(ours.area, other.area, rtol=1e-12)
    used = part.vertices[part.faces]
    place = (used[:, :, :2] - start) @ along
    np.testing.assert_allclose([place.min(), place.max()], [4.3, 17.9], atol=1e-12)
    np.testing.assert_allclose(
        [ours.triangles[:, :, 2].min(), ours.triangles[:, :, 2].max()], other.bounds[:, 2], atol=1e-12
    )
    assert part.kind == "grid"
    normal = np.cross(used[:, 1] - used[:, 0], used[:, 2] - used[:, 0])[:, 2]
    assert np.all(normal >= -1e-12)
    assert between(terrain, start, along, 900.0, 901.0) is None
    whole = between(terrain, start, along, -900.0, 900.0)
    np.testing.assert_array_equal(whole.faces, terrain.faces)

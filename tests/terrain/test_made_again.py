"""What is made of a ground is made once, and what is read fast is the same as what is read plainly."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from linescope.clearance import GroundIndex
from linescope.terrain import PlumbIndex, load_ground
from linescope.terrain.model import Terrain, areas, has_area
from linescope.terrain.plumb import plumb_of
from linescope.terrain.site_file import SiteFile, write_site
from linescope.terrain.spec import GroundSpec


def mesh(seed: int, count: int = 300) -> tuple[np.ndarray, np.ndarray]:
    """Triangles anywhere, a tenth of them without area."""
    made = np.random.default_rng(seed)
    faces = made.integers(0, count, (3 * count, 3))
    faces[::10, 2] = faces[::10, 1]
    return 50.0 * made.standard_normal((count, 3)), faces


@pytest.mark.parametrize("seed", range(4))
def test_areas_are_those_of_heron(seed: int) -> None:
    """From the sides alone, to its rounding; and exactly zero where two corners are one."""
    vertices, faces = mesh(seed)
    found = areas(vertices, faces)
    corners = vertices[faces]
    a, b, c = np.linalg.norm(corners - np.roll(corners, 1, axis=1), axis=2).T
    half = 0.5 * (a + b + c)
    heron = np.sqrt(np.clip(half * (half - a) * (half - b) * (half - c), 0.0, None))
    np.testing.assert_allclose(found, heron, atol=1e-3)
    twice = (faces[:, 0] == faces[:, 1]) | (faces[:, 1] == faces[:, 2]) | (faces[:, 2] == faces[:, 0])
    assert twice.sum() >= 90 and (found[twice] == 0.0).all()
    assert has_area(vertices, faces) and not has_area(vertices, faces[twice])


def test_what_is_over_a_place_is_asked_of_one_index_whatever_is_noted(tmp_path: Path) -> None:
    x, y = (each.ravel() for each in np.meshgrid(np.linspace(-20.0, 60.0, 41), np.linspace(-30.0, 30.0, 31)))
    corners = np.arange(41 * 31).reshape(31, 41)
    low, right = corners[:-1, :-1].ravel(), corners[:-1, 1:].ravel()
    up, far = corners[1:, :-1].ravel(), corners[1:, 1:].ravel()
    ground = Terrain(
        vertices=np.column_stack([x, y, -12.0 + 0.1 * np.sin(x) * y]), source="made", kind="grid",
        faces=np.concatenate([np.column_stack([low, right, up]), np.column_stack([right, far, up])]),
    )
    ends = np.array([[0.0, 0.0, 0.0], [40.0, 0.0, 0.0]])
    write_site(tmp_path / "site.glb", SiteFile(pieces=(ground,), anchors=ends))
    read = load_ground(GroundSpec(path=tmp_path / "site.glb", kind="site"), *ends)
    index = GroundIndex(read)
    assert index.plumb is plumb_of(read) is plumb_of(read.with_notes())
    places = np.random.default_rng(5).uniform([-19.0, -29.0], [59.0, 29.0], (200, 2))
    position, _, z, _ = index.plumb.over(places)
    plain = PlumbIndex(Terrain(vertices=read.vertices, faces=read.faces, source="again", kind="grid")).over(places)
    assert np.array_equal(position, plain[0]) and np.array_equal(z, plain[2])
    moved = Terrain(vertices=read.vertices + np.array([0.0, 0.0, 1.0]), faces=read.faces, source="another", kind="grid")
    assert plumb_of(moved) is not index.plumb
    assert plumb_of(moved).over(places)[2] == pytest.approx(z + 1.0)


def test_a_ground_shares_its_arrays_with_what_is_made_of_it_and_with_nobody_else() -> None:
    vertices, faces = mesh(1)
    ground = Terrain(vertices=vertices, faces=faces, source="made")
    assert ground.with_notes().vertices is ground.vertices
    kept = ground.vertices.copy()
    vertices[:] = 0.0
    assert np.array_equal(ground.vertices, kept)
    view = vertices[:]
    view.setflags(write=False)  # Nobody can write this one, but its owner can.
    other = Terrain(vertices=view, faces=faces, source="made")
    vertices[:] = 7.0
    assert not other.vertices.any()

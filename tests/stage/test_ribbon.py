"""Ribbons are as wide, as thick and as long as the webbing.  Volumes by trimesh (divergence theorem)."""

from __future__ import annotations

import numpy as np
import pytest
import trimesh

from linescope.stage import ribbon

LINE = np.column_stack([np.linspace(0, 4, 41), np.linspace(0, 1, 41), 0.1 * np.linspace(-2, 2, 41) ** 2])


def solid(surface: ribbon.Surface) -> trimesh.Trimesh:
    return trimesh.Trimesh(surface.points, surface.triangles, process=False)


def test_a_strip_is_closed_and_has_the_volume_of_its_section() -> None:
    strip = ribbon.strip(LINE, width=0.025, thickness=0.003, name="main", top="main", under="main_under")
    mesh = solid(strip)
    length = np.linalg.norm(np.diff(LINE, axis=0), axis=1).sum()
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert abs(mesh.volume) == pytest.approx(0.025 * 0.003 * length, rel=2e-3)


def test_width_and_thickness_are_true_and_the_strip_lies_flat() -> None:
    corners = ribbon.strip(
        LINE, width=0.025, thickness=0.003, name="main", top="main", under="main_under"
    ).points.reshape(-1, 4, 3)
    wide, thick = corners[:, 1] - corners[:, 0], corners[:, 0] - corners[:, 3]
    np.testing.assert_allclose(np.linalg.norm(wide, axis=1), 0.025)
    np.testing.assert_allclose(np.linalg.norm(thick, axis=1), 0.003)
    np.testing.assert_allclose(wide[:, 2], 0.0, atol=1e-12)
    assert (thick[:, 2] > 0).all()


def test_the_two_faces_have_two_colours() -> None:
    strip = ribbon.strip(LINE, width=0.02, thickness=0.002, name="b", top="backup", under="backup_under")
    normals = solid(strip).face_normals * np.sign(solid(strip).volume)
    upper = strip.colour == strip.colours.index("backup")
    assert normals[upper, 2].min() > 0.9
    assert normals[~upper, 2].max() < 0.5 and normals[~upper, 2].min() < -0.9


def test_a_cord_is_round() -> None:
    mesh = solid(ribbon.cord(LINE, diameter=0.01, name="b", colour="backup", sides=32))
    length = np.linalg.norm(np.diff(LINE, axis=0), axis=1).sum()
    assert mesh.is_watertight
    assert abs(mesh.volume) == pytest.approx(np.pi / 4 * 0.01**2 * length, rel=0.01)


def test_a_straight_vertical_line_still_has_a_width() -> None:
    hung = np.column_stack([np.zeros(5), np.zeros(5), np.linspace(0, -1, 5)])
    across, out = ribbon.frames(hung)
    np.testing.assert_allclose(np.linalg.norm(across, axis=1), 1.0)
    np.testing.assert_allclose(np.einsum("ij,ij->i", across, out), 0.0, atol=1e-12)

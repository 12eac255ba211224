"""Small invented ground files, written for each test."""

from __future__ import annotations

import numpy as np
import pytest

from linescope.terrain.grids import grid_triangles


@pytest.fixture
def ridge():
    """Vertices and faces of an invented ridge, 40 m by 20 m around (20, 0), heights -12 m to -8 m."""
    x, y = np.linspace(0.0, 40.0, 21), np.linspace(-10.0, 10.0, 11)
    z = -12.0 + 4.0 * np.exp(-(((x[None, :] - 15.0) / 6.0) ** 2)) * np.cos(y[:, None] / 10.0)
    return grid_triangles(x, y, z)


@pytest.fixture
def anchors():
    return np.array([0.0, 0.0, 0.0]), np.array([40.0, 0.0, 1.0])

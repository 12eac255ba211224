"""Surfaces with known distances, meshed so that the error of the facets is known too."""

from __future__ import annotations

import numpy as np
import pytest

from linescope.terrain import Terrain


def wrapped(x, y, z, *, close_rows, close_columns):
    """Triangles of a surface given as arrays over two parameters, joined end to end where asked."""
    rows, columns = x.shape
    i, j = np.meshgrid(np.arange(rows - (not close_rows)), np.arange(columns - (not close_columns)), indexing="ij")
    i, j = i.ravel(), j.ravel()
    a, b = i * columns + j, i * columns + (j + 1) % columns
    c, d = ((i + 1) % rows) * columns + j, ((i + 1) % rows) * columns + (j + 1) % columns
    faces = np.concatenate([np.stack([a, b, c], 1), np.stack([b, d, c], 1)])
    return np.stack([x.ravel(), y.ravel(), z.ravel()], 1), faces


@pytest.fixture
def torus():
    """Makes a torus about the z axis: `torus(big, small, n, m)`."""

    def make(big, small, n, m, centre=(0.0, 0.0, 0.0)):
        u = 2 * np.pi * np.arange(n)[:, None] / n
        v = 2 * np.pi * np.arange(m)[None, :] / m
        r = big + small * np.cos(v)
        x, y, z = np.broadcast_arrays(r * np.cos(u), r * np.sin(u), small * np.sin(v) + 0 * u)
        vertices, faces = wrapped(x, y, z, close_rows=True, close_columns=True)
        return Terrain(vertices=vertices + np.asarray(centre), faces=faces, source="a torus")

    return make


@pytest.fixture
def sheet():
    """Makes a height field over a plan grid: `sheet(function, x, y)`."""

    def make(height, x, y, kind="grid"):
        gx, gy = np.meshgrid(x, y)
        vertices, faces = wrapped(gx, gy, height(gx, gy) + 0 * gx, close_rows=False, close_columns=False)
        return Terrain(vertices=vertices, faces=faces, source="a sheet", kind=kind)

    return make


@pytest.fixture
def overhang(sheet):
    """A floor at -20 m and a roof at 3 m over it."""
    floor, roof = (sheet(lambda x, y, z=z: z, np.linspace(-9, 9, 4), np.linspace(-9, 9, 4)) for z in (-20.0, 3.0))
    return Terrain(
        vertices=np.concatenate([floor.vertices, roof.vertices]),
        faces=np.concatenate([floor.faces, roof.faces + len(floor.vertices)]),
        source="overhang",
    )


@pytest.fixture
def brute():
    """Smallest distance by trying every triangle, with formulas that share nothing with the program.

    Distance to a triangle: of the plane's foot if the three corner angles around it sum to a full turn in
    sign, else of the nearest of its three edges, sampled by the closed form of a point on a line.
    """

    def distance(points, vertices, faces):
        a, b, c = (vertices[faces[:, k]] for k in range(3))
        normal = np.cross(b - a, c - a)
        normal /= np.linalg.norm(normal, axis=1)[:, None]
        result = np.empty(len(points))
        for i, p in enumerate(points):
            height = np.sum((p - a) * normal, axis=1)
            foot = p - height[:, None] * normal
            turns = [np.sum(np.cross(v - u, foot - u) * normal, axis=1) for u, v in ((a, b), (b, c), (c, a))]
            best = np.where(np.min(turns, axis=0) >= 0.0, np.abs(height), np.inf)
            for u, v in ((a, b), (b, c), (c, a)):
                along = v - u
                t = np.clip(np.sum((p - u) * along, axis=1) / np.sum(along**2, axis=1), 0.0, 1.0)
                best = np.minimum(best, np.linalg.norm(p - u - t[:, None] * along, axis=1))
            result[i] = best.min()
        return result

    return distance

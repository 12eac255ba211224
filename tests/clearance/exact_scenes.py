"""Grounds whose distance from any point is known in closed form, for the verdict: invented, none of them a place.

Each has triangles for the program, and for the check a function of points that shares nothing with it: planes, boxes,
balls of facets inside them, segments.  Boxes are told by their closed form [1]_, turned by nothing.

References
----------
.. [1] I. Quilez, "Distance functions" (the signed distance of a box), from memory; tried against brute force below.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
import trimesh

from linescope.terrain import Terrain

WIDE = 200.0


@dataclass(frozen=True, kw_only=True)
class Ground:
    """Triangles, and the signed distance of points from what they stand for (negative in rock)."""

    name: str
    vertices: np.ndarray
    faces: np.ndarray
    signed: Callable[[np.ndarray], np.ndarray]
    kind: str = "mesh"
    unknown: bool = False  # Whether ground below the line is missing, so that nothing is kept there.
    tags: frozenset[str] = field(default_factory=frozenset)

    @property
    def terrain(self) -> Terrain:
        return Terrain(vertices=self.vertices, faces=self.faces, source=self.name, kind=self.kind)


def plane(depth: float, slope: float = 0.0, name: str = "plane", cells: int = 4, kind: str = "mesh") -> Ground:
    """z = -depth + slope x, over 400 m by 400 m about the origin."""
    t = np.linspace(-WIDE, WIDE, cells + 1)
    x, y = (each.ravel() for each in np.meshgrid(t, t))
    i = (np.arange(cells)[:, None] * (cells + 1) + np.arange(cells)).ravel()
    faces = np.concatenate([np.stack([i, i + 1, i + cells + 1], 1), np.stack([i + 1, i + cells + 2, i + cells + 1], 1)])
    kinds = ", as a grid" if kind == "grid" else ""
    return Ground(
        name=f"{name} {depth:g} m down, slope {slope:g}{kinds}", vertices=np.stack([x, y, slope * x - depth], 1),
        faces=faces,
        signed=lambda p: (p[:, 2] + depth - slope * p[:, 0]) / np.hypot(1.0, slope), kind=kind,
    )


def box_distance(points: np.ndarray, low: np.ndarray, high: np.ndarray) -> np.ndarray:
    """Signed distance from a box."""
    q = np.abs(points - 0.5 * (low + high)) - 0.5 * (high - low)
    return np.linalg.norm(np.maximum(q, 0.0), axis=1) + np.minimum(q.max(axis=1), 0.0)


def box(low, high, name: str = "box") -> Ground:
    low, high = np.asarray(low, float), np.asarray(high, float)
    mesh = trimesh.creation.box(bounds=[low, high])
    return Ground(
        name=name, vertices=np.asarray(mesh.vertices), faces=np.asarray(mesh.faces),
        signed=lambda p: box_distance(p, low, high),
    )


def open_box(low, high, without: tuple[int, int], name: str) -> Ground:
    """A box of which one side, (axis, 0 low or 1 high), was not scanned."""
    whole = box(low, high)
    axis, end = without
    at = (low, high)[end][axis]
    keep = ~np.all(np.isclose(whole.vertices[whole.faces][:, :, axis], at), axis=1)
    return Ground(name=name, vertices=whole.vertices, faces=whole.faces[keep], signed=whole.signed)


def segment_distance(points: np.ndarray, a: np.ndarray, b: np.ndarray) -> np.ndarray:
    t = np.clip((points - a) @ (b - a) / max((b - a) @ (b - a), 1e-300), 0.0, 1.0)
    return np.linalg.norm(points - a - t[:, None] * (b - a), axis=1)


def wire(a, b, name: str = "wire", pieces: int = 1) -> Ground:
    """A straight wire as triangles without area, each its own."""
    a, b = np.asarray(a, float), np.asarray(b, float)
    t = np.linspace(0.0, 1.0, pieces + 1)[:, None]
    nodes = a + t * (b - a)
    i = np.arange(pieces)
    return Ground(
        name=name, vertices=nodes, faces=np.stack([i, i + 1, i], 1), signed=lambda p: segment_distance(p, a, b)
    )


def flat_wire(a, b, name: str) -> Ground:
    """A wire as one triangle with three separate corners in line."""
    a, b = np.asarray(a, float), np.asarray(b, float)
    return Ground(
        name=name, vertices=np.stack([a, 0.25 * a + 0.75 * b, b]), faces=np.array([[0, 1, 2]]),
        signed=lambda p: segment_distance(p, a, b),
    )


def both(one: Ground, *others: Ground, name: str = "") -> Ground:
    """Together; the depth of a point that two hold is the greater."""
    vertices, faces, each = [one.vertices], [one.faces], [one, *others]
    for other in others:
        faces.append(other.faces + sum(len(v) for v in vertices))
        vertices.append(other.vertices)
    return Ground(
        name=name or " and ".join(ground.name for ground in each), vertices=np.concatenate(vertices),
        faces=np.concatenate(faces), signed=lambda p: np.min([ground.signed(p) for ground in each], axis=0),
        unknown=any(ground.unknown for ground in each),
    )


def flipped(ground: Ground) -> Ground:
    return Ground(
        name=f"{ground.name}, inside out", vertices=ground.vertices, faces=ground.faces[:, ::-1], signed=ground.signed
    )


def half_flipped(ground: Ground, seed: int) -> Ground:
    turn = np.random.default_rng(seed).random(len(ground.faces)) < 0.5
    faces = np.where(turn[:, None], ground.faces[:, ::-1], ground.faces)
    return Ground(name=f"{ground.name}, half turned over", vertices=ground.vertices, faces=faces, signed=ground.signed)


def holed(depth: float, x: tuple[float, float], y: tuple[float, float], name: str) -> Ground:
    """A floor with a rectangular hole."""
    cuts = [np.array([-WIDE, *low_high, WIDE]) for low_high in (x, y)]
    quads = [(i, j) for i in range(3) for j in range(3) if (i, j) != (1, 1)]
    vertices = np.array([[a, b, -depth] for a in cuts[0] for b in cuts[1]])
    faces = []
    for i, j in quads:
        k = 4 * i + j
        faces += [[k, k + 4, k + 5], [k, k + 5, k + 1]]

    def signed(p: np.ndarray) -> np.ndarray:
        # Over the hole the nearest known ground is its rim.
        away = [np.maximum(np.minimum(p[:, k] - low, high - p[:, k]), 0.0) for k, (low, high) in enumerate((x, y))]
        level = np.hypot(p[:, 2] + depth, np.minimum(*away))
        return np.where(p[:, 2] > -depth, level, -level)

    return Ground(
        name=name, vertices=vertices, faces=np.array(faces), signed=signed,
        unknown=y[0] < 0.0 < y[1] and x[1] - x[0] >= 1.0,
    )


def tube(
    radius: float, outer: float, length: tuple[float, float], sides: int, *, closed: bool, inwards: bool
) -> Ground:
    """A tunnel along x, 0.3 m below the anchors' height: of rock to `outer` when closed, else its wall alone."""
    turn = 2.0 * np.pi * np.arange(sides) / sides
    ring = np.stack([np.cos(turn), np.sin(turn)], 1)
    i, j = np.arange(sides), (np.arange(sides) + 1) % sides

    def wall(r: float) -> tuple[np.ndarray, np.ndarray]:
        ends = [np.column_stack([np.full(sides, x), r * ring[:, 0], r * ring[:, 1] - 0.3]) for x in length]
        sheet = [np.stack([i, j, i + sides], 1), np.stack([j, j + sides, i + sides], 1)]
        return np.concatenate(ends), np.concatenate(sheet)

    vertices, faces = wall(radius)
    if inwards:
        faces = faces[:, ::-1]
    if closed:
        more, outside = wall(outer)
        vertices, faces = np.concatenate([vertices, more]), np.concatenate([faces, outside[:, ::-1] + 2 * sides])
        for a in (0, sides):  # Both faces.
            faces = np.concatenate([
                faces, np.stack([i + a, j + a, i + a + 2 * sides], 1),
                np.stack([j + a, j + a + 2 * sides, i + a + 2 * sides], 1),
            ])
    flat = radius * np.cos(np.pi / sides)

    def signed(p: np.ndarray) -> np.ndarray:
        """From the facets: flat sides, seen from within; the line is nowhere near the outer wall."""
        normal = np.stack([np.cos(turn + np.pi / sides), np.sin(turn + np.pi / sides)])
        left = flat - (np.stack([p[:, 1], p[:, 2] + 0.3], 1) @ normal).max(axis=1)
        beyond = np.maximum(np.maximum(length[0] - p[:, 0], p[:, 0] - length[1]), 0.0)
        return np.hypot(left, beyond)

    name = f"tunnel, {'of rock' if closed else 'its wall alone'}, facing {'in' if inwards else 'out'}"
    return Ground(name=name, vertices=vertices, faces=faces, signed=signed)


def lattice(low, high, cell: float) -> tuple[np.ndarray, np.ndarray]:
    """A closed box of many triangles, all corners joined."""
    mesh = trimesh.creation.box(bounds=[low, high])
    while mesh.edges_unique_length.max() > cell:
        mesh = mesh.subdivide()
    mesh.merge_vertices()
    return np.asarray(mesh.vertices), np.asarray(mesh.faces)


def holed_box(low, high, hole_at, radius: float, name: str) -> Ground:
    """A box of small triangles with those near one place missing, as a scan has it."""
    vertices, faces = lattice(low, high, 0.4)
    keep = np.linalg.norm(vertices[faces].mean(axis=1) - np.asarray(hole_at, float), axis=1) > radius
    whole = box(low, high)
    return Ground(name=name, vertices=vertices, faces=faces[keep], signed=whole.signed)

"""From what the scene says to ground under the line: read, placed, checked against the span."""

from __future__ import annotations

import math
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from linescope.errors import TerrainError
from linescope.terrain.files import read_table
from linescope.terrain.formats import checked_path
from linescope.terrain.grids import read_grid
from linescope.terrain.meshes import Y_UP, read_mesh
from linescope.terrain.model import Terrain, cleaned
from linescope.terrain.placing import anchors_fit, checked_against_line, heights_of_anchors
from linescope.terrain.plumb import PlumbIndex, holes_below
from linescope.terrain.points import read_points, surface
from linescope.terrain.profile import extruded
from linescope.terrain.spec import GroundSpec

Floats = NDArray[np.float64]

_TO_Z_UP = {
    "z": np.eye(3),
    "y": np.array([[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]]),
    "x": np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]]),
}
_UNITS = {"m": 1.0, "cm": 0.01, "mm": 0.001, "km": 1000.0, "in": 0.0254, "ft": 0.3048}
_TRIED = 5_000_000
"""Bytes of the largest file that is read again in other units and with other axes up."""


def load_ground(spec: GroundSpec, a: Floats, b: Floats) -> Terrain:
    """The ground of a scene in the rig's frame, checked to lie where ground can lie.

    Parameters
    ----------
    spec : GroundSpec
        Source and placing.
    a, b : (3,) float
        Anchors. [m]

    Returns
    -------
    Terrain
        Its notes say what was assumed, dropped and found missing below the line.

    Raises
    ------
    TerrainError
        The file cannot be used, or the ground lies above, beside, absurdly far below or across the line.
    """
    a, b = np.asarray(a, dtype=np.float64), np.asarray(b, dtype=np.float64)
    try:
        terrain = _read(spec, a, b)
        try:
            placed = checked_against_line(terrain, a, b, accept_odd=spec.accept_odd)
        except TerrainError as error:
            wish = _fitting(spec, a, b)
            if not wish:
                raise
            raise TerrainError(
                f"{error.problem}; {wish}", file=error.file, key=error.key, found=error.found, allowed=error.allowed
            ) from error
        odd = any(note.startswith(("ANCHOR", "NO GROUND", "THE GROUND")) for note in placed.notes)
        wish = _fitting(spec, a, b) if odd else ""
        return placed.with_notes(f"UNIT OR AXIS? {wish[0].upper()}{wish[1:]}.") if wish else placed
    except MemoryError as error:
        raise TerrainError(
            "the ground needs more memory than there is", file=spec.path, allowed="fewer triangles or points"
        ) from error


def _fitting(spec: GroundSpec, a: Floats, b: Floats) -> str:
    """Units and axes of the file with which both anchors would stand on known ground, in words."""
    if spec.path is None or spec.path.stat().st_size > _TRIED:
        return ""
    axes: tuple[str | None, ...] = ("z", "y", "x") if spec.kind in ("mesh", "points") else (None,)
    fits = []
    for up in axes:
        for unit, factor in _UNITS.items():
            if (up, factor) == (None if up is None else _up(spec, spec.path), spec.factor):
                continue  # As it is.
            try:
                index = PlumbIndex(_read(replace(spec, factor=factor, up=up), a, b))
            except TerrainError:
                continue
            if anchors_fit(heights_of_anchors(index, a, b)) and not len(holes_below(index, np.stack([a[:2], b[:2]]))):
                fits.append(f'unit = "{unit}"' + (f' and up = "{up}"' if up else ""))
    return f"both anchors would stand on known ground with {' or '.join(fits)}" if fits else ""


def _read(spec: GroundSpec, a: Floats, b: Floats) -> Terrain:
    if spec.path is None:
        assert spec.stations is not None and spec.heights is not None
        return _profile(spec.stations, spec.heights, spec, a, b, "profile of the scene", ())
    path, kind = checked_path(spec.path, spec.kind)
    source = str(path)
    up = _up(spec, path)
    notes: tuple[str, ...] = ()
    if spec.up is None and up == "y":
        notes = ("up axis y, as the glTF standard says (assumed)",)
    if kind == "profile":
        table = read_table(path, 2, ("station", "height"), exact=True) * spec.factor
        return _profile(table[:, 0], table[:, 1], spec, a, b, source, notes)
    if kind == "grid" and up != "z":
        raise TerrainError("a grid has its heights upwards", file=source, key="up", found=up, allowed="'z'")
    if kind == "mesh":
        vertices, faces = read_mesh(path)
        return cleaned(_placed(vertices, spec, up), faces, source=source, kind=kind, notes=notes)
    if kind == "grid":
        vertices, faces, more = read_grid(path, spec)
        return cleaned(_placed(vertices, spec, up), faces, source=source, kind=kind, notes=(*notes, *more))
    vertices, faces, more = surface(_placed(read_points(path), spec, up), spec.max_edge, source)
    return cleaned(vertices, faces, source=source, kind=kind, notes=(*notes, *more))


def _up(spec: GroundSpec, path: Path) -> str:
    return spec.up or ("y" if path.suffix.lower() in Y_UP else "z")


def _profile(
    stations: Floats,
    heights: Floats,
    spec: GroundSpec,
    a: Floats,
    b: Floats,
    source: str,
    notes: tuple[str, ...],
) -> Terrain:
    if spec.up not in (None, "z") or spec.turn != 0.0:
        raise TerrainError(
            "a profile lies along the line, z up",
            file=source,
            key="turn",
            allowed="no turn and no up axis but 'z'",
        )
    vertices, faces, more = extruded(stations, heights, a, b, spec.half_width, source)
    return cleaned(vertices + np.asarray(spec.shift), faces, source=source, kind="profile", notes=(*notes, *more))


def _placed(vertices: Floats, spec: GroundSpec, up: str) -> Floats:
    c, s = math.cos(spec.turn), math.sin(spec.turn)
    turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    placed: Floats = (vertices * spec.factor) @ (turn @ _TO_Z_UP[up]).T + np.asarray(spec.shift)
    return placed

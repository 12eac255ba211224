"""From what the scene says to ground under the line: read, placed, checked against the span."""

from __future__ import annotations

import math
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from linescope.errors import TerrainError
from linescope.notes import Note, Severity, Value, Verbatim
from linescope.terrain.areas import area_of
from linescope.terrain.bring import CLOUDS, Bring, of_points, read_raw
from linescope.terrain.clouds import Cloud
from linescope.terrain.files import read_table
from linescope.terrain.formats import checked_file, checked_path
from linescope.terrain.grids import read_grid
from linescope.terrain.located import located
from linescope.terrain.meshes import Y_UP, read_mesh
from linescope.terrain.model import Terrain, cleaned, together
from linescope.terrain.notes import ODD, GroundNote, ground_note, metres
from linescope.terrain.obstacles import level, terrain_of
from linescope.terrain.placing import anchors_fit, checked_against_line, heights_of_anchors
from linescope.terrain.plumb import PlumbIndex, holes_below
from linescope.terrain.points import read_points, surface
from linescope.terrain.profile import extruded
from linescope.terrain.site_file import named, read_site
from linescope.terrain.spec import GroundSpec

Floats = NDArray[np.float64]
Fits = tuple[tuple[str, ...], ...]

_TO_Z_UP = {
    "z": np.eye(3),
    "y": np.array([[1.0, 0.0, 0.0], [0.0, 0.0, -1.0], [0.0, 1.0, 0.0]]),
    "x": np.array([[0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]]),
}
_UNITS = {"m": 1.0, "cm": 0.01, "mm": 0.001, "km": 1000.0, "in": 0.0254, "ft": 0.3048}
PROFILE = "the scene's profile"
"""In place of a file, of ground that the scene itself holds."""
ELSEWHERE = 1.0
"""Anchors of a scene so far from those of its site file are told. [m]"""
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
        terrain = _together(spec, a, b)
        try:
            placed = checked_against_line(terrain, a, b, accept_odd=spec.accept_odd)
        except TerrainError as error:
            fits = _fitting(spec, a, b)
            if not fits:
                raise
            wish = " or ".join(" and ".join(each) for each in fits)
            raise TerrainError(
                f"{error.problem}; both anchors would stand on known ground with {wish}", file=error.file,
                key=error.key, found=error.found, allowed=error.allowed,
            ) from error
        odd = any(note.kind in ODD and note.leads for note in placed.notes)
        fits = _fitting(spec, a, b) if odd else ()
        if not fits:
            return placed
        return placed.with_notes(ground_note(GroundNote.UNIT_OR_AXIS, Severity.CHECK, fits=_told(fits)))
    except MemoryError as error:
        raise TerrainError(
            "the ground needs more memory than there is", file=spec.path, allowed="fewer triangles or points"
        ) from error


def _together(spec: GroundSpec, a: Floats, b: Floats) -> Terrain:
    """All grounds and obstacles of a scene: what a line is measured against as one, the rest beside it."""
    pieces: list[Terrain] = []
    for each in (spec, *spec.others):
        for piece in _read(each, a, b).all_pieces:
            error = each.survey_error if each.survey_error is not None else piece.survey_error
            role = each.role if each.role != "ground" else piece.role
            pieces.append(replace(piece, name=each.name or piece.name, survey_error=error, role=role))
    pieces += [terrain_of(obstacle) for obstacle in spec.obstacles]
    solid = [piece for piece in pieces if piece.role in ("ground", "obstacle")]
    if not any(piece.role == "ground" for piece in solid):
        raise TerrainError(
            "none of what is given is ground", key="ground", allowed="a ground, with what stands beside it"
        )
    beside = [piece for piece in pieces if piece.role not in ("ground", "obstacle")]
    whole = together(solid)
    if spec.areas:
        where = located(spec, np.zeros(3)) if any(area.is_geographic for area in spec.areas) else None
        known = together([piece for piece in solid if piece.role == "ground"])
        beside += [area_of(area, known, a, b, where) for area in spec.areas]
    if spec.water is not None:
        beside.append(level(spec.water, whole.bounds[0, :2], whole.bounds[1, :2]))
    return replace(whole, beside=tuple(beside)) if beside else whole


def _told(fits: Fits) -> tuple[Value, ...]:
    """Lines of a scene as values of a note."""
    return tuple(
        Verbatim(each[0]) if len(each) == 1
        else ground_note(GroundNote.FIT_UP, unit=Verbatim(each[0]), up=Verbatim(each[1]))
        for each in fits
    )


def _fitting(spec: GroundSpec, a: Floats, b: Floats) -> Fits:
    """Units and axes of the file, as lines of a scene, with which both anchors would stand on known ground."""
    if spec.path is None or spec.path.stat().st_size > _TRIED or spec.kind == "site" or spec.origin is not None:
        return ()
    axes: tuple[str | None, ...] = ("z", "y", "x") if spec.kind in ("mesh", "points") else (None,)
    fits: list[tuple[str, ...]] = []
    for up in axes:
        for unit, factor in _UNITS.items():
            if (up, factor) == (None if up is None else _up(spec, spec.path), spec.factor):
                continue  # As it is.
            try:
                index = PlumbIndex(_read(replace(spec, factor=factor, up=up), a, b))
            except TerrainError:
                continue
            if anchors_fit(heights_of_anchors(index, a, b)) and not len(holes_below(index, np.stack([a[:2], b[:2]]))):
                fits.append((f'unit = "{unit}"', *((f'up = "{up}"',) if up else ())))
    return tuple(fits)


def _read(spec: GroundSpec, a: Floats, b: Floats) -> Terrain:
    if spec.path is None:
        assert spec.stations is not None and spec.heights is not None
        return _profile(spec.stations, spec.heights, spec, a, b, PROFILE, ())
    if spec.kind == "site":
        return _site(spec, a, b)
    if spec.origin is not None:
        return read_raw(checked_file(spec.path), spec.origin, a, b, Bring(
            crs=spec.crs, unit=spec.factor if spec.factor != 1.0 else None, radius=spec.reach, up=spec.up,
            max_edge=spec.max_edge,
        ))
    path, kind = checked_path(spec.path, spec.kind)
    source = str(path)
    up = _up(spec, path)
    notes: tuple[Note, ...] = ()
    if spec.up is None and up == "y":
        notes = (ground_note(GroundNote.Y_UP),)
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
    if path.suffix.lower() in CLOUDS:
        with closing(Cloud(path)) as cloud:
            points, classed = cloud.whole()
        here = {role: _placed(each, spec, up) for role, each in points.items()}
        return together(of_points(here, source, "", (*notes, *classed), spec.max_edge))
    vertices, faces, more = surface(_placed(read_points(path), spec, up), spec.max_edge, source)
    return cleaned(vertices, faces, source=source, kind=kind, notes=(*notes, *more))


def _site(spec: GroundSpec, a: Floats, b: Floats) -> Terrain:
    """A file that `linescope ground` wrote."""
    assert spec.path is not None
    site = read_site(checked_file(spec.path))
    shift = np.asarray(spec.shift)
    pieces = [replace(piece, vertices=piece.vertices + shift) for piece in named(site, spec.path)]
    notes = tuple(
        ground_note(GroundNote.OTHER_ANCHORS, Severity.CHECK, anchor=name, distance=metres(float(np.linalg.norm(gap))))
        for name, gap in zip("AB", np.stack([a, b]) - shift - site.anchors, strict=True)
        if np.linalg.norm(gap) > ELSEWHERE
    )
    return together(pieces, notes) if len(pieces) > 1 else pieces[0].with_notes(*notes)


def _up(spec: GroundSpec, path: Path) -> str:
    return spec.up or ("y" if path.suffix.lower() in Y_UP else "z")


def _profile(
    stations: Floats,
    heights: Floats,
    spec: GroundSpec,
    a: Floats,
    b: Floats,
    source: str,
    notes: tuple[Note, ...],
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

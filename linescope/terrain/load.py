"""From what the scene says to ground under the line: read, placed, checked against the span."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from linescope.errors import TerrainError
from linescope.terrain.files import read_table
from linescope.terrain.formats import checked_path
from linescope.terrain.grids import read_grid
from linescope.terrain.meshes import Y_UP, read_mesh
from linescope.terrain.model import Terrain, cleaned
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
_LARGEST = 1000.0
_SMALLEST = 0.02
_DEEPEST = 20.0
_STATIONS = 201


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
        return checked_against_line(_read(spec, a, b), a, b, accept_odd=spec.accept_odd)
    except MemoryError as error:
        raise TerrainError(
            "the ground needs more memory than there is", file=spec.path, allowed="fewer triangles or points"
        ) from error


def _read(spec: GroundSpec, a: Floats, b: Floats) -> Terrain:
    if spec.path is None:
        assert spec.stations is not None and spec.heights is not None
        return _profile(spec.stations, spec.heights, spec, a, b, "profile of the scene", ())
    path, kind = checked_path(spec.path, spec.kind)
    source = str(path)
    up = spec.up or ("y" if path.suffix.lower() in Y_UP else "z")
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


def checked_against_line(terrain: Terrain, a: Floats, b: Floats, *, accept_odd: bool = False) -> Terrain:
    """The same ground with notes on its holes, once it lies where ground under this line can lie.

    Parameters
    ----------
    terrain : Terrain
        Ground in the rig's frame.
    a, b : (3,) float
        Anchors. [m]
    accept_odd : bool
        Make notes of the findings instead of errors.

    Returns
    -------
    Terrain

    Raises
    ------
    TerrainError
        Extent over 1000 or under 0.02 spans, standing upright, not under the line, wholly above it, or more
        than 20 spans (at least 200 m) below.  The limits are the project's own, meant to catch a wrong unit
        or axis.
    """
    notes: list[str] = []

    def odd(problem: str, found: object, allowed: str) -> None:
        if not accept_odd:
            raise TerrainError(problem, file=terrain.source, found=found, allowed=allowed + "; or accept_odd = true")
        notes.append(problem + " (accepted as it is)")

    span = float(np.linalg.norm(b - a))
    extent = terrain.bounds[1] - terrain.bounds[0]
    size = float(extent.max())
    if size > _LARGEST * span:
        odd(
            f"the ground is {size:.2g} m wide for a span of {span:.2g} m (wrong unit?)",
            _rounded(extent),
            "an extent up to 1000 spans; factor turns the file's unit into metres",
        )
    if size < _SMALLEST * span:
        odd(
            f"the ground is only {size:.2g} m wide for a span of {span:.2g} m (wrong unit?)",
            _rounded(extent),
            "an extent of at least 1/50 span; factor turns the file's unit into metres",
        )
    _check_upright(terrain, odd)
    index = PlumbIndex(terrain)
    t = np.linspace(0.0, 1.0, _STATIONS)
    chord = a + t[:, None] * (b - a)
    position, _, z, _ = index.over(chord[:, :2])
    if len(position) == 0:
        centre = 0.5 * (terrain.bounds[0] + terrain.bounds[1])
        move = 0.5 * (a + b) - centre
        odd(
            f"no ground lies under the line; its middle is {math.hypot(move[0], move[1]):.2g} m away in plan",
            _rounded(centre),
            f"ground under the line (a shift of {move[0]:.0f}, {move[1]:.0f} m centres it)",
        )
        return terrain.with_notes(*notes)
    top = np.full(_STATIONS, -np.inf)
    np.maximum.at(top, position, z)
    covered = np.isfinite(top)
    above = (top - chord[:, 2])[covered]
    middle = float(np.median(above))
    if middle > 0.0:
        odd(
            f"the ground lies {middle:.2g} m above the line (middle value along the span)",
            f"ground heights {terrain.bounds[0, 2]:.6g} to {terrain.bounds[1, 2]:.6g} m",
            "ground below the line: check up axis, unit and the height in shift",
        )
    elif -float(above.max()) > max(_DEEPEST * span, 200.0):
        odd(
            f"the ground lies at least {-float(above.max()):.2g} m below a line of {span:.2g} m (wrong unit or datum?)",
            f"ground heights {terrain.bounds[0, 2]:.6g} to {terrain.bounds[1, 2]:.6g} m",
            "ground within 20 spans below the line",
        )
    holes = holes_below(index, np.stack([a[:2], b[:2]]))
    if len(holes):
        shown = ", ".join(f"{low:.1f} to {high:.1f} m" for low, high in holes[:6])
        more = f" and {len(holes) - 6} more" if len(holes) > 6 else ""
        notes.append(f"no ground is known below the line at {shown}{more} from anchor A (in plan); nothing is bridged")
    return terrain.with_notes(*notes)


def _check_upright(terrain: Terrain, odd: Callable[[str, object, str], None]) -> None:
    a, b, c = (terrain.vertices[terrain.faces[:, corner]] for corner in range(3))
    facing = np.abs(np.cross(b - a, c - a)).sum(axis=0)
    facing = facing / np.linalg.norm(facing)
    axis = int(np.argmax(facing))
    extent = terrain.bounds[1] - terrain.bounds[0]
    thin = float(np.sort(extent[:2])[0]) < 0.5 * float(extent[2])
    if facing[2] < 0.4 and facing[axis] > 0.85 and thin:
        odd(
            f"the ground stands upright, facing {'xyz'[axis]} (wrong up axis?)",
            _rounded(extent),
            "ground that mostly faces up: set up = 'y' or 'x'",
        )


def _rounded(values: Floats) -> list[float]:
    return [float(f"{value:.6g}") for value in values]

"""The rig at true size for a telephone's own viewer, to be stood in at the place: solids, anchor A at the origin.

Webbing seen from its edge is thinner than a pixel a few metres away, so lines are solids half as thick as they are
wide; tapes are sleeves round both.  Both lines lie on each other where they do, so neither is farther from its true
place than a quarter of its width.  What else is left out is said by the message `page-ar-left-out`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from linescope.atomic import write_bytes
from linescope.export.space.container import Container
from linescope.export.space.shapes import BayPoints, backup_points, main_points
from linescope.export.usdz import usdz
from linescope.stage import person, ribbon
from linescope.stage.items import Surface
from linescope.stage.relief import LineFrame
from linescope.stage.theme import LIGHT, Theme
from linescope.study import Study
from linescope.webbing import Webbing
from linescope.words import Words

Floats = NDArray[np.float64]

NAMES = ("rig-ar.glb", "rig-ar.usdz")
THICK = 0.5  # Of a webbing, over its width.
SLEEVE, ROOM = 0.05, 0.004  # Length of a tape along the lines, and how far it stands out [m].
CORD = 0.01  # Diameter of the leash [m].
ANCHOR = 0.12  # Side of the block that stands for an anchor [m].
ORIGIN = LineFrame(origin=np.zeros(3), along=np.array([1.0, 0.0, 0.0]), left=np.array([0.0, 1.0, 0.0]))


def true_size(study: Study) -> tuple[Surface, ...]:
    """Both lines, tapes, anchors, and the walker where the scene has one, as taped, in still air.

    Parameters
    ----------
    study : Study

    Returns
    -------
    tuple of Surface
        Metres along the line from anchor A, to its left, and up.
    """
    frame = LineFrame.of(study.rig)
    return tuple(_outwards(replace(each, points=frame.local(np.asarray(each.points)))) for each in _solids(study))


def _outwards(surface: Surface) -> Surface:
    """Each triangle the other way round where together they enclose less than nothing: viewers light what faces out."""
    a, b, c = (surface.points[surface.triangles[:, k]] for k in range(3))
    inside_out = float(np.sum(a * np.cross(b, c))) < 0.0
    return replace(surface, triangles=surface.triangles[:, ::-1]) if inside_out else surface


def _solids(study: Study) -> Iterable[Surface]:
    rig, solution = study.rig, study.taped
    mesh = BayPoints.of(study)
    main = main_points(solution, mesh)
    yield _line("main", main, rig.main, 1.0)
    yield _line("backup", backup_points(solution, mesh), rig.backup, -1.0)
    pieces = len(mesh.main) - 1
    wide = max(rig.main.width, rig.backup.width) + 2.0 * ROOM
    over, under = (_thick(kind) + ROOM for kind in (rig.main, rig.backup))
    for tape in solution.layout.tapes:
        middle = tape.number * pieces
        along = main[middle + 1] - main[middle - 1]
        along *= 0.5 * SLEEVE / np.linalg.norm(along)
        ends = np.array([main[middle] - along, main[middle] + along])
        _, out = ribbon.frames(ends)
        yield ribbon.strip(
            ends + out * (over - under) / 2.0, width=wide, thickness=over + under, name=f"tape {tape.number}",
            top="ink", under="ink",
        )
    half = 0.5 * ANCHOR * LineFrame.of(rig).along
    for name, place in (("A", rig.main_a), ("B", rig.main_b)):
        yield ribbon.strip(
            np.array([place - half, place + half]), width=ANCHOR, thickness=ANCHOR, name=f"anchor {name}", top="state",
            under="state",
        )
    body, leashes = person.walker(solution)
    yield from body
    for leash in leashes:
        yield ribbon.cord(leash.points, diameter=CORD, name=leash.name, colour=leash.colour, sides=6)


def _thick(kind: Webbing) -> float:
    return kind.width if kind.is_rope else max(kind.thickness, THICK * kind.width)


def _line(name: str, points: Floats, kind: Webbing, side: float) -> Surface:
    """A line on one side of where both lie on each other: 1 above it, -1 below."""
    _, out = ribbon.frames(points)
    moved = points + side * out * _thick(kind) / 2.0
    if kind.is_rope:
        return ribbon.cord(moved, diameter=kind.width, name=name, colour=name)
    return ribbon.strip(moved, width=kind.width, thickness=_thick(kind), name=name, top=name, under=name)


def ar_files(study: Study, words: Words, theme: Theme = LIGHT) -> dict[str, bytes]:
    """The files by name: binary glTF and USDZ, of the same solids.

    Parameters
    ----------
    study : Study
    words : Words
        What is left out stands in both files.
    theme : Theme

    Raises
    ------
    SolveError
        When the state as taped does not converge.
    """
    surfaces, about = true_size(study), words.say("page-ar-left-out")
    container = Container(theme, ORIGIN)
    for each in surfaces:
        container.surface(each)
    notes = {"scene": study.rig.name, "units": "m", "caution": about}
    return dict(zip(NAMES, (container.bytes(notes), usdz(surfaces, theme, about)), strict=True))


def write_ar(folder: str | Path, study: Study, words: Words, theme: Theme = LIGHT) -> list[Path]:
    """Write both files, each whole or not at all.

    Parameters
    ----------
    folder : str or Path
    study, words, theme
        See `ar_files`.

    Raises
    ------
    OutputError
        When a file cannot be written.
    SolveError
        When the state as taped does not converge.
    """
    return [write_bytes(Path(folder) / name, data) for name, data in ar_files(study, words, theme).items()]

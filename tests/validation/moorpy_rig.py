"""A linescope pair rebuilt as a MoorPy System: anchors fixed, tapes and walker free points, segments as lines."""

from __future__ import annotations

import contextlib
import io
import warnings
from collections.abc import Iterator
from types import ModuleType
from typing import Any

import numpy as np

from linescope.rig import Rig
from linescope.statics.assemble import G
from linescope.statics.pair import Pair
from linescope.webbing import Webbing

NO_FLOOR = -1e4  # MoorPy's default CB puts a sea floor at end A.


@contextlib.contextmanager
def quiet() -> Iterator[None]:
    """MoorPy prints and warns; its own affair."""
    with warnings.catch_warnings(), contextlib.redirect_stdout(io.StringIO()):
        warnings.simplefilter("ignore")
        yield


def line_type(name: str, webbing: Webbing) -> dict[str, Any]:
    """A webbing of straight stretch as MoorPy takes it."""
    return {
        "name": name, "d_vol": 1e-6, "m": webbing.mass, "EA": webbing.stretch.tension[1] / webbing.stretch.strain[1],
        "w": webbing.mass * G, "input_d": 1e-6, "input_type": "line", "material": name, "cost": 0.0,
    }  # fmt: skip


def rebuilt(moorpy: ModuleType, rig: Rig, pair: Pair, points: np.ndarray) -> Any:
    """The pair, whose tapes hold both lines, with its free points at `points`; not initialised.

    Both lines share their anchors.
    """
    system = moorpy.System(depth=1e4, g=G, rho=0.0)
    for name, webbing in (("main", rig.main), ("backup", rig.backup)):
        system.lineTypes[name] = line_type(name, webbing)
    for anchor in pair.main_ends:
        system.addPoint(1, anchor)
    for point, pull in zip(points, pair.pull, strict=True):
        system.addPoint(0, point)
        system.pointList[-1].fExt = pull
    nodes = np.arange(3, 3 + pair.n)
    lines = (
        ("main", nodes, pair.main_at, pair.main_length),
        ("backup", nodes[pair.tapes], pair.backup_at[pair.tapes], pair.backup_length),
    )
    for name, chain, at, end in lines:
        lengths = np.diff(np.concatenate(([0.0], at, [end])))
        ends = [1, *chain, 2]
        for a, b, length in zip(ends[:-1], ends[1:], lengths, strict=True):
            system.addLine(float(length), name)
            number = len(system.lineList)
            system.pointList[a - 1].attachLine(number, 0)
            system.pointList[b - 1].attachLine(number, 1)
            system.lineList[-1].cb = NO_FLOOR
    return system

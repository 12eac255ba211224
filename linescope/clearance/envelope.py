"""Where lines and bodies can be, as rings in planes across the line: the skin that pictures draw."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from linescope.clearance.finding import Envelope
from linescope.clearance.table import CurveTable
from linescope.terrain.plumb import spread

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

PLANES = 121
_ANGLES = np.arange(8) * (np.pi / 4.0)


def envelope_of(tables: Sequence[CurveTable], start: Floats, along: Floats, span: float) -> Envelope:
    """Outermost points of all curves, plane by plane.

    Parameters
    ----------
    tables : sequence of CurveTable
    start, along : (3,) float
        Anchor A and the unit vector to anchor B. [m, -]
    span : float
        [m]

    Returns
    -------
    Envelope
        Between walker positions bodies count in the nearest plane, lines exactly where they cross a plane.
    """
    station = np.linspace(0.0, span, PLANES)
    parts = [table.across(float(station[1])) for table in tables if table]
    rings: list[Floats | None] = []
    for body in (False, True):
        a = np.concatenate([part[0][part[2] == body] for part in parts])
        b = np.concatenate([part[1][part[2] == body] for part in parts])
        if len(a) == 0:
            rings.append(None)
            continue
        rings.append(_rings(a, b, start, along, station, nodes=body))
    lines, bodies = rings
    assert lines is not None
    for array in (station, lines, *(() if bodies is None else (bodies,))):
        array.setflags(write=False)
    return Envelope(station=station, lines=lines, bodies=bodies)


def _rings(a: Floats, b: Floats, start: Floats, along: Floats, station: Floats, *, nodes: bool) -> Floats:
    step = station[1] - station[0]
    at_a, at_b = ((points - start) @ along / step for points in (a, b))
    first = np.ceil(np.minimum(at_a, at_b) - 1e-9).astype(np.int64)
    last = np.floor(np.maximum(at_a, at_b) + 1e-9).astype(np.int64)
    owner, number = spread(np.maximum(last - first + 1, 0))
    plane = first[owner] + number
    rise = at_b[owner] - at_a[owner]
    share = np.clip((plane - at_a[owner]) / np.where(rise == 0.0, 1.0, rise), 0.0, 1.0)
    points = a[owner] + share[:, None] * (b - a)[owner]
    if nodes:
        points = np.concatenate([points, a, b])
        plane = np.concatenate([plane, np.rint(at_a).astype(np.int64), np.rint(at_b).astype(np.int64)])
    inside = (plane >= 0) & (plane < len(station))
    points, plane = points[inside], plane[inside]
    run = np.hypot(along[0], along[1])
    left = np.array([-along[1], along[0], 0.0]) / run
    rings = np.full((len(station), len(_ANGLES), 3), np.nan)
    aside, up = (points - start) @ left, points[:, 2]
    if not len(plane):
        return rings
    order = np.argsort(plane, kind="stable")
    plane, aside, up, points = plane[order], aside[order], up[order], points[order]
    begins = np.flatnonzero(np.diff(plane, prepend=-1))
    counts = np.diff(np.append(begins, len(plane)))
    for k, angle in enumerate(_ANGLES):
        out = np.sin(angle) * aside - np.cos(angle) * up
        outermost = np.flatnonzero(out == np.repeat(np.maximum.reduceat(out, begins), counts))
        rings[plane[outermost], k] = points[outermost]
    return rings

"""A surveyed profile (station along the span, height) drawn out to either side of the line."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from linescope.errors import TerrainError
from linescope.notes import Note
from linescope.terrain.notes import GroundNote, ground_note, metres

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]


def extruded(
    stations: Floats, heights: Floats, a: Floats, b: Floats, half_width: float, source: str
) -> tuple[Floats, Ints, tuple[Note, ...]]:
    """The profile as a strip of ground, level across the line.

    Parameters
    ----------
    stations : (n,) float
        Plan distance from anchor A towards anchor B, never falling; two equal ones make an upright step. [m]
    heights : (n,) float
        Height in the rig's frame. [m]
    a, b : (3,) float
        Anchors. [m]
    half_width : float
        Width to either side. [m]
    source : str
        For messages.

    Returns
    -------
    vertices : (2 n, 3) float
    faces : (2 n - 2, 3) int
    notes : tuple of Note

    Raises
    ------
    TerrainError
        Fewer than two stations, unequal counts, falling or doubled stations, anchors above one another.
    """
    if len(stations) != len(heights):
        raise TerrainError(
            "stations and heights differ in number",
            file=source,
            key="heights",
            found=(len(stations), len(heights)),
            allowed="equally many",
        )
    if len(stations) < 2:
        raise TerrainError("too few stations", file=source, key="stations", found=len(stations), allowed="two and more")
    if not (np.isfinite(stations).all() and np.isfinite(heights).all()):
        raise TerrainError("a station or height is not finite", file=source, allowed="finite numbers")
    steps = np.diff(stations)
    if np.any(steps < 0.0):
        at = int(np.argmax(steps < 0.0)) + 1
        raise TerrainError(
            "stations must not go back",
            file=source,
            key=f"stations[{at}]",
            found=float(stations[at]),
            allowed=f"{float(stations[at - 1]):g} and more",
        )
    if stations[-1] == stations[0]:
        raise TerrainError(
            "all stations are at one place",
            file=source,
            key="stations",
            found=float(stations[0]),
            allowed="a profile along the line",
        )
    same = (steps == 0.0) & (np.diff(heights) == 0.0)
    if np.any(same):
        at = int(np.argmax(same)) + 1
        raise TerrainError(
            "a station is given twice",
            file=source,
            key=f"stations[{at}]",
            found=float(stations[at]),
            allowed="once",
        )
    along = (b - a)[:2]
    span = float(np.hypot(*along))
    if span <= 1e-6 * max(1.0, float(np.linalg.norm(b - a))):
        raise TerrainError(
            "a profile needs a plan direction, and the anchors stand above one another",
            file=source,
            allowed="a mesh or grid as ground",
        )
    along = along / span
    across = np.array([-along[1], along[0]])
    centre = a[:2] + stations[:, None] * along
    left = np.column_stack([centre + half_width * across, heights])
    right = np.column_stack([centre - half_width * across, heights])
    n = len(stations)
    i = np.arange(n - 1)
    faces = np.concatenate([np.stack([i, n + i, n + i + 1], axis=1), np.stack([i, n + i + 1, i + 1], axis=1)])
    note = ground_note(GroundNote.PROFILE, width=metres(half_width))
    return np.concatenate([left, right]), faces, (note,)

"""What the user says about the ground: where it comes from and how it lies in the rig's frame."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Literal


@dataclass(frozen=True, kw_only=True)
class GroundSpec:
    """A ground to load.  Either `path`, or a surveyed profile given in the scene itself.

    Attributes
    ----------
    kind : {"mesh", "grid", "points", "profile"}
    path : Path or None
        Resolved against the folder of the scene file.
    profile : tuple of (station, height)
        Station: horizontal distance from anchor A along the line's plan direction (may be negative or beyond
        B).  Height: z in the rig's frame.  [m]
    metres_per_unit : float
        Length of the file's unit.  [m]
    up : {"x", "y", "z"}
        The file's axis that points up.
    shift : tuple of 3 floats
        Added after scaling, turning up and `turn`.  [m]
    turn : float
        Turn about the vertical, counter-clockwise seen from above.  [rad]
    half_width : float
        How far a profile is extruded to each side.  [m]
    """

    kind: Literal["mesh", "grid", "points", "profile"]
    path: Path | None = None
    profile: tuple[tuple[float, float], ...] = ()
    metres_per_unit: float = 1.0
    up: Literal["x", "y", "z"] = "z"
    shift: tuple[float, float, float] = (0.0, 0.0, 0.0)
    turn: float = 0.0
    half_width: float = 15.0

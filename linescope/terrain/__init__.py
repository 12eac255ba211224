"""Ground and rock: meshes, grids, point clouds and surveyed profiles as triangles in the rig's frame."""

from __future__ import annotations

from linescope.terrain.load import PROFILE, load_ground
from linescope.terrain.model import Terrain, cleaned
from linescope.terrain.placing import checked_against_line
from linescope.terrain.plumb import PlumbIndex, holes_below
from linescope.terrain.spec import GroundSpec
from linescope.terrain.thin import thin

__all__ = [
    "PROFILE",
    "GroundSpec",
    "PlumbIndex",
    "Terrain",
    "checked_against_line",
    "cleaned",
    "holes_below",
    "load_ground",
    "thin",
]

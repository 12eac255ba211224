"""Ground and rock: meshes, grids, point clouds and surveyed profiles as triangles in the rig's frame."""

from __future__ import annotations

from typing import TYPE_CHECKING

from linescope.terrain.model import Terrain, cleaned
from linescope.terrain.placing import checked_against_line
from linescope.terrain.plumb import PlumbIndex, holes_below
from linescope.terrain.spec import GroundSpec
from linescope.terrain.thin import thin

if TYPE_CHECKING:
    from linescope.terrain.load import PROFILE, load_ground
else:
    from linescope.lazy import lazy

    __getattr__ = lazy(__name__, {"linescope.terrain.load": ("PROFILE", "load_ground")})

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

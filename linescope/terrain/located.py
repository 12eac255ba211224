"""Where a line lies on the Earth: places of its own frame as latitude, longitude and height, and in a projection.

References
----------
.. [1] Defense Mapping Agency, *The Universal Grids: UTM and UPS*, TM 8358.2, 1989: zones of 6 degrees, 80 S to 84 N.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.errors import TerrainError
from linescope.terrain.geo import Crs, Origin
from linescope.terrain.site_file import read_site
from linescope.terrain.spec import GroundSpec

Floats = NDArray[np.float64]

UTM = (-80.0, 84.0)
"""Latitudes that it is for. [degrees]"""


@dataclass(frozen=True, eq=False, kw_only=True)
class Located:
    """A frame of metres, x east, y north and z up, that is known on the Earth.

    Attributes
    ----------
    origin : Origin
    zero : (3,) array
        Where that origin lies in the frame. [m]
    system : str
        Of the coordinates that the ground was brought from; empty where that is not known.
    heights : str
        Name of the datum of the ground's heights, likewise.
    """

    origin: Origin
    zero: Floats
    system: str = ""
    heights: str = ""

    def degrees(self, points: Floats) -> Floats:
        """(n, 3) longitude, latitude [degrees, WGS 84] and height [m, in the origin's datum] of places.

        Parameters
        ----------
        points : (n, 3) array
            [m]
        """
        longitude, latitude, height = self.origin.places(points - self.zero)
        return np.stack([np.degrees(longitude), np.degrees(latitude), height], axis=1)

    def projection(self) -> Crs | None:
        """The system that the ground was brought from, where it is a projection to east and north; else a zone of UTM.

        Returns
        -------
        Crs or None
            None beyond the latitudes of UTM.
        """
        if self.system:
            try:
                own = Crs(self.system)
            except TerrainError:  # A name that is in no registry.
                own = None
            if own is not None and own.is_projected and own.is_east_north:
                return own
        latitude, longitude = math.degrees(self.origin.latitude), math.degrees(self.origin.longitude)
        if not UTM[0] <= latitude <= UTM[1]:
            return None
        zone = math.floor((longitude + 180.0) % 360.0 / 6.0) + 1
        return Crs(f"EPSG:{(32600 if latitude >= 0.0 else 32700) + zone}")

    def projected(self, points: Floats, crs: Crs) -> Floats:
        """(n, 2) plan coordinates of places in a projection, in its unit.

        Parameters
        ----------
        points : (n, 3) array
            [m]
        crs : Crs
        """
        longitude, latitude, _ = self.origin.places(points - self.zero)
        return np.stack(crs.plan(longitude, latitude), axis=1)


def located(ground: GroundSpec | None, start: Floats | tuple[float, float, float]) -> Located | None:
    """Where the frame of a line lies on the Earth, by the first of its grounds that knows; None where none does.

    Parameters
    ----------
    ground : GroundSpec or None
    start : (3,) array
        The frame's zero in the coordinates of the scene. [m]
    """
    for each in () if ground is None else (ground, *ground.others):
        zero = np.asarray(each.shift) if each.kind == "site" else -np.asarray(start)
        if each.origin is not None:
            return Located(origin=each.origin, zero=zero, system=each.crs or "")
        if each.kind == "site" and each.path is not None:
            site = read_site(each.path)
            if site.origin is not None:
                return Located(origin=site.origin, zero=zero, system=site.system, heights=site.heights)
    return None

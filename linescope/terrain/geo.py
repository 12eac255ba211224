"""Places on the Earth and the local frame at anchor A: east, north and up in metres, exact for the ellipsoid.

References
----------
.. [1] EPSG Guidance Note 7-2, "Coordinate Conversions and Transformations", methods 9602 (geographic/geocentric) and
   9837 (geographic/topocentric); constants of WGS 84 from the same registry, ellipsoid 7030.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from linescope.errors import TerrainError

Floats = NDArray[np.float64]

_A = 6_378_137.0
_E2 = 1.0 / 298.257223563 * (2.0 - 1.0 / 298.257223563)
_NEAR = 100_000.0
"""Farther from the origin than this nothing belongs to a line. [m]"""
_HIGH = 2000.0
_MISSED = 1e-4
"""What polynomials may miss of a place: a tenth of what a survey tells. [m]"""


@dataclass(frozen=True, kw_only=True)
class Origin:
    """Where the local frame has its zero: x east, y north, z up there.

    Attributes
    ----------
    latitude, longitude : float
        WGS 84. [rad]
    height : float
        In whatever height datum the ground and the anchors have in common. [m]
    """

    latitude: float
    longitude: float
    height: float

    def __post_init__(self) -> None:
        if not (abs(self.latitude) <= math.radians(89.0) and abs(self.longitude) <= 2.0 * math.pi):
            raise TerrainError(
                "not a place on the Earth", key="origin",
                found=(math.degrees(self.latitude), math.degrees(self.longitude)),
                allowed="latitude to 89 degrees, longitude to 360",
            )

    def local(self, longitude: Floats, latitude: Floats, height: Floats) -> Floats:
        """(n, 3) east, north and up of places, (n,) [rad, rad, m], geocentric between them. [m]"""
        east, up = _axes(self.latitude, self.longitude)
        away = _geocentric(longitude, latitude, height) - _geocentric(
            np.array([self.longitude]), np.array([self.latitude]), np.array([self.height])
        )
        result: Floats = away @ np.stack([east, np.cross(up, east), up], axis=1)
        return result

    def places(self, points: Floats) -> tuple[Floats, Floats, Floats]:
        """Longitude, latitude [rad] and height [m] of (n, 3) local points [m]."""
        east, up = _axes(self.latitude, self.longitude)
        at = _geocentric(np.array([self.longitude]), np.array([self.latitude]), np.array([self.height]))
        x, y, z = (at + points @ np.stack([east, np.cross(up, east), up])).T
        longitude, p = np.arctan2(y, x), np.hypot(x, y)
        latitude, height = np.arctan2(z, p * (1.0 - _E2)), np.zeros(len(points))
        for _ in range(6):  # Bowring's loop: to a micrometre after three.
            n = _A / np.sqrt(1.0 - _E2 * np.sin(latitude) ** 2)
            height = p / np.cos(latitude) - n
            latitude = np.arctan2(z, p * (1.0 - _E2 * n / (n + height)))
        return longitude, latitude, height


def _axes(latitude: float, longitude: float) -> tuple[Floats, Floats]:
    """East and up, geocentric."""
    east = np.array([-math.sin(longitude), math.cos(longitude), 0.0])
    flat = math.cos(latitude)
    return east, np.array([flat * math.cos(longitude), flat * math.sin(longitude), math.sin(latitude)])


def _geocentric(longitude: Floats, latitude: Floats, height: Floats) -> Floats:
    n = _A / np.sqrt(1.0 - _E2 * np.sin(latitude) ** 2)
    flat = (n + height) * np.cos(latitude)
    polar = (n * (1.0 - _E2) + height) * np.sin(latitude)
    return np.stack([flat * np.cos(longitude), flat * np.sin(longitude), polar], axis=1)


class Crs:
    """A coordinate system as a file or the user names it.

    Parameters
    ----------
    given : object
        What pyproj understands: "EPSG:25832", WKT, a PROJ string.
    file : str
        For messages.

    Raises
    ------
    TerrainError
        When pyproj does not know it.
    """

    def __init__(self, given: Any, file: str = "") -> None:
        import pyproj

        try:
            self.crs = pyproj.CRS.from_user_input(given)
            flat = self.crs.sub_crs_list[0] if self.crs.is_compound else self.crs.to_2d()
            # Places of the plan alone: heights are what both sides have in common, and stay.
            self._to = pyproj.Transformer.from_crs(flat, 4326, always_xy=True)
        except pyproj.exceptions.ProjError as error:
            raise TerrainError(
                "this coordinate system is not known", file=file or None, key="crs", found=str(given)[:80],
                allowed='such as "EPSG:25832"',
            ) from error
        self._flat = flat

    @property
    def name(self) -> str:
        """As in the registry."""
        return str(self.crs.name)

    @property
    def is_projected(self) -> bool:
        """Whether its plan is in a unit of length."""
        return bool(self._flat.is_projected)

    @property
    def is_east_north(self) -> bool:
        """Whether its plan counts to the east and to the north."""
        return {str(axis.direction) for axis in self._flat.axis_info} == {"east", "north"}

    @property
    def plan_unit(self) -> float:
        """Metres in one unit of the plan; 1 where it is in degrees. [m]"""
        return float(self._flat.axis_info[0].unit_conversion_factor) if self.is_projected else 1.0

    @property
    def height_unit(self) -> float | None:
        """Metres in one unit of height, where the system tells. [m]"""
        if self.crs.is_compound:
            return float(self.crs.sub_crs_list[1].axis_info[0].unit_conversion_factor)
        if len(self.crs.axis_info) == 3:
            return float(self.crs.axis_info[2].unit_conversion_factor)
        return None

    @property
    def heights(self) -> str:
        """Name of the height datum, empty where it is not told."""
        if self.crs.is_compound:
            return str(self.crs.sub_crs_list[1].name)
        return "ellipsoid" if len(self.crs.axis_info) == 3 else ""

    def geographic(self, x: Floats, y: Floats) -> tuple[Floats, Floats]:
        """Longitude and latitude, (n,) [rad], of places in the unit of the system."""
        longitude, latitude = self._to.transform(x, y)
        return np.radians(longitude), np.radians(latitude)

    def plan(self, longitude: Floats, latitude: Floats) -> tuple[Floats, Floats]:
        """The inverse of `geographic`."""
        from pyproj.enums import TransformDirection

        x, y = self._to.transform(np.degrees(longitude), np.degrees(latitude), direction=TransformDirection.INVERSE)
        return np.asarray(x, dtype=np.float64), np.asarray(y, dtype=np.float64)


@dataclass(frozen=True, eq=False, kw_only=True)
class Frame:
    """How the coordinates of one file become local ones.

    Attributes
    ----------
    crs : Crs or None
        None: metres, only shifted.
    origin : Origin or None
        With a `crs`.
    shift : (3,) array
        What lies at zero, without a `crs`. [m]
    """

    crs: Crs | None = None
    origin: Origin | None = None
    shift: Floats | tuple[float, float, float] = (0.0, 0.0, 0.0)

    def local(self, points: Floats) -> Floats:
        """(n, 3) local points of (n, 3) points of the file, heights in metres. [m]"""
        if self.crs is None or self.origin is None:
            return np.asarray(points - np.asarray(self.shift))
        longitude, latitude = self.crs.geographic(points[:, 0], points[:, 1])
        bad = ~(np.isfinite(longitude) & np.isfinite(latitude))
        longitude, latitude = np.where(bad, self.origin.longitude + 0.5, longitude), np.where(bad, 0.0, latitude)
        return self.origin.local(longitude, latitude, points[:, 2])

    def quick(self, bounds: Floats) -> Callable[[Floats], Floats]:
        """`local` for many points within plan bounds, (2, 2) [unit of the file]: by polynomials where they hold.

        They are fitted to exact places within the bounds and 2 km up and down, and taken where they miss none of some
        others by more than `_MISSED`.
        """
        if self.crs is None or self.origin is None or not np.isfinite(bounds).all():
            return self.local
        middle, half = bounds.mean(axis=0), np.maximum(0.5 * (bounds[1] - bounds[0]), 1e-9)
        rng = np.random.default_rng(0)
        share = rng.uniform(-1.0, 1.0, (2, 400, 3))
        height = self.origin.height

        def terms(points: Floats) -> Floats:
            x, y = ((points[:, :2] - middle) / half).T
            z = (points[:, 2] - height) / _HIGH
            x2, y2 = x * x, y * y
            flat = [np.ones_like(x), x, y, x2, x * y, y2]
            each = [*flat, x2 * x, x2 * y, x * y2, y2 * y, *(z * one for one in flat)]
            return np.stack(each, axis=1)

        fitted, tried = (
            np.column_stack([middle + half * each[:, :2], height + _HIGH * each[:, 2]]) for each in share
        )
        factors = np.linalg.lstsq(terms(fitted), self.local(fitted), rcond=None)[0]
        if not np.abs(terms(tried) @ factors - self.local(tried)).max() <= _MISSED:
            return self.local
        return lambda points: np.asarray(terms(points) @ factors)

    def file(self, points: Floats) -> Floats:
        """(n, 2) plan coordinates of the file for (n, 3) local points."""
        if self.crs is None or self.origin is None:
            return np.asarray((points + np.asarray(self.shift))[:, :2])
        longitude, latitude, _ = self.origin.places(points)
        return np.stack(self.crs.plan(longitude, latitude), axis=1)


@dataclass(frozen=True, eq=False, kw_only=True)
class Corridor:
    """The plan that is read: so far to all sides of the straight line.

    Attributes
    ----------
    a, b : (3,) array
        Anchors. [m]
    radius : float
        [m]
    """

    a: Floats
    b: Floats
    radius: float

    def away(self, points: Floats) -> Floats:
        """(n,) plan distance of (n, 2) or (n, 3) points from the line. [m]"""
        start, way = self.a[:2], (self.b - self.a)[:2]
        t = np.clip((points[:, :2] - start) @ way / max(float(way @ way), 1e-12), 0.0, 1.0)
        gap = points[:, :2] - start - t[:, None] * way
        return np.asarray(np.sqrt((gap**2).sum(axis=1)))

    def outline(self, beyond: float = 0.0) -> Floats:
        """(n, 3) points round it, at the height of its end. [m]"""
        turn = np.arange(48) * (2.0 * np.pi / 48.0)
        ring = (self.radius + beyond) * np.stack([np.cos(turn), np.sin(turn), 0.0 * turn], 1)
        share = np.linspace(0.0, 1.0, 9)
        return np.concatenate([self.a + t * (self.b - self.a) + ring for t in share])

    def bounds(self, frame: Frame) -> Floats:
        """(2, 2) lowest and highest plan coordinates of it in a file. [unit of the file]"""
        corners = frame.file(self.outline())
        corners = corners[np.isfinite(corners).all(axis=1)]
        if len(corners) == 0:
            raise TerrainError("the line lies where this coordinate system has no places", key="crs")
        return np.stack([corners.min(axis=0), corners.max(axis=0)])


def corridor_radius(span: float) -> float:
    """How far to all sides ground is read for a line of this span. [m]

    Sag and catch of a line lie within a third of its span below the chord, and drift in wind within a tenth beside it
    (common practice, no source); leash, body and required distances take some ten metres more.
    """
    return min(max(60.0, 0.3 * span), 400.0)

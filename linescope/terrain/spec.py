"""What a scene says about its ground: where it comes from and how it is laid under the line."""

from __future__ import annotations

import math
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from linescope.errors import TerrainError
from linescope.shown import Outlined
from linescope.terrain.geo import Origin

KINDS = ("mesh", "grid", "points", "profile", "site")
AXES = ("z", "y", "x")


@dataclass(frozen=True, eq=False, kw_only=True)
class Obstacle:
    """Something typed by hand that a line has to keep away from: a box, or a post.

    Parameters
    ----------
    name : str
    foot : (3,) array
        Middle of its base. [m]
    height : float
        [m]
    width : (2,) array
        Of a box, along and across its own direction; of a post its diameter, twice. [m]
    is_round : bool
        A post; one without width is a wire.
    turn : float
        Of a box about the vertical, anticlockwise seen from above, from the x axis. [rad]
    top : (3,) array, optional
        Where a post ends, when it does not stand upright: a guy, a branch, a rope. [m]
    role : {'obstacle', 'vegetation'}
    survey_error : float or None
        [m]
    """

    name: str
    foot: NDArray[np.float64]
    height: float = 0.0
    width: NDArray[np.float64] | tuple[float, float] = (0.0, 0.0)
    is_round: bool = False
    turn: float = 0.0
    top: NDArray[np.float64] | None = None
    role: str = "obstacle"
    survey_error: float | None = None


@dataclass(frozen=True, eq=False, kw_only=True)
class NamedArea:
    """A part of the ground that has a name.

    Parameters
    ----------
    name : str
    kind : {'path', 'road', 'camp', 'nobody'}
        What it is; the last one is where nobody stands.
    corners : (n, 2) array, optional
        Its outline: x and y [m], or latitude and longitude [rad].
    is_geographic : bool
        The latter.
    stations : (2,) array, optional
        In place of an outline: from where to where along the span from anchor A, in plan, to all sides. [m]
    distance : float or None
        Asked for from its ground; None: it is drawn only. [m]
    """

    name: str
    kind: str
    corners: NDArray[np.float64] | None = None
    is_geographic: bool = False
    stations: NDArray[np.float64] | None = None
    distance: float | None = None


@dataclass(frozen=True, eq=False, kw_only=True, repr=False)
class GroundSpec(Outlined):
    """The ground of a scene: a file, or a surveyed profile given in the scene itself.

    The order of the placing is: factor to metres, up axis turned to z, turn about z, shift.

    Parameters
    ----------
    path : Path, optional
        Mesh, grid, point cloud or profile file; its ending says the format.  Either `path` or a profile.
    stations, heights : (n,) arrays, optional
        A profile in the scene: plan distance along the span from anchor A, and height in the rig's frame. [m]
    kind : {'mesh', 'grid', 'points', 'profile'}, optional
        How the file is to be read; None takes what the ending stands for.
    factor : float
        Metres in one unit of the file, such as 0.3048 for feet. [m]
    up : {'z', 'y', 'x'}, optional
        Axis of the file that points up; None is y for glTF and GLB (their standard says so), z for all
        others.
    turn : float
        Turn about the vertical, anticlockwise seen from above. [rad]
    shift : (3,) array
        Added last. [m]
    half_width : float
        How far a profile is drawn out to either side of the line. [m]
    cell : (2,) array, optional
        Column and row spacing of a height array that has none of its own (.npy). [m]
    degrees : bool
        The horizontal coordinates of a grid are longitude and latitude in degrees.
    max_edge : float, optional
        Longest plan edge that joins points of a cloud; None is six times the median edge (assumed). [m]
    accept_odd : bool
        Turn the checks of unit, axis and place into notes, for ground that is odd on purpose.
    name : str
        What findings call it.
    role : {'ground', 'vegetation', 'obstacle', 'water'}
        What it is.
    survey_error : float or None
        Its own; None for that of the scene. [m]
    origin : Origin, optional
        Where the scene's frame has its zero: then the file's own coordinates are brought there, and only what lies
        near the line is read.
    crs : str, optional
        With `origin`: coordinate system of a file that does not say its own.
    reach : float, optional
        With `origin`: how far to all sides of the line. [m]
    others : tuple of GroundSpec
        Further grounds beside this one.
    obstacles : tuple of Obstacle
    areas : tuple of NamedArea
    water : float or None
        Height of a water level. [m]

    Raises
    ------
    TerrainError
        For a value that cannot be used; it names the key.
    """

    path: Path | None = None
    stations: NDArray[np.float64] | None = None
    heights: NDArray[np.float64] | None = None
    kind: str | None = None
    factor: float = 1.0
    up: str | None = None
    turn: float = 0.0
    shift: NDArray[np.float64] | tuple[float, float, float] = (0.0, 0.0, 0.0)
    half_width: float = 10.0
    cell: NDArray[np.float64] | tuple[float, float] | None = None
    degrees: bool = False
    max_edge: float | None = None
    accept_odd: bool = False
    name: str = ""
    role: str = "ground"
    survey_error: float | None = None
    origin: Origin | None = None
    crs: str | None = None
    reach: float | None = None
    others: tuple[GroundSpec, ...] = ()
    obstacles: tuple[Obstacle, ...] = ()
    areas: tuple[NamedArea, ...] = ()
    water: float | None = None

    def __post_init__(self) -> None:
        if self.path is not None:
            object.__setattr__(self, "path", Path(self.path))
        inline = self.stations is not None or self.heights is not None
        if (self.path is None) == (not inline):
            raise TerrainError(
                "the ground comes either from a file or from a profile in the scene, one of the two",
                key="path",
                allowed="path, or stations with heights",
            )
        if inline:
            if self.stations is None or self.heights is None:
                raise TerrainError("a profile has stations and heights", allowed="both, equally many")
            if self.kind not in (None, "profile"):
                raise TerrainError(
                    "stations and heights are a profile", key="kind", found=self.kind, allowed="'profile'"
                )
            object.__setattr__(self, "kind", "profile")
            self._freeze("stations", (-1,))
            self._freeze("heights", (-1,))
        if self.kind is not None and self.kind not in KINDS:
            raise TerrainError("unknown kind of ground", key="kind", found=self.kind, allowed=", ".join(KINDS))
        if self.up is not None and self.up not in AXES:
            raise TerrainError("unknown up axis", key="up", found=self.up, allowed="'z', 'y' or 'x'")
        if not (math.isfinite(self.factor) and 1e-6 <= self.factor <= 1e6):
            raise TerrainError("metres in one unit of the file", key="factor", found=self.factor, allowed="1e-6 to 1e6")
        if not math.isfinite(self.turn):
            raise TerrainError("the turn is not finite", key="turn", found=self.turn, allowed="a finite angle")
        if not (math.isfinite(self.half_width) and self.half_width > 0.0):
            raise TerrainError(
                "a profile needs a width", key="half_width", found=self.half_width, allowed="more than 0 m"
            )
        if self.max_edge is not None and not (math.isfinite(self.max_edge) and self.max_edge > 0.0):
            raise TerrainError(
                "longest edge between points", key="max_edge", found=self.max_edge, allowed="more than 0 m"
            )
        self._freeze("shift", (3,))
        if self.cell is not None:
            self._freeze("cell", (2,))
            if not np.all(np.asarray(self.cell) > 0.0):
                raise TerrainError("cell spacing", key="cell", found=self.cell, allowed="two lengths above 0 m")

    def _freeze(self, name: str, shape: tuple[int, ...]) -> None:
        given = getattr(self, name)
        try:
            array = np.array(given, dtype=np.float64)
        except (TypeError, ValueError) as error:
            raise TerrainError("not numbers", key=name, found=given, allowed="finite numbers") from error
        if array.ndim != 1 or (shape[0] >= 0 and array.shape != shape):
            wanted = f"{shape[0]} numbers" if shape[0] >= 0 else "a list of numbers"
            raise TerrainError("wrong count of numbers", key=name, found=given, allowed=wanted)
        if not np.all(np.isfinite(array)):
            raise TerrainError("a number is not finite", key=name, found=given, allowed="finite numbers")
        array.setflags(write=False)
        object.__setattr__(self, name, array)

"""People to scale, from one mesh file that `assets/people.py` makes: clothed, in five poses."""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass
from pathlib import Path
from typing import Literal, get_args

import numpy as np
from numpy.typing import NDArray

from linescope.stage.camera import Camera
from linescope.stage.items import Surface

Floats = NDArray[np.float64]
Pose = Literal["standing", "walking", "sitting", "hanging", "spotting"]

POSES: tuple[Pose, ...] = get_args(Pose)
SMALL = 120.0  # A body less tall on the page is drawn with fewer triangles [px].
FILE = Path(__file__).parent / "data" / "people.npz"
PARTS = ("skin", "hair", "shirt", "harness", "trousers", "shoes")
"""Roles of the theme, in the order of the file."""
UNIT = 4000.0  # Steps of the file in a standing height.
LIGHT = np.array([-0.45, 0.65, 0.62]) / math.sqrt(0.45**2 + 0.65**2 + 0.62**2)  # Right, up and towards the viewer.
SHADE = 0.62  # What no light reaches is so bright.


@dataclass(frozen=True, eq=False, kw_only=True)
class Body:
    """One pose, in shares of the standing height: x forwards, y to the left, z up.

    Attributes
    ----------
    points : (n, 3) array
        [-]
    triangles : (t, 3) array
        [-]
    part : (t,) array
        Index into `PARTS`.  [-]
    far, far_part : (k, 3) and (k,) array
        Fewer triangles on the same corners, for bodies that are small on the page.  [-]
    tie : (3,) array
        Where the leash is tied in.  [-]
    """

    points: Floats
    triangles: NDArray[np.int64]
    part: NDArray[np.int64]
    far: NDArray[np.int64]
    far_part: NDArray[np.int64]
    tie: Floats


@functools.cache
def body(pose: Pose) -> Body:
    """A pose from the file."""
    with np.load(FILE) as file:
        return Body(
            points=file[f"{pose}.points"] / UNIT, triangles=file[f"{pose}.faces"].astype(np.int64),
            part=file[f"{pose}.part"].astype(np.int64), far=file[f"{pose}.far"].astype(np.int64),
            far_part=file[f"{pose}.far_part"].astype(np.int64), tie=file[f"{pose}.tie"] / UNIT,
        )


def surface(name: str, pose: Pose, points: Floats, colour: str = "") -> Surface:
    """A body whose corners were put somewhere; in one colour where one is given, else clothed."""
    shape = body(pose)
    return Surface(
        name=name, points=points, triangles=shape.triangles, colours=(colour,) if colour else PARTS,
        colour=np.zeros(len(shape.part), dtype=np.int64) if colour else shape.part, smooth=True,
    )


def standing(name: str, pose: Pose, at: Floats, forwards: Floats, height: float, colour: str = "") -> Surface:
    """A body with its soles (sitting: the line under it) at a point.

    Parameters
    ----------
    name : str
    pose : Pose
    at : (3,) array
        [m]
    forwards : (3,) array
        Horizontal unit vector.  [-]
    height : float
        Standing.  [m]
    colour : str
        Of the whole body; "" for clothes.
    """
    return surface(name, pose, at + height * body(pose).points @ axes(forwards), colour)


def hung(name: str, tie_in: Floats, forwards: Floats, height: float, hang: float, colour: str = "") -> Surface:
    """A body that hangs at its tie-in with its lowest foot so far below.

    Parameters
    ----------
    name : str
    tie_in : (3,) array
        [m]
    forwards : (3,) array
        Horizontal unit vector.  [-]
    height, hang : float
        Standing height; from tie-in to lowest foot.  [m]
    colour : str
        Of the whole body; "" for clothes.
    """
    shape = body("hanging")
    local = height * (shape.points - shape.tie)
    below = local[:, 2] < 0.0
    local[below, 2] *= hang / -float(local[:, 2].min())
    return surface(name, "hanging", tie_in + local @ axes(forwards), colour)


def pose_of(seen: Surface) -> Pose | Literal[""]:
    """The pose of a surface that is one of these bodies; "" for every other surface."""
    return next((pose for pose in POSES if body(pose).triangles is seen.triangles), "")


def axes(forwards: Floats) -> Floats:
    """(3, 3) rows: forwards, to the left, up.  [-]"""
    up = np.array([0.0, 0.0, 1.0])
    return np.array([forwards, np.cross(up, forwards), up])


@dataclass(frozen=True, eq=False, kw_only=True)
class Facets:
    """A body as a camera sees it, farthest first.

    Attributes
    ----------
    corners : (k, 3, 2) array
        On the page.  [px]
    role : (k,) array of str
    light : (k,) array
        [-]
    """

    corners: Floats
    role: NDArray[np.str_]
    light: Floats


def facets(seen: Surface, camera: Camera, size: tuple[float, float]) -> Facets:
    """The triangles of a body that face a camera, for pictures in ink.

    Parameters
    ----------
    seen : Surface
    camera : Camera
    size : (width, height)
        Of the camera's window.  [px]
    """
    page = camera.project(seen.points, size)
    triangles, colour = seen.triangles, seen.colour
    pose = pose_of(seen)
    if pose and float(np.ptp(page[:, 1])) < SMALL:
        shape = body(pose)
        triangles, colour = shape.far, shape.far_part if len(seen.colours) > 1 else np.zeros(len(shape.far), dtype=int)
    corners = seen.points[triangles]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normal /= np.maximum(np.linalg.norm(normal, axis=1, keepdims=True), 1e-15)
    turned = normal @ camera.axes().T
    depth = page[triangles, 2].mean(axis=1)
    front = np.flatnonzero(turned[:, 2] > 0.0)
    front = front[np.argsort(-depth[front], kind="stable")]
    light = SHADE + (1.0 - SHADE) * np.clip(turned[front] @ LIGHT, 0.0, 1.0)
    roles = np.array(seen.colours)[colour[front]]
    return Facets(corners=page[triangles[front], :2], role=roles, light=light)

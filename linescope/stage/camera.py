"""Cameras as data, with the projection they stand for, so that labels can be placed without a window."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


@dataclass(frozen=True, eq=False, kw_only=True)
class Camera:
    """Where the picture is seen from.

    Attributes
    ----------
    eye, target, up : (3,) arrays
        [m]
    angle : float
        Full vertical angle of view of a perspective camera; 0 for a parallel one.  [rad]
    half_height : float
        Half of what a parallel camera sees vertically.  [m]
    """

    eye: Floats
    target: Floats
    up: Floats
    angle: float = 0.0
    half_height: float = 1.0

    @property
    def parallel(self) -> bool:
        """Whether there is no perspective."""
        return self.angle == 0.0

    def axes(self) -> Floats:
        """(3, 3) rows: right, up and towards the viewer, as unit vectors."""
        back = self.eye - self.target
        back = back / np.linalg.norm(back)
        right = np.cross(self.up, back)
        right = right / np.linalg.norm(right)
        return np.array([right, np.cross(back, right), back])

    def project(self, points: Floats, size: tuple[float, float]) -> Floats:
        """Where points appear.

        Parameters
        ----------
        points : (n, 3) array
            [m]
        size : (width, height)
            Of the window.  [px]

        Returns
        -------
        (n, 3) array
            x to the right and y downwards from the top left corner [px], and depth in front of the eye [m];
            x and y are nan for points behind a perspective eye.
        """
        width, height = size
        seen = (np.atleast_2d(points) - self.eye) @ self.axes().T
        depth = -seen[:, 2]
        if self.parallel:
            scale = np.full(len(seen), height / 2 / self.half_height)
        else:
            front = np.where(depth > 1e-9, depth, np.nan)
            scale = height / 2 / math.tan(self.angle / 2) / front
        return np.column_stack([width / 2 + seen[:, 0] * scale, height / 2 - seen[:, 1] * scale, depth])

    def metres_per_pixel(self, size: tuple[float, float], at: Floats | None = None) -> float:
        """Length of one pixel, for a perspective camera at the depth of `at` (default: the target).  [m]"""
        if self.parallel:
            return 2 * self.half_height / size[1]
        point = self.target if at is None else at
        depth = float(-((point - self.eye) @ self.axes()[2]))
        return 2 * depth * math.tan(self.angle / 2) / size[1]


def parallel_fit(
    points: Floats, *, look: Floats, up: Floats, aspect: float, margin: tuple[float, float, float, float]
) -> Camera:
    """A camera without perspective that shows all points.

    Parameters
    ----------
    points : (n, 3) array
        [m]
    look, up : (3,) arrays
        Direction of view, and what is up on the page.  [-]
    aspect : float
        Width over height of the window.  [-]
    margin : (left, top, right, bottom)
        Shares of the window to keep free.
    """
    look = look / np.linalg.norm(look)
    frame = Camera(eye=-look, target=np.zeros(3), up=up).axes()
    seen = points @ frame.T
    low, high = seen.min(axis=0), seen.max(axis=0)
    left, top, right, bottom = margin
    height = max((high[1] - low[1]) / (1 - top - bottom), (high[0] - low[0]) / (1 - left - right) / aspect, 1e-6)
    width = height * aspect
    centre = np.array(
        [
            (low[0] + high[0]) / 2 + (right - left) / 2 * width,
            (low[1] + high[1]) / 2 + (top - bottom) / 2 * height,
            (low[2] + high[2]) / 2,
        ]
    )
    reach = float(np.ptp(seen[:, 2])) + height
    target = centre @ frame
    return Camera(eye=target - look * (reach + 1.0), target=target, up=up, half_height=height / 2)


def perspective_fit(
    points: Floats,
    *,
    look: Floats,
    up: Floats,
    angle: float,
    aspect: float,
    margin: tuple[float, float, float, float],
) -> Camera:
    """A perspective camera that looks along `look` from as near as shows all points inside the margins.

    Each edge of the frame asks one linear inequality of the eye for each point, so the nearest eye is exact.
    """
    look = look / np.linalg.norm(look)
    axes = Camera(eye=-look, target=np.zeros(3), up=up).axes()
    x, y, z = (points @ axes.T).T
    left, top, right, bottom = (math.tan(angle / 2) * (1 - 2 * share) for share in margin)
    left, right = left * aspect, right * aspect
    reach = {
        "right": float(np.max(x + right * z)),
        "left": float(np.max(-x + left * z)),
        "top": float(np.max(y + top * z)),
        "bottom": float(np.max(-y + bottom * z)),
    }
    back = max(
        (reach["right"] + reach["left"]) / (right + left),
        (reach["top"] + reach["bottom"]) / (top + bottom),
        float(z.max()) + 1e-3,
    )
    eye = np.array(
        [
            ((reach["right"] - right * back) + (left * back - reach["left"])) / 2,
            ((reach["top"] - top * back) + (bottom * back - reach["bottom"])) / 2,
            back,
        ]
    )
    target = np.array([eye[0], eye[1], float(z.mean())])
    return Camera(eye=eye @ axes, target=target @ axes, up=up, angle=angle)

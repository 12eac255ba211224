"""The line from the side, true to scale: camera, ground cut open, levels in metres, plumb lines."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from linescope.stage import ground, paper
from linescope.stage.camera import Camera, parallel_fit
from linescope.stage.items import Frame, Label, Surface, Wire
from linescope.stage.page import Brief

Floats = NDArray[np.float64]
UP = np.array([0.0, 0.0, 1.0])


def camera(brief: Brief, frame: Frame, shown: Floats, margin: tuple[float, float, float, float]) -> Camera:
    """A camera square on the line, anchor A on the left, that shows all points."""
    look = np.cross(UP, ground.plan_direction(brief.solution.rig))
    return parallel_fit(shown, look=look, up=UP, aspect=brief.aspect(frame), margin=margin)


def chord_of(brief: Brief) -> Floats:
    """(2, 3) the main's anchors.  [m]"""
    return np.array([brief.solution.rig.main_a, brief.solution.rig.main_b])


def section(brief: Brief) -> tuple[Floats, ...]:
    """Runs of (n, 3) points of the ground under the line, somewhat beyond both anchors; none without ground.  [m]"""
    if brief.ground is None:
        return ()
    rig = brief.solution.rig
    run = float(np.linalg.norm((rig.main_b - rig.main_a)[:2]))
    return ground.section(brief.ground.near, rig, -0.08 * run, 1.08 * run)


def cut_open(brief: Brief, camera: Camera) -> tuple[list[Surface], list[Wire]]:
    """The ground cut open under the line, with its edge; open where it is not known, nothing where there is none."""
    runs = section(brief)
    if not runs:
        return [], []
    heights = np.concatenate(runs)[:, 2]
    bottom = heights.min() - (np.ptp(heights) + 4 * camera.half_height)
    points: list[Floats] = []
    triangles: list[NDArray[np.int64]] = []
    for cut in runs:
        behind = cut - camera.axes()[2] * 0.3
        low = behind.copy()
        low[:, 2] = bottom
        n, first = len(cut), sum(map(len, points))
        here, there = first + np.arange(n - 1), first + np.arange(1, n)
        triangles += [np.column_stack([here, there, n + there]), np.column_stack([here, n + there, n + here])]
        points += [behind, low]
    body = Surface(
        name="ground",
        points=np.concatenate(points),
        triangles=np.concatenate(triangles),
        colours=("ground",),
        colour=np.zeros(sum(map(len, triangles)), dtype=np.int64),
        lit=False,
    )
    return [body], [Wire(name="ground", points=cut, colour="ground_edge", width=5.0, front=True) for cut in runs]


def levels(brief: Brief, camera: Camera, size: tuple[float, float]) -> tuple[list[Wire], list[Label]]:
    """Thin level lines at round heights under anchor A, with their figures."""
    rig, measures = brief.solution.rig, brief.measures
    unit = measures.long_metres
    right = camera.axes()[0]
    per_pixel = camera.metres_per_pixel(size)
    top = float(camera.target[2]) + camera.half_height - rig.main_a[2]
    bottom = top - 2 * camera.half_height
    wires, labels = [], []
    for height in paper.ticks(bottom / unit, top / unit, max(2, int(size[1] / 120))):
        if abs(height) < 1e-9 or not bottom + 24 * per_pixel < height * unit < top - 60 * per_pixel:
            continue
        middle = camera.target + UP * (rig.main_a[2] + height * unit - camera.target[2])
        ends = np.array([middle - right * size[0] / 2 * per_pixel, middle + right * size[0] / 2 * per_pixel])
        ends = ends - camera.axes()[2] * 0.4
        wires.append(Wire(name="level", points=ends, colour="rule", width=1.4, quiet=True))
        labels.append(
            Label(
                text=measures.say(
                    "frame-below-a" if height < 0 else "frame-above-a",
                    height=measures.tick(abs(height), measures.long_unit),
                ),
                at=ends[1] - right * 70 * per_pixel,
                size="small",
                colour="quiet",
                towards=(0.0, 1.0),
                rank=7,
                offset=1.0,
            )
        )
    return wires, labels


def plumbs(brief: Brief, camera: Camera, size: tuple[float, float]) -> tuple[list[Wire], list[Label]]:
    """How far down the ground is at quarters of the line, also where it leaves the picture."""
    if brief.ground is None:
        return [], []
    curve = brief.solution.main.sample(24).points
    share = np.linspace(0.0, 1.0, len(curve))
    wires: list[Wire] = []
    labels: list[Label] = []
    for place in (0.25, 0.5, 0.75):
        top = np.array([np.interp(place, share, curve[:, axis]) for axis in range(3)])
        z = ground.height_below(brief.ground.near, top[None])[0]
        if not math.isfinite(z):
            continue
        bottom = np.array([top[0], top[1], z])
        y = camera.project(bottom[None], size)[0, 1]
        off = "" if y < size[1] else "-off"
        shown = camera.metres_per_pixel(size) * (size[1] - camera.project(top[None], size)[0, 1])
        spot = top - UP * 0.7 * min(shown, float(top[2] - z))
        wires.append(Wire(name="plumb", points=np.array([top, bottom]), colour="quiet", width=1.8, dashed=True))
        labels.append(
            Label(
                text=brief.measures.say(f"frame-ground-down{off}", depth=brief.measures.length(top[2] - z, "down")),
                at=spot,
                size="small",
                rank=4,
                towards=(1.0, 0.0),
                offset=10.0,
            )
        )
    return wires, labels

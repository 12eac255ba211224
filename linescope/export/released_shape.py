"""The backup after the main has gone, as points: two catenaries from the anchors to the ring that runs on it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.statics import Plan
from linescope.statics.assemble import DOWN, G
from linescope.statics.segments import solve_segments

Floats = NDArray[np.float64]

PER_SIDE = 60


@dataclass(frozen=True, eq=False, kw_only=True)
class Released:
    """A released backup with the ring at a point.

    Attributes
    ----------
    points : (2 * PER_SIDE + 1, 3) array
        From anchor A over the ring to anchor B.  [m]
    tension : float
        Largest along it.  [N]
    """

    points: Floats
    tension: float


def released(planned: Plan, ring: Floats) -> Released:
    """The whole backup between its anchors, nothing else holding it, with the ring at a point.

    The ring runs without friction: the share of the line on each side is found by bisection so that both sides
    pull equally.

    Parameters
    ----------
    planned : Plan
    ring : (3,) array
        [m]

    Raises
    ------
    SegmentNotSolved
    """
    rig, total = planned.rig, planned.layout.backup_length
    load = (rig.backup.mass + rig.weather.backup_added) * G
    chords = np.array([ring - rig.backup_a, rig.backup_b - ring])
    legs = np.linalg.norm(chords, axis=1)
    up = np.tile(-DOWN, (2, 1))
    low, high = 0.02, 0.98
    share = float(legs[0] / legs.sum())
    for _ in range(40):
        length = total * np.array([share, 1.0 - share])
        segments = solve_segments(chords, length, np.full(2, load), up, rig.backup.now.at)
        left, right = float(segments.tension_end[0]), float(segments.tension_start[1])
        if abs(left - right) <= 1e-6 * max(left, right):
            break
        # A longer side pulls less.
        low, high = (share, high) if left > right else (low, share)
        share = 0.5 * (low + high)
    points = segments.sample(PER_SIDE, np.array([rig.backup_a, ring]))[0]
    tension = max(float(segments.tension_start.max()), float(segments.tension_end.max()))
    return Released(points=np.concatenate([points[0], points[1, 1:]]), tension=tension)

"""What the crew's papers accept of a line before anyone is on it: loop depths, and what a meter reads.

A model can be fitted to readings of a line that is not the one that was planned.  Whether they lie where the papers say
that the crew may go on is another question, and asked here.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from linescope.events.meter import TensionStrip
from linescope.rig import Reading
from linescope.statics import Solution

Floats = NDArray[np.float64]

TOLERANCE = 0.2
"""Of a loop's depth, either way: common practice, no source.  [-]"""
SAME = 0.01
"""A weight is the walker's, and a place one of the meter's, within this share of the walker and of the span.  [-]"""


@dataclass(frozen=True, kw_only=True)
class Accepted:
    """What the papers say of one reading.

    Attributes
    ----------
    low, high : float
        Between which they accept it.  [SI]
    ok : bool
        Whether it was read there.
    """

    low: float
    high: float
    ok: bool


def usual_depth(depth: Floats, excess: Floats) -> tuple[float, float] | None:
    """The range to accept on the empty line: a fifth either way of what most loops show; None without a loop.  [m]

    Parameters
    ----------
    depth : (bays,) array
        Of loops, as they should hang.  [m]
    excess : (bays,) array
        [-]
    """
    loops = depth[excess >= 0.0]
    return around(float(np.median(loops))) if len(loops) else None


def around(depth: float) -> tuple[float, float]:
    """A depth with its tolerance either way.  [m]

    Parameters
    ----------
    depth : float
        [m]
    """
    return (1.0 - TOLERANCE) * depth, (1.0 + TOLERANCE) * depth


def odd_bays(depth: Floats, excess: Floats) -> tuple[tuple[int, float | None], ...]:
    """Bays, counted from 1, whose loop as computed is out of that range, with its depth; None: no slack.  [m]

    Parameters
    ----------
    depth : (bays,) array
        [m]
    excess : (bays,) array
        [-]
    """
    limits = usual_depth(depth, excess)
    found: list[tuple[int, float | None]] = []
    for k, (deep, spare) in enumerate(zip(depth.tolist(), excess.tolist(), strict=True)):
        if spare < 0.0:
            found.append((k + 1, None))
        elif limits is not None and not limits[0] <= deep <= limits[1]:
            found.append((k + 1, float(deep)))
    return tuple(found)


def accepted_of(reading: Reading, strip: TensionStrip, to_see: Solution) -> Accepted | None:
    """What the papers say of a reading; None where they say nothing.

    They give the depth of loops with nobody on the line: in each bay a fifth either way of its own, and where that bay
    is none of the odd ones, no other than most bays have.  Of a meter they give what it reads empty, and with the
    walker at some places, as a range wherever an input has one.

    Parameters
    ----------
    reading : Reading
    strip : TensionStrip
    to_see : Solution
        The empty line as the crew finds it.
    """
    limits = None
    if reading.what == "loop" and reading.mass == 0.0:
        limits = depth_of_bay(reading.number, to_see.bays.loop_depth, to_see.bays.excess)
    elif reading.what == "tension":
        limits = _meter(reading, strip)
    if limits is None:
        return None
    low, high = limits
    return Accepted(low=low, high=high, ok=low <= reading.value <= high)


def depth_of_bay(bay: int, depth: Floats, excess: Floats) -> tuple[float, float] | None:
    """The range to accept in one bay of the empty line: a fifth either way of its own depth, and where that is usual,
    no other than most bays have; None without slack.  [m]

    Parameters
    ----------
    bay : int
        From 1.
    depth : (bays,) array
        [m]
    excess : (bays,) array
        [-]
    """
    if excess[bay - 1] < 0.0:
        return None
    low, high = around(float(depth[bay - 1]))
    usual = usual_depth(depth, excess)
    if usual is not None and usual[0] <= depth[bay - 1] <= usual[1]:
        low, high = max(low, usual[0]), min(high, usual[1])
    return low, high


def _meter(reading: Reading, strip: TensionStrip) -> tuple[float, float] | None:
    walker = strip.rig.walker
    if reading.mass == 0.0:
        rows: Sequence[int] = np.flatnonzero(np.isnan(strip.at)).tolist()
    elif walker is not None and abs(reading.mass - walker.mass) <= SAME * walker.mass:
        rows = np.flatnonzero(np.abs(strip.at - reading.at) <= SAME * strip.rig.span).tolist()
    else:
        rows = ()
    end = 0 if reading.end == "A" else 1
    for row in rows:
        low, high = float(strip.low[row, end]), float(strip.high[row, end])
        if high > low:
            return low, high
    return None

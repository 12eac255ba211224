"""Stick-slip crossings: 200 steps over 100 tapes, and how the time grows with the number of tapes."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import partial

from linescope.events.crossing import cross
from linescope.rig import Band, Hold, Rig, Walker
from linescope.statics import plan
from linescope.taping import Holds
from tests.benchmarks.timing import Row, growth, timed, within
from tests.statics.random_rigs import plain_rig

TARGET = 0.5  # [s] for 200 steps over 100 tapes.


def _rig(tapes: int, drag: float, friction: float) -> Rig:
    span = 3.0 * (tapes + 1)
    hold = Hold(drag=Band(low=drag, value=drag, high=drag), friction=Band(low=friction, value=friction, high=friction))
    rig = plain_rig(
        span=span, slope=0.03, every=3.0, holds=Holds.MAIN, excess=0.05, tension=3500.0, measured_on="tensioned",
        walker=Walker(mass=75.0, at=0.5 * span),
    )
    return replace(rig, hold=hold)


def rows() -> Iterator[Row]:
    """Rows of the benchmark table."""
    for drag, friction in ((0.5, 0.2), (0.3, 0.15), (0.1, 0.1)):
        name = f"drag {drag:g} N, friction {friction:g}"
        rig = _rig(100, drag, friction)
        planned = plan(rig)
        crossing = cross(rig, planned=planned, per_bay=1)
        taken = timed(partial(cross, rig, planned=planned, per_bay=1), repeat=3)
        what = f"crossing and back, 100 tapes, {len(crossing.walker)} steps, {name}"
        yield within(what, taken, TARGET, f"; slip up to {100.0 * crossing.total_slip.max():.2g} cm")
    sizes, timings = [25, 50, 100, 200], []
    for tapes in sizes:
        rig = _rig(tapes, 0.5, 0.2)
        planned = plan(rig)
        walk = partial(cross, rig, planned=planned, per_bay=1)
        timings.append(timed(walk, repeat=3, per=2 * (tapes + 1)))
    yield growth("time of a crossing's step, 25 to 200 tapes", sizes, timings, 1.1)

"""Motion in time: what a fall, a loss of the main and many places at once take.

The peer of the compiled loops is the same method with NumPy, for a short run, where their places must agree.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from pathlib import Path

import numpy as np

from linescope.motion import leash_fall_in_time, main_gone_in_time
from linescope.motion.expected import expected
from linescope.scene import load
from linescope.statics import plan
from tests.benchmarks.timing import Row, timed

SCENES = Path(__file__).parents[2] / "scenes"
FALL, GONE, PLACES, COUNT, SHORT, EQUAL = 6.0, 10.0, 3.0, 20, 0.05, 1e-9
TARGETS = {"larkspur_ledge": (1.0, 2.0, 6.0), "sable_tarn": (4.0, 8.0, 24.0)}


def rows() -> Iterator[Row]:
    """Rows of the benchmark table."""
    for name, targets in TARGETS.items():
        planned = plan(load(SCENES / f"{name}.toml").rig)
        at = planned.rig.walker.at
        places = np.linspace(2.0, planned.rig.span - 2.0, COUNT)
        calls = (
            (f"{FALL:g} s of a leash fall", partial(leash_fall_in_time, planned, at, seconds=FALL), 3),
            (f"{GONE:g} s of a loss of the main", partial(main_gone_in_time, planned, at, seconds=GONE), 3),
            (f"{COUNT} leash falls at once", partial(expected, planned, places, depth="middle", seconds=PLACES), 1),
        )
        for (what, call, repeat), target in zip(calls, targets, strict=True):
            ours = timed(call, repeat=repeat)
            yield Row(
                what=f"motion in time, {name}: {what}", ours=ours, target=f"{target:g} s", met=ours.median <= target
            )
        fall = partial(leash_fall_in_time, planned, at, seconds=SHORT)
        ours, plain = timed(partial(fall, way="compiled"), repeat=3), timed(partial(fall, way="numpy"), repeat=1)
        far = np.abs(fall(way="compiled").motion.points - fall(way="numpy").motion.points).max()
        yield Row(
            what=f"motion in time, {name}: {SHORT:g} s of a leash fall, peer NumPy", ours=ours, peer=plain,
            ratio=plain.median / ours.median, target=f"equal to {EQUAL:g} m (found {far:.0e})", met=bool(far < EQUAL),
        )

"""100 leash falls, and 100 losses of the main with their energy floors, on invented rigs and the shipped scenes.

The peer in the same run is the plain way to do it: each fall alone, from a cold start, its force found by scipy's
brentq on the same energy balance.  Its tapes hold; where tapes slide, ours are computed with free ones as well, and the
worse force counts.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path

import numpy as np
from scipy.optimize import brentq

from linescope.events.catch import free_fall, stand, stored
from linescope.events.fall import leash_fall_sweep
from linescope.events.main_gone import main_gone_sweep
from linescope.rig import Rig
from linescope.scene import load
from linescope.statics import Plan, plan
from linescope.taping import Holds
from tests.benchmarks.timing import Row, Timing, timed
from tests.events.catch_rigs import HIGH_TENACITY, NYLON, POLYESTER, rig

SCENES = Path(__file__).parents[2] / "scenes"
COUNT, TARGET, EQUAL = 100, 2.0, 1e-5
PEER_FALLS = 10


def rigs() -> Iterator[tuple[str, Rig]]:
    """Rigs of 48 to 100 m, and every shipped scene."""
    yield "48 m nylon, 3 m bays", rig(48.0, NYLON, 1800.0, every=3.0)
    yield "92 m HT polyester, 3.5 m bays", rig(92.0, HIGH_TENACITY, 3000.0, every=3.5, rise=-7.0)
    yield "100 m polyester, 2 m bays", rig(100.0, POLYESTER, 2500.0, every=2.0)
    yield "100 m polyester, tied at the quarters", rig(100.0, POLYESTER, 2500.0, every=3.0, ties=(25.0, 50.0, 75.0))
    for name in ("heron_gap", "larkspur_ledge", "ptarmigan_step", "sable_tarn"):
        yield name, load(SCENES / f"{name}.toml").rig


def _by_brentq(planned: Plan, at: float) -> float:
    loaded = stand(planned, at)
    assert planned.rig.walker is not None
    weight, height = loaded.weight, free_fall(planned.rig.walker)
    resting = loaded.line(np.array([weight]))

    def left_over(force: float) -> float:
        return float(stored(loaded.line(np.array([force])), resting, weight)[0]) - weight * height

    high = 2.0 * weight
    while left_over(high) < 0.0:
        high *= 2.0
    return float(brentq(left_over, weight, high, rtol=1e-6))


def rows() -> Iterator[Row]:
    """Rows of the benchmark table."""
    for name, one in rigs():
        planned = replace(plan(one), rig=one)
        what = f"{name}, {len(planned.layout.tapes)} tapes"
        sweep = leash_fall_sweep(one, count=COUNT, planned=planned)
        falls = timed(partial(leash_fall_sweep, one, count=COUNT, planned=planned), repeat=3)
        picked = np.linspace(0, COUNT - 1, PEER_FALLS).astype(int)
        begun = time.perf_counter()
        forces = np.array([_by_brentq(planned, float(at)) for at in sweep.at[picked]])
        peer = Timing(np.array([(time.perf_counter() - begun) * COUNT / PEER_FALLS]))
        apart = sweep.low.peak_force[picked] / forces - 1.0
        ratio = peer.median / falls.median
        if any(zone.holds is not Holds.BOTH for zone in one.taping.zones):
            target = f"{TARGET:g} s, forces no lower than of tapes that hold (up to {apart.max():.1%} higher)"
            met = bool(apart.min() > -EQUAL)
        else:
            most = float(np.abs(apart).max())
            target = f"{TARGET:g} s, faster than the peer, forces equal to {EQUAL:g} (found {most:.0e})"
            met = ratio > 1.0 and most < EQUAL
        yield Row(
            what=f"{COUNT} leash falls: {what}, peer brentq one by one", ours=falls, peer=peer, ratio=ratio,
            target=target, met=falls.median <= TARGET and met,
        )
        gone = timed(partial(main_gone_sweep, one, count=COUNT, planned=planned), repeat=1)
        yield Row(what=f"{COUNT} losses of the main with their energy floors: {what}", ours=gone)

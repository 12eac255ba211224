"""100 leash falls, and 100 losses of the main with their energy floors, on invented rigs and the shipped scenes.

    python tests/benchmarks/bench_falls.py          prints a table
    python -m pytest tests/benchmarks/bench_falls.py -s    the same, with the target as an assertion

Target: a leash-fall sweep of 100 positions in 2 s on rigs of 48 to 100 m.  The peer in the same run is the plain way
to do it: each fall alone, from a cold start, its force found by scipy's brentq on the same energy balance.
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
from scipy.optimize import brentq

sys.path.insert(0, str(Path(__file__).parents[2]))

from linescope.events.catch import free_fall, stand, stored
from linescope.events.fall import leash_fall_sweep
from linescope.events.main_gone import main_gone_sweep
from linescope.scenefile.load import load
from linescope.statics import plan
from tests.events.catch_rigs import HIGH_TENACITY, NYLON, POLYESTER, rig

SCENES = Path(__file__).parents[2] / "scenes"
COUNT, TARGET = 100, 2.0
PEER_FALLS = 10


def rigs():
    yield "48 m nylon, 3 m bays", rig(48.0, NYLON, 1800.0, every=3.0), True
    yield "92 m HT polyester, 3.5 m bays", rig(92.0, HIGH_TENACITY, 3000.0, every=3.5, rise=-7.0), True
    yield "100 m polyester, 2 m bays", rig(100.0, POLYESTER, 2500.0, every=2.0), True
    tied = rig(100.0, POLYESTER, 2500.0, every=3.0, ties=(25.0, 50.0, 75.0))
    yield "100 m polyester, tied at the quarters", tied, True
    for name in ("heron_gap", "larkspur_ledge", "ptarmigan_step", "sable_tarn"):
        yield f"scene {name}", load(SCENES / f"{name}.toml"), False


def _timed(call, *args, repeats=1, **named):
    times = []
    for _ in range(repeats):
        start = time.perf_counter()
        result = call(*args, **named)
        times.append(time.perf_counter() - start)
    return min(times), result


def _by_brentq(planned, at):
    loaded = stand(planned, at)
    weight, height = loaded.weight, free_fall(planned.rig.walker)
    resting = loaded.line(np.array([weight]))

    def left_over(force):
        return float(stored(loaded.line(np.array([force])), resting, weight)[0]) - weight * height

    high = 2.0 * weight
    while left_over(high) < 0.0:
        high *= 2.0
    return brentq(left_over, weight, high, rtol=1e-6)


def _one_by_one(planned, places):
    return np.array([_by_brentq(planned, float(at)) for at in places])


def measure():
    for name, one, has_target in rigs():
        planned = replace(plan(one), rig=one)
        falls, sweep = _timed(leash_fall_sweep, one, count=COUNT, planned=planned, repeats=3)
        gone, _ = _timed(main_gone_sweep, one, count=COUNT, planned=planned, repeats=2)
        picked = np.linspace(0, COUNT - 1, PEER_FALLS).astype(int)
        peer, forces = _timed(_one_by_one, planned, sweep.at[picked])
        worst = float(np.max(np.abs(sweep.peak_force[picked] / forces - 1.0)))
        yield {
            "rig": name, "tapes": len(planned.layout.tapes), "falls": falls, "brentq": peer * COUNT / PEER_FALLS,
            "gone": gone, "differs": worst, "target": has_target,
        }


def test_a_sweep_of_100_falls():
    for row in measure():
        print(line(row))
        assert row["differs"] < 1e-5
        assert row["falls"] < row["brentq"]
        assert not row["target"] or row["falls"] <= TARGET


def line(row):
    return (
        f"{row['rig']:38s} {row['tapes']:4d} tapes: {COUNT} falls {row['falls']:5.2f} s (one by one with brentq "
        f"{row['brentq']:5.2f} s, forces agree to {row['differs']:.0e}), {COUNT} losses of the main "
        f"{row['gone']:5.2f} s"
    )


if __name__ == "__main__":
    for figures in measure():
        print(line(figures))

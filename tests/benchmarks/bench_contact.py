"""Touch intervals beside a nearest-neighbour tree on points, deposits beside a plain loop, and whole days of rub."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from unittest import mock

import numpy as np
from scipy.spatial import cKDTree

from linescope.contact import find_touches, find_wear, first_wear
from linescope.contact.ledger import deposit, grid
from linescope.contact.pacing import Pacer
from linescope.scene import load
from linescope.statics import Plan, Solution, plan, solve
from linescope.taping import Holds
from tests.benchmarks.timing import Row, against, growth, timed, within
from tests.statics.random_rigs import plain_rig

SCENES = Path(__file__).parents[2] / "scenes"
DAYS = {"ptarmigan_step": 5.0, "sable_tarn": 30.0}  # At the most, history and all guesses included [s].
FIRST = 2.0  # A first answer [s].
PEER_STEP = 2e-4  # Points of the peer along both lines [m]: it then knows ends of intervals to as much.


def _solved(tapes: int) -> Solution:
    span = 3.0 * (tapes + 1)
    return solve(plain_rig(span=span, every=3.0, holds=Holds.BOTH, tension=3500.0, measured_on="tensioned"))


def _peer(solution: Solution) -> int:
    per_bay = int(3.0 / PEER_STEP)
    tree = cKDTree(solution.main.sample(per_bay).points)
    gap, _ = tree.query(solution.backup.sample(per_bay).points, distance_upper_bound=0.01)
    return int(np.sum(gap <= 0.0034))


def _loop(edges: np.ndarray, start: np.ndarray, end: np.ndarray, width: float, work: np.ndarray) -> np.ndarray:
    result = np.zeros(len(edges) - 1)
    for a, b, w in zip(start, end, work, strict=True):
        for at in np.linspace(a, b, 20):
            share = np.clip((edges - at) / width + 0.5, 0.0, 1.0)
            result += 0.05 * w * np.diff(share)
    return result


def _walked(planned: Plan, step: Callable[..., object]) -> None:
    """A crossing, every step taken in one way."""
    pacer = Pacer(planned.rig, "value", planned)
    with mock.patch.object(Pacer, "_step", step):
        pacer.lap(1)


def rows() -> Iterator[Row]:
    """Rows of the benchmark table."""
    solution = _solved(100)
    ours = timed(partial(find_touches, solution), repeat=5)
    peer = timed(partial(_peer, solution), repeat=3)
    yield against("touch intervals of 100 tapes, peer: tree on points 0.2 mm apart", ours, peer, 5.0,
                  ", and ends known to 1e-9")
    sizes = [25, 50, 100, 200]
    timings = [timed(partial(find_touches, found), repeat=3) for found in (_solved(size) for size in sizes)]
    yield growth("time of touch intervals, 25 to 200 tapes", sizes, timings, 1.2)
    rng = np.random.default_rng(0)
    edges = grid(300.0)
    start = rng.uniform(0.0, 300.0, 20_000)
    end, work = start + rng.normal(0.0, 0.01, len(start)), rng.uniform(0.0, 1.0, len(start))
    many = timed(partial(deposit, edges, start, end, 0.025, work), repeat=5, per=len(start))
    few = timed(partial(_loop, edges, start[:20], end[:20], 0.025, work[:20]), repeat=3, per=20)
    yield against("one ledger deposit of 20,000 on 300 m, peer: plain loop", many, few, 100.0)
    planned = plan(load(SCENES / "sable_tarn.toml").rig)
    whole = timed(partial(_walked, planned, Pacer._step), repeat=3)
    parts = timed(partial(_walked, planned, Pacer._step_by_searches), repeat=3)
    yield against("a crossing of 101 sliders, peer: the same steps search by search", whole, parts, 1.2)
    for name, most in DAYS.items():
        planned = plan(load(SCENES / f"{name}.toml").rig)
        yield within(f"a day of rub, {name}", timed(partial(find_wear, planned.rig, planned=planned), repeat=1), most)
        first = timed(partial(first_wear, planned.rig, planned=planned), repeat=3)
        yield within(f"a first answer of rub, {name}", first, FIRST)

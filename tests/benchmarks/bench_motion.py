"""Motion in time: what a fall, a loss of the main and many places at once take.

The peer of the compiled loops is the same method with NumPy, for a short run, where their places must agree; and
MoorDyn on the same rig with the same masses, in a fall without loss, where dips must agree: with our step of time, and
with the longest that its Runge-Kutta steps surely bear here: a third longer ones end in no number.
Seconds are of a processor, of all threads together.  Many places at once are told twice: what all threads work, and
how long somebody waits for it, with the cores that it kept busy: what else the machine does meanwhile makes that
longer.
"""

from __future__ import annotations

import math
import os
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from importlib import import_module
from pathlib import Path

import numpy as np

from linescope.motion import RunInputs, leash_fall_in_time, main_gone_in_time
from linescope.motion.expected import expected
from linescope.motion.falls import standing_mesh
from linescope.motion.run import run
from linescope.scene import load
from linescope.statics import plan
from linescope.taping import Holds
from tests.benchmarks import timing
from tests.benchmarks.timing import Row, Timing
from tests.motion.test_runs import rig
from tests.validation.test_moordyn_motion import by_moordyn, held

SCENES = Path(__file__).parents[2] / "scenes"
FALL, GONE, PLACES, COUNT, SHORT, EQUAL = 6.0, 10.0, 3.0, 20, 0.05, 1e-9
TARGETS = {"larkspur_ledge": (1.0, 2.0, 6.0), "sable_tarn": (4.0, 8.0, 24.0)}
DIP, SLOWER, LONGEST = 0.02, 20.0, 3e-4
MOORDYN = 3.0  # Of a fall [s].
LINE = 90.0  # Of an invented rig [m].

timed = partial(timing.timed, clock=time.process_time)


@contextmanager
def _silence() -> Iterator[None]:
    """Nothing that a library of its own language writes comes out."""
    sys.stdout.flush()
    kept, nowhere = os.dup(1), os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    try:
        yield
    finally:
        os.dup2(kept, 1)
        os.close(kept)
        os.close(nowhere)


def _against_moordyn() -> Iterator[Row]:
    moordyn = import_module("moordyn")
    planned = plan(load(SCENES / "larkspur_ledge.toml").rig)
    ready = held(planned, planned.rig.walker.at)
    ours, motion = timed(partial(run, ready, MOORDYN), repeat=5), run(ready, MOORDYN)
    start = float(ready.state.of_slots[2, ready.model.slots])
    dip = start - float(motion.ring.raw_least[motion.leash.raw_least > 0.0].min())
    for step, least in ((motion.step, SLOWER), (LONGEST, None)):
        found: list[float] = []

        def peer(step: float = step, found: list[float] = found) -> None:
            with tempfile.TemporaryDirectory() as folder:
                found.append(start - by_moordyn(moordyn, Path(folder), ready, MOORDYN, False, step)[0])

        with _silence():
            theirs: Timing = timed(peer, repeat=2)
        ratio, alike = theirs.median / ours.median, abs(found[-1] / dip - 1.0) < DIP
        fast = "" if least is None else f"{least:g} times as fast, "
        yield Row(
            what=f"motion in time, larkspur_ledge: {MOORDYN:g} s without loss, peer MoorDyn in steps of {step:.2g} s",
            ours=ours, peer=theirs, ratio=ratio, target=f"{fast}dips alike ({dip:.2f} and {found[-1]:.2f} m)",
            met=alike and (least is None or ratio >= least),
        )


def _at_once(name: str, call: Callable[[], object], target: float) -> Iterator[Row]:
    """Many places in one call, in threads: what all of them work, and how long that takes."""
    worked, waited = time.process_time(), time.perf_counter()
    call()
    worked, waited = time.process_time() - worked, time.perf_counter() - waited
    what, cores = f"motion in time, {name}: {COUNT} leash falls at once", os.cpu_count() or 1
    yield Row(
        what=f"{what}, all threads together", ours=Timing(np.array([worked])), target=f"{target:g} s of a processor",
        met=worked <= target,
    )
    yield Row(
        what=f"{what}, waited for on {cores} cores, {worked / waited:.2g} of them busy with it",
        ours=Timing(np.array([waited])), target=f"{target:g} s", met=waited <= target,
    )


def _as_arrays() -> Iterator[Row]:
    """A step of the method as loops and as NumPy's arrays: for one place, and for as many slots as 20 places have.

    One array of 20 places is made of a line 20 times as long with as many bays more: the same work for arrays, without
    a second way to lay out a state.
    """
    for holds, of in ((Holds.BOTH, "tapes that hold both"), (Holds.MAIN, "sliders")):
        for times, name in ((1, "one place"), (COUNT, f"{COUNT} places in one array, each of them")):
            line = rig(span=times * LINE, holds=holds, tension=math.sqrt(times) * 4e3)
            ready = standing_mesh(plan(line), 10.0, RunInputs())
            found = []
            for way, seconds in (("compiled", 0.1), ("numpy", 0.01)):
                # Whole milliseconds in steps of the mesh's own: how many there are is no matter of the way.
                steps = round(seconds / run(ready, 0.01, way=way, check=False, frame=1.0).step)
                call = partial(run, ready, seconds, way=way, check=False, frame=1.0)
                found.append(timed(call, repeat=3, per=steps * times))
            yield Row(
                what=f"motion in time, {LINE:g} m, {of}: a step of {name}, peer NumPy", ours=found[0], peer=found[1],
                ratio=found[1].median / found[0].median,
            )


def rows() -> Iterator[Row]:
    """Rows of the benchmark table."""
    for name, targets in TARGETS.items():
        planned = plan(load(SCENES / f"{name}.toml").rig)
        at = planned.rig.walker.at
        places = np.linspace(2.0, planned.rig.span - 2.0, COUNT)
        calls = (
            (f"{FALL:g} s of a leash fall", partial(leash_fall_in_time, planned, at, seconds=FALL), 3),
            (f"{GONE:g} s of a loss of the main", partial(main_gone_in_time, planned, at, seconds=GONE), 3),
        )
        for (what, call, repeat), target in zip(calls, targets, strict=False):
            ours = timed(call, repeat=repeat)
            yield Row(
                what=f"motion in time, {name}: {what}", ours=ours, target=f"{target:g} s of a processor",
                met=ours.median <= target,
            )
        yield from _at_once(name, partial(expected, planned, places, depth="middle", seconds=PLACES), targets[2])
        fall = partial(leash_fall_in_time, planned, at, seconds=SHORT)
        ours, plain = timed(partial(fall, way="compiled"), repeat=3), timed(partial(fall, way="numpy"), repeat=1)
        far = np.abs(fall(way="compiled").motion.points - fall(way="numpy").motion.points).max()
        yield Row(
            what=f"motion in time, {name}: {SHORT:g} s of a leash fall, peer NumPy", ours=ours, peer=plain,
            ratio=plain.median / ours.median, target=f"equal to {EQUAL:g} m (found {far:.0e})", met=bool(far < EQUAL),
        )
    yield from _as_arrays()
    yield from _against_moordyn()

"""Segments and whole rigs against MoorPy, on the same problems in the same run, and how time grows with the tapes."""

from __future__ import annotations

import contextlib
import io
import time
import warnings
from collections.abc import Iterator

import numpy as np

from linescope.rig import Rig, Walker
from linescope.statics import Plan, plan, solve
from linescope.statics.assemble import assemble, first_guess
from linescope.statics.catenary import solve_forces
from linescope.statics.minimise import minimise
from linescope.statics.solve import still_air
from linescope.taping import Holds
from tests.benchmarks.timing import Row, Timing, against, growth, timed
from tests.statics.making import straight_law, straight_start
from tests.statics.random_rigs import plain_rig
from tests.validation.moorpy_rig import NO_FLOOR, rebuilt
from tests.validation.test_integration import far_end, random_segments

G = 9.80665
PEER_TOLERANCE = 1e-3  # Of MoorPy's equilibrium, on positions [m].


def segments() -> Iterator[Row]:
    """10,000 random segments at once against MoorPy's `catenary`, one by one as it takes them, on 400 of them."""
    from moorpy.Catenary import catenary

    sample = random_segments()
    h, _, length, q, ea = sample
    x, z, *_ = far_end(*sample)
    law = straight_law(ea)
    ours = timed(lambda: solve_forces(x, z, length, q, law), per=len(h))
    # MoorPy takes the lower end first and gives up on some pieces: the comparison is on those it solves.
    solved, worst = [], 0.0
    for i in range(400):
        with warnings.catch_warnings(), contextlib.redirect_stdout(io.StringIO()):
            warnings.simplefilter("ignore")
            try:
                found = catenary(x[i], abs(z[i]), length[i], ea[i], q[i], CB=NO_FLOOR, Tol=1e-8)
            except Exception:  # noqa: BLE001 - the peer raises many kinds; a failure only leaves the sample.
                continue
        solved.append(i)
        worst = max(worst, abs(abs(found[0]) / h[i] - 1.0))

    def peer_solves() -> None:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            for i in solved:
                catenary(x[i], abs(z[i]), length[i], ea[i], q[i], CB=NO_FLOOR)

    peer = timed(peer_solves, per=len(solved))
    note = f"; MoorPy solves {len(solved)} of 400, H equal to {worst:.0e}"
    yield against("segment, 10,000 at once", ours, peer, 200.0, note)


def whole_rig() -> Iterator[Row]:
    """60 tapes that hold both lines, 90 m rising 5 %, walker off the middle.

    First the equilibrium alone: ours from nothing, its own first guess included; theirs from an initialised system
    with its points on the straight line between the anchors.  Then everything: ours from the planned rig to the
    frozen solution, theirs building, initialising and solving the system.
    """
    import moorpy

    rig = plain_rig(
        span=90.0, slope=0.05, every=90.0 / 61.0, holds=Holds.BOTH, excess=0.06, tension=2500.0,
        measured_on="tensioned", walker=Walker(mass=75.0, at=33.0),
    )  # fmt: skip
    planned = plan(rig)
    if len(planned.layout.tapes) != 60:
        raise AssertionError(f"{len(planned.layout.tapes)} tapes instead of 60")
    pair, _ = assemble(rig, planned.layout, still_air(rig, planned))
    start = straight_start(pair, 0.0)
    exact = minimise(pair, start).state.unknowns[:, :3]
    ours_alone, ours_whole, peer_alone, peer_whole, apart = [], [], [], [], np.inf
    with warnings.catch_warnings(), contextlib.redirect_stdout(io.StringIO()):
        warnings.simplefilter("ignore")
        for _ in range(8):
            # Ours and the peer in turn, so that other work on the machine meets both.
            ours_alone.append(timed(lambda: minimise(pair, first_guess(pair))).median)
            ours_whole.append(timed(lambda: solve(rig, planned=planned)).median)
            begin = time.perf_counter()
            system = rebuilt(moorpy, rig, pair, start[:, :3])
            system.initialize()
            ready = time.perf_counter()
            system.solveEquilibrium(tol=PEER_TOLERANCE, maxIter=2000)
            peer_alone.append(time.perf_counter() - ready)
            peer_whole.append(time.perf_counter() - begin)
            found = np.array([point.r for point in system.pointList[2:]])
            apart = float(np.abs(found - exact).max() / rig.span)
    note = f", nodes equal to 1e-4 of the span (found {apart:.0e})"
    for what, ours, peer, target in (
        ("rig of 60 tapes, equilibrium alone", ours_alone, peer_alone, 50.0),
        ("rig of 60 tapes, everything", ours_whole, peer_whole, 20.0),
    ):
        # The first round warms caches and is not counted.
        yield against(what, Timing(np.array(ours[1:])), Timing(np.array(peer[1:])), target, note, apart < 1e-4)


def growing() -> Iterator[Row]:
    """The same line taped ever longer, 3 m bays: as taped, and settled with sliders that hold the main."""
    for state, holds in (("as taped", Holds.BOTH), ("settled", Holds.MAIN)):
        sizes, timings = [25, 50, 100, 200, 400, 800], []
        for tapes in sizes:
            span = 3.0 * (tapes + 1)
            rig = plain_rig(
                span=span, every=3.0, holds=holds, excess=0.05, tension=2000.0 + 20.0 * span / 3.0,
                measured_on="tensioned", walker=Walker(mass=75.0, at=0.4 * span),
            )
            planned = plan(rig)
            timings.append(_time_solve(rig, planned, state))
        yield growth(f"{state}, 25 to 800 tapes", sizes, timings, 1.1)


def _time_solve(rig: Rig, planned: Plan, state: str) -> Timing:
    return timed(lambda: solve(rig, state, planned=planned, look_for_others=False), repeat=3)


def rows() -> Iterator[Row]:
    """All rows of the statics."""
    yield from segments()
    yield from whole_rig()
    yield from growing()

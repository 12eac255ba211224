"""Segments and whole rigs against MoorPy, on the same problems in the same run, and how time grows with the tapes."""

from __future__ import annotations

import contextlib
import io
import time
import warnings
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from linescope.events.catch import positions_of, stand, stand_along
from linescope.rig import Rig, Walker
from linescope.scene import load
from linescope.statics import Plan, plan, solve
from linescope.statics.assemble import assemble, first_guess
from linescope.statics.batch import SETTINGS
from linescope.statics.catenary import solve_forces
from linescope.statics.minimise import minimise
from linescope.statics.pair import Pair
from linescope.statics.settle import settle
from linescope.statics.solve import still_air
from linescope.statics.stack import Stack
from linescope.statics.stack_loops import balance_compiled, settle_compiled
from linescope.statics.together import balance, guesses
from linescope.taping import Holds
from tests.benchmarks.timing import Row, Timing, against, growth, timed
from tests.statics.making import straight_law, straight_start
from tests.statics.random_rigs import plain_rig
from tests.validation.moorpy_rig import NO_FLOOR, rebuilt
from tests.validation.test_integration import far_end, random_segments

G = 9.80665
SCENES = Path(__file__).parents[2] / "scenes"
MANY, FEW = 1000, 12  # Rigs of a batch, and how many of them one by one.
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


def many() -> Iterator[Row]:
    """A thousand rigs of 60 tapes, every number of them another, against one by one; walkers along Sable Tarn."""
    for holds, settled in ((Holds.BOTH, False), (Holds.MAIN, True)):
        stack, pairs = varied(holds, MANY)

        def alone(pairs: list[Pair] = pairs, settled: bool = settled) -> None:
            for pair in pairs:
                taped = minimise(pair, first_guess(pair))
                if settled:
                    settle(pair, taped)

        peer = timed(alone, repeat=3, per=len(pairs))
        ways = [("NumPy", 0.8), ("compiled", 0.2)] if not settled else [("settled, compiled", 3.0)]
        for way, most in ways:

            def batch(way: str = way, stack: Stack = stack) -> None:
                places = guesses(stack)[0]
                taped = (balance if way == "NumPy" else balance_compiled)(stack, places, settings=SETTINGS)
                if way.startswith("settled"):
                    taped = settle_compiled(stack, taped, settings=SETTINGS)
                if not taped.done.all():
                    raise AssertionError(f"{np.sum(~taped.done)} of {len(stack)} are open")

            ours = timed(batch, repeat=3)
            kind = "fixed tapes" if not settled else "sliders"
            whole = Timing(peer.seconds * len(stack))
            yield Row(
                what=f"{len(stack)} rigs of 60 {kind}, {way}; peer: our own solver one by one", ours=ours, peer=whole,
                ratio=whole.median / ours.median, target=f"{most:g} s", met=ours.median <= most,
            )
    rig = load(SCENES / "sable_tarn.toml").rig
    planned = plan(rig)
    places = positions_of(rig, 100)
    ours = timed(lambda: stand_along(planned, places), repeat=3)
    peer = timed(lambda: [stand(planned, float(place)) for place in places[:10]], repeat=3, per=10)
    yield Row(
        what="100 walker positions of Sable Tarn; peer: one by one", ours=ours, peer=Timing(peer.seconds * 100),
        ratio=100.0 * peer.median / ours.median, target="0.3 s", met=ours.median <= 0.3,
    )


def varied(holds: Holds, count: int) -> tuple[Stack, list[Pair]]:
    """Rigs of 60 tapes on 90 m with other lengths, places, excess, stretch and walkers; all as a stack, a few alone."""
    rig = plain_rig(
        span=90.0, slope=0.05, every=90.0 / 61.0, holds=holds, excess=0.06, tension=2500.0, measured_on="tensioned",
        walker=Walker(mass=75.0, at=33.0),
    )  # fmt: skip
    planned = plan(rig)
    base, (walker,) = assemble(rig, planned.layout, still_air(rig, planned))
    rng, zero, n = np.random.default_rng(0), np.zeros((count, 1)), base.n
    length = base.main_length * (1.0 + 0.002 * rng.standard_normal((count, 1)))
    at = np.sort(base.main_at + 0.05 * rng.standard_normal((count, n)), axis=1)
    main = np.concatenate([zero, at, length], axis=1)
    bays = np.diff(main[:, [0, *(base.tapes + 1), n + 1]], axis=1)
    backup = np.concatenate([zero, np.cumsum(bays * (1.0 + rng.uniform(0.02, 0.08, (count, 1))), axis=1)], axis=1)
    pull = np.repeat(base.pull[None], count, axis=0)
    pull[:, walker] *= rng.uniform(0.8, 1.2, (count, 1))
    stack = Stack.of([base]).repeated(count).changed(
        marks=(
            np.concatenate([main[:, :-1], backup[:, :-1]], axis=1).reshape(-1),
            np.concatenate([main[:, 1:], backup[:, 1:]], axis=1).reshape(-1),
        ),
        pull=pull.reshape(-1, 3), softer=1.0 / rng.uniform(0.8, 1.25, (count, 2)),
    )
    return stack, [stack.pair(k) for k in range(FEW)]


def rows() -> Iterator[Row]:
    """All rows of the statics."""
    yield from segments()
    yield from many()
    yield from whole_rig()
    yield from growing()

"""Whole pairs with tapes at rest: MoorPy's System finds the same places and tensions.

Tapes and walker are MoorPy's free points, pieces of main and backup its lines.  Two questions: from points on the
straight line between the anchors, where does MoorPy come to rest; and at our places, do MoorPy's own catenaries
balance?  MoorPy solves its lines to 1e-4 m each; it is asked for 1e-10 m where ours are put to it.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from linescope.events.main_gone import main_gone
from linescope.rig import Rig, Walker
from linescope.statics import Solution, plan, solve
from linescope.statics.assemble import G, assemble
from linescope.statics.pair import Pair
from linescope.statics.solve import still_air
from linescope.taping import Holds
from tests.statics.making import straight_start
from tests.statics.random_rigs import plain_rig, webbing
from tests.validation.moorpy_rig import NO_FLOOR, line_type, quiet, rebuilt

OUTSIDE = {"area": "peers", "source": "MoorPy System, whole pairs", "known": "peer"}
pytestmark = pytest.mark.peer
NEEDS = "places and tensions of whole pairs with tapes at rest"
NYLON, POLYESTER, HMPE = (62.5e3, 0.062, 1800.0), (125e3, 0.055, 2500.0), (555e3, 0.037, 4000.0)
WALKER = Walker(mass=75.0, at=17.0)
CASES = {
    "level, empty": (NYLON, NYLON, 0.0, None, 0.06),
    "level": (NYLON, NYLON, 0.0, WALKER, 0.06),
    "level, turned": (POLYESTER, NYLON, 0.0, WALKER, 0.12),
    "inclined, empty": (POLYESTER, POLYESTER, 0.15, None, 0.03),
    "inclined": (POLYESTER, HMPE, 0.15, WALKER, 0.05),
    "steep": (HMPE, HMPE, -0.5, WALKER, 0.06),
    "stiff, empty": (HMPE, POLYESTER, -0.1, None, 0.2),
    "walker near an anchor": (NYLON, POLYESTER, 0.05, Walker(mass=100.0, at=2.5), 0.06),
    "tight backup": (NYLON, NYLON, 0.05, WALKER, 0.0),
}


def case(name: str) -> tuple[Rig, Solution, Pair]:
    main, backup, slope, walker, excess = CASES[name]
    rig = plain_rig(
        span=48.0, slope=slope, every=4.0, holds=Holds.BOTH, excess=excess, tension=main[2], measured_on="tensioned",
        walker=walker, turn=0.7 if "turned" in name else 0.0, main=webbing(*main[:2]), backup=webbing(*backup[:2]),
    )
    planned = plan(rig)
    return rig, solve(rig, planned=planned), assemble(rig, planned.layout, still_air(rig, planned))[0]


def tensions(solution: Solution) -> np.ndarray:
    """(pieces, 2) at both ends of every piece, main first."""
    lines = (solution.main, solution.backup)
    return np.concatenate([np.column_stack((line.tension_start, line.tension_end)) for line in lines])


@pytest.mark.parametrize("name", CASES)
def test_places_and_tensions(name, peer, agrees):
    """1e-7 of the span, and tensions to 1e-6: MoorPy is told to stop at steps of 1e-6 m."""
    moorpy = peer("moorpy", NEEDS)
    rig, solution, pair = case(name)
    with quiet():
        system = rebuilt(moorpy, rig, pair, straight_start(pair, 0.0)[:, :3])
        system.initialize()
        system.solveEquilibrium(tol=1e-6, maxIter=2000)
    found = np.array([point.r for point in system.pointList[2:]])
    pulls = np.array([[line.TA, line.TB] for line in system.lineList])
    agrees(
        "places of tapes and walker, over the span: difference", (solution.main.nodes[1:-1] - found) / rig.span,
        0.0, abs=1e-7,
    )
    agrees("tensions of all pieces of both lines, over MoorPy's", tensions(solution) / pulls, 1.0, rel=1e-6)


@pytest.mark.parametrize("name", CASES)
def test_our_places_balance_in_its_catenaries(name, peer, agrees):
    """1e-8 of the tension: its catenaries come within 1e-10 m of their ends."""
    moorpy = peer("moorpy", NEEDS)
    rig, solution, pair = case(name)
    with quiet():
        system = rebuilt(moorpy, rig, pair, solution.main.nodes[1:-1])
        system.initialize()
        for line in system.lineList:
            line.staticSolve(reset=True, tol=1e-10)
    pulls = np.array([[line.TA, line.TB] for line in system.lineList])
    left = np.array([point.getForces() for point in system.pointList[2:]]) / solution.tension_a
    agrees("its tensions at our places, over ours", pulls / tensions(solution), 1.0, rel=1e-8)
    agrees("what its forces at our places leave over, over the tension", left, 0.0, abs=1e-8)


@pytest.mark.parametrize("holds", [Holds.MAIN, Holds.BACKUP])
def test_settled_sliders_balance_in_its_catenaries(holds, peer, agrees):
    """Sliders without friction: its forces balance at our places, and the sliding line has one tension at each tape."""
    moorpy = peer("moorpy", NEEDS)
    rig = plain_rig(
        span=48.0, slope=0.1, every=4.0, holds=holds, excess=0.06, tension=1800.0, measured_on="tensioned",
        walker=WALKER,
    )
    planned = plan(rig)
    solution = solve(rig, "settled", planned=planned, look_for_others=False)
    pair, _ = assemble(rig, planned.layout, still_air(rig, planned))
    pair = replace(pair, main_at=solution.main.coordinate[1:-1], backup_at=slid(pair, solution))
    with quiet():
        system = rebuilt(moorpy, rig, pair, solution.main.nodes[1:-1])
        system.initialize()
        for line in system.lineList:
            line.staticSolve(reset=True, tol=1e-10)
    left = np.array([point.getForces() for point in system.pointList[2:]]) / solution.tension_a
    agrees("what its forces at our places leave over, over the tension", left, 0.0, abs=1e-8)
    pulls = np.array([[line.TA, line.TB] for line in system.lineList])
    mains = len(solution.main.nodes) - 1
    sliding = pulls[:mains] if holds is Holds.BACKUP else pulls[mains:]
    jump = sliding[1:, 0] - sliding[:-1, 1]
    if holds is Holds.BACKUP:  # The walker's foot holds the main.
        jump = jump[pair.tapes]
    agrees("settled sliders: its tension on both sides of every tape, difference", jump, 0.0, abs=1e-4, unit="N")


def slid(pair: Pair, solution: Solution) -> np.ndarray:
    """(n,) material coordinates of the backup at the tapes, where the walker has none."""
    at = np.full(pair.n, np.nan)
    at[pair.tapes] = solution.tape_backup
    return at


@pytest.mark.parametrize("slope", [0.0, -0.1])
def test_ring_at_rest_on_the_released_backup(slope, peer, agrees):
    """The whole backup between its anchors as two MoorPy lines with the walker between them; a root finder shifts the
    ring along until it pulls alike on both sides, as a ring that runs freely must."""
    moorpy = peer("moorpy", NEEDS)
    line = webbing(*POLYESTER[:2])
    rig = plain_rig(
        span=60.0, slope=slope, every=4.0, holds=Holds.BOTH, excess=0.05, tension=2500.0, measured_on="tensioned",
        walker=Walker(mass=75.0, at=25.0), main=line, backup=line,
    )
    planned = plan(rig)
    gone = main_gone(rig, planned=planned).nothing_holds
    length, weight = planned.layout.backup_length, 75.0 * G

    def hung(first):
        with quiet():
            system = moorpy.System(depth=1e4, g=G, rho=0.0)
            system.lineTypes["backup"] = line_type("backup", line)
            for kind, place in ((1, rig.backup_a), (1, rig.backup_b), (0, rig.backup_a * 0.5 + rig.backup_b * 0.5)):
                system.addPoint(kind, place - [0.0, 0.0, 0.0 if kind else 8.0])
            system.pointList[2].fExt = np.array([0.0, 0.0, -weight])
            for number, (end, part) in enumerate(((1, first), (2, length - first)), start=1):
                system.addLine(part, "backup")
                system.pointList[end - 1].attachLine(number, 0)
                system.pointList[2].attachLine(number, 1)
                system.lineList[-1].cb = NO_FLOOR
            system.initialize()
            system.solveEquilibrium(tol=1e-7, maxIter=2000)
            for piece in system.lineList:
                piece.staticSolve(reset=True, tol=1e-10)
        return system

    def uneven(first):
        left, right = hung(first).lineList
        return left.TB - right.TB

    system = hung(brentq(uneven, 0.3 * length, 0.95 * length, xtol=1e-8))
    told = "released backup with its ring at rest: "
    agrees(
        told + "place, over the span: difference", (gone.rest.ring[0] - system.pointList[2].r) / rig.span, 0.0, abs=1e-6
    )
    top = max(max(piece.TA, piece.TB) for piece in system.lineList)
    agrees(told + "largest tension", gone.rest.tension[0], top, rel=1e-6, unit="N")

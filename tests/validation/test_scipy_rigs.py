"""Whole pairs by scipy's integrators alone: at rest with and without wind, and a mass caught by a line.

A line's internal force N obeys dN/ds = -q and its place dr/ds = (N/|N|) (1 + |N|/EA): no catenary, no energy.  A pair
is shot from its anchors A: both lines are integrated by DOP853 with unknown forces there and at every tape, and
`scipy.optimize.root` finds those that bring the lines together at the tapes and to their anchors B.  A lone line is
also solved by collocation (`solve_bvp`).  Drag is worked out by hand: half the density times C times width times speed
squared (ISO 2533, Hoerner 1965).
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_bvp, solve_ivp
from scipy.optimize import root

from linescope.events.catch import fall_speed, stand
from linescope.events.fall import leash_fall
from linescope.events.wind import find_wind
from linescope.rig import Walker, Wind
from linescope.statics import Solution, plan, solve
from linescope.statics.minimise import minimise
from linescope.taping import Holds
from tests.events.catch_rigs import rigid
from tests.statics.making import lone_main, straight_start
from tests.statics.random_rigs import plain_rig, webbing

OUTSIDE = {"area": "peers", "known": "peer"}
pytestmark = pytest.mark.peer
G = 9.80665
EA_MAIN, EA_BACKUP, MASS_MAIN, MASS_BACKUP, WIDTH = 62.5e3, 125e3, 0.062, 0.055, 0.025


def piece(start, force, length, q, ea, points=0):
    """Far end of one piece of line, and `points` places along it."""
    def along(s, _):
        pull = force - q * s
        tension = np.linalg.norm(pull)
        return pull * (1.0 / tension + 1.0 / ea)

    at = np.linspace(0.0, length, points) if points else None
    path = solve_ivp(along, (0.0, length), start, method="DOP853", rtol=1e-10, atol=1e-11, t_eval=at).y
    return path[:, -1], path.T


def shot(unknown, solution: Solution, loads, push, points=0):
    """What the lines miss when shot with these forces, and nodes, tensions and loops on the way."""
    rig, tapes = solution.rig, len(solution.tape_main)
    forces = unknown.reshape(-1, 3)
    at_tapes = iter(forces[2:])
    walker_at = None
    if solution.walker_point is not None:
        walker_at = int(np.argmin(np.abs(solution.main.nodes - solution.walker_point).sum(axis=1)))
    taken, seen, pulls, loops = {}, {"main": [], "backup": []}, [], []
    for name, line, start, force, ea, q in (
        ("main", solution.main, rig.main_a, forces[0], EA_MAIN, loads[0]),
        ("backup", solution.backup, rig.backup_a, forces[1], EA_BACKUP, loads[1]),
    ):
        place, force = np.array(start, dtype=float), force.copy()
        tape = 0
        for node, length in enumerate(np.diff(line.coordinate), start=1):
            first = np.linalg.norm(force)
            place, path = piece(place, force, length, q, ea, points if name == "backup" else 0)
            force = force - q * length
            pulls.append((first, np.linalg.norm(force)))
            seen[name].append(place)
            if name == "backup":
                loops.append(path)
            if node == len(line.coordinate) - 1:
                continue
            if name == "main" and node == walker_at:
                force = force - push
            else:
                pull = next(at_tapes) if name == "main" else taken[tape]
                taken[tape] = pull
                force = force - pull if name == "main" else force + pull
                tape += 1
    main = [place for node, place in enumerate(seen["main"][:-1], start=1) if node != walker_at]
    gaps = [a - b for a, b in zip(main, seen["backup"][:-1], strict=True)]
    missed = np.array([*gaps, seen["main"][-1] - rig.main_b, seen["backup"][-1] - rig.backup_b])
    assert missed.shape == (tapes + 2, 3)
    return missed.ravel(), np.array(seen["main"]), np.array(pulls), loops


def solved(solution: Solution, loads, push):
    """Forces found from ours, every one of them wrong by some percent to begin with."""
    main, backup = solution.main.segments, solution.backup.segments
    back = backup.force_start[1:] - backup.force_end[:-1]
    start = np.concatenate((main.force_start[:1], backup.force_start[:1], back))
    assert len(back) == len(solution.tape_main)
    rng = np.random.default_rng(7)
    start = start * (1.0 + 0.03 * rng.uniform(-1.0, 1.0, start.shape))
    found = root(lambda x: shot(x, solution, loads, push)[0], start.ravel(), method="hybr", tol=1e-11)
    missed, nodes, pulls, loops = shot(found.x, solution, loads, push, points=41)
    assert np.abs(missed).max() < 1e-8, "the shot lines have to meet"
    return nodes, pulls, loops


def rig_of(slope: float, walker: bool):
    return plain_rig(
        span=20.0, slope=slope, every=4.0, holds=Holds.BOTH, excess=0.08, tension=1500.0, measured_on="tensioned",
        walker=Walker(mass=75.0, at=9.0) if walker else None, main=webbing(EA_MAIN, MASS_MAIN),
        backup=webbing(EA_BACKUP, MASS_BACKUP),
    )


def compare(agrees, solution: Solution, loads, push, what: str) -> None:
    nodes, pulls, loops = solved(solution, loads, push)
    lines = (solution.main, solution.backup)
    ours = np.concatenate([np.column_stack((line.tension_start, line.tension_end)) for line in lines])
    told = {"source": "scipy DOP853, shooting"}
    away = [solution.main.nodes[1:] - nodes, *(solution.loop(bay) - loop for bay, loop in enumerate(loops))]
    agrees(
        f"{what}: places of tapes, walker and loops, difference", np.concatenate(away), 0.0, abs=1e-6, unit="m", **told,
    )
    agrees(f"{what}: tensions of both lines over scipy's", ours / pulls, 1.0, rel=1e-6, **told)


@pytest.mark.parametrize(("slope", "walker"), [(0.0, True), (0.2, True), (-0.1, False)])
def test_pair_in_still_air(slope, walker, agrees):
    solution = solve(rig_of(slope, walker))
    loads = np.array([[0.0, 0.0, -MASS_MAIN * G], [0.0, 0.0, -MASS_BACKUP * G]])
    compare(agrees, solution, loads, np.array([0.0, 0.0, -75.0 * G]), "pair at rest")


@pytest.mark.parametrize(("slope", "walker"), [(0.0, False), (0.2, True)])
def test_pair_in_wind(slope, walker, agrees):
    """Gusts of 1.5 x 8 m/s; C = 2 and seven tenths of the width broadside; 0.6 m2 of walker, C in it."""
    wind = Wind(speed=8.0, towards=(0.0, 1.0))
    case = find_wind(rig_of(slope, walker), wind).case("walker" if walker else "empty")
    pressure = 0.5 * 1.225 * (1.5 * 8.0) ** 2
    drag = pressure * 2.0 * 0.7 * WIDTH
    loads = np.array([[0.0, drag, -MASS_MAIN * G], [0.0, drag, -MASS_BACKUP * G]])
    push = np.array([0.0, pressure * 0.6, -75.0 * G])
    compare(agrees, case.gust, loads, push, "pair in a gust of 12 m/s")


def test_loaded_line_in_wind_by_collocation(agrees):
    """Two pieces beside a walker, inclined, blown from the side: twelve unknown functions, scipy's solve_bvp."""
    ea, length, first, load, end = 62.5e3, 41.0, 17.0, 0.9, np.array([40.0, 0.0, 4.0])
    down = np.array([0.0, 0.6, -0.8])
    pull = np.array([0.0, 40.0, -700.0])
    pair = lone_main(end=end, length=length, load=load, ea=ea, at=[first], pulls=[pull], down=down)
    state = minimise(pair, straight_start(pair, 0.02)).state
    sizes = np.array([first, length - first])

    def along(_, y):
        slopes = np.empty_like(y)
        for k in (0, 1):
            n = y[6 * k + 3 : 6 * k + 6]
            slopes[6 * k : 6 * k + 3] = sizes[k] * n * (1.0 / np.linalg.norm(n, axis=0) + 1.0 / ea)
            slopes[6 * k + 3 : 6 * k + 6] = -sizes[k] * load * down[:, None]
        return slopes

    def ends(a, b):
        return np.concatenate((a[:3], b[6:9] - end, b[:3] - a[6:9], b[3:6] - a[9:12] - pull))

    t = np.linspace(0.0, 1.0, 11)
    guess = np.zeros((12, len(t)))
    knee = np.array([17.0, 1.0, -3.0])
    for k, (a, b) in enumerate(((np.zeros(3), knee), (knee, end))):
        guess[6 * k : 6 * k + 3] = a[:, None] + (b - a)[:, None] * t
        guess[6 * k + 3 : 6 * k + 6] = (1500.0 * (b - a) / np.linalg.norm(b - a))[:, None]
    found = solve_bvp(along, ends, t, guess, tol=1e-10, max_nodes=20000)
    assert found.success
    told = {"source": "scipy solve_bvp, collocation"}
    away = state.unknowns[0, :3] - found.y[:3, -1]
    agrees("line with a walker in wind: his place, difference", away, 0.0, abs=1e-7, unit="m", **told)
    force = np.array([state.segments.force_start[0], state.segments.force_end[1]])
    theirs = np.array([found.y[3:6, 0], found.y[9:12, -1]])
    agrees(
        "line with a walker in wind: forces at both anchors, difference", force - theirs,
        0.0, abs=1e-5, unit="N", **told,
    )


@pytest.mark.parametrize("at", [20.0, 12.0])
def test_leash_fall_on_light_lines_in_time(at, agrees):
    """A mass on the two straight elastic legs of a weightless main, from the standing walker's place and downwards
    with the speed of the free fall.  At mid-span it goes straight down and the bound is met; elsewhere it sways too,
    and keeps some energy for that."""
    light = webbing(EA_MAIN, 1e-4)
    rig = plain_rig(
        span=40.0, every=5.0, holds=Holds.BOTH, excess=0.5, tension=1500.0, measured_on="tensioned",
        walker=Walker(mass=75.0, at=at), main=light, backup=light,
    )
    loaded = stand(plan(rig), at)
    legs = np.array([loaded.coordinate, loaded.pair.main_length - loaded.coordinate])
    anchors = np.array([rig.main_a[[0, 2]], rig.main_b[[0, 2]]])

    def pull(place):
        way = anchors - place
        size = np.linalg.norm(way, axis=1)
        tension = EA_MAIN * np.maximum(size / legs - 1.0, 0.0)
        return (tension / size) @ way, tension

    def motion(_, y):
        return [*y[2:], *(pull(y[:2])[0] / 75.0 - [0.0, G])]

    figures = leash_fall(rigid(rig)).figures
    start = figures.ring_standing[0, [0, 2]]
    speed = fall_speed(figures.free_fall)
    path = solve_ivp(
        motion, (0.0, 2.0), [*start, 0.0, -speed], method="DOP853", rtol=1e-10, atol=1e-10, max_step=1e-3
    ).y
    deepest = int(np.argmin(path[1]))
    told = {"source": "scipy DOP853, mass on two elastic legs", "side": "above"}
    if at == 20.0:
        agrees(
            "leash fall at mid-span: dip, a bound", figures.low.dip[0], start[1] - path[1, deepest],
            rel=1e-4, unit="m", **told,
        )
        force, tension = pull(path[:2, deepest])
        agrees(
            "leash fall at mid-span: force and tension at the bottom",
            (figures.low.peak_force[0], figures.low.peak_main_tension[0]),
            (force[1], tension.max()), rel=5e-5, unit="N", source=told["source"],
        )
    else:
        agrees(
            "leash fall at 30 % of the span: dip, a bound", figures.low.dip[0], start[1] - path[1, deepest],
            rel=0.05, unit="m", **told,
        )

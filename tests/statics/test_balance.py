"""Forces of whole solved rigs, added up from the Solution alone."""

from __future__ import annotations

import functools

import numpy as np
import pytest

from linescope.rig import Joint, Spacing, Walker
from linescope.statics import solve
from linescope.taping import Holds
from linescope.webbing import StretchCurve
from tests.statics.random_rigs import plain_rig, planned_rig, webbing

G = 9.80665  # Standard gravity, 3rd CGPM 1901 [m/s^2].
BENT = StretchCurve(
    tension=np.array([0.0, 1e3, 2e3, 5e3, 10e3]), strain=np.array([0.0, 0.03, 0.05, 0.09, 0.14])
)
SEEDS = (0, 1, 2, 3, 5, 8, 11, 14)
STATES = ("as taped", "settled")


@functools.cache
def solved(seed: int, state: str):
    rig, planned = planned_rig(seed)
    return solve(rig, state, planned=planned, look_for_others=False)


def weight_of(solution) -> float:
    """Weight of everything that hangs on the anchors, from masses and lengths.  [N]"""
    rig, layout = solution.rig, solution.layout
    mass = (rig.main.mass + rig.weather.main_added) * layout.main_length
    mass += (rig.backup.mass + rig.weather.backup_added) * layout.backup_length
    mass += rig.taping.tape_mass * sum(tape.kind == "tape" for tape in layout.tapes)
    mass += sum(joint.mass for joint in rig.joints)
    mass += rig.walker.mass if rig.walker else 0.0
    return G * mass


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("seed", SEEDS)
def test_anchors_carry_the_weight(seed, state):
    """The four anchor forces add up to the weight of all that hangs on them, to 1e-8 of it."""
    solution = solved(seed, state)
    weight = weight_of(solution)
    total = np.zeros(3)
    for line in (solution.main, solution.backup):
        total += line.segments.force_start[0] - line.segments.force_end[-1]
    assert total == pytest.approx([0.0, 0.0, -weight], abs=1e-8 * weight)


def test_a_tied_joint_weighs():
    """A joint of 0.5 kg adds its weight to the anchors whether it is tied or not."""
    loads = []
    for tied in (False, True):
        rig = plain_rig(joints=(Joint(at=20.0, mass=0.5, tied=tied),), measured_on="tensioned")
        solution = solve(rig)
        lines = (solution.main.segments, solution.backup.segments)
        total = sum(line.force_end[-1, 2] - line.force_start[0, 2] for line in lines)
        dead = rig.main.mass * solution.layout.main_length + rig.backup.mass * solution.layout.backup_length
        loads.append(total - G * dead)
    assert loads == pytest.approx([0.5 * G] * 2, rel=1e-7)


@pytest.mark.parametrize("state", STATES)
@pytest.mark.parametrize("seed", SEEDS)
def test_every_node_balances(seed, state):
    """At every node the tension vectors, from H and V, cancel the load there, to 1e-8 of the rig's weight."""
    solution = solved(seed, state)
    rig, weight = solution.rig, weight_of(solution)
    for line in (solution.main, solution.backup):
        if line is solution.main:
            sums = {tuple(p): v.copy() for p, v in zip(line.nodes[1:-1], _pulls(line), strict=True)}
        else:
            for point, pull in zip(line.nodes[1:-1], _pulls(line), strict=True):
                sums[tuple(point)] += pull
    loads = dict.fromkeys(sums, 0.0)
    for tape, point in zip(solution.layout.tapes, solution.tape_points, strict=True):
        loads[tuple(point)] += rig.taping.tape_mass * G if tape.kind == "tape" else 0.0
    if rig.walker:
        loads[tuple(solution.walker_point)] += rig.walker.mass * G
    joints = [0.0, *(joint.mass * G for joint in rig.joints)]
    for point, pull in sums.items():
        rest = [np.abs(pull - [0.0, 0.0, loads[point] + joint]).max() for joint in joints]
        assert min(rest) <= 1e-8 * weight


def _pulls(line):
    """What the line's two tensions pull on each inner node, along the line both ways."""
    return line.segments.force_start[1:] - line.segments.force_end[:-1]


@pytest.mark.parametrize("seed", SEEDS[:4])
def test_tension_vectors_lie_along_the_curve(seed):
    """H and V are not just numbers that cancel: a parabola through the first three samples of each segment has the
    tension's direction at its node, to the square of the sample spacing."""
    solution = solved(seed, "as taped")
    for line in (solution.main, solution.backup):
        fine = 400
        points = line.segments.sample(fine, line.nodes[:-1])[0]
        tangent = -3.0 * points[:, 0] + 4.0 * points[:, 1] - points[:, 2]
        tangent /= np.linalg.norm(tangent, axis=1)[:, None]
        force = line.segments.force_start / line.segments.tension_start[:, None]
        turn = line.segments.flat.q * line.segments.length / line.segments.tension_start.clip(1e-3)
        error = np.linalg.norm(tangent - force, axis=1)
        gentle = turn < 30.0
        assert np.all(error[gentle] <= 3.0 * (turn[gentle] / fine) ** 2 + 1e-9)
        assert gentle.mean() > 0.5


@pytest.mark.parametrize("holds", [Holds.MAIN, Holds.BACKUP])
@pytest.mark.parametrize("bent", [False, True])
def test_invariant_along_frictionless_lines(holds, bent):
    """Settled: phi(T) - q z is one constant along the whole sliding line, phi = T + T^2 / 2EA or, for a bent stretch
    curve, the integral of its stretch ratio (H. M. Irvine, *Cable Structures*, 1981, section 1.3, by integration of
    the equilibrium along the line).  To 1e-7 of the line's weight for the straight law; the bent one is met by a
    tangent in each segment, which costs the cube of the tension's change along it."""
    lines = {"main": webbing(stretch=BENT), "backup": webbing(stretch=BENT)} if bent else {}
    rig = plain_rig(
        slope=0.12, holds=holds, excess=0.06, measured_on="tensioned", walker=Walker(mass=75.0, at=20.0),
        spacing=Spacing(kind="irregular", every=3.0, spread=0.3, seed=3), **lines,
    )
    solution = solve(rig, "settled", look_for_others=False)
    line, webbing_ = (
        (solution.backup, rig.backup) if holds is Holds.MAIN else (solution.main, rig.main)
    )
    ends = np.stack((line.tension_start, line.tension_end))
    heights = np.stack((line.nodes[:-1, 2], line.nodes[1:, 2]))
    if bent:
        phi = ends + webbing_.stretch.at(ends.ravel())[2].reshape(ends.shape)
    else:
        compliance = webbing_.stretch.strain[1] / webbing_.stretch.tension[1]
        phi = ends + 0.5 * compliance * ends**2
    invariant = phi - G * webbing_.mass * heights
    # The main slides through tapes, not through the walker; a tape that has run against his foot stops there.
    scale = G * webbing_.mass * solution.layout.main_length
    first = 0
    for index in [*np.flatnonzero(_is_stop(solution, line)), len(line.segments.length)]:
        part = invariant[:, first:index]
        first = index
        assert part.size and np.ptp(part) <= (1e-5 if bent else 1e-7) * scale


def _is_stop(solution, line):
    """(k,) whether the sliding line is held at the A end of each segment: by the walker's foot, or by a tape that
    touches it (closer than the tape is wide)."""
    stop = np.zeros(len(line.segments.length), dtype=bool)
    if line is solution.main:
        foot = int(np.argmin(np.linalg.norm(line.nodes - solution.walker_point, axis=1)))
        stop[foot] = True
    touching = np.flatnonzero(line.segments.length < solution.rig.taping.stock.width)
    stop[touching] = stop[touching + 1] = True
    return stop

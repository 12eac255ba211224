"""Small cases of each kind, against their equations of motion integrated by scipy's DOP853.

Lines have a thousandth of the mass that they carry, and pieces are straight, so few unknowns say all: places of two
masses, the averaged force of a tape, the angle of a pendulum.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from linescope.motion.arrays import AIR, EXTRA, FRICTION, SLIDER, TAPE
from linescope.motion.run import run
from linescope.rig.atmosphere import STANDARD_GRAVITY as G
from tests.motion.bare import bare_line

pytestmark = pytest.mark.peer
EA, RHO = 2e4, 2e-3
DOWN = np.array([0.0, 0.0, -G])


def pull(towards, at, rest, other=0.0):
    """Force on a point from a straight elastic string to another, `other` metres of whose length lie elsewhere."""
    way = towards - at
    size = np.linalg.norm(way)
    return EA * max((size + other) / rest - 1.0, 0.0) * way / size


def integrated(rate, start, end, **more):
    return solve_ivp(rate, (0.0, end), start, method="DOP853", rtol=1e-10, atol=1e-11, dense_output=True, **more)


def test_two_masses_and_a_tape_that_slides():
    """A tape of 20 kg holds the main; the backup runs through it without friction to a mass of 15 kg."""
    a, b, c, d = (np.array(p) for p in ([0.0, 0.0, 0.0], [10.0, 0.0, 0.0], [0.0, 0.0, -0.5], [10.0, 0.0, -0.5]))
    tape, low = np.array([5.0, 0.0, -0.6]), np.array([7.5, 0.0, -1.6])
    main, backup = np.array([0.0, 5.0, 10.0]), np.array([0.0, 5.1, 7.8, 10.7])
    prepared = bare_line(
        [a, tape, b], main, stiffness=EA, mass=RHO, second=(np.array([c, tape, low, d]), backup),
        hung={1: 20.0, 5: 15.0}, links=[(SLIDER, 1, 4, 0.0, 0.0, np.inf)], safety=0.1,
    )
    motion = run(prepared, 2.0, frame=0.02)
    first, second = 20.0 + RHO * 5.0, 15.0 + RHO * (0.5 * (backup[3] - backup[1]) + 0.25 * (backup[2] - backup[0]))

    def rate(_, y):
        p, q = y[:3], y[3:6]
        one, two = np.linalg.norm(c - p), np.linalg.norm(q - p)
        on_p = pull(a, p, 5.0) + pull(b, p, 5.0) + pull(c, p, backup[2], two) + pull(q, p, backup[2], one)
        on_q = pull(p, q, backup[2], one) + pull(d, q, backup[3] - backup[2])
        return np.concatenate((y[6:], on_p / first + DOWN, on_q / second + DOWN))

    peer = integrated(rate, np.concatenate((tape, low, np.zeros(6))), 2.0).sol(motion.frame_time).T
    assert np.ptp(peer[:, 3:6], axis=0).max() > 0.5  # It does move,
    assert motion.slid[0] > 0.1  # and slide.
    assert np.abs(motion.points[:, 1] - peer[:, :3]).max() < 5e-3
    assert np.abs(motion.points[:, 5] - peer[:, 3:6]).max() < 5e-3
    assert motion.account.error < 1e-3


def test_a_ring_runs_over_a_line_whose_tape_fails():
    """80 kg on a ring that runs between anchor and tape; the tape goes when its force, averaged over 1 ms as the method
    has it, comes to 900 N, and the main goes on without its backup."""
    a, b, c, d = (np.array(p) for p in ([0.0, 0.0, 0.0], [15.0, 0.0, 0.0], [0.0, 0.0, 1.0], [15.0, 0.0, 1.0]))
    ring, tape, lag, strength = np.array([4.5, 0.0, -1.2]), np.array([10.0, 0.0, -0.3]), 1e-3, 900.0
    main, backup = np.array([0.0, 5.0, 10.2, 15.4]), np.array([0.0, 10.2, 15.6])
    prepared = bare_line(
        [a, ring, tape, b], main, stiffness=EA, mass=RHO, second=(np.array([c, tape, d]), backup), ring=(1, 4.7),
        ring_mass=80.0, hung={2: 2.0}, links=[(TAPE, 2, 5, 0.0, 0.0, strength)], safety=0.05,
    )
    motion = run(prepared, 1.2, frame=0.01)
    # The ring's slot has no mass of the line: each neighbour takes half.
    on_main = 2.0 + RHO * 0.5 * 5.2 + RHO * (0.5 * 5.2 + 0.25 * 10.2)
    on_backup = RHO * 0.5 * 15.6

    def forces(p, q, r):
        """On the ring, on the main at its tape, on the backup there."""
        one, two = np.linalg.norm(a - p), np.linalg.norm(q - p)
        on_p = pull(a, p, main[2], two) + pull(q, p, main[2], one)
        return on_p, pull(p, q, main[2], one) + pull(b, q, main[3] - main[2]), pull(c, r, backup[1]) + pull(
            d, r, backup[2] - backup[1])

    def together(_, y):
        p, q = y[:3], y[3:6]
        on_p, on_q, on_r = forces(p, q, q)
        both = (on_q + on_r) / (on_main + on_backup) + DOWN
        carries = on_backup * (both - DOWN) - on_r
        return np.concatenate((y[6:12], on_p / 80.0 + DOWN, both, (carries - y[12:]) / lag))

    def fails(_, y):
        return np.linalg.norm(y[12:]) - strength

    fails.terminal = True

    def apart(_, y):
        on_p, on_q, on_r = forces(y[:3], y[3:6], y[6:9])
        return np.concatenate((y[9:], on_p / 80.0 + DOWN, on_q / on_main + DOWN, on_r / on_backup + DOWN))

    before = integrated(together, np.concatenate((ring, tape, np.zeros(9))), 1.2, events=fails)
    when = float(before.t_events[0][0])
    y = before.y_events[0][0]
    after = integrated(apart, np.concatenate((y[:6], y[3:6], y[6:12], y[9:12])), 1.2 - when)
    assert 0.02 < when < 1.0 and motion.tape_time[0] == pytest.approx(when, abs=2e-3)
    late = motion.frame_time > when + 2e-3
    peer = after.sol(motion.frame_time[late] - when).T
    n = prepared.model.slots
    assert np.abs(motion.points[late][:, n] - peer[:, :3]).max() < 2e-3
    assert np.abs(motion.points[late][:, 2] - peer[:, 3:6]).max() < 2e-3
    assert motion.account.error < 0.01


def bound(y, exponent, a, length):
    """Coordinate of a line at a ring on it where T_a = T_b exp(exponent x turn), each EA (stretched / rest - 1)."""
    one, two = a - y[:3], y[3:6] - y[:3]
    la, lb = np.linalg.norm(one), np.linalg.norm(two)
    ratio = np.exp(exponent * (np.pi - np.arccos(one @ two / (la * lb))))
    roots = np.roots([1.0 - ratio, -(la + length) - ratio * (lb - length), la * length])
    return next(float(root) for root in roots.real if 0.0 < root < length)


def test_a_ring_that_rubs_runs_down_to_a_tape_that_stops_it():
    """80 kg on a ring, let go high above a tape, which stops it 5 cm before itself; then it swings there.

    Where the line lies in the ring has no inertia: friction holds it while exp(-f turn) <= T_a / T_b <= exp(f turn),
    two bounds that move with the ring.  It rests between them, or goes along with the one that would leave it behind
    (+1 the lower, -1 the upper) till that turns back or the stop is reached.
    """
    a, b, c, d = (np.array(p) for p in ([0.0, 0.0, 0.0], [15.0, 0.0, -6.5], [0.0, 0.0, -2.0], [15.0, 0.0, -6.0]))
    ring, tape, friction, mass, seconds = np.array([2.5, 0.0, -2.4]), np.array([10.0, 0.0, -6.0]), 0.15, 80.0, 2.8
    main, backup, stop = np.array([0.0, 5.0, 11.75, 16.7]), np.array([0.0, 10.7, 15.7]), 11.75 - 0.05
    y = np.concatenate((ring, tape, np.zeros(6)))
    s = bound(y, 0.0, a, main[2])
    prepared = bare_line(
        [a, ring, tape, b], main, stiffness=EA, mass=RHO, second=(np.array([c, tape, d]), backup), ring=(1, s),
        ring_mass=mass, hung={2: 20.0}, links=[(TAPE, 2, 5, 0.0, 0.0, np.inf)], safety=0.05,
    )
    prepared.model.of_links[FRICTION, 1] = friction
    motion = run(prepared, seconds, frame=0.01)
    at_tape = 20.0 + RHO * (0.5 * (main[3] - main[1]) + 0.25 * main[2] + 0.5 * backup[2])

    def rate(_, y, rests, way):
        p, q = y[:3], y[3:6]
        s = rests if way == 0 else bound(y, way * friction, a, main[2])
        on_p = pull(a, p, s) + pull(q, p, main[2] - s)
        on_q = pull(p, q, main[2] - s) + pull(b, q, main[3] - main[2])
        on_q += pull(c, q, backup[1]) + pull(d, q, backup[2] - backup[1])
        return np.concatenate((y[6:], on_p / mass + DOWN, on_q / at_tape + DOWN))

    def comes_to(place, side):
        def event(_, y, *__):
            return bound(y, side * friction, a, main[2]) - place

        event.terminal, event.direction = True, side
        return event

    def turns_back(way):
        def event(_, y, *__):
            ahead = 1e-6 * np.concatenate((y[6:], np.zeros(6)))
            return bound(y + ahead, way * friction, a, main[2]) - bound(y - ahead, way * friction, a, main[2])

        event.terminal, event.direction = True, -way
        return event

    time, way, ways, stopped = 0.0, 0, [], False
    while time < seconds:
        if way:
            events = [turns_back(way), comes_to(stop, 1)]
        else:
            events = [comes_to(s, -1), *([comes_to(s, 1)] if s < stop else [])]
        part = solve_ivp(rate, (time, seconds), y, method="DOP853", rtol=1e-9, atol=1e-10, dense_output=True,
                         events=events, max_step=0.01, args=(s, way))  # fmt: skip
        mine = (motion.frame_time >= time) & (motion.frame_time <= part.t[-1])
        peer, ours = part.sol(motion.frame_time[mine]).T, motion.points[mine]
        assert np.abs(ours[:, prepared.model.slots] - peer[:, :3]).max(initial=0.0) < 0.01
        assert np.abs(ours[:, 2] - peer[:, 3:6]).max(initial=0.0) < 0.01
        time, y = float(part.t[-1]), part.y[:, -1]
        ways.append(way)
        stopped |= way == 1 and part.status == 1 and len(part.t_events[1]) > 0
        if way:
            s, way = (stop if len(part.t_events[1]) else bound(y, way * friction, a, main[2])), 0
        else:
            way = -1 if len(part.t_events[0]) else 1
    assert stopped and set(ways) == {-1, 0, 1} and len(ways) > 6
    assert motion.account.friction[-1] > 1e3 and motion.account.error < 1e-3


def test_a_pendulum_in_a_gust():
    """A bob of 0.5 kg on a stiff strip of 3 m in wind that comes to 12 m/s within 1 s; drag on the velocity that the
    strip's middle sees, half of it on the bob."""
    length, bob, seen, rise, top = 3.0, 0.5, 0.03, 1.0, 12.0
    stiffness = 2e5
    prepared = bare_line(
        [[0.0, 0.0, 0.0], [0.0, 0.0, -length]], [0.0, length], stiffness=stiffness, mass=RHO, free=(1,),
        hung={1: bob}, safety=0.3,
    )
    prepared.model.of_slots[AIR, 0] = seen
    air = np.array([[0.0, rise], [0.0, 0.0], [0.0, top], [0.0, 0.0]])
    motion = run(prepared.given({}, wind=air), 4.0, frame=0.02)
    mass = float(prepared.model.of_slots[EXTRA, 1]) + 0.5 * RHO * length

    def rate(t, y):
        angle, turn = y
        along = np.array([np.cos(angle), np.sin(angle)])  # Of motion: sideways, up.
        wind = np.array([top * min(t / rise, 1.0), 0.0]) - 0.5 * length * turn * along
        across = float(wind @ along)
        drag = 0.5 * seen * length * abs(across) * across
        return [turn, (drag - mass * G * np.sin(angle)) / (mass * length)]

    peer = solve_ivp(rate, (0.0, 4.0), [0.0, 0.0], method="DOP853", rtol=1e-10, atol=1e-12, dense_output=True)
    angle = np.arctan2(motion.points[:, 1, 1], -motion.points[:, 1, 2])
    assert np.degrees(peer.sol(motion.frame_time)[0].max()) > 30.0
    assert np.abs(angle - peer.sol(motion.frame_time)[0]).max() < 5e-3

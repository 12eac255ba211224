"""The run of a ring along a hanging line: a bead on an ellipse in time, mirror, energy, no grid."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from linescope.events.released import Chain, Part
from linescope.events.ring_run import track
from linescope.webbing.stretch import StretchCurve

OUTSIDE = {"area": "loss of the main", "known": "peer"}
WEIGHT, SPAN, LENGTH, G = 750.0, 60.0, 64.0, 9.81


def chain(rise: float, length: float = LENGTH) -> Chain:
    """A line that weighs and stretches next to nothing."""
    part = Part(length=length, load=1e-4, stretch=StretchCurve.linear(1e9))
    return Chain(start=np.zeros(3), end=np.array([SPAN, 0.0, rise]), parts=(part,))


def bead(rise: float, start: float, friction: float) -> float:
    """Where a bead on the ellipse that an inextensible line allows it first turns back, in time: Newton's law along the
    way, the line's friction from the force across it."""
    focus = np.array([SPAN, rise])
    half, apart = 0.5 * LENGTH, 0.5 * float(np.hypot(*focus))
    small, tilt, middle = np.sqrt(half**2 - apart**2), np.arctan2(rise, SPAN), 0.5 * focus
    turn = np.array([[np.cos(tilt), -np.sin(tilt)], [np.sin(tilt), np.cos(tilt)]])

    def place(u):
        return middle + turn @ np.array([half * np.cos(u), small * np.sin(u)])

    def motion(_, y):
        u, rate = y
        first = turn @ np.array([-half * np.sin(u), small * np.cos(u)])
        second = turn @ np.array([-half * np.cos(u), -small * np.sin(u)])
        way = np.linalg.norm(first)
        along = first / way
        across = np.array([-along[1], along[0]])  # Up, for u that grows towards B on the lower half.
        point, mass = place(u), WEIGHT / G
        legs = -point / np.linalg.norm(point), (focus - point) / np.linalg.norm(focus - point)
        angle = np.arccos(np.clip(-legs[0] @ legs[1], -1.0, 1.0))
        force = WEIGHT * across[1] + mass * rate**2 * (second @ across)
        tension = force / (2.0 * np.sin(0.5 * angle))
        passing = abs(legs[0] @ along)  # Of the line per metre of way.
        rub = tension * np.expm1(friction * angle) * passing  # Till it first turns back.
        pull = -WEIGHT * along[1] - rub
        return [rate, (pull / mass - rate**2 * (second @ along)) / way]

    def turned(_, y):
        return y[1]

    turned.terminal, turned.direction = True, -1.0
    u = 1.5 * np.pi + np.linspace(-1.5, 1.5, 200001)
    x = middle[0] + half * np.cos(u) * np.cos(tilt) - small * np.sin(u) * np.sin(tilt)
    begin = float(np.interp(start, x, u))
    found = solve_ivp(motion, (0.0, 60.0), [begin, 1e-9], method="DOP853", rtol=1e-11, atol=1e-12, events=turned)
    return float(place(found.y_events[0][0][0])[0])


@pytest.mark.peer
@pytest.mark.parametrize(("rise", "start"), [(0.0, 8.0), (-4.0, 15.0), (-4.0, 8.0)])
@pytest.mark.parametrize("friction", [0.0, 0.05, 0.1, 0.2])
def test_a_ring_on_a_light_line_runs_as_a_bead_on_its_ellipse(rise, start, friction, agrees):
    agrees(
        f"ring running along a light line, {rise:+.0f} m, friction {friction}: first turns back at",
        track(chain(rise), WEIGHT).run(start, friction), bead(rise, start, friction), abs=0.01, unit="m",
        source="scipy DOP853, bead on an ellipse",
    )


def test_on_a_level_line_it_never_passes_the_mirrored_place():
    line = track(chain(0.0), WEIGHT)
    for start in (2.0, 10.0, 29.0, 30.0, 47.0):
        assert line.run(start, 0.0) == pytest.approx(SPAN - start, abs=1e-3)
        for friction in (0.05, 0.1, 0.2):
            ends = sorted((start, SPAN - start))
            assert ends[0] - 1e-6 <= line.run(start, friction) <= ends[1] + 1e-6
    assert line.run(0.5 * SPAN, 0.05) == 0.5 * SPAN


def test_on_a_line_as_long_as_larkspur_ledges_backup_it_turns_at_the_other_end_of_a_level_chord_of_its_ellipse():
    """Analytic geometry: middles of level chords of an ellipse lie on one straight line through its middle and its
    lowest point.  From the middle of 92 m, B 7 m lower, 95.3 m of backup: 69.8 m level, 70.0 m along; the backup itself
    stretches under him, and it is 68 m.  A ring that turns at 63 m is one on 98.8 m of line."""
    across, down, length = 91.73, 7.0, 95.315
    ends = Chain(
        start=np.zeros(3), end=np.array([across, 0.0, -down]),
        parts=(Part(length=length, load=1e-4, stretch=StretchCurve.linear(1e9)),),
    )

    def turns(length):
        half, apart, tilt = 0.5 * length, 0.5 * np.hypot(across, down), np.arctan2(-down, across)
        small = np.sqrt(half**2 - apart**2)
        lowest = np.sqrt((half * np.sin(tilt)) ** 2 + (small * np.cos(tilt)) ** 2)
        middle = -(half**2 - small**2) * np.sin(tilt) * np.cos(tilt) / lowest  # Of the lowest point, sideways.
        start = half * small / np.hypot(small * np.sin(tilt), half * np.cos(tilt))  # Straight below the middle.
        return 0.5 * across + 2.0 * middle * start / lowest

    assert track(ends, WEIGHT).run(0.5 * across, 0.0) == pytest.approx(turns(length), abs=0.05)
    assert turns(length) == pytest.approx(69.8, abs=0.1)
    assert turns(98.8) == pytest.approx(63.0, abs=0.5)


def test_more_friction_never_lets_it_run_farther():
    line = track(chain(-5.0), WEIGHT)
    runs = [line.run(6.0, friction) for friction in (0.0, 0.02, 0.05, 0.1, 0.2, 0.4)]
    assert np.all(np.diff(runs) <= 0.0)
    assert line.run(6.0, 5.0) == 6.0  # Held where it is.


def test_how_many_places_of_the_line_are_solved_does_not_matter():
    coarse, fine = (track(chain(-4.0), WEIGHT, places) for places in (161, 322))
    for friction in (0.0, 0.05, 0.2):
        assert coarse.run(8.0, friction) == pytest.approx(fine.run(8.0, friction), abs=2e-3)

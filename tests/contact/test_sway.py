"""Loops in wind: the pendulum against other integrators, its period, its play, and the friction of a pivot."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import quad, solve_ivp

from linescope.contact.ledger import Face
from linescope.contact.sway import (
    ARMS,
    LENGTH_SCALE,
    SHARES,
    WIND_STEP,
    find_sway,
    gusts,
    pivot_work,
    sway_tracks,
    swing_on,
)
from linescope.statics import solve
from linescope.taping import Holds
from tests.contact.making import breeze, walked_rig

G = 9.80665


def swung(wind, depth, drag, step, play=(0.0,), angle=0.0, lead_in=0.0, wind_step=WIND_STEP):
    q, w, path = np.array([angle]), np.zeros(1), np.zeros((1, len(play)))
    swing_on(
        np.array(wind, dtype=float), wind_step, np.array([depth]), drag, G, step, lead_in, np.array(play), q, w, path,
        ARMS, SHARES,
    )
    return float(q[0]), float(w[0]), path[0]


def test_a_pendulum_with_relative_drag_follows_scipy():
    """scipy DOP853 with the air's moment by adaptive quadrature over the loop, instead of four points."""
    depth, drag, seconds = 0.4, 0.35, 6.0
    wind = 7.0 + 2.0 * np.sin(np.linspace(0.0, 9.0, round(seconds / WIND_STEP) + 1))

    def rates(t, y):
        q, w = y
        u = np.interp(t, np.arange(len(wind)) * WIND_STEP, wind)

        def moment(s):
            r = 4.0 * depth * s * (1.0 - s)
            size = math.sqrt(u * u - 2.0 * u * r * w * math.cos(q) + (r * w) ** 2)
            return size * (u * math.cos(q) - r * w) * r

        inertia = 8.0 / 15.0 * depth**2
        pushed = 2.0 * quad(moment, 0.0, 0.5, epsabs=1e-10, epsrel=1e-10)[0]
        return w, (-2.0 / 3.0 * depth * G * math.sin(q) + drag * pushed) / inertia

    peer = solve_ivp(rates, (0.0, seconds), (0.2, 0.0), method="DOP853", rtol=1e-9, atol=1e-10, max_step=0.05).y[:, -1]
    q, w, _ = swung(wind, depth, drag, 0.005, angle=0.2)
    assert (q, w) == pytest.approx(tuple(peer), abs=2e-3)


def test_a_small_swing_has_the_period_of_a_string_of_four_fifths_of_the_depth():
    """Rigid parabolic loop: moment of inertia over arm by quadrature of the catenary of the same depth."""
    depth, half = 0.3, 1.5
    # A catenary y = c cosh(x / c) of that depth over a chord of 2 x half.
    c = next(k for k in np.linspace(2.0, 6.0, 40001) if k * (math.cosh(half / k) - 1.0) <= depth)

    def arm(x):
        return c * math.cosh(half / c) - c * math.cosh(x / c)

    inertia = quad(lambda x: arm(x) ** 2 * math.cosh(x / c), -half, half)[0]
    moment = quad(lambda x: arm(x) * math.cosh(x / c), -half, half)[0]
    period = 2.0 * math.pi * math.sqrt(inertia / moment / G)
    steps = round(0.5 * period / 0.002)
    q, _, _ = swung(np.zeros(steps + 1), depth, 0.0, 0.002, angle=0.05, wind_step=0.002)
    assert q == pytest.approx(-0.05, rel=0.01)


def test_at_rest_it_hangs_at_drag_over_weight():
    """Closed form: tan q = drag / weight, in a steady wind once the swing has died away."""
    speed, drag = 6.0, 0.3
    q, _, _ = swung(np.full(4000, speed), 0.3, drag, 0.01)
    # By moments: 2/3 d g sin q = drag U^2 2/3 d cos q.
    assert math.tan(q) == pytest.approx(drag * speed**2 / G, rel=1e-6)


@pytest.mark.parametrize("play", (0.0, 0.05, 0.1, 0.3))
def test_a_play_takes_four_times_amplitude_less_play_a_cycle(play):
    """Closed form: an element of Coulomb friction behind a play dissipates 4 F (A - play) a cycle."""
    amplitude, depth = 0.2, 0.4
    period = 2.0 * math.pi * math.sqrt(0.8 * depth / G) * (1.0 + amplitude**2 / 16.0 + 11.0 * amplitude**4 / 3072.0)
    cycles, step = 8, period / 4000
    wind = np.zeros(round(cycles * period / step) + 1)
    _, _, path = swung(wind, depth, 0.0, step, (play,), amplitude, lead_in=2.0 * period, wind_step=step)
    assert path[0] == pytest.approx((cycles - 2) * 4.0 * max(amplitude - play, 0.0), rel=2e-3, abs=1e-6)


def test_a_pivot_takes_a_quarter_of_the_width():
    """Closed form: the mean distance of an evenly pressed width b from its middle is b / 4."""
    width, normal, friction, angle = 0.025, 3.0, 0.2, 0.7
    moment = quad(lambda x: friction * normal / width * abs(x), -width / 2, width / 2)[0]
    found = pivot_work(np.array([friction]), np.array([[normal, 0.0]]), width, np.array([[angle, 1.0]]))
    assert found[0] == pytest.approx([moment * angle, 0.0], rel=1e-9)


def test_gusts_have_the_asked_turbulence_and_spectrum():
    """IEC 61400-1 (Kaimal), from memory: the share of variance above a frequency follows from its integral."""
    speed, intensity = 8.0, 0.18
    wind = gusts(speed, intensity, 3600.0)
    assert wind.mean() == pytest.approx(speed, rel=1e-6)
    assert wind.std() == pytest.approx(intensity * speed, rel=1e-6)
    power = np.abs(np.fft.rfft(wind - wind.mean())) ** 2
    frequency = np.fft.rfftfreq(len(wind), WIND_STEP)

    def above(low):
        scaled = low * LENGTH_SCALE / speed
        return (1.0 + 6.0 * scaled) ** (-2.0 / 3.0)

    whole = above(frequency[1]) - above(frequency[-1])
    for low in (0.02, 0.1, 0.5):
        share = (above(low) - above(frequency[-1])) / whole
        assert power[frequency > low].sum() / power.sum() == pytest.approx(share, rel=0.1)


@pytest.mark.parametrize("holds", Holds)
def test_sway_is_booked_outside_the_tapes_edge_on_the_face_that_turns(holds):
    rig = walked_rig(holds).without_walker()
    solution = solve(rig)
    layout = solution.layout
    sway = find_sway(solution, breeze(rig, 8.0), (0.18,), (0.05,), seconds=60.0)
    friction = np.full(len(layout.tapes), 0.2)
    tracks = sway_tracks(
        solution, sway, friction=friction, tape_main=layout.tape_main, tape_backup=layout.tape_backup, intensity=0,
        play=0,
    )
    face, at = (
        (Face.MAIN_TOP, layout.tape_main) if holds is Holds.BACKUP else (Face.BACKUP_UNDER, layout.tape_backup)
    )
    ledger = tracks.faces[face]
    assert ledger.total > 0.0
    assert ledger.total == pytest.approx(float(tracks.tapes.sum()), rel=1e-9)
    assert all(tracks.faces[other].total == 0.0 for other in Face if other is not face)
    rubbed = ledger.middles[ledger.work > 0.0]
    apart = np.abs(rubbed[:, None] - at).min(axis=1)
    half = 0.5 * rig.taping.stock.width
    assert apart.min() > half - ledger.bin and apart.max() < half + rig.main.width + ledger.bin
    # In all: mu N b/4 x angle, at both ends of every loop that has a tape there.
    turned = np.column_stack((sway.path[:-1, 0, 0], sway.path[1:, 0, 0]))
    by_hand = float(np.sum(0.2 * sway.normal * rig.main.width / 4.0 * turned))
    assert tracks.total == pytest.approx(by_hand, rel=1e-9)


def test_more_turbulence_turns_more_and_more_play_less():
    rig = walked_rig(Holds.BOTH).without_walker()
    path = find_sway(solve(rig), breeze(rig, 8.0), (0.1, 0.25), (0.03, 0.15), seconds=120.0).path
    assert np.all(path[:, 1] > path[:, 0]) and np.all(path[:, :, 0] > path[:, :, 1])

"""Deposits keep their work, do not care how a movement is cut, and have the closed-form shape of a sliding box."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from linescope.contact.ledger import Face, Ledger, deposit, grid

places = st.floats(-1.0, 11.0)


def one(edges, start, end, width, work):
    return deposit(edges, np.array([start]), np.array([end]), width, np.array([work]))


@settings(deadline=None)  # The first call compiles.
@given(st.lists(st.tuples(places, places, st.floats(0.0, 100.0)), min_size=1, max_size=20), st.floats(1e-5, 0.3))
def test_work_is_kept_and_never_negative(entries, width):
    start, end, work = np.array(entries).T
    booked = deposit(grid(10.0), start, end, width, work)
    assert booked.sum() == pytest.approx(work.sum(), rel=1e-12, abs=1e-300)
    assert booked.min() >= -1e-12 * max(work.sum(), 1e-300)


@settings(deadline=None)
@given(st.floats(1.0, 9.0), st.floats(-0.5, 0.5), st.floats(0.05, 0.95))
def test_cutting_a_movement_in_two_changes_nothing(start, way, share):
    edges, cut = grid(10.0), start + share * way
    whole = one(edges, start, start + way, 0.025, 1.0)
    parts = one(edges, start, cut, 0.025, share) + one(edges, cut, start + way, 0.025, 1.0 - share)
    # Movements below a ten-thousandth of the width count as one place, half of that off at the most.
    assert parts == pytest.approx(whole, abs=1e-4)


def test_a_resting_thing_leaves_its_work_evenly_on_its_width():
    edges = grid(10.0)
    booked = one(edges, 5.0, 5.0, 0.02, 3.0)
    assert np.flatnonzero(booked > 1e-12).tolist() == [998, 999, 1000, 1001]
    assert booked[998:1002] == pytest.approx(0.75, rel=1e-9)


def test_a_moving_thing_leaves_a_trapezoid(agrees):
    """Closed form: a box of width w carried over a way s rubs the length between them s - w long evenly, at 1/s."""
    edges = grid(10.0, 0.001)
    booked = one(edges, 4.0, 4.1, 0.02, 1.0) / 0.001
    middle = 0.5 * (edges[:-1] + edges[1:])
    expected = np.interp(middle, [3.99, 4.01, 4.09, 4.11], [0.0, 10.0, 10.0, 0.0])
    agrees(
        "work of a box 2 cm wide carried 10 cm", booked, expected, abs=1e-6, unit="J/m", area="rub", known="recomputed",
        source="Closed form: trapezoid",
    )


def test_rub_beyond_an_end_stays_on_the_line_on_its_own_width():
    edges = grid(10.0)
    booked = one(edges, -0.3, -0.3, 0.05, 1.0)
    assert booked[:10] == pytest.approx(0.1)


def test_peak_concentration_and_half_length():
    work = np.r_[np.full(5, 6.0), np.full(95, 10.0 / 95)]
    ledger = Ledger(face=Face.MAIN_TOP, edges=np.linspace(0.0, 10.0, 101), work=work)
    assert ledger.peak == pytest.approx(60.0)
    assert ledger.concentration() == pytest.approx(0.75)
    assert ledger.half_length() == pytest.approx(20.0 / 60.0)
    nothing = replace(ledger, work=0.0 * work)
    assert math.isnan(nothing.concentration())
    assert math.isnan(nothing.half_length())
    assert nothing.peak == 0.0

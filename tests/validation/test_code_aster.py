"""code_aster manuals: R3.08.05 (example An2, inextensible catenary of given end tension), V6.02.114 (SSNL114, heavy
cable as long as its span) and V6.02.100 (SSNL100, two spans over a pulley).  The printed values were read."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import brentq

from linescope.statics.minimise import minimise
from linescope.statics.pair import SLIDES_ON_MAIN, Pair
from linescope.webbing import StretchCurve
from tests.statics.making import one_segment
from tests.validation.record import BEYOND, DIGITS

OUTSIDE = {"area": "statics", "source": "code_aster manuals"}


def test_sag_from_end_tension(published, agrees):
    entry = published["A1-codeaster-inextensible-end-tension"]
    given, recomputed = entry["inputs"], entry["verified_value"]
    span, q = given["span_m"], given["weight_N_m"]
    length = brentq(
        lambda s: one_segment(span, 0.0, s, q).tension_end[0] - given["end_tension_N"],
        1.0001 * span, 1.1 * span, xtol=1e-12,
    )
    line = one_segment(span, 0.0, length, q)
    sag = line.depth_below_chord(span, 0.0)[0][0]
    agrees("R3.08.05 An2: sag from the end tension", sag, entry["expected"]["sag_m"], entry=entry, unit="m")
    # The length is found to 1e-12 m, of which the sag keeps about 1e-11; the stiffness costs 1e-7 of the spare length.
    agrees(BEYOND, (sag, line.h[0]), (recomputed["sag_m"], recomputed["H_N"]), rel=1e-7, **DIGITS)


def test_heavy_cable_exactly_as_long_as_its_span(published, agrees):
    entry = published["A2-SSNL114-heavy-cable-cold"]
    given, recomputed = entry["inputs"], entry["verified_value"]
    q = given["density_kg_m3"] * given["area_m2"] * given["g_m_s2"]
    line = one_segment(given["span_m"], 0.0, given["unstretched_length_m"], q, given["E_Pa"] * given["area_m2"])
    depth = line.depth_below_chord(given["span_m"], 0.0)[0][0]
    agrees("SSNL114: cable as long as its span, mid-point", -depth, entry["expected"]["z_mid_m"], entry=entry, unit="m")
    # The recomputed values hold nine digits.
    agrees(
        BEYOND, (-depth, line.h[0], line.tension_end[0]),
        [recomputed[name] for name in ("z_mid_m", "H_N", "end_tension_N")], rel=1e-9, **DIGITS,
    )


def test_two_spans_over_a_pulley(published, agrees):
    entry = published["A3-SSNL100-two-span-pulley"]
    given, recomputed = entry["inputs"], entry["verified_value"]
    spans, q, ea = given["spans_m"], given["weight_N_m"], given["EA_N"]

    def rest(length):
        # The pulley is a tape that slides on the main; it hangs from (100, 0, 10) on a pair of stiff, light links that
        # splay 1 m to either side.  Started off-centre so that the slide has to find its place.
        pair = Pair(
            main_ends=np.array([[0.0, 0.0, 0.0], [sum(spans), 0.0, 0.0]]),
            backup_ends=np.array([[spans[0], -1.0, 10.0], [spans[0], 1.0, 10.0]]),
            main_length=length, backup_length=2.0 * np.sqrt(101.0),
            slide=np.array([SLIDES_ON_MAIN]), is_tape=np.array([True]), main_at=np.array([0.49 * length]),
            backup_at=np.array([np.sqrt(101.0)]), pull=np.zeros((1, 3)), main_load=np.array([0.0, 0.0, -q]),
            backup_load=np.array([0.0, 0.0, -1e-3]), main_stretch=StretchCurve.linear(ea),
            backup_stretch=StretchCurve.linear(1e12), gap=0.01,
        )
        start = np.array([[spans[0], 0.0, 0.0, 0.49 * length]])
        return minimise(pair, start, hold=np.zeros(1)).state

    def left_over(length):
        tail = given["tail_straight_length_m"] / (1.0 + rest(length).segments.tension_end[1] / ea)
        return length + tail - given["total_unstretched_length_m"]

    state = rest(brentq(left_over, 209.0, 211.5, xtol=1e-10))
    sags = state.segments.depth()[0][:2]
    pulley = {"area": "sliding and friction"}
    agrees(
        "SSNL100: sags of two spans over a pulley", sags, entry["expected"]["sag_left_m"], entry=entry,
        unit="m", **pulley
    )
    # The links weigh and stretch a little: 1e-7.
    agrees(
        BEYOND,
        (*sags, *state.segments.length[:2], state.segments.flat.h[0], state.segments.tension_end[1]),
        [recomputed[name] for name in ("sag_m", "sag_m", *["span_unstretched_length_m"] * 2, "H_N", "end_tension_N")],
        rel=1e-6, **DIGITS, **pulley,
    )
    # Frictionless: equal tension on both sides of the pulley.
    assert state.true_tension_jump()[0] == pytest.approx(0.0, abs=1e-6 * recomputed["end_tension_N"])

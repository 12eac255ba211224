"""Mooring catenaries: a regression value of the MoorPy test suite (tests/test_catenary.py, case 4; equations of J. M.
Jonkman, NREL/TP-500-41958, 2007), read, and a public mooring fixture whose printed values are wrong: only the
recomputed ones are used."""

from __future__ import annotations

from scipy.optimize import brentq

from tests.statics.making import one_segment
from tests.validation.record import BEYOND, DIGITS

OUTSIDE = {"area": "statics", "source": "MoorPy test suite, catenary case 4"}


def test_inclined_and_stiff(published, agrees):
    entry = published["A2-mooring-suite-inclined-stiff"]
    given, printed, recomputed = entry["inputs"], entry["expected"], entry["verified_value"]
    line = one_segment(
        given["dx_m"], given["dz_m"], given["unstretched_length_m"], given["weight_N_m"], given["EA_N"]
    )
    found = {"H_N": line.h[0], "VA_down_N": -line.v[0], "VB_N": line.v_end[0]}
    ours = list(found.values())
    agrees("inclined and stiff: H, V at A, V at B", ours, [printed[name] for name in found], entry=entry, unit="N")
    # The spare length of a stiff line keeps 12 digits.
    agrees(BEYOND, ours, [recomputed[name] for name in found], rel=1e-11, **DIGITS)


def test_inclined_and_slack(published, agrees):
    entry = published["X-mooring-fixture-1000m"]
    given, recomputed = entry["inputs"], entry["verified_value"]
    line = one_segment(
        given["dx_m"], given["dz_m"], given["unstretched_length_m"], given["weight_N_m"], given["EA_N"]
    )
    found = (line.h[0], line.v[0], line.v_end[0])
    names = ("H_elastic_N", "VA_N", "VB_N")
    agrees(BEYOND, found, [recomputed[name] for name in names], rel=1e-9, **DIGITS)
    agrees.refuses(
        "H of 1000 m on 800 m", line.h[0], entry["expected"]["H_N"], entry=entry, unit="N",
        source="A public mooring fixture",
    )


def test_a_guide_that_converged_the_wrong_way(published, agrees):
    """A structural web guide's example (200 ft, 25 ft of sag, 10 lb/ft); ours against scipy's root, not its print."""
    entry = published["X-web-guide-200ft"]
    given, recomputed = entry["inputs"], entry["verified_value"]
    span, q = given["span_ft"], given["weight_lb_ft"]
    length = brentq(
        lambda s: one_segment(span, 0.0, s, q).depth_below_chord(span, 0.0)[0][0] - given["sag_ft"],
        1.001 * span, 1.5 * span, xtol=1e-11,
    )
    line = one_segment(span, 0.0, length, q)
    agrees(
        BEYOND, (line.h[0] / q, line.h[0], line.tension_end[0], length),
        [recomputed[name] for name in ("a_ft", "H_lb", "Tmax_lb", "length_ft")], rel=3e-8, **DIGITS,
    )
    agrees.refuses(
        "H of a 200 ft span", line.h[0], entry["expected"]["H_lb"], entry=entry, unit="lb",
        source="A structural web guide",
    )

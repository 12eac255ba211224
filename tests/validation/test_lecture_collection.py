"""Civil-engineering statics, worked examples (university lecture collection), section 6.7 "Cables: Catenaries",
example 1: a cable of given length.  The printed value was read."""

from __future__ import annotations

import pytest

from tests.statics.making import one_segment


def test_sag_and_parameter_of_a_cable_of_given_length(published):
    entry = published["A1-catenary-length-given"]
    given, printed = entry["inputs"], entry["expected"]
    q = given["mass_per_length_kg_m"] * 9.81
    line = one_segment(given["span_m"], 0.0, given["cable_length_m"], q)
    depth, _ = line.depth_below_chord(given["span_m"], 0.0)
    assert line.h[0] / q == pytest.approx(printed["c_m"], rel=entry["rel_tol"])
    assert depth[0] == pytest.approx(printed["sag_m"], rel=entry["rel_tol"])
    # Recomputed by a scalar root of c sinh(60/c) = 70: a stiffness of 1e13 N costs about 1e-9.
    recomputed = entry["verified_value"]
    assert line.h[0] / q == pytest.approx(recomputed["c_m"], rel=1e-8)
    assert depth[0] == pytest.approx(recomputed["sag_m"], rel=1e-8)
    assert line.tension_end[0] == pytest.approx(recomputed["Tmax_N"], rel=1e-8)

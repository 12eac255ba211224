"""F. P. Beer, E. R. Johnston et al., *Vector Mechanics for Engineers: Statics*: problem 7.128 (aerial tramway) and the
sample problem on the catenary.  Answers quoted from memory; the recomputed values back them."""

from __future__ import annotations

import pytest
from scipy.optimize import brentq

from tests.statics.making import one_segment


def test_span_of_a_tramway_cable_of_given_length_and_sag(published):
    entry = published["A1-BJ-7.128-tramway"]
    given, printed = entry["inputs"], entry["expected"]

    def sag(span):
        line = one_segment(span, 0.0, given["cable_length_ft"], given["weight_lb_ft"])
        return line.depth_below_chord(span, 0.0)[0][0] - given["sag_ft"]

    span = brentq(sag, 300.0, 499.0, xtol=1e-11)
    line = one_segment(span, 0.0, given["cable_length_ft"], given["weight_lb_ft"])
    assert span == pytest.approx(printed["span_ft"], rel=entry["rel_tol"])
    assert line.tension_end[0] == pytest.approx(printed["Tmax_lb"], rel=1e-8)  # 875 lb is exact.
    assert span == pytest.approx(entry["verified_value"]["span_ft"], rel=1e-8)


def test_sample_problem_of_given_span_and_sag(published):
    entry = published["A1-BJ-sample-catenary"]
    given, printed, recomputed = entry["inputs"], entry["expected"], entry["verified_value"]
    span, q = given["span_ft"], given["weight_lb_ft"]
    length = brentq(
        lambda s: one_segment(span, 0.0, s, q).depth_below_chord(span, 0.0)[0][0] - given["sag_ft"],
        1.001 * span, 1.5 * span, xtol=1e-11,
    )
    line = one_segment(span, 0.0, length, q)
    found = {"c_ft": line.h[0] / q, "Tmin_lb": line.h[0], "Tmax_lb": line.tension_end[0], "length_ft": length}
    assert found == pytest.approx(printed, rel=entry["rel_tol"])
    assert found == pytest.approx(recomputed, rel=1e-8)

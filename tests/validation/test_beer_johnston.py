"""F. P. Beer, E. R. Johnston et al., *Vector Mechanics for Engineers: Statics*: problem 7.128 (aerial tramway) and the
sample problem on the catenary.  Answers quoted from memory; the recomputed values back them."""

from __future__ import annotations

from scipy.optimize import brentq

from tests.statics.making import one_segment
from tests.validation.record import BEYOND, DIGITS

OUTSIDE = {"area": "statics", "source": "Beer, Johnston, Statics"}


def test_span_of_a_tramway_cable_of_given_length_and_sag(published, agrees):
    entry = published["A1-BJ-7.128-tramway"]
    given, printed = entry["inputs"], entry["expected"]

    def sag(span):
        line = one_segment(span, 0.0, given["cable_length_ft"], given["weight_lb_ft"])
        return line.depth_below_chord(span, 0.0)[0][0] - given["sag_ft"]

    span = brentq(sag, 300.0, 499.0, xtol=1e-11)
    line = one_segment(span, 0.0, given["cable_length_ft"], given["weight_lb_ft"])
    agrees("problem 7.128: span of a tramway cable", span, printed["span_ft"], entry=entry, unit="ft")
    # 875 lb is exact.
    agrees("problem 7.128: largest tension", line.tension_end[0], printed["Tmax_lb"], rel=1e-8, entry=entry, unit="lb")
    agrees(BEYOND, span, entry["verified_value"]["span_ft"], rel=1e-8, **DIGITS)


def test_sample_problem_of_given_span_and_sag(published, agrees):
    entry = published["A1-BJ-sample-catenary"]
    given, printed, recomputed = entry["inputs"], entry["expected"], entry["verified_value"]
    span, q = given["span_ft"], given["weight_lb_ft"]
    length = brentq(
        lambda s: one_segment(span, 0.0, s, q).depth_below_chord(span, 0.0)[0][0] - given["sag_ft"],
        1.001 * span, 1.5 * span, xtol=1e-11,
    )
    line = one_segment(span, 0.0, length, q)
    found = {"c_ft": line.h[0] / q, "Tmin_lb": line.h[0], "Tmax_lb": line.tension_end[0], "length_ft": length}
    ours = list(found.values())
    agrees("sample catenary: c, Tmin, Tmax, length", ours, [printed[name] for name in found], entry=entry)
    agrees(BEYOND, ours, [recomputed[name] for name in found], rel=1e-8, **DIGITS)

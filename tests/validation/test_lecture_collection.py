"""Civil-engineering statics, worked examples (university lecture collection), section 6.7 "Cables: Catenaries",
example 1: a cable of given length.  The printed value was read."""

from __future__ import annotations

from tests.statics.making import one_segment
from tests.validation.record import BEYOND, DIGITS

OUTSIDE = {"area": "statics", "source": "Lecture collection, section 6.7 example 1"}


def test_sag_and_parameter_of_a_cable_of_given_length(published, agrees):
    entry = published["A1-catenary-length-given"]
    given, printed = entry["inputs"], entry["expected"]
    q = given["mass_per_length_kg_m"] * 9.81
    line = one_segment(given["span_m"], 0.0, given["cable_length_m"], q)
    depth, _ = line.depth_below_chord(given["span_m"], 0.0)
    found = (line.h[0] / q, depth[0])
    agrees("parameter and sag of 140 m on 120 m", found, (printed["c_m"], printed["sag_m"]), entry=entry, unit="m")
    # Recomputed by a scalar root of c sinh(60/c) = 70: a stiffness of 1e13 N costs about 1e-9.
    recomputed = entry["verified_value"]
    agrees(
        BEYOND, (line.h[0] / q, depth[0], line.tension_end[0]),
        (recomputed["c_m"], recomputed["sag_m"], recomputed["Tmax_N"]), rel=1e-8, **DIGITS,
    )

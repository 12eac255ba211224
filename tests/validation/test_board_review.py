"""Engineering-board review problem: 0.4 kg/m cable, 800 m long, sag 80 m, largest tension 416 kg.  Exact in rational
numbers: c = (s^2 - h^2) / 2h = 960 m, T = w (c + h).  The printed answer was read."""

from __future__ import annotations

import numpy as np

from tests.statics.making import one_segment
from tests.validation.record import BEYOND, DIGITS

OUTSIDE = {"area": "statics", "source": "Engineering-board review problem"}


def test_largest_tension(published, agrees):
    entry = published["A1-catenary-length-and-sag-given"]
    given, recomputed = entry["inputs"], entry["verified_value"]
    line = one_segment(recomputed["span_m"], 0.0, given["cable_length_m"], given["weight_kgf_m"])
    # The recomputed span has 13 digits; the stiffness of 1e13 costs less than 1e-9.
    depth, _ = line.depth_below_chord(np.array([recomputed["span_m"]]), 0.0)
    found, printed = (depth[0], line.tension_end[0]), (given["sag_m"], entry["expected"]["Tmax_kgf"])
    agrees("sag and largest tension of an 800 m cable", found, printed, rel=1e-8, entry=entry)
    agrees(BEYOND, line.h[0] / given["weight_kgf_m"], recomputed["c_m"], rel=1e-8, **DIGITS)

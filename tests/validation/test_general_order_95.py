"""California Public Utilities Commission, General Order 95, Appendix C: (f) sag along a span, worked example, and (c)
sags in proportion to the square of the span (ruling-span rule).  Official pages, read; sags of 250 and 200 ft spans are
recomputed, not printed."""

from __future__ import annotations

import numpy as np
from scipy.optimize import brentq

from tests.statics.making import one_segment

OUTSIDE = {"area": "statics", "source": "California PUC General Order 95, App. C"}
LOAD = 0.3  # [lb/ft]; any: a shallow sag depends on H / q alone.


def test_sag_along_the_span(published, agrees):
    entry = published["A5-GO95-sag-along-span"]
    given, printed, recomputed = entry["inputs"], entry["expected"], entry["verified_value"]
    span, sag = given["span_ft"], given["centre_sag_ft"]

    def line_of(span, spare):
        return one_segment(span, 0.0, span * (1.0 + spare), LOAD)

    spare = brentq(lambda e: line_of(span, e).depth_below_chord(span, 0.0)[0][0] - sag, 1e-5, 1e-2, xtol=1e-14)
    line = line_of(span, spare)
    place = brentq(lambda s: line.at(np.array([[s]]))[0][0, 0] - given["x_from_support_ft"], 1.0, 0.5 * span)
    here = -line.at(np.array([[place]]))[1][0, 0]
    both = (printed["fraction"], printed["sag_ft"])
    agrees("sag 105 ft from a support, over centre sag and in feet", (here / sag, here), both, entry=entry)
    depths = []
    for other in (250.0, 200.0):
        # Same horizontal tension, so the sag goes with the square of the span: catenary and parabola differ by
        # (8/3) (sag/span)^2 = 8e-4 at most.
        e = brentq(lambda e, other=other: line_of(other, e).h[0] - line.h[0], 1e-5, 1e-2, xtol=1e-14)
        depths.append(line_of(other, e).depth_below_chord(other, 0.0)[0][0])
    square = [recomputed[name] for name in ("sag_250_ft", "sag_200_ft")]
    agrees("sags of 250 and 200 ft spans, square rule", depths, square, rel=8e-4, unit="ft", known="recomputed")

"""J. L. Meriam, L. G. Kraige, *Engineering Mechanics: Statics*, sample problem 5/17: the same cable as a catenary and
as a parabola, 5 % apart in tension.  Quoted from memory; the recomputed values back it."""

from __future__ import annotations

from scipy.optimize import brentq

from tests.statics.making import one_segment
from tests.validation.record import BEYOND, DIGITS

OUTSIDE = {"area": "statics", "source": "Meriam, Kraige, Statics, sample 5/17"}


def test_the_catenary_and_not_the_parabola(published, agrees):
    entry = published["A1-MK-cable-300m"]
    given, printed, recomputed = entry["inputs"], entry["expected"], entry["verified_value"]
    span, q = given["span_m"], given["mass_per_length_kg_m"] * given["g_m_s2"]
    length = brentq(
        lambda s: one_segment(span, 0.0, s, q).depth_below_chord(span, 0.0)[0][0] - given["sag_m"],
        1.001 * span, 1.5 * span, xtol=1e-11,
    )
    line = one_segment(span, 0.0, length, q)
    found = (line.h[0] / 1e3, line.tension_end[0] / 1e3, length)
    names = ("catenary_T0_kN", "catenary_Tmax_kN", "catenary_length_m")
    agrees("catenary, not parabola: T0, Tmax, length", found, [printed[name] for name in names], entry=entry)
    agrees(BEYOND, found, [recomputed[name] for name in names], rel=1e-8, **DIGITS)
    assert abs(found[0] / printed["parabola_T0_kN"] - 1.0) > 0.04

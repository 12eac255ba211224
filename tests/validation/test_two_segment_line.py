"""The static triangle of a weightless line loaded at mid-span, T = (W/2) / sin(atan(2 d / L)), as in W. Conley, *A
Practical Analysis of Slackline Forces* (2006); title, abstract and set-up were read, the numbers are recomputed."""

from __future__ import annotations

import math

import pytest

from linescope.statics.minimise import minimise
from tests.statics.making import lone_main, straight_start

OUTSIDE = {"area": "statics", "source": "Static triangle, after Conley 2006"}


@pytest.mark.parametrize(("load", "tolerance"), [(1e-2, 2e-3), (1e-4, 2e-5), (1e-6, 2e-7)])
def test_tension_in_the_light_limit(published, agrees, load, tolerance):
    """The error is the line's weight over the walker's: 1e-3 at 1e-2 N/m, and falls with it."""
    entry = published["A8-static-two-segment-formula"]
    given, expected = entry["inputs"], entry["expected"]
    span, sag, weight = given["span_m"], given["sag_m"], given["mass_kg"] * given["g_m_s2"]
    ea = 1e5
    length = math.hypot(span, 2.0 * sag) / (1.0 + expected["T_exact_N"] / ea)
    pair = lone_main(
        end=(span, 0, 0), length=length, load=load, ea=ea, at=[0.5 * length], pulls=[[0, 0, -weight]]
    )
    state = minimise(pair, straight_start(pair, 0.02)).state
    # The small-sag form W L / 4 d is the horizontal tension.
    found = (-state.unknowns[0, 2], *state.segments.tension_start[:2], *state.segments.flat.h[:2])
    exact, small = expected["T_exact_N"], expected["T_small_sag_N"]
    agrees(
        "sag, tension and its part across, line of 1e-2 to 1e-6 N/m", found, (sag, exact, exact, small, small),
        rel=tolerance, entry=entry,
    )


def loaded_in_the_middle(span, length, weight):
    """Sag and tension of a line so light and stiff that neither weight nor stretch counts: 1e-7."""
    pair = lone_main(
        end=(span, 0, 0), length=length, load=1e-7 * weight / span, ea=1e7 * weight, at=[0.5 * length],
        pulls=[[0, 0, -weight]],
    )
    state = minimise(pair, straight_start(pair, 0.1)).state
    return -state.unknowns[0, 2], state.segments.tension_start[1]


def test_chair_lift_between_two_poles(published, agrees):
    entry = published["A1-chair-lift-midspan"]
    given = entry["inputs"]
    length = 2.0 * math.hypot(0.5 * given["span_ft"], given["sag_ft"])
    _, tension = loaded_in_the_middle(given["span_ft"], length, given["load_lb"])
    told = {"entry": entry, "unit": "lb", "source": "Trigonometry textbook, worked answer"}
    agrees("chair lift, 725 lb in the middle of 215 ft", tension, entry["expected"]["T_lb"], **told)


def test_rope_of_120_wires(published, agrees):
    entry = published["A1-rope-of-120-wires"]
    given, printed = entry["inputs"], entry["expected"]
    sag, tension = loaded_in_the_middle(given["span_m"], given["rope_m"], given["mass_kg"] * 9.80665)
    told = {"entry": entry, "source": "Physics problem book, worked answer"}
    both = (printed["sag_m"], printed["F_N"])
    agrees("sag and tension of 4 m of rope on 3.8 m with a tonne", (sag, tension), both, **told)

"""Closed form: a frictionless ring on a weightless inextensible string, both legs equally steep (rational numbers by
design, worked out by hand)."""

from __future__ import annotations

import numpy as np
import pytest

from linescope.statics.minimise import minimise
from linescope.statics.pair import SLIDES_ON_MAIN
from tests.statics.making import lone_main, straight_start

OUTSIDE = {"area": "sliding and friction", "source": "Closed form: ring on a string"}


@pytest.mark.parametrize(("load", "ea", "tolerance"), [(1e-2, 1e5, 5e-3), (1e-4, 1e7, 5e-5), (1e-6, 1e9, 5e-7)])
def test_ring_in_the_light_stiff_limit(published, agrees, load, ea, tolerance):
    """The error falls with the string's weight [N/m] and stretch: tolerance six times T / EA, T / EA = 83 N / EA."""
    entry = published["A3-ring-on-string"]
    given, expected = entry["inputs"], entry["expected"]
    length = given["string_length_m"]
    pair = lone_main(
        end=(given["D_m"], 0, given["height_difference_m"]), length=length, load=load, ea=ea,
        at=[0.6 * length], pulls=[[0, 0, -given["ring_weight_N"]]], slide=[SLIDES_ON_MAIN],
    )
    state = minimise(pair, straight_start(pair, 0.15), hold=np.zeros(1)).state
    ring, segments = state.unknowns[0], state.segments
    agrees(
        "place, depth, lower leg and tension, string of 1e-2 to 1e-6 N/m",
        (ring[0], -ring[2], ring[3], segments.tension_end[0], segments.tension_start[1]),
        (
            expected["x_from_lower_support_m"], expected["depth_below_lower_support_m"],
            entry["verified_value"]["leg_low_m"], expected["tension_N"], expected["tension_N"],
        ),
        rel=tolerance, entry=entry,
    )
    steep = segments.chord[:2, 2] / np.linalg.norm(segments.chord[:2], axis=1)
    assert steep[0] == pytest.approx(-steep[1], rel=tolerance)

"""No-fall zones from what is left at each place of the walker."""

from __future__ import annotations

import numpy as np

from linescope.clearance import no_fall_zones


def test_no_fall_zones_by_hand():
    walker = np.array([40.0, 10, 20, 30, 50, 60, 60])
    remainder = np.array([-1.0, -0.5, 0.2, 0.0, -2.0, 3.0, -0.1])
    zones = no_fall_zones(walker, remainder, 80.0)
    assert [zone.from_a for zone in zones] == [(0.0, 20.0), (30.0, 80.0)]
    assert [zone.from_b for zone in zones] == [(60.0, 80.0), (0.0, 50.0)]
    assert [(zone.worst, zone.worst_at) for zone in zones] == [(-0.5, 10.0), (-2.0, 50.0)]
    assert no_fall_zones(walker, np.abs(remainder), 80.0) == ()

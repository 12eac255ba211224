"""Points along pieces of line in compiled loops, against the same in arrays (`Segments.sample`)."""

from __future__ import annotations

import numpy as np
import pytest

from linescope.clearance.sampling import sampled
from linescope.statics import solve
from tests.statics.random_rigs import plain_rig


@pytest.mark.parametrize(("excess", "count"), [(0.001, 2), (0.08, 7), (0.6, 40)])
def test_points_and_sagittas_of_taut_and_deep_pieces(excess: float, count: int) -> None:
    found = solve(plain_rig(span=24.0, every=3.0, excess=excess, tension=1500.0))
    for line in (found.main, found.backup):
        points, sagitta = sampled(line.segments, count, line.nodes[:-1])
        want, _, _, sag = line.segments.sample(count, line.nodes[:-1])
        assert points == pytest.approx(want, abs=1e-12)
        assert sagitta == pytest.approx(sag, abs=1e-12)
        assert (sagitta >= 0.0).all() and np.isfinite(points).all()

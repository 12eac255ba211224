"""The lowest edge of several floors of feet: as long as they are, whichever way the line points."""

from __future__ import annotations

import numpy as np
import pytest

from linescope.stage.feet import PLACES, lower_edge


@pytest.mark.parametrize("seed", range(40))
def test_an_edge_loses_neither_end_to_rounding(seed: int) -> None:
    """Against the floors' own corners; a place lost at an end moved a printed stretch from 0 m to 0.5 m."""
    rng = np.random.default_rng(seed)
    turn, start = rng.uniform(0.0, 2.0 * np.pi), rng.uniform(-100.0, 100.0, 2)
    along = np.sort(rng.uniform(0.0, 90.0, 30))
    plan = start + along[:, None] * [np.cos(turn), np.sin(turn)]
    floors = np.stack([np.column_stack([plan, rng.uniform(-30.0, 0.0, 30)]) for _ in range(2)])
    edge = lower_edge(floors)
    assert len(edge) == PLACES
    np.testing.assert_allclose(edge[[0, -1], :2], plan[[0, -1]], atol=1e-9)
    np.testing.assert_allclose(edge[[0, -1], 2], floors[:, [0, -1], 2].min(axis=0), atol=1e-9)

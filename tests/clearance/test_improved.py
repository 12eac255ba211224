"""Only what comes nearer than known: against the plain search, and by hand."""

from __future__ import annotations

import numpy as np
import pytest

from linescope.clearance import Chords, GroundIndex, minima
from linescope.clearance.along import improved


@pytest.fixture
def hills(sheet):
    rng = np.random.default_rng(7)
    phase = rng.uniform(0, 6, 4)

    def height(x, y):
        return -6.0 + 2.0 * np.sin(0.4 * x + phase[0]) * np.cos(0.3 * y + phase[1]) + np.sin(1.1 * x + phase[2])

    return GroundIndex(sheet(height, np.linspace(-40, 40, 81), np.linspace(-20, 20, 41)))


def _walks(rng, count):
    """Chains of curves that go on where the last one ended, some of them down into the ground."""
    curves = []
    for _ in range(count):
        begin, steps = rng.uniform([-30, -15, -6], [30, 15, 2]), rng.normal(0, 0.5, (24, 3))
        path = np.cumsum(np.concatenate([begin[None], steps]), axis=0)
        curves += [path[k : k + 5] for k in range(0, 24, 4)]
    return curves


@pytest.mark.parametrize("seed", range(6))
def test_it_finds_what_the_plain_search_finds(hills, seed):
    rng = np.random.default_rng(seed)
    curves = _walks(rng, 12)
    chords = Chords.of(curves, [rng.uniform(0, 0.02, len(curve) - 1) for curve in curves])
    group = np.unique(rng.integers(0, 9, len(curves)), return_inverse=True)[1]
    plain = np.array([near.distance for near in minima(hills, chords, group)])
    nothing_known = improved(hills, chords, group, np.full(len(plain), np.inf))
    assert sorted(nothing_known) == list(range(len(plain)))
    for g, near in nothing_known.items():
        assert near.distance == pytest.approx(plain[g], abs=1e-9 if plain[g] > 0 else 2e-3)
    # Half of the groups known to be nearer, half known to be farther.
    known = plain + np.where(np.arange(len(plain)) % 2 == 0, -0.1, 0.1)
    better = improved(hills, chords, group, known)
    assert sorted(better) == list(range(1, len(plain), 2))
    for g, near in better.items():
        assert near.distance == pytest.approx(plain[g], abs=1e-9 if plain[g] > 0 else 2e-3)


def test_a_curve_wholly_below_ground_is_not_missed_for_one_nearer_above(sheet):
    """One rod 0.5 m above a plane, one 3 m below it: of the two together the depth counts."""
    index = GroundIndex(sheet(lambda x, y: 0.0, np.linspace(-9, 9, 10), np.linspace(-9, 9, 10)))
    rods = [np.array([[-1.0, 0, z], [1.0, 0, z]]) for z in (0.5, -3.0)]
    chords, group = Chords.of(rods), np.zeros(2, dtype=np.int64)
    assert minima(index, chords, group)[0].distance == pytest.approx(-3.0, abs=1e-3)
    assert improved(index, chords, group, np.array([np.inf]))[0].distance == pytest.approx(-3.0, abs=1e-3)
    assert improved(index, chords, group, np.array([-2.0]))[0].distance == pytest.approx(-3.0, abs=1e-3)
    assert improved(index, chords, group, np.array([-3.5])) == {}

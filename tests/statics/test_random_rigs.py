"""Random rigs, one in four of them far beyond what is built, in three states each: none fails.

`python -m tests.statics.many_rigs` does the same with ten thousand and writes what it found to EVIDENCE.md.
"""

from __future__ import annotations

import numpy as np
import pytest

from tests.long import rest_is_long
from tests.statics.random_rigs import BEYOND, STATES, outcome, random_rig, ranges_of

COUNT, CHUNK, SAMPLE = 250, 25, 1000
FELT = (1851, 3011, 9595)


@pytest.mark.parametrize("first", rest_is_long(range(0, COUNT, CHUNK), 25))
def test_random_rigs_reach_equilibrium(first):
    """An error that is not the project's own, or a warning, is not caught and fails the test."""
    for seed in range(first, first + CHUNK):
        reached(seed)


@pytest.mark.parametrize("seed", FELT)
def test_where_the_last_digit_of_places_is_felt(seed):
    """Tapes run together to a centimetre on stiff webbing, far from where places are measured from."""
    reached(seed)


def reached(seed):
    """All three states balance to 1e-8 of the weight and are stable."""
    found = outcome(seed)
    assert set(found) == set(STATES)
    for state, result in found.items():
        assert not result.failure, f"seed {seed}, {state}: {result.failure}"
        assert result.residual <= 1e-8, f"seed {seed}, {state}"
        assert result.stable, f"seed {seed}, {state}"


def test_the_sample_covers_what_it_claims():
    """The usual rigs fill trade ranges, those beyond go well past them, and every mix of styles is there."""
    for beyond in (False, True):
        rigs = [random_rig(seed) for seed in range(SAMPLE) if (ranges_of(seed) is BEYOND) == beyond]
        ranges = ranges_of(3 if beyond else 0)
        for values, (low, high) in (
            ([rig.span for rig in rigs], ranges.span),
            ([rig.slope for rig in rigs], ranges.slope),
            ([rig.backup_plan.value for rig in rigs], ranges.excess),
            ([rig.walker.mass for rig in rigs if rig.walker], ranges.walker),
            ([rig.main.mass for rig in rigs], ranges.mass),
        ):
            assert low <= min(values) and max(values) <= high
            assert min(values) - low < 0.05 * (high - low) and high - max(values) < 0.05 * (high - low)
        mixes = {frozenset(zone.holds for zone in rig.taping.zones) for rig in rigs}
        assert len(mixes) == 7  # Every set of the three styles that can be on one line.
        assert sum(rig.walker is None for rig in rigs) > 15
        assert np.mean([rig.weather.main_added > 0.0 for rig in rigs]) > 0.1

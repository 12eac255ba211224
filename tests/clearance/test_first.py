"""A first answer is never above what the whole sweep finds."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from linescope.clearance import Clearance, GroundIndex, find_clearance, first_clearance
from linescope.scene import load
from linescope.statics import plan
from linescope.terrain import load_ground

SCENES = Path(__file__).parents[2] / "scenes"


def _least(found: Clearance) -> dict[tuple[str, str], float]:
    """Of every kind over every part of the surroundings, in findings and at the borders of zones.  [m]"""
    least: dict[tuple[str, str], float] = {}
    causes = [cause for finding in found.findings for cause in finding.causes]
    for cause in (*causes, *(cause for zone in found.zones for cause in zone.border)):
        key = cause.role, cause.kind
        least[key] = min(least.get(key, cause.distance), cause.distance)
    return least


@pytest.mark.parametrize("name", ["heron_gap", "larkspur_ledge"])
def test_it_is_a_bound_of_what_the_sweep_finds(name: str) -> None:
    rig = load(SCENES / f"{name}.toml").rig
    planned, index = plan(rig), GroundIndex(load_ground(rig.ground, rig.main_a, rig.main_b))
    first = first_clearance(rig, planned=planned, terrain=index)
    whole = find_clearance(rig, planned=planned, terrain=index, positions=30)
    least = _least(whole)
    assert {(one.role, one.kind) for one in first.answers} == set(least)
    for one in first.answers:
        assert one.at_least <= least[one.role, one.kind] + 1e-9
        assert one.at_least >= least[one.role, one.kind] - 3.0 * first.step - 0.5, "coarse, not useless"
        assert one.at_least < one.found
    assert not any(one.is_met for one in first.answers if least[one.role, one.kind] < one.needed)
    left = [one.at_least - one.needed for one in first.answers]
    assert left == sorted(left)


def test_the_empty_line_alone() -> None:
    rig = replace(load(SCENES / "heron_gap.toml").rig, walker=None)
    index = GroundIndex(load_ground(rig.ground, rig.main_a, rig.main_b))
    first = first_clearance(rig, terrain=index)
    assert first.places == 0 and {one.kind for one in first.answers} == {"line", "loop"}

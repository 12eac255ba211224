"""The cliff an anchor stands on is told apart from ground below the line, and nothing else is.

Upright cliffs 1 m before each anchor of a 48 m line, edges 0.4 m below it, ground 60 m below; all invented.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from linescope.clearance import find_clearance
from linescope.rig import ClearanceNeeds
from linescope.scene import load
from linescope.terrain import Terrain

SCENES = Path(__file__).parents[2] / "scenes"
NEEDS = ClearanceNeeds(line=1.0, loop=0.5, body=3.0, survey_error=0.5, margin=1.0, anchor_zone=5.0)


@pytest.fixture(scope="module")
def heron():
    return replace(load(SCENES / "heron_gap.toml").rig, ground=None, wind=None, needs=NEEDS)


def strip(points):
    x, z = np.array(points, dtype=float).T
    rows = [np.column_stack([x, np.full(len(x), y), z]) for y in (-30.0, 30.0)]
    i, n = np.arange(len(x) - 1), len(x)
    faces = np.concatenate([np.stack([i, i + 1, n + i + 1], 1), np.stack([i, n + i + 1, n + i], 1)])
    return Terrain(vertices=np.concatenate(rows), faces=faces, source="cliffs", kind="profile")


def cliffs(edge, below):
    return strip([(-20, -0.4), (edge, -0.4), (edge, below[0][1]), *below, (47, below[-1][1]), (47, -0.4), (70, -0.4)])


AT = [5.2, 6.0, 24.0]


def test_the_wall_beside_is_listed_apart_and_stays_a_no_fall_zone(heron):
    found = find_clearance(heron, terrain=cliffs(1.0, [(2.0, -60.0), (40.0, -60.0)]), positions=AT)
    beside = [cause for zone in found.zones for cause in zone.beside]
    assert found.exit_status == 0 and beside
    for finding in beside:
        # The wall is an upright plane at x = 1 or 47: the way to it is level, and needed distances are not there.
        assert finding.nearest[0] == pytest.approx(1.0, abs=1e-9) or finding.nearest[0] == pytest.approx(47.0, abs=1e-9)
        assert finding.distance == pytest.approx(abs(finding.point[0] - finding.nearest[0]), abs=1e-2)
        assert finding.distance > 1.5
    assert {finding.kind for finding in beside if not finding.is_met} >= {"body", "leash"}
    # Whoever falls where the wall is nearer than asked for is still told not to.
    assert any(zone.from_a[0] < 5.2 < zone.from_a[1] for zone in found.no_fall_zones)


@pytest.mark.parametrize(
    ("edge", "below", "why"),
    [
        (1.0, [(2.0, -60.0), (5.0, -60.0), (5.1, -4.0), (7.0, -4.0), (7.1, -60.0)], "a ledge outside the zone"),
        (4.0, [(4.5, -60.0), (40.0, -60.0)], "a wall nearer than survey error and margin"),
        (5.5, [(5.6, -60.0), (40.0, -60.0)], "an edge outside the zone"),
    ],
)
def test_all_else_still_counts(heron, edge, below, why):
    found = find_clearance(heron, terrain=cliffs(edge, below), positions=AT)
    assert found.exit_status == 3, why

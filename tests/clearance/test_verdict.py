"""The verdict over grounds of known distance: never kept where it is not, bounds never above the truth.

Source: closed forms of planes, boxes and segments (see `exact_scenes`), applied to points of the solved line that are a
centimetre apart.  Allowed: nothing above the truth, 1 % or 1 cm below.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from linescope import load
from linescope.clearance import GroundIndex, Verdict, find_clearance
from linescope.rig import ClearanceNeeds
from linescope.statics import plan, solve
from tests.clearance.exact_scenes import (
    both,
    box,
    flat_wire,
    flipped,
    half_flipped,
    holed,
    holed_box,
    open_box,
    plane,
    tube,
    wire,
)

SCENES = Path(__file__).parents[2] / "scenes"
NEEDS = ClearanceNeeds(line=1.0, loop=0.5, body=1.0, survey_error=0.0, margin=0.0, anchor_zone=5.0)
FLOOR = plane(20.0)
SEEN = 1e-9  # Rounding.


@pytest.fixture(scope="module")
def rig():
    """48 m, level, empty, still air; main from z = 0 to 0."""
    return replace(load(SCENES / "heron_gap.toml").rig, ground=None, wind=None, walker=None, needs=NEEDS)


@pytest.fixture(scope="module")
def points(rig):
    """Points of main and loops, a centimetre apart."""
    solved = solve(rig)
    lines = {"line": solved.main, "loop": solved.backup}
    return {kind: line.sample(400).points.reshape(-1, 3) for kind, line in lines.items()}


def lowest(points):
    return float(points["line"][:, 2].min())


def upright(x, top, thick=0.1, name="blade", y=6.0):
    """A thin wall across the line."""
    return box([x - thick / 2, -y, -20.5], [x + thick / 2, y, top], name)


GROUNDS = [
    # Planes.
    *(plane(depth, kind=kind) for depth in (1.0, 2.0, 4.0, 20.0) for kind in ("mesh", "grid")),
    plane(8.0, 0.1), plane(8.0, -0.15), plane(60.0, 0.9), plane(1.55, cells=40),
    # Steps.
    both(FLOOR, box([20, -50, -21], [70, 50, -2.5]), name="step 17 m high"),
    both(FLOOR, box([20, -50, -21], [70, 50, -1.0]), name="step into the loops"),
    both(FLOOR, box([-60, -50, -21], [12, 50, -3]), box([36, -50, -21], [90, 50, -3]), name="two steps"),
    # Blades.
    *(both(FLOOR, upright(x, top), name=f"blade at {x}, top {top}")
      for x in (11.37, 24.0, 30.481) for top in (-3.2, -1.8, 0.5)),
    both(FLOOR, upright(24.0, -1.9, thick=0.001), name="blade of a millimetre"),
    # Needles.
    both(FLOOR, box([23.99, -0.01, -21], [24.01, 0.01, -1.9]), name="needle below"),
    both(FLOOR, box([23.99, 0.69, -21], [24.01, 0.71, 3.0]), name="needle beside"),
    both(FLOOR, wire([24, 0, -20], [24, 0, -1.9]), name="needle without width"),
    both(FLOOR, wire([17, 0.5, -0.4], [17, 0.5, -0.4]), name="a point"),
    # Wires.
    *(both(FLOOR, wire([20, -9, z], [20, 9, z]), name=f"wire across at {z}") for z in (-2.6, 1.0, 3.0)),
    both(FLOOR, wire([6, 0.4, 0.6], [40, 0.4, 0.6], pieces=50), name="wire along"),
    both(FLOOR, flat_wire([20, -9, -2.2], [28, 9, -2.2], "wire askew"), name="wire of one flat triangle"),
    both(FLOOR, wire([30, -9, 0.2], [30, 9, -3.0]), name="wire falling across"),
    # Tunnels.
    *(both(FLOOR, tube(3.0, 6.0, (-4.0, 52.0), 24, closed=closed, inwards=inwards))
      for closed, inwards in ((False, True), (True, True))),
    both(FLOOR, tube(1.2, 4.0, (10.0, 38.0), 12, closed=False, inwards=True), name="narrow tunnel"),
    # Roofs.
    both(FLOOR, box([15, -5, 1.4], [30, 5, 4.0]), name="slab above"),
    both(FLOOR, box([15, -5, 0.3], [30, 5, 4.0]), name="slab near above"),
    both(FLOOR, open_box([15, -5, 2.0], [30, 5, 6.0], (2, 1), "roof without a top")),
    # Turned over.
    flipped(plane(2.0)), flipped(plane(20.0)),
    half_flipped(plane(4.0, cells=30), 1), half_flipped(plane(1.2, cells=30), 2),
    both(FLOOR, flipped(box([20, -3, -21], [28, 3, -2.0])), name="boulder inside out"),
    both(FLOOR, half_flipped(box([20, -3, -21], [28, 3, -1.0]), 3), name="boulder half turned over"),
    both(
        half_flipped(plane(20.0, cells=12), 4), half_flipped(box([20, -3, -21], [28, 3, 3.0]), 5),
        name="all half turned",
    ),
    # Holes of all sizes.
    *(holed(3.0, (24 - size / 2, 24 + size / 2), (-size / 2, size / 2), f"hole of {size}")
      for size in (0.05, 0.3, 0.9, 1.5, 4.0, 12.0)),
    holed(3.0, (20.0, 28.0), (2.0, 9.0), "hole beside"),
    both(
        FLOOR, holed_box([20, -4, -12], [28, 4, 4], [24, 0, 4], 1.0, ""),
        name="boulder in the way with a hole of 2 m on top",
    ),
    both(FLOOR, holed_box([20, -4, -12], [28, 4, 4], [20, 0, -1], 0.3, ""), name="the hole where the line goes in"),
    both(FLOOR, open_box([20, -4, -21], [28, 4, 4], (2, 0), "open below"), name="boulder open below in the way"),
    both(FLOOR, open_box([20, -4, -21], [28, 4, -1.5], (2, 0), "open below"), name="boulder open below, near"),
    # Rock in the way.
    both(FLOOR, box([3.0, -5, -21], [4.9, 5, 5]), name="rock 3 to 4.9 m from A"),
    both(FLOOR, box([44.0, -5, -21], [46.0, 5, 5]), name="rock 2 to 4 m from B"),
    both(FLOOR, box([20, -8, -21], [28, 8, 8]), name="rock 8 m thick"),
    both(FLOOR, box([20, -8, -21], [20.2, 8, 8]), name="rock 0.2 m thick"),
    both(FLOOR, box([20.031, -8, -21], [20.041, 8, 8]), name="rock 1 cm thick"),
    # Anchors.
    both(FLOOR, box([-3, -3, -21], [0.6, 3, 0.2]), name="anchor A in rock"),
    both(FLOOR, box([47.0, -3, -21], [50, 3, 0.5]), name="anchor B in rock"),
    both(FLOOR, box([-3, -3, -21], [1.0, 3, -0.4]), box([47, -3, -21], [50, 3, -0.4]), name="anchors on rock"),
    plane(-0.5, name="anchors under a plane"), plane(0.0, name="a plane through the anchors"),
]  # fmt: skip


@pytest.mark.parametrize("ground", GROUNDS, ids=lambda ground: ground.name)
def test_distance_and_verdict(rig, points, ground):
    found = find_clearance(rig, terrain=ground.terrain)
    (zone, _), span = found.zones, rig.span
    kept = not ground.unknown
    for kind, needed in (("line", 1.0), ("loop", 0.5)):
        all_of_it = ground.signed(points[kind])
        free = (points[kind][:, 0] >= zone.length) & (points[kind][:, 0] <= span - zone.length)
        truth = float(all_of_it[free].min())
        kept &= truth >= needed and float(all_of_it.min()) > -1e-3
        causes = [
            cause for cause in (*found.causes, *(each for zone in found.zones for each in (*zone.border, *zone.beside)))
            if cause.kind == kind
        ]
        least = min((cause.distance for cause in causes), default=np.inf)
        if not causes:
            # Nothing outside the zones is nearest there: rock of a zone lies beside.
            continue
        assert least <= truth + SEEN, "a bound above the truth"
        assert least >= truth - max(0.01, 0.01 * abs(truth)) or least < 0.0 < -truth
    assert (found.verdict is Verdict.KEPT) == kept
    assert found.exit_status == (0 if kept else 3)
    if not kept:
        assert found.verdict is Verdict.SHORT or ground.unknown


def test_grounds_are_at_least_sixty_and_both_kept_and_not():
    assert len(GROUNDS) >= 60 and len({ground.name for ground in GROUNDS}) == len(GROUNDS)


def test_closed_forms_of_the_scenes_are_right(brute):
    """Boxes, holes and wires against every triangle by brute force: the checks themselves are checked."""
    rng = np.random.default_rng(1)
    p = rng.uniform([0, -10, -10], [48, 10, 10], (300, 3))
    for ground in (box([20, -3, -21], [28, 3, -2]), holed(3.0, (20, 28), (2, 9), ""), plane(8.0, 0.1)):
        want = brute(p, ground.vertices[:], ground.faces)
        np.testing.assert_allclose(np.abs(ground.signed(p)), want, atol=1e-9)
    trunk = tube(3.0, 6.0, (-400.0, 520.0), 24, closed=False, inwards=True)
    inner = p[np.hypot(p[:, 1], p[:, 2] + 0.3) < 2.9]
    np.testing.assert_allclose(trunk.signed(inner), brute(inner, trunk.vertices, trunk.faces), atol=1e-9)


@pytest.mark.parametrize(
    ("low", "high", "metres", "depth"),
    [
        ([3.0, -5, -21], [4.9, 5, 5], 1.9, 0.95), ([20, -8, -21], [28, 8, 8], 8.0, 4.0),
        ([20, -8, -21], [20.2, 8, 8], 0.2, 0.1), ([14, -0.5, -21], [34, 0.5, 0.6], 20.0, 0.5),
    ],
)  # fmt: skip
@pytest.mark.parametrize("how", ["closed", "inside out", "open below"])
def test_metres_in_rock_and_depth(rig, low, high, metres, depth, how):
    """A straight main cuts a box over its width; deepest half-way between its sides (closed form)."""
    rock = box(low, high)
    if how == "inside out":
        rock = flipped(rock)
    elif how == "open below":
        rock = open_box(low, high, (2, 0), "")
    found = find_clearance(rig, terrain=both(FLOOR, rock).terrain)
    line = next(cause for cause in found.short if cause.kind == "line")
    # The main sags by 1.2 m over 48 m: its length over the box is that of the box to a few per mille.
    assert line.inside == pytest.approx(metres, rel=0.01)
    if depth == 0.5:
        # Sunk from both sides and from above: nearest is a side, 0.5 m off, until it comes up near the top.
        assert -line.distance == pytest.approx(0.5, abs=0.01)
    else:
        assert -line.distance == pytest.approx(depth, abs=0.01)
    assert found.verdict is Verdict.SHORT


def test_a_line_that_lies_in_the_zones_alone_is_not_kept(rig):
    """A zone is at most an eighth of the span: 200 m asked for on 48 m are 6 m; the floor below the rest is short."""
    asked = replace(rig, needs=replace(NEEDS, anchor_zone=200.0))
    found = find_clearance(asked, terrain=plane(1.05).terrain)
    assert [(zone.length, zone.asked) for zone in found.zones] == [(6.0, 200.0)] * 2
    assert found.verdict is Verdict.SHORT and found.exit_status == 3
    clear = find_clearance(asked, terrain=FLOOR.terrain)
    assert clear.verdict is Verdict.KEPT and set(clear.compared) == {"line", "loop"}


def test_what_was_not_compared_is_unknown(rig):
    found = find_clearance(rig, terrain=FLOOR.terrain)
    assert found.verdict is Verdict.KEPT
    for changed in (
        replace(found, compared=()), replace(found, compared=("line",)), replace(found, findings=(), compared=()),
    ):
        assert changed.verdict is Verdict.UNKNOWN and changed.exit_status == 3
    assert replace(found, unknown=np.array([[20.0, 30.0]])).verdict is Verdict.UNKNOWN
    assert replace(found, is_asked=False).verdict is Verdict.NOT_ASKED


def test_nothing_asked_for_still_finds_a_line_in_rock(rig):
    bare = replace(rig, needs=None)
    assert find_clearance(bare, terrain=FLOOR.terrain).verdict is Verdict.NOT_ASKED
    rock = both(FLOOR, open_box([20, -8, -21], [28, 8, 8], (0, 1), "open at an end"))
    assert find_clearance(bare, terrain=rock.terrain).verdict is Verdict.SHORT


def _main(rig, planned, at):
    """Points of the main with the walker at a place; the lowest is under his feet."""
    return solve(rig.with_walker_at(at), planned=planned).main.sample(4).points.reshape(-1, 3)


@pytest.mark.parametrize("offset", [0.0, 0.3, 0.61, 0.93])
def test_blades_between_walker_positions(offset):
    """Walker every 2.4 m to begin with, a blade under his feet between two of them: what he is over it is found.

    Source: his own position solved at the blade and to 3 cm beside it, and the closed form of a box.
    """
    rig = replace(load(SCENES / "heron_gap.toml").rig, ground=None, wind=None, needs=NEEDS)
    planned, at = plan(rig), 19.2 + 2.4 * offset
    feet = _main(rig, planned, at)[:, 2].min()
    blade = upright(at, feet - 0.6, thick=0.02)
    found = find_clearance(rig, planned=planned, terrain=both(FLOOR, blade).terrain, positions=20)
    truth = np.inf
    for place in np.arange(at - 0.15, at + 0.151, 0.03):
        curve = _main(rig, planned, float(place))
        truth = min(truth, float(blade.signed(curve[np.argmin(curve[:, 2])][None])[0]))
    body = min(cause.distance for cause in found.causes if cause.kind == "body" and cause.family == "standing")
    line = min(cause.distance for cause in found.causes if cause.kind == "line" and cause.family == "rig")
    assert found.verdict is Verdict.SHORT
    assert truth - 0.01 <= body <= truth + 0.01 and line <= truth + 0.01


def test_one_finding_a_place(rig):
    """One ledge that main, loops, body and leash come near in many ways is one finding."""
    walked = replace(load(SCENES / "heron_gap.toml").rig, ground=None, wind=None, needs=NEEDS)
    found = find_clearance(walked, terrain=both(FLOOR, box([20, -8, -21], [23, 8, -3.0])).terrain, positions=24)
    assert len(found.findings) == 1 and len(found.findings[0].causes) >= 6
    remainders = [cause.remainder for cause in found.findings[0].causes]
    assert remainders == sorted(remainders) and found.findings[0].worst.remainder == remainders[0]


def test_pieces_of_a_scan_are_measured_each_by_itself():
    """A boulder sunk into the ground: the ground's sheet inside it does not make it shallow."""
    ground = both(plane(1.0), box([0, 0, -3], [4, 4, 3]))
    index = GroundIndex(ground.terrain)
    assert index.is_signed and not index.is_one_sheet
    from linescope.clearance import minimum_along

    near = minimum_along(index, np.array([[-3.0, 2.0, -0.5], [7.0, 2.0, -0.5]]))
    assert near.distance == pytest.approx(-2.0, abs=2e-3)

"""Loss of the main: ellipse, tied and untied, symmetry, curves against the equilibria they belong to."""

from __future__ import annotations

from operator import attrgetter

import numpy as np
import pytest
from scipy.optimize import brentq

from linescope.errors import InputError
from linescope.events.catch import stand
from linescope.events.main_gone import GoneNote, main_gone, main_gone_sweep
from linescope.events.released import Chain, Part
from linescope.events.sections import intact, lost_energy, pair_stretch, sections
from linescope.notes import Severity, Term
from linescope.rig import Walker
from linescope.statics import plan
from linescope.statics.assemble import G
from linescope.taping import Holds
from linescope.webbing.stretch import StretchCurve
from tests.events.catch_rigs import HMPE, NYLON, POLYESTER, rig, webbing
from tests.events.test_slid import unlike
from tests.statics.random_rigs import plain_rig

OUTSIDE = {"area": "loss of the main", "known": "recomputed"}
WEIGHT = 75.0 * G
STIFF = StretchCurve.linear(1e10)
LIGHT = 1e-7  # [N/m]


def test_light_stiff_ring_rests_where_both_legs_are_equally_steep(agrees):
    """Closed form: sin(phi) = D / L, tension W / (2 cos(phi)), phi from the vertical."""
    chain = Chain(start=np.zeros(3), end=np.array([4.0, 0, 1.0]), parts=(Part(length=5.0, load=LIGHT, stretch=STIFF),))
    rest = chain.hang(np.array([100.0]))
    agrees(
        "released backup as a light stiff string: place and tension at rest", (rest.x[0], rest.z[0], rest.tension[0]),
        (4.0 / 3.0, -1.0, 250.0 / 3.0), rel=1e-6, source="Closed form: ring on a string",
    )


def test_light_stiff_ring_lies_on_the_ellipse(agrees):
    chain = Chain(
        start=np.array([1.0, 2.0, 3.0]), end=np.array([41.0, 32.0, -2.0]),
        parts=(Part(length=53.0, load=LIGHT, stretch=STIFF),),
    )
    rings = chain.hang_at(np.linspace(1.0, 49.0, 25), np.full(25, WEIGHT))
    points = chain.points(rings.x, rings.z)
    legs = np.linalg.norm(points - chain.start, axis=1) + np.linalg.norm(points - chain.end, axis=1)
    agrees("both legs of its ring, anywhere", legs, 53.0, rel=1e-6, unit="m", source="Closed form: ellipse")


def test_vertical_force_is_the_slope_of_the_energy():
    chain = Chain(
        start=np.zeros(3), end=np.array([60.0, 0, 4.0]),
        parts=(
            Part(length=20.0, load=1.1, stretch=StretchCurve.linear(2e5)),
            Part(length=25.0, load=0.5, stretch=StretchCurve(tension=[0, 2e3, 9e3], strain=[0, 0.02, 0.06])),
            Part(length=18.0, load=1.1, stretch=StretchCurve.linear(2e5)),
        ),
    )
    x, step = np.linspace(1.0, 59.0, 30), 0.05
    low, mid, high = (chain.hang_at(x, np.full(30, 2000.0 + d)) for d in (-step, 0.0, step))
    assert (high.energy - low.energy) / (low.z - high.z) == pytest.approx(2000.0, rel=1e-5)
    # Where it may roll, it comes to the x of least energy + weight x height.
    rolled = chain.hang(np.array([2000.0]))
    assert rolled.h_start[0] == pytest.approx(rolled.h_end[0], rel=1e-9)
    assert np.all(mid.energy + 2000.0 * mid.z >= rolled.energy + 2000.0 * rolled.z - 1e-6)


def test_cutting_a_line_into_parts_changes_nothing():
    stretch = StretchCurve.linear(1.2e5)
    whole, cut = (
        Chain(
            start=np.zeros(3), end=np.array([100.0, 0, -7.0]),
            parts=tuple(Part(length=part, load=0.6, stretch=stretch) for part in parts),
        )
        for parts in ((104.0,), (30.0, 41.0, 33.0))
    )
    x = np.linspace(1.0, 99.0, 40)
    one, other = (chain.hang_at(x, np.full(40, WEIGHT)) for chain in (whole, cut))
    assert other.z == pytest.approx(one.z, abs=1e-8)
    assert other.energy == pytest.approx(one.energy, abs=1e-5)


def test_a_taut_sloping_line_lets_its_ring_roll_to_the_lower_end():
    chain = Chain(
        start=np.zeros(3), end=np.array([100.0, 0, -6.0]),
        parts=(Part(length=96.0, load=0.3, stretch=StretchCurve.linear(5e5)),),
    )
    assert chain.hang(np.array([WEIGHT])).x[0] > 99.0


def test_floor_takes_exactly_the_energy_the_walker_has_lost(agrees):
    """Light nearly straight springs by hand: W x drop = EA L strain^2 / 2 along the whole floor."""
    plain = rig(100.0, POLYESTER, 2500.0, excess=0.04)
    gone = main_gone(plain, start="at the ring").nothing_holds
    floor = gone.floor.ring[0, 5:-5]
    length = plan(plain).layout.backup_length
    legs = np.hypot(floor[:, 0], floor[:, 2]) + np.hypot(100.0 - floor[:, 0], floor[:, 2])
    stored = 0.5 * 125e3 * length * (legs / length - 1.0) ** 2
    standing = main_gone(plain, start="at the ring").ring_standing[0, 2]
    # Backup's weight left out by hand.
    agrees(
        "energy the walker lost down to the floor, against two springs", WEIGHT * (standing - floor[:, 2]), stored,
        rel=0.05,
        unit="J", source="Closed form: two springs, W x drop = EA L strain^2 / 2",
    )
    assert gone.lowest.tension[0] == pytest.approx(gone.floor.tension[0].max(), rel=1e-3)


def test_the_most_is_with_all_that_the_lost_main_has_stored(agrees):
    """Light springs by hand, walker at mid-span: W x drop + EA L strain^2 / 2 of the main is what two legs store."""
    line = webbing((80e3, 1e-3))
    plain = plain_rig(
        span=60.0, every=3.0, holds=Holds.BOTH, excess=0.05, tension=2000.0, measured_on="tensioned",
        walker=Walker(mass=75.0, at=30.0), main=line, backup=line,
    )
    layout, gone = plan(plain).layout, main_gone(plain, start="at the ring")
    start = float(gone.ring_standing[0, 2])

    def stored(length, z):
        return 0.5 * 80e3 * length * max(2.0 * np.hypot(30.0, z) / length - 1.0, 0.0) ** 2

    lost = stored(layout.main_length, start)

    def left(z):
        return WEIGHT * (start - z) + lost - stored(layout.backup_length, z)

    depth = -brentq(left, -30.0, -1.1 * gone.nothing_holds.rest.depth[0])
    tension = 80e3 * (2.0 * np.hypot(30.0, depth) / layout.backup_length - 1.0)
    most = gone.nothing_holds
    agrees(
        "with all that the lost main has stored: depth and tension", (most.most.depth[0], most.most.tension[0]),
        (depth, tension), rel=2e-3, source="Closed form: two springs, W x drop = EA L strain^2 / 2",
    )
    assert most.most.tension[0] > 1.1 * most.lowest.tension[0]


def test_the_lost_main_is_counted_whole_once():
    """Its weight, and over all sections what it has stored, with the heights of what hangs on it."""
    plain = rig(100.0, POLYESTER, 2500.0, excess=0.06, ties=(25.0, 50.0, 75.0))
    planned = plan(plain)
    (whole,), parted = sections(planned, tied=False), sections(planned, tied=True)
    weight = planned.layout.main_length * plain.main.mass * G + 24 * plain.taping.tape_mass * G
    assert whole.laden.weight - whole.chain.weight == pytest.approx(weight, rel=0.01)
    loaded = stand(planned, 40.0)
    parts = sum(lost_energy(loaded, section) for section in parted)
    assert lost_energy(loaded, whole) == pytest.approx(parts, abs=3 * plain.taping.tape_mass * G * 10.0 + 1e-6)
    # By hand: a main of straight stretch stores about T^2 L / 2 EA; it hangs some metres below its anchors.
    flat = loaded.standing.state.segments.flat
    main = slice(0, loaded.pair.n + 1)
    elastic = float(np.sum(flat.tension_mean[main] ** 2 * flat.length[main]) / (2.0 * 125e3))
    sag = float(np.average(loaded.standing.state.unknowns[:, 2]))
    assert lost_energy(loaded, whole) == pytest.approx(elastic + weight * sag, rel=0.02)


@pytest.mark.parametrize("ties", [(), (25.0, 50.0, 75.0)])
def test_the_most_is_never_less(ties):
    sweep = main_gone_sweep(rig(100.0, POLYESTER, 2500.0, excess=0.06, rise=-6.0, ties=ties), count=8, points=21)
    for release in (sweep.nothing_holds, sweep.ties_hold):
        assert np.all(release.most.depth > release.lowest.depth)
        assert np.all(release.most.tension > release.lowest.tension)
        assert np.all(release.most.force > release.lowest.force)
        assert release.most.share == pytest.approx(release.most.tension / 30e3)
        assert release.floor.most_foot[:, :, 2].min() >= release.most.foot[:, 2].min() - 1e-6
        # The floor then reaches further and lower all along.
        for low, base in zip(release.floor.most_foot, release.floor.foot, strict=True):
            assert np.all(np.interp(base[:, 0], low[:, 0], low[:, 2]) <= base[:, 2] + 0.02)


def test_a_backup_that_only_the_lost_main_overloads_is_said():
    plain = rig(50.0, HMPE, 3500.0, excess=0.04)
    gone = main_gone(plain).nothing_holds
    between = float(0.5 * (gone.lowest.tension[0] + gone.most.tension[0]))
    notes = main_gone(rig(50.0, HMPE, 3500.0, excess=0.04, aged=between)).notes
    assert notes[0].kind is GoneNote.OVERLOAD_MOST and notes[0].values["peak"].bound == ""
    assert notes[0].values["known"] == Term("strength-aged")


def test_floor_lies_below_rest_and_ends_where_energy_ends():
    gone = main_gone(rig(100.0, POLYESTER, 2500.0, excess=0.06, rise=5.0), 30.0).nothing_holds
    assert np.all(gone.floor.ring[0, :, 2] <= gone.floor.hang[0, :, 2] + 1e-9)
    assert gone.lowest.foot[0, 2] <= gone.floor.foot[0, :, 2].min() + 1e-9
    assert gone.lowest.ring[0, 2] < gone.rest.ring[0, 2]
    given = gone.floor.ring[0, :, 2] - gone.floor.foot[0, :, 2] - 1.6 - 1.1
    assert np.all(given >= (1.6 / 24e3 + 1.0 / 30e3) * 75.0 * 9.8)  # Leash and body under his weight, or more.
    for edge in (0, -1):
        if abs(gone.floor.ring[0, edge, 0] - (0.0, 99.87)[edge]) > 0.2:  # Not where the anchor ends it.
            assert gone.floor.ring[0, edge, 2] == pytest.approx(gone.floor.hang[0, edge, 2], abs=0.2)


def test_counting_the_fall_into_the_leash_goes_deeper():
    plain = rig(50.0, NYLON, 1500.0)
    standing, ring = (main_gone(plain, start=start).nothing_holds for start in ("standing", "at the ring"))
    assert standing.lowest.depth[0] > ring.lowest.depth[0]
    assert standing.rest.depth[0] == pytest.approx(ring.rest.depth[0], rel=1e-9)


def test_ties_bracket_the_fall():
    sweep = main_gone_sweep(rig(100.0, POLYESTER, 2500.0, excess=0.06, ties=(25.0, 50.0, 75.0)), count=12, points=21)
    loose, tied = sweep.nothing_holds, sweep.ties_hold
    assert sweep.tied
    assert np.all(tied.rest.depth < loose.rest.depth)
    assert np.all(tied.lowest.depth < loose.lowest.depth)
    assert tied.spare == pytest.approx(0.25 * loose.spare, rel=0.05)
    assert np.all(np.isnan(loose.main_share))
    assert np.all(tied.main_share > 0.0)
    assert tied.section[0, 0] == 0.0
    # A level rig with ties at the quarters falls the same from both ends.
    assert tied.lowest.depth == pytest.approx(tied.lowest.depth[::-1], rel=1e-3)


def test_without_ties_both_sides_are_the_same_and_it_is_said():
    gone = main_gone(rig(50.0, POLYESTER, 2500.0))
    assert not gone.tied
    assert gone.ties_hold.lowest.depth == pytest.approx(gone.nothing_holds.lowest.depth, rel=0.0)
    assert any(note.kind is GoneNote.NO_TIES for note in gone.notes)


def test_sections_lie_between_ties():
    planned = plan(rig(100.0, HMPE, 3500.0, excess=0.05, ties=(30.0, 60.0)))
    found = sections(planned, tied=True)
    assert [len(section.chain.parts) for section in found] == [2, 3, 2]
    assert found[0].begin == 0.0
    assert found[-1].stop == planned.layout.main_length
    assert sum(section.spare for section in found) == pytest.approx(
        planned.layout.backup_length - planned.layout.main_length
    )


def test_an_intact_pair_stretches_like_its_main_until_the_backup_is_straight():
    plain = rig(50.0, POLYESTER, 2500.0)
    length, stretch = pair_stretch(plain, np.array([2.0, 3.0]), np.array([2.1, 3.15]))
    assert length == pytest.approx(5.0)
    assert stretch.strain_at(5e3) == pytest.approx(5e3 / 125e3, rel=1e-4)
    # Beyond 5 % two equal springs side by side: T = EA e + EA ((1 + e) / 1.05 - 1).
    strain = 0.09
    pull = 125e3 * (strain + 1.09 / 1.05 - 1.0)
    assert stretch.strain_at(pull) == pytest.approx(strain, rel=1e-3)


def test_an_intact_pair_with_a_short_backup_begins_at_the_backups_length():
    length, stretch = pair_stretch(rig(50.0, POLYESTER, 2500.0), np.array([10.0]), np.array([9.8]))
    assert length == pytest.approx(9.8)
    assert stretch.strain_at(500.0) == pytest.approx(500.0 / 125e3, rel=1e-3)


@pytest.mark.parametrize("holds", [Holds.MAIN, Holds.BACKUP])
def test_sliding_tapes_let_bays_share_their_slack(holds):
    """Beside a released section, 8 bays with little slack and 4 with much; by hand, two equal springs side by side."""
    free, fixed = (unlike(0.0, 0.2, holds=each, span=48.0, at=42.0, ties=(36.0,)) for each in (holds, Holds.BOTH))
    layout = plan(free).layout
    ratio = layout.bays_backup[:12] / layout.bays_main[:12]
    shared, alone = (intact(plan(free), 0, 12, free=each) for each in (True, False))
    assert shared.length == pytest.approx(alone.length)
    assert ratio[:8] == pytest.approx(ratio[0], rel=1e-3) and ratio[0] < 1.03
    # Shared, the backup is slack up to the mean of the ratios; held, at 4 kN it pulls in 8 of 12 bays.
    assert np.mean(ratio) > 1.08
    assert shared.stretch.strain_at(80e3 * 0.05) == pytest.approx(0.05, rel=1e-3)
    tight = (0.05 + 1.0 - 1.0 / ratio[0]) / (1.0 + 1.0 / ratio[0])
    assert alone.stretch.strain_at(80e3 * 0.05) == pytest.approx((8 * tight + 4 * 0.05) / 12, rel=2e-3)
    gone, other = (main_gone(each, 42.0) for each in (free, fixed))
    assert gone.ties_hold.lowest.depth[0] >= other.ties_hold.lowest.depth[0] - 1e-9
    assert gone.ties_hold.lowest.tension[0] >= other.ties_hold.lowest.tension[0] - 1e-6
    assert gone.nothing_holds.lowest.depth[0] == pytest.approx(other.nothing_holds.lowest.depth[0], abs=1e-3)


def test_angles_at_the_lips_fit_the_legs():
    gone = main_gone(rig(100.0, POLYESTER, 2500.0, excess=0.04)).nothing_holds
    x, _, z = gone.rest.ring[0]
    leg = np.arctan2(-z, x)
    # The backup's own weight (27 N a leg beside 1.2 kN) makes the end half a degree steeper than the leg.
    assert np.degrees(gone.rest.angles[0]) == pytest.approx(np.degrees([leg, leg]) + 0.63, abs=0.15)
    assert np.all(gone.floor.steepest[0] >= gone.lowest.angles[0])
    assert np.all(gone.lowest.angles[0] > gone.rest.angles[0])


def test_peak_is_compared_with_the_aged_strength():
    gone = main_gone(rig(50.0, HMPE, 3500.0, excess=0.04, aged=8e3))
    assert gone.nothing_holds.lowest.share[0] == pytest.approx(gone.nothing_holds.lowest.tension[0] / 8e3)
    assert gone.notes[0].kind is GoneNote.OVERLOAD and gone.notes[0].severity is Severity.DANGER
    assert any(note.kind is GoneNote.STATIC for note in gone.notes)


def test_mistakes_are_named():
    plain = rig(50.0, POLYESTER, 2500.0)
    with pytest.raises(InputError, match="start"):
        main_gone(plain, start="sitting")
    with pytest.raises(InputError, match="outside the line"):
        main_gone(plain, [10.0, 51.0])
    with pytest.raises(InputError, match="walker"):
        main_gone(rig(50.0, POLYESTER, 2500.0, walker=False), 10.0)


def test_results_are_frozen():
    gone = main_gone(rig(25.0, NYLON, 1200.0), [10.0], points=11)
    with pytest.raises(ValueError, match="read-only"):
        gone.nothing_holds.floor.ring[0, 0, 2] = 0.0


@pytest.mark.parametrize(
    ("excess", "rise", "kind"), [(-0.01, 6.0, NYLON), (0.15, -9.0, HMPE), (0.02, 0.0, POLYESTER)]
)
def test_every_start_lies_above_its_floor(excess, rise, kind):
    """Taut, deep and plain rigs, tied and not: each sweep is solved and no walker starts below his own floor."""
    sweep = main_gone_sweep(rig(80.0, kind, 2000.0, excess=excess, rise=rise, ties=(27.0,)), count=9, points=41)
    for release in (sweep.nothing_holds, sweep.ties_hold):
        assert np.all(np.diff(release.floor.ring[:, :, 0], axis=1) >= 0.0)
        assert np.all(release.floor.ring[:, :, 2] <= release.floor.hang[:, :, 2] + 1e-9)
        assert np.all(release.lowest.foot[:, 2] <= release.floor.foot[:, :, 2].min(axis=1) + 1e-6)
        for place, floor in zip(sweep.ring_standing, release.floor.ring, strict=True):
            assert np.interp(place[0], floor[:, 0], floor[:, 2]) < place[2]


def test_drawn_line_runs_from_anchor_over_the_ring_to_anchor():
    plain = rig(80.0, POLYESTER, 2000.0, rise=5.0, ties=(27.0, 50.0))
    gone = main_gone(plain, [10.0, 40.0], points=11)
    for release in (gone.nothing_holds, gone.ties_hold):
        for line, ring in ((release.rest.line, release.rest.ring), (release.lowest.line, release.lowest.ring)):
            assert line[:, 0] == pytest.approx(np.tile(plain.main_a, (2, 1)), abs=1e-9)
            assert line[:, -1] == pytest.approx(np.tile(plain.main_b, (2, 1)), abs=1e-9)
            assert line[:, line.shape[1] // 2] == pytest.approx(ring, abs=1e-6)
            # Straight but for their own weight: no leg bends upwards.
            legs = np.diff(line, axis=1)
            slope = legs[:, :, 2] / legs[:, :, 0]
            half = slope.shape[1] // 2
            assert np.all(np.diff(slope[:, :half], axis=1) > -1e-9)
            assert np.all(np.diff(slope[:, half:], axis=1) > -1e-9)


def test_a_ring_that_runs_to_an_anchor_is_said_for_the_places_it_comes_from():
    steep = main_gone(rig(110.0, HMPE, 4500.0, rise=-30.0), [8.0, 55.0], points=1)
    level = main_gone(rig(110.0, HMPE, 4500.0), [8.0, 55.0], points=1)
    (said,) = [note for note in steep.notes if note.kind is GoneNote.TO_ANCHOR]
    assert said.values["anchor"] == "B" and said.place.start == 8.0
    assert GoneNote.TO_ANCHOR not in {note.kind for note in level.notes}
    assert level.nothing_holds.turns.free == pytest.approx(110.0 - level.ring_standing[:, 0], abs=0.01)  # Mirrored.
    assert steep.nothing_holds.turns.far[0] > 108.0


def test_names_of_the_version_before_are_read_and_warn():
    gone = main_gone(rig(50.0, POLYESTER, 2500.0), points=3).nothing_holds
    with pytest.warns(DeprecationWarning, match="lowest.foot_depth now"):
        assert gone.foot_depth is gone.lowest.foot_depth
    for now in gone.OLD.values():
        attrgetter(now)(gone)
    with pytest.raises(AttributeError, match="foot_height"):
        _ = gone.foot_height

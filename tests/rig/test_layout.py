"""Where tapes, ties and joints sit on both lines: sums and rules worked out by hand."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from linescope.errors import InputError
from linescope.rig import BackupPlan, Joint, Spacing, TapeZone, Taping
from linescope.rig.layout import lay_out, loop_length_for_depth
from linescope.taping import Holds
from tests.statics.making import one_segment
from tests.statics.random_rigs import plain_rig, zone

EVEN = Spacing(kind="even", every=3.0)


def laid(length=48.0, strain=0.0, **more):
    return lay_out(plain_rig(**more), length, strain)


def zoned(*zones, **more):
    rig = plain_rig(**more)
    return lay_out(replace(rig, taping=Taping(zones=zones, measured_on="slack")), 48.0, 0.0)


def test_even_spacing_puts_whole_bays_between_the_tapes():
    """47 m of main at 3 m on a 48 m span: 15 tapes, the end bays share the metre that is missing."""
    layout = laid(47.0)
    assert len(layout.tapes) == 15
    assert layout.bays_main[1:-1] == pytest.approx(3.0, abs=1e-12)
    assert layout.bays_main[[0, -1]] == pytest.approx(2.5, abs=1e-12)
    assert [tape.number for tape in layout.tapes] == list(range(1, 16))


def test_excess_is_backup_over_bay():
    layout = laid(excess=0.05)
    assert layout.bays_backup == pytest.approx(1.05 * layout.bays_main, rel=1e-12)
    assert layout.backup_length == pytest.approx(1.05 * 48.0, rel=1e-12)


def test_marks_on_a_tensioned_main_refer_to_the_stretched_one():
    """Bays as stated on the main under tension are (1 + strain) times as long as its unstretched pieces."""
    layout = laid(46.6, 0.03, excess=0.05)
    assert layout.stated_bays == pytest.approx(1.03 * layout.bays_main, rel=1e-12)
    assert layout.bays_backup == pytest.approx(1.05 * layout.stated_bays, rel=1e-12)
    assert layout.stated_bays.sum() == pytest.approx(46.6 * 1.03, rel=1e-12)


def test_irregular_spacing_is_the_same_every_time_and_keeps_its_mean():
    spacing = Spacing(kind="irregular", every=3.0, spread=0.3, seed=5)
    one, again, other = (laid(spacing=s) for s in (spacing, spacing, replace(spacing, seed=6)))
    assert np.array_equal(one.tape_main, again.tape_main)
    assert not np.array_equal(one.tape_main, other.tape_main)
    assert one.bays_main.mean() == pytest.approx(3.0, rel=1e-12)
    assert one.bays_main.min() > 0.6 * 3.0 and one.bays_main.max() < 1.4 * 3.0
    assert np.ptp(one.bays_main) > 0.5


def test_listed_and_repeated_bays():
    listed = laid(spacing=Spacing(kind="listed", values=(30.0, 2.0, 7.5)))
    assert listed.tape_main == pytest.approx([2.0, 7.5, 30.0])
    pattern = laid(spacing=Spacing(kind="pattern", values=(2.0, 4.0)))
    assert pattern.bays_main[:6] == pytest.approx([2.0, 4.0, 2.0, 4.0, 2.0, 4.0])
    assert pattern.bays_main.sum() == pytest.approx(48.0)


def test_zones_meet_at_a_tape_of_the_later_one():
    layout = zoned(zone(0.0, 20.0, Holds.BOTH, EVEN), zone(20.0, np.inf, Holds.MAIN, EVEN))
    at = int(np.argmin(np.abs(layout.tape_main - 20.0)))
    assert layout.tape_main[at] == pytest.approx(20.0, abs=1e-12)
    assert layout.tapes[at].holds is Holds.MAIN and layout.tapes[at - 1].holds is Holds.BOTH


def test_ties_and_tied_joints_replace_a_tape_at_the_same_place():
    layout = laid(ties=(12.0,), joints=(Joint(at=24.5, mass=0.3, tied=True), Joint(at=30.5, mass=0.2)))
    kinds = {round(float(m), 3): tape for m, tape in zip(layout.tape_main, layout.tapes, strict=True)}
    assert kinds[12.0].kind == "tie" and kinds[24.5].kind == "tie"
    assert kinds[12.0].holds is Holds.BOTH
    assert len(layout.tapes) == 15 + 1  # The tie at 12 m took the place of a tape.
    assert layout.joint_main == pytest.approx([30.5]) and layout.joint_mass == pytest.approx([0.2])


@pytest.mark.parametrize(
    ("given_by", "value", "expected"),
    [("loop length", 3.3, 3.3), ("total length", 52.8, 3.3), ("excess", 0.1, 3.3)],
)
def test_ways_to_give_the_backup(given_by, value, expected):
    rig = replace(plain_rig(), backup_plan=BackupPlan(given_by=given_by, value=value))
    assert lay_out(rig, 48.0, 0.0).bays_backup == pytest.approx(expected, rel=1e-12)


def test_a_total_length_is_kept_beside_zones_with_an_excess_of_their_own():
    """12 m with 2 % take 12.24 m of 50.4 m; the other 36 m have 38.16 m, 6 %."""
    first = replace(zone(0.0, 12.0, Holds.BOTH, EVEN), excess=0.02)
    rig = replace(plain_rig(), backup_plan=BackupPlan(given_by="total length", value=50.4))
    both = replace(rig, taping=Taping(zones=(first, zone(12.0, np.inf, Holds.BOTH, EVEN)), measured_on="slack"))
    layout = lay_out(both, 48.0, 0.0)
    assert layout.backup_length == pytest.approx(50.4, rel=1e-12)
    assert layout.stated_excess == pytest.approx([0.02] * 4 + [0.06] * 12, rel=1e-12)
    alone = replace(first, end=np.inf)
    with pytest.raises(InputError, match="given twice"):
        lay_out(replace(rig, taping=Taping(zones=(alone,), measured_on="slack")), 48.0, 0.0)


def test_a_total_length_is_kept_where_the_backup_has_anchors_of_its_own():
    """An anchor a metre behind that of the main: 49 m to bridge with 51.45 m, 5 % everywhere."""
    rig = replace(plain_rig(), backup_plan=BackupPlan(given_by="total length", value=51.45))
    behind = replace(rig.anchors, backup_a=rig.main_a - np.array([1.0, 0.0, 0.0]))
    layout = lay_out(replace(rig, anchors=behind), 48.0, 0.0)
    assert layout.backup_length == pytest.approx(51.45, rel=1e-12)
    assert layout.stated_excess == pytest.approx(0.05, rel=1e-12)


@pytest.mark.parametrize("depth", [0.05, 0.4, 1.5, 6.0])
def test_loop_length_for_a_depth_hangs_that_deep(depth):
    """The elastic catenary solver, as stiff as a wire, gives the depth back to 1e-7 of it."""
    length = loop_length_for_depth(3.0, depth)
    loop = one_segment(3.0, 0.0, length, 0.6)
    assert loop.depth_below_chord(3.0, 0.0)[0][0] == pytest.approx(depth, rel=1e-7)


def test_no_depth_is_the_bay_itself():
    assert loop_length_for_depth(3.0, 0.0) == 3.0


@pytest.mark.parametrize(
    ("make", "key"),
    [
        (lambda: laid(ties=(48.5,)), "tie"),
        (lambda: laid(spacing=Spacing(kind="listed", values=(50.0,))), "listed"),
        (lambda: laid(spacing=Spacing(kind="listed", values=(5.0, 5.005))), "zones"),
        (lambda: laid(excess=-0.6), "backup"),
        (lambda: zoned(zone(0.0, 60.0, Holds.BOTH, EVEN), zone(60.0, np.inf, Holds.MAIN, EVEN)), "zones"),
    ],
)
def test_plans_that_do_not_fit_are_named(make, key):
    with pytest.raises(InputError) as caught:
        make()
    assert key in (caught.value.key or "")
    assert caught.value.allowed


def test_an_excess_of_a_zone_overrides_the_rigs():
    first = TapeZone(start=0.0, end=21.0, family="fixed wrap", holds=Holds.BOTH, spacing=EVEN, excess=0.2)
    layout = zoned(first, zone(21.0, np.inf, Holds.BOTH, EVEN), excess=0.05)
    ratio = layout.bays_backup / layout.bays_main - 1.0
    middle = 0.5 * (np.concatenate(([0.0], layout.tape_main)) + np.append(layout.tape_main, 48.0))
    assert ratio[middle < 21.0] == pytest.approx(0.2, abs=1e-12)
    assert ratio[middle > 21.0] == pytest.approx(0.05, abs=1e-12)


@pytest.mark.parametrize("length", [2.01, 2.4, 2.99, 3.01, 4.9, 8.03])
def test_a_pattern_leaves_no_sliver_at_the_end_of_its_zone(length):
    """Whatever the zone's length, its last bay is at least half as long as the one before it would be."""
    zones = (
        zone(0.0, 20.0, Holds.BOTH, Spacing(kind="even", every=2.0)),
        zone(20.0, 20.0 + length, Holds.BOTH, Spacing(kind="pattern", values=(2.0, 4.0))),
        zone(20.0 + length, np.inf, Holds.BOTH, Spacing(kind="even", every=2.0)),
    )
    rig = plain_rig()
    bays = lay_out(replace(rig, taping=replace(rig.taping, zones=zones)), 48.0, 0.0).bays_main
    assert bays.min() >= 1.0
    assert bays.sum() == pytest.approx(48.0)

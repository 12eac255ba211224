"""Styles side by side: the rig as planned is a column, shared walks, what differs, and a verdict with its price."""

from __future__ import annotations

import functools
from dataclasses import replace

import numpy as np
import pytest

from linescope.contact import Comparison, Face, compare
from linescope.contact.pacing import EXACT, QUICK
from linescope.contact.parting import find_parting
from linescope.contact.stepper import Stepper
from linescope.contact.styles import Style, all_families, with_style
from linescope.contact.verdicts import CRITERIA, SAME, StyleNote, differ, entry, rows_of
from linescope.contact.wear import find_wear
from linescope.errors import InputError
from linescope.events import cross
from linescope.notes import Note, Quantity, Range, Term
from linescope.rig import Band, Rig, Use
from linescope.statics import plan
from linescope.taping import FAMILIES, Holds
from tests.contact.making import breeze, tight_rig, walked_rig

USE = Use(crossings=3, wind_hours=2.0)


@functools.cache
def compared(tight: bool = False) -> Comparison:
    rig = (tight_rig if tight else walked_rig)(Holds.MAIN, span=24.0)
    return compare(rig, use=USE, wind=breeze(rig), levels=("value",), per_bay=3)


def with_drag(rig: Rig, newtons: float) -> Rig:
    """Every tape with this drag, whatever it is.  [N]"""
    drag = Band(low=newtons, value=newtons, high=newtons)
    return replace(rig, hold=replace(rig.hold, drag=drag))


def test_a_column_for_each_line_held_and_the_rig_as_planned_is_the_first() -> None:
    found = compared()
    assert [style.holds for style in found.styles] == [Holds.MAIN, Holds.BOTH, Holds.BACKUP]
    assert [style.planned for style in found.styles] == [True, False, False]
    assert all(style.failed is None and style.behaviour is not None for style in found.styles)


def test_every_family_is_in_one_column_both_ways_where_it_can_be() -> None:
    made = [(each.family, each.holds) for style in compared().styles for each in style.made]
    assert set(made) == set(all_families()) and len(made) == len(all_families())
    assert set(made) == {(key, holds) for key, family in FAMILIES.items() for holds in family.can_hold}


def test_a_rig_that_holds_different_lines_stands_beside_the_others() -> None:
    rig = walked_rig(Holds.MAIN, span=24.0)
    zone = rig.taping.zones[0]
    middle = 0.5 * rig.span
    zones = (replace(zone, end=middle), replace(zone, start=middle, family="fixed wrap", holds=Holds.BOTH))
    mixed = replace(rig, taping=replace(rig.taping, zones=zones))
    found = compare(mixed, use=USE, wind=breeze(mixed), levels=("value",), per_bay=3)
    assert [style.name for style in found.styles] == ["mixed", "both", "main", "backup"]
    assert [style.planned for style in found.styles] == [True, False, False, False]
    own = find_wear(mixed, USE, wind=breeze(mixed), levels=("value",), per_bay=3)
    behaviour = found.styles[0].behaviour
    assert behaviour is not None
    for face in Face:
        assert behaviour.wear.peak(face) == pytest.approx(own.peak(face))


@pytest.mark.parametrize("tight", [False, True])
def test_families_of_a_column_rub_as_when_they_are_walked_by_themselves(tight: bool) -> None:
    """The second family, computed from the first one's crossings, against a day of its own."""
    found = compared(tight)
    for holds in (Holds.MAIN, Holds.BACKUP):
        style = found.style(holds)
        assert style is not None
        for made in style.made[1:]:
            styled = with_style(found.rig, made.family, holds)
            own = find_wear(styled, USE, wind=breeze(found.rig), levels=("value",), per_bay=3)
            for face in Face:
                assert made.faces[face] == pytest.approx(own.peak(face), rel=1e-6, abs=1e-6)
            assert made.strip == pytest.approx(own.tape_peak(), rel=1e-6)


def test_the_figures_are_those_of_a_crossing_walked_by_itself() -> None:
    """The walk of `events.crossing`, another search for the same steps: slip, force, and loops after it."""
    found = compared()
    for holds in (Holds.MAIN, Holds.BACKUP):
        style = found.style(holds)
        assert style is not None and style.behaviour is not None
        rig = with_style(found.rig, style.made[0].family, holds)
        walk = cross(rig, per_bay=3)
        assert style.behaviour.slip["value"] == pytest.approx(float(walk.total_slip.max()), rel=0.02, abs=1e-4)
        after = walk.after.bays.loop_depth
        spread = style.behaviour.walked["value"]
        assert (spread.least, spread.most) == pytest.approx((after.min(), after.max()), rel=0.02, abs=2e-3)


@pytest.mark.parametrize("holds", [Holds.MAIN, Holds.BACKUP])
def test_styles_part_at_the_hold_that_is_said(holds: Holds) -> None:
    """A little more drag than said, and a crossing moves nothing; a little less, and the tape that is named slips."""
    found = compared()
    parting = next(each for each in found.parting if each.holds is holds)
    assert parting.drag > 0.0 and parting.half <= parting.drag
    family = next(key for key, each in FAMILIES.items() if holds in each.can_hold)
    rig = with_style(found.rig, family, holds)
    above, below = (cross(with_drag(rig, share * parting.drag), per_bay=3).total_slip for share in (1.03, 0.97))
    assert float(above.max()) < 1e-6
    assert float(below[parting.tape - 1]) > 1e-6
    assert int((below > 1e-6).sum()) <= 2  # Nobody slips long before that one.


def test_a_first_look_parts_styles_where_a_walk_of_each_does() -> None:
    """With as many steps a bay for all, both holds are read off one walk of tapes that hold both lines."""
    found = compared()
    for parting in found.parting:
        family = next(key for key, each in FAMILIES.items() if parting.holds in each.can_hold)
        own = find_parting(plan(with_style(found.rig, family, parting.holds)), parting.holds, 3)
        assert (own.tape, own.given) == (parting.tape, parting.given)
        assert (own.drag, own.half) == pytest.approx((parting.drag, parting.half), rel=1e-6)


def test_a_first_look_differs_by_less_than_its_steps_do() -> None:
    """Searches that end at a millinewton: what is rubbed within a third of a percent of what those to a micronewton
    find, where three steps a bay leave two percent and more."""
    rig = compared().rig
    ends = {}
    for settings in (EXACT, QUICK):
        quick = compare(rig, ["main-held slider"], use=USE, levels=("value",), per_bay=3, settings=settings)
        behaviour = quick.behaviour(Holds.MAIN)
        assert behaviour is not None
        ends[settings] = [behaviour.wear.history.work[0], behaviour.slip["value"], behaviour.wear.day.value.total]
    assert ends[QUICK] == pytest.approx(ends[EXACT], rel=3e-3)


def test_shaken_is_told_beside_taped_and_settled() -> None:
    """A rig that has a fifth of drag and friction from the beginning, hung by itself."""
    fixed = compared().behaviour(Holds.BOTH)
    assert fixed is not None and fixed.taped == fixed.shaken == fixed.settled
    rig = walked_rig(Holds.MAIN, span=24.0)

    def fifth(band: Band) -> Band:
        return Band(low=0.2 * band.low, value=0.2 * band.value, high=0.2 * band.high)

    zones = tuple(replace(zone, hold=None) for zone in rig.taping.zones)
    assert all(zone.hold is None for zone in rig.taping.zones)
    hold = replace(rig.hold, drag=fifth(rig.hold.drag), friction=fifth(rig.hold.friction))
    depth = Stepper(replace(rig, hold=hold, taping=replace(rig.taping, zones=zones))).put(None).bays.loop_depth
    found = compared().behaviour(Holds.MAIN)
    assert found is not None
    assert (found.shaken.least, found.shaken.most) == pytest.approx((depth.min(), depth.max()), abs=1e-4)


def test_only_what_differs_makes_a_row() -> None:
    found = compared()
    rows, alike = rows_of(found.styles)
    assert {row.key for row in alike} >= {"taped"}  # The same marks.
    assert not {row.key for row in rows} & {row.key for row in alike}
    for row in rows:
        columns = list(zip(*(row.get(style) for style in found.styles), strict=True))
        assert any(max(column) > SAME * min(column) for column in columns)
    said = next(note for note in found.notes if note.kind is StyleNote.ALIKE)
    assert said.values["rows"] == tuple(Term(f"styles-row-{row.key}") for row in alike)


def test_a_row_shows_a_band_where_the_hold_makes_one() -> None:
    found = compared()
    slip = next(row for row in rows_of(found.styles)[0] if row.key == "slip")
    for style in found.styles:
        shown = entry(slip, style)
        if style.holds is Holds.BOTH:
            assert shown == Quantity(0.0, "length")
            continue
        assert isinstance(shown, Note)
        behaviour = style.behaviour
        assert behaviour is not None and set(behaviour.slip) == {"low", "value"}
        ends = behaviour.slip.values()
        assert shown.values["band"] == Range(min(ends), max(ends), "length", band=True)


def _verdict(found: Comparison, style: Style) -> tuple[set[str], set[str]]:
    note = next(
        note for note in found.notes
        if note.kind is StyleNote.VERDICT and note.values["style"] == Term(f"styles-named-{style.name}")
    )
    names = []
    for key in ("wins", "pays"):
        told = note.values[key]
        assert isinstance(told, tuple)
        names.append({each.values["what"].id.removeprefix("styles-want-") for each in told})  # type: ignore[union-attr]
    return names[0], names[1]


def test_who_wins_has_the_least_and_who_pays_the_most() -> None:
    found = compared()
    for style in found.styles:
        wins, pays = _verdict(found, style)
        for criterion in CRITERIA:
            values = [criterion.get(each) for each in found.styles]
            mine = criterion.get(style)
            if not differ(values, criterion.dimension):
                assert criterion.key not in wins | pays
                continue
            assert (criterion.key in wins) is (not differ((min(values), mine), criterion.dimension))
            assert (criterion.key in pays) is (
                criterion.key not in wins and not differ((mine, max(values)), criterion.dimension)
            )


def test_facts_of_the_trade_come_out() -> None:
    """Common practice, no source: where tapes hold the backup the main is rubbed and loops keep their length; where
    they hold the main it is spared; a fixed wrap is laid soonest and nothing runs through it."""
    found = compared()
    by = {style.holds: style for style in found.styles}
    assert "main" in _verdict(found, by[Holds.BACKUP])[1]
    assert "main" in _verdict(found, by[Holds.MAIN])[0]
    assert {"main", "time"} <= _verdict(found, by[Holds.BOTH])[0]
    behaviour = by[Holds.BOTH].behaviour
    assert behaviour is not None and behaviour.slip == {"value": 0.0} and behaviour.reach == 0.0


def test_figures_that_are_nearly_alike_are_not_told_apart() -> None:
    assert not differ((0.100, 0.104), "length") and not differ((10.0, 10.4), "line energy")
    assert not differ((0.0, 0.004), "length")  # Under half a centimetre.
    assert differ((0.0, 0.02), "length") and not differ((np.nan, 0.5), "length")


def test_wrong_families_are_refused_by_name() -> None:
    rig = walked_rig(Holds.MAIN)
    with pytest.raises(InputError, match="family"):
        compare(rig, ["knot"])
    with pytest.raises(InputError, match="cannot hold"):
        with_style(rig, "main-held slider", Holds.BACKUP)
    with pytest.raises(InputError, match="walker"):
        compare(rig.without_walker())

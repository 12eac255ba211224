"""Tape styles side by side on one rig."""

from __future__ import annotations

import functools
import json
from dataclasses import replace

import pytest

from linescope.contact import Comparison, compare
from linescope.contact.compare import all_styles, with_style
from linescope.contact.verdict import telling_level
from linescope.errors import InputError
from linescope.report.compare import HEAD, compare_json, compare_table, compare_text
from linescope.report.rub import rub_json
from linescope.rig import Band, Hold
from linescope.taping import FAMILIES, Holds
from tests.contact.making import walked_rig


@functools.cache
def compared() -> Comparison:
    return compare(walked_rig(Holds.BOTH, span=24.0), most=5)


def test_every_family_stands_there_each_slider_both_ways_where_it_can():
    found = [(style.family, style.holds) for style in compared().styles]
    assert found == list(all_styles())
    assert len(found) == sum(len(family.can_hold) for family in FAMILIES.values())
    assert all(style.failed is None for style in compared().styles)


def test_inputs_are_the_same_and_only_the_style_changes():
    rig = compared().rig
    for style in compared().styles:
        styled = style.behaviour.rub.rig
        assert [zone.spacing for zone in styled.taping.zones] == [zone.spacing for zone in rig.taping.zones]
        assert styled.hold is rig.hold
        assert {tape.holds for tape in style.behaviour.rub.layout.tapes} == {style.holds}


def test_fixed_slips_nowhere_and_sliders_keep_to_their_holds():
    by_hold = {holds: compared().behaviour(holds) for holds in Holds}
    assert by_hold[Holds.BOTH].slip["value"] == 0.0
    assert by_hold[Holds.BOTH].rub.slide().total == 0.0
    for holds in (Holds.MAIN, Holds.BACKUP):
        found = by_hold[holds]
        assert found.slip["low"] >= found.slip["value"] >= found.slip["high"]
        assert found.slip["low"] > 0.01
        most = max(float(slide.crossing.hold.max()) for slide in found.rub.slides.values())
        # The hold of the next step is not in the table of holds yet: leave it some room.
        assert max(found.force.values()) <= 1.3 * most
    assert by_hold[Holds.BOTH].force["value"] > by_hold[Holds.MAIN].force["low"]


def test_table_json_and_text_say_the_same():
    comparison = compared()
    table = compare_table(comparison)
    assert len(table.rows) == len(comparison.styles)
    assert all(len(row) == len(HEAD) for row in table.rows)
    data = json.loads(json.dumps(compare_json(comparison), allow_nan=False))
    assert [style["family"] for style in data["styles"]] == [style.family for style in comparison.styles]
    first = data["styles"][1]["result"]["rub"]["crossing"]["low"]
    assert first["main"]["total_J"] + first["backup"]["total_J"] == pytest.approx(first["work_J"], rel=1e-9)
    for units in ("metric", "feet"):
        text = compare_text(comparison, units)
        assert "safe" not in text.lower()
        assert comparison.styles[0].name in text
    assert " ft" in compare_text(comparison, "feet")


def test_progress_ends_at_one_and_tells_the_time():
    said: list[tuple[float, str]] = []
    compare(
        walked_rig(Holds.BOTH, span=24.0), ("fixed wrap", "main-held slider"), levels=("value",), most=3,
        progress=lambda share, what: said.append((share, what)),
    )
    shares = [share for share, _ in said]
    assert shares == sorted(shares)
    assert said[-1][0] == 1.0
    assert said[-1][1].startswith("compared in ")


def test_a_family_that_does_not_exist_and_a_rig_without_walker_are_refused():
    rig = walked_rig(Holds.BOTH, span=24.0)
    with pytest.raises(InputError, match="family"):
        compare(rig, ("no such slider",))
    with pytest.raises(InputError, match="walker"):
        compare(rig.without_walker())
    with pytest.raises(InputError, match="cannot hold"):
        with_style(rig, "fixed wrap", Holds.MAIN)


def test_a_style_that_cannot_be_made_is_named_and_the_others_stay():
    rig = walked_rig(Holds.BOTH, span=24.0)
    short = replace(rig.taping.stock, roll=0.27)
    rig = replace(rig, taping=replace(rig.taping, stock=short))
    comparison = compare(rig, levels=("value",), most=3)
    failed = [style for style in comparison.styles if style.failed is not None]
    assert failed
    assert len(failed) < len(comparison.styles)
    assert any(failed[0].name in line for line in comparison.conclusions)
    assert json.dumps(compare_json(comparison), allow_nan=False)
    assert len(compare_table(comparison).rows) == len(comparison.styles)


def test_where_nothing_slips_the_words_say_so():
    stiff = Hold(drag=Band(low=50.0, value=60.0, high=70.0), friction=Band(low=0.2, value=0.3, high=0.4))
    comparison = compare(replace(walked_rig(Holds.BOTH, span=24.0), hold=stiff), levels=("low", "value"), most=3)
    assert any("no slider slips" in line for line in comparison.conclusions)
    found = [style.behaviour for style in comparison.styles]
    assert telling_level(found) == "value"


def test_full_figures_of_rub_add_up():
    rub = compared().behaviour(Holds.MAIN).rub
    data = rub_json(rub, bins=True)
    booked = sum(work for _, work in data["crossing"]["value"]["main"]["bins"])
    assert booked == pytest.approx(data["crossing"]["value"]["main"]["total_J"], rel=1e-9)

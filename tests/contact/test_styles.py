"""Styles side by side: one scale, shared walks, and a verdict that follows from the figures."""

from __future__ import annotations

import functools

import pytest

from linescope.contact import Comparison, Face, compare
from linescope.contact.styles import StyleNote, with_style
from linescope.errors import InputError
from linescope.notes import Term
from linescope.rig import Use
from linescope.taping import FAMILIES, Holds
from tests.contact.making import breeze, tight_rig, walked_rig

USE = Use(crossings=3, wind_hours=2.0)


@functools.cache
def compared(tight: bool = False) -> Comparison:
    rig = (tight_rig if tight else walked_rig)(Holds.MAIN, span=24.0)
    return compare(rig, use=USE, wind=breeze(rig), levels=("value",), per_bay=3)


def test_every_family_is_there_both_ways_where_it_can_be():
    found = [(style.family, style.holds) for style in compared().styles]
    assert found == [(key, holds) for key, family in FAMILIES.items() for holds in family.can_hold]
    assert all(style.failed is None and style.behaviour is not None for style in compared().styles)


def test_families_that_hold_the_same_line_share_a_walk_until_lines_are_pressed():
    for holds in (Holds.MAIN, Holds.BACKUP):
        loose, tight = (
            {id(style.behaviour) for style in found.styles if style.holds is holds}
            for found in (compared(), compared(True))
        )
        assert len(loose) == 1
        assert len(tight) == 3  # Strip all over the face, over a third of it, none.


def test_the_verdict_names_who_spares_the_main():
    note = next(note for note in compared().notes if note.kind is StyleNote.SPARES)
    assert note.values["wears"] == Term("styles-holds-backup")
    assert note.values["spares"] == Term("styles-holds-both-main")
    tops = {holds: compared().behaviour(holds).wear.peak(Face.MAIN_TOP) for holds in Holds}
    assert note.values["most"].value == pytest.approx(tops[Holds.BACKUP])
    assert tops[Holds.MAIN] == pytest.approx(tops[Holds.BOTH], rel=0.05)


def test_wrong_families_are_refused_by_name():
    rig = walked_rig(Holds.MAIN)
    with pytest.raises(InputError, match="family"):
        compare(rig, ["knot"])
    with pytest.raises(InputError, match="cannot hold"):
        with_style(rig, "main-held slider", Holds.BACKUP)
    with pytest.raises(InputError, match="walker"):
        compare(rig.without_walker())

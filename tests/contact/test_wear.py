"""A day: causes add up, guesses bracket, places and tapes are ranked by what was booked."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from linescope.contact import Face, RubCause, find_wear, first_wear
from linescope.contact.wear import Guess, WearNote
from linescope.errors import InputError
from linescope.notes import Severity
from linescope.rig import Band, Use, WrappedBay
from linescope.taping import Holds
from tests.contact.making import breeze, walked_rig, worn


@pytest.mark.parametrize("holds", Holds)
def test_causes_add_up_to_the_day_and_ends_bracket_it(holds):
    wear = worn(holds)
    for level in ("low", "value", "high"):
        total = sum(ends.of(level).total for ends in wear.causes.values())
        assert wear.day.of(level).total == pytest.approx(total, rel=1e-9)
    for ends in wear.causes.values():
        for face in Face:
            low, value, high = (ends.of(level).faces[face].work for level in ("low", "value", "high"))
            assert np.all(low <= value + 1e-12) and np.all(value <= high + 1e-12)
    assert wear.causes[RubCause.SLIDE].value.total == pytest.approx(wear.history.tracks.total, rel=1e-12)


def test_hours_of_wind_count_in_proportion_and_the_ring_by_the_crossing():
    rig = walked_rig(Holds.MAIN)
    one, two = (
        find_wear(
            rig, Use(crossings=2 * hours, wind_hours=float(hours)), wind=breeze(rig), per_bay=3, levels=("value",)
        )
        for hours in (1, 2)
    )
    for cause in (RubCause.SWAY, RubCause.RING):
        assert two.causes[cause].value.total == pytest.approx(2.0 * one.causes[cause].value.total, rel=1e-9)
    calm = find_wear(rig, Use(crossings=1, wind_hours=0.0), per_bay=3, levels=("value",))
    assert calm.causes[RubCause.SWAY].high.total == 0.0


@pytest.mark.parametrize("holds", Holds)
def test_places_are_ranked_and_say_from_what(holds):
    wear = worn(holds)
    peaks = [place.peak for place in wear.places]
    assert peaks and peaks == pytest.approx(sorted(peaks, reverse=True), rel=1e-5)  # Ties: as they lie
    for place in wear.places:
        ledger = wear.day.value.faces[place.face]
        k = int(place.at / ledger.bin)
        assert ledger.per_metre[k] == pytest.approx(place.peak, rel=1e-9)
        assert sum(place.shares.values()) == pytest.approx(1.0, rel=1e-9)
        assert place.low <= place.peak <= place.high
        assert place.start <= place.at <= place.end
        assert 0.0 <= place.from_a <= wear.rig.span
        assert place.cause is not RubCause.RING
        assert place.tape in place.tapes and place.reach[0] <= place.from_a <= place.reach[1]
    assert wear.places[0].peak == pytest.approx(max(wear.peak(face) for face in Face), rel=1e-9)


@pytest.mark.parametrize("holds", Holds)
def test_tapes_in_a_row_that_wear_alike_are_one_place(holds):
    """Counted over from the bins: each tape with rub of its own is in one place of its face, among its like."""
    wear = worn(holds)
    ring = wear.causes[RubCause.RING].value
    for face in Face:
        ledger = wear.day.value.faces[face]
        local = ledger.per_metre - ring.faces[face].per_metre
        marks = wear.layout.tape_main if face.line == "main" else wear.layout.tape_backup
        nearest = np.abs(ledger.middles[:, None] - marks).argmin(axis=1)
        rubbed = [k for k in range(len(marks)) if local[nearest == k].max(initial=0.0) > 1e-9]
        peaks = {k: ledger.per_metre[nearest == k][local[nearest == k].argmax()] for k in rubbed}
        mine = [place for place in wear.places if place.face is face]
        named = sorted(number for place in mine for number in place.tapes)
        assert named == [wear.layout.tapes[k].number for k in rubbed]
        for place in mine:
            first, last = (number - 1 for number in (place.tapes[0], place.tapes[-1]))
            assert list(place.tapes) == list(range(first + 1, last + 2))
            assert min(peaks[k] for k in range(first, last + 1)) >= place.peak / 1.5 * (1.0 - 1e-9)
            assert max(peaks[k] for k in range(first, last + 1)) == pytest.approx(place.peak, rel=1e-9)


@pytest.mark.parametrize("holds", (Holds.MAIN, Holds.BACKUP))
def test_tapes_tell_where_they_were_and_are(holds):
    wear = worn(holds)
    works = [tape.work for tape in wear.tapes]
    assert works == sorted(works, reverse=True)
    history = wear.history
    for tape in wear.tapes:
        k = tape.number - 1
        assert tape.slip == pytest.approx(history.slip[k])
        assert tape.slip_low <= tape.slip <= tape.slip_high
        moved = history.after(1)[k] - history.places[0][k]
        assert tape.places[1] - tape.places[0] == pytest.approx(moved, rel=0.2, abs=2e-3)
        assert tape.dry > 0.0
    assert sum(works) == pytest.approx(float(wear.day.value.tapes.sum()), rel=1e-9)


def test_each_guess_is_told_with_what_it_does():
    wear = worn(Holds.BOTH)
    guesses = {effect.guess for effect in wear.effects}
    assert {Guess.TURBULENCE, Guess.PLAY, Guess.PRESSING, Guess.RING_MASS, Guess.RING_FRICTION, Guess.STEP} <= guesses
    found = {effect.guess: effect for effect in wear.effects}
    assert found[Guess.TURBULENCE].low < found[Guess.TURBULENCE].high
    assert found[Guess.PLAY].low > found[Guess.PLAY].high  # More play, less rub.
    rig = walked_rig(Holds.BOTH)
    speed = Band(low=4.0, value=6.0, high=8.0)
    with_speed = find_wear(rig, Use(crossings=1), wind=breeze(rig), speed=speed, per_bay=3, levels=("value",))
    effect = next(each for each in with_speed.effects if each.guess is Guess.SPEED)
    assert effect.given and effect.low < effect.high


def test_falls_and_wraps_are_booked_where_the_scene_puts_them():
    rig = walked_rig(Holds.BACKUP)
    use = Use(crossings=2, wind_hours=0.0, falls=(10.0,), wrapped=(WrappedBay(bay=4),))
    wear = find_wear(rig, use, per_bay=3, levels=("value",))
    ledger = wear.causes[RubCause.FALL].value.faces[Face.MAIN_TOP]
    middle = float(ledger.middles[ledger.work > 0.0].mean())
    assert middle == pytest.approx(10.0 * wear.layout.main_length / rig.span, abs=0.3)
    assert wear.causes[RubCause.WRAP].value.faces[Face.BACKUP_TOP].total > 0.0
    with pytest.raises(InputError, match="bay"):
        find_wear(rig, replace(use, wrapped=(WrappedBay(bay=400),)), per_bay=3)


def test_what_is_left_out_and_what_is_assumed_is_always_said():
    kinds = {note.kind for note in worn(Holds.MAIN).notes}
    assert {WearNote.RANKS, WearNote.LEFT_OUT, WearNote.USE} <= kinds
    rig = walked_rig(Holds.MAIN)
    alone = find_wear(rig, per_bay=3, levels=("value",))
    said = {note.kind for note in alone.notes}
    assert WearNote.DAY in said and WearNote.WIND in said
    assert all(note.severity < Severity.CHECK for note in alone.notes)


def test_a_tucked_tab_that_is_pulled_out_is_an_alarm():
    """Common practice, no source: where much slides, a tucked tab comes out and the tape unwinds."""
    from linescope.contact.styles import with_style

    rig = with_style(walked_rig(Holds.MAIN), "tucked-tab slider", Holds.MAIN)
    wear = find_wear(rig, Use(crossings=2, wind_hours=0.0), per_bay=3)
    tab = next(note for note in wear.notes if note.kind is WearNote.TAB)
    assert tab.severity is Severity.CHECK
    for number in tab.values["tapes"].numbers:
        worn_tape = next(each for each in wear.tapes if each.number == number)
        assert worn_tape.slip_high > worn_tape.tab


def test_nothing_is_called_life():
    """A joule tells places apart; what a webbing still stands is not known, so no word and no figure says it."""
    from linescope import topics, words

    told = [path.read_text(encoding="utf-8") for path in (Path(words.__file__).parent / "en").glob("*.ftl")]
    told += [figure.meaning for topic in (topics.WEAR, topics.STYLES, topics.TOUCH) for group in topic.groups
             for figure in group.figures]
    assert len(told) > 50
    found = [line for text in told for line in text.splitlines()
             if re.search(r"\blife(time|span)?\b", line, re.IGNORECASE)]
    assert found == []


def test_rub_needs_somebody_who_walks():
    with pytest.raises(InputError, match="walks"):
        find_wear(walked_rig(Holds.MAIN).without_walker())


@pytest.mark.parametrize("holds", [Holds.MAIN, Holds.BACKUP])
def test_a_first_answer_says_so_and_is_near(holds: Holds) -> None:
    """Against the same day walked to its end."""
    rig = replace(walked_rig(holds), use=Use(crossings=12), wind=breeze(walked_rig(holds)))
    first, whole = first_wear(rig), find_wear(rig, levels=("value",), per_bay=3)
    assert first.notes[0].kind is WearNote.FIRST
    assert all(note.kind is not WearNote.FIRST for note in whole.notes)
    assert first.history.walked == 2 < whole.history.walked
    slides = first.causes[RubCause.SLIDE].value.total, whole.causes[RubCause.SLIDE].value.total
    assert slides[0] == pytest.approx(slides[1], rel=0.12)
    for face in Face:
        assert first.peak(face) == pytest.approx(whole.peak(face), rel=0.12, abs=1e-9)
    # All that is not slide is the same.
    for cause in set(RubCause) - {RubCause.SLIDE, RubCause.STRAIN}:
        assert first.causes[cause].value.total == pytest.approx(whole.causes[cause].value.total, rel=1e-9)

"""Numbers for people: no bound on the careless side, in any unit; places and scale bars can be found again."""

from __future__ import annotations

import datetime
import math

import pytest
from babel.numbers import parse_decimal
from hypothesis import given
from hypothesis import strategies as st

from linescope.errors import InputError
from linescope.notes import Bays, Kind, Note, Quantity, Severity, Spot, Stretches, Term, Verbatim
from linescope.units import DIMENSIONS, to_si
from linescope.words import _SYMBOLS, Words

NOISE = 2e-8  # Beyond nine digits a number is taken for noise and not rounded up or down.
SPELLED = {shown: unit for unit, shown in _SYMBOLS.items()}
systems = st.sampled_from(("metric", "feet"))
languages = st.sampled_from(("en", "de"))
dimensions = st.sampled_from(sorted(DIMENSIONS))
sizes = st.floats(1e-4, 1e5)


def read(text: str, dimension: str, language: str = "en") -> float:
    """A text back to SI, by the table of units that reads scene files."""
    number, _, unit = text.replace("°", " °").partition(" ")
    value = float(parse_decimal(number, locale=language))
    return to_si(f"{value!r} {SPELLED.get(unit.strip(), unit.strip())}".strip(), dimension)


@given(value=sizes, dimension=dimensions, system=systems, language=languages, sign=st.sampled_from((1.0, -1.0)))
def test_what_cannot_be_passed_and_what_is_needed_are_never_told_less(value, dimension, system, language, sign):
    value *= sign
    told = read(Words(system, language).of(value, dimension, "up"), dimension, language)
    small = DIMENSIONS[dimension].negligible
    assert told >= value - abs(value) * NOISE - small
    assert told <= value + 0.12 * abs(value) + small


@given(value=sizes, dimension=dimensions, system=systems, language=languages)
def test_what_is_left_is_never_told_more(value, dimension, system, language):
    told = read(Words(system, language).of(value, dimension, "down"), dimension, language)
    small = DIMENSIONS[dimension].negligible
    assert told <= value + value * NOISE + small
    assert told >= 0.88 * value - small


@given(a=sizes, b=sizes, dimension=dimensions, system=systems)
def test_what_is_left_and_what_is_needed_are_never_told_as_enough_when_they_are_not(a, b, dimension, system):
    left, needed = sorted((a, b))
    words = Words(system)
    unit = words.unit((left, needed), dimension)
    have = read(words.of(left, dimension, "down", unit), dimension)
    need = read(words.of(needed, dimension, "up", unit), dimension)
    assert have <= need or math.isclose(left, needed, rel_tol=NOISE)


@given(
    a=sizes, b=sizes, dimension=dimensions, system=systems, bound=st.sampled_from(("up", "down", "")),
    language=languages,
)
def test_both_ends_of_a_band_stand_on_the_careful_side(a, b, dimension, system, bound, language):
    """A band of a plain figure is widened; both ends of a band of a bound are bounds."""
    low, high = sorted((a, b))
    words = Words(system, language)
    unit = words.unit((low, high), dimension)
    text = words.band(low, high, dimension, bound)
    between = " to " if language == "en" else " bis "
    first, _, last = text.rpartition(between)
    last_told = read(last, dimension, language)
    shown = words.unit_name(unit)
    first_told = read(f"{first} {shown}", dimension, language) if first else last_told
    small = DIMENSIONS[dimension].negligible
    if bound != "up":
        assert first_told <= low * (1 + NOISE) + small
    if bound != "down":
        assert last_told >= high * (1 - NOISE) - small
    if bound == "up":
        assert first_told >= low * (1 - NOISE) - small
    if bound == "down":
        assert last_told <= high * (1 + NOISE) + small


@given(start=st.floats(0.0, 900.0), long=st.floats(0.0, 200.0), system=systems)
def test_stretches_of_the_line_widen(start, long, system):
    text = Words(system).value(Stretches(((start, start + long),)))
    first, _, last = text.rpartition(" to ")
    unit = last.split()[-1]
    slack = 1e-5  # A hundredth of a millimetre: places that are whole figures but for noise stay so.
    assert to_si(f"{first or last.split()[0]} {unit}", "length") <= start + slack
    assert to_si(last, "length") >= start + long - slack


@given(limit=st.floats(4e-3, 2000.0), system=systems)
def test_scale_bars_are_round_and_within_their_room(limit, system):
    length, text = Words(system).round_length(limit)
    assert to_si(text, "length") == pytest.approx(length, rel=1e-9)
    assert 0.19 * limit <= length <= limit * (1 + 1e-6)
    assert float(text.split()[0]) >= 1.0 or text.endswith(" in")


def test_examples():
    metric, feet = Words("metric", "en"), Words("feet", "en")
    # 12.15 m/s are 27.18 mph (1 mph is 0.44704 m/s): a condition, to the nearest.
    assert [words.value(Quantity(12.15, "speed")) for words in (metric, feet)] == ["12 m/s", "27 mph"]
    # 1.96 m left with 2.54 m needed are 6.43 ft and 8.33 ft.
    assert [words.length(1.96, "down") for words in (metric, feet)] == ["1.9 m", "6.4 ft"]
    assert [words.length(2.54, "up") for words in (metric, feet)] == ["2.6 m", "8.4 ft"]
    assert feet.length(5.0, "up") == "17 ft"  # 16.4 ft are needed.
    # 0.3 J/m are 0.0674 ft·lbf/ft (1 ft·lbf/ft is a pound-force, 4.448 N).
    assert feet.of(0.3, "line energy") == "0.067 ft·lbf/ft"
    assert metric.of(math.radians(14.2), "angle") == "14°"
    assert metric.of(math.nan, "length", "up") == "unknown"
    assert (metric.place(12.34), feet.place(12.34)) == ("12.3 m", "40 ft")
    assert feet.round_length(0.008)[1] == "0.25 in"  # 0.31 in; not "0.02 ft"


def test_lists_and_terms():
    words = Words(language="en")
    assert words.value(Bays((1, 2, 3, 7))) == "1–3 and 7"
    assert words.value((Term("side-ties-hold"), Verbatim("Heron"), 3)) == "the ties hold, Heron and 3"
    assert words.value(datetime.date(2026, 3, 1)) == "2026-03-01"
    assert words.count(12345) == "12,345"
    assert Words(language="de").count(12345) == "12.345"
    assert Words(language="de").length(1.96, "down") == "1,9 m"


class Sample(Kind):
    TO_ANCHOR = "main-gone-to-anchor"
    STATIC = "main-gone-basis-static"
    NO_TIES = "main-gone-no-ties"


def to_anchor(at: float, anchor: str = "B", side: str = "side-ties-hold", weight: float = 0.0) -> Note:
    values = {"side": Term(side), "anchor": anchor, "at": Spot(at), "near": Quantity(2.0, "length")}
    return Note(kind=Sample.TO_ANCHOR, severity=Severity.CHECK, values=values, weight=weight)


def test_equal_notes_become_one_sentence():
    words = Words(language="en")
    (said,) = words.sentences([to_anchor(8.0), to_anchor(11.2)])
    assert "he stood at 8 m from A and 11.2 m from A, the ring can run to within 2.0 m of anchor B" in said.text
    assert len(words.sentences([to_anchor(8.0), to_anchor(11.2, side="side-nothing-holds")])) == 2


def test_three_alarms_lead_a_page_one_of_a_kind_and_worst_first():
    words = Words(language="en")
    basis = Note(kind=Sample.STATIC, severity=Severity.BASIS)
    limit = Note(kind=Sample.NO_TIES, severity=Severity.LIMIT)
    near, far = to_anchor(8.0, weight=0.1), to_anchor(11.2, side="side-nothing-holds", weight=0.9)
    first, rest = words.lead([basis, near, limit, far])
    assert [said.text for said in first] == [words.note(far)]
    assert [said.text for said in rest] == [words.note(note) for note in (near, limit, basis)]


def test_an_unknown_language_is_an_error():
    with pytest.raises(InputError, match="language"):
        Words(language="xx")

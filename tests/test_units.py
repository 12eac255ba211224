"""Units: the short tables against pint, the traps of quantity text, and figures for people."""

from __future__ import annotations

import math
import subprocess
import sys
from contextlib import suppress

import numpy as np
import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from linescope import units
from linescope.errors import InputError
from linescope.units import DIMENSIONS, at_least, at_most, column_unit, format_si, from_si, significant, to_si

TABLED = [(d, unit) for d, kind in DIMENSIONS.items() for unit in kind.units if unit]


@pytest.mark.parametrize(("dimension", "unit"), TABLED)
def test_tables_agree_with_pint(dimension: str, unit: str) -> None:
    """Source: pint's own registry; tolerance 4 units in the last place."""
    kind = DIMENSIONS[dimension]
    spelled = {"%": "percent", "°": "degree"}.get(unit, unit)
    expected = pint.UnitRegistry().parse_expression(spelled).to(kind.si or "dimensionless").magnitude
    assert kind.units[unit] == pytest.approx(expected, rel=1e-15 * 4)


@pytest.mark.parametrize(
    ("text", "dimension", "expected"),
    [
        # Exact by definition: inch 25.4 mm, pound 0.45359237 kg (1959), standard gravity 9.80665 m/s^2.
        ("48 m", "length", 48.0),
        ("2.5 in", "length", 0.0635),
        ("62 g/m", "line mass", 0.062),
        ("1.8 kN", "force", 1800.0),
        ("400 lbf", "force", 400 * 0.45359237 * 9.80665),
        ("5 %", "ratio", 0.05),
        ("5%", "ratio", 0.05),
        ("0.05", "ratio", 0.05),
        (0.05, "ratio", 0.05),
        (1, "number", 1.0),
        ("90 deg", "angle", math.pi / 2),
        ("36 km/h", "speed", 10.0),
        ("10 kn", "speed", 18520 / 3600),
        ("  7.5\u00a0mm ", "length", 0.0075),
        ("\u22125 m", "length", -5.0),
        (".5 m", "length", 0.5),
        ("1e3 mm", "length", 1.0),
        ("1 furlong", "length", 201.168),
        ("2 fathom", "length", 3.6576),
        ("7 kg m/s^2", "force", 7.0),
        ("4.2 lb/(100 ft)", "line mass", 4.2 * 0.45359237 / 30.48),
        ("2 min", "time", 120.0),
        ("1.225 kg/m^3", "density", 1.225),
        ("5 daN", "force", 50.0),
    ],
)
def test_reads(text: object, dimension: str, expected: float) -> None:
    # "furlong" and "fathom" take the international foot here to 4e-6 (pint's are the survey ones).
    assert to_si(text, dimension) == pytest.approx(expected, rel=5e-6 if "f" in str(text) else 1e-15)


@pytest.mark.parametrize(
    ("text", "dimension", "says"),
    [
        ("9,81 m", "length", "comma"),
        ("1,800 N", "force", "comma"),
        (48, "length", "unit"),
        (4.5, "force", "unit"),
        ("48", "length", "unit is missing"),
        ("5 Nm", "length", "not a unit of length"),
        ("10 kn", "force", "but of speed; did you mean 'kN'"),
        ("10 KN", "force", "did you mean 'kN'"),
        ("400 lb", "force", "but of mass; did you mean 'lbf'"),
        ("80 kg", "force", "did you mean 'kgf'"),
        ("nan m", "length", "not finite"),
        ("-inf m", "length", "not finite"),
        ("1e999 m", "length", "not finite"),
        ("1e306 km", "length", "not finite"),
        ("NaN", "ratio", "not finite"),
        (math.nan, "ratio", "not finite"),
        (10**400, "ratio", "not finite"),
        (True, "ratio", "needed"),
        (b"5 m", "length", "needed"),
        (["5 m"], "length", "needed"),
        ("2 1/2 in", "length", "fractions"),
        ("1 800 N", "force", "grouped"),
        ("1_800 N", "force", "grouped"),
        ("2 3 m", "length", "one plain number"),
        ("5 - 6 m", "length", "one plain number"),
        ("1.5.2 m", "length", "one plain"),
        ("5 deg", "ratio", "but of angle"),
        ("5 %", "angle", "but of ratio"),
        ("5", "angle", "unit is missing"),
        ("m", "length", "start with a number"),
        ("", "length", "start with a number"),
        ("about 5 m", "length", "start"),
        ("5 m m", "length", "not a unit"),
        ("5 m + 3 m", "length", "not a unit"),
        ("5'", "length", "did you mean 'ft'"),
        ("4 lb/1000ft", "line mass", "not a unit"),
        ("5 m**99999", "length", "not a unit"),
        ("5 " + "m" * 200, "length", "long"),
        ("20 degC", "length", "not a unit"),
        ("0x10 m", "length", "not a unit"),
        ("٣ m", "length", "start with a number"),
        ("5 metres (about)", "length", "not a unit"),
        ("5 __import__", "length", "one plain"),
    ],
)
def test_refuses(text: object, dimension: str, says: str) -> None:
    with pytest.raises(InputError, match=says.replace("(", r"\(")) as caught:
        to_si(text, dimension, key="main.tension", file="a.toml")
    message = str(caught.value)
    assert message.startswith("a.toml: key 'main.tension': ")
    assert "found" in message and "allowed" in message


@given(st.text(max_size=30), st.sampled_from(sorted(DIMENSIONS)))
def test_any_text_is_read_or_refused(text: str, dimension: str) -> None:
    with suppress(InputError):
        assert math.isfinite(to_si("1 " + text, dimension))


@given(st.floats(-1e6, 1e6), st.sampled_from(TABLED))
def test_round_trip(value: float, tabled: tuple[str, str]) -> None:
    dimension, unit = tabled
    back = from_si(to_si(f"{value!r} {unit}", dimension), unit, dimension)
    assert back == pytest.approx(value, rel=1e-12, abs=1e-300)


def test_from_si_takes_arrays_and_refuses_other_units() -> None:
    assert np.allclose(from_si(np.array([0.3048, 3.048]), "ft", "length"), [1.0, 10.0], rtol=1e-15)
    with pytest.raises(InputError, match="not a unit of length"):
        from_si(1.0, "kN", "length")


@pytest.mark.parametrize(
    ("value", "dimension", "metric", "feet"),
    [
        (13.67, "length", "14 m", "45 ft"),
        (0.42, "length", "42 cm", "1.4 ft"),
        (0.996, "length", "1.0 m", "3.3 ft"),
        (0.06, "length", "6.0 cm", "2.4 in"),
        (0.00025, "length", "0.25 mm", "0.0098 in"),
        (412.0, "length", "410 m", "1400 ft"),
        (-0.42, "length", "-42 cm", "-1.4 ft"),
        (2340.0, "force", "2.3 kN", "530 lbf"),
        (999.9, "force", "1.0 kN", "220 lbf"),
        (30.0, "force", "30 N", "6.7 lbf"),
        (0.0511, "ratio", "5.1 %", "5.1 %"),
        (0.062, "line mass", "62 g/m", "4.2 lb/(100 ft)"),
        (0.25, "number", "0.25", "0.25"),
        (0.3, "angle", "17 deg", "17 deg"),
        (8.0, "speed", "8.0 m/s", "18 mph"),
        (0.0, "force", "0 N", "0 lbf"),
        (-0.0, "length", "0 m", "0 ft"),
        (-1e-9, "length", "0 m", "0 ft"),
        (-1e-12, "ratio", "0 %", "0 %"),
        (0.0, "number", "0", "0"),
        (math.nan, "length", "unknown", "unknown"),
        (math.inf, "length", "unbounded", "unbounded"),
    ],
)
def test_figures_for_people(value: float, dimension: str, metric: str, feet: str) -> None:
    assert format_si(value, dimension) == metric
    assert format_si(value, dimension, system="feet") == feet


def test_unit_and_digits_of_choice() -> None:
    assert format_si(0.025, "length", unit="mm") == "25 mm"
    assert format_si(2340.0, "force", digits=3) == "2.34 kN"
    assert format_si(0.0, "length", unit="mm") == "0 mm"
    assert significant(1234.0) == "1200" and significant(0.0) == "0"


@given(st.floats(-1e5, 1e5), st.sampled_from(sorted(DIMENSIONS)), st.sampled_from(["metric", "feet"]))
def test_figures_read_back_to_two_figures(value: float, dimension: str, system: units.System) -> None:
    text = format_si(value, dimension, system=system)
    assert "e" not in text.split()[0] and not text.startswith("-0 ")
    back = to_si(text, dimension)
    assert back == pytest.approx(value, rel=0.051, abs=DIMENSIONS[dimension].negligible)


@given(st.floats(-1e5, 1e5), st.sampled_from(sorted(DIMENSIONS)), st.sampled_from(["metric", "feet"]))
def test_bounds_are_never_cut(value: float, dimension: str, system: units.System) -> None:
    """Read back, an upper bound is no smaller and a lower one no larger, to nine figures; neither by more than 10 %."""
    slack, nothing = 1e-8 * abs(value), DIMENSIONS[dimension].negligible
    up = to_si(at_most(value, dimension, system=system), dimension)
    down = to_si(at_least(value, dimension, system=system), dimension)
    assert up >= value - slack - nothing and down <= value + slack + nothing
    assert up == pytest.approx(value, rel=0.101, abs=nothing)
    assert down == pytest.approx(value, rel=0.101, abs=nothing)


@pytest.mark.parametrize(
    ("value", "dimension", "up", "down"),
    [
        (10.5, "speed", "11 m/s", "10 m/s"),
        (7.0 * 1.5, "speed", "11 m/s", "10 m/s"),
        (12.0, "length", "12 m", "12 m"),
        (0.1 + 0.2, "length", "30 cm", "30 cm"),  # 0.30000000000000004: noise, not a bound to be raised.
        (99.2, "speed", "100 m/s", "99 m/s"),
        (0.9961, "length", "1.0 m", "99 cm"),
        (-1.234, "length", "-1.2 m", "-1.3 m"),
        (17823.0, "force", "18 kN", "17 kN"),
        (math.inf, "length", "unbounded", "unbounded"),
    ],
)
def test_bounds_round_to_the_careful_side(value: float, dimension: str, up: str, down: str) -> None:
    assert at_most(value, dimension) == up
    assert at_least(value, dimension) == down


def test_one_unit_for_a_column() -> None:
    assert column_unit([0.19, 0.5], "length") == "cm"
    assert column_unit([0.19, 1.2], "length") == "m"
    assert column_unit([0.07, 1.2, 0.0], "length") == "cm"  # 7.0 cm beside 120 cm
    assert column_unit([0.3, 0.38], "length", system="feet") == "ft"
    assert column_unit([0.01, 50.0], "length") == "m"  # Not 5000 cm.
    assert column_unit([math.nan], "force") == "N"


def test_pint_is_not_loaded_for_usual_units() -> None:
    code = (
        "import sys; from linescope.units import to_si; to_si('48 m', 'length'); to_si('1.8 kN', 'force');"
        "print('pint' in sys.modules)"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert run.stdout.strip() == "False"

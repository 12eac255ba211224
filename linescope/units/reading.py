"""Text with a unit in, SI numbers out, and the table of what quantities there are."""

from __future__ import annotations

import difflib
import functools
import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, overload

import numpy as np
from numpy.typing import NDArray

from linescope.errors import InputError

if TYPE_CHECKING:
    import pint

Floats = NDArray[np.float64]

_INCH, _FOOT, _POUND = 0.0254, 0.3048, 0.45359237
_POUND_FORCE = _POUND * 9.80665


@dataclass(frozen=True, kw_only=True)
class Dimension:
    """One kind of quantity: how it may be written, and how it is shown.

    Attributes
    ----------
    name : str
        Name used in calls, such as "line mass".
    si : str
        Its SI unit, as pint spells it.
    examples : str
        Shown in messages, in the schema and in commented scenes.
    units : mapping of str to float
        Size in SI of the usual spellings, read without pint.
    metric, feet : tuple of str
        Units to show it in, largest first; the first in which the rounded figure is at least 1 is taken.
    zero : tuple of two str
        Unit beside a zero, metric and feet.
    negligible : float
        Smaller magnitudes are shown as zero.  [SI]
    bare : bool
        Whether a number without a unit is meant (pure numbers).
    closed : bool
        Only `units` are accepted: pint holds angles and ratios for the same dimension.
    article : str
        "a" or "an", before the name.
    """

    name: str
    si: str
    examples: str
    units: Mapping[str, float]
    metric: tuple[str, ...]
    feet: tuple[str, ...]
    zero: tuple[str, str]
    negligible: float
    bare: bool = False
    closed: bool = False
    article: str = "a"


def _table(*dimensions: Dimension) -> dict[str, Dimension]:
    return {dimension.name: dimension for dimension in dimensions}


DIMENSIONS: Mapping[str, Dimension] = _table(
    Dimension(
        name="length", si="m", examples='"48 m", "25 mm", "2.5 in", "12 ft"',
        units={"m": 1.0, "cm": 0.01, "mm": 0.001, "km": 1000.0, "in": _INCH, "ft": _FOOT, "yd": 3 * _FOOT},
        metric=("m", "cm", "mm"), feet=("ft", "in"), zero=("m", "ft"), negligible=1e-7,
    ),
    Dimension(
        name="mass", si="kg", examples='"75 kg", "165 lb", "3 g"',
        units={"kg": 1.0, "g": 0.001, "lb": _POUND, "oz": _POUND / 16},
        metric=("kg", "g"), feet=("lb", "oz"), zero=("kg", "lb"), negligible=1e-7,
    ),
    Dimension(
        name="line mass", si="kg/m", examples='"62 g/m", "4.2 lb/(100 ft)"',
        units={
            "kg/m": 1.0, "g/m": 0.001, "lb/ft": _POUND / _FOOT, "oz/ft": _POUND / 16 / _FOOT,
            "lb/(100 ft)": _POUND / _FOOT / 100, "oz/yd": _POUND / 16 / (3 * _FOOT),
        },
        metric=("kg/m", "g/m"), feet=("lb/(100 ft)",), zero=("g/m", "lb/(100 ft)"), negligible=1e-8,
    ),
    Dimension(
        name="force", si="N", examples='"1.8 kN", "30 N", "400 lbf"',
        units={"N": 1.0, "kN": 1000.0, "daN": 10.0, "MN": 1e6, "lbf": _POUND_FORCE, "kgf": 9.80665},
        metric=("kN", "N"), feet=("lbf",), zero=("N", "lbf"), negligible=1e-4,
    ),
    Dimension(
        name="line force", si="N/m", examples='"0.6 N/m"',
        units={"N/m": 1.0, "kN/m": 1000.0, "lbf/ft": _POUND_FORCE / _FOOT},
        metric=("kN/m", "N/m"), feet=("lbf/ft",), zero=("N/m", "lbf/ft"), negligible=1e-6,
    ),
    Dimension(
        name="stiffness", si="N/m", examples='"30 kN/m", "2 kN/cm"',
        units={"N/m": 1.0, "kN/m": 1000.0, "N/mm": 1000.0, "kN/cm": 1e5, "lbf/ft": _POUND_FORCE / _FOOT,
               "lbf/in": _POUND_FORCE / _INCH},
        metric=("kN/m", "N/m"), feet=("lbf/ft",), zero=("N/m", "lbf/ft"), negligible=1e-4,
    ),
    Dimension(
        name="speed", si="m/s", examples='"8 m/s", "29 km/h", "18 mph"',
        units={
            "m/s": 1.0, "km/h": 1 / 3.6, "mph": 5280 * _FOOT / 3600, "ft/s": _FOOT, "kn": 1852 / 3600,
            "knot": 1852 / 3600, "knots": 1852 / 3600,
        },
        metric=("m/s",), feet=("mph",), zero=("m/s", "mph"), negligible=1e-6,
    ),
    Dimension(
        name="angle", si="rad", examples='"90 deg", "0.5 rad"', article="an", closed=True,
        units={"rad": 1.0, "deg": math.pi / 180, "°": math.pi / 180, "mrad": 0.001, "turn": 2 * math.pi,
               "degree": math.pi / 180, "degrees": math.pi / 180},
        metric=("deg",), feet=("deg",), zero=("deg", "deg"), negligible=1e-7,
    ),
    Dimension(
        name="density", si="kg/m**3", examples='"1.225 kg/m^3"',
        units={"kg/m^3": 1.0, "kg/m**3": 1.0, "kg/m³": 1.0, "lb/ft^3": _POUND / _FOOT**3},
        metric=("kg/m^3",), feet=("lb/ft^3",), zero=("kg/m^3", "lb/ft^3"), negligible=1e-7,
    ),
    Dimension(
        name="pressure", si="Pa", examples='"40 Pa", "20 kPa"',
        units={"Pa": 1.0, "kPa": 1000.0, "MPa": 1e6, "psi": _POUND_FORCE / _INCH**2},
        metric=("MPa", "kPa", "Pa"), feet=("psi",), zero=("Pa", "psi"), negligible=1e-6,
    ),
    Dimension(
        name="energy", si="J", examples='"12 J", "1.3 kJ"', article="an",
        units={"J": 1.0, "kJ": 1000.0, "N*m": 1.0, "ft*lbf": _FOOT * _POUND_FORCE},
        metric=("kJ", "J"), feet=("ft*lbf",), zero=("J", "ft*lbf"), negligible=1e-6,
    ),
    Dimension(
        name="line energy", si="J/m", examples='"0.3 J/m"',
        units={"J/m": 1.0, "ft*lbf/ft": _POUND_FORCE},
        metric=("J/m",), feet=("ft*lbf/ft",), zero=("J/m", "ft*lbf/ft"), negligible=1e-6,
    ),
    Dimension(
        name="time", si="s", examples='"45 s", "2 min"',
        units={"s": 1.0, "min": 60.0, "h": 3600.0, "ms": 0.001},
        metric=("h", "min", "s"), feet=("h", "min", "s"), zero=("s", "s"), negligible=1e-6,
    ),
    Dimension(
        name="area", si="m**2", examples='"0.6 m^2"', article="an",
        units={"m^2": 1.0, "m²": 1.0, "ft^2": _FOOT**2, "ft²": _FOOT**2},
        metric=("m²",), feet=("ft²",), zero=("m²", "ft²"), negligible=1e-9,
    ),
    Dimension(
        name="frequency", si="Hz", examples='"0.5 Hz"', units={"Hz": 1.0},
        metric=("Hz",), feet=("Hz",), zero=("Hz", "Hz"), negligible=1e-6,
    ),
    Dimension(
        name="ratio", si="", examples='"5 %", "0.05"', bare=True, closed=True,
        units={"": 1.0, "%": 0.01, "percent": 0.01},
        metric=("%",), feet=("%",), zero=("%", "%"), negligible=1e-7,
    ),
    Dimension(
        name="number", si="", examples='0.25, "0.25"', bare=True, closed=True, units={"": 1.0, "%": 0.01},
        metric=("",), feet=("",), zero=("", ""), negligible=1e-9,
    ),
)

LONGEST = 80  # Characters of a quantity; nothing sensible is longer.
NUMBER = r"[-+]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][-+]?[0-9]{1,3})?"
_WORD = r"[A-Za-zµμ°Ω]+[²³]?(?:(?:\^|\*\*)-?[1-9])?"
_DIVISOR = rf"(?:{_WORD}|\((?:[1-9][0-9]{{0,4}} ?)?{_WORD}\))"
UNIT = rf"(?:%|{_WORD}(?: ?[*·] ?{_WORD}| {_WORD})*(?: ?/ ?{_DIVISOR})*)"
_PARTS = re.compile(rf"({NUMBER})\s*(.*)", re.DOTALL)
_UNIT = re.compile(UNIT)
_NOT_FINITE = re.compile(r"[-+]?(nan|inf(inity)?)\b.*", re.IGNORECASE | re.DOTALL)
_HINTS = {
    ("force", "lb"): "lbf", ("force", "lbs"): "lbf", ("force", "kg"): "kgf", ("force", "g"): "kgf",
    ("force", "t"): "kN", ("mass", "lbf"): "lb", ("mass", "N"): "kg", ("mass", "kgf"): "kg",
    ("length", "'"): "ft", ("length", '"'): "in", ("length", "in."): "in", ("length", "ft."): "ft",
    ("line mass", "g"): "g/m", ("line mass", "kg"): "kg/m", ("line mass", "gsm"): "g/m",
}


_FEET = re.compile(r"(?<![A-Za-z])(?:in|inch|inches|ft|foot|feet|yd|yard|mi|mile|mph|lb|lbs|lbf|oz|psi)(?![A-Za-z])")


def system_of(unit: str, dimension: str) -> Literal["metric", "feet"] | None:
    """The system that a unit belongs to; None for one that both use, such as a percentage.

    Parameters
    ----------
    unit : str
    dimension : str
        A key of `DIMENSIONS`.
    """
    kind = DIMENSIONS[dimension]
    if set(kind.metric) == set(kind.feet):
        return None
    return "feet" if _FEET.search(unit) else "metric"


@functools.cache
def registry() -> pint.UnitRegistry[float]:
    """The one pint registry, built at the first call (about a quarter of a second)."""
    import pint

    return pint.UnitRegistry()


@functools.lru_cache(maxsize=512)
def _pint_factor(unit: str, si: str) -> float | None:
    """Size of a unit in SI from pint; None when pint does not know it or its dimension differs."""
    import pint

    ureg = registry()
    try:
        quantity = ureg.parse_expression(unit.replace("·", "*"))
        return float(quantity.to(si).magnitude)
    except (pint.errors.PintError, AttributeError, TypeError, ArithmeticError):
        return None


def _wrong_unit(unit: str, dimension: Dimension) -> str:
    """A sentence about a unit that does not fit, with the likely wish."""
    meant = next(
        (other for other in DIMENSIONS.values() if other.name != dimension.name and unit in other.units), None
    )
    if meant is None and _UNIT.fullmatch(unit):
        meant = next(
            (o for o in DIMENSIONS.values() if not o.closed and _pint_factor(unit, o.si) is not None), None
        )
    wish = _HINTS.get((dimension.name, unit)) or next(
        (known for known in dimension.units if known and known.casefold() == unit.casefold()), None
    )
    if wish is None and meant is None:
        near = difflib.get_close_matches(unit, [u for u in dimension.units if u], n=1, cutoff=0.6)
        wish = near[0] if near else None
    text = f"{unit!r} is not a unit of {dimension.name}"
    if meant is not None and meant.name != dimension.name:
        text += f" but of {meant.name}"
    return text + (f"; did you mean {wish!r}?" if wish else "")


def _factor(unit: str, dimension: Dimension) -> float | None:
    if unit in dimension.units:
        return dimension.units[unit]
    if dimension.closed or not unit or not _UNIT.fullmatch(unit):
        return None
    return _pint_factor(unit, dimension.si)


def to_si(
    text: object,
    dimension: str,
    *,
    key: str | None = None,
    file: object = None,
    error: type[InputError] = InputError,
) -> float:
    """Read one quantity.

    Parameters
    ----------
    text : str, or int or float for pure numbers
        Such as "48 m".  A number without a unit is accepted only for "ratio" and "number".
    dimension : str
        A key of `DIMENSIONS`.
    key, file : optional
        Where it stands, for the message.
    error : type
        What to raise.

    Returns
    -------
    float
        Finite.  [SI]

    Raises
    ------
    InputError
        For a comma, a missing, unknown or unfitting unit, or a number that is not finite.
    """
    kind = DIMENSIONS[dimension]

    def refuse(problem: str) -> InputError:
        where = str(file) if file is not None else None
        allowed = f"{kind.article} {dimension} such as {kind.examples}"
        return error(problem, file=where, key=key, found=text, allowed=allowed)

    if isinstance(text, bool) or not isinstance(text, (str, int, float)):
        raise refuse(f"{kind.article} {dimension} is needed here")
    if not isinstance(text, str):
        if not kind.bare:
            raise refuse("a number without a unit says nothing: write it in quotes with its unit")
        try:
            value = float(text)
        except OverflowError:
            value = math.inf
        if not math.isfinite(value):
            raise refuse("the number is not finite")
        return value + 0.0
    if len(text) > LONGEST:
        raise refuse("the text is too long for a quantity")
    plain = text.strip().replace("\u2212", "-")
    if "," in plain:
        raise refuse("a comma in a number is refused, since it may mean thousands or decimals: write a point")
    if _NOT_FINITE.fullmatch(plain):
        raise refuse("the number is not finite")
    parts = _PARTS.fullmatch(plain)
    if parts is None:
        raise refuse("this does not start with a number")
    number, unit = float(parts[1]), " ".join(parts[2].split())
    if not unit and not kind.bare:
        raise refuse("the unit is missing")
    if unit and unit[0] in "0123456789./_+-*":
        raise refuse("one plain number and then its unit is needed, without fractions or grouped digits")
    factor = _factor(unit, kind)
    if factor is None:
        raise refuse(_wrong_unit(unit, kind))
    inverse = 1.0 / factor
    value = number / inverse if inverse == round(inverse) else number * factor  # "70 %" is 0.7 exactly.
    if not math.isfinite(value):
        raise refuse("the number is not finite")
    return value + 0.0  # No negative zero.


@overload
def from_si(value: float, unit: str, dimension: str) -> float: ...
@overload
def from_si(value: Floats, unit: str, dimension: str) -> Floats: ...
def from_si(value: float | Floats, unit: str, dimension: str) -> float | Floats:
    """SI numbers in another unit, at full precision.

    Parameters
    ----------
    value : float or (n,) array
        [SI]
    unit : str
        Such as "ft".
    dimension : str
        A key of `DIMENSIONS`.

    Raises
    ------
    InputError
        When the unit is unknown or of another dimension.
    """
    kind = DIMENSIONS[dimension]
    factor = _factor(unit, kind)
    if factor is None:
        raise InputError(_wrong_unit(unit, kind), found=unit, allowed=", ".join(u for u in kind.units if u))
    return value / factor

"""SI numbers as people read them: significant figures, a unit of a fitting size, bounds rounded to the careful side."""

from __future__ import annotations

import math
from collections.abc import Iterable
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal
from typing import Literal

from linescope.errors import InputError
from linescope.units.reading import DIMENSIONS, from_si

System = Literal["metric", "feet"]
Side = Literal["nearest", "up", "down"]


def checked_system(system: object) -> System:
    """The system of units to show, or InputError."""
    if system == "metric" or system == "feet":
        return system
    raise InputError("no such system of units", key="units", found=system, allowed="metric, feet")


_ROUNDING = {"up": ROUND_CEILING, "down": ROUND_FLOOR}
_NOISE = 9  # Significant figures beyond which a number is taken for noise and not rounded up or down.


def significant(value: float, digits: int = 2, towards: Side = "nearest") -> str:
    """A number to that many significant figures, never in powers of ten: 13.67 -> "14", 412 -> "410".

    Parameters
    ----------
    value : float
        [-]
    digits : int
    towards : {"nearest", "up", "down"}
        "up" and "down" are those of the number line: -1.23 up is -1.2.
    """
    if value == 0.0:
        return "0"
    if towards == "nearest":
        return format(Decimal(f"{value:.{digits - 1}e}"), "f")
    exact = Decimal(f"{value:.{_NOISE - 1}e}")
    step = Decimal(1).scaleb(exact.adjusted() - digits + 1)
    rounded = exact.quantize(step, rounding=_ROUNDING[towards])
    return format(Decimal(f"{rounded:.{digits - 1}e}"), "f")  # 99.5 up is "100", with as many figures as asked.


def format_si(
    value: float,
    dimension: str,
    *,
    system: System = "metric",
    digits: int = 2,
    unit: str | None = None,
    towards: Side = "nearest",
) -> str:
    """An SI number as people read it.

    The number is rounded to `digits` significant figures in the largest usual unit in which it is then at
    least 1 (m, cm, mm; kN, N; kg, g; ft, in; ...), or else in the smallest: 13.67 m -> "14 m", 0.42 m ->
    "42 cm", 0.996 m -> "1.0 m", 2340 N -> "2.3 kN", 0.051 -> "5.1 %".  Zero has no decimals and no sign; what
    is not a number is "unknown", what is infinite is "unbounded".

    Parameters
    ----------
    value : float
        [SI]
    dimension : str
        A key of `DIMENSIONS`.
    system : {"metric", "feet"}
    digits : int
        Significant figures.
    unit : str, optional
        Show it in this unit whatever its size.
    towards : {"nearest", "up", "down"}
        Where to round; see `at_most` and `at_least`.

    Returns
    -------
    str
        Number, space, unit.
    """
    kind = DIMENSIONS[dimension]
    if math.isnan(value):
        return "unknown"
    if math.isinf(value):
        return "unbounded"
    if abs(value) < kind.negligible:
        return f"0 {unit if unit is not None else kind.zero[system == 'feet']}".rstrip()
    ladder = (unit,) if unit is not None else (kind.metric if system == "metric" else kind.feet)
    text = ""
    for shown in ladder:
        text = significant(from_si(float(value), shown, dimension), digits, towards)
        if abs(float(text)) >= 1.0:
            return f"{text} {shown}".rstrip()
    return f"{text} {ladder[-1]}".rstrip()


def at_most(value: float, dimension: str, *, system: System = "metric", unit: str | None = None) -> str:
    """An upper bound or limit as people read it, never cut by rounding: 10.5 m/s -> "11 m/s".

    For loads, forces, tensions, depths, travel, swings and speeds that something reaches, and for distances that
    are asked for.

    Parameters
    ----------
    value : float
        [SI]
    dimension : str
        A key of `DIMENSIONS`.
    system : {"metric", "feet"}
    unit : str, optional
        Show it in this unit whatever its size.
    """
    return format_si(value, dimension, system=system, unit=unit, towards="up")


def at_least(value: float, dimension: str, *, system: System = "metric", unit: str | None = None) -> str:
    """A lower bound as people read it, never made larger by rounding: 1.96 m -> "1.9 m".

    For distances that are left, and for what it takes to start something.

    Parameters
    ----------
    value : float
        [SI]
    dimension : str
        A key of `DIMENSIONS`.
    system : {"metric", "feet"}
    unit : str, optional
        Show it in this unit whatever its size.
    """
    return format_si(value, dimension, system=system, unit=unit, towards="down")


def column_unit(values: Iterable[float], dimension: str, *, system: System = "metric") -> str:
    """One unit for figures that stand under each other.

    The largest usual unit in which the largest figure is at least 1 and the smallest, but for zeros, at least a
    tenth; a smaller unit only while the largest figure stays below 1000 in it.

    Parameters
    ----------
    values : iterable of float
        What is not finite is left out.  [SI]
    dimension : str
        A key of `DIMENSIONS`.
    system : {"metric", "feet"}
    """
    kind = DIMENSIONS[dimension]
    ladder = kind.metric if system == "metric" else kind.feet
    sizes = [abs(value) for value in values if math.isfinite(value) and abs(value) >= kind.negligible]
    if not sizes:
        return kind.zero[system == "feet"]
    chosen = ""
    for unit in ladder:
        least, most = (from_si(float(size), unit, dimension) for size in (min(sizes), max(sizes)))
        if chosen and most >= 999.5:
            break
        chosen = unit if most >= 0.995 or unit == ladder[-1] else chosen
        if most >= 0.995 and least >= 0.0995:
            break
    return chosen


RULER: dict[System, float] = {"metric": 1e-3, "feet": 0.0254 / 16.0}
"""What a ruler is read to. [m]"""


def on_ruler(value: float, system: System) -> str:
    """A length as it is laid on a ruler: whole millimetres, or inches to a sixteenth; "-" for what is no number.

    Parameters
    ----------
    value : float
        [m]
    system : {"metric", "feet"}
    """
    if math.isnan(value):
        return "-"
    if system == "metric":
        return f"{from_si(value, 'mm', 'length'):.0f} mm"
    sixteenths = round(from_si(value, "in", "length") * 16.0)
    whole, part = divmod(abs(sixteenths), 16)
    step = math.gcd(part, 16)
    fraction = f"{part // step}/{16 // step}" if part else ""
    shown = " ".join(text for text in (str(whole) if whole or not part else "", fraction) if text)
    return f"{'-' if sixteenths < 0 else ''}{shown} in"

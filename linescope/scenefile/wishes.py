"""What is wished of a rig, and how far it may be changed."""

from __future__ import annotations

import difflib
import math
import re
from typing import Any

from linescope.errors import InputError
from linescope.rig import WISHED, Limits, Wish, Wished
from linescope.scenefile.reading import Reader
from linescope.units import DIMENSIONS, to_si

Values = dict[str, Any]
PAIRS = ("pull", "excess", "bay", "leash")
BY_ITSELF = {"backup": math.inf, "taping": math.inf, "style": "", "webbing": "", "ties": -1}


def read_wishes(values: list[Values] | None, reader: Reader, zones: int) -> tuple[Wish, ...]:
    """The wishes of a scene with so many tape zones."""
    return tuple(_wish(each, f"wishes[{number}]", reader, zones) for number, each in enumerate(values or (), 1))


def _wish(values: Values, at: str, reader: Reader, zones: int) -> Wish:
    figure: str = values["figure"]
    wished = WISHED[figure]
    ends = {name: _end(values[name], wished, f"{at}.{name}", reader) for name in ("at_least", "at_most")}
    if all(end is None for end in ends.values()):
        raise reader.refusal(
            "nothing is wished of this figure", key=f"{at}.at_least", found="neither at_least nor at_most",
            allowed=f"one of them or both, such as {DIMENSIONS[wished.dimension].examples}",
        )
    low = -math.inf if ends["at_least"] is None else ends["at_least"]
    high = math.inf if ends["at_most"] is None else ends["at_most"]
    if low > high:
        raise reader.refusal(
            "at least this and at most that leave nothing between them", key=f"{at}.at_most", found=values["at_most"],
            allowed=f"{values['at_least']} or more",
        )
    zone, start, end = values["zone"], values["from"], values["to"]
    part = next((name for name in ("zone", "from", "to") if values[name] is not None), None)
    if part is not None and wished.of == "rig":
        raise reader.refusal(
            "this figure is one of the whole line", key=f"{at}.{part}", found=values[part], allowed=f"no {part}"
        )
    if zone is not None and zone > zones:
        raise reader.refusal("there is no such tape zone", key=f"{at}.zone", found=zone, allowed=f"1 to {zones}")
    start, end = 0.0 if start is None else start, math.inf if end is None else end
    if end <= start:
        raise reader.refusal(
            "the part ends before it begins", key=f"{at}.to", found=f"{end:g} m", allowed=f"more than {start:g} m"
        )
    return Wish(figure=figure, at_least=low, at_most=high, start=start, end=end, zone=zone)


def _end(text: str | None, wished: Wished, at: str, reader: Reader) -> float | None:
    if text is None:
        return None
    kind = DIMENSIONS[wished.dimension]
    try:
        return to_si(text, wished.dimension)
    except InputError as error:
        allowed = f"{kind.article} {kind.name} such as {kind.examples}"
        raise reader.refusal(error.problem, key=at, found=text, allowed=allowed) from error


def read_limits(values: Values | None, reader: Reader) -> Limits:
    """How far the rig of a scene may be changed."""
    if values is None:
        return Limits()
    found: Values = {**values}
    for name in PAIRS:
        given = values[name]
        ends = (math.nan, math.nan) if given is None else given if isinstance(given, tuple) else (math.nan, given)
        if ends[0] > ends[1]:
            raise reader.refusal(
                "the least is more than the most", key=f"limits.{name}", found=f"{ends[0]:g} and {ends[1]:g}",
                allowed="the least first",
            )
        found[name] = ends
    for name, otherwise in BY_ITSELF.items():
        found[name] = otherwise if values[name] is None else values[name]
    return Limits(**found)


_TYPED = re.compile(r"\s*(?P<figure>[^<>=]+?)\s*(?P<sign><=|>=)\s*(?P<end>[^<>=]+?)\s*$")


def wish_of(text: str, key: str) -> Wish:
    """A wish as it is typed: a figure, <= or >=, and a value with its unit.

    Parameters
    ----------
    text : str
    key : str
        Of the option, for errors.

    Raises
    ------
    InputError
    """
    found = _TYPED.match(text)
    if found is None:
        raise InputError(
            "this is no wish", key=key, found=text, allowed='a figure, <= or >=, a value: "excess standing >= 2 %"'
        )
    figure = found["figure"]
    if figure not in WISHED:
        near = difflib.get_close_matches(figure, WISHED, n=1, cutoff=0.6)
        hint = f"; did you mean {near[0]!r}?" if near else ""
        raise InputError(
            f"there is no such figure to wish for{hint}", key=key, found=figure, allowed=", ".join(WISHED)
        )
    end = to_si(found["end"], WISHED[figure].dimension, key=key)
    return Wish(figure=figure, at_least=end) if found["sign"] == ">=" else Wish(figure=figure, at_most=end)

"""Readings of a scene, and of a table beside it."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from linescope.errors import InputError, SceneError
from linescope.rig import Reading
from linescope.rig.readings import DIMENSION, USUAL
from linescope.scenefile.keys.readings import READINGS, WHAT
from linescope.scenefile.quantities import ShareOf
from linescope.scenefile.reading import Reader

COLUMNS = ("what", "value", *(name for name in READINGS.item.fields if name not in WHAT))
LARGEST = 1_000_000  # Bytes.
_NUMBERED = ("loop", "bay", "tape")


def read_readings(values: Sequence[dict[str, Any]] | None, span: float, reader: Reader) -> tuple[Reading, ...]:
    """The readings of a scene.

    Parameters
    ----------
    values : sequence of dict or None
        As the table of keys has read them.
    span : float
        For a place given as a share.  [m]
    reader : Reader

    Raises
    ------
    SceneError
    """
    return tuple(_reading(each, f"readings[{k}]", span, reader) for k, each in enumerate(values or (), 1))


def _reading(values: dict[str, Any], at: str, span: float, reader: Reader) -> Reading:
    what: Any = next(name for name in WHAT if values[name] is not None)
    value = float(values[what])
    numbered = what in _NUMBERED
    if numbered and values["number"] is None:
        raise reader.refusal(
            f"a {what} is told by its number", key=f"{at}.number", allowed="a whole number, counted from 1 at anchor A"
        )
    if not numbered and values["number"] is not None:
        raise reader.refusal(
            f"a {what} has no number", key=f"{at}.number", found=values["number"], allowed="left out"
        )
    mass = values["weight"]
    if what == "period" and mass is None:
        raise reader.refusal("a bounce is that of somebody", key=f"{at}.weight", allowed='a mass such as "78 kg"')
    place = values["at"]
    if place is not None and mass is None and what != "sag":
        raise reader.refusal(
            "nobody is on the line there", key=f"{at}.at", found=place if not isinstance(place, ShareOf) else "a share",
            allowed="a weight beside it, or no place",
        )
    where = 0.5 * span if place is None else place.value * span if isinstance(place, ShareOf) else float(place)
    if not 0.0 < where < span:
        raise reader.refusal(
            "this lies outside the line", key=f"{at}.at", found=f"{where:g} m", allowed=f"between 0 and {span:.2f} m"
        )
    given = values["error"]
    kind, size = USUAL[what] if given is None else given
    if kind not in ("ratio", DIMENSION[what]):
        raise reader.refusal(
            f"the error of a {what} is a share or a {DIMENSION[what]}", key=f"{at}.error", found=f"a {kind}",
            allowed=READINGS.item.fields["error"].allowed(),
        )
    error = size * value if kind == "ratio" else size
    if not error > 0.0:
        raise reader.refusal(
            "a share of nothing is no error", key=f"{at}.error", found=given, allowed='an error such as "3 cm"'
        )
    return Reading(
        what=what, value=value, error=error, assumed=given is None, end=values["end"] or "A",
        number=values["number"] or 0, mass=0.0 if mass is None else float(mass), at=where,
        taken=values["taken"] or "", note=values["note"] or "", key=at,
    )


def readings_from_csv(path: str | Path, span: float) -> tuple[Reading, ...]:
    """Readings of a table with a head: what, value, error, end, number, weight, at, taken, note; blanks are left out.

    Parameters
    ----------
    path : str or Path
        A CSV file of at most 1 MB.
    span : float
        For a place given as a share.  [m]

    Raises
    ------
    SceneError
        Naming file, row and column.
    """
    path = Path(path)
    allowed = f"a CSV file with the columns what and value, and any of {', '.join(COLUMNS[2:])}"
    try:
        if not path.is_file():
            raise SceneError("there is no such file", file=path, allowed=allowed)
        if path.stat().st_size > LARGEST:
            raise SceneError("the file is too large for readings", file=path, allowed="at most 1 MB")
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise SceneError("the file is not UTF-8 text", file=path, allowed=allowed) from error
    except (OSError, ValueError) as error:
        raise SceneError(f"the file cannot be read ({error})", file=path, allowed=allowed) from error
    head, *rows = _rows(text, path, allowed)
    names = [name.strip().lower() for name in head]
    for name in names:
        if name not in COLUMNS:
            raise SceneError("there is no such column", file=path, key="row 1", found=name, allowed=", ".join(COLUMNS))
    if not {"what", "value"} <= {*names} or len({*names}) < len(names):
        raise SceneError(
            "the head needs the columns what and value, each column once", file=path, key="row 1",
            found=", ".join(head), allowed=allowed,
        )
    found = []
    for number, row in enumerate(rows, 2):
        if any(cell.strip() for cell in row):
            found.append(_of_row(dict(zip(names, row, strict=False)), len(row) - len(names), number, span, path))
    if len(found) > READINGS.longest:
        raise SceneError("there are too many readings", file=path, found=len(found), allowed=f"{READINGS.longest}")
    return tuple(found)


def _rows(text: str, path: Path, allowed: str) -> list[list[str]]:
    first = text.partition("\n")[0]
    mark = ";" if first.count(";") > first.count(",") else ","
    try:
        rows = list(csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True))
    except csv.Error as error:
        raise SceneError(f"this is not CSV ({error})", file=path, allowed=allowed) from error
    if not rows:
        raise SceneError("the file is empty", file=path, allowed=allowed)
    return rows


def _of_row(cells: dict[str, str], more: int, number: int, span: float, path: Path) -> Reading:
    at = f"row {number}"
    given: dict[str, Any] = {name: cell.strip() for name, cell in cells.items() if cell.strip()}
    what = given.pop("what", "")
    if more > 0 or what not in WHAT or "value" not in given:
        problem = "this row has more cells than the head" if more > 0 else (
            "this is not a kind of reading" if what not in WHAT else "the value is missing")
        raise SceneError(
            problem, file=path, key=at, found=what or None, allowed=f"{', '.join(WHAT)} under what, and a value"
        )
    given[what] = given.pop("value")
    if "number" in given and given["number"].isdecimal():
        given["number"] = int(given["number"])
    reader = Reader(file=str(path), folder=path.parent)
    try:
        values = READINGS.item.read(given, at, reader, "measured")
        return _reading(values, at, span, reader)
    except InputError as error:
        key = (error.key or at).replace(f".{what}", ".value").replace(f"{at}.", f"{at}, ")
        raise SceneError(error.problem, file=path, key=key, found=error.found, allowed=error.allowed) from error

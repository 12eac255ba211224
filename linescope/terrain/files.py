"""Reading text, numbers and tables of a ground file."""

from __future__ import annotations

import math
import re
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from linescope.errors import TerrainError

MAX_POINTS = 20_000_000
_DECIMAL_COMMA = re.compile(r"[+-]?\d+,\d+")


def read_text(path: Path) -> str:
    """The text of a file.

    Parameters
    ----------
    path : Path

    Returns
    -------
    str

    Raises
    ------
    TerrainError
        Not UTF-8, or holding zero bytes (a binary file with a text file's ending).
    """
    try:
        with path.open("rb") as stream:
            if b"\0" in stream.read(65536):  # Before all of a large binary file is read.
                raise TerrainError("the file is not text", file=path, found="zero bytes", allowed="text in UTF-8")
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise TerrainError("the file is not text", file=path, allowed="text in UTF-8") from error
    except OSError as error:
        raise TerrainError(f"cannot be read ({error.strerror})", file=path, allowed="a readable file") from error
    if "\0" in text:
        raise TerrainError("the file is not text", file=path, allowed="text in UTF-8")
    return text


def foreign_words(error: Exception) -> str:
    """A foreign error in a few words, for a message of our own.

    Parameters
    ----------
    error : Exception

    Returns
    -------
    str
        Its kind and at most 100 characters of its first line.
    """
    text = (str(error).splitlines() or [""])[0]
    return f"{type(error).__name__}: {text[:100]}"


def number(word: str, path: Path, key: str) -> float:
    """A finite number, or an error naming where it stands.

    Parameters
    ----------
    word : str
        Text of the number.
    path, key
        File and place, for the message.

    Returns
    -------
    float

    Raises
    ------
    TerrainError
        When it is not a number, or not a finite one.
    """
    try:
        value = float(word)
    except ValueError:
        if _DECIMAL_COMMA.fullmatch(word):
            raise TerrainError(
                "not a number: a decimal comma", file=path, key=key, found=word,
                allowed=f"decimals with a point, such as {word.replace(',', '.')}",
            ) from None
        raise TerrainError("not a number", file=path, key=key, found=word, allowed="finite numbers") from None
    if not math.isfinite(value):
        raise TerrainError("a number is not finite", file=path, key=key, found=word, allowed="finite numbers")
    return value


def read_table(path: Path, columns: int, names: tuple[str, ...], *, exact: bool = False) -> NDArray[np.float64]:
    """The first columns of a text table of numbers.

    Commas, semicolons, tabs or blanks part the columns; '#' starts a comment; one line of headings is
    allowed and, when it holds all of `names`, chooses the columns.

    Parameters
    ----------
    path : Path
    columns : int
        How many columns are wanted.
    names : tuple of str
        Headings of the wanted columns, in order.
    exact : bool
        Whether headings must hold all of `names`, and rows without headings have no further column.

    Returns
    -------
    (n, columns) float
        In the unit of the file.

    Raises
    ------
    TerrainError
        A row that is too short (a truncated file), not a number, not finite, or no row at all; with `exact`, other
        headings or more columns.
    """
    allowed = f"the columns {', '.join(names)}, with these words as headings or with no headings at all"
    pick = list(range(columns))
    rows: list[list[float]] = []
    heading_seen = False
    for line_number, line in enumerate(read_text(path).splitlines(), start=1):
        bare = line.split("#", 1)[0].strip()
        if not bare:
            continue
        for mark in (";", "\t", ","):
            if mark in bare:
                words = [word.strip() for word in bare.split(mark)]
                break
        else:
            words = bare.split()
        if not rows and not heading_seen and not (_is_number(words[0]) or _DECIMAL_COMMA.fullmatch(words[0])):
            heading_seen = True
            lower = [word.strip('"').lower() for word in words]
            if all(name in lower for name in names):
                pick = [lower.index(name) for name in names]
            elif exact:
                raise TerrainError(
                    f"these headings do not say which column is the {' and which the '.join(names)}", file=path,
                    key=f"line {line_number}", found=line.strip(), allowed=allowed,
                )
            continue
        if exact and not heading_seen and any(words[columns:]):
            comma = " (decimal commas?)" if "," in bare and len(words) == 2 * columns else ""
            raise TerrainError(
                f"{len(words)} columns without headings{comma}: which are {' and '.join(names)}?", file=path,
                key=f"line {line_number}", found=line.strip(), allowed=allowed,
            )
        if len(words) <= max(pick):
            raise TerrainError(
                "a row is too short (is the file cut off?)",
                file=path,
                key=f"line {line_number}",
                found=line.strip(),
                allowed=f"{', '.join(names)} in every row",
            )
        rows.append([number(words[i], path, f"line {line_number}") for i in pick])
        if len(rows) > MAX_POINTS:
            raise TerrainError("too many rows", file=path, allowed=f"up to {MAX_POINTS}")
    if not rows:
        raise TerrainError("no row of numbers", file=path, allowed=f"rows of {', '.join(names)}")
    return np.array(rows, dtype=np.float64)


def _is_number(word: str) -> bool:
    try:
        float(word)
    except ValueError:
        return False
    return True

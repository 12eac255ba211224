"""Opening a ground file: it is there, its ending is known, its size is sane; and text tables."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from linescope.errors import TerrainError

MAX_BYTES = 4_000_000_000
MAX_POINTS = 20_000_000

ENDINGS: dict[str, str] = {
    ".obj": "mesh",
    ".ply": "mesh",
    ".stl": "mesh",
    ".glb": "mesh",
    ".gltf": "mesh",
    ".asc": "grid",
    ".npy": "grid",
    ".npz": "grid",
    ".tif": "grid",
    ".tiff": "grid",
    ".xyz": "points",
    ".csv": "points",
    ".txt": "points",
    ".las": "points",
    ".laz": "points",
}
"""What a file ending stands for when the scene names no kind."""

READERS: dict[str, tuple[str, ...]] = {
    "mesh": (".obj", ".ply", ".stl", ".glb", ".gltf"),
    "grid": (".asc", ".npy", ".npz", ".tif", ".tiff"),
    "points": (".xyz", ".csv", ".txt", ".npy", ".las", ".laz"),
    "profile": (".csv", ".txt"),
}
"""File endings that can be read as each kind."""


def checked_path(path: Path, kind: str | None) -> tuple[Path, str]:
    """The path and the kind to read it as.

    Parameters
    ----------
    path : Path
        The file.
    kind : str, optional
        Kind named by the scene, if any.

    Returns
    -------
    path : Path
    kind : {'mesh', 'grid', 'points', 'profile'}

    Raises
    ------
    TerrainError
        Not there, not a file, empty, larger than 4 GB, or an ending that this kind is not read from.
    """
    ending = path.suffix.lower()
    allowed = ", ".join(sorted(ENDINGS)) if kind is None else ", ".join(READERS[kind])
    if ending not in ENDINGS or (kind is not None and ending not in READERS[kind]):
        raise TerrainError(
            "this file ending is not read as ground" + (f" of kind {kind}" if kind else ""),
            file=path,
            found=path.suffix,
            allowed=allowed,
        )
    try:
        if not path.is_file():
            raise TerrainError("there is no such file", file=path, allowed=allowed)
        size = path.stat().st_size
        with path.open("rb") as stream:
            stream.read(1)
    except OSError as error:
        raise TerrainError(f"cannot be opened ({error.strerror})", file=path, allowed="a readable file") from error
    if size == 0:
        raise TerrainError("the file is empty", file=path, allowed="at least one triangle")
    if size > MAX_BYTES:
        raise TerrainError("the file is absurdly large", file=path, found=size, allowed=f"up to {MAX_BYTES} bytes")
    return path, kind or ENDINGS[ending]


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
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        raise TerrainError("the file is not text", file=path, allowed="text in UTF-8") from error
    except OSError as error:
        raise TerrainError(f"cannot be read ({error.strerror})", file=path, allowed="a readable file") from error
    if "\0" in text:
        raise TerrainError("the file is not text", file=path, allowed="text in UTF-8")
    return text


def shortened(error: Exception) -> str:
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
    """
    try:
        value = float(word)
    except ValueError:
        raise TerrainError("not a number", file=path, key=key, found=word, allowed="finite numbers") from None
    if not math.isfinite(value):
        raise TerrainError("a number is not finite", file=path, key=key, found=word, allowed="finite numbers")
    return value


def read_table(path: Path, columns: int, names: tuple[str, ...]) -> NDArray[np.float64]:
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

    Returns
    -------
    (n, columns) float
        In the unit of the file.

    Raises
    ------
    TerrainError
        A row that is too short (a truncated file), not a number, not finite, or no row at all.
    """
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
        if not rows and not heading_seen and not _is_number(words[0]):
            heading_seen = True
            lower = [word.strip('"').lower() for word in words]
            if all(name in lower for name in names):
                pick = [lower.index(name) for name in names]
            continue
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

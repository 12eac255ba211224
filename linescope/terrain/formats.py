"""Which files are ground: their endings by kind, and whether one is there and of a sane size."""

from __future__ import annotations

import stat
from pathlib import Path

from linescope.errors import TerrainError
from linescope.terrain import grids, meshes, points

MAX_BYTES = 4_000_000_000

ENDINGS: dict[str, tuple[str, ...]] = {
    "mesh": tuple(meshes.CHECKS),
    "grid": tuple(grids.READERS),
    "points": tuple(points.READERS),
    "profile": (".csv", ".txt"),
    "site": (".glb",),
}
"""File endings that each kind is read from; when the scene names no kind, the first one that has the ending."""

LAYOUTS: dict[str, str] = {
    "profile": "two columns, station (plan distance from A towards B) and height (z)",
    "points": "three columns, x, y and z",
    "grid": "heights in rows and columns, north up",
    "mesh": "triangles",
    "site": "what `linescope ground` has written",
}
"""What stands in the files of each kind."""


def formats_text() -> str:
    """Which files each kind is read from and what stands in them, in one sentence for those who write a scene."""
    kinds = [f"{kind}: {', '.join(ENDINGS[kind])} ({layout})" for kind, layout in LAYOUTS.items()]
    return (
        f"{'; '.join(kinds)}.  In text files commas, semicolons, tabs or blanks part the columns, decimals have a "
        "point, and a first row of headings (station,height or x,y,z) may put the columns in another order."
    )


def checked_file(path: Path, allowed: str = "a file") -> Path:
    """The path of an ordinary file that is there, is not empty and can be read.

    Parameters
    ----------
    path : Path
    allowed : str
        For the message.

    Returns
    -------
    Path

    Raises
    ------
    TerrainError
        Not there, not a file, empty, or not to be opened.
    """
    try:
        status = path.stat()
        if not stat.S_ISREG(status.st_mode):
            thing = "a folder" if stat.S_ISDIR(status.st_mode) else "not an ordinary file"
            raise TerrainError(f"there is no such file: this is {thing}", file=path, allowed=allowed)
        with path.open("rb") as stream:
            stream.read(1)
    except (FileNotFoundError, NotADirectoryError) as error:
        raise TerrainError("there is no such file", file=path, allowed=allowed) from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise TerrainError(f"cannot be opened ({reason})", file=path, allowed="a readable file") from error
    if status.st_size == 0:
        raise TerrainError("the file is empty", file=path, allowed="a whole, valid file")
    return path


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
    kinds = [name for name, endings in ENDINGS.items() if ending in endings and kind in (None, name)]
    allowed = ", ".join(sorted(set().union(*ENDINGS.values())) if kind is None else ENDINGS[kind])
    if not kinds:
        raise TerrainError(
            "this file ending is not read as ground" + (f" of kind {kind}" if kind else ""),
            file=path,
            found=path.suffix,
            allowed=allowed,
        )
    size = checked_file(path, allowed).stat().st_size
    if size > MAX_BYTES:
        raise TerrainError("the file is absurdly large", file=path, found=size, allowed=f"up to {MAX_BYTES} bytes")
    return path, kinds[0]

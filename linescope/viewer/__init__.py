"""The 3-D viewer in the browser: its JavaScript, and where the script that was made of it lies.

The sources stand in `src`, one idea a module. They are bundled with three.js and the type face into one script and one
style sheet, by `build`, while the wheel is built; in a checkout `bash .ci/setup` does it, or
`python -m linescope.viewer.build`. Nothing that was built is in the repository.
"""

from __future__ import annotations

import hashlib
import sys
from pathlib import Path
from typing import NamedTuple

from linescope.errors import MissingViewerError

ROOM = Path(__file__).parent
FILES = ("viewer.js", "viewer.css")
"""What a build makes, in this order: script, style sheet."""
SOURCES = ("package.json", "package-lock.json")


class Bundle(NamedTuple):
    """The viewer as it goes into a page.

    Attributes
    ----------
    script : str
    style : str
        Holds the type face.
    """

    script: str
    style: str


def bundle() -> Bundle:
    """The viewer that was built.

    Raises
    ------
    MissingViewerError
        When there is none: the package was built where the npm registry cannot be reached, or this is a checkout in
        which nothing was built yet.
    """
    place = folder()
    try:
        return Bundle(*((place / name).read_text(encoding="utf-8") for name in FILES))
    except OSError as error:
        raise MissingViewerError(f"no viewer in {place}") from error


def folder() -> Path:
    """Where the built viewer lies, or would lie: in the installed package, or with this environment for a checkout.

    A checkout's is named after its sources, so that one that was built from others is never taken.
    """
    if not (ROOM / "src").is_dir():
        return ROOM / "data"
    return Path(sys.prefix) / "share" / "linescope" / f"viewer-{fingerprint()}"


def fingerprint() -> str:
    """Of everything the viewer is built from, as 16 hexadecimal digits."""
    found = hashlib.sha256()
    for file in (*(ROOM / name for name in (*SOURCES, "letters.py")), *sorted((ROOM / "src").rglob("*.*"))):
        found.update(f"{file.relative_to(ROOM).as_posix()}\0".encode())
        found.update(hashlib.sha256(file.read_bytes()).digest())
    return found.hexdigest()[:16]

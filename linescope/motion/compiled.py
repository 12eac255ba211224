"""Loops are compiled where numba is installed, and run as they stand where it is not.

What is compiled is kept under a name made of the sources it came from (numba itself looks at one file only, and would
go on using old code when another one changes): in ``NUMBA_CACHE_DIR``, beside the code, or in the user's own cache.
Where none of these can be written it is compiled anew in every process.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Callable, Iterator
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import Any, TypeVar

F = TypeVar("F", bound=Callable[..., Any])

COMPILED = find_spec("numba") is not None
HERE = Path(__file__).parent
SOURCES = (HERE / "arrays.py", HERE / "contacts.py", HERE / "kernel.py", HERE.parent / "rig" / "atmosphere.py")


def _places() -> Iterator[Path]:
    given = os.environ.get("NUMBA_CACHE_DIR")
    if given:
        yield Path(given)
    yield HERE / "__pycache__"
    yield Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "linescope"


@cache
def cache_folder() -> Path | None:
    """Where compiled code is kept; None where nothing can be written."""
    digest = hashlib.sha256(b"".join(source.read_bytes() for source in SOURCES)).hexdigest()[:16]
    for place in _places():
        folder = place / f"motion-{digest}"
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except (OSError, RuntimeError):
            continue
        if os.access(folder, os.W_OK):
            return folder
    return None


def compiled(function: F) -> F:
    """The function compiled, without contraction or reordering of sums, so that NumPy finds the same digits."""
    if not COMPILED:
        return function
    from numba import config, njit

    options: dict[str, Any] = {"nogil": True, "error_model": "numpy", "fastmath": False}
    folder = cache_folder()
    if folder is None:
        return njit(**options)(function)  # type: ignore[no-any-return]
    before = config.CACHE_DIR
    config.CACHE_DIR = str(folder)
    try:
        return njit(cache=True, **options)(function)  # type: ignore[no-any-return]
    except RuntimeError:
        return njit(**options)(function)  # type: ignore[no-any-return]
    finally:
        config.CACHE_DIR = before


def plain(function: F) -> F:
    """The same function as it was written: NumPy hands few arrays over faster to that than to the compiled one."""
    return getattr(function, "py_func", function)

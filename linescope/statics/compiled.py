"""Loops are compiled where numba is installed, and run as they stand, much slower, where it is not.

What is compiled is kept beside the code, in ``NUMBA_CACHE_DIR`` or in the user's cache; where none of these can be
written, as in a read-only folder, it is compiled anew in every process.  Loops over numbers compile ten times as fast
as arithmetic of whole arrays.
"""

from __future__ import annotations

from collections.abc import Callable
from importlib.util import find_spec
from typing import Any, TypeVar

F = TypeVar("F", bound=Callable[..., Any])

COMPILED = find_spec("numba") is not None


def compiled(function: F) -> F:
    """The function compiled when it is first called, without contraction or reordering of sums."""
    if not COMPILED:
        return function
    from numba import njit

    options: dict[str, Any] = {"nogil": True, "error_model": "numpy", "fastmath": False}
    try:
        return njit(cache=True, **options)(function)  # type: ignore[no-any-return]
    except RuntimeError:  # No folder to keep it in.
        return njit(**options)(function)  # type: ignore[no-any-return]

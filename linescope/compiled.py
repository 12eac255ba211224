"""Loops are compiled where numba is installed, and run as they stand, much slower, where it is not.

What is compiled is kept under a name made of the sources it came from (numba itself looks at one file only, and would
go on using old code when another one changes): in ``NUMBA_CACHE_DIR``, beside the code, or in the user's own cache.
Where none of these can be written, as in a read-only folder without a home, it is compiled anew in every process.
Loops over numbers compile ten times as fast as arithmetic of whole arrays.
"""

from __future__ import annotations

import hashlib
import os
import sys
from collections.abc import Callable, Iterator
from functools import cache, cached_property, update_wrapper
from importlib import import_module
from importlib.util import find_spec
from pathlib import Path
from threading import RLock
from typing import Any, TypeVar, cast

F = TypeVar("F", bound=Callable[..., Any])

COMPILED = find_spec("numba") is not None
_LOCK = RLock()
HERE = Path(__file__).parent
SOURCES = (
    "compiled.py", "terrain/delaunay.py", "rig/atmosphere.py", "statics/buffers.py", "statics/minimise.py",
    "statics/quick.py", "statics/settle.py", "statics/steps.py", "statics/held_loops.py", "statics/slide_loops.py",
    "statics/settle_loops.py", "motion/arrays.py", "motion/contacts.py", "motion/rows.py", "motion/sliding.py",
    "motion/ground.py", "motion/kernel.py", "events/crossing.py", "rig/layout.py", "statics/pair.py",
    "contact/pacing_loops.py", "contact/ledger.py", "contact/sway.py", "events/swing.py", "events/released_loops.py",
    "terrain/triangles.py", "terrain/tree.py", "clearance/envelope.py", "clearance/sampling.py",
)  # fmt: skip
"""Files with compiled loops, and those whose numbers they take."""
INNER = "inner"
"""Where, in the folder of what was compiled, lies what only compiled functions call."""


def _places() -> Iterator[Path]:
    given = os.environ.get("NUMBA_CACHE_DIR")
    if given:
        yield Path(given)
    yield HERE / "__pycache__"
    yield Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "linescope"


@cache
def cache_folder() -> Path | None:
    """Where compiled code is kept; None where nothing can be written."""
    digest = hashlib.sha256(b"".join((HERE / source).read_bytes() for source in SOURCES)).hexdigest()[:16]
    for place in _places():
        folder = place / f"compiled-{digest}"
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except (OSError, RuntimeError):
            continue
        if os.access(folder, os.W_OK):
            return folder
    return None


@cache
def _numba() -> Any:
    """The compiler, loaded without `scipy.linalg`.

    Numba looks for that when it loads its functions of arrays, in case a dot product is to be compiled; no loop here
    has one, and loading it takes as long as a small line takes to be solved.  Told afterwards that it is there, numba
    loads it for whoever asks for one.  Only numba's own question is put off: other threads may load scipy meanwhile.
    """
    import numba

    if "numba.np.arraymath" not in sys.modules:
        linalg = import_module("numba.np.linalg")
        ask = linalg.ensure_blas

        def not_now() -> None:
            raise ImportError("not asked for yet")

        linalg.ensure_blas = not_now  # type: ignore[attr-defined]
        try:
            functions = import_module("numba.np.arraymath")
        finally:
            linalg.ensure_blas = ask  # type: ignore[attr-defined]
        functions.ensure_blas, functions._HAVE_BLAS = ask, find_spec("scipy") is not None  # type: ignore[attr-defined]
    return numba


@cache
def _without_overlaps() -> Any:
    """The compiler as it is, told that arrays given to a function do not overlap."""
    from numba.core.compiler import Compiler

    class WithoutOverlaps(Compiler):  # type: ignore[misc]
        def define_pipelines(self) -> Any:
            self.state.flags.noalias = True
            return super().define_pipelines()

    return WithoutOverlaps


class _Compiled:
    """A function that is compiled when it is first called, from Python or from another compiled one.

    What only compiled ones call needs no way in for Python's objects, which takes a fifth of the time of compiling.
    """

    def __init__(self, function: Callable[..., Any], *, lean: bool = False, apart: bool = False) -> None:
        self.py_func, self.lean, self.apart = function, lean, apart
        update_wrapper(self, function)

    def __call__(self, *given: Any) -> Any:
        return self.dispatcher(*given)

    @cached_property
    def dispatcher(self) -> Any:
        """What numba makes of it for Python."""
        return self._made("")

    @cached_property
    def inner(self) -> Any:
        """What numba makes of it for other compiled functions, kept apart: both have the same name."""
        return self._made(INNER, no_cpython_wrapper=True)

    def _made(self, beside: str, **more: bool) -> Any:
        """Compiled without contraction or reordering of sums: so NumPy finds the same digits."""
        with _LOCK:
            config, njit = _numba().config, _numba().njit
        options: dict[str, Any] = {
            "nogil": True, "error_model": "numpy", "fastmath": False, "no_cfunc_wrapper": True, **more
        }
        if self.lean:
            options["_nrt"] = False
        if self.apart:
            options["pipeline_class"] = _without_overlaps()
        folder = cache_folder()
        if folder is None:
            return njit(**options)(self.py_func)
        with _LOCK:
            before = config.CACHE_DIR
            config.CACHE_DIR = str(folder / beside)
            try:
                return njit(cache=True, **options)(self.py_func)
            except RuntimeError:
                return njit(**options)(self.py_func)
            finally:
                config.CACHE_DIR = before

    @property
    def _numba_type_(self) -> Any:
        """How numba asks of what type a global is."""
        return self.inner._numba_type_


def compiled(function: F) -> F:
    """The function compiled when it is first called; numba, which takes half a second, is loaded then.

    Parameters
    ----------
    function : callable
        Of numbers and arrays, in a file of `SOURCES`.
    """
    return cast(F, _Compiled(function)) if COMPILED else function


def lean(function: F) -> F:
    """The same for a function that makes no arrays, though it may look at parts of those it gets.

    Who uses an array is then not counted, which takes more time than what a short function does.

    Parameters
    ----------
    function : callable
        Of numbers and arrays, in a file of `SOURCES`; what it calls is lean as well.
    """
    return cast(F, _Compiled(function, lean=True)) if COMPILED else function


def apart(function: F) -> F:
    """The same for lean loops over many arrays, none of which shares a number with another one.

    Told so, the compiler takes four numbers at a time; else it would have to compare each array's place with each other
    one's before it may, and with more than a few arrays it takes them one by one instead.

    Parameters
    ----------
    function : callable
        Of numbers and arrays that do not overlap, in a file of `SOURCES`.
    """
    return cast(F, _Compiled(function, lean=True, apart=True)) if COMPILED else function


def plain(function: F) -> F:
    """The same function as it was written: NumPy hands few arrays over faster to that than to the compiled one."""
    return cast(F, getattr(function, "py_func", function))

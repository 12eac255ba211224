"""LAPACK's routines as SciPy ships them, without the rest of `scipy.linalg`.

That package brings the array interfaces of other libraries along and takes longer to load than a line takes to be laid
out and solved.  The routines stand in a file of their own in it, which is loaded by itself where it is found.
"""

from __future__ import annotations

import importlib.util
import sys
from contextlib import suppress
from importlib.machinery import EXTENSION_SUFFIXES
from pathlib import Path
from typing import Any

import scipy  # Which makes its own libraries known where a system needs that.

_NAME = "scipy.linalg._flapack"


def _routines() -> Any:
    files = (Path(scipy.__file__).parent / "linalg" / f"_flapack{suffix}" for suffix in EXTENSION_SUFFIXES)
    file = next((file for file in files if file.is_file()), None)
    spec = None if file is None else importlib.util.spec_from_file_location(_NAME, file)
    if spec is not None and spec.loader is not None and "scipy.linalg" not in sys.modules:
        with suppress(ImportError):
            found = importlib.util.module_from_spec(spec)
            spec.loader.exec_module(found)
            return found
    from scipy.linalg import lapack

    return lapack


_FOUND = _routines()
dpbtrf, dpbtrs = _FOUND.dpbtrf, _FOUND.dpbtrs

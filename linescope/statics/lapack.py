"""LAPACK's routines as SciPy ships them, without the rest of `scipy.linalg`.

That package brings the array interfaces of other libraries along and takes longer to load than a line takes to be laid
out and solved.  The routines stand in a file of their own in it, which is loaded by itself where it is found.
"""

from __future__ import annotations

import importlib.util
import sys
from importlib.machinery import EXTENSION_SUFFIXES
from pathlib import Path
from typing import Any

import scipy  # Which makes its own libraries known where a system needs that.

_NAME = "scipy.linalg._flapack"


def _routines() -> Any:
    if "scipy.linalg" not in sys.modules:
        folder = Path(scipy.__file__).parent / "linalg"
        for suffix in EXTENSION_SUFFIXES:
            spec = importlib.util.spec_from_file_location(_NAME, folder / f"_flapack{suffix}")
            if spec is None or spec.loader is None or not (folder / f"_flapack{suffix}").is_file():
                continue
            try:
                found = importlib.util.module_from_spec(spec)
                spec.loader.exec_module(found)
            except ImportError:
                break
            return found
    from scipy.linalg import lapack

    return lapack


_FOUND = _routines()
dpbtrf, dpbtrs = _FOUND.dpbtrf, _FOUND.dpbtrs

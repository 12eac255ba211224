"""LAPACK's routines, taken from SciPy's own file, against those of `scipy.linalg`; each in a process of its own."""

from __future__ import annotations

import subprocess
import sys

import pytest

SOLVED = """
from linescope.statics.lapack import dpbtrf, dpbtrs
import numpy as np
band = np.array([[4.0, 5.0, 6.0, 7.0], [1.0, -2.0, 0.5, 0.0]])
factor, info = dpbtrf(band.copy(), lower=1)
answer = dpbtrs(factor, np.array([1.0, 2.0, 3.0, 4.0]), lower=1)[0]
whole = np.diag(band[0]) + np.diag(band[1, :3], 1) + np.diag(band[1, :3], -1)
assert info == 0 and np.allclose(answer, np.linalg.solve(whole, [1.0, 2.0, 3.0, 4.0]), rtol=1e-13)
"""


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("import sys", "assert 'scipy.linalg' not in sys.modules"),
        ("import scipy.linalg", "from scipy.linalg import lapack\nassert dpbtrf is lapack.dpbtrf"),
        ("import importlib.machinery as m\nm.EXTENSION_SUFFIXES.clear()",
         "from scipy.linalg import lapack\nassert dpbtrf is lapack.dpbtrf"),
        ("import sys",
         "from scipy.linalg import solveh_banded as other\n"
         "assert np.allclose(other(band, [1, 2, 3, 4], lower=True), answer)"),
    ],
    ids=["by themselves", "loaded before", "not found", "loaded after"],
)
def test_its_own_file_is_taken_where_it_is_found(before: str, after: str) -> None:
    code = f"{before}\n{SOLVED}\n{after}\n"
    ran = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stderr

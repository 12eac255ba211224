"""Compiled loops: nothing loads numba before it is used, and no stale or unwritable cache is in the way."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from pathlib import Path

import pytest

from linescope import compiled
from tests.test_layers import PACKAGE


def python(code, **environment):
    run = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=PACKAGE.parent,
        env=os.environ | environment,
    )
    return run.stdout.strip()


def test_every_file_with_compiled_loops_is_a_source_of_the_cache():
    """Else old code would go on being used after a change."""
    found = {
        str(file.relative_to(PACKAGE)) for file in PACKAGE.rglob("*.py")
        if re.search(r"^@compiled$", file.read_text(encoding="utf-8"), re.MULTILINE)
    }
    assert found <= set(compiled.SOURCES)
    assert all((PACKAGE / source).is_file() for source in compiled.SOURCES)


def test_figures_are_told_without_numba():
    code = "import sys, linescope.report.people, linescope.motion, linescope.contact; print('numba' in sys.modules)"
    assert python(code) == "False"


@pytest.mark.skipif(not compiled.COMPILED, reason="numba is not installed")
@pytest.mark.skipif(os.name != "posix", reason="modes of folders")
def test_where_nothing_can_be_written_it_is_compiled_all_the_same(tmp_path):
    """A copy in a folder that cannot be written, with a home that cannot be written either."""
    code = (
        "import numpy as np\n"
        "from linescope import compiled\n"
        "from pathlib import Path\n"
        f"compiled._places = lambda: iter([Path('/proc/nowhere'), Path({str(tmp_path / 'file')!r}) / 'x'])\n"
        "assert compiled.cache_folder() is None\n"
        "from linescope.rig.atmosphere import STANDARD_GRAVITY\n"
        "f = compiled.compiled(lambda x: x + 1.0)\n"
        "print(f(2.0))"
    )
    (tmp_path / "file").write_text("no folder")
    assert python(code) == "3.0"


@pytest.mark.skipif(not compiled.COMPILED, reason="numba is not installed")
def test_the_cache_is_where_it_was_asked_for(tmp_path):
    code = "from linescope import compiled; print(compiled.cache_folder())"
    assert Path(python(code, NUMBA_CACHE_DIR=str(tmp_path))).parent == tmp_path


@pytest.mark.skipif(not compiled.COMPILED, reason="numba is not installed")
def test_what_no_loop_needs_is_not_loaded_and_who_needs_it_gets_it():
    """`scipy.linalg` stays away, and code of others in the same process may still ask numba for a dot product."""
    code = (
        "import sys\n"
        "import numpy as np\n"
        "from linescope.statics import quick\n"
        "assert quick.inside_of(1.0, np.zeros((1, 1, quick.CURVE)), 0) == (0, 0.0)\n"
        "print('scipy.linalg' in sys.modules)\n"
        "from numba import njit\n"
        "print(njit(lambda a, b: a @ b)(np.arange(3.0), np.ones(3)))"
    )
    assert python(code).split() == ["False", "3.0"]


@pytest.mark.skipif(not compiled.COMPILED, reason="numba is not installed")
def test_others_may_load_scipy_while_the_compiler_is_loaded():
    """As another thread would, in the middle of it."""
    code = (
        "import sys\n"
        "import numpy as np\n"
        "class Meanwhile:\n"
        "    def find_spec(self, name, path=None, target=None):\n"
        "        if name == 'numba.np.arraymath':\n"
        "            import scipy.linalg.cython_blas\n"
        "sys.meta_path.insert(0, Meanwhile())\n"
        "from linescope.statics import quick\n"
        "print(quick.inside_of(1.0, np.zeros((1, 1, quick.CURVE)), 0), 'scipy.linalg.cython_blas' in sys.modules)"
    )
    assert python(code).split() == ["(0,", "0.0)", "True"]

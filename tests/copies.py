"""Copies of the package that tests change and run."""

from __future__ import annotations

import os
import shutil
from contextlib import suppress
from pathlib import Path

import linescope
from linescope import compiled

PACKAGE = Path(linescope.__file__).parent


def environment_of(copy: Path) -> dict[str, str]:
    """The environment in which a copy is imported instead of the package."""
    return {**os.environ, "PYTHONPATH": str(copy.parent), "NUMBA_CACHE_DIR": str(copy.parent / "loops")}


def package_copied(copy: Path) -> None:
    """Copy the package without what was made of it.

    numba keeps compiled loops by the place of their source, so a copy would compile for a minute what lies beside the
    package already.  They are put beside the copy, under the names that belong there.  Its sources have the same
    digest; where it is changed in one of `compiled.SOURCES`, the copy compiles anew.
    """
    shutil.copytree(PACKAGE, copy, ignore=shutil.ignore_patterns("__pycache__", ".*"))
    kept = compiled.cache_folder()
    with suppress(ImportError, AttributeError):  # Without numba, or with one that names its folders otherwise.
        from numba.core.caching import _CacheLocator as Locator

        for room in {Path(source).parent for source in compiled.SOURCES}:
            for called in ("", compiled.INNER) if kept else ():
                beside = kept / called / Locator.get_suitable_cache_subpath(str(PACKAGE / room / "x.py"))
                if beside.is_dir():
                    name = Locator.get_suitable_cache_subpath(str(copy / room / "x.py"))
                    unfinished = shutil.ignore_patterns("*.tmp.*")  # Another process may be compiling.
                    shutil.copytree(beside, copy.parent / "loops" / kept.name / called / name, ignore=unfinished)

"""Runs every `bench_*.py` beside this file and prints one markdown table.

A benchmark module has a function `rows()` that yields `Row`s; one without it is run as a script after the others and
prints a table of its own.  Pass names to run only some: `python -m tests.benchmarks statics`.
"""

from __future__ import annotations

import importlib
import runpy
import sys
from pathlib import Path

from tests.benchmarks.timing import TABLE_HEAD


def main(wanted: list[str]) -> int:
    names = sorted(file.stem for file in Path(__file__).parent.glob("bench_*.py"))
    if wanted:
        names = [name for name in names if name.removeprefix("bench_") in wanted]
    modules = [importlib.import_module(f"tests.benchmarks.{name}") for name in names]
    missed = 0
    print(TABLE_HEAD, flush=True)
    for module in modules:
        for row in module.rows() if hasattr(module, "rows") else ():
            missed += not row.met
            print(row.markdown(), flush=True)
    for module in modules:
        if not hasattr(module, "rows"):
            print(flush=True)
            runpy.run_path(str(module.__file__), run_name="__main__")
    return 1 if missed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

"""Runs every `bench_*.py` beside this file and prints one table as it goes.

    python -m tests.benchmarks                 all of them
    python -m tests.benchmarks statics page    some
    python -m tests.benchmarks --write         all of them, and the table into EVIDENCE.md in place of the last one

A benchmark module has a function `rows()` that yields `Row`s.  The exit status is 1 when a target was missed.
"""

from __future__ import annotations

import argparse
import importlib
import sys
from pathlib import Path

from tests.benchmarks.machine import Watch
from tests.benchmarks.timing import TABLE_HEAD, Row
from tests.evidence_page import read_section, write_section

HERE = Path(__file__).parent


def main(arguments: list[str]) -> int:
    """Run, print, write."""
    known = sorted(file.stem.removeprefix("bench_") for file in HERE.glob("bench_*.py"))
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description="Benchmarks with peers.")
    parser.add_argument("names", nargs="*", metavar="NAME", help=f"only these of {', '.join(known)}")
    parser.add_argument("--write", action="store_true", help="write the whole table into EVIDENCE.md")
    options = parser.parse_args(arguments)
    if set(options.names) - set(known):
        parser.error(f"there is only {', '.join(known)}")
    if options.write and options.names:
        parser.error("only a whole table is written: leave the names out")
    if options.write:
        read_section("benchmarks")  # Missing marks are told before the long run.
    watch, rows = Watch(), []
    print(TABLE_HEAD, flush=True)
    for name in options.names or known:
        for row in importlib.import_module(f"tests.benchmarks.bench_{name}").rows():
            print(row.markdown(), flush=True)
            rows.append(row)
    print(f"\n{watch.line()}\n{_summary(rows)}", flush=True)
    if options.write:
        table = "\n".join([TABLE_HEAD, *(row.markdown() for row in rows)])
        write_section("benchmarks", f"{watch.line()}\n{_summary(rows)}\n\n{table}")
    return 1 if any(row.met is False for row in rows) else 0


def _summary(rows: list[Row]) -> str:
    asked = [row for row in rows if row.met is not None]
    missed = [row for row in asked if not row.met]
    text = f"{len(asked) - len(missed)} of {len(asked)} targets met"
    return f"{text}; MISSED: {'; '.join(row.what for row in missed)}." if missed else f"{text}."


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

"""Runs every `bench_*.py` beside this file and prints one table as it goes.

    python -m tests.benchmarks                 all of them
    python -m tests.benchmarks statics page    some
    python -m tests.benchmarks --write         all of them, and the table into EVIDENCE.md in place of the last one
    python -m tests.benchmarks motion --write  some, each as a table of its own there, till all are written again

A benchmark module has a function `rows()` that yields `Row`s.  The exit status is 1 when a target was missed.
"""

from __future__ import annotations

import argparse
import importlib
import sys
from pathlib import Path

from tests.benchmarks.machine import Watch
from tests.benchmarks.timing import TABLE_HEAD, Row
from tests.evidence_page import drop_section, read_section, write_section

HERE = Path(__file__).parent
WHOLE = "benchmarks"


def main(arguments: list[str]) -> int:
    """Run, print, write."""
    known = sorted(file.stem.removeprefix("bench_") for file in HERE.glob("bench_*.py"))
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description="Benchmarks with peers.")
    parser.add_argument("names", nargs="*", metavar="NAME", help=f"only these of {', '.join(known)}")
    parser.add_argument("--write", action="store_true", help="write what was run into EVIDENCE.md")
    options = parser.parse_args(arguments)
    if set(options.names) - set(known):
        parser.error(f"there is only {', '.join(known)}")
    if options.write:
        read_section(WHOLE)  # Missing marks are told before the long run.
    if not options.names:
        rows, table = _run(known)
        if options.write:
            write_section(WHOLE, table)
            for name in known:
                drop_section(f"{WHOLE}: {name}")
    else:
        rows = []
        for name in options.names:
            found, table = _run([name])
            rows += found
            if options.write:
                write_section(f"{WHOLE}: {name}", f"### {name.capitalize()}, since\n\n{table}", behind=WHOLE)
    return 1 if any(row.met is False for row in rows) else 0


def _run(names: list[str]) -> tuple[list[Row], str]:
    """Rows of some benchmarks, printed as they come, and their table."""
    watch, rows = Watch(), []
    print(TABLE_HEAD, flush=True)
    for name in names:
        for row in importlib.import_module(f"tests.benchmarks.bench_{name}").rows():
            print(row.markdown(), flush=True)
            rows.append(row)
    head = f"{watch.line()}\n{_summary(rows)}"
    print(f"\n{head}", flush=True)
    return rows, "\n".join([head, "", TABLE_HEAD, *(row.markdown() for row in rows)])


def _summary(rows: list[Row]) -> str:
    asked = [row for row in rows if row.met is not None]
    missed = [row for row in asked if not row.met]
    text = f"{len(asked) - len(missed)} of {len(asked)} targets met"
    return f"{text}; MISSED: {'; '.join(row.what for row in missed)}." if missed else f"{text}."


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

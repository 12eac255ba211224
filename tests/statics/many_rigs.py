"""Random rigs by the thousand: `python -m tests.statics.many_rigs [COUNT] [--workers N] [--write]`.

Prints each that fails as it is found, then a summary; `--write` puts that into EVIDENCE.md.
"""

from __future__ import annotations

import argparse
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context

from tests.evidence_page import write_section
from tests.statics.random_rigs import BEYOND, STATES, Outcome, outcome, ranges_of

ACCEPTED = 1e-8  # Residual over weight.


def _good(result: Outcome) -> bool:
    return not result.failure and result.residual <= ACCEPTED and result.stable


def summary(found: list[dict[str, Outcome]]) -> str:
    """A table of how many rigs of each kind reached each state, and every one that did not."""
    lines = [
        f"{len(found)} random rigs; worst residual of those that balance, over the rig's weight:", "",
        "| rigs | state | reached | share | worst residual |", "|---|---|--:|--:|--:|",
    ]
    failed = []
    for kind, beyond in (("usual", False), ("far beyond what is built", True)):
        rigs = {seed: states for seed, states in enumerate(found) if (ranges_of(seed) is BEYOND) == beyond}
        for state in STATES:
            results = {seed: states[state] for seed, states in rigs.items()}
            good = [result for result in results.values() if _good(result)]
            failed += [(seed, state, result) for seed, result in results.items() if not _good(result)]
            worst = max((result.residual for result in good), default=float("nan"))
            share = len(good) / max(1, len(results))
            lines.append(f"| {kind} | {state} | {len(good)} of {len(results)} | {share:.2%} | {worst:.1e} |")
    if failed:
        lines += ["", "Not reached:", ""]
        lines += [
            f"- rig {seed}, {state}: {result.failure or f'residual {result.residual:.2g}, stable: {result.stable}'}"
            for seed, state, result in sorted(failed, key=lambda one: one[:2])
        ]
    return "\n".join(lines)


def main(arguments: list[str]) -> int:
    """Run, print, write; status 1 when fewer than 99.9 % of the states were reached."""
    parser = argparse.ArgumentParser(prog="python -m tests.statics.many_rigs", description=__doc__)
    parser.add_argument("count", nargs="?", type=int, default=10_000, metavar="COUNT")
    parser.add_argument("--workers", type=int, default=2)
    parser.add_argument("--write", action="store_true", help="write the summary into EVIDENCE.md")
    options = parser.parse_args(arguments)
    found: list[dict[str, Outcome]] = []
    begun = time.monotonic()
    with ProcessPoolExecutor(options.workers, mp_context=get_context("spawn")) as pool:
        for seed, states in enumerate(pool.map(outcome, range(options.count), chunksize=5)):
            found.append(states)
            for state, result in states.items():
                if not _good(result):
                    print(f"rig {seed}, {state}: {result}", flush=True)
            if (seed + 1) % 250 == 0:
                print(f"{seed + 1} of {options.count}, {time.monotonic() - begun:.0f} s", file=sys.stderr, flush=True)
    text = summary(found)
    print(text)
    if options.write:
        write_section("random rigs", text)
    states = [result for rig in found for result in rig.values()]
    return 0 if sum(map(_good, states)) >= 0.999 * len(states) else 1


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
